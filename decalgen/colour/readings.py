"""From what was read off a swatch sheet to the values of a printer."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from typing import Literal

from decalgen.colour.inks import Ink
from decalgen.colour.model import WHITE, scaled
from decalgen.colour.printer import PrinterColour
from decalgen.colour.typed import parse
from decalgen.colour.value import Colour, ColourError
from decalgen.colour.white import opacity_of
from decalgen.core.errors import did_you_mean

SizeName = Literal["line", "gap", "caps", "caps reversed", "choke"]
SIZES: dict[SizeName, str] = {
    "line": "smallest_line",
    "gap": "smallest_gap",
    "caps": "smallest_caps",
    "caps reversed": "smallest_caps_reversed",
    "choke": "misregister",
}
"""Readings in mm → the value of `PrinterColour` they set."""

SIZE_LETTERS: dict[SizeName, str] = dict(zip(SIZES, "abcde", strict=True))
"""The letter of each reading in mm, as it stands on the swatch sheet and where the readings are asked for."""

COLOURS = ("paper", "darkest", "white over black", "white over white")
"""Readings that are colours, beside one for each ink by its name. 'paper' is the bare film on white card."""


def reading_named(text: str, inks: Collection[str] = ()) -> str:
    """The reading that is meant: one in mm also by its letter ('a', 'a line'); an ink called so goes first."""
    plain = " ".join(text.split())
    if plain in inks:
        return plain
    for name, letter in SIZE_LETTERS.items():
        if plain.lower() in (letter, f"{letter} {name}"):
            return name
    return plain


def apply_readings(
    printer: PrinterColour, readings: Mapping[str, str | float], inks: Sequence[Ink] = ()
) -> PrinterColour:
    """The printer with its readings in place of the defaults.

    Colours may be typed in every way `value.parse` knows, sizes in mm. Everything is taken relative to the
    'paper' reading, if there is one, channel by channel. Raises ColourError that names the reading.
    """
    names = {ink.name for ink in inks}
    known = [*COLOURS, *SIZES, *names]
    seen: dict[str, Colour] = {}
    sizes: dict[str, float] = {}
    for given, value in readings.items():
        name = reading_named(given, names)
        if name in SIZES:
            sizes[SIZES[name]] = _size(name, value)
        elif name in COLOURS or name in names:
            seen[name] = _colour(name, value)
        else:
            raise ColourError(f"'{name}' is nothing the swatch sheet asks for", fix=did_you_mean(name, known))
    paper = seen.pop("paper", None)
    if paper is not None:
        if paper.xyz[1] < 0.4:
            raise ColourError(
                f"the paper reads {paper.hex}, too dark to be white card",
                fix="lay the film on white card and read its bare part",
            )
        seen = {name: relative(colour, paper) for name, colour in seen.items()}
    return _with_colours(replace(printer, **sizes), seen, names)  # type: ignore[arg-type]


def relative(colour: Colour, paper: Colour) -> Colour:
    """A reading with its paper taken as white, band by band."""
    return Colour(scaled(colour.xyz, WHITE, paper.xyz))


def _with_colours(printer: PrinterColour, seen: Mapping[str, Colour], inks: set[str]) -> PrinterColour:
    if "darkest" in seen:
        floor = seen["darkest"].xyz[1]
        if floor >= 0.2:
            raise ColourError(
                f"the darkest patch reads {seen['darkest'].hex}, too light for black ink",
                fix="check that the reading is of the patch called darkest, on white card",
            )
        printer = replace(printer, floor=max(floor, 0.0))
    over = [seen.get("white over black"), seen.get("white over white")]
    if (over[0] is None) != (over[1] is None):
        missing = "white over black" if over[0] is None else "white over white"
        raise ColourError(f"'{missing}' is missing", fix="read one pass of white both on black and on white card")
    if over[0] is not None and over[1] is not None:
        printer = replace(printer, opacity=opacity_of(over[0].xyz, over[1].xyz))
    measured = {name: colour for name, colour in printer.patches if name not in seen}
    measured.update({name: colour for name, colour in seen.items() if name in inks})
    return replace(printer, patches=tuple(sorted(measured.items())))


def _size(name: str, value: str | float) -> float:
    try:
        number = float(str(value).removesuffix("mm"))
    except ValueError:
        number = math.nan
    if not (math.isfinite(number) and 0 < number <= 2.5):
        raise ColourError(f"{name}: '{value}' is not a size on the swatch sheet", fix="write millimetres, as in 0.15")
    return number


def _colour(name: str, value: str | float) -> Colour:
    try:
        colour = parse(str(value))
    except ColourError as error:
        raise ColourError(f"{name}: {error.message}", fix=error.fix) from None
    if colour.xyz[1] > WHITE[1] + 1e-9:
        raise ColourError(f"{name}: '{value}' is lighter than white", fix="read it again against a white card")
    return colour
