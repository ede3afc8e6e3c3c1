"""Arcs known by their radius over a side or chord: near half a circle their height hardly follows from it. Pure; mm."""

from __future__ import annotations

import math

from decalgen.core.lengths import Quantity
from decalgen.core.values import dataclass
from decalgen.panels.uncertainty import COVERAGE

LEFT_OPEN = 0.05
"""What a radius may leave open of its arc's height before that is told, mm."""


@dataclass(frozen=True)
class Opening:
    """The height of an arc, by how much it is left open either way at most (k = 2), and the joint standard uncertainty
    of how much its radius is longer than half its chord; all mm."""

    height: float
    by: float
    most: float

    @property
    def told(self) -> bool:
        """Whether so much is left open that the height has to be measured: more than twice what the readings are."""
        return self.by > max(LEFT_OPEN, 2 * COVERAGE * self.most)


def height_over(half: float, over: float) -> float:
    """How high an arc stands over a chord of twice ``half`` by its radius, which is ``over`` longer than half of it."""
    return half + over - math.sqrt(over * (2 * half + over))


def opening(half: float, excess: Quantity) -> Opening:
    """What a radius, ``excess`` longer than half the chord, leaves open; a shorter one is taken as that half.

    All readings off at once, the worst way: near half a circle a root makes more of their sum than of each.
    """
    over = max(0.0, excess.value)
    most = sum(abs(part) for _, part in excess.parts)
    least, middle, longest = (height_over(half, max(0.0, over + k * most)) for k in (-COVERAGE, 0.0, COVERAGE))
    return Opening(middle, max(abs(least - middle), abs(longest - middle)), most)
