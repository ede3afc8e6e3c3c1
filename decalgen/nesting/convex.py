"""Outlines for the exact fill: few points, never smaller than the true outline, in convex parts of whole
units.

Whole units make the clipping exact. Simplifying only ever adds to an outline and rounding moves a point by
less than half a nanometre, so what keeps its distance here keeps it in float64 to within the gate's
tolerance.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from functools import cached_property

import numpy as np
import shapely
from shapely.geometry import Polygon

from decalgen.core.arrays import FloatArray
from decalgen.core.values import dataclass

SIMPLER = 0.02
"""How far a simplified outline may reach beyond the true one, mm (a fifth of what a blade can follow)."""

SIDES = 16
"""Sides of the polygon that stands for a disc; it lies round the disc and is 2 % wider at its corners."""

GridPath = list[tuple[int, int]]
Edge = tuple[float, int, int]


@dataclass(frozen=True)
class ConvexPart:
    """A convex polygon: its lowest (then leftmost) point, and its edges by rising angle from there."""

    x: int
    y: int
    edges: tuple[Edge, ...]

    @cached_property
    def path(self) -> GridPath:
        """The corners, anticlockwise from the lowest."""
        x, y = self.x, self.y
        path = []
        for _, dx, dy in self.edges:
            path.append((x, y))
            x += dx
            y += dy
        return path

    def negated(self) -> ConvexPart:
        """The part turned by half a turn about the origin."""
        return part_of([(-x, -y) for x, y in self.path])


def part_of(path: Sequence[tuple[int, int]]) -> ConvexPart:
    """A convex part from its corners, anticlockwise."""
    count = len(path)
    start = min(range(count), key=lambda i: (path[i][1], path[i][0]))
    edges = []
    for i in range(count):
        x0, y0 = path[(start + i) % count]
        x1, y1 = path[(start + i + 1) % count]
        if (x0, y0) != (x1, y1):
            edges.append((_angle(x1 - x0, y1 - y0), x1 - x0, y1 - y0))
    return ConvexPart(*path[start], tuple(sorted(edges)))


def _angle(dx: int, dy: int) -> float:
    angle = math.atan2(dy, dx)
    return angle if angle >= 0 else angle + 2 * math.pi


def add(a: ConvexPart, b: ConvexPart) -> ConvexPart:
    """The Minkowski sum of two convex parts: the edges of both, by angle."""
    merged: list[Edge] = []
    for edge in sorted(a.edges + b.edges):
        if merged and edge[0] == merged[-1][0]:
            angle, dx, dy = merged[-1]
            merged[-1] = (angle, dx + edge[1], dy + edge[2])
        else:
            merged.append(edge)
    return ConvexPart(a.x + b.x, a.y + b.y, tuple(merged))


def fewer(part: ConvexPart, tolerance: float) -> ConvexPart:
    """A convex part with short slanted edges left out, their neighbours lengthened until they meet.

    It reaches at most the tolerance further, and no further along the axes, so rows of boxes stay as tight.
    """
    path = part.path
    xs, ys = [p[0] for p in path], [p[1] for p in path]
    bounds = min(xs), min(ys), max(xs), max(ys)
    changed = True
    while changed and len(path) > 4:
        changed = False
        out: list[tuple[int, int]] = []
        count = len(path)
        i = 0
        while i < count:
            b, c = path[i], path[(i + 1) % count]
            if i + 1 < count and b[0] != c[0] and b[1] != c[1]:
                a, d = out[-1] if out else path[i - 1], path[(i + 2) % count]
                meet = _near(a, b, c, d, tolerance, bounds)
                if meet is not None:
                    out.append(meet)
                    changed = True
                    i += 2
                    continue
            out.append(b)
            i += 1
        path = out
    return part if len(path) == len(xs) else part_of(path)


def _near(
    a: tuple[int, int],
    b: tuple[int, int],
    c: tuple[int, int],
    d: tuple[int, int],
    tolerance: float,
    bounds: tuple[int, int, int, int],
) -> tuple[int, int] | None:
    """Where the neighbours of an edge from b to c meet, if that is near to it and within the bounds."""
    # In one piece without calls: this runs for each corner of each no-fit polygon.
    (bx, by), (cx, cy) = b, c
    ux, uy, vx, vy = bx - a[0], by - a[1], cx - d[0], cy - d[1]
    bend = ux * vy - uy * vx
    if abs(bend) < 1e-12:
        return None
    gx, gy = d[0] - bx, d[1] - by
    t = (gx * vy - gy * vx) / bend
    if t < 0 or (gx * uy - gy * ux) / bend < 1:
        return None
    x, y = bx + t * ux, by + t * uy
    if not (bounds[0] <= x <= bounds[2] and bounds[1] <= y <= bounds[3]):
        return None
    ex, ey = cx - bx, cy - by
    if (x - bx) * ey - (y - by) * ex > tolerance * math.hypot(ex, ey):
        return None
    return _away(x, bx, cx), _away(y, by, cy)


def _away(value: float, b: int, c: int) -> int:
    # Rounded away from the edge left out, so that rounding only adds.
    return math.ceil(value) if 2 * value > b + c else math.floor(value)


def round_part(radius: int) -> ConvexPart | None:
    """A polygon round a disc about the origin, exactly as wide and high as the disc; None for no radius."""
    if radius <= 0:
        return None
    reach = radius / math.cos(math.pi / SIDES)
    path = []
    for i in range(SIDES):
        angle = (i + 0.5) * 2 * math.pi / SIDES
        x, y = reach * math.cos(angle), reach * math.sin(angle)
        path.append((_outward(x, radius), _outward(y, radius)))
    return part_of(path)


def _outward(value: float, radius: int) -> int:
    # The corners of the sides along the axes lie at the radius exactly; ceil would add a unit of float noise.
    whole = radius if abs(abs(value) - radius) < 0.5 else math.ceil(abs(value))
    return whole if value > 0 else -whole


def simpler(points: FloatArray, tolerance: float = SIMPLER) -> FloatArray:
    """A ring with its area on the left, with fewer points; area is added, never taken away.

    A dent less deep than the tolerance is filled; a short edge between two outer corners is replaced by the
    point where its neighbours meet, where that lies within the tolerance.
    """
    ring = [(float(x), float(y)) for x, y in points]
    for level in (1e-7, tolerance / 16, tolerance / 4, tolerance):
        before = -1
        while len(ring) != before and len(ring) > 3:
            before = len(ring)
            ring = _pass(ring, level)
    return np.array(ring)


def _pass(ring: list[tuple[float, float]], level: float) -> list[tuple[float, float]]:
    count = len(ring)
    out: list[tuple[float, float]] = []
    # Corners left out since the last that stays: each must lie as near, or a long shallow dent would be filled whole.
    gone: list[tuple[float, float]] = []
    i = 0
    removed = 0
    while i < count:
        a = out[-1] if out else ring[-1]
        b, c, d = ring[i], ring[(i + 1) % count], ring[(i + 2) % count]
        if count - removed > 3 and i + 1 < count:
            turn = _cross(a, b, c)
            length = math.dist(a, c)
            deepest = max((-_cross(a, one, c) for one in gone), default=0.0)
            if turn <= 0 and length > 0 and max(-turn, deepest) / length <= level and _between(a, b, c):
                gone.append(b)
                removed += 1
                i += 1
                continue
            meet = _meet(a, b, c, d) if i + 2 < count and turn > 0 and _cross(b, c, d) > 0 else None
            if meet is not None and _cross(b, meet, c) / max(math.dist(b, c), 1e-12) <= level:
                out.append(meet)
                gone.clear()
                removed += 1
                i += 2
                continue
        out.append(b)
        gone.clear()
        i += 1
    return out


def _between(a: tuple[float, float], b: tuple[float, float], c: tuple[float, float]) -> bool:
    along = (b[0] - a[0]) * (c[0] - a[0]) + (b[1] - a[1]) * (c[1] - a[1])
    return 0 <= along <= math.dist(a, c) ** 2


def _cross(a: tuple[float, float], b: tuple[float, float], c: tuple[float, float]) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def _meet(
    a: tuple[float, float], b: tuple[float, float], c: tuple[float, float], d: tuple[float, float]
) -> tuple[float, float] | None:
    """Where the line from a through b meets the line from d through c, if beyond both."""
    ux, uy, vx, vy = b[0] - a[0], b[1] - a[1], c[0] - d[0], c[1] - d[1]
    bend = ux * vy - uy * vx
    if abs(bend) < 1e-12:
        return None
    t = ((d[0] - b[0]) * vy - (d[1] - b[1]) * vx) / bend
    s = ((d[0] - b[0]) * uy - (d[1] - b[1]) * ux) / bend
    if t < 0 or s < 1:
        return None
    return b[0] + t * ux, b[1] + t * uy


def superset(outline: FloatArray, openings: Sequence[FloatArray] = ()) -> Polygon:
    """The simplified outline as a polygon that covers the true one and is no wider or higher."""
    true = Polygon(outline, [o[::-1] for o in openings])
    rough = Polygon(simpler(outline), [simpler(o[::-1]) for o in openings])
    if rough.is_valid:
        rough = shapely.intersection(rough, shapely.box(*true.bounds))
        if isinstance(rough, Polygon) and rough.buffer(1e-9).covers(true):
            return rough
    return true


def convex_parts(polygon: Polygon) -> list[FloatArray]:
    """Convex rings, anticlockwise, that together make up a polygon (with holes)."""
    for hole in polygon.interiors:
        x0, y0, x1, y1 = polygon.bounds
        middle = (hole.bounds[0] + hole.bounds[2]) / 2
        halves = [shapely.box(x0 - 1, y0 - 1, middle, y1 + 1), shapely.box(middle, y0 - 1, x1 + 1, y1 + 1)]
        pieces = [g for half in halves for g in shapely.get_parts(shapely.intersection(polygon, half))]
        return [part for g in pieces if isinstance(g, Polygon) and g.area > 0 for part in convex_parts(g)]
    points = shapely.get_coordinates(polygon.exterior)[:-1]
    ring = points if polygon.exterior.is_ccw else points[::-1]
    indices = _merge(_corners(ring), _triangles(ring))
    return [ring[part] for part in indices]


def _corners(ring: FloatArray) -> list[tuple[float, float]]:
    return [(float(x), float(y)) for x, y in ring]


def _triangles(ring: FloatArray) -> list[list[int]]:
    """Ear clipping; the last corners are taken as they are."""
    left = list(range(len(ring)))
    corners = _corners(ring)
    if _is_convex(corners, left):
        return [left]
    found: list[list[int]] = []
    while len(left) > 3 and not _is_convex(corners, left):
        for k in range(len(left)):
            a, b, c = left[k - 1], left[k], left[(k + 1) % len(left)]
            if _cross(corners[a], corners[b], corners[c]) <= 0:
                continue
            others = ring[[i for i in left if i not in (a, b, c)]]
            if not _any_inside(ring[a], ring[b], ring[c], others):
                found.append([a, b, c])
                del left[k]
                break
        else:
            del left[
                int(
                    np.argmin(
                        [
                            abs(_cross(corners[left[k - 1]], corners[left[k]], corners[left[(k + 1) % len(left)]]))
                            for k in range(len(left))
                        ]
                    )
                )
            ]
    found.append(left)
    return found


def _any_inside(a: FloatArray, b: FloatArray, c: FloatArray, others: FloatArray) -> bool:
    def side(p: FloatArray, q: FloatArray) -> FloatArray:
        return np.asarray((q[0] - p[0]) * (others[:, 1] - p[1]) - (q[1] - p[1]) * (others[:, 0] - p[0]))

    return bool(((side(a, b) >= 0) & (side(b, c) >= 0) & (side(c, a) >= 0)).any())


def _is_convex(ring: Sequence[tuple[float, float]], part: list[int]) -> bool:
    count = len(part)
    return all(_cross(ring[part[i - 1]], ring[part[i]], ring[part[(i + 1) % count]]) >= -1e-9 for i in range(count))


def _merge(ring: Sequence[tuple[float, float]], parts: list[list[int]]) -> list[list[int]]:
    """Join parts along a shared edge wherever the result is convex: over and over the earliest two that can be joined.

    Two that cannot be joined can be only once one of them has grown: so after a join none of the earlier parts is tried
    again but with the one that grew.
    """
    there = dict(enumerate(parts))
    owner = {side: n for n, part in there.items() for side in _sides(part)}
    n = 0
    while n < len(parts):
        beside = {owner.get((b, a), n) for a, b in _sides(there[n])} if n in there else set()
        for other in sorted((beside & there.keys()) - {n}):
            first, second = min(n, other), max(n, other)
            joined = _join(there[first], there[second])
            if joined and _is_convex(ring, joined):
                there[first], n = joined, first
                del there[second]
                owner |= dict.fromkeys(_sides(joined), first)
                break
        else:
            n += 1
    return list(there.values())


def _sides(part: list[int]) -> Iterator[tuple[int, int]]:
    return zip(part, part[1:] + part[:1], strict=True)


def _join(a: list[int], b: list[int]) -> list[int] | None:
    edges = {(b[i], b[(i + 1) % len(b)]): i for i in range(len(b))}
    for i in range(len(a)):
        j = edges.get((a[(i + 1) % len(a)], a[i]))
        if j is not None:
            rest = [b[(j + k) % len(b)] for k in range(2, len(b))]
            return a[: i + 1] + rest + a[i + 1 :]
    return None
