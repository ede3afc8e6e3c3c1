"""A scan as light: its file read, its pixels made linear where they are looked at. Rows from the top; pixels."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from decalgen.colour.spaces import D50, from_linear
from decalgen.core.arrays import FloatArray
from decalgen.core.pixels.arrays import Bytes, rgb_of
from decalgen.core.pixels.decode import decode, resolution_of
from decalgen.core.pixels.values import PictureData, PixelsError
from decalgen.core.values import dataclass

PixelWindow = tuple[int, int, int, int]
"""Part of a picture by its first column, first row, and the columns and rows after the last."""
LEAST_SIDE = 60
"""Pixels along the shorter side; with fewer nothing can be measured."""
BLANK = 6.0
"""Where the brightest and the darkest of coded levels differ by less, leaving out a thousandth at each end, nothing is
on the picture."""
_TO_XYZ = np.array([from_linear(one) for one in ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))])
"""Rows of linear sRGB times this are rows of XYZ under D50."""
_WHITE = np.array(D50)


@dataclass(frozen=True)
class Scan:
    """A picture to measure on. ``coded``: height × width × 3, sRGB; ``dpi``: across and down as the file says, or
    None."""

    name: str
    coded: Bytes
    dpi: tuple[float, float] | None
    notes: tuple[str, ...] = ()

    @property
    def size(self) -> tuple[int, int]:
        """Width and height in pixels."""
        return int(self.coded.shape[1]), int(self.coded.shape[0])

    @property
    def whole(self) -> PixelWindow:
        """All of it."""
        return (0, 0, *self.size)

    def inside(self, window: PixelWindow) -> PixelWindow:
        """What of a window is in the picture."""
        left, top, right, bottom = window
        width, height = self.size
        return max(0, left), max(0, top), min(width, right), min(height, bottom)

    def light(self, window: PixelWindow) -> NDArray[np.float32]:
        """Linear red, green and blue of a window, 0 to 1."""
        left, top, right, bottom = window
        return linear_levels()[self.coded[top:bottom, left:right]]

    def light_at(self, places: FloatArray) -> FloatArray:
        """Linear red, green and blue of the pixels at places, pixels, along the last axis; beyond the picture those
        of its edge."""
        wide, high = self.size
        columns = np.clip(np.floor(places[..., 0]).astype(np.int64), 0, wide - 1)
        rows = np.clip(np.floor(places[..., 1]).astype(np.int64), 0, high - 1)
        return linear_levels()[self.coded[rows, columns]].astype(np.float64)


def read_scan(picture: PictureData) -> Scan:
    """The scan in a file's bytes. Raises PixelsError for what cannot be read, is too small, or is blank."""
    decoded = decode(picture)
    coded = rgb_of(decoded.pixels)
    if min(coded.shape[:2]) < LEAST_SIDE:
        raise PixelsError(
            f"'{picture.name}' has only {coded.shape[1]} \N{MULTIPLICATION SIGN} {coded.shape[0]} pixels",
            fix="scan at 300 dpi or more, and give the whole picture",
        )
    step = max(1, coded.shape[0] * coded.shape[1] // 400_000)
    some = coded.reshape(-1, 3)[::step].astype(np.float64)
    low, high = np.percentile(some, (0.1, 99.9), axis=0)
    if float((high - low).max()) < BLANK:
        raise PixelsError(f"'{picture.name}' is blank", fix="lay the original face down, and scan it again")
    return Scan(picture.name, coded, resolution_of(picture), decoded.notes)


@lru_cache(maxsize=1)
def linear_levels() -> NDArray[np.float32]:
    """Linear light of each coded level (IEC 61966-2-1)."""
    level = np.arange(256) / 255
    return np.where(level <= 0.04045, level / 12.92, ((level + 0.055) / 1.055) ** 2.4).astype(np.float32)


def window_middle(window: PixelWindow) -> FloatArray:
    """The place in the middle of a window, pixels."""
    left, top, right, bottom = window
    return np.array([(left + right) / 2, (top + bottom) / 2])


def lab_of(light: FloatArray) -> FloatArray:
    """CIE L*a*b* under D50 of linear sRGB, along the last axis (CIE 15:2018, 8.2.1; matrix as in CSS Color 4)."""
    share = np.asarray(light, float) @ _TO_XYZ / _WHITE
    root = np.where(share > 216 / 24389, np.cbrt(np.maximum(share, 0.0)), (24389 / 27 * share + 16) / 116)
    x, y, z = root[..., 0], root[..., 1], root[..., 2]
    return np.stack((116 * y - 16, 500 * (x - y), 200 * (y - z)), axis=-1)
