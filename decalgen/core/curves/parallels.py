"""What of a stripe beside a curve keeps its distance from it, and lies on its side of it. Pure; mm.

A stripe is drawn from the curve's own normals. In a bend tighter than its distance, in a sharp corner and where a curve
comes back to itself those cross, and reach places that lie nearer to another stretch of the curve, or behind it. What
is taken away here leaves the true parallels.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from typing import NamedTuple

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from decalgen.core.arrays import FloatArray
from decalgen.core.curves.curve import Curve
from decalgen.core.geometry import SLIVER, TOLERANCE

MITRE = 4.0
"""A corner reaches no further from the curve than so many times the distance; a sharper one is cut straight across."""
CORNER = 1e-6
"""A curve that turns further in one place has a corner there, radians."""
EVEN = 1e-9
"""An edge this near to the curve lies on it, mm."""
ONE_PLACE = 1e-6
"""Places nearer to one another are one, mm."""
Reach = Callable[[FloatArray], FloatArray]
"""From places along the curve to the distances of the edges to its left there, one row a place."""


class CurvePart(NamedTuple):
    """A stretch of curve without corner: its places, the unit vectors to its left there, how far to the left each edge
    lies, the edges there (one row a place), and whether it closes."""

    curve: Curve
    places: FloatArray
    normals: FloatArray
    far: FloatArray
    edges: FloatArray
    closed: bool


class LinedCurve(NamedTuple):
    """A whole curve: its stretches, the pieces that start at a corner, and how far its edges reach."""

    curve: Curve
    parts: Sequence[CurvePart]
    cuts: Sequence[int]
    reach: Reach

    @property
    def places(self) -> FloatArray:
        """Its places, each once."""
        parts = [one.places if one.closed else one.places[:-1] for one in self.parts]
        return np.vstack(parts if self.curve.closed else [*parts, self.parts[-1].places[-1:]])

    @property
    def sideless(self) -> FloatArray:
        """Its corners, and the ends of an open one: what lies nearest to them is to neither side."""
        ends = [] if self.curve.closed else [self.curve.pieces[0][:2], self.curve.end]
        return np.array([*ends, *(self.curve.pieces[index][:2] for index in self.cuts)])


def corners(curve: Curve) -> list[int]:
    """The pieces that start at a corner, by index; on a closed curve the first among them if its ends meet in one."""
    first = 0 if curve.closed else 1
    return [index for index in range(first, len(curve.pieces)) if abs(turn_before(curve, index)) > CORNER]


def turn_before(curve: Curve, index: int) -> float:
    """How far a curve turns to the left where a piece starts, radians."""
    before = curve.pieces[index - 1]
    return math.remainder(curve.pieces[index].direction - before.direction - before.turn, 2 * math.pi)


def quads(right: FloatArray, left: FloatArray, closed: bool) -> list[BaseGeometry]:
    """The pieces between two edges from one place to the next."""
    if closed:
        right, left = (np.vstack((one, one[:1])) for one in (right, left))
    corners_of = np.stack((left[:-1], left[1:], right[1:], right[:-1]), axis=1)
    return list(shapely.convex_hull(shapely.multipoints(corners_of)))


def joins(curve: Curve, cuts: Sequence[int], reach: Reach, edges: tuple[int, ...]) -> Iterator[Polygon]:
    """What lies outside of each corner between two edges, or between the curve and one."""
    for index in cuts:
        piece = curve.pieces[index]
        turn = turn_before(curve, index)
        side = -math.copysign(1.0, turn)
        before = piece.direction - turn + math.pi / 2
        here = np.array(piece[:2])
        told = reach(curve.starts[index : index + 1])[0, list(edges)].tolist()
        out = [max(0.0, v * side) for v in told]
        near, far = min(out) if len(out) > 1 else 0.0, max(out)
        if far <= 0:
            continue
        inner = reversed(_tip(here, before, turn, side * near)) if near > 0 else [here]
        yield Polygon([*inner, *_tip(here, before, turn, side * far)])


def _tip(here: FloatArray, before: float, turn: float, far: float) -> list[FloatArray]:
    """An edge round a corner: to its tip, or straight across where that would reach too far."""
    a, b = (here + far * np.array([math.cos(w), math.sin(w)]) for w in (before, before + turn))
    reach = 1 / max(math.cos(turn / 2), 1e-9)
    middle = before + turn / 2
    tip = [here + far * reach * np.array([math.cos(middle), math.sin(middle)])] if reach <= MITRE else []
    return [a, *tip, b]


def parallel(area: BaseGeometry, line: LinedCurve, low: int, high: int) -> BaseGeometry:
    """What of a stripe between two edges keeps its distance and lies on its side; all of one that lies on the line."""
    edge, side = _nearer_edge(line, low, high)
    if not side:
        return area
    if line.curve.closed:
        return area.difference(shapely.union_all([*_nearer(line, edge, side), _across(line, side)]))
    nearer = [*_nearer(line, edge, side), *_nearer(line, edge, -side)]
    left = area.difference(shapely.union_all(nearer)) if nearer else area
    return _on_its_side(left, line, side)


def _nearer_edge(line: LinedCurve, low: int, high: int) -> tuple[int, int]:
    """The edge of a stripe that is nearer to the line, and its side: 1 for the left, -1 right, 0 on the line."""
    for edge, side in ((low, 1), (high, -1)):
        if all(float((side * part.far[:, edge]).min()) > -EVEN for part in line.parts):
            return edge, side
    return low, 0


def _nearer(line: LinedCurve, edge: int, side: int) -> Iterator[BaseGeometry]:
    """What lies to one side of a line no further from it than an edge."""

    def reach(along: FloatArray) -> FloatArray:
        answer: FloatArray = side * np.abs(line.reach(along))
        return answer

    for part in line.parts:
        far = side * np.abs(part.far[:, edge])
        if float(np.abs(far).max()) >= TOLERANCE:
            yield from quads(part.places, part.places + far[:, None] * part.normals, part.closed)
    yield from joins(line.curve, line.cuts, reach, (edge,))


def _across(line: LinedCurve, side: int) -> BaseGeometry:
    """What lies on the other side of a closed line."""
    loop = Polygon(line.places)
    inside = (side > 0) == shapely.is_ccw(loop.exterior)
    most = max(float(np.abs(part.far).max()) for part in line.parts)
    return loop.envelope.buffer(most).difference(loop) if inside else loop


def _on_its_side(area: BaseGeometry, line: LinedCurve, side: int) -> BaseGeometry:
    """The parts of an area, cut along an open line, of which some place lies on that side of it."""
    places = line.places
    faces = shapely.get_parts(shapely.polygonize([shapely.union_all([shapely.boundary(area), LineString(places)])]))
    faces = faces[shapely.area(faces) > SLIVER]
    faces = faces[shapely.intersects(area, shapely.point_on_surface(faces))]
    return shapely.union_all([face for face in faces if _reaches_side(face, places, line.sideless, side)])


def _reaches_side(face: Polygon, places: FloatArray, sideless: FloatArray, side: int) -> bool:
    """Whether a corner of an area lies on that side of the place of a line that is nearest to it, or none has a
    side."""
    line, found = LineString(places), shapely.get_coordinates(face)
    along = shapely.line_locate_point(line, shapely.points(found))
    feet = shapely.get_coordinates(shapely.line_interpolate_point(line, along))
    steps = np.diff(places, axis=0)
    starts = np.concatenate(([0.0], np.cumsum(np.hypot(*steps.T))))
    index = np.clip(np.searchsorted(starts, along, side="right") - 1, 0, len(steps) - 1)
    away = found - feet
    left = (steps[index, 0] * away[:, 1] - steps[index, 1] * away[:, 0]) / np.hypot(*steps[index].T)
    free = np.hypot(*(feet[:, None] - sideless[None]).transpose(2, 0, 1)).min(axis=1) > ONE_PLACE
    beside = free & (np.abs(left) > TOLERANCE)
    return bool((side * left[beside] > 0).any()) or not beside.any()
