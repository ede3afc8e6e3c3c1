"""Colours as values: read from what people type, kept as CIE XYZ (D50, 2 degree observer, perfect white Y =
1)."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from decalgen.colour.names import NAMED
from decalgen.colour.palette import PALETTE
from decalgen.core.errors import DecalgenError, did_you_mean

if TYPE_CHECKING:
    from coloraide import Color

XYZ = tuple[float, float, float]
Lab = tuple[float, float, float]

WAYS = "write it as '#e8641b', a CSS colour name, 'lab(58 52 60)' or 'cmyk(0 70 100 0)'"

# Linear sRGB to XYZ under D50 (IEC 61966-2-1, adapted by Bradford as in CSS Color 4). Held against coloraide in tests.
_SRGB_TO_XYZ = (
    (0.436065746874269, 0.385151509590160, 0.143078419965139),
    (0.222493177110565, 0.716887013094483, 0.060619809794952),
    (0.013923921463169, 0.097081324231410, 0.714099356815881),
)
_XYZ_TO_SRGB = (
    (3.134135852900120, -1.617385998018043, -0.490662217911100),
    (-0.978795476555777, 1.916254377395987, 0.033442873390368),
    (0.071955392557949, -0.228976759815182, 1.405386035113117),
)
# The white of D50 as CSS Color 4 takes it: x = 0.3457, y = 0.3585.
_D50 = (0.3457 / 0.3585, 1.0, (1 - 0.3457 - 0.3585) / 0.3585)
_HEX = re.compile(r"^#(?:[0-9a-f]{3}|[0-9a-f]{6})$", re.IGNORECASE)

_NUMBER = r"[-+]?(?:\d+\.?\d*|\.\d+)"
_CALL = re.compile(r"^\s*(lab|cmyk|device-cmyk)\s*\(?([^()]*)\)?\s*$", re.IGNORECASE)
_PART = re.compile(rf"^({_NUMBER})(%?)$")


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
        return _linear(self.xyz)

    @staticmethod
    def from_linear(light: tuple[float, float, float]) -> Colour:
        """From linear sRGB."""
        return Colour(_from_linear(light))

    @staticmethod
    def from_hex(text: str) -> Colour:
        """From '#rrggbb' or '#rgb'. Raises ColourError."""
        return Colour(_from_css(text))

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
        return Colour(xyz_under(_D50, (lightness, a, b)))


CmykReader = Callable[[tuple[float, float, float, float]], Colour]


def parse(text: str, cmyk: CmykReader | None = None) -> Colour:
    """A colour as people type it: '#e8641b', a name of the palette or of CSS, any CSS Color 4 form inside
    sRGB, 'lab(58 52 60)', or 'cmyk(0 70 100 0)' in percent of each ink.

    ``cmyk`` turns ink percentages into a colour; without one, the profile that comes with the program is
    asked. Raises ColourError.
    """
    words = " ".join(text.split())
    if not words or len(words) > 100:
        raise ColourError(f"{words[:20]!r} is no colour", fix=WAYS)
    if words.lower() in PALETTE:
        return Colour.from_hex(PALETTE[words.lower()])
    if words.lower() in NAMED:
        return Colour.from_hex(NAMED[words.lower()])
    call = _CALL.match(words)
    if call:
        return _call(call[1].lower(), call[2], words, cmyk)
    return Colour(_from_css(words))


def _call(kind: str, inside: str, words: str, cmyk: CmykReader | None) -> Colour:
    """'lab(…)' and 'cmyk(…)', which CSS reads without looking at their range, or not at all."""
    parts = [_PART.match(part) for part in inside.replace(",", " ").split()]
    needed = 3 if kind == "lab" else 4
    if len(parts) != needed or any(part is None for part in parts):
        example = "lab(58 52 60)" if kind == "lab" else "cmyk(0 70 100 0)"
        raise ColourError(f"'{words}' is no colour", fix=f"write {needed} numbers, as in '{example}'")
    values = [float(part[1]) for part in parts if part]
    if kind == "lab":
        return Colour.from_lab(values[0], values[1], values[2])
    return from_cmyk((values[0], values[1], values[2], values[3]), cmyk)


def from_cmyk(percent: tuple[float, float, float, float], reader: CmykReader | None = None) -> Colour:
    """The colour of four ink percentages (0 to 100) on white paper. Raises ColourError."""
    for name, value in zip(("cyan", "magenta", "yellow", "black"), percent, strict=True):
        if not 0 <= value <= 100:
            raise ColourError(f"{name} {value:g} % is out of range", fix="write each ink between 0 and 100 percent")
    if reader is None:
        from decalgen.colour.icc import shipped

        reader = shipped().colour_of
    return reader(percent)


@lru_cache(maxsize=1024)
def _from_css(text: str) -> XYZ:
    if _HEX.match(text):
        return _from_digits(text[1:])
    from coloraide import Color as Css

    if re.fullmatch(r"#[0-9a-f]{4}", text, re.IGNORECASE):
        # To CSS a colour and its transparency; more likely two figures were left out.
        raise ColourError(f"'{text}' is no colour", fix=_fix(text))
    try:
        colour = Css(text)
    except ValueError:
        raise ColourError(f"'{text}' is no colour", fix=_fix(text)) from None
    if colour.alpha() < 1:
        raise ColourError(
            f"'{text}' is transparent; an ink covers or it does not",
            fix="leave out the transparency: '#rrggbb'",
        )
    values = [float(v) for v in colour.convert("srgb").coords()]
    if not all(math.isfinite(v) for v in values):
        raise ColourError(f"'{text}' is no colour", fix=WAYS)
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
    levels = [int(digits[i : i + 2], 16) / 255 for i in (0, 2, 4)]
    r, g, b = (v / 12.92 if v <= 0.04045 else ((v + 0.055) / 1.055) ** 2.4 for v in levels)
    return _from_linear((r, g, b))


def _from_linear(light: tuple[float, float, float]) -> XYZ:
    x, y, z = (sum(weight * v for weight, v in zip(row, light, strict=True)) for row in _SRGB_TO_XYZ)
    return x, y, z


def _fix(text: str) -> str:
    word = text.lower()
    if re.fullmatch(r"#?[0-9a-f]{1,8}", word) and len(word.strip("#")) in {6, 3} and word[0] != "#":
        return f"did you mean '#{word}'? (in a job file, in quotes)"
    if word.startswith("#"):
        return "write '#' and six figures 0-9, a-f: '#e8641b'"
    known = [*PALETTE, *NAMED]
    hint = did_you_mean(word, known)
    return hint if hint.startswith("did you") else WAYS


def _xyz(colour: Color) -> XYZ:
    x, y, z = (float(v) for v in colour.convert("xyz-d50").coords(nans=False))
    return x, y, z


@lru_cache(maxsize=8192)
def _lab(xyz: XYZ) -> Lab:
    return lab_under(_D50, xyz)


def lab_under(white: XYZ, xyz: XYZ) -> Lab:
    """CIE L*a*b* under a white (CIE 15:2018, 8.2.1). By hand for the same reason as `_from_digits`."""
    x, y, z = (_root(v / full) for v, full in zip(xyz, white, strict=True))
    return 116 * y - 16, 500 * (x - y), 200 * (y - z)


def xyz_under(white: XYZ, lab: Lab) -> XYZ:
    """The same turned round."""
    y = (lab[0] + 16) / 116
    parts = (y + lab[1] / 500, y, y - lab[2] / 200)
    x, y, z = (
        full * (v**3 if v > 6 / 29 else (116 * v - 16) * 27 / 24389) for v, full in zip(parts, white, strict=True)
    )
    return x, y, z


def _root(share: float) -> float:
    return math.cbrt(share) if share > 216 / 24389 else (24389 / 27 * share + 16) / 116


@lru_cache(maxsize=4096)
def _hex(xyz: XYZ) -> str:
    values = coded_of(_linear(xyz))
    if not _in_srgb(xyz):
        from decalgen.colour.srgb import brought_in

        values = brought_in(xyz)
    levels = [round(min(max(v, 0.0), 1.0) * 255) for v in values]
    return "#{:02x}{:02x}{:02x}".format(*levels)


def _in_srgb(xyz: XYZ) -> bool:
    return all(-0.5 / 255 <= v <= 1 + 0.5 / 255 for v in coded_of(_linear(xyz)))


def coded_of(light: tuple[float, float, float]) -> list[float]:
    """Coded sRGB from linear, 0 to 1 where it can be shown. By hand for the same reason as `_from_digits`."""
    return [12.92 * v if v <= 0.0031308 else 1.055 * v ** (1 / 2.4) - 0.055 for v in light]


def _linear(xyz: XYZ) -> tuple[float, float, float]:
    r, g, b = (sum(weight * v for weight, v in zip(row, xyz, strict=True)) for row in _XYZ_TO_SRGB)
    return r, g, b
