"""The shapes of protected signs and of nations' roundels, met however they are turned, mirrored or scaled.

Geometry alone: lengths in mm, colours are `emblems`' matter. No convention gives measures to the hundredth, so a shape
is met within `ALIKE`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import combinations
from typing import Final

import numpy as np
import shapely
from shapely.affinity import rotate
from shapely.geometry import MultiPolygon, Point, Polygon, box
from shapely.geometry.base import BaseGeometry

from decalgen.core.geometry import polygons

ALIKE = 0.93
"""An area that shares this part of its union with the pattern has its shape."""
ROUND = 0.97
"""An area that fills this part of the smallest circle round it is a disc."""
ARMS: Final = (0.2, 0.45)
"""Width of the arms of a cross to its height."""
HAIR = 1e-3
"""What flattening and turning may change of that."""
ON_EDGE = 30.0
"""A square frame is the crystal when it stands on a corner, turned by no more than so many degrees: one that lies level
is a border."""
MOST_DISCS = 24
"""More discs of one colour in a decal are a pattern of dots, not looked at three by three."""
BULGING = 0.8
"""The same for the square of a shield, whose lower sides are often drawn bulging; its triangle tells it from others."""
NEAR = 0.08
"""Corners that should meet, and middles that should be one, lie within this part of the size."""


def alike(part: Polygon, pattern: Polygon | MultiPolygon, share: float = ALIKE) -> bool:
    """Whether two areas at one place are of one shape."""
    both = part.intersection(pattern).area
    return bool(both >= share * (part.area + pattern.area - both))


def is_cross(part: Polygon) -> bool:
    """Two bars of one width across each other's middle, couped, however turned."""
    part = rotate(part, -_lean(part), (0, 0))
    found = _square(part)
    if found is None or part.interiors:
        return False
    x, y, size = found
    bare = size * size - part.area
    if bare <= 0:
        return False
    arm = size - math.sqrt(bare)
    if not (ARMS[0] - HAIR) * size <= arm <= (ARMS[1] + HAIR) * size:
        return False
    a, b = arm / 2, size / 2
    return alike(part, box(x - b, y - a, x + b, y + a).union(box(x - a, y - b, x + a, y + b)))


def is_crystal(part: Polygon) -> bool:
    """A frame in the shape of a square standing on a corner, within `ON_EDGE`."""
    lean = _lean(part)
    # A square that stands on its corner has sides that lean by 45 degrees.
    if abs(lean - 45) > ON_EDGE:
        return False
    part = rotate(part, 45 - lean, (0, 0))
    found = _square(part)
    if found is None or len(part.interiors) != 1:
        return False
    x, y, size = found
    hole = Polygon(part.interiors[0])
    half = math.sqrt(hole.area / 2)
    if not 0.3 * size <= 2 * half <= 0.95 * size:
        return False
    outer = Polygon(part.exterior)
    return alike(outer, _diamond(x, y, size / 2)) and alike(hole, _diamond(x, y, half))


def is_crescent(part: Polygon) -> bool:
    """A disc with a smaller disc taken out towards one side, so that two horns are left."""
    if part.interiors:
        return False
    radius = float(shapely.minimum_bounding_radius(part))
    middle = shapely.centroid(shapely.minimum_bounding_circle(part))
    points = shapely.get_coordinates(shapely.segmentize(part.exterior, radius / 20))
    inside = points[np.hypot(points[:, 0] - middle.x, points[:, 1] - middle.y) < 0.98 * radius]
    if len(inside) < 8:
        return False
    # The circle through the hollow side: x² + y² = 2ax + 2by + c by least squares.
    away = inside - (middle.x, middle.y)
    known = np.column_stack((2 * away, np.ones(len(away))))
    (a, b, c), *_ = np.linalg.lstsq(known, (away**2).sum(axis=1), rcond=None)
    inner = math.sqrt(max(0.0, c + a * a + b * b))
    # The smaller disc comes near the rim or over it: the hollow of a letter C lies in the middle.
    if not 0.5 * radius <= inner <= 0.95 * radius or not 0.9 * radius <= math.hypot(a, b) + inner <= 1.5 * radius:
        return False
    bite = Point(middle.x + a, middle.y + b).buffer(inner, 64)
    return alike(part, middle.buffer(radius, 64).difference(bite))


def is_triangle(part: Polygon) -> bool:
    """A triangle with three equal sides."""
    return not part.interiors and _regular(part, 3, 1.0)


def is_star(part: Polygon) -> bool:
    """The pentagram filled: a star of five points, inner to outer radius as 1 to 2.618."""
    return not part.interiors and _regular(part, 5, 2 / (3 + math.sqrt(5)))


def disc(part: Polygon) -> tuple[Point, float] | None:
    """The middle and radius of a full disc; None for another shape."""
    if part.interiors:
        return None
    return circle(Polygon(part.exterior))


def circle(area: Polygon) -> tuple[Point, float] | None:
    """The middle and radius of an area without holes, if it is round."""
    x0, y0, x1, y1 = area.bounds
    if min(x1 - x0, y1 - y0) < 0.94 * max(x1 - x0, y1 - y0):
        return None
    radius = float(shapely.minimum_bounding_radius(area))
    if area.area < ROUND * math.pi * radius**2:
        return None
    return shapely.centroid(area), radius


def three_discs(parts: Sequence[Polygon]) -> list[tuple[Polygon, ...]]:
    """Every three discs of one size on one line, each about a radius from the next; `MOST_DISCS` are looked at."""
    round_ones = [(part, *found) for part in parts if (found := disc(part)) is not None]
    rows: list[tuple[Polygon, ...]] = []
    for three in combinations(round_ones[:MOST_DISCS], 3):
        radii = [radius for _, _, radius in three]
        size = max(radii)
        if min(radii) < 0.9 * size:
            continue
        apart = sorted((a.distance(b), i) for i, ((_, a, _), (_, b, _)) in enumerate(combinations(three, 2)))
        near, next_near, far = (distance for distance, _ in apart)
        # From middle to middle: two radii and the gap of one. On a line the two steps make the whole way.
        steps = 2.6 * size <= near and next_near <= 3.4 * size
        if steps and near + next_near - far <= 0.02 * far:
            rows.append(tuple(part for part, _, _ in three))
    return rows


def shields(parts: Sequence[Polygon]) -> list[tuple[Polygon, Polygon, BaseGeometry]]:
    """Every square with a triangle that stands with its point on one of the square's corners, its base across, and the
    two areas left free beside that point: a shield quartered by its diagonals, the square's other corner its foot."""
    found: list[tuple[Polygon, Polygon, BaseGeometry]] = []
    small = [piece for part in parts if not part.interiors for piece in _at_necks(part)]
    squares = [part for part in small if _regular(part, 4, 1.0, BULGING)]
    for square in squares:
        corners = _farthest(square, 4)
        side = math.sqrt(square.area)
        for other in small:
            if other is square or not 0.1 * square.area <= other.area <= square.area:
                continue
            if _shape_share(other, 3) < ALIKE:
                continue
            touching = [c for c in corners if other.distance(Point(c)) <= NEAR * side]
            if len(touching) != 1:
                continue
            whole = shapely.convex_hull(shapely.union_all([square, other]))
            beside = whole.difference(square.union(other))
            # The triangle lies on the square's diagonal, beyond the corner, and is about as wide as it.
            axis = np.array(touching[0]) - np.array(square.centroid.coords[0])
            way = np.array(other.centroid.coords[0]) - np.array(touching[0])
            along = float(axis @ way) / float(np.linalg.norm(axis) * np.linalg.norm(way) or 1.0)
            if along > 0.97 and beside.area >= 0.15 * square.area:
                found.append((square, other, beside))
    return found


def _lean(part: Polygon) -> float:
    """How far the longest straight side leans from level or upright, degrees from 0 to 90. All sides of a cross and of
    a square lean alike, and turning the area back by it sets it upright; of a round shape it means nothing."""
    corners = np.diff(shapely.get_coordinates(part.exterior), axis=0)
    across, up = corners[np.argmax(np.hypot(corners[:, 0], corners[:, 1]))]
    return math.degrees(math.atan2(up, across)) % 90


def _square(part: Polygon) -> tuple[float, float, float] | None:
    """The middle and size of an area that is as high as it is wide; None for another."""
    x0, y0, x1, y1 = part.bounds
    wide, high = x1 - x0, y1 - y0
    if min(wide, high) < 0.9 * max(wide, high):
        return None
    return (x0 + x1) / 2, (y0 + y1) / 2, (wide + high) / 2


def _diamond(x: float, y: float, half: float) -> Polygon:
    return Polygon([(x - half, y), (x, y - half), (x + half, y), (x, y + half)])


def _regular(part: Polygon, points: int, inner: float, share: float = ALIKE) -> bool:
    """Whether an area is a regular polygon or star of so many points; ``inner`` is its waist to its radius, 1 for a
    polygon, which has none."""
    if len(part.exterior.coords) > 400:
        return False
    middle = part.centroid
    corners = shapely.get_coordinates(part.exterior)[:-1] - (middle.x, middle.y)
    far = corners[np.argmax(np.hypot(corners[:, 0], corners[:, 1]))]
    first, sharp = math.atan2(far[1], far[0]), float(np.hypot(*far))
    # Of the area, so that rounded corners do not make the pattern too small.
    step = math.pi / points
    waist = inner if inner < 1 else math.cos(step)
    size = math.sqrt(part.area / (points * waist * math.sin(step)))
    if not 0.8 * size <= sharp <= 1.1 * size:
        return False
    turns = np.arange(2 * points) * step + first
    radii = np.where(np.arange(2 * points) % 2 == 0, size, size * waist)
    return alike(
        part, Polygon(np.column_stack((middle.x + radii * np.cos(turns), middle.y + radii * np.sin(turns)))), share
    )


def _farthest(part: Polygon, count: int) -> list[tuple[float, float]]:
    """The corners of a regular polygon as it stands: the places of its outline farthest from the middle."""
    middle = part.centroid
    points = shapely.get_coordinates(part.exterior)[:-1]
    away = points - (middle.x, middle.y)
    first = int(np.argmax(np.hypot(away[:, 0], away[:, 1])))
    angle, radius = math.atan2(away[first, 1], away[first, 0]), float(np.hypot(*away[first]))
    turns = (angle + 2 * math.pi * k / count for k in range(count))
    return [(middle.x + radius * math.cos(t), middle.y + radius * math.sin(t)) for t in turns]


def _at_necks(part: Polygon) -> list[Polygon]:
    """The pieces of an area that hang together by their corners alone; the area itself where nothing does so."""
    width = 0.03 * math.sqrt(part.area)
    pieces = polygons(part.buffer(-width, join_style="mitre"))
    if len(pieces) < 2:
        return [part]
    return [one for piece in pieces for one in polygons(piece.buffer(width, join_style="mitre"))]


def _shape_share(part: Polygon, sides: int) -> float:
    """How much of the largest triangle round an area's corners the area fills: 1 for a triangle."""
    hull = shapely.get_coordinates(shapely.convex_hull(part).simplify(0.02 * math.sqrt(part.area)))[:-1]
    if len(hull) != sides:
        return 0.0
    return float(part.area / Polygon(hull).area)
