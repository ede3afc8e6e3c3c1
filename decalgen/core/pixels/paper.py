"""Whether a picture is seen on its paper: how much of its edge is as pale as paper and hides what is under it. Pure."""

from __future__ import annotations

import numpy as np

from decalgen.core.pixels.arrays import alpha_of, rgb_of
from decalgen.core.pixels.values import Pixels

PALE = 200
"""Paper is as pale in each of red, green and blue (of 255): aged and badly lit paper too (common practice, no
source)."""
GREY = 40
"""and they differ by no more: a yellowed sheet does, a pale ink does not (common practice, no source)."""
RIM = 0.01
"""How much of its shorter side is looked at along each, one pixel at least."""


def paper_share(pixels: Pixels) -> float:
    """The share, 0 to 1, of a picture's edge that is opaque and as pale as paper; 0 where nothing else is on it."""
    rgb = rgb_of(pixels)
    darkest, palest = rgb.min(axis=2), rgb.max(axis=2)
    paper = (darkest >= PALE) & (palest - darkest <= GREY)
    if pixels.alpha is not None:
        paper &= alpha_of(pixels) > 127
    if paper.all():
        return 0.0
    deep = max(1, round(RIM * min(paper.shape)))
    rim = np.ones(paper.shape, bool)
    rim[deep:-deep, deep:-deep] = False
    return float(paper[rim].mean())
