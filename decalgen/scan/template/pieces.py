"""A closed outline cut into lines and arcs where that costs least: what is left over of each piece, and a price for the
piece (dynamic programming over breaks; R. Bellman, Communications of the ACM 4:284, 1961, from memory). Pure; mm of the
sheet, anticlockwise."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from decalgen.core.arrays import FloatArray
from decalgen.core.values import dataclass
from decalgen.scan.template.course import SideCourse, crossing, fit_side, rise_of
from decalgen.scan.template.seen import EdgeFinder

SPACING_MM = 0.3
NEAR_MM = 0.9
SPREAD_MM = 0.07
TOGETHER = 4
"""Errors of so many neighbouring places are alike."""
PRICE_LINE = 9.0
PRICE_ARC = 13.0
LEAST_MM = 1.5
SHORT_MM = 3.0
PRICE_SHORT = 6.0
"""Of a line so short more: it is likelier a part of a round corner."""
BREAK_EVERY = 2
FLAT_MM = 0.16
LEAST_BEND = math.radians(10)
TANGENT = math.radians(24)
MOST_RADIUS_MM = 9.0
LEAST_SWEEP = math.radians(35)


@dataclass(frozen=True)
class TracedRing:
    """Places round an outline every SPACING_MM, where the edge was seen, and whether it was."""

    at: FloatArray
    there: NDArray[np.bool_]


@dataclass(frozen=True)
class FoundPiece:
    """From one place of a ring to another (numbers run on beyond its end); whether it is an arc."""

    start: int
    end: int
    arc: bool


@dataclass(frozen=True)
class FoundCorners:
    """Corners, for each None where it is sharp, else its radius, and for each side how far it bulges."""

    at: FloatArray
    rounds: tuple[float | None, ...]
    rises: tuple[float, ...]


def traced(finder: EdgeFinder, ring: FloatArray) -> TracedRing:
    """The edge along a rough ring."""
    for reach in (NEAR_MM, 0.6):
        ring = _even(ring)
        way = _smooth(np.roll(ring, -2, axis=0) - np.roll(ring, 2, axis=0), 2)
        way /= np.maximum(np.linalg.norm(way, axis=1), 1e-9)[:, None]
        out = np.column_stack((way[:, 1], -way[:, 0]))
        off, there = finder.find(ring, out, reach)
        usual = np.array([np.median(off[(k + np.arange(-5, 6)) % len(off)]) for k in range(len(off))])
        there = there & (np.abs(off - usual) < 0.35)
        found = ring + np.where(there, off, usual)[:, None] * out
        ring = found
    return TracedRing(found, there)


def _even(ring: FloatArray) -> FloatArray:
    closed = np.vstack((ring, ring[:1]))
    along = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(closed, axis=0), axis=1))])
    at = np.linspace(0, along[-1], max(24, round(along[-1] / SPACING_MM)), endpoint=False)
    return np.column_stack([np.interp(at, along, closed[:, n]) for n in (0, 1)])


def _smooth(values: FloatArray, reach: int) -> FloatArray:
    return np.asarray(sum(np.roll(values, n, axis=0) for n in range(-reach, reach + 1)), float)


def cut_up(ring: TracedRing, price: float = 1.0) -> list[FoundPiece]:
    """The pieces, from one in the middle of the straightest part on."""
    n = len(ring.at)
    start = _straightest(ring)
    order = (start + np.arange(n + 1)) % n
    at = ring.at[order] - ring.at.mean(axis=0)
    sums = _sums(at, ring.there[order].astype(float))
    breaks = np.unique(np.append(np.arange(0, n, BREAK_EVERY), n))
    least = max(2, round(LEAST_MM / SPACING_MM))
    best, came, kinds = np.full(len(breaks), np.inf), np.zeros(len(breaks), int), np.zeros(len(breaks), bool)
    best[0] = 0.0
    for j in range(1, len(breaks)):
        i = np.nonzero(breaks[:j] <= breaks[j] - least)[0]
        if not len(i):
            continue
        line, arc = _left_over(sums, breaks[i], int(breaks[j]))
        line = line + PRICE_SHORT * ((breaks[j] - breaks[i]) * SPACING_MM < SHORT_MM)
        cost = np.minimum(line + price * PRICE_LINE, arc + price * PRICE_ARC)
        total = best[i] + cost
        pick = int(total.argmin())
        best[j], came[j] = total[pick], i[pick]
        kinds[j] = arc[pick] + price * PRICE_ARC < line[pick] + price * PRICE_LINE
    pieces, j = [], len(breaks) - 1
    while j > 0:
        pieces.append(FoundPiece(start + int(breaks[came[j]]), start + int(breaks[j]), bool(kinds[j])))
        j = int(came[j])
    return pieces[::-1]


def _straightest(ring: TracedRing) -> int:
    """The middle of the longest part that is straight and seen."""
    n, half = len(ring.at), 8
    best, least = 0, math.inf
    for k in range(n):
        part = (k + np.arange(-half, half + 1)) % n
        at = ring.at[part]
        chord = at[-1] - at[0]
        off = np.abs((at - at[0]) @ np.array([-chord[1], chord[0]])) / max(float(np.hypot(*chord)), 1e-9)
        value = float(off.max()) + 0.3 * float((~ring.there[part]).mean())
        if value < least:
            best, least = k, value
    return best


def _sums(at: FloatArray, weight: FloatArray) -> FloatArray:
    """Running sums of 1, x, y, xx, xy, yy, z, zx, zy, zz with z = xx + yy, where the edge is seen."""
    x, y = at.T
    z = x * x + y * y
    rows = np.column_stack((np.ones_like(x), x, y, x * x, x * y, y * y, z, z * x, z * y, z * z)) * weight[:, None]
    return np.vstack((np.zeros(10), np.cumsum(rows, axis=0)))


def _left_over(sums: FloatArray, starts: NDArray[np.int64], end: int) -> tuple[FloatArray, FloatArray]:
    """What is left over of a line and of an arc from each start to an end, in units of what is usual."""
    s = sums[end + 1] - sums[starts]
    count = np.maximum(s[:, 0], 1e-9)
    mx, my = s[:, 1] / count, s[:, 2] / count
    xx, xy, yy = s[:, 3] - count * mx * mx, s[:, 4] - count * mx * my, s[:, 5] - count * my * my
    line = (xx + yy) / 2 - np.sqrt(np.maximum(((xx - yy) / 2) ** 2 + xy**2, 0.0))
    usual = SPREAD_MM**2 * TOGETHER
    line = np.maximum(line, 0.0) / usual
    # z + b·x + c·y + d least squares (I. Kåsa, IEEE Transactions on Instrumentation and Measurement 25:8, 1976).
    mz = s[:, 6] / count
    zx, zy, zz = s[:, 7] - mz * s[:, 1], s[:, 8] - mz * s[:, 2], s[:, 9] - mz * s[:, 6]
    det = xx * yy - xy * xy
    good = (det > 1e-9 * (xx + yy) ** 2) & (s[:, 0] >= 5)
    safe = np.where(good, det, 1.0)
    b, c = (-zx * yy + zy * xy) / safe, (-zy * xx + zx * xy) / safe
    rest = np.maximum(zz + b * zx + c * zy, 0.0)
    radius2 = np.maximum((b * b + c * c) / 4 - (-mz - b * mx - c * my), 1e-9)
    arc = np.where(good, rest / (4 * radius2) / usual, np.inf)
    return line, arc


# --------------------------------------------------------------------------------------------------------- to corners
@dataclass(frozen=True)
class _FittedPiece:
    piece: FoundPiece
    curve: FloatArray
    start: FloatArray
    end: FloatArray
    rise: float

    @property
    def course(self) -> SideCourse:
        return SideCourse(self.start, self.end, self.rise)


def corners_of(ring: TracedRing, pieces: Sequence[FoundPiece]) -> FoundCorners:
    """Corners where pieces meet; an arc that leads smoothly from one line to another is a round corner."""
    fitted = [_fit(ring, one) for one in _joined(ring, pieces)]
    fitted = _merged(ring, fitted)
    n = len(fitted)
    round_ = [_is_round(fitted, i) for i in range(n)]
    sides = [i for i in range(n) if not round_[i]]
    at, rounds, rises = [], [], []
    for place, i in enumerate(sides):
        before = sides[place - 1]
        one, other = fitted[before], fitted[i]
        between = fitted[(before + 1) % n] if round_[(before + 1) % n] else None
        near = (one.end + other.start) / 2
        if between is not None:
            near = _meet(one.course, other.course, near)
        corner, _ = crossing(one.curve, other.curve, near)
        at.append(corner)
        rounds.append(_radius_of(between) if between is not None else None)
    for place, i in enumerate(sides):
        one = fitted[i]
        ends = at[place], at[(place + 1) % len(at)]
        rises.append(rise_of(one.curve, *ends, one.rise) if one.piece.arc else 0.0)
    return FoundCorners(np.array(at), tuple(rounds), tuple(rises))


def _places(ring: TracedRing, piece: FoundPiece) -> FloatArray:
    numbers = np.arange(piece.start, piece.end + 1) % len(ring.at)
    seen = numbers[ring.there[numbers]]
    return ring.at[seen] if len(seen) >= 4 else ring.at[numbers]


def _fit(ring: TracedRing, piece: FoundPiece) -> _FittedPiece:
    n = len(ring.at)
    start, end = ring.at[piece.start % n], ring.at[piece.end % n]
    middle = ring.at[(piece.start + piece.end) // 2 % n]
    way = end - start
    chord = max(float(np.hypot(*way)), 1e-6)
    rise = float((middle - (start + end) / 2) @ np.array([way[1], -way[0]])) / chord
    course = SideCourse(start, end, rise if piece.arc else 0.0)
    return _FittedPiece(piece, fit_side(course, _places(ring, piece), piece.arc, 1.8).curve, start, end, course.rise)


def _joined(ring: TracedRing, pieces: Sequence[FoundPiece]) -> list[FoundPiece]:
    """The first and the last are one piece, cut where the ring was begun."""
    if len(pieces) < 3:
        return list(pieces)
    first, last = pieces[0], pieces[-1]
    return [
        *pieces[1:-1],
        # One that turns out nearly flat becomes a line after it was fitted.
        FoundPiece(last.start, first.end + len(ring.at), first.arc or last.arc),
    ]


def _merged(ring: TracedRing, fitted: list[_FittedPiece]) -> list[_FittedPiece]:
    """Arcs that are nearly flat as lines, and lines that hardly turn as one."""
    n = len(ring.at)
    flat = [
        _fit(ring, FoundPiece(one.piece.start, one.piece.end, False))
        if one.piece.arc and abs(one.rise) < FLAT_MM
        else one
        for one in fitted
    ]
    again = True
    while again and len(flat) > 3:
        again = False
        for i in range(len(flat)):
            one, other = flat[i - 1], flat[i]
            if one.piece.arc or other.piece.arc or _bend(one, other) > LEAST_BEND:
                continue
            length = (one.piece.end - one.piece.start) + (other.piece.end - other.piece.start)
            whole = FoundPiece(one.piece.start % n, one.piece.start % n + length, False)
            flat[i] = _fit(ring, whole)
            flat.pop(i - 1)
            again = True
            break
    return flat


def _direction(one: _FittedPiece, at_end: bool) -> FloatArray:
    out = one.course.at(np.array([1.0 if at_end else 0.0]))[1][0]
    return np.array([-out[1], out[0]])


def _bend(one: _FittedPiece, other: _FittedPiece) -> float:
    a, b = _direction(one, True), _direction(other, False)
    return abs(math.atan2(float(a[0] * b[1] - a[1] * b[0]), float(a @ b)))


def _radius_of(one: _FittedPiece) -> float:
    half = one.course.turn / 2
    return abs(one.course.chord / 2 / math.sin(half)) if half else 0.0


def _is_round(fitted: Sequence[_FittedPiece], i: int) -> bool:
    one, before, after = fitted[i], fitted[i - 1], fitted[(i + 1) % len(fitted)]
    if not one.piece.arc or before.piece.arc or after.piece.arc:
        return False
    tight = _radius_of(one) < MOST_RADIUS_MM and abs(one.course.turn) > LEAST_SWEEP
    return tight and _bend(before, one) < TANGENT and _bend(one, after) < TANGENT


def _meet(one: SideCourse, other: SideCourse, near: FloatArray) -> FloatArray:
    """Where two lines meet."""
    a, b = one.end - one.start, other.end - other.start
    rows = np.column_stack((a, -b))
    if abs(float(np.linalg.det(rows))) < 1e-6:
        return near
    return np.asarray(one.start + np.linalg.solve(rows, other.start - one.start)[0] * a, float)
