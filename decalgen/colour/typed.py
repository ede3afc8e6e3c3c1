"""Colours as people type them."""

from __future__ import annotations

import re
from collections.abc import Callable

from decalgen.colour.icc import shipped
from decalgen.colour.names import NAMED
from decalgen.colour.palette import PALETTE
from decalgen.colour.value import WAYS, Colour, ColourError, from_css
from decalgen.core.names import british

_NUMBER = r"[-+]?(?:\d+\.?\d*|\.\d+)"
_CALL = re.compile(r"^\s*(lab|cmyk|device-cmyk)\s*\(?([^()]*)\)?\s*$", re.IGNORECASE)
_PART = re.compile(rf"^({_NUMBER})(%?)$")

CmykReader = Callable[[tuple[float, float, float, float]], Colour]


def parse(text: str, cmyk: CmykReader | None = None) -> Colour:
    """A colour as people type it: '#e8641b', a name of the palette or of CSS, any CSS Color 4 form inside
    sRGB, 'lab(58 52 60)', or 'cmyk(0 70 100 0)' in percent of each ink.

    ``cmyk`` turns ink percentages into a colour; without one, the profile that comes with the program is
    asked. Raises ColourError.
    """
    words = " ".join(text.split())
    if not words or len(words) > 100:
        raise ColourError(f"{words[:20]!r} is not a colour", fix=WAYS)
    name = british(words.lower())
    if name in PALETTE:
        return Colour.from_hex(PALETTE[name])
    # Those of CSS are one word each, and often typed as two.
    if (joined := name.replace(" ", "")) in NAMED:
        return Colour.from_hex(NAMED[joined])
    call = _CALL.match(words)
    if call:
        return _call(call[1].lower(), call[2], words, cmyk)
    return Colour(from_css(words))


def _call(kind: str, inside: str, words: str, cmyk: CmykReader | None) -> Colour:
    """'lab(…)' and 'cmyk(…)', which CSS reads without looking at their range, or not at all."""
    parts = [_PART.match(part) for part in inside.replace(",", " ").split()]
    needed = 3 if kind == "lab" else 4
    if len(parts) != needed or any(part is None for part in parts):
        example = "lab(58 52 60)" if kind == "lab" else "cmyk(0 70 100 0)"
        raise ColourError(f"'{words}' is not a colour", fix=f"write {needed} numbers, as in '{example}'")
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
        reader = shipped().colour_of
    return reader(percent)
