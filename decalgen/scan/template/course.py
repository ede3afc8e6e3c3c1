"""The sides of an outline as courses, fitted to where the edge is seen, and corners where they cross. Pure; mm.

A side is a·(x² + y²) + b·x + c·y + d = 0, a line where a is 0, scaled so that the value is the distance near it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from decalgen.core.arrays import FloatArray
from decalgen.core.values import dataclass
from decalgen.scan.remains import spread_of, tukey

LEAST_TURN = math.radians(14)
"""Sides that meet at less of a corner run on smoothly: where they cross is not known."""
LEAST_SPREAD = 0.02


@dataclass(frozen=True)
class SideCourse:
    """From a corner to the next, outside on the right; its middle is ``rise`` mm further out than the straight line."""

    start: FloatArray
    end: FloatArray
    rise: float = 0.0

    @property
    def chord(self) -> float:
        """From end to end."""
        return float(np.hypot(*(self.end - self.start)))

    @property
    def turn(self) -> float:
        """The angle of the arc, radians, positive where it bulges."""
        return 4 * math.atan2(2 * self.rise, self.chord)

    @property
    def length(self) -> float:
        """Along it."""
        half = self.turn / 2
        return self.chord if abs(half) < 1e-6 else self.chord * abs(half / math.sin(half))

    def at(self, share: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Places at shares of its length, and normals outward."""
        way = (self.end - self.start) / self.chord
        out = np.array([way[1], -way[0]])
        half = self.turn / 2
        if abs(half) < 1e-6:
            return self.start + share[:, None] * (self.end - self.start), np.tile(out, (len(share), 1))
        radius = self.chord / 2 / math.sin(half)
        angle = half * (2 * share - 1)
        middle = (self.start + self.end) / 2
        along, up = radius * np.sin(angle), radius * (np.cos(angle) - math.cos(half))
        places = middle + along[:, None] * way + up[:, None] * out
        return places, np.sin(angle)[:, None] * way + np.cos(angle)[:, None] * out


@dataclass(frozen=True)
class FittedSide:
    """``curve``: a, b, c, d. ``spread``: of what is left over, mm; ``u``: standard uncertainties of the side's middle
    and of what its ends lean, from that alone, mm."""

    curve: FloatArray
    spread: float
    u: tuple[float, float]


def distance(curve: FloatArray, at: FloatArray) -> FloatArray:
    """How far places are outside a side, mm, to first order."""
    value = curve[0] * (at**2).sum(axis=-1) + at @ curve[1:3] + curve[3]
    return np.asarray(value / np.maximum(np.linalg.norm(slope(curve, at), axis=-1), 1e-9), float)


def slope(curve: FloatArray, at: FloatArray) -> FloatArray:
    """The direction in which the distance grows."""
    return np.asarray(2 * curve[0] * at + curve[1:3], float)


def fit_side(course: SideCourse, seen: FloatArray, arc: bool, together_mm: float) -> FittedSide:
    """A line or an arc through places where the edge is seen near a course; Tukey's weights, distances to first order.
    ``together_mm``: over so much of a side the errors of neighbouring places are alike."""
    middle, out = (part[0] for part in course.at(np.array([0.5])))
    way = np.array([-out[1], out[0]])
    s, t = (seen - middle) @ way, (seen - middle) @ out
    weight, found, spread = np.ones(len(s)), np.zeros(3), 1.0
    rows = np.column_stack((s**2 + t**2, s, np.ones(len(s)))) if arc else np.column_stack((s, np.ones(len(s))))
    steep = np.ones(len(s))
    for _ in range(15):
        scaled = np.sqrt(weight) / steep
        part = np.linalg.lstsq(rows * scaled[:, None], -t * scaled, rcond=None)[0]
        found = part if arc else np.array([0.0, *part])
        steep = np.hypot(1 + 2 * found[0] * t, found[1] + 2 * found[0] * s)
        rest = (found[0] * (s**2 + t**2) + found[1] * s + t + found[2]) / steep
        spread = spread_of(rest, LEAST_SPREAD)
        weight = tukey(rest, spread)
    a, b, d = found
    # In the sheet's own coordinates.
    normal = b * way + out
    curve = np.array([a, *(normal - 2 * a * middle), d - normal @ middle + a * middle @ middle])
    curve /= max(float(np.linalg.norm(slope(curve, middle))), 1e-9)
    length = max(course.length, 1e-6)
    number = max(1.0, float((weight > 0.1).sum()) / max(len(s), 1) * float(np.ptp(s) if len(s) else 0) / together_mm)
    at_middle = spread / math.sqrt(number)
    reach = max(float(np.ptp(s)) / length, 0.15) if len(s) else 1.0
    return FittedSide(curve, spread, (at_middle, at_middle * math.sqrt(3) / reach))


def crossing(one: FloatArray, other: FloatArray, near: FloatArray) -> tuple[FloatArray, bool]:
    """Where two sides cross near a place, and whether they do so at a corner; else the place between them there."""
    at = near.astype(float).copy()
    for _ in range(20):
        rows = np.array([slope(one, at), slope(other, at)])
        rows /= np.linalg.norm(rows, axis=1)[:, None]
        if abs(float(np.linalg.det(rows))) < math.sin(LEAST_TURN):
            for _ in range(3):
                for curve in (one, other):
                    normal = slope(curve, at) / np.linalg.norm(slope(curve, at))
                    at = at - distance(curve, at) * normal / 2
            return at, False
        step = np.linalg.solve(rows, -np.array([distance(one, at), distance(other, at)]))
        at = at + step
        if float(np.abs(step).max()) < 1e-9:
            break
    if float(np.hypot(*(at - near))) > 4.0 or not np.isfinite(at).all():
        return near, False
    return at, True


def rise_of(curve: FloatArray, start: FloatArray, end: FloatArray, near: float) -> float:
    """How far the middle of a side between two corners bulges out."""
    way = end - start
    out = np.array([way[1], -way[0]]) / max(float(np.hypot(*way)), 1e-9)
    middle, rise = (start + end) / 2, near
    for _ in range(30):
        at = middle + rise * out
        step = float(distance(curve, at)) / max(float(slope(curve, at) @ out / np.linalg.norm(slope(curve, at))), 0.2)
        rise -= step
        if abs(step) < 1e-9:
            break
    return rise


def extremes(courses: Sequence[SideCourse]) -> FloatArray:
    """Least and greatest x and y of an outline: rows."""
    places = np.concatenate([course.at(np.linspace(0, 1, 2 if not course.rise else 65))[0] for course in courses])
    return np.array([places.min(axis=0), places.max(axis=0)])
