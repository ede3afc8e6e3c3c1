"""Colours that stand for a picture: its mean, and a few that between them show what is in it."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from decalgen.core.pixels.arrays import Bytes, alpha_of, rgb_of
from decalgen.core.pixels.values import Pixels

LOOKED_AT = 65_536
"""Of a larger picture so many pixels are looked at, evenly spread."""
TOLD_BY = 8
LEAST_SHARE = 0.05
"""What is less of a picture decides nothing about all of it."""


@lru_cache(maxsize=64)
def mean_colour(pixels: Pixels) -> str:
    """The mean of what can be seen, '#rrggbb' (of coded values: for words and judgements, not for print)."""
    seen = _seen(pixels)
    if not len(seen):
        return "#ffffff"
    r, g, b = (round(float(value)) for value in seen.mean(axis=0))
    return f"#{r:02x}{g:02x}{b:02x}"


@lru_cache(maxsize=64)
def telling_colours(pixels: Pixels) -> tuple[str, ...]:
    """A few colours, '#rrggbb', that each stand for a twentieth or more of what can be seen: for judging what is to be
    done about all of it."""
    from PIL import Image

    seen = _seen(pixels)
    if not len(seen):
        return ("#ffffff",)
    strip = Image.fromarray(np.ascontiguousarray(seen[None]))
    few = strip.quantize(TOLD_BY, method=Image.Quantize.MEDIANCUT, dither=Image.Dither.NONE)
    palette = few.getpalette() or []
    shares = few.getcolors(TOLD_BY) or []
    wanted = [int(str(number)) for count, number in shares if count >= LEAST_SHARE * len(seen)]
    return tuple("#{:02x}{:02x}{:02x}".format(*palette[3 * n : 3 * n + 3]) for n in sorted(wanted))


def _seen(pixels: Pixels) -> Bytes:
    """Colours of pixels that are more than half there, one a row."""
    rgb = rgb_of(pixels).reshape(-1, 3)
    step = max(1, len(rgb) // LOOKED_AT)
    some = rgb[::step]
    if pixels.alpha is None:
        return some
    return np.asarray(some[alpha_of(pixels).reshape(-1)[::step] > 127])
