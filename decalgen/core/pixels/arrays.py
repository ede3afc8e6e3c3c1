"""Pixels as arrays, rows from the top."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from decalgen.core.pixels.values import Pixels

Bytes = NDArray[np.uint8]


def rgb_of(pixels: Pixels) -> Bytes:
    """Height × width × 3, 0 to 255; not to be written to."""
    return np.frombuffer(pixels.rgb, np.uint8).reshape(pixels.height, pixels.width, 3)


def from_rgb(rgb: Bytes) -> Pixels:
    """The other way, through which nothing shows."""
    return Pixels(rgb.shape[1], rgb.shape[0], rgb.tobytes())


def alpha_of(pixels: Pixels) -> Bytes:
    """Height × width, 0 to 255, 255 all over where nothing shows through; not to be written to."""
    shape = (pixels.height, pixels.width)
    if pixels.alpha is None:
        return np.full(shape, 255, np.uint8)
    return np.frombuffer(pixels.alpha, np.uint8).reshape(shape)
