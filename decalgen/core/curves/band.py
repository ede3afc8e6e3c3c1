"""Bands: the area of a line of some width along a curve. Pure; mm.

The width is measured square across the curve, as one measures a painted line. Edges are drawn from the curve's own
normals, which is exact in place; where they cross, in a bend tighter than half the width, the band is the union of its
pieces between two normals.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise
from typing import Literal, NamedTuple

import numpy as np
import shapely
from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from decalgen.core.arrays import FloatArray
from decalgen.core.curves.curve import Curve
from decalgen.core.curves.parallel import FINE, THINNED
from decalgen.core.geometry import arc_points, region

MITRE = 4.0
"""A corner reaches no further from the curve than so many half widths; a sharper one is cut straight across."""
CORNER = 1e-6
"""A curve that turns further in one place has a corner there, radians."""
ONE_CORNER = 1e-6
"""Corners nearer to one another are one, mm."""
Ending = Literal["square", "round", "pointed"]


class Edges(NamedTuple):
    """A stretch of curve without corner: its stations, the edges left and right of it, and whether it closes."""

    left: FloatArray
    right: FloatArray
    closed: bool


def band(curve: Curve, width: float, ends: Ending = "square", point: float = 0.0) -> MultiPolygon:
    """The area of a line ``width`` mm wide along a curve; where a curve ends it is square, round or pointed.

    A pointed end narrows over the last ``point`` mm. Corners are sharp. Neighbouring areas overlap nowhere: it is one
    clean region.
    """
    narrowing = point if ends == "pointed" else 0.0
    areas: list[BaseGeometry] = []
    for part in _stretches(curve):
        wide = max(abs(bend) for piece in part.pieces for bend in piece[3:5]) * width < 2
        areas += _area(_edges(curve, part, width, narrowing), wide)
    areas += _joins(curve, width)
    if ends == "round" and not curve.closed:
        way = curve.directions(np.array([0.0, curve.length])) + np.array([math.pi / 2, -math.pi / 2])
        for place, angle in zip((curve.pieces[0][:2], curve.end), way.tolist(), strict=True):
            areas.append(Polygon(arc_points(place, width / 2, angle, angle + math.pi)))
    # Corners that are one but for rounding would make it cross itself wherever it is moved to.
    whole = shapely.set_precision(shapely.union_all(areas), ONE_CORNER)
    thinned = shapely.simplify(whole, THINNED)
    # Edges that all but touch may cross once they are thinned.
    return region(thinned if thinned.is_valid else whole)


def _corners(curve: Curve) -> list[int]:
    """The pieces that start at a corner, by index; on a closed curve the first among them if its ends meet in one."""
    pairs = list(pairwise(range(len(curve.pieces))))
    if curve.closed:
        pairs.insert(0, (len(curve.pieces) - 1, 0))
    return [after for before, after in pairs if abs(_turn(curve, before, after)) > CORNER]


def _turn(curve: Curve, before: int, after: int) -> float:
    one = curve.pieces[before]
    return math.remainder(curve.pieces[after].direction - one.direction - one.turn, 2 * math.pi)


def _stretches(curve: Curve) -> Iterator[Curve]:
    """The curve between its corners."""
    cuts = _corners(curve)
    if not cuts:
        yield curve
        return
    pieces = curve.pieces
    if curve.closed:
        pieces, cuts = pieces[cuts[0] :] + pieces[: cuts[0]], [cut - cuts[0] for cut in cuts]
        for a, b in pairwise([*cuts, len(pieces)]):
            yield Curve(pieces[a:b])
        return
    for a, b in pairwise([0, *cuts, len(pieces)]):
        yield Curve(pieces[a:b])


def _edges(curve: Curve, part: Curve, width: float, point: float) -> Edges:
    """The edges of a stretch; those of a pointed end come together."""
    along = part.stations(FINE)
    half = np.full(len(along), width / 2)
    if point > 0 and not curve.closed:
        first = 0.0 if part.pieces[0] == curve.pieces[0] else math.inf
        last = part.length if part.pieces[-1] == curve.pieces[-1] else math.inf
        told = [p for p in (first + point, last - point) if 0 < p < part.length]
        along = np.unique(np.concatenate((along, told)))
        share = np.minimum(1.0, np.minimum(np.abs(along - first), np.abs(last - along)) / point)
        half = share * width / 2
    places, ways = part.places(along), part.directions(along)
    if part.closed:
        places, ways, half = places[:-1], ways[:-1], half[:-1]
    across = np.column_stack((-np.sin(ways), np.cos(ways))) * half[:, None]
    return Edges(places + across, places - across, part.closed)


def _area(edges: Edges, wide: bool) -> list[Polygon]:
    """The area between two edges: one polygon, or its pieces where its bends are not ``wide`` enough for an edge, or an
    edge crosses itself or the other."""
    if edges.closed:
        rings = [Polygon(edges.left), Polygon(edges.right)]
        rings.sort(key=lambda one: one.area)
        if wide and all(one.is_valid for one in rings) and rings[1].contains_properly(rings[0]):
            return [Polygon(rings[1].exterior, [rings[0].exterior])]
        left, right = (np.vstack((one, one[:1])) for one in (edges.left, edges.right))
    else:
        left, right = edges.left, edges.right
        ring = Polygon(np.vstack((left, right[::-1])))
        if wide and ring.is_valid:
            return [ring]
    corners = np.stack((left[:-1], left[1:], right[1:], right[:-1]), axis=1)
    return list(shapely.convex_hull(shapely.multipoints(corners)))


def _joins(curve: Curve, width: float) -> Iterator[Polygon]:
    """What lies outside of each corner between the two edges that end there."""
    half = width / 2
    for index in _corners(curve):
        piece = curve.pieces[index]
        turn = _turn(curve, index - 1, index)
        side = -math.copysign(half, turn)
        out, before = (piece.direction + math.pi / 2, piece.direction - turn + math.pi / 2)
        here = np.array(piece[:2])
        a, b = (here + side * np.array([math.cos(w), math.sin(w)]) for w in (before, out))
        middle = before + turn / 2
        reach = 1 / max(math.cos(turn / 2), 1e-9)
        tip = [here + side * reach * np.array([math.cos(middle), math.sin(middle)])] if reach <= MITRE else []
        yield Polygon([here, a, *tip, b])
