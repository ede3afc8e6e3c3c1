"""Cells along a curve: checks and chevrons whose lengths are equal on the middle of their band. Pure; mm.

Places along a curve of clothoids are lengths of it; beside it a length is as much less as it bends that way. Every
point of a cell is made from its place along and across alone, so that neighbours share their points to the last bit.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from typing import NamedTuple

import numpy as np
from shapely.geometry import Polygon

from decalgen.core.arrays import FloatArray
from decalgen.core.curves.band import Lanes
from decalgen.core.curves.course import CurveError
from decalgen.core.curves.curve import Curve
from decalgen.core.curves.parallels import corners
from decalgen.core.curves.stretches import extended
from decalgen.core.geometry import SLIVER, TOLERANCE
from decalgen.core.values import dataclass

OVER_BEND = 0.9
"""What lies over an edge reaches no further into a bend than this share of its radius."""

OVER = -1.0
"""The share of its width at which a band ends that reaches over its edge."""


class Cell(NamedTuple):
    """One cell, which column and row it lies in, counted along the curve and from its right side."""

    column: int
    row: int
    area: Polygon


class CellEdge(NamedTuple):
    """The edge between two chevrons: lengths along the band, and points."""

    along: FloatArray
    points: FloatArray


def cell_count(length: float, wished: float, among: int = 1) -> int:
    """How many cells, a multiple of ``among``, come nearest to the wished length."""
    low = max(1, math.floor(length / wished / among)) * among
    high = low + among
    return low if abs(length / low - wished) <= abs(length / high - wished) else high


@dataclass(frozen=True)
class Net:
    """A band on a curve, that begins ``before`` mm along it, the places along it that keep its edges smooth, and how
    far along the middle of the band each of them lies (0 at the start of the curve)."""

    curve: Curve
    lanes: Lanes
    before: float
    along: FloatArray
    middle: FloatArray

    @property
    def length(self) -> float:
        """The length of the middle of the band."""
        first, last = np.interp([0.0, self.lanes.length], self.along, self.middle).tolist()
        return float(last - first)

    def places(self, middle: FloatArray) -> FloatArray:
        """Lengths along the curve where the middle of the band is so long; beyond its ends it goes on as it is."""
        if self.lanes.near is None:
            return middle
        round_once = np.floor(middle / self.length) if self.curve.closed else np.zeros(len(middle))
        within = middle - round_once * self.length
        found = np.interp(within, self.middle, self.along) + round_once * self.lanes.length
        over = within - np.clip(within, self.middle[0], self.middle[-1])
        answer: FloatArray = found + over
        return answer

    def points(self, along: FloatArray, shares: FloatArray) -> FloatArray:
        """The points at lengths along the band (first index), at shares of its width from its right side (second);
        `OVER` for how far that reaches over its edge."""
        far, over = self.lanes.at(along), self.lanes.over_at(along)[:, None]
        right = far[:, :1] + over
        beside = np.where(shares == OVER, right - over, right + shares * (far[:, 1:2] - right))
        places, across = self.curve.places(along + self.before), self.curve.normals(along + self.before)
        found: FloatArray = places[:, None] + beside[:, :, None] * across[:, None]
        return found

    def between(self, start: float, end: float) -> FloatArray:
        """Its places between two."""
        along = self.along
        if self.curve.closed:
            along = np.concatenate((along - self.lanes.length, along, along + self.lanes.length))
        found: FloatArray = along[(along > start) & (along < end)]
        return found


def net_along(curve: Curve, lanes: Lanes, beyond: tuple[float, float] = (0.0, 0.0)) -> Net:
    """The net of a band that goes on ``beyond`` its ends. Raises `CurveError` where its line has a corner, or bends too
    tightly for its width: cells would fold over each other."""
    cuts = corners(curve)
    if cuts:
        x, y = curve.pieces[cuts[0]][:2]
        raise CurveError(
            f"checks and chevrons cannot go round the corner of the band at ({x:.4g}, {y:.4g})",
            fix="remove the corner, or make a band of each side of it",
        )
    for left in (True, False):
        radius, at = curve.least_radius(left)
        far = replace(lanes, over=0.0).at(np.array([at]))[0]
        inner = float(far.max() if left else -far.min())
        if inner >= radius:
            raise CurveError(
                f"checks or chevrons that reach {inner:.2f} mm into a bend round {radius:.2f} mm fold over each other, "
                f"{at:.1f} mm along the band",
                fix="make the band narrower, or measure more points in that bend",
            )
    before = 0.0 if curve.closed else beyond[0]
    long = curve if curve.closed else extended(curve, *beyond)
    along = np.unique(np.concatenate((long.stations(lanes.fineness(curve)) - before, lanes.stations())))
    # What lies over an edge, on the inside of a bend, ends before its middle.
    inner = long.least_radius(left=False)[0]
    lanes = replace(lanes, over=min(lanes.over, OVER_BEND * inner))
    return Net(long, lanes, before, along, _middle(long, lanes, before, along))


def _middle(curve: Curve, lanes: Lanes, before: float, along: FloatArray) -> FloatArray:
    """How long the middle of a band is from the start of the curve to each place: the integral of 1 less bend times
    distance, by Gauss's rule of two points, which is exact for cubics."""
    plain = replace(lanes, over=0.0)
    step = np.diff(along)
    total = np.zeros(len(along))
    for share in (0.5 - math.sqrt(1 / 12), 0.5 + math.sqrt(1 / 12)):
        at = along[:-1] + share * step
        total[1:] += step / 2 * (1 - curve.curvatures(at + before) * plain.at(at).mean(axis=1))
    found: FloatArray = np.cumsum(total)
    return found - np.interp(0.0, along, found)


def checks_along(net: Net, rows: int, count: int, beyond: tuple[float, float]) -> Iterator[Cell]:
    """Checks in ``count`` columns; the outer ones grow over the ends of an open band."""
    length = net.lanes.length
    ends = [*net.places(net.length * np.arange(count) / count).tolist(), length]
    if not net.curve.closed:
        ends[0], ends[-1] = -beyond[0], length + beyond[1]
    along = np.unique(np.concatenate((net.between(ends[0], ends[-1]), ends)))
    # Made in one go: the same place made twice may differ in its last bit.
    low = OVER if net.lanes.over else 0.0
    points = net.points(along, np.array([[low] + [row / rows for row in range(1, rows)] + [1.0]]))
    if net.curve.closed:
        points[-1] = points[0]
    cuts = np.searchsorted(along, ends)
    for column, (a, b) in enumerate(pairwise(cuts.tolist())):
        for row in range(rows):
            yield Cell(column, row, Polygon(np.vstack((points[a : b + 1, row], points[a : b + 1, row + 1][::-1]))))


def chevrons_along(net: Net, count: int, lean: float, beyond: tuple[float, float]) -> Iterator[Cell]:
    """Chevrons in ``count`` columns, that point along the curve for a positive ``lean``: how far an arm falls back for
    each mm that it goes outward. Those at the ends of an open band are cut off square."""
    length = net.lanes.length
    step = net.length / count
    low, high = (-math.inf, math.inf) if net.curve.closed else (-beyond[0], length + beyond[1])
    reach = abs(lean) * net.lanes.furthest
    spill = 0 if net.curve.closed else math.ceil((reach + max(beyond)) / step) + 1
    arms = max(2, math.ceil(2 * math.sqrt(net.curve.most_curvature * (reach + 1) ** 2 / TOLERANCE)))
    over = [OVER] if net.lanes.over else []
    shares = np.concatenate((over, np.linspace(0.0, 0.5, arms), np.linspace(0.5, 1.0, arms)[1:]))
    edges = [_edge(net, step * j, lean, shares, (low, high)) for j in range(-spill, count + spill + 1)]
    if net.curve.closed:
        edges[-1] = CellEdge(edges[0].along + length, edges[0].points)
    for number, (back, front) in enumerate(pairwise(edges)):
        for area in _between_edges(net, back, front):
            yield Cell(number - spill, 0, area)


def _between_edges(net: Net, back: CellEdge, front: CellEdge) -> Iterator[Polygon]:
    """A chevron, or what is left of its arms where an end of the band cuts it off."""
    wide = np.concatenate(([False], front.along - back.along > TOLERANCE / 1000, [False]))
    starts, ends = np.flatnonzero(wide[1:] & ~wide[:-1]), np.flatnonzero(wide[:-1] & ~wide[1:]) - 1
    last = len(back.along) - 1
    for i, j in zip(starts.tolist(), ends.tolist(), strict=True):
        i, j = max(i - 1, 0), min(j + 1, last)
        ring = [back.points[i : i + 1], *_rim(net, back, front, i, 0.0), front.points[i : j + 1]]
        ring += [rim[::-1] for rim in _rim(net, back, front, j, 1.0)]
        ring.append(back.points[i + 1 : j + 1][::-1])
        area = Polygon(np.vstack(ring))
        if area.area > SLIVER:
            yield area


def _rim(net: Net, back: CellEdge, front: CellEdge, at: int, side: float) -> Iterator[FloatArray]:
    """The edge of the band between two chevrons' ends, where they lie on it."""
    if at == (0 if side == 0 else len(back.along) - 1):
        share = OVER if side == 0 and net.lanes.over else side
        yield net.points(net.between(float(back.along[at]), float(front.along[at])), np.array([[share]]))[:, 0]


def _edge(net: Net, tip: float, lean: float, shares: FloatArray, ends: tuple[float, float]) -> CellEdge:
    """The edge between two chevrons from its right side to its left."""
    place = np.clip(net.places(np.array([tip])), 0.0, net.lanes.length)
    width = float(np.ptp(net.lanes.at(place)[0]) - net.lanes.over_at(place)[0])
    out = np.where(shares == OVER, width / 2 + net.lanes.over, width * np.abs(shares - 0.5))
    along = np.clip(net.places(tip - lean * out), *ends)
    return CellEdge(along, net.points(along, shares[:, None])[:, 0])
