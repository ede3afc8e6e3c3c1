"""The directions of a clothoid spline at its points, such that curvature runs on through each. Pure; mm, radians.

R. Levien, "From spiral to spline" (thesis, Berkeley 2009): between each two points lies a clothoid, and the curvature
with which one ends is that with which the next begins. An open end without a direction of its own is an arc, so that
points of an arc give the arc. Newton's method on a tridiagonal system, damped.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from decalgen.core.arrays import FloatArray
from decalgen.core.curves.clothoid import Clothoid, Fits, fits

ROUNDS = 60
MOST_STEP = 0.5
"""A direction changes by no more in one round, radians."""
SETTLED = 1e-11
"""Changes of curvature at a point, times the length of its chords, that are rounding."""


class Chain(NamedTuple):
    """Points without corner: coordinates, one a row, whether they close, and the directions at both ends if given."""

    points: FloatArray
    closed: bool = False
    first: float | None = None
    last: float | None = None


class Chords(NamedTuple):
    """Between each two points: length, direction (run on without jumps of 2 pi), and all the turning of a closed
    chain."""

    length: FloatArray
    direction: FloatArray
    round: float


def wrapped(angle: float) -> float:
    """The angle within ± pi."""
    return math.remainder(angle, 2 * math.pi)


def chords(chain: Chain) -> Chords:
    """The chords of a chain."""
    points = np.vstack((chain.points, chain.points[:1])) if chain.closed else chain.points
    way = np.diff(points, axis=0)
    plain = np.arctan2(way[:, 1], way[:, 0])
    turns = np.remainder(np.diff(plain, append=plain[0]) + np.pi, 2 * np.pi) - np.pi
    direction = plain[0] + np.concatenate(([0.0], np.cumsum(turns[:-1])))
    return Chords(np.hypot(way[:, 0], way[:, 1]), direction, float(turns.sum()) if chain.closed else 0.0)


def first_guess(chain: Chain, over: Chords) -> FloatArray:
    """Directions at the points of the circle through each and its neighbours."""
    length, direction = over.length, over.direction
    if chain.closed:
        before = np.concatenate(([direction[-1] - over.round], direction[:-1]))
        short = np.concatenate((length[-1:], length[:-1]))
        return before + (direction - before) * short / (short + length)
    inner = direction[:-1] + np.diff(direction) * length[:-1] / (length[:-1] + length[1:])
    first, last = float(direction[0]), float(direction[-1])
    if len(inner):
        first, last = 2 * first - float(inner[0]), 2 * last - float(inner[-1])
    return np.concatenate(([first], inner, [last]))


class Solved(NamedTuple):
    """A spline at rest: its chords, the directions at its points, and the clothoids over the chords."""

    over: Chords
    directions: FloatArray
    fit: Fits


def settle(chain: Chain) -> Solved | int:
    """The spline, or the point (from 0) at which it does not come to rest."""
    over = chords(chain)
    ends = ends_of(chain, over)
    found = first_guess(chain, over)
    if len(chain.points) == 2 and ends == (None, None):
        found = np.repeat(over.direction, 2)
        fit = _fitted(chain, over, found)
        return Solved(over, found, fit) if fit else 0
    for at, given in ((0, ends[0]), (-1, ends[1])):
        if given is not None:
            found[at] = given
    fit = _fitted(chain, over, found)
    if fit is None:
        return _sharpest(over)
    off = _residual(chain, over, fit, ends)
    for _ in range(ROUNDS):
        worst = float(np.abs(off).max())
        if worst < SETTLED:
            return Solved(over, found, fit)
        step = _newton(chain, over, fit, off, ends)
        if step is None:
            break
        share = min(1.0, MOST_STEP / max(float(np.abs(step).max()), 1e-30))
        while share > 1e-5:
            tried = found + share * step
            new = _fitted(chain, over, tried)
            left = off if new is None else _residual(chain, over, new, ends)
            if new is not None and float(np.abs(left).max()) < worst:
                break
            share /= 2
        else:
            break
        found, fit, off = tried, new, left
    return int(np.abs(off).argmax())


def ends_of(chain: Chain, over: Chords) -> tuple[float | None, float | None]:
    """Given directions at both ends, run on from their chords without jumps."""
    if chain.closed:
        return None, None
    a, b = float(over.direction[0]), float(over.direction[-1])
    first = None if chain.first is None else a + wrapped(chain.first - a)
    last = None if chain.last is None else b + wrapped(chain.last - b)
    return first, last


def _sharpest(over: Chords) -> int:
    return int(np.abs(np.diff(over.direction)).argmax()) + 1 if len(over.direction) > 1 else 0


def against_chords(chain: Chain, over: Chords, directions: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Directions at the start and end of each piece against its chord."""
    if chain.closed:
        after = np.concatenate((directions[1:], directions[:1] + over.round))
        return directions - over.direction, after - over.direction
    return directions[:-1] - over.direction, directions[1:] - over.direction


def _fitted(chain: Chain, over: Chords, directions: FloatArray) -> Fits | None:
    start, end = against_chords(chain, over, directions)
    if max(float(np.abs(start).max()), float(np.abs(end).max())) > 0.95 * math.pi:
        return None
    fit = fits(start, end)
    return None if fit is None or float(fit.reach.min()) < 0.02 else fit


def curvatures(over: Chords, fit: Fits) -> tuple[FloatArray, FloatArray]:
    """At start and end of each piece, 1/mm."""
    scale = fit.reach / over.length
    even = fit.end - fit.start
    return (even - fit.bend) * scale, (even + fit.bend) * scale


def pieces_of(chain: Chain, settled: Solved) -> tuple[Clothoid, ...]:
    """The pieces of a spline at rest."""
    over, _, fit = settled
    first, last = curvatures(over, fit)
    rows = np.column_stack(
        (chain.points[: len(first)], over.direction + fit.start, first, last, over.length / fit.reach)
    )
    return tuple(Clothoid(*row) for row in rows.tolist())


def widths(chain: Chain, over: Chords) -> FloatArray:
    """The mean length of the chords at each point between two of them: all, or the inner ones."""
    if chain.closed:
        return (np.concatenate((over.length[-1:], over.length[:-1])) + over.length) / 2
    return (over.length[:-1] + over.length[1:]) / 2


def _residual(chain: Chain, over: Chords, fit: Fits, ends: tuple[float | None, float | None]) -> FloatArray:
    first, last = curvatures(over, fit)
    width = widths(chain, over)
    if chain.closed:
        return (np.concatenate((last[-1:], last[:-1])) - first) * width
    off = np.zeros(len(chain.points))
    off[1:-1] = (last[:-1] - first[1:]) * width
    # An arc leaves its chord as it meets it.
    off[0] = 0.0 if ends[0] is not None else fit.start[0] + fit.end[0]
    off[-1] = 0.0 if ends[1] is not None else fit.start[-1] + fit.end[-1]
    return off


class Slopes(NamedTuple):
    """How curvature at the start and end of each piece changes with the directions at its start and end."""

    start_by_start: FloatArray
    start_by_end: FloatArray
    end_by_start: FloatArray
    end_by_end: FloatArray


def slopes(over: Chords, fit: Fits) -> Slopes:
    """Curvature by direction, piece by piece."""
    scale = 1 / over.length
    low, high = fit.end - fit.start - fit.bend, fit.end - fit.start + fit.bend
    return Slopes(
        ((-1 - fit.bend_by_start) * fit.reach + low * fit.reach_by_start) * scale,
        ((1 - fit.bend_by_end) * fit.reach + low * fit.reach_by_end) * scale,
        ((-1 + fit.bend_by_start) * fit.reach + high * fit.reach_by_start) * scale,
        ((1 + fit.bend_by_end) * fit.reach + high * fit.reach_by_end) * scale,
    )


def _newton(
    chain: Chain, over: Chords, fit: Fits, off: FloatArray, ends: tuple[float | None, float | None]
) -> FloatArray | None:
    low, middle, high = jacobian(chain, over, fit, ends)
    return tridiagonal(low, middle, high, -off, chain.closed)


def jacobian(
    chain: Chain, over: Chords, fit: Fits, ends: tuple[float | None, float | None]
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """The three diagonals of the system: by the point before, the point itself, the point after."""
    by = slopes(over, fit)
    width = widths(chain, over)
    if chain.closed:
        back = np.arange(len(width)) - 1
        return (
            by.end_by_start[back] * width,
            (by.end_by_end[back] - by.start_by_start) * width,
            -by.start_by_end * width,
        )
    n = len(chain.points)
    low, middle, high = np.zeros(n), np.ones(n), np.zeros(n)
    low[1:-1] = by.end_by_start[:-1] * width
    middle[1:-1] = (by.end_by_end[:-1] - by.start_by_start[1:]) * width
    high[1:-1] = -by.start_by_end[1:] * width
    high[0] = 0.0 if ends[0] is not None else 1.0
    low[-1] = 0.0 if ends[1] is not None else 1.0
    return low, middle, high


def tridiagonal(
    low: FloatArray, middle: FloatArray, high: FloatArray, right: FloatArray, cyclic: bool = False
) -> FloatArray | None:
    """Solves a tridiagonal system, or a cyclic one (by J. Sherman and W. J. Morrison, 1950); None where a pivot
    vanishes."""
    if not cyclic:
        swept = _swept(low, middle, high, right[:, None])
        return None if swept is None else swept[:, 0]
    n = len(middle)
    corner = -float(middle[0]) or 1.0
    changed = middle.copy()
    changed[0] -= corner
    changed[-1] -= high[-1] * low[0] / corner
    edge = np.zeros(n)
    edge[0], edge[-1] = corner, high[-1]
    both = _swept(low, changed, high, np.column_stack((right, edge)))
    if both is None:
        return None
    plain, bent = both[:, 0], both[:, 1]
    ratio = low[0] / corner
    under = 1 + bent[0] + ratio * bent[-1]
    if abs(under) < 1e-12:
        return None
    answer: FloatArray = plain - (plain[0] + ratio * plain[-1]) / under * bent
    return answer


def _swept(low: FloatArray, middle: FloatArray, high: FloatArray, right: FloatArray) -> FloatArray | None:
    """Elimination from the first row to the last, and back; ``right`` holds its right sides as columns."""
    a, b, c = low.tolist(), middle.tolist(), high.tolist()
    sides = [list(row) for row in right.tolist()]
    n = len(b)
    for i in range(1, n):
        if abs(b[i - 1]) < 1e-13:
            return None
        factor = a[i] / b[i - 1]
        b[i] -= factor * c[i - 1]
        sides[i] = [one - factor * above for one, above in zip(sides[i], sides[i - 1], strict=True)]
    if abs(b[-1]) < 1e-13:
        return None
    sides[-1] = [one / b[-1] for one in sides[-1]]
    for i in range(n - 2, -1, -1):
        sides[i] = [(one - c[i] * below) / b[i] for one, below in zip(sides[i], sides[i + 1], strict=True)]
    return np.array(sides)
