"""How often lines cross, counted before they are filled: what fills them takes time by the square of it. Pure."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from decalgen.core.arrays import FloatArray
from decalgen.core.svg.text import SvgError

MOST_CROSSINGS = 10_000
"""More crossings of filled lines in one drawing are a scribble or a hostile file."""
FEW = 12
"""So few sides cross too seldom to matter."""
MOST_PAIRS = 100_000
"""About so many pairs of sides are looked at in one go."""


class CrossingCount:
    """How many crossings a drawing may still have."""

    def __init__(self, most: int = MOST_CROSSINGS) -> None:
        self.left = most

    def take(self, lines: Sequence[FloatArray], line: int = 0) -> None:
        """Counts those of some closed lines, touches left out. ``line``: where they are in their file. Raises
        `SvgError` where there are too many."""
        sides = np.concatenate(
            [np.empty((0, 2, 2)), *(np.stack((one, np.roll(one, -1, axis=0)), axis=1) for one in lines)]
        )
        if len(sides) <= FEW:
            return
        tree = shapely.STRtree(shapely.linestrings(sides))
        at, step = 0, 16
        while at < len(sides):
            mine, others = tree.query(tree.geometries[at : at + step])
            pairs = np.stack((mine + at, others))[:, others > mine + at]
            self.left -= _crossed(sides, pairs)
            if self.left < 0:
                most = MOST_CROSSINGS // 1000
                raise SvgError(f"its lines cross each other more than {most} 000 times",
                               "join its shapes into outlines that do not cross", line)  # fmt: skip
            at += step
            step = max(1, step // 2) if len(mine) > MOST_PAIRS else min(2 * step, 4096)


def _crossed(sides: FloatArray, pairs: NDArray[np.int64]) -> int:
    """How many pairs of sides go through each other."""
    (a, b), (c, d) = (np.swapaxes(sides[one], 0, 1) for one in pairs)
    return int(((_side(a, b, c) * _side(a, b, d) < 0) & (_side(c, d, a) * _side(c, d, b) < 0)).sum())


def _side(start: FloatArray, end: FloatArray, point: FloatArray) -> FloatArray:
    """On which side of a line each point lies: positive to the left."""
    way, to = end - start, point - start
    return np.asarray(np.sign(way[:, 0] * to[:, 1] - way[:, 1] * to[:, 0]))
