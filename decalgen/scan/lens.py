"""The bend of a lens, from lines that are straight in truth and look curved in a photo. Pure; pixels.

One radial term, by the division model (A. W. Fitzgibbon, "Simultaneous linear estimation of multiple view geometry and
lens distortion", CVPR 2001): a place at p from the lens's middle belongs at p / (1 + k1 r²), with r in half diagonals
of the picture. That straight lines come out straight tells k1 (D. C. Brown, "Close-range camera calibration",
Photogrammetric Engineering 37, 1971). The middle of a lens is near that of the picture: it moves as far as lines ask.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from decalgen.core.arrays import FloatArray
from decalgen.core.values import dataclass

LEAST_BOW = 0.6
"""Lines that bow by less, pixels, are straight: a scanner's carriage jitters by as much."""
BETTER = 0.7
"""What is left over on the lines falls to this share at least, or they are not curved by a lens."""
MIDDLE_OFF = 0.03
"""The lens's middle is off the picture's by so much, standard, as a share of its longer side (common practice, no
source)."""
POINT_OFF = 0.2
"""A point on a line is off by so many pixels, standard."""
LEAST_ON_LINE = 4
MOST_K1 = 0.6
ROUNDS = 20


@dataclass(frozen=True)
class Lens:
    """``k1``: positive where straight lines bow inward at the middle, as a pincushion does; ``middle``: pixels;
    ``half``: half the picture's diagonal; ``bow``: how far lines bowed at most, pixels."""

    k1: float
    middle: tuple[float, float]
    half: float
    bow: float = 0.0

    def straightened(self, at: FloatArray) -> FloatArray:
        """Places of the picture, along the last axis, where they would be without the bend."""
        away = at - np.array(self.middle)
        far = (away**2).sum(axis=-1, keepdims=True) / self.half**2
        return np.asarray(self.middle + away / np.maximum(1 + self.k1 * far, 0.1), float)

    def bent(self, at: FloatArray) -> FloatArray:
        """The other way."""
        away = at - np.array(self.middle)
        true = np.sqrt((away**2).sum(axis=-1, keepdims=True)) / self.half
        # true = seen / (1 + k1 seen²): the root that is near the place itself.
        root = np.sqrt(np.maximum(1 - 4 * self.k1 * true**2, 0.0))
        return np.asarray(self.middle + away * 2 / (1 + root), float)


def lens_of(lines: Sequence[FloatArray], size: tuple[int, int]) -> Lens | None:
    """The bend that makes lines straight, each of points of a picture of that size; None where they are straight
    already, or are not made straight by any."""
    usable = [line for line in lines if len(line) >= LEAST_ON_LINE]
    if not usable:
        return None
    bow = max(_bow(line) for line in usable)
    if bow < LEAST_BOW:
        return None
    half = math.hypot(*size) / 2
    start = np.array([0.0, size[0] / 2, size[1] / 2])
    found, step = start.copy(), np.array([1e-4, 1e-2, 1e-2])
    loose = MIDDLE_OFF * max(size)

    def left(values: FloatArray) -> FloatArray:
        lens = Lens(float(values[0]), (float(values[1]), float(values[2])), half)
        off = np.concatenate([_off_line(lens.straightened(line)) for line in usable]) / POINT_OFF
        return np.concatenate((off, (values[1:] - start[1:]) / loose))

    for _ in range(ROUNDS):
        now = left(found)
        slope = np.column_stack([(left(found + step * (np.arange(3) == n)) - now) / step[n] for n in range(3)])
        change = np.linalg.lstsq(slope, -now, rcond=None)[0]
        found = found + change
        found[0] = min(max(found[0], -MOST_K1), MOST_K1)
        if abs(change[0]) < 1e-7:
            break
    before, after = (float((left(values)[:-2] ** 2).mean()) for values in (start, found))
    if not math.sqrt(after) < BETTER * math.sqrt(before):
        return None
    k1, x, y = map(float, found)
    return Lens(k1, (x, y), half, bow)


def _off_line(line: FloatArray) -> FloatArray:
    """How far points are off the straight line nearest to them."""
    away = line - line.mean(axis=0)
    across = np.linalg.svd(away, full_matrices=False)[2][1]
    # One sign, so that it changes smoothly.
    across = across if across[int(np.abs(across).argmax())] > 0 else -across
    return np.asarray(away @ across, float)


def _bow(line: FloatArray) -> float:
    """How far the middle of the parabola nearest to points stands off its chord."""
    away = line - line.mean(axis=0)
    along, across = np.linalg.svd(away, full_matrices=False)[2]
    s, t = away @ along, away @ across
    bend = float(np.polyfit(s, t, 2)[0])
    return abs(bend) * float(np.ptp(s)) ** 2 / 4
