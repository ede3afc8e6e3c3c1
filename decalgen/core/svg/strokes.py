"""Strokes to areas: joins, caps and dashes (SVG 1.1, 11.4), in the units that the line is in, before any transform."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely
from shapely.geometry import LinearRing, LineString, Point, Polygon
from shapely.geometry.base import BaseGeometry

from decalgen.core.arrays import FloatArray
from decalgen.core.geometry import arc_steps
from decalgen.core.svg.dashes import dashed
from decalgen.core.svg.flatten import FlatLine
from decalgen.core.values import dataclass

SLIGHT = 1e-3
"""Two segments that meet at a smaller angle, radians, need no join."""


@dataclass(frozen=True)
class StrokePen:
    """How a line is stroked. ``fine``: how far round ends and joins may be off, in its units."""

    width: float
    cap: str
    join: str
    mitre_limit: float
    dashes: tuple[float, ...] = ()
    offset: float = 0.0
    fine: float = 1e-3

    @property
    def round_steps(self) -> int:
        """Steps to a quarter turn."""
        return max(2, arc_steps(self.width / 2, math.pi / 2, self.fine))


def stroked(lines: Sequence[FlatLine], pen: StrokePen) -> BaseGeometry:
    """The area that a pen covers along some lines. Raises `SvgError` for too many dashes."""
    parts: list[BaseGeometry] = []
    for line in lines:
        for one in dashed(line, pen.dashes, pen.offset) if any(pen.dashes) else (line,):
            parts += _one(_tidy(one), pen)
    return shapely.union_all(parts)


def _tidy(line: FlatLine) -> FlatLine:
    """Without points that repeat the one before: such a piece has no direction."""
    size = float(np.abs(line.points).max(initial=0.0))
    keep = np.concatenate(([True], line.chords > 1e-12 * max(size, 1e-9)))
    if keep.all():
        return line
    number = np.cumsum(keep) - 1
    points = line.points[keep]
    corners = {int(number[one]) for one in line.corners}
    last = len(points) - 1
    return FlatLine(points, tuple(sorted(one for one in corners if 0 < one < last)), line.closed)


def _one(line: FlatLine, pen: StrokePen) -> list[BaseGeometry]:
    points, half = line.points, pen.width / 2
    if len(points) < 2 or (line.closed and len(points) < 3):
        return _dot(points, pen) if len(points) < 2 else _open(FlatLine(points, (), False), pen)
    if not line.closed:
        return _open(line, pen)
    ring = points[:-1]
    if len(ring) < 3:
        # There and back again.
        there = FlatLine(points, (1,), False)
        flat = replace(pen, cap="butt")
        return [*_open(there, flat), *_joins(np.vstack((points, points[1:2])), (2,), flat)]
    steps = pen.round_steps
    body = LinearRing(ring).buffer(half, quad_segs=steps, join_style="round" if pen.join == "round" else "bevel")
    if pen.join != "miter":
        return [body]
    # The start is a corner, too: seen once more at the end.
    again = np.vstack((points, points[1:2]))
    return [body, *_joins(again, (*line.corners, len(points) - 1), pen)]


def _open(line: FlatLine, pen: StrokePen) -> list[BaseGeometry]:
    points, half = line.points, pen.width / 2
    join = "round" if pen.join == "round" else "bevel"
    cap = pen.cap if pen.cap in ("round", "square") else "flat"
    joins = _joins(points, line.corners, pen) if pen.join == "miter" else []
    if len(points) > 3 and (points[0] == points[-1]).all():
        # Ends that lie on each other are no join; GEOS would make one.
        middle = len(points) // 2
        halves = [points[: middle + 1], points[middle:]]
        bodies = [LineString(one).buffer(half, quad_segs=pen.round_steps, cap_style="flat", join_style=join)
                  for one in halves]  # fmt: skip
        around = points[middle - 1 : middle + 2]
        filling: list[BaseGeometry] = []
        if join == "round":
            filling = [Point(*points[middle]).buffer(half, quad_segs=pen.round_steps)]
        elif _turn(around):
            filling = [_wedge(around, half)]
        ends = [one for at, to in ((0, 1), (-1, -2)) for one in _end(points[at], points[to], pen)]
        return [*bodies, *filling, *ends, *joins]
    body = LineString(points).buffer(half, quad_segs=pen.round_steps, cap_style=cap, join_style=join)
    return [body, *joins]


def _end(at: FloatArray, inward: FloatArray, pen: StrokePen) -> list[BaseGeometry]:
    half = pen.width / 2
    if pen.cap == "round":
        return [Point(*at).buffer(half, quad_segs=pen.round_steps)]
    if pen.cap != "square":
        return []
    out = (at - inward) / np.hypot(*(at - inward)) * half
    side = np.array([-out[1], out[0]])
    return [Polygon([at + side, at - side, at - side + out, at + side + out])]


def _dot(points: FloatArray, pen: StrokePen) -> list[BaseGeometry]:
    """A piece without length: a dot under round caps, a square under square ones (SVG 1.1, 11.4)."""
    if not len(points) or pen.cap not in ("round", "square"):
        return []
    return [Point(*points[0]).buffer(pen.width / 2, quad_segs=pen.round_steps, cap_style=pen.cap)]


def _turn(around: FloatArray) -> float:
    """By how much a line turns at the middle of three points, radians, to the left."""
    (ux, uy), (vx, vy) = around[1] - around[0], around[2] - around[1]
    return math.atan2(ux * vy - uy * vx, ux * vx + uy * vy)


def _joins(points: FloatArray, corners: Sequence[int], pen: StrokePen) -> list[BaseGeometry]:
    """The points of mitres within the limit; beyond it the bevel stands, as it is in SVG and not in GEOS."""
    found: list[BaseGeometry] = []
    half = pen.width / 2
    for corner in corners:
        if not 0 < corner < len(points) - 1:
            continue
        around = points[corner - 1 : corner + 2]
        turn = _turn(around)
        if abs(turn) < SLIGHT or abs(turn) > math.pi - 1e-9 or 1 / math.cos(turn / 2) > pen.mitre_limit:
            continue
        found.append(_wedge(around, half, True))
    return found


def _wedge(around: FloatArray, half: float, pointed: bool = False) -> Polygon:
    """What fills the outer side of a corner: a triangle, or with its point on it."""
    before, here, after = around
    side = -1.0 if _turn(around) > 0 else 1.0
    first, second = (_normal(here - before) * half * side, _normal(after - here) * half * side)
    ring = [here, here + first, here + second]
    if pointed:
        middle = first + second
        ring.insert(2, here + middle * (2 * half * half / float(middle @ middle)))
    return Polygon(ring)


def _normal(way: FloatArray) -> FloatArray:
    size = math.hypot(*way)
    return np.array([-way[1] / size, way[0] / size])
