"""Colours as values, kept as CIE XYZ (D50, 2 degree observer, perfect white Y = 1)."""

from __future__ import annotations

import math
import re
from functools import lru_cache
from typing import TYPE_CHECKING

from decalgen.colour.names import NAMED
from decalgen.colour.palette import PALETTE
from decalgen.colour.spaces import (
    D50,
    XYZ,
    Lab,
    Light,
    coded_of,
    decoded,
    from_linear,
    lab_under,
    linear_of,
    xyz_under,
)
from decalgen.colour.srgb import brought_in
from decalgen.core.errors import DecalgenError, did_you_mean
from decalgen.core.values import dataclass

if TYPE_CHECKING:
    from coloraide import Color

WAYS = "write it as '#e8641b', a CSS colour name, 'lab(58 52 60)' or 'cmyk(0 70 100 0)'"

_HEX = re.compile(r"^#(?:[0-9a-f]{3}|[0-9a-f]{6})$", re.IGNORECASE)


class ColourError(DecalgenError):
    """A colour, opacity, profile or reading that cannot be right."""

    exit_code = 2


@dataclass(frozen=True, slots=True)
class Colour:
    """A colour as seen in daylight (D50)."""

    xyz: XYZ

    @property
    def lab(self) -> Lab:
        """CIE L*a*b* under D50."""
        return _lab(self.xyz)

    @property
    def hex(self) -> str:
        """The nearest '#rrggbb' (sRGB); a colour outside sRGB is brought in at its own hue."""
        return _hex(self.xyz)

    @property
    def in_srgb(self) -> bool:
        """Whether '#rrggbb' can say this colour (to within half a step of 255)."""
        return _in_srgb(self.xyz)

    @property
    def linear(self) -> tuple[float, float, float]:
        """Linear sRGB, 0 to 1 where a screen can show it."""
        return linear_of(self.xyz)

    @staticmethod
    def from_linear(light: Light) -> Colour:
        """From linear sRGB."""
        return Colour(from_linear(light))

    @staticmethod
    def from_hex(text: str) -> Colour:
        """From '#rrggbb' or '#rgb'. Raises ColourError."""
        return Colour(from_css(text))

    @staticmethod
    def from_lab(lightness: float, a: float, b: float) -> Colour:
        """From CIE L*a*b* under D50: L* from 0 to 100, a* and b* from -128 to 128. Raises ColourError."""
        if not all(math.isfinite(v) for v in (lightness, a, b)):
            raise ColourError("a Lab value is not a number", fix="write three numbers: L* a* b*")
        if not 0 <= lightness <= 100:
            fix = "write L* between 0 and 100"
            if 100 < lightness <= 255:
                fix += f"; if the reading counts to 255, L* is {lightness / 2.55:.1f}"
            raise ColourError(f"L* {lightness:g} is out of range", fix=fix)
        for name, value in (("a*", a), ("b*", b)):
            if not -128 <= value <= 128:
                raise ColourError(f"{name} {value:g} is out of range", fix=f"write {name} between -128 and 128")
        return Colour(xyz_under(D50, (lightness, a, b)))


@lru_cache(maxsize=1024)
def from_css(text: str) -> XYZ:
    if _HEX.match(text):
        return _from_digits(text[1:])
    from coloraide import Color as Css

    if re.fullmatch(r"#[0-9a-f]{4}", text, re.IGNORECASE):
        # To CSS a colour and its transparency; more likely two figures were left out.
        raise ColourError(f"'{text}' is not a colour", fix=_fix(text))
    try:
        colour = Css(text)
    except ValueError:
        raise ColourError(f"'{text}' is not a colour", fix=_fix(text)) from None
    if colour.alpha() < 1:
        raise ColourError(
            f"'{text}' is transparent; an ink covers or it does not",
            fix="leave out the transparency: '#rrggbb'",
        )
    values = [float(v) for v in colour.convert("srgb").coords()]
    if not all(math.isfinite(v) for v in values):
        raise ColourError(f"'{text}' is not a colour", fix=WAYS)
    if not all(-1e-3 <= v <= 1 + 1e-3 for v in values):
        raise ColourError(
            f"'{text}' is out of range: a screen cannot show it",
            fix="keep red, green and blue between 0 and 255, or give the measured colour as 'lab(L a b)'",
        )
    return _xyz(colour)


def _from_digits(digits: str) -> XYZ:
    """'rrggbb' or 'rgb'. By hand, because most jobs hold nothing else and need not wait for coloraide."""
    if len(digits) == 3:
        digits = "".join(2 * digit for digit in digits)
    return from_linear(decoded(int(digits[i : i + 2], 16) / 255 for i in (0, 2, 4)))


def _fix(text: str) -> str:
    word = text.lower()
    if re.fullmatch(r"#?[0-9a-f]{1,8}", word) and len(word.strip("#")) in {6, 3} and word[0] != "#":
        return f"did you mean '#{word}'? (in a job file, in quotes)"
    if word.startswith("#"):
        return "write '#' and six digits 0-9, a-f: '#e8641b'"
    known = [*PALETTE, *NAMED]
    hint = did_you_mean(word, known)
    return hint if hint.startswith("did you") else WAYS


def _xyz(colour: Color) -> XYZ:
    x, y, z = (float(v) for v in colour.convert("xyz-d50").coords(nans=False))
    return x, y, z


@lru_cache(maxsize=8192)
def _lab(xyz: XYZ) -> Lab:
    return lab_under(D50, xyz)


@lru_cache(maxsize=4096)
def _hex(xyz: XYZ) -> str:
    values = coded_of(linear_of(xyz))
    if not _in_srgb(xyz):
        values = brought_in(xyz)
    levels = [round(min(max(v, 0.0), 1.0) * 255) for v in values]
    return "#{:02x}{:02x}{:02x}".format(*levels)


def _in_srgb(xyz: XYZ) -> bool:
    return all(-0.5 / 255 <= v <= 1 + 0.5 / 255 for v in coded_of(linear_of(xyz)))
