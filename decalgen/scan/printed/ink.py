"""The ink of a scanned page: where thin dark lines are, on a reduced picture, and how dark places are, between pixels.
Pure; pixels."""

from __future__ import annotations

import numpy as np

from decalgen.core.arrays import FloatArray
from decalgen.scan.edges import pick_around
from decalgen.scan.light import Scan, linear_levels

DARK = 0.2
"""What keeps so much less light than the paper round it is ink."""
BLOCK_MM = 0.25
"""The darkest pixel of a square of about this side stands for it."""
ROUND_MM = 0.75
"""What is dark over twice as much is no thin line."""
STRIP = 64


def ink_places(scan: Scan, pixel_mm: float) -> FloatArray:
    """The middles of squares of pixels that hold a thin dark line, pixels, one a row."""
    level = linear_levels()
    by = max(1, round(BLOCK_MM / pixel_mm))
    green = scan.coded[..., 1]
    rows, columns = green.shape[0] // by, green.shape[1] // by
    low = np.empty((rows, columns), np.uint8)
    high = np.empty((rows, columns), np.uint8)
    for first in range(0, rows, STRIP):
        last = min(first + STRIP, rows)
        part = green[first * by : last * by, : columns * by].reshape(last - first, by, columns, by)
        low[first:last], high[first:last] = part.min(axis=(1, 3)), part.max(axis=(1, 3))
    reach = max(1, round(ROUND_MM / (by * pixel_mm)))
    # Closed, so that the edge of the paper is no line: what is thin has paper on both sides.
    bright = level[pick_around(pick_around(high, reach, np.maximum), reach, np.minimum)]
    # On what is dark, as a card, noise would be ink.
    row, column = np.nonzero((level[low] < (1 - DARK) * bright) & (bright > 0.3 * np.quantile(bright[::7, ::7], 0.9)))
    return np.column_stack(((column + 0.5) * by, (row + 0.5) * by)).astype(np.float64)


def light_between(scan: Scan, at: FloatArray) -> FloatArray:
    """The green light at places of any shape, x and y along the last axis, interpolated between the middles of pixels;
    NaN beyond the picture."""
    wide, high = scan.size
    x, y = at[..., 0] - 0.5, at[..., 1] - 0.5
    beyond = (x < 0) | (y < 0) | (x > wide - 1.001) | (y > high - 1.001) | ~np.isfinite(x + y)
    x, y = np.where(beyond, 0.0, x), np.where(beyond, 0.0, y)
    column, row = x.astype(np.int64), y.astype(np.int64)
    fx, fy = x - column, y - row
    level, green = linear_levels(), scan.coded[..., 1]
    upper = level[green[row, column]] * (1 - fx) + level[green[row, column + 1]] * fx
    lower = level[green[row + 1, column]] * (1 - fx) + level[green[row + 1, column + 1]] * fx
    return np.where(beyond, np.nan, upper * (1 - fy) + lower * fy)
