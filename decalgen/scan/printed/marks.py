"""What is known of a printed page: its thin level and upright lines, and the lengths that are asked between them. Pure;
mm from the page's lower left corner, y up."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal

import numpy as np

from decalgen.core.arrays import FloatArray
from decalgen.core.errors import DecalgenError
from decalgen.core.values import dataclass

PagePoint = tuple[float, float]


class PageError(DecalgenError):
    """A scan in which the page that is asked for is not seen, or not well enough."""

    exit_code = 2


@dataclass(frozen=True)
class FineLine:
    """A thin printed line, level or upright. ``name``: what of the page it is, in words, for messages."""

    start: PagePoint
    end: PagePoint
    name: str = ""

    @property
    def level(self) -> bool:
        """Whether it runs across the page."""
        return abs(self.end[0] - self.start[0]) > abs(self.end[1] - self.start[1])

    @property
    def length(self) -> float:
        """mm."""
        return math.dist(self.start, self.end)

    def places(self, apart: float, inset: float = 0.0) -> FloatArray:
        """Points on it so far apart, one a row, off its ends."""
        inset = min(inset, 0.3 * self.length)
        count = max(2, round((self.length - 2 * inset) / apart) + 1)
        share = np.linspace(inset, self.length - inset, count)[:, None] / self.length
        return np.asarray(share * np.array(self.end) + (1 - share) * np.array(self.start), float)


@dataclass(frozen=True)
class CrossPoint:
    """A point that is measured to: where an ``upright`` and a ``level`` stroke meet. ``name``: in words."""

    at: PagePoint
    upright: FineLine
    level: FineLine
    name: str


@dataclass(frozen=True)
class AskedSpan:
    """A length between two corners. ``way``: 'x' across the page, 'y' up it, 'd' both."""

    name: str
    ends: tuple[CrossPoint, CrossPoint]
    way: Literal["x", "y", "d"]

    @property
    def asked(self) -> float:
        """As it is in the file, mm."""
        return math.dist(self.ends[0].at, self.ends[1].at)


@dataclass(frozen=True)
class PageMarks:
    """A page: ``strokes`` by which it is found, ``bare`` ones where nothing may be printed, ``arms`` that end where
    they do, from the inside out, the ``spans`` to measure, and what it is ``called`` in messages."""

    strokes: tuple[FineLine, ...]
    spans: tuple[AskedSpan, ...]
    called: str
    bare: tuple[FineLine, ...] = ()
    arms: tuple[FineLine, ...] = ()


def corners_of(spans: Sequence[AskedSpan]) -> dict[PagePoint, CrossPoint]:
    """Each corner once."""
    return {corner.at: corner for span in spans for corner in span.ends}
