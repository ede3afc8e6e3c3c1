"""What is drawn on the tape, as optical density: pencil, which is grey, apart from tape and pens, which are coloured.

Density is −log10 of the light against that of the tape round it. Graphite takes the same from red, green and blue, so
the least of the three keeps it and loses the tint of tape, its overlaps, and strokes of a red or blue pen; what the
greatest has more than the least is the pen. Pure.
"""

from __future__ import annotations

import math

import numpy as np

from decalgen.core.arrays import FloatArray
from decalgen.core.values import dataclass
from decalgen.scan.edges import LightArray, pick_around, sampled, smoothed
from decalgen.scan.light import PixelWindow, Scan, window_middle
from decalgen.scan.scale import ScanScale

MOST_FINE = 16.0
"""Pixels a mm that are worked on; a finer scan is averaged down to that or less."""
COARSE = 6.0
"""Pixels a mm on which the ground is found."""
GROUND_MM = 2.4
"""Lines less wide than this are ink, not ground."""
SMOOTH_MM = 0.06
DARKEST = 0.004
OF_PEN = 0.3
"""A red or blue pen takes this share of what it takes most of one colour from all."""
PEN_NOISE = 0.06


@dataclass(frozen=True)
class InkMap:
    """``pencil``, ``pen``: densities, rows from the top; ``start``: the pixel of the scan at its upper left; ``by``:
    pixels of the scan along the side of one of its own; ``mm``: the side of one."""

    pencil: LightArray
    pen: LightArray
    start: tuple[int, int]
    by: int
    mm: float
    scale: ScanScale

    def pencil_at(self, at: FloatArray) -> FloatArray:
        """The density of pencil at places in mm of the sheet, along the last axis but one."""
        cells = (self.scale.to_pixels(at.reshape(-1, 2)) - self.start) / self.by
        return sampled(self.pencil[..., None], cells)[:, 0].reshape(at.shape[:-1])

    def to_mm(self, cells: FloatArray) -> FloatArray:
        """Places in cells, in mm of the sheet."""
        return self.scale.to_mm(cells * self.by + np.array(self.start, float))


def ink_in(scan: Scan, window: PixelWindow, scale: ScanScale) -> InkMap:
    """The ink in a window of a scan."""
    left, top, _, _ = window
    pixel = scale.pixel_mm(window_middle(window))
    by = max(1, math.ceil(1 / (pixel * MOST_FINE)))
    light = _means(scan, window, by)
    mm = pixel * by
    light = smoothed(light, max(SMOOTH_MM / mm, 0.4))
    coarse = max(1, round(1 / (mm * COARSE)))
    ground = _ground(light, coarse, mm)
    density = -np.log10(np.maximum(light, DARKEST) / np.maximum(ground, DARKEST))
    least = density.min(axis=2)
    pen = density.max(axis=2) - least
    # A pen takes a little from every colour.
    pencil = least - OF_PEN * np.maximum(pen - PEN_NOISE, 0.0)
    return InkMap(pencil, pen, (left, top), by, mm, scale)


def _means(scan: Scan, window: PixelWindow, by: int) -> LightArray:
    """Means of squares of pixels, linear."""
    left, top, right, bottom = window
    columns, rows = (right - left) // by, (bottom - top) // by
    made = np.empty((rows, columns, 3), np.float32)
    for row in range(0, rows, 128):
        end = min(row + 128, rows)
        part = scan.light((left, top + row * by, left + columns * by, top + end * by))
        made[row:end] = part.reshape(end - row, by, columns, by, 3).mean(axis=(1, 3))
    return made


def _ground(light: LightArray, by: int, mm: float) -> LightArray:
    """The light without lines: greatest, then least, then smoothed; worked out on fewer cells."""
    rows, columns = light.shape[0] // by * by, light.shape[1] // by * by
    few = light[:rows, :columns].reshape(rows // by, by, columns // by, by, 3).mean(axis=(1, 3))
    reach = max(1, round(GROUND_MM / 2 / (mm * by)))
    for pick in (np.maximum, np.minimum):
        few = pick_around(few, reach, pick)
    few = smoothed(few, max(1.0, reach / 2))
    at = [
        np.clip((np.arange(size) + 0.5) / by - 0.5, 0, n - 1)
        for size, n in zip(light.shape[:2], few.shape, strict=False)
    ]
    return _between(_between(few, at[0], 0), at[1], 1)


def _between(values: LightArray, at: FloatArray, axis: int) -> LightArray:
    """Values between rows or columns."""
    low = np.minimum(at.astype(np.int64), values.shape[axis] - 2)
    share = (at - low).astype(np.float32)
    shape = [1] * values.ndim
    shape[axis] = len(at)
    share = share.reshape(shape)
    low_part, high_part = (np.take(values, low + n, axis=axis) for n in (0, 1))
    return np.asarray(low_part * (1 - share) + high_part * share, np.float32)
