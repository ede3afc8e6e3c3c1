"""How far apart two colours are: CIEDE2000, lightness, and the contrast ratio of WCAG 2."""

from __future__ import annotations

from decalgen.colour.ciede2000 import delta_e_lab
from decalgen.colour.value import Colour

GOOD = 3.0
"""Up to this CIEDE2000 a decal passes for the wanted colour at arm's length (common practice, no source)."""


def delta_e(one: Colour, other: Colour) -> float:
    """CIEDE2000 of two colours under D50."""
    return delta_e_lab(one.lab, other.lab)


def delta_l(one: Colour, other: Colour) -> float:
    """The difference in lightness L*, never negative."""
    return abs(one.lab[0] - other.lab[0])


def contrast(one: Colour, other: Colour) -> float:
    """The contrast ratio of WCAG 2 (1 to 21), of the colours as a screen shows them (WCAG 2.2, relative luminance)."""
    dark, light = sorted(_luminance(colour) for colour in (one, other))
    return (light + 0.05) / (dark + 0.05)


def _luminance(colour: Colour) -> float:
    r, g, b = Colour.from_hex(colour.hex).linear
    return 0.2126 * r + 0.7152 * g + 0.0722 * b
