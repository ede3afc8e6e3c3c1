"""Pictures in other colours: lightened for paper, or as a function of colours makes them look. Pure."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache

from decalgen.core.pixels.values import Pixels

Rgb = tuple[float, float, float]
"""Red, green and blue of sRGB as they are coded, 0 to 1."""
STEPS = 17
"""Of each channel so many levels are worked out; between them it is linear. For the colour model that is within one
level of 255 on average."""


@lru_cache(maxsize=16)
def pale(pixels: Pixels, by: float) -> Pixels:
    """Each colour mixed with white."""
    table = bytes(round(value + (255 - value) * by) for value in range(256))
    return Pixels(pixels.width, pixels.height, pixels.rgb.translate(table), pixels.alpha)


def recoloured(pixels: Pixels, look: Callable[[Rgb], Rgb]) -> Pixels:
    """Each colour as ``look`` gives it."""
    from PIL import Image, ImageFilter

    table = ImageFilter.Color3DLUT.generate(STEPS, lambda r, g, b: look((r, g, b)))
    image = Image.frombytes("RGB", (pixels.width, pixels.height), pixels.rgb)
    return Pixels(pixels.width, pixels.height, image.filter(table).tobytes(), pixels.alpha)
