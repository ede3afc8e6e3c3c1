"""Pixels beyond the edge of what a picture shows: the colours of the edge run on, so that a cut along it, and one a
little off it, meets colour. Pure."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from decalgen.core.arrays import FloatArray
from decalgen.core.pixels.arrays import Bytes, alpha_of, rgb_of
from decalgen.core.pixels.values import Pixels

SOLID, NOTHING = 250, 5
"""An edge between an alpha of at least the one and at most the other is a plain one, only smoothed."""


def run_on(pixels: Pixels, rim: int, cut_out: bool) -> Pixels:
    """The picture with ``rim`` more pixels on each side, filled from what is next to them.

    ``cut_out``: it is shown only inside the half contour of its alpha; a plain edge then becomes whole, as the contour
    cuts it, and with a rim colour runs on beyond the contour too.
    """
    alpha = alpha_of(pixels)
    rgb = np.pad(rgb_of(pixels), ((rim, rim), (rim, rim), (0, 0)))
    # What has a colour of its own: all of a picture in a box, however much shows through it.
    known = np.pad(alpha if cut_out else np.full_like(alpha, 255), rim)
    alpha = np.pad(alpha, rim)
    whole = _plain_edge(alpha) if cut_out else known < 128
    if rim:
        whole |= known < 128
    rgb = np.where((whole & (known < 128))[..., None], _spread(rgb, known), rgb)
    alpha = np.where(whole, 255, alpha)
    high, wide = alpha.shape
    colours, there = rgb.astype(np.uint8).tobytes(), alpha.astype(np.uint8)
    return Pixels(wide, high, colours, None if int(there.min()) == 255 else there.tobytes())


def _plain_edge(alpha: Bytes) -> NDArray[np.bool_]:
    """Where a plain edge runs, a pixel to each side."""
    high, low = _around(alpha, np.maximum), _around(alpha, np.minimum)
    return _around((high >= SOLID) & (low <= NOTHING), np.logical_or)


def _around(values: NDArray[np.generic], pick: np.ufunc) -> NDArray[np.bool_]:
    """The greatest or least of each 3 × 3 pixels."""
    wide = np.pad(values, 1, mode="edge")
    rows = pick(pick(wide[:-2], wide[1:-1]), wide[2:])
    return np.asarray(pick(pick(rows[:, :-2], rows[:, 1:-1]), rows[:, 2:]))


def _spread(rgb: Bytes, alpha: Bytes) -> FloatArray:
    """For every pixel the colour of what is shown around it: means over ever larger squares, the nearest that has
    one."""
    weight = (alpha.astype(np.float64) * (alpha > 127))[..., None]
    return _filled(rgb * weight, weight)


def _filled(sums: FloatArray, weight: FloatArray) -> FloatArray:
    own = sums / np.maximum(weight, 1e-9)
    high, wide = weight.shape[:2]
    if high <= 1 and wide <= 1:
        return own
    pad = ((0, high % 2), (0, wide % 2), (0, 0))
    halves = [np.pad(one, pad) for one in (sums, weight)]
    fewer = [one[::2, ::2] + one[1::2, ::2] + one[::2, 1::2] + one[1::2, 1::2] for one in halves]
    coarse = _filled(fewer[0], fewer[1])
    wider = coarse.repeat(2, axis=0).repeat(2, axis=1)[:high, :wide]
    return np.where(weight > 0, own, wider)
