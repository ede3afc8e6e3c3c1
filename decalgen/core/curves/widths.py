"""Widths that change along a curve, told at places along it. Pure; mm.

Between two places a width changes evenly, or smoothly by a cubic that never bulges beyond what is told: its slopes are
those of F. N. Fritsch and R. E. Carlson, "Monotone piecewise cubic interpolation", SIAM Journal on Numerical Analysis
17 (1980): the mean slope of both neighbours, 0 where it turns, brought back into a circle of radius 3.
"""

from __future__ import annotations

import math
from functools import cached_property

import numpy as np

from decalgen.core.arrays import FloatArray
from decalgen.core.values import dataclass


@dataclass(frozen=True)
class Widths:
    """Widths ``values`` at the places ``along`` a curve, which grow; before the first and after the last they stay.

    ``goes_on``: whether the curve goes on before the first and after the last, so that a smooth width comes to rest
    there.
    """

    along: tuple[float, ...]
    values: tuple[float, ...]
    smooth: bool = False
    goes_on: tuple[bool, bool] = (False, False)

    def at(self, along: FloatArray) -> FloatArray:
        """The width at places along the curve."""
        if not self.smooth or len(self.along) < 2:
            even: FloatArray = np.interp(along, self.along, self.values)
            return even
        x, y = np.array(self.along), np.array(self.values)
        place = np.clip(along, x[0], x[-1])
        i = np.clip(np.searchsorted(x, place, side="right") - 1, 0, len(x) - 2)
        step = x[i + 1] - x[i]
        t = (place - x[i]) / step
        low, high = self.slopes[i] * step, self.slopes[i + 1] * step
        found: FloatArray = (
            y[i] * (1 + 2 * t) * (1 - t) ** 2
            + y[i + 1] * t * t * (3 - 2 * t)
            + low * t * (1 - t) ** 2
            - high * t * t * (1 - t)
        )
        return found

    @cached_property
    def slopes(self) -> FloatArray:
        """How fast a smooth width changes at each of its places."""
        step = np.diff(self.along)
        mean = np.diff(self.values) / step
        found = np.concatenate((mean[:1], (mean[:-1] + mean[1:]) / 2, mean[-1:]))
        turns = np.concatenate(([False], mean[:-1] * mean[1:] <= 0, [False]))
        found[turns] = 0.0
        for place, rests in zip((0, -1), self.goes_on, strict=True):
            found[place] = 0.0 if rests else found[place]
        for i, slope in enumerate(mean.tolist()):
            if slope == 0:
                found[i] = found[i + 1] = 0.0
                continue
            a, b = float(found[i]) / slope, float(found[i + 1]) / slope
            far = math.hypot(a, b)
            if far > 3:
                found[i], found[i + 1] = 3 * a / far * slope, 3 * b / far * slope
        return found

    def stations(self, tolerance: float) -> FloatArray:
        """Its places, and so many between them that half a width straight from one to the next is off by no more than
        ``tolerance`` mm."""
        if not self.smooth or len(self.along) < 2:
            return np.array(self.along)
        parts = []
        for i, (a, b) in enumerate(zip(self.along, self.along[1:], strict=False)):
            step = b - a
            mean = (self.values[i + 1] - self.values[i]) / step
            low, high = self.slopes[i], self.slopes[i + 1]
            bend = max(abs(6 * mean - 4 * low - 2 * high), abs(2 * low + 4 * high - 6 * mean)) / step
            count = max(1, math.ceil(step * math.sqrt(bend / 2 / (8 * tolerance))))
            parts.append(np.linspace(a, b, count, endpoint=False))
        return np.concatenate((*parts, [self.along[-1]]))

    @cached_property
    def steepest(self) -> float:
        """How fast a width changes at most, mm a mm."""
        if len(self.along) < 2:
            return 0.0
        mean = np.abs(np.diff(self.values) / np.diff(self.along))
        return float(mean.max()) * (1.5 if self.smooth else 1.0)
