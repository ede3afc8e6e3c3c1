"""Parallel bands cut out of a rectangle or between slanted ends: what stripes and slanted chevrons are made of.

A band is an interval of the distance across. At the extent's sides a band runs on along itself; the outermost bands,
where they hold a corner, run on over all of it, so that no new band starts beyond the extent.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from decalgen.core.values import dataclass
from decalgen.shapes.base import ShapeError
from decalgen.shapes.pieces import EDGE, check_cells


@dataclass(frozen=True, slots=True)
class Band:
    """From ``low`` to ``high`` across, mm, the ``index``-th of its row (it picks the ink)."""

    low: float
    high: float
    index: int


def row(count: int, width: float, pitch: float, middle: float) -> list[Band]:
    """``count`` bands about ``middle``. Bands that abut share the very same boundary value.

    Raises `ShapeError` where they would overlap or are too many.
    """
    check_pitch(width, pitch)
    check_cells(count, "stripes")
    start = middle - ((count - 1) * pitch + width) / 2
    return _from(start, range(count), width, pitch)


def filling(low: float, high: float, width: float, pitch: float, start: float) -> list[Band]:
    """As many bands as meet ``low`` to ``high``, one of them beginning at ``start`` with index 0.

    Raises `ShapeError` where they would overlap or are too many.
    """
    check_pitch(width, pitch)
    check_cells((high - low) / pitch, "stripes")
    first = math.floor((low - start - width) / pitch)
    last = math.ceil((high - start) / pitch)
    return _from(start, range(first, last + 1), width, pitch)


def check_pitch(width: float, pitch: float) -> None:
    """Raises `ShapeError` for stripes of no width, or that overlap."""
    if not width > 0:
        raise ShapeError("the stripes have no width", "give a `stripe width` above 0")
    if not pitch >= width - EDGE:
        raise ShapeError(
            f"stripes of {width:g} mm every {pitch:g} mm overlap",
            "the distance from one stripe to the next must be at least the stripe width",
        )


def meeting(bands: Sequence[Band], low: float, high: float) -> Iterator[Band]:
    """The bands that meet the span ``low`` to ``high``; those at its ends open out without end (``inf``)."""
    for band in bands:
        if band.high > low + EDGE and band.low < high - EDGE:
            yield Band(
                -math.inf if band.low <= low + EDGE else band.low,
                math.inf if band.high >= high - EDGE else band.high,
                band.index,
            )


def _from(start: float, indices: range, width: float, pitch: float) -> list[Band]:
    abut = abs(pitch - width) <= EDGE
    return [Band(start + i * pitch, start + (i + 1) * pitch if abut else start + i * pitch + width, i) for i in indices]
