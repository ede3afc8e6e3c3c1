"""Lines and circles through stretches of a closed row of points, each from sums over it, so that thousands of stretches
are tried at once. Pure; any unit.

A circle is I. Kåsa's ("A circle fitting procedure and its error analysis", IEEE Transactions on Instrumentation and
Measurement 25, 1976); what is left over is that of the squared radii, divided by (2 R)².
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from decalgen.core.arrays import FloatArray
from decalgen.core.values import dataclass

MOST_SWEEP = 2.9
"""An arc turns no further, radians, so that its rise stays clear of half round."""
LEAST_RADIUS = 0.8
"""No arc is rounder than this, pixels."""


@dataclass(frozen=True)
class Stretches:
    """Of each stretch: how many points it has, their mean, the direction they lie in, by line and by circle the squared
    distances left over (infinite where there is none), and the circle's middle and radius."""

    count: FloatArray
    mean: FloatArray
    along: FloatArray
    line_left: FloatArray
    circle_left: FloatArray
    middle: FloatArray
    radius: FloatArray


class PointSums:
    """Sums over a closed row of points, gone round twice."""

    def __init__(self, points: FloatArray) -> None:
        self.points = np.concatenate((points, points))
        self.shift = points.mean(axis=0)
        x, y = (self.points - self.shift).T
        z = x * x + y * y
        rows = np.stack((x, y, z, x * x, x * y, y * y, x * z, y * z, z * z))
        self.sums = np.concatenate((np.zeros((9, 1)), np.cumsum(rows, axis=1)), axis=1)

    def stretches(self, first: NDArray[np.int64], last: NDArray[np.int64]) -> Stretches:
        """Those from the points ``first`` to ``last``, both of them included."""
        count = (last - first + 1).astype(float)
        x, y, z, xx, xy, yy, xz, yz, zz = self.sums[:, last + 1] - self.sums[:, first]
        mx, my, mz = x / count, y / count, z / count
        xx, xy, yy = xx - x * mx, xy - x * my, yy - y * my
        xz, yz, zz = xz - x * mz, yz - y * mz, zz - z * mz
        line = (xx + yy) / 2 - np.sqrt(((xx - yy) / 2) ** 2 + xy**2)
        turn = 0.5 * np.arctan2(2 * xy, xx - yy)
        apart = xx * yy - xy * xy
        flat = apart < 1e-6 * np.maximum(xx + yy, 1e-12) ** 2 / np.maximum(count, 1.0)
        apart = np.where(flat, 1.0, apart)
        a, b = (xz * yy - yz * xy) / apart / 2, (yz * xx - xz * xy) / apart / 2
        square = mz - 2 * a * mx - 2 * b * my + a * a + b * b
        bad = flat | (square < LEAST_RADIUS**2) | (count < 5)
        radius = np.sqrt(np.maximum(square, LEAST_RADIUS**2))
        circle = np.maximum(zz - 2 * a * xz - 2 * b * yz, 0.0) / (4 * radius**2)
        return Stretches(
            count,
            np.column_stack((mx, my)) + self.shift,
            np.column_stack((np.cos(turn), np.sin(turn))),
            np.maximum(line, 0.0),
            np.where(bad, np.inf, circle),
            np.column_stack((a, b)) + self.shift,
            radius,
        )
