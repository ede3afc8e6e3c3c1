"""Readings moved within their ± so that a curve bends evenly. Pure; mm.

What is made small is the squared change of curvature along the curve, against how far the points are moved. How much
that counts follows from what the ± means: readings that are off by at most u are off by u / √3 on the whole (JCGM
100:2008, 4.3.7), so points are moved by so much and none by more than u (V. A. Morozov, "On the solution of functional
equations by the method of regularization", Soviet Mathematics Doklady 7, 1966). Gauss and Newton's method.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from decalgen.core.arrays import FloatArray
from decalgen.core.curves.course import Course, SplineRun, curve_through, runs_of, settled_run, told_pieces
from decalgen.core.curves.curve import Curve
from decalgen.core.curves.evenness import unevenness
from decalgen.core.curves.spline import Solved, settle
from decalgen.core.geometry import Point
from decalgen.core.values import dataclass

ROUNDS = 15
STILL_MM = 1e-5
"""Points that move less in a round are at rest."""
LEAST_WEIGHT = 1e-10
"""The least weight of the moves against the greatest change that they can bring about."""


@dataclass(frozen=True)
class Smoothed:
    """A curve through points that were moved, how far each was, mm, to the left of the curve (negative: right), and
    where they lie now."""

    curve: Curve
    moved: tuple[float, ...]
    points: tuple[Point, ...]

    @property
    def furthest(self) -> tuple[float, int]:
        """The greatest move, mm, and the number of its point."""
        at = max(range(len(self.moved)), key=lambda i: abs(self.moved[i]))
        return abs(self.moved[at]), at + 1


def smoothed_curve(course: Course, within: float, through: Callable[[Course], Curve] = curve_through) -> Smoothed:
    """The curve through points moved square to it by at most ``within`` mm. Corners, the ends of straights and arcs,
    and points with a direction stay where they are. Raises `CurveError` as ``through`` does, which draws the curve."""
    through(course)
    points = np.array(course.points, dtype=np.float64)
    moved = np.zeros(len(points))
    for run in runs_of(course, told_pieces(course)):
        free = _free(course, run)
        if len(run.chain.points) < 4 or not len(free):
            continue
        lengths, across = _moves(course, run, free, within)
        at = (run.first + free) % len(points)
        moved[at] = lengths[free]
        points[at] += across[free] * lengths[free][:, None]
    placed = tuple((float(x), float(y)) for x, y in points)
    return Smoothed(through(replace(course, points=placed)), tuple(moved.tolist()), placed)


def _free(course: Course, run: SplineRun) -> NDArray[np.intp]:
    """Which points of a run can be moved: those inside of it, and a bare end of an open curve."""
    n = len(run.chain.points)
    if run.chain.closed:
        return np.arange(n)
    ends = not course.closed
    first = 0 if ends and run.first == 0 and run.chain.first is None else 1
    last = n if ends and run.last == len(course.points) - 1 and run.chain.last is None else n - 1
    return np.arange(first, last)


def _moves(course: Course, run: SplineRun, free: NDArray[np.intp], within: float) -> tuple[FloatArray, FloatArray]:
    """How far each point of a run is moved, and the directions in which: square to the curve through the readings."""
    chain = run.chain
    settled = settled_run(course, run)
    across = np.column_stack((-np.sin(settled.directions), np.cos(settled.directions)))
    found = np.zeros(len(chain.points))
    for _ in range(ROUNDS):
        told = unevenness(chain, settled, across)
        slope = told.by_points[:, free]
        wish = np.zeros(len(found))
        wish[free] = balanced(slope, told.each - slope @ found[free], within)
        step = wish - found
        for share in (1.0, 0.5, 0.25, 0.1):
            moved = run.chain._replace(points=run.chain.points + across * (found + share * step)[:, None])
            tried = settle(moved)
            if isinstance(tried, Solved):
                break
        else:
            break
        found, chain, settled = found + share * step, moved, tried
        if float(np.abs(step).max()) < STILL_MM:
            break
    return found, across


def balanced(slope: FloatArray, level: FloatArray, within: float) -> FloatArray:
    """The moves h that make |level + slope h|² + w |h|² least, with the least weight w that keeps their root mean
    square to ``within`` / √3; none is beyond ``within``."""
    left, sizes, right = np.linalg.svd(slope, full_matrices=False)
    share = left.T @ level
    goal = within / math.sqrt(3)

    def moves(weight: float) -> FloatArray:
        answer: FloatArray = -(right.T @ (sizes / (sizes * sizes + weight) * share))
        return answer

    top = float(sizes[0]) ** 2
    low, high = math.log(LEAST_WEIGHT * top), math.log(1e6 * top)
    if _mean(moves(math.exp(low))) <= goal:
        high = low
    while high - low > 1e-3:
        middle = (low + high) / 2
        low, high = (middle, high) if _mean(moves(math.exp(middle))) > goal else (low, middle)
    return _bounded(slope, level, math.exp(high), within, moves(math.exp(high)))


def _mean(moves: FloatArray) -> float:
    return math.sqrt(float(moves @ moves) / len(moves))


def _bounded(slope: FloatArray, level: FloatArray, weight: float, within: float, moves: FloatArray) -> FloatArray:
    """The same with what would be moved further held at the bound."""
    held = np.zeros(len(moves), dtype=bool)
    found = moves.copy()
    for _ in range(len(moves)):
        beyond = ~held & (np.abs(found) > within)
        if not beyond.any():
            break
        held |= beyond
        found[held] = np.clip(found[held], -within, within)
        rest = slope[:, ~held]
        square = rest.T @ rest + weight * np.eye(rest.shape[1])
        found[~held] = -np.linalg.solve(square, rest.T @ (level + slope[:, held] @ found[held]))
    return found
