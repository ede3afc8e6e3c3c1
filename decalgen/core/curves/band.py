"""Bands: the areas of stripes of some width along a curve. Pure; mm.

The width is measured square across the curve, as one measures a painted line. Edges are drawn from the curve's own
normals, which is exact in place; where they cross, in a bend tighter than their distance, a band is the union of its
pieces between two normals, without what lies nearer to the curve than it should: so its edges are true parallels.
Stripes that share an edge share its points to the last bit.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import pairwise
from typing import Literal

import numpy as np
import shapely
from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from decalgen.core.arrays import FloatArray
from decalgen.core.curves.curve import Curve
from decalgen.core.curves.parallels import ONE_PLACE, CurvePart, LinedCurve, Reach, corners, joins, parallel, quads
from decalgen.core.curves.stretches import extended, stretch
from decalgen.core.curves.widths import Widths
from decalgen.core.geometry import TOLERANCE, arc_points, region
from decalgen.core.values import dataclass

FINE = TOLERANCE / 10
"""How finely a curve is divided at most, mm."""
Ending = Literal["square", "round", "pointed"]


@dataclass(frozen=True)
class Lanes:
    """Stripes side by side along a curve that is ``length`` mm long. Distances are to the left, negative to the right.

    The whole is ``widths`` wide and lies about the curve, or begins at ``near``: to the left of that, where negative to
    the right. ``shares``: from where to where each stripe reaches as a share of the whole, from its right side.
    ``points``: over what length each end narrows to a point, 0 for none; beyond its ends a stripe goes on as it ends.
    ``over``: how much further to the right the first stripe reaches, over an edge that it lies on. ``gap``: how much of
    the whole are gaps that keep their width, of which ``gap_shares`` lie before the edges of each stripe; ``shares``
    are those of the rest. Where the whole is narrower, there are no stripes.
    """

    length: float
    widths: Widths
    shares: tuple[tuple[float, float], ...] = ((0.0, 1.0),)
    near: float | None = None
    points: tuple[float, float] = (0.0, 0.0)
    over: float = 0.0
    gap: float = 0.0
    gap_shares: tuple[tuple[float, float], ...] = ()

    def at(self, along: FloatArray) -> FloatArray:
        """The distances of the edges of each stripe, right and left in turn, one row a place."""
        width = self.widths.at(along)
        middle = np.zeros(len(along)) if self.near is None else self.near + math.copysign(0.5, self.near) * width
        first, last = self.points
        for point, left in ((first, along), (last, self.length - along)):
            if point > 0:
                width = width * np.clip(left / point, 0.0, 1.0)
        right, gaps = middle - width / 2, np.minimum(width, self.gap)
        before = self.gap_shares or ((0.0, 0.0),) * len(self.shares)
        edges = np.column_stack(
            [
                right + share * (width - gaps) + gap * gaps
                for pair, pair_of_gaps in zip(self.shares, before, strict=True)
                for share, gap in zip(pair, pair_of_gaps, strict=True)
            ]
        )
        edges[:, 0] -= self.over_at(along)
        return edges

    def over_at(self, along: FloatArray) -> FloatArray:
        """How much further the first stripe reaches there: a pointed end, which leaves its edge, does not."""
        first, last = self.points
        whole = ((along >= first) | (first <= 0)) & ((along <= self.length - last) | (last <= 0))
        return np.where(whole, self.over, 0.0)

    def stations(self) -> FloatArray:
        """Places where the width has to be read."""
        first, last = self.points
        step = 2 * TOLERANCE if self.over else 0.0
        told = [first - step, first] if first > 0 else []
        told += [self.length - last, self.length - last + step] if last > 0 else []
        stations = np.concatenate((self.widths.stations(TOLERANCE / 4), told))
        return np.concatenate((stations, self._all_gap(stations))) if self.gap else stations

    def _all_gap(self, stations: FloatArray) -> FloatArray:
        """Places between stations where stripes begin and end, since gaps take the whole width."""
        fine = np.unique(np.concatenate((stations, np.linspace(0.0, self.length, 2000))).clip(0.0, self.length))
        whole = replace(self, shares=((0.0, 1.0),), gap_shares=(), gap=0.0, over=0.0).at(fine)
        left = np.diff(whole, axis=1)[:, 0] - self.gap
        at = np.flatnonzero(left[:-1] * left[1:] < 0)
        found: FloatArray = fine[at] + (fine[at + 1] - fine[at]) * left[at] / (left[at] - left[at + 1])
        return found

    def fineness(self, curve: Curve) -> float:
        """How finely a curve has to be divided for their edges to keep the tolerance, mm."""
        return max(FINE, TOLERANCE / 2 / (1 + curve.most_curvature * self.furthest + 2 * self.steepest))

    @property
    def steepest(self) -> float:
        """How fast an edge comes nearer to the curve at most, mm a mm."""
        most = max(self.widths.values)
        return self.widths.steepest + max((most / point for point in self.points if point > 0), default=0.0)

    @property
    def furthest(self) -> float:
        """How far an edge lies from the curve at most, mm."""
        most = max(self.widths.values)
        return most / 2 if self.near is None else max(abs(self.near) + most, self.over)


def band(curve: Curve, width: float, ends: Ending = "square", point: float = 0.0) -> MultiPolygon:
    """The area of a line ``width`` mm wide along a curve; where a curve ends it is square, round or pointed.

    A pointed end narrows over the last ``point`` mm. Corners are sharp. Neighbouring areas overlap nowhere: it is one
    clean region.
    """
    narrowing = point if ends == "pointed" and not curve.closed else 0.0
    lanes = Lanes(curve.length, Widths((0.0,), (width,)), points=(narrowing, narrowing))
    areas: list[BaseGeometry] = list(stripes(curve, lanes))
    if ends == "round" and not curve.closed:
        way = curve.directions(np.array([0.0, curve.length])) + np.array([math.pi / 2, -math.pi / 2])
        for place, angle in zip((curve.pieces[0][:2], curve.end), way.tolist(), strict=True):
            areas.append(Polygon(arc_points(place, width / 2, angle, angle + math.pi)))
    return areas[0] if len(areas) == 1 else _clean(shapely.union_all(areas))


def stripes(
    curve: Curve,
    lanes: Lanes,
    slants: tuple[float, float] = (0.0, 0.0),
    beyond: tuple[float, float] = (0.0, 0.0),
) -> tuple[MultiPolygon, ...]:
    """The area of each stripe along a curve.

    ``slants``: degrees by which the ends lean from square, so that their left sides lie further along; ``beyond``: how
    far they go on straight over the ends of the curve, mm.
    """
    tolerance = lanes.fineness(curve)
    pieces = [
        (_line(piece, start, lanes, tolerance), view) for piece, start, view in _pieces(curve, lanes, slants, beyond)
    ]
    # Pieces that come near to each other are told apart by the whole.
    whole = _line(curve, 0.0, lanes, tolerance) if len(pieces) > 1 else None
    found = []
    for number in range(len(lanes.shares)):
        low, high = 2 * number, 2 * number + 1
        parts = [
            area if view is None else area.intersection(view)
            for area, view in ((_stripe(line, low, high), view) for line, view in pieces)
        ]
        area = parts[0] if len(parts) == 1 else shapely.union_all(parts)
        if whole and not all(_all_clear(line, low, high) for line in (whole, *(line for line, _ in pieces))):
            area = parallel(area, whole, low, high)
        found.append(_clean(area))
    return tuple(found)


def _clean(area: BaseGeometry) -> MultiPolygon:
    """Corners that are one but for rounding would make it cross itself wherever it is moved to."""
    return region(shapely.set_precision(area, ONE_PLACE))


def _pieces(
    curve: Curve, lanes: Lanes, slants: tuple[float, float], beyond: tuple[float, float]
) -> Iterator[tuple[Curve, float, Polygon | None]]:
    """The curve and its ends where these are slanted, where each starts along it, and what is seen of it."""
    if curve.closed or not any(slants):
        long = curve if curve.closed else extended(curve, *beyond)
        yield long, 0.0 if curve.closed else -beyond[0], None
        return
    lean = [math.tan(math.radians(slant)) for slant in slants]
    # Toward the middle of a bend an end's line is met sooner than its leaning alone would have it.
    shorter = 1 - min(0.8, curve.most_curvature * lanes.furthest)
    reach = [1.3 * abs(one) * lanes.furthest / shorter + (TOLERANCE if one else 0.0) for one in lean]
    first, last = (min(one, curve.length / 2) for one in reach)
    if curve.length - first - last > TOLERANCE:
        middle = stretch(curve, first, curve.length - last)
        yield (
            extended(middle, *(0.0 if r else b for r, b in zip(reach, beyond, strict=True))),
            (first if reach[0] else -beyond[0]),
            None,
        )
    size = 4 * (max(reach) + lanes.furthest)
    if reach[0]:
        end = curve.pieces[0]
        view = _half_plane((end.x, end.y), end.direction, lean[0], size)
        yield extended(stretch(curve, 0.0, first), reach[0], 0.0), -reach[0], view
    if reach[1]:
        end = curve.pieces[-1]
        view = _half_plane(curve.end, end.direction + end.turn, lean[1], -size)
        yield extended(stretch(curve, curve.length - last, curve.length), 0.0, reach[1]), curve.length - last, view


def _half_plane(at: tuple[float, float], way: float, lean: float, size: float) -> Polygon:
    """What lies ahead of a line through a place, that leans from square to ``way``; behind it for a negative size."""
    ahead = np.array([math.cos(way), math.sin(way)])
    across = np.array([-ahead[1], ahead[0]]) + lean * ahead
    here = np.array(at)
    low, high = here - abs(size) * across, here + abs(size) * across
    return Polygon([low, high, high + size * ahead * (2 + abs(lean)), low + size * ahead * (2 + abs(lean))])


def _line(curve: Curve, start: float, lanes: Lanes, tolerance: float) -> LinedCurve:
    """A curve that begins ``start`` mm along the lanes, with their edges."""

    def reach(along: FloatArray) -> FloatArray:
        return lanes.at(along + start)

    told = lanes.stations() - start
    cuts = corners(curve)
    parts = [_part(part, at, reach, told, tolerance) for at, part in _stretches(curve, cuts)]
    return LinedCurve(curve, parts, cuts, reach)


def _all_clear(line: LinedCurve, low: int, high: int) -> bool:
    """Whether nothing between two edges crosses or comes near to something else of it."""
    return not line.cuts and all(_clear(part, low, high) for part in line.parts)


def _stripe(line: LinedCurve, low: int, high: int) -> BaseGeometry:
    """What lies between two edges of a line."""
    clear = all(_clear(part, low, high) for part in line.parts)
    areas = [one for part in line.parts for one in _area(part, low, high, clear)]
    areas += joins(line.curve, line.cuts, line.reach, (low, high))
    area = areas[0] if len(areas) == 1 else shapely.union_all(areas)
    return area if clear and not line.cuts else parallel(area, line, low, high)


def _part(curve: Curve, start: float, reach: Reach, told: FloatArray, tolerance: float) -> CurvePart:
    along = curve.stations(tolerance)
    inner = told[(told > start + ONE_PLACE) & (told < start + curve.length - ONE_PLACE)] - start
    if len(inner):
        along = np.unique(np.concatenate((along, inner)))
        along = along[np.concatenate(([True], np.diff(along) > ONE_PLACE / 10))]
    if curve.closed:
        along = along[:-1]
    places = curve.places(along)
    if not curve.closed:
        places[-1] = curve.end
    normals, far = curve.normals(along), reach(along + start)
    edges = places[:, None] + far[:, :, None] * normals[:, None]
    return CurvePart(curve, places, normals, far, edges, curve.closed)


def _stretches(curve: Curve, cuts: Sequence[int]) -> Iterator[tuple[float, Curve]]:
    """The curve between its corners, and where along it each stretch starts."""
    if not cuts:
        yield 0.0, curve
        return
    starts, pieces = curve.starts.tolist(), curve.pieces
    if curve.closed:
        for a, b in pairwise([*cuts, len(pieces)]):
            more = pieces[: cuts[0]] if b == len(pieces) else ()
            yield starts[a], Curve((*pieces[a:b], *more))
        return
    for a, b in pairwise([0, *cuts, len(pieces)]):
        yield starts[a], Curve(pieces[a:b])


def _clear(part: CurvePart, low: int, high: int) -> bool:
    """Whether no edge lies beyond the middle of a bend, and none crosses itself or the other."""
    bends = part.curve.table[:, 3:5]
    if part.far[:, high].max() * bends.max() >= 1 or part.far[:, low].min() * bends.min() >= 1:
        return False
    one, other = part.edges[:, low], part.edges[:, high]
    if not part.closed:
        return bool(Polygon(np.vstack((one, other[::-1]))).is_valid)
    rings = sorted((Polygon(one), Polygon(other)), key=lambda ring: ring.area)
    return all(ring.is_valid for ring in rings) and bool(rings[1].contains_properly(rings[0]))


def _area(part: CurvePart, low: int, high: int, clear: bool) -> list[BaseGeometry]:
    """The area between two edges: one polygon, or its pieces between two normals."""
    right, left = part.edges[:, low], part.edges[:, high]
    if clear and not part.closed:
        return [Polygon(np.vstack((right, left[::-1])))]
    if clear:
        rings = sorted((Polygon(right), Polygon(left)), key=lambda ring: ring.area)
        return [Polygon(rings[1].exterior, [rings[0].exterior])]
    return quads(right, left, part.closed)
