"""How unevenly a spline bends, and how that changes as its points are moved. Pure; mm, radians.

The change of curvature over a piece of length L, from k to l, is taken as (l − k) / √L, whose square is the integral of
the squared change of curvature along it. Changes with the points follow by implicit differentiation: the directions
move such that curvature still runs on through each point.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from decalgen.core.arrays import FloatArray
from decalgen.core.curves.spline import (
    Chain,
    Chords,
    Solved,
    curvatures,
    ends_of,
    jacobian,
    slopes,
    widths,
)


class Unevenness(NamedTuple):
    """Of each piece its change of curvature, by the root of its length, 1/mm^1.5; and by moving each point a mm in its
    direction (x, y, one a row) the change of that: one row a piece, one column a point."""

    each: FloatArray
    by_points: FloatArray


def unevenness(chain: Chain, settled: Solved, across: FloatArray) -> Unevenness:
    """Of a settled spline, with the directions in which its points can move."""
    over, fit = settled.over, settled.fit
    turn, stretch = _by_points(chain, over, across)
    first, last = curvatures(over, fit)
    by = slopes(over, fit)
    n, pieces = len(chain.points), np.arange(len(over.length))
    after = (pieces + 1) % n
    # How curvature at both ends of each piece changes with the points while the directions stay.
    start = -(by.start_by_start + by.start_by_end)[:, None] * turn - (first / over.length)[:, None] * stretch
    end = -(by.end_by_start + by.end_by_end)[:, None] * turn - (last / over.length)[:, None] * stretch
    width = widths(chain, over)[:, None]
    if chain.closed:
        off = (np.roll(end, 1, axis=0) - start) * width
    else:
        off = np.zeros((n, n))
        off[1:-1] = (end[:-1] - start[1:]) * width
        given = ends_of(chain, over)
        off[0] = 0.0 if given[0] is not None else -2 * turn[0]
        off[-1] = 0.0 if given[1] is not None else -2 * turn[-1]
    directions = np.linalg.solve(_matrix(jacobian(chain, over, fit, ends_of(chain, over)), chain.closed), -off)
    scale = 2 * over.length**-1.5
    each = scale * fit.bend * fit.reach**1.5
    root = 1.5 * fit.bend * np.sqrt(fit.reach)
    by_start = scale * (fit.bend_by_start * fit.reach**1.5 + root * fit.reach_by_start)
    by_end = scale * (fit.bend_by_end * fit.reach**1.5 + root * fit.reach_by_end)
    moved = by_start[:, None] * (directions[pieces] - turn) + by_end[:, None] * (directions[after] - turn)
    return Unevenness(each, moved - (1.5 * each / over.length)[:, None] * stretch)


def _by_points(chain: Chain, over: Chords, across: FloatArray) -> tuple[FloatArray, FloatArray]:
    """How far each chord turns and grows by moving each point a mm: one row a chord, one column a point."""
    n, count = len(chain.points), len(over.length)
    rows = np.arange(count)
    after = (rows + 1) % n
    along = np.column_stack((np.cos(over.direction), np.sin(over.direction)))
    beside = np.column_stack((-along[:, 1], along[:, 0]))
    turn, stretch = np.zeros((count, n)), np.zeros((count, n))
    turn[rows, rows] = -(beside * across[rows]).sum(axis=1) / over.length
    turn[rows, after] += (beside * across[after]).sum(axis=1) / over.length
    stretch[rows, rows] = -(along * across[rows]).sum(axis=1)
    stretch[rows, after] += (along * across[after]).sum(axis=1)
    return turn, stretch


def _matrix(diagonals: tuple[FloatArray, FloatArray, FloatArray], cyclic: bool) -> FloatArray:
    low, middle, high = diagonals
    whole = np.diag(middle) + np.diag(low[1:], -1) + np.diag(high[:-1], 1)
    if cyclic:
        whole[0, -1] += low[0]
        whole[-1, 0] += high[-1]
    return whole
