"""What a translucent ink looks like over a coloured body, and the ink that makes up for the body.

Each of three broad bands of light multiplies on its own: light passes the ink twice and meets the body in between. Two
things keep plain multiplication from being right, and both are taken off before and put back after: a neutral floor
(light the surface sends back whatever lies below) and internal reflection (light thrown back inside the film; Williams
and Clapper 1953)::

    F(R) = (R - f) / ((1 - k2) + k2 (R - f))        x = F(ink) F(body) / F(paper)
    look = f + (1 - k2) x / (1 - k2 x)

R is the light in a band with D50 white at 1; ``ink`` is the ink as it looks on ``paper``. The bands matter: with
sRGB's primaries, one in ten patches of offset print would have a negative channel; with these, none has. Bands, floor
and k2 were fitted together to measured prints and to paint chips; how, and the errors on prints that had no part in it,
are in tests/published/test_colour.py and tests/benchmarks/colour_fit.py. No open measurement of ink on transfer film
over paint is known, so every figure shown to a user carries `SOURCE_NOTE`.
"""

from __future__ import annotations

from decalgen.colour.spaces import XYZ
from decalgen.colour.value import ColourError

FLOOR = 0.01
"""Y of the darkest patch, where the user has not measured it."""

FLOOR_SHARE = 1.154
"""The floor f, in parts of Y of the darkest patch (fitted: a little light still comes through the other inks where the
darkest patch is printed)."""

INTERNAL_REFLECTION = 0.277
"""k2 for prints (fitted). About 0.4 may suit a glossy sealed film (no measurement)."""

WHITE: XYZ = (0.9642956764295678, 1.0, 0.8251046025104604)
"""D50 white as CSS Color 4 defines it (xy 0.3457, 0.3585)."""

SOURCE_NOTE = "from press data, not film on paint; print a swatch"

Matrix3 = tuple[XYZ, XYZ, XYZ]
Channels = tuple[float, float, float]

# Rows of the matrix from XYZ under D50 to the bands, but for the last number, which follows from white being 1, 1, 1.
_FITTED = ((1.704, -0.462), (-0.619, 1.543), (0.028, 0.024))


def _band(x: float, y: float) -> XYZ:
    return x, y, (1 - x * WHITE[0] - y * WHITE[1]) / WHITE[2]


_TO_BANDS: Matrix3 = (_band(*_FITTED[0]), _band(*_FITTED[1]), _band(*_FITTED[2]))


def _inverse(m: Matrix3) -> Matrix3:
    (a, b, c), (d, e, f), (g, h, i) = m
    det = a * (e * i - f * h) - b * (d * i - f * g) + c * (d * h - e * g)
    return (
        ((e * i - f * h) / det, (c * h - b * i) / det, (b * f - c * e) / det),
        ((f * g - d * i) / det, (a * i - c * g) / det, (c * d - a * f) / det),
        ((d * h - e * g) / det, (b * g - a * h) / det, (a * e - b * d) / det),
    )


_FROM_BANDS = _inverse(_TO_BANDS)


def _times(m: Matrix3, v: tuple[float, float, float]) -> tuple[float, float, float]:
    x, y, z = v
    return (
        m[0][0] * x + m[0][1] * y + m[0][2] * z,
        m[1][0] * x + m[1][1] * y + m[1][2] * z,
        m[2][0] * x + m[2][1] * y + m[2][2] * z,
    )


def channels(xyz: XYZ) -> Channels:
    """The light in each of the three bands: D50 white is 1, 1, 1."""
    return _times(_TO_BANDS, xyz)


def from_channels(rgb: Channels) -> XYZ:
    """Back to XYZ."""
    return _times(_FROM_BANDS, rgb)


def scaled(xyz: XYZ, by: XYZ, over: XYZ) -> XYZ:
    """A colour with as much more or less light in each band as ``by`` has beside ``over``, whose bands are not dark."""
    first, second, third = (
        c * b / max(o, 1e-6) for c, b, o in zip(channels(xyz), channels(by), channels(over), strict=True)
    )
    return from_channels((first, second, third))


def surface(floor: float, k2: float = INTERNAL_REFLECTION) -> float:
    """f, the light a surface sends back whatever lies below it, from Y of the printer's darkest patch.

    Raises ColourError for a floor or k2 out of range.
    """
    if not 0 <= floor < 0.5:
        raise ColourError(
            f"the darkest patch reads Y = {floor:g}",
            fix="give Y as a part of white, from 0 to below 0.5 (about 0.01)",
        )
    if not 0 <= k2 < 1:
        raise ColourError(f"internal reflection {k2:g} is out of range", fix="write a number from 0 to below 1 (0.28)")
    return FLOOR_SHARE * floor


def inner(value: float, floor: float, k2: float) -> float:
    """F: the reflectance below a surface that sends back ``floor`` (see `surface`). Nothing is darker than that, so it
    never goes below 0."""
    above = max(value - floor, 0.0)
    return above / ((1 - k2) + k2 * above)


def outer(x: float, floor: float, k2: float) -> float:
    """What is seen from outside; undoes `inner`."""
    return floor + (1 - k2) * x / (1 - k2 * x)


def look(ink: XYZ, paper: XYZ, body: XYZ, floor: float = FLOOR, k2: float = INTERNAL_REFLECTION) -> XYZ:
    """How an ink that looks like ``ink`` on ``paper`` will look over ``body``; all XYZ under D50.

    Raises ColourError for a floor or k2 out of range and for a paper as dark as the floor.
    """
    back = surface(floor, k2)
    seen = []
    for on_paper, sheet, below in zip(channels(ink), channels(paper), channels(body), strict=True):
        white = inner(sheet, back, k2)
        if white <= 0:
            raise ColourError(
                "the paper is as dark as the darkest patch",
                fix="give the colour of the white paper the ink was seen on",
            )
        x = inner(on_paper, back, k2) * inner(below, back, k2) / white
        seen.append(outer(x, back, k2))
    return from_channels((seen[0], seen[1], seen[2]))


def attainable(target: XYZ, body: XYZ, floor: float = FLOOR, k2: float = INTERNAL_REFLECTION) -> bool:
    """Whether some ink without white makes ``body`` look like ``target``: ink only takes light away, so no
    channel of the target may be lighter than the body, and none darker than the printer's darkest."""
    back = surface(floor, k2)
    return all(
        wanted >= back and inner(wanted, back, k2) <= inner(below, back, k2)
        for wanted, below in zip(channels(target), channels(body), strict=True)
    )


def compensate(target: XYZ, paper: XYZ, body: XYZ, floor: float = FLOOR, k2: float = INTERNAL_REFLECTION) -> XYZ:
    """The ink, as it looks on ``paper``, that makes ``body`` look like ``target``.

    Exact where `attainable`. Elsewhere each channel the body is too dark for is left as bare paper, which
    comes nearest in that channel.
    """
    back = surface(floor, k2)
    inks = []
    for wanted, sheet, below in zip(channels(target), channels(paper), channels(body), strict=True):
        white, ground = inner(sheet, back, k2), inner(below, back, k2)
        light = inner(wanted, back, k2)
        inks.append(outer(white if light >= ground else light * white / ground, back, k2))
    return from_channels((inks[0], inks[1], inks[2]))
