"""How colour-deficient eyes see a colour, on a screen.

Red-blind and green-blind: F. Vienot, H. Brettel, J. D. Mollon, "Digital video colourmaps for checking the legibility of
displays by dichromats", Color Research and Application 24:243, 1999. Blue-blind: H. Brettel, F. Vienot, J. D. Mollon,
"Computerized simulation of color appearance for dichromats", J. Opt. Soc. Am. A 14:2647, 1997. By hand, because a
check of a job must not wait for the colour library; tests hold it against that.
"""

from __future__ import annotations

from typing import Literal

from decalgen.colour.spaces import times
from decalgen.colour.value import Colour

Eyes = Literal["red-blind", "green-blind", "blue-blind"]
Row = tuple[float, float, float]
ColourMatrix = tuple[Row, Row, Row]

# From linear sRGB to linear sRGB: red and green of one mixture, which is all these eyes have of both.
_FLAT: dict[Eyes, ColourMatrix] = {
    "red-blind": (
        (0.11238276122216405, 0.8876172387778362, 0.0),
        (0.11238276122216405, 0.8876172387778362, 0.0),
        (0.0040057682730469425, -0.0040057682730469425, 1.0),
    ),
    "green-blind": (
        (0.2927501142784356, 0.7072498857215644, 0.0),
        (0.2927501142784356, 0.7072498857215644, 0.0),
        (-0.022336587034129083, 0.022336587034129083, 1.0),
    ),
}
# Blue-blind: to the cones (Smith and Pokorny), then to one of two half planes, and back to linear sRGB in one step.
_CONES: ColourMatrix = (
    (0.178824041258, 0.4351609057000001, 0.04119349692),
    (0.034556423182, 0.27155382458, 0.038671308360000003),
    (0.000299565576, 0.0018430896, 0.01467086136),
)
_APART: Row = (0.344781556122, -0.6551784438780001, 0.0)
_HALVES: tuple[ColourMatrix, ColourMatrix] = (
    (
        (7.392856536180033, -11.148044821248138, 0.0),
        (-0.34194012421930653, 3.5501661175064, 0.0),
        (-4.2050692716448586, 10.89115898202731, 0.0),
    ),
    (
        (8.0643934576311, -12.42414705871019, 0.0),
        (-0.9956078228581946, 4.7923119863996835, 0.0),
        (-0.2150297288038942, 3.3090019545637928, 0.0),
    ),
)


def seen_by(eyes: Eyes, colour: Colour) -> Colour:
    """The colour that those eyes take a colour for. It may lie a little outside sRGB."""
    light = Colour.from_hex(colour.hex).linear
    if eyes == "blue-blind":
        cones = times(_CONES, light)
        half = _HALVES[sum(a * b for a, b in zip(_APART, cones, strict=True)) > 0]
        return Colour.from_linear(times(half, cones))
    return Colour.from_linear(times(_FLAT[eyes], light))
