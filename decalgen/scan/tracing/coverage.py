"""How much of each pixel an ink covers, in linear light, and the lines along which that is one half. Pure.

Between the colour of the ink and that of what lies beside it, light mixes as areas do: a pixel half of which is covered
has the light in the middle between the two, not the coded grey in the middle. Both colours are taken from calm pixels
near by, so that fading and yellowing move no line.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray
from shapely.affinity import affine_transform
from shapely.geometry import MultiPolygon

from decalgen.core.arrays import FloatArray
from decalgen.core.geometry import EMPTY
from decalgen.core.pixels.contour import half_contour
from decalgen.scan.edges import LightArray, pick_around, smoothed
from decalgen.scan.tracing.flat_colours import FlatColours

BESIDE = 2.5
"""Colours beside an edge are means of calm pixels, which count by a Gaussian of so many pixels."""
PRIOR = 0.002
"""Where hardly any are near, as in a line thinner than a few pixels, the colour of the whole counts for so much."""
REACH = 3
"""Further from its pixels, an ink covers nothing."""
RIM = math.ceil(3 * BESIDE) + REACH + 1
CROWDED = 7
"""Calm pixels of two other colours are so near, pixels, where they may mix to what looks like a third."""
CLEARLY_LESS = 0.4
"""Where the colours of the whole say that less is covered, they are believed, though all may be faded."""
FINE = 0.01
"""How far, in pixels, a line may be moved to save points before it is fitted."""


class Coverages:
    """How much of each pixel is covered by each flat colour."""

    def __init__(self, light: LightArray, flat: FlatColours) -> None:
        self.light, self.flat = light, flat
        # The calm pixels of all colours, by their nearness.
        self.near = smoothed(_weighed(light, flat.calm), BESIDE)

    def of(self, number: int) -> tuple[tuple[int, int], NDArray[np.uint8]]:
        """Where the pixels that a colour covers begin, column and row, and how much it covers of each, 0 to 255."""
        flat = self.flat
        rows, columns = (np.nonzero((flat.number == number).any(axis=axis))[0] for axis in (1, 0))
        if not len(rows):
            return (0, 0), np.zeros((1, 1), np.uint8)
        top, left = max(0, int(rows[0]) - RIM), max(0, int(columns[0]) - RIM)
        part = (slice(top, int(rows[-1]) + RIM + 1), slice(left, int(columns[-1]) + RIM + 1))
        light, mine = self.light[part], flat.number[part] == number
        weighed = smoothed(_weighed(light, flat.calm[part] & mine), BESIDE)
        own = _colour(weighed, flat.colours[number])
        beside = _colour(self.near[part] - weighed, self._around(part, mine))
        change = own - beside
        share = ((light - beside) * change).sum(axis=2) / np.maximum((change**2).sum(axis=2), 1e-5)
        share = np.minimum(share, self._most(part, number))
        share[~pick_around(mine, REACH, np.maximum)] = 0.0
        return (left, top), np.rint(np.clip(share, 0.0, 1.0) * 255).astype(np.uint8)

    def _most(self, part: tuple[slice, slice], number: int) -> LightArray:
        """The most that a colour covers where two others are near: the blur between two of them may look like it, so
        it is asked which two of all mix best to a pixel, and how. Elsewhere 1."""
        flat, light = self.flat, self.light[part]
        calm, of = flat.calm[part], flat.number[part]
        beside = [n for n in range(len(flat.colours)) if n != number and bool((of == n).any())]
        near = {n: pick_around(calm & (of == n), CROWDED, np.maximum) for n in beside}
        crowded = sum(one.astype(np.int8) for one in near.values()) > 1
        most = np.ones(calm.shape, np.float32)
        best = np.full(calm.shape, np.inf, np.float32)
        for k, n in enumerate(beside):
            off, share = _mixed(light, flat.colours[n], flat.colours[number])
            better = crowded & near[n] & (off < best)
            best[better], most[better] = off[better], share[better]
            for m in beside[k + 1 :]:
                both = crowded & near[n] & near[m]
                if both.any():
                    off, _ = _mixed(light, flat.colours[n], flat.colours[m])
                    better = both & (off < best)
                    best[better], most[better] = off[better], 0.0
        return np.where(most < CLEARLY_LESS, most, np.float32(1.0))

    def _around(self, part: tuple[slice, slice], mine: NDArray[np.bool_]) -> FloatArray:
        """The colour that most pixels beside those of one are of."""
        beside = self.flat.number[part][pick_around(mine, REACH, np.maximum) & ~mine]
        counts = np.bincount(beside, minlength=len(self.flat.colours))
        return self.flat.colours[int(counts.argmax())]


def _weighed(light: LightArray, chosen: NDArray[np.bool_]) -> LightArray:
    """The light of chosen pixels, and 1 for each."""
    found = np.zeros((*chosen.shape, 4), np.float32)
    found[..., :3] = light * chosen[..., None]
    found[..., 3] = chosen
    return found


def _mixed(light: LightArray, one: FloatArray, other: FloatArray) -> tuple[LightArray, LightArray]:
    """How far light is from the nearest mix of two colours, squared, and the share of the second in that."""
    start, way = one.astype(np.float32), (other - one).astype(np.float32)
    share = np.clip(((light - start) @ way) / max(float(way @ way), 1e-9), 0.0, 1.0)
    off = ((light - start - share[..., None] * way) ** 2).sum(axis=2)
    return np.asarray(off, np.float32), np.asarray(share, np.float32)


def _colour(weighed: LightArray, whole: FloatArray) -> LightArray:
    weight = np.maximum(weighed[..., 3:], 0.0)
    return np.asarray((weighed[..., :3] + PRIOR * whole.astype(np.float32)) / (weight + PRIOR), np.float32)


def half_lines(coverage: NDArray[np.uint8]) -> MultiPolygon:
    """The area in which more than half is covered, in pixels, y down from the first row. Raises ValueError for one that
    is too ragged."""
    found = half_contour(coverage, FINE)
    if found.is_empty:
        return EMPTY
    turned: MultiPolygon = affine_transform(found, (1, 0, 0, -1, 0, coverage.shape[0]))
    return turned
