"""White that covers: layers of white ink, and how much of the body still shows through them.

A layer of white both scatters and absorbs; of a given white ink, its own colour (many layers) and its
opacity say all there is to say (Kubelka and Munk 1931, hyperbolic form). Over a ground Rg it looks like ``R
= R0 + T² Rg / (1 - R0 Rg)``; opacity (contrast ratio) is Y over black divided by Y over white, both
measured with the same layer (ISO 6504-3).
"""

from __future__ import annotations

import math
from functools import lru_cache

from decalgen.colour.model import channels, from_channels
from decalgen.colour.spaces import XYZ
from decalgen.colour.value import ColourError

WHITE_GROUND = 0.80
"""Y of the white part of an opacity chart (ISO 6504-3; from memory)."""

DEFAULT_OPACITY = 0.55
"""One pass of a desktop printer's white, often 0.5 to 0.6; measure your own."""

MOST_PASSES = 3


def check_opacity(opacity: float) -> None:
    """Raises ColourError unless ``opacity`` lies from 0.05 to 0.995."""
    if math.isfinite(opacity) and 0.05 <= opacity <= 0.995:
        return
    fix = "write a number from 0.05 to 0.995: lightness Y over black divided by Y over white (0.55 if unknown)"
    if 1 < opacity <= 100 and opacity / 100 >= 0.05:
        fix += f"; {opacity:g} % is {opacity / 100:g}"
    elif opacity == 0:
        fix += "; white of opacity 0 prints nothing: leave it out"
    raise ColourError(f"a white of opacity {opacity:g} is out of range", fix=fix)


def _layer(thickness: float, deep: float) -> tuple[float, float]:
    """(R0, T) of a layer: reflectance over black, transmittance. ``thickness`` is S·X, ``deep`` is R∞."""
    a = (1 / deep + deep) / 2
    b = (1 / deep - deep) / 2
    if b < 1e-9:
        return thickness / (1 + thickness), 1 / (1 + thickness)
    sinh, cosh = math.sinh(b * thickness), math.cosh(b * thickness)
    below = a * sinh + b * cosh
    return sinh / below, b / below


def _over(layer: tuple[float, float], ground: float) -> float:
    over_black, through = layer
    return over_black + through * through * ground / (1 - over_black * ground)


@lru_cache(maxsize=256)
def _thickness(opacity: float, deep: float) -> float:
    """The S·X of one pass with this opacity. Opacity grows with thickness, so halving finds it."""
    low, high = 0.0, 60.0
    for _ in range(80):
        middle = (low + high) / 2
        layer = _layer(middle, deep)
        if layer[0] / _over(layer, WHITE_GROUND) < opacity:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def under(white: XYZ, body: XYZ, opacity: float = DEFAULT_OPACITY, passes: int = 1) -> XYZ:
    """The ground that ``passes`` layers of white make over ``body``. Raises ColourError."""
    check_opacity(opacity)
    if not 1 <= passes <= MOST_PASSES:
        raise ColourError(f"{passes} passes of white", fix=f"print between 1 and {MOST_PASSES} passes")
    thickness = _thickness(round(opacity, 9), min(max(white[1], 0.05), 0.99)) * passes
    seen = []
    for deep, ground in zip(channels(white), channels(body), strict=True):
        seen.append(_over(_layer(thickness, min(max(deep, 0.05), 0.999)), min(max(ground, 0.0), 0.999)))
    return from_channels((seen[0], seen[1], seen[2]))


def opacity_of(over_black: XYZ, over_white: XYZ) -> float:
    """Opacity from two readings of one layer, over black and over white. Raises ColourError."""
    if over_white[1] <= 0 or over_black[1] > over_white[1]:
        raise ColourError(
            "the white reads lighter over black than over white",
            fix="check that the two readings are not swapped",
        )
    opacity = over_black[1] / over_white[1]
    check_opacity(min(opacity, 0.995))
    return min(opacity, 0.995)
