"""From the sheet to the panel: the panel stands on its foot, its lower left corner at 0, 0. Pure; mm."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from shapely.geometry import MultiPoint

from decalgen.core.arrays import FloatArray
from decalgen.core.values import dataclass
from decalgen.scan.template.course import SideCourse, extremes

SQUARE = math.radians(1.2)
"""A side that leans no more from level or upright is meant to be so."""


@dataclass(frozen=True)
class PanelFrame:
    """``turn``: 2 × 2, from the sheet to the panel; ``shift``: where the panel's 0, 0 is after it."""

    turn: FloatArray
    shift: FloatArray

    def of(self, at: FloatArray) -> FloatArray:
        """Places of the sheet, one a row, on the panel."""
        return np.asarray(at @ self.turn.T - self.shift, float)

    def course(self, one: SideCourse) -> SideCourse:
        """A side of the panel."""
        start, end = self.of(np.array([one.start, one.end]))
        return SideCourse(start, end, one.rise)


def standing(courses: Sequence[SideCourse]) -> PanelFrame:
    """A panel stands on the two corners between which it would rest on a table, as it lies in the picture, turned a
    little so that the sides that are about level or upright then are so as well as they can be together."""
    corners = np.array([course.start for course in courses])
    ring = np.asarray(MultiPoint(corners).convex_hull.exterior.coords)[::-1]
    area = 0.5 * float(np.sum(ring[:-1, 0] * ring[1:, 1] - ring[1:, 0] * ring[:-1, 1]))
    ring = ring if area > 0 else ring[::-1]
    middle = float(corners[:, 0].mean())
    best, lean = 0.0, math.inf
    for start, end in pairwise(ring):
        angle = math.atan2(end[1] - start[1], end[0] - start[0])
        # Going round anticlockwise, a foot runs to the right.
        if abs(angle) < math.pi / 4 and start[0] <= middle <= end[0] and abs(angle) < lean:
            best, lean = angle, abs(angle)
    best += _squared(courses, best)
    cos, sin = math.cos(best), math.sin(best)
    turn = np.array([(cos, sin), (-sin, cos)])
    turned = PanelFrame(turn, np.zeros(2))
    low = extremes([turned.course(one) for one in courses])[0]
    return PanelFrame(turn, low)


def _squared(courses: Sequence[SideCourse], foot: float) -> float:
    """How much to turn further; a side's direction is known the better the longer it is (its variance goes by the third
    power)."""
    total = weight = 0.0
    for course in courses:
        way = course.end - course.start
        angle = math.atan2(way[1], way[0]) - foot
        off = (angle + math.pi / 4) % (math.pi / 2) - math.pi / 4
        if abs(off) < SQUARE:
            total += course.chord**3 * off
            weight += course.chord**3
    return total / weight if weight else 0.0
