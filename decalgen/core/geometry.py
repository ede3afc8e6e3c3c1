"""Plane geometry in millimetres, y up: flattening, arcs, and cleaning of shapely results."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from functools import cached_property, wraps
from itertools import pairwise
from typing import Any, Concatenate, Literal, ParamSpec, TypeVar

import numpy as np
import shapely
from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from decalgen.core.values import dataclass

TOLERANCE = 0.001
"""How far a flattened curve may lie from the true one, mm: ten times finer than a 2400 dpi dot."""

SLIVER = 1e-7
"""Areas below this, mm², are noise of floating point, not something to print."""

Region = Polygon | MultiPolygon
Point = tuple[float, float]
Bounds = tuple[float, float, float, float]
"""left, bottom, right, top"""
Side = Literal["left", "right", "bottom", "top"]
Matrix = tuple[float, float, float, float, float, float]
"""a, b, c, d, e, f as in PDF and SVG: x' = a·x + c·y + e, y' = b·x + d·y + f."""

Besides = ParamSpec("Besides")
Judged = TypeVar("Judged")
Shaped = TypeVar("Shaped", bound=BaseGeometry)
SHAPES = 1024
"""So many shapes are remembered at most."""

IDENTITY: Matrix = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)
EMPTY: MultiPolygon = MultiPolygon()


def arc_steps(radius: float, sweep: float, tolerance: float = TOLERANCE) -> int:
    """How many chords keep an arc of ``radius`` mm and ``sweep`` radians within ``tolerance`` mm."""
    if radius <= tolerance:
        return max(1, math.ceil(abs(sweep) / (math.pi / 4)))
    step = 2 * math.acos(1 - tolerance / radius)
    return max(1, math.ceil(abs(sweep) / step))


def segment_radius(chord: float, rise: float) -> float:
    """The radius of a circular segment, mm; negative where its rise is."""
    return chord * chord / (8 * rise) + rise / 2


def arc_points(
    centre: tuple[float, float], radius: float, start: float, end: float, tolerance: float = TOLERANCE
) -> list[tuple[float, float]]:
    """Points on an arc from angle ``start`` to ``end`` (radians), both ends included."""
    steps = arc_steps(radius, end - start, tolerance)
    cx, cy = centre
    return [
        (cx + radius * math.cos(a), cy + radius * math.sin(a))
        for a in (start + (end - start) * i / steps for i in range(steps + 1))
    ]


def circle(centre: tuple[float, float], radius: float) -> Polygon:
    """A disc flattened from within, with points at the four quadrants, so its width and height are exact."""
    cx, cy = centre
    per_quarter = arc_steps(radius, math.pi / 2)
    ring: list[tuple[float, float]] = []
    for quarter in range(4):
        for i in range(per_quarter):
            a = math.pi / 2 * i / per_quarter
            x, y = (radius, 0.0) if i == 0 else (radius * math.cos(a), radius * math.sin(a))
            for _ in range(quarter):
                x, y = -y, x
            ring.append((cx + x, cy + y))
    return shapely.polygons(ring)


def rectangle(x0: float, y0: float, x1: float, y1: float) -> Polygon:
    """An axis-parallel rectangle, anticlockwise from its lower left corner."""
    return shapely.polygons([(x0, y0), (x1, y0), (x1, y1), (x0, y1)])


@dataclass(frozen=True, slots=True)
class Segment:
    """A straight or arc piece of an outline. ``centre`` None: straight; otherwise an arc, anticlockwise or not."""

    start: tuple[float, float]
    end: tuple[float, float]
    centre: tuple[float, float] | None = None
    anticlockwise: bool = True

    def turned_round(self) -> Segment:
        """The same from its end to its start."""
        return Segment(self.end, self.start, self.centre, not self.anticlockwise)

    def points(self) -> list[tuple[float, float]]:
        """The segment flattened, both ends included."""
        if self.centre is None:
            return [self.start, self.end]
        cx, cy = self.centre
        radius = math.hypot(self.start[0] - cx, self.start[1] - cy)
        a = math.atan2(self.start[1] - cy, self.start[0] - cx)
        b = math.atan2(self.end[1] - cy, self.end[0] - cx)
        if self.anticlockwise and b <= a + 1e-12:
            b += 2 * math.pi
        if not self.anticlockwise and b >= a - 1e-12:
            b -= 2 * math.pi
        inner = arc_points(self.centre, radius, a, b)[1:-1]
        return [self.start, *inner, self.end]


@dataclass(frozen=True)
class Outline:
    """A closed outline that remembers its arcs (a cutting file needs them) beside its polygon."""

    segments: tuple[Segment, ...]

    @cached_property
    def polygon(self) -> Polygon:
        """The outline flattened to within `TOLERANCE`."""
        ring: list[tuple[float, float]] = []
        for segment in self.segments:
            ring.extend(segment.points()[:-1])
        return shapely.polygons(ring)

    @staticmethod
    def from_polygon(polygon: Polygon) -> Outline:
        """An outline of straight segments only."""
        ring = list(polygon.exterior.coords)
        return Outline(tuple(Segment(a[:2], b[:2]) for a, b in pairwise(ring)))

    def moved(self, matrix: Matrix) -> Outline:
        """The outline under a rigid motion or mirror (arcs stay arcs; ``matrix`` must keep lengths).

        A mirrored outline is listed the other way round, so that an anticlockwise one stays so.
        """
        flips = matrix[0] * matrix[3] - matrix[1] * matrix[2] < 0
        found = []
        for s in reversed(self.segments) if flips else self.segments:
            start, end = apply(matrix, s.start), apply(matrix, s.end)
            centre = None if s.centre is None else apply(matrix, s.centre)
            found.append(Segment(end if flips else start, start if flips else end, centre, s.anticlockwise))
        return Outline(tuple(found))


def rounded(width: float, height: float, radii: Sequence[float], x: float = 0.0, y: float = 0.0) -> Outline:
    """A rectangle with corner radii (lower left, lower right, upper right, upper left), mm.

    Radii too large for a side are reduced together in the same proportion.
    """
    # A radius no arc is drawn for must not move a corner either: next to nothing is not a point of its own.
    ll, lr, ur, ul = (radius if radius > 1e-9 else 0.0 for radius in radii)
    sides = ((ll + lr, width), (ul + ur, width), (ll + ul, height), (lr + ur, height))
    shrink = min([1.0, *(side / both for both, side in sides if both > side)])
    ll, lr, ur, ul = (r * shrink for r in (ll, lr, ur, ul))
    x1, y1 = x + width, y + height
    corners = (
        ((x1 - lr, y), (x1, y + lr), (x1 - lr, y + lr), lr),
        ((x1, y1 - ur), (x1 - ur, y1), (x1 - ur, y1 - ur), ur),
        ((x + ul, y1), (x, y1 - ul), (x + ul, y1 - ul), ul),
        ((x, y + ll), (x + ll, y), (x + ll, y + ll), ll),
    )
    segments: list[Segment] = []
    here = (x + ll, y)
    for start, end, centre, radius in corners:
        if math.dist(here, start) > 1e-9:
            segments.append(Segment(here, start))
        if radius > 1e-9:
            segments.append(Segment(start, end, centre))
        here = end
    return Outline(tuple(segments))


def apply(matrix: Matrix, point: tuple[float, float]) -> tuple[float, float]:
    """A point under a matrix."""
    a, b, c, d, e, f = matrix
    x, y = point
    return (a * x + c * y + e, b * x + d * y + f)


def multiply(outer: Matrix, inner: Matrix) -> Matrix:
    """The matrix that applies ``inner`` first, then ``outer``."""
    a, b, c, d, e, f = outer
    p, q, r, s, t, u = inner
    return (a * p + c * q, b * p + d * q, a * r + c * s, b * r + d * s, a * t + c * u + e, b * t + d * u + f)


def translation(dx: float, dy: float) -> Matrix:
    """A shift, mm."""
    return (1.0, 0.0, 0.0, 1.0, dx, dy)


def rotation(degrees: float) -> Matrix:
    """An anticlockwise turn about the origin; quarter turns are exact."""
    quarter = degrees / 90.0
    if quarter == int(quarter):
        c, s = ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[int(quarter) % 4]
    else:
        c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return (c, s, -s, c, 0.0, 0.0)


def mirror_x(width: float) -> Matrix:
    """The mirror that swaps left and right inside a box of ``width`` mm."""
    return (-1.0, 0.0, 0.0, 1.0, width, 0.0)


def transform(geometry: BaseGeometry, matrix: Matrix) -> BaseGeometry:
    """A geometry under a matrix."""
    if matrix == IDENTITY:
        return geometry
    a, b, c, d, e, f = matrix

    def move(points: object) -> object:
        xy = np.asarray(points)
        return np.column_stack((a * xy[:, 0] + c * xy[:, 1] + e, b * xy[:, 0] + d * xy[:, 1] + f))

    return shapely.transform(geometry, move)


def leant(geometry: Shaped, lean: float) -> Shaped:
    """A geometry leant to the right over y = 0; ``lean``: the tangent of the angle from the upright."""
    if not lean:
        return geometry
    found: Shaped = shapely.affinity.affine_transform(geometry, (1.0, lean, 0.0, 1.0, 0.0, 0.0))
    return found


def region(geometry: BaseGeometry) -> MultiPolygon:
    """The areas of any shapely result, without lines, points and slivers below `SLIVER`."""
    if isinstance(geometry, Polygon | MultiPolygon):
        parts = shapely.get_parts(geometry)
    else:
        parts = np.array(polygons(geometry), dtype=object)
    kept = parts[shapely.area(parts) > SLIVER]
    return shapely.multipolygons(kept) if len(kept) else MultiPolygon()


def polygons(geometry: BaseGeometry) -> list[Polygon]:
    """Every polygon inside a geometry, in order."""
    if isinstance(geometry, Polygon):
        return [] if geometry.is_empty else [geometry]
    parts: Iterable[BaseGeometry] = getattr(geometry, "geoms", ())
    return [polygon for part in parts for polygon in polygons(part)]


def boxes_meet(one: BaseGeometry, other: BaseGeometry) -> bool:
    """Whether the boxes round two geometries meet; an empty one meets nothing."""
    a, b = one.bounds, other.bounds
    return bool(a[0] <= b[2] and b[0] <= a[2] and a[1] <= b[3] and b[1] <= a[3])


def union(geometries: Iterable[BaseGeometry]) -> MultiPolygon:
    """The union as areas: abutting cells merge, so no hairline seams are left between them."""
    return region(shapely.union_all(list(geometries)))


def union_of_tiles(geometries: Sequence[BaseGeometry]) -> MultiPolygon:
    """The union of areas that lie side by side and share nothing but edges, as inks do that were knocked out of each
    other. Where common edges have the same corners they are only dropped, which takes a tenth of the time of `union`;
    that they had shows in a valid union of the whole area, and where it is none, all edges are crossed after all."""
    parts = shapely.get_parts(geometries)
    try:
        merged = region(shapely.coverage_union_all(parts))
    except shapely.GEOSException:
        return union(geometries)
    whole = abs(merged.area - float(shapely.area(parts).sum())) <= SLIVER
    return merged if whole and merged.is_valid else union(geometries)


def by_shape(judge: Callable[Concatenate[Any, Besides], Judged]) -> Callable[Concatenate[Any, Besides], Judged]:
    """``judge`` asked once of areas that are the same but for their place, as the letters of a word are, on either
    hand: their corners lie alike to a picometre. Only for what does not depend on the place."""
    known: dict[tuple[bytes, bytes, object], Judged] = {}

    @wraps(judge)
    def remembered(area: Any, /, *asked: Besides.args, **named: Besides.kwargs) -> Judged:
        points = shapely.get_coordinates(area)
        if named or not len(points):
            return judge(area, *asked, **named)
        rings = shapely.get_num_coordinates(shapely.get_rings(shapely.get_parts(area)))
        key = (points - points.min(axis=0)).round(9).tobytes(), rings.tobytes(), asked
        if key not in known:
            if len(known) >= SHAPES:
                known.clear()
            known[key] = judge(area, *asked, **named)
        return known[key]

    return remembered


def signed_area(points: Sequence[Point]) -> float:
    """The area of a ring that closes by itself, mm²; negative where its points run clockwise."""
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in pairwise([*points, points[0]])) / 2


def fault_of_ring(points: Sequence[Point]) -> str:
    """What is wrong with an outline through points, to follow "the outline": on one line, folded back, crossing or
    touching itself, with the spot; empty for one that encloses an area once."""
    if len(points) < 3:
        return "has fewer than three points"
    if shapely.MultiPoint(points).convex_hull.area < 1e-6:
        return "has no area: its points lie on one line"
    ring = Polygon(points)
    if ring.is_valid:
        return "" if ring.area >= 1e-6 else "has no area"
    n = len(points)
    for i in range(n):
        (ax, ay), (bx, by), (cx, cy) = points[i - 1], points[i], points[(i + 1) % n]
        ux, uy, vx, vy = bx - ax, by - ay, cx - bx, cy - by
        if ux * vx + uy * vy < 0 and abs(ux * vy - uy * vx) < 1e-9 * math.hypot(ux, uy) * math.hypot(vx, vy):
            return f"folds back on itself at ({bx:.4g}, {by:.4g})"
    kind, _, spot = shapely.is_valid_reason(ring).partition("[")
    where = spot.rstrip("]").split()
    near = f" at ({float(where[0]):.4g}, {float(where[1]):.4g})" if len(where) == 2 else ""
    return f"{'touches' if kind.startswith('Ring') else 'crosses'} itself{near}"
