"""A line cut into its dashes (SVG 1.1, 11.4)."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from decalgen.core.arrays import FloatArray
from decalgen.core.svg.flatten import FlatLine
from decalgen.core.svg.text import SvgError

MOST_DASHES = 2_000
"""More dashes of one line are a slip or a hostile file."""


def dashed(line: FlatLine, dashes: Sequence[float], offset: float) -> list[FlatLine]:
    """The dashes of a line, each with the corners in it. On a closed line a dash that ends at its start and one that
    begins there are one. Raises `SvgError` for too many."""
    pattern = np.array([*dashes, *dashes] if len(dashes) % 2 else dashes, dtype=float)
    period = float(pattern.sum())
    along = np.concatenate(([0.0], np.cumsum(line.chords)))
    whole = float(along[-1])
    if period <= 0 or len(line.points) < 2 or whole <= 0:
        return [line]
    if whole / period * len(pattern) / 2 > MOST_DASHES:
        raise SvgError(f"a line has more than {MOST_DASHES} dashes", "make its dashes longer")
    spans = list(_spans(pattern, period, offset % period, whole))
    if line.closed and len(spans) > 1 and spans[0][0] == 0.0 and spans[-1][1] == whole:
        head, tail = _cut(line, along, *spans[0]), _cut(line, along, *spans[-1])
        joined = FlatLine(
            np.vstack((tail.points, head.points[1:])),
            (*tail.corners, len(tail.points) - 1, *(one + len(tail.points) - 1 for one in head.corners)),
            False,
        )
        return [*(_cut(line, along, *span) for span in spans[1:-1]), joined]
    if spans == [(0.0, whole)]:
        return [line]
    return [_cut(line, along, *span) for span in spans]


def _spans(pattern: FloatArray, period: float, offset: float, whole: float) -> Iterator[tuple[float, float]]:
    """From where to where along the line there is a dash."""
    at, number = -offset, 0
    while at < whole:
        end = at + float(pattern[number % len(pattern)])
        if number % 2 == 0 and end >= 0 and (end > 0 or at == end):
            yield max(at, 0.0), min(end, whole)
        at, number = end, number + 1


def _cut(line: FlatLine, along: FloatArray, start: float, end: float) -> FlatLine:
    first, last = int(np.searchsorted(along, start, "right")), int(np.searchsorted(along, end, "left"))
    if start == end:
        # A dot: as long as it needs to be to have the line's direction.
        speck = float(along[-1]) * 1e-10
        start, end = (start - speck, end) if end >= along[-1] else (start, end + speck)
    ends = [[np.interp(one, along, line.points[:, axis]) for axis in (0, 1)] for one in (start, end)]
    points = np.vstack((ends[:1], line.points[first:last], ends[1:]))
    corners = tuple(one - first + 1 for one in line.corners if first <= one < last)
    return FlatLine(points, corners, False)
