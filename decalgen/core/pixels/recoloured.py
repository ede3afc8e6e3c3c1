"""Pictures in other colours: lightened for paper, or as some function of colours makes them look. Pure."""

from __future__ import annotations

from functools import lru_cache

from decalgen.core.pixels.values import Pixels


@lru_cache(maxsize=16)
def pale(pixels: Pixels, by: float) -> Pixels:
    """Each colour mixed with white."""
    table = bytes(round(value + (255 - value) * by) for value in range(256))
    return Pixels(pixels.width, pixels.height, pixels.rgb.translate(table), pixels.alpha)
