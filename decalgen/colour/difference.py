"""How far apart two colours are: CIEDE2000, lightness, and the contrast ratio of WCAG 2."""

from __future__ import annotations

from decalgen.colour.value import Colour, Lab, css

GOOD = 3.0
"""Up to this CIEDE2000 a decal passes for the wanted colour at arm's length (common practice, no source)."""


def delta_e_lab(one: Lab, other: Lab) -> float:
    """CIEDE2000 with kL = kC = kH = 1 (Sharma, Wu, Dalal 2005), from two CIE Lab triples."""
    return float(css("lab", one).delta_e(css("lab", other), method="2000", space="lab"))


def delta_e(one: Colour, other: Colour) -> float:
    """CIEDE2000 of two colours under D50."""
    return delta_e_lab(one.lab, other.lab)


def delta_l(one: Colour, other: Colour) -> float:
    """The difference in lightness L*, never negative."""
    return abs(one.lab[0] - other.lab[0])


def contrast(one: Colour, other: Colour) -> float:
    """The contrast ratio of WCAG 2 (1 to 21), of the colours as a screen shows them."""
    from coloraide import Color as Css

    return float(Css(one.hex).contrast(Css(other.hex), method="wcag21"))
