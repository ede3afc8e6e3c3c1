"""The outline of what a picture shows: where its alpha crosses one half, between the middles of the pixels. Pure.

Marching squares with linear interpolation: on an anti-aliased disc the outline lies within a tenth of a pixel of the
true one. Beyond the picture nothing is shown, so that a pixel at the rim is outlined along its outer side.
"""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import MultiPolygon

from decalgen.core.arrays import FloatArray
from decalgen.core.geometry import EMPTY, region
from decalgen.core.svg.fills import filled

HALF = 127.5
STRAIGHT = 0.05
"""How far, in pixels, the outline may be moved to save points."""
MOST_STEPS = 400_000
"""An outline through more cells than this is noise, not the outline of an emblem."""


def half_contour(alpha: NDArray[np.uint8], straight: float = STRAIGHT) -> MultiPolygon:
    """The area inside the half contour of ``alpha`` (rows from the top), in pixels, x to the right and y up from the
    picture's lower left corner, moved by up to ``straight`` to save points. Raises ValueError for an outline of more
    than `MOST_STEPS` steps."""
    level = np.pad(alpha[::-1].astype(np.float64), 1)
    inside = level > HALF
    lines = _chained(*_segments(inside, level), level)
    found = filled(lines, even_odd=True) if lines else EMPTY
    if found.is_empty:
        return EMPTY
    return region(shapely.multipolygons(shapely.simplify([*found.geoms], straight)))


def _segments(inside: NDArray[np.bool_], level: FloatArray) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """From which crossing to which the outline leads through each cell, what is inside on its left.

    Crossings are numbered: first those on the rows, between (y, x) and (y, x + 1), then those on the columns, between
    (y, x) and (y + 1, x).
    """
    high, wide = inside.shape
    low_left, low_right = inside[:-1, :-1], inside[:-1, 1:]
    top_left, top_right = inside[1:, :-1], inside[1:, 1:]
    kind = low_left + 2 * low_right + 4 * top_right + 8 * top_left.astype(np.int64)
    ys, xs = np.nonzero((kind != 0) & (kind != 15))
    if len(ys) > MOST_STEPS:
        raise ValueError(f"an outline of {len(ys)} steps")
    kinds = kind[ys, xs]
    middle = (level[ys, xs] + level[ys, xs + 1] + level[ys + 1, xs] + level[ys + 1, xs + 1]) / 4 > HALF
    rows = high * (wide - 1)
    # The four sides of a cell: below, right, above, left.
    sides = np.stack(
        [ys * (wide - 1) + xs, rows + ys * wide + xs + 1, (ys + 1) * (wide - 1) + xs, rows + ys * wide + xs], axis=1
    )
    starts, ends = [], []
    for one, pairs in _LEADS.items():
        for at, steps in ((kinds == one) & middle, pairs[0]), ((kinds == one) & ~middle, pairs[1]):
            for start, end in steps:
                starts.append(sides[at, start])
                ends.append(sides[at, end])
    return np.concatenate(starts), np.concatenate(ends)


_BELOW, _RIGHT, _ABOVE, _LEFT = range(4)
_Steps = tuple[tuple[int, int], ...]


def _same(*steps: tuple[int, int]) -> tuple[_Steps, _Steps]:
    return (steps, steps)


_LEADS: dict[int, tuple[_Steps, _Steps]] = {
    1: _same((_BELOW, _LEFT)),
    2: _same((_RIGHT, _BELOW)),
    3: _same((_RIGHT, _LEFT)),
    4: _same((_ABOVE, _RIGHT)),
    5: (((_BELOW, _RIGHT), (_ABOVE, _LEFT)), ((_BELOW, _LEFT), (_ABOVE, _RIGHT))),
    6: _same((_ABOVE, _BELOW)),
    7: _same((_ABOVE, _LEFT)),
    8: _same((_LEFT, _ABOVE)),
    9: _same((_BELOW, _ABOVE)),
    10: (((_RIGHT, _ABOVE), (_LEFT, _BELOW)), ((_RIGHT, _BELOW), (_LEFT, _ABOVE))),
    11: _same((_RIGHT, _ABOVE)),
    12: _same((_LEFT, _RIGHT)),
    13: _same((_BELOW, _RIGHT)),
    14: _same((_LEFT, _BELOW)),
}
"""By the corners that are inside (1 lower left, 2 lower right, 4 upper right, 8 upper left) from which side to which;
where two opposite ones are, by whether the middle of the cell is inside too."""


def _chained(starts: NDArray[np.int64], ends: NDArray[np.int64], level: FloatArray) -> list[FloatArray]:
    """The closed lines that the segments make, as points in pixels of the picture."""
    points = dict(zip(starts.tolist(), _crossings(starts, level).tolist(), strict=True))
    after = dict(zip(starts.tolist(), ends.tolist(), strict=True))
    lines = []
    while after:
        first, here = after.popitem()
        line = [points[first]]
        while here != first:
            line.append(points[here])
            here = after.pop(here)
        lines.append(np.array(line))
    return lines


def _crossings(numbers: NDArray[np.int64], level: FloatArray) -> FloatArray:
    """Where the level is one half between two middles of pixels, x and y from the corner of the picture."""
    high, wide = level.shape
    rows = high * (wide - 1)
    along = numbers < rows
    y = np.where(along, numbers // (wide - 1), (numbers - rows) // wide)
    x = np.where(along, numbers % (wide - 1), (numbers - rows) % wide)
    one = level[y, x]
    other = level[np.where(along, y, y + 1), np.where(along, x + 1, x)]
    share = (HALF - one) / (other - one)
    # The rim of nothing is one pixel wide, and the middle of a pixel half of one from its corner.
    return np.column_stack((x + np.where(along, share, 0.0) - 0.5, y + np.where(along, 0.0, share) - 0.5))
