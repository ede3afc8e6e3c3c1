"""A curve as arcs and straight lines, for machines that follow those. Pure; mm.

Each piece of clothoid becomes pairs of arcs that meet it at both ends in its own directions (K. M. Bolton, "Biarc
curves", Computer-Aided Design 7, 1975). A pair over h mm lies |change of curvature| h³ / 329 off, a little
more where it turns far, so equal lengths need the fewest.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import NamedTuple

import numpy as np

from decalgen.core.curves.clothoid import Clothoid
from decalgen.core.curves.curve import Curve
from decalgen.core.geometry import Point, Segment

OFF_MM = 0.002
"""How far an arc may lie from the curve."""
BOLTON = 310.0
FLAT_MM = 2e-5
"""An arc that rises less over its chord is drawn straight."""
ONE_CENTRE_MM = 1e-6
MOST_TURN = math.pi / 2
"""A pair of arcs turns no further."""


class Sweep(NamedTuple):
    """A straight line, or an arc, with how far it turns, radians."""

    start: Point
    end: Point
    centre: Point | None
    turn: float


def segments(curve: Curve, tolerance: float = OFF_MM) -> tuple[Segment, ...]:
    """Arcs and straight lines within ``tolerance`` mm of the curve, in its own order; those of a closed curve may begin
    elsewhere on it. Neighbours round one centre are one; no arc turns further than half round."""
    runs = [run for piece in curve.pieces for run in _runs(piece, tolerance)]
    ends = [*(run.start for run in runs[1:]), runs[0].start if curve.closed else curve.end]
    runs = [run._replace(end=end) for run, end in zip(runs, ends, strict=True)]
    merged = _merged(runs)
    if curve.closed and len(merged) > 1:
        last, first = merged[-1], merged[0]
        if _alike(last, first):
            merged = [*merged[1:-1], _joined(last, first)]
    return tuple(segment for run in merged for segment in _halves(run))


def _runs(piece: Clothoid, tolerance: float) -> Iterator[Sweep]:
    """One piece as runs, the last ending near where the piece does."""
    change = abs(piece.end_curvature - piece.start_curvature) / piece.length
    curve = Curve((piece,))
    if change * piece.length**3 / BOLTON < FLAT_MM / 100 and abs(piece.turn) < math.pi:
        yield from _even(piece, curve)
        return
    bend = max(abs(piece.start_curvature), abs(piece.end_curvature))
    by_distance = piece.length * (change / (BOLTON * tolerance)) ** (1 / 3)
    count = max(1, math.ceil(by_distance), math.ceil(bend * piece.length / MOST_TURN))
    along = np.linspace(0.0, piece.length, count + 1)
    points, ways = curve.places(along).tolist(), curve.directions(along).tolist()
    for (a, b), (way_a, way_b) in zip(pairwise(points), pairwise(ways), strict=True):
        yield from _pair((a[0], a[1]), way_a, (b[0], b[1]), way_b)


def _even(piece: Clothoid, curve: Curve) -> Iterator[Sweep]:
    """A piece of even curvature: one run."""
    start, end = (piece.x, piece.y), curve.end
    chord = math.dist(start, end)
    curvature = (piece.start_curvature + piece.end_curvature) / 2
    yield _run(start, end, piece.direction, curvature, chord)


def _run(start: Point, end: Point, way: float, curvature: float, chord: float) -> Sweep:
    """The run from a start in a direction: straight, or round the centre at its side."""
    if abs(curvature) * chord * chord / 8 < FLAT_MM:
        return Sweep(start, end, None, 0.0)
    centre = (start[0] - math.sin(way) / curvature, start[1] + math.cos(way) / curvature)
    a, b = (math.atan2(p[1] - centre[1], p[0] - centre[0]) for p in (start, end))
    sign = math.copysign(1.0, curvature)
    return Sweep(start, end, centre, sign * ((sign * (b - a)) % (2 * math.pi)))


def _pair(a: Point, way_a: float, b: Point, way_b: float) -> Iterator[Sweep]:
    """Two arcs that meet both ends in their directions, with tangents of equal length (Bolton 1975)."""
    ca, sa, cb, sb = math.cos(way_a), math.sin(way_a), math.cos(way_b), math.sin(way_b)
    vx, vy = b[0] - a[0], b[1] - a[1]
    square, along = vx * vx + vy * vy, vx * (ca + cb) + vy * (sa + sb)
    tangent = square / (along + math.sqrt(along * along + 2 * (1 - ca * cb - sa * sb) * square))
    middle = ((a[0] + b[0] + tangent * (ca - cb)) / 2, (a[1] + b[1] + tangent * (sa - sb)) / 2)
    px, py, qx, qy = middle[0] - a[0], middle[1] - a[1], b[0] - middle[0], b[1] - middle[1]
    first, last = px * px + py * py, qx * qx + qy * qy
    bend = 2 * (ca * py - sa * px) / first
    yield _run(a, middle, way_a, bend, math.sqrt(first))
    other = 2 * (qx * sb - qy * cb) / last
    yield _run(middle, b, way_a + 2 * math.atan2(ca * py - sa * px, ca * px + sa * py), other, math.sqrt(last))


def _alike(one: Sweep, other: Sweep) -> bool:
    """Whether a run goes on round the same centre, or along the same line."""
    if one.centre is None or other.centre is None:
        if one.centre is not other.centre:
            return False
        ax, ay, bx, by = (
            one.end[0] - one.start[0],
            one.end[1] - one.start[1],
            other.end[0] - other.start[0],
            other.end[1] - other.start[1],
        )
        longest = max(math.hypot(ax, ay), math.hypot(bx, by))
        return ax * bx + ay * by > 0 and abs(ax * by - ay * bx) / longest < ONE_CENTRE_MM
    turns_on = one.turn * other.turn > 0 and abs(one.turn + other.turn) <= 2 * math.pi + 1e-9
    return turns_on and math.dist(one.centre, other.centre) < ONE_CENTRE_MM


def _joined(one: Sweep, other: Sweep) -> Sweep:
    return Sweep(one.start, other.end, one.centre, one.turn + other.turn)


def _merged(runs: Sequence[Sweep]) -> list[Sweep]:
    found = [runs[0]]
    for run in runs[1:]:
        if _alike(found[-1], run):
            found[-1] = _joined(found[-1], run)
        else:
            found.append(run)
    return found


def _halves(run: Sweep) -> Iterator[Segment]:
    """A run as segments of no more than half a turn."""
    if run.centre is None:
        yield Segment(run.start, run.end)
        return
    count = math.ceil(abs(run.turn) / (math.pi * 1.000001))
    cx, cy = run.centre
    radius = math.dist(run.start, run.centre)
    begin = math.atan2(run.start[1] - cy, run.start[0] - cx)
    angles = [begin + run.turn * i / count for i in range(1, count)]
    inner = [(cx + radius * math.cos(a), cy + radius * math.sin(a)) for a in angles]
    for a, b in pairwise([run.start, *inner, run.end]):
        yield Segment(a, b, run.centre, run.turn > 0)
