"""What a translucent ink looks like over a coloured body, and the ink that makes up for the body.

Each channel of linear AP1 (the primaries of ACEScg, adapted to D50) multiplies on its own: light passes the
ink twice and meets the body in between. Two things keep plain multiplication from being right, and both are
taken off before and put back after: a neutral floor (light the surface sends back whatever lies below,
measured as Y of the darkest patch the printer makes) and internal reflection (light thrown back inside the
film; Williams and Clapper 1953)::

    F(R) = (R - f) / ((1 - k2) + k2 (R - f))        x = F(ink) F(body) / F(paper)
    look = f + (1 - k2) x / (1 - k2 x)

R is the AP1 value with D50 white at 1; ``ink`` is the ink as it looks on ``paper``. The primaries matter:
with sRGB's, one in ten patches of offset print would have a negative channel. Errors on measured prints:
see tests/published/test_colour.py. No open measurement of ink on transfer film over paint is known, so
every figure shown to a user carries `SOURCE_NOTE`.
"""

from __future__ import annotations

from decalgen.colour.spaces import XYZ
from decalgen.colour.value import ColourError

FLOOR = 0.01
"""Y of the darkest patch, where the user has not measured it."""

INTERNAL_REFLECTION = 0.25
"""k2 for prints: of the four data sets developed on, the two on coated paper do best at 0.2, the two on uncoated at
0.4, all together between 0.25 and 0.3. About 0.4 may suit a glossy sealed film (no measurement)."""

WHITE: XYZ = (0.9642956764295678, 1.0, 0.8251046025104604)
"""D50 white as CSS Color 4 defines it (xy 0.3457, 0.3585)."""

SOURCE_NOTE = "from press data, not film on paint; print a swatch"

Matrix3 = tuple[XYZ, XYZ, XYZ]
Channels = tuple[float, float, float]

# AP1 primaries xy 0.713 0.293, 0.165 0.830, 0.128 0.044 with white 0.32168 0.33767 (SMPTE ST 2065-1 and
# ACEScg), adapted to D50 by Bradford; tests/colour/test_model.py derives it again.
_TO_AP1: Matrix3 = (
    (1.592616037540, -0.351851232229, -0.222882682297),
    (-0.675958396892, 1.639356501502, 0.015109912161),
    (0.019953524117, -0.022547150820, 1.215974375530),
)


def _inverse(m: Matrix3) -> Matrix3:
    (a, b, c), (d, e, f), (g, h, i) = m
    det = a * (e * i - f * h) - b * (d * i - f * g) + c * (d * h - e * g)
    return (
        ((e * i - f * h) / det, (c * h - b * i) / det, (b * f - c * e) / det),
        ((f * g - d * i) / det, (a * i - c * g) / det, (c * d - a * f) / det),
        ((d * h - e * g) / det, (b * g - a * h) / det, (a * e - b * d) / det),
    )


_FROM_AP1 = _inverse(_TO_AP1)


def _times(m: Matrix3, v: tuple[float, float, float]) -> tuple[float, float, float]:
    x, y, z = v
    return (
        m[0][0] * x + m[0][1] * y + m[0][2] * z,
        m[1][0] * x + m[1][1] * y + m[1][2] * z,
        m[2][0] * x + m[2][1] * y + m[2][2] * z,
    )


def channels(xyz: XYZ) -> Channels:
    """Linear AP1 under D50: white is 1, 1, 1."""
    return _times(_TO_AP1, xyz)


def from_channels(rgb: Channels) -> XYZ:
    """Back to XYZ."""
    return _times(_FROM_AP1, rgb)


def _check(floor: float, k2: float) -> None:
    if not 0 <= floor < 0.5:
        raise ColourError(
            f"the darkest patch reads Y = {floor:g}",
            fix="give Y as a part of white, from 0 to below 0.5 (about 0.01)",
        )
    if not 0 <= k2 < 1:
        raise ColourError(f"internal reflection {k2:g} is out of range", fix="write a number from 0 to below 1 (0.25)")


def inner(value: float, floor: float, k2: float) -> float:
    """F: the reflectance below the surface. Nothing is darker than the floor, so it never goes below 0."""
    above = max(value - floor, 0.0)
    return above / ((1 - k2) + k2 * above)


def outer(x: float, floor: float, k2: float) -> float:
    """What is seen from outside; undoes `inner`."""
    return floor + (1 - k2) * x / (1 - k2 * x)


def look(ink: XYZ, paper: XYZ, body: XYZ, floor: float = FLOOR, k2: float = INTERNAL_REFLECTION) -> XYZ:
    """How an ink that looks like ``ink`` on ``paper`` will look over ``body``; all XYZ under D50.

    Raises ColourError for a floor or k2 out of range and for a paper as dark as the floor.
    """
    _check(floor, k2)
    seen = []
    for on_paper, sheet, below in zip(channels(ink), channels(paper), channels(body), strict=True):
        white = inner(sheet, floor, k2)
        if white <= 0:
            raise ColourError(
                "the paper is as dark as the darkest patch",
                fix="give the colour of the white paper the ink was seen on",
            )
        x = inner(on_paper, floor, k2) * inner(below, floor, k2) / white
        seen.append(outer(x, floor, k2))
    return from_channels((seen[0], seen[1], seen[2]))


def attainable(target: XYZ, body: XYZ, floor: float = FLOOR, k2: float = INTERNAL_REFLECTION) -> bool:
    """Whether some ink without white makes ``body`` look like ``target``: ink only takes light away, so no
    channel of the target may be lighter than the body, and none darker than the printer's darkest."""
    _check(floor, k2)
    return all(
        wanted >= floor and inner(wanted, floor, k2) <= inner(below, floor, k2)
        for wanted, below in zip(channels(target), channels(body), strict=True)
    )


def compensate(target: XYZ, paper: XYZ, body: XYZ, floor: float = FLOOR, k2: float = INTERNAL_REFLECTION) -> XYZ:
    """The ink, as it looks on ``paper``, that makes ``body`` look like ``target``.

    Exact where `attainable`. Elsewhere each channel the body is too dark for is left as bare paper, which
    comes nearest in that channel.
    """
    _check(floor, k2)
    inks = []
    for wanted, sheet, below in zip(channels(target), channels(paper), channels(body), strict=True):
        white, ground = inner(sheet, floor, k2), inner(below, floor, k2)
        light = inner(wanted, floor, k2)
        inks.append(outer(white if light >= ground else light * white / ground, floor, k2))
    return from_channels((inks[0], inks[1], inks[2]))
