"""Clothoids: curves whose curvature changes evenly along them, as straight lines and arcs are. Pure; mm, radians.

A clothoid between two points with a given direction at both ends is found as by E. Bertolazzi and M. Frego, "G1 fitting
with clothoids", Mathematical Methods in the Applied Sciences 38 (2015): over t = 0 … 1 its direction against the chord
is A t² + (e − s − A) t + s, where s and e are the directions at start and end against the chord, and A is such that it
ends on the chord's line. Integrals are taken by Gauss-Legendre at 24 places, exact to rounding for the turns of one
piece.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from decalgen.core.arrays import FloatArray
from decalgen.core.geometry import Point

_AT, _WEIGHT = np.polynomial.legendre.leggauss(24)
NODES: FloatArray = (_AT + 1) / 2
WEIGHTS: FloatArray = _WEIGHT / 2
_HUMP = NODES * NODES - NODES
ROUNDS = 40


class Clothoid(NamedTuple):
    """A piece of curve: where it starts, in which direction (radians), its curvature (1/mm, left positive) at start and
    end, and its length, mm."""

    x: float
    y: float
    direction: float
    start_curvature: float
    end_curvature: float
    length: float

    @property
    def turn(self) -> float:
        """How far it turns from start to end, radians, left positive."""
        return (self.start_curvature + self.end_curvature) / 2 * self.length


class Fits(NamedTuple):
    """Clothoids over chords of length 1, one a row of each array: ``bend`` is A, ``reach`` the chord's share of the
    length; then how each changes with the directions at start and end."""

    start: FloatArray
    end: FloatArray
    bend: FloatArray
    reach: FloatArray
    bend_by_start: FloatArray
    bend_by_end: FloatArray
    reach_by_start: FloatArray
    reach_by_end: FloatArray


def fits(start: FloatArray, end: FloatArray) -> Fits | None:
    """The clothoids with these directions at start and end against their chords, radians; None where one is not
    found."""
    ramp = (end - start)[:, None] * NODES + start[:, None]
    bend = 3.0 * (start + end)
    for _ in range(ROUNDS):
        angle = bend[:, None] * _HUMP + ramp
        slope = np.cos(angle) @ (WEIGHTS * _HUMP)
        if not (np.abs(slope) > 1e-9).all():
            return None
        step = (np.sin(angle) @ WEIGHTS) / slope
        bend = bend - step
        if (np.abs(step) < 1e-14 * (1 + np.abs(bend))).all():
            break
    else:
        if not (np.abs(step) < 1e-11).all():
            return None
    angle = bend[:, None] * _HUMP + ramp
    cos, sin = np.cos(angle), np.sin(angle)
    slope = cos @ (WEIGHTS * _HUMP)
    by_start = -(cos @ (WEIGHTS * (1 - NODES))) / slope
    by_end = -(cos @ (WEIGHTS * NODES)) / slope
    leaning = sin @ (WEIGHTS * _HUMP)
    reach_by_start = -(sin @ (WEIGHTS * (1 - NODES))) - by_start * leaning
    reach_by_end = -(sin @ (WEIGHTS * NODES)) - by_end * leaning
    return Fits(start, end, bend, cos @ WEIGHTS, by_start, by_end, reach_by_start, reach_by_end)


def straight(start: Point, end: Point) -> Clothoid:
    """A straight piece."""
    along = math.atan2(end[1] - start[1], end[0] - start[0])
    return Clothoid(*start, along, 0.0, 0.0, math.dist(start, end))


def arc(start: Point, end: Point, centre: Point, anticlockwise: bool) -> Clothoid:
    """A piece of the circle round ``centre``."""
    radius = math.dist(start, centre)
    a = math.atan2(start[1] - centre[1], start[0] - centre[0])
    b = math.atan2(end[1] - centre[1], end[0] - centre[0])
    way = 1.0 if anticlockwise else -1.0
    sweep = (way * (b - a)) % (2 * math.pi)
    return Clothoid(*start, a + way * math.pi / 2, way / radius, way / radius, radius * sweep)


def steps(table: FloatArray, along: FloatArray) -> FloatArray:
    """From the start of each piece (a row of `Clothoid`'s values) the step to the place ``along`` mm on it: x, y."""
    u = along[:, None] * NODES
    change = (table[:, 4] - table[:, 3]) / table[:, 5]
    angle = table[:, 2, None] + table[:, 3, None] * u + change[:, None] / 2 * u * u
    return np.column_stack((along * (np.cos(angle) @ WEIGHTS), along * (np.sin(angle) @ WEIGHTS)))
