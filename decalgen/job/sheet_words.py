"""The size of a sheet as people say it: 'A3', 'Letter landscape', '210 × 100 mm', '8 1/2 x 11 in'. Pure; mm.

A format keeps the way up it has in `layouts/sheets/`; 'landscape' and 'portrait' turn it, and a size in figures is
taken as it is written, width first.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import replace

from decalgen.core import lengths
from decalgen.core.errors import did_you_mean
from decalgen.job.model import SheetSize

LEAST_MM, MOST_MM = 10.0, 5080.0
"""A smaller sheet holds nothing; 5080 mm is the longest page a PDF may have (ISO 32000-1, annex C)."""
WAYS_UP = ("landscape", "portrait")
_TIMES = re.compile(r"\s*(?:[×xX*]|\bby\b)\s*")
_SIDE = re.compile(r"(?P<figures>\d[\d\s.,/¼½¾⅛⅜⅝⅞]*|[¼½¾⅛⅜⅝⅞])\s*(?P<unit>[^\d\s]*)")
_INCHES = {"inch", "inches", "''", "”", "″"}


class SizeProblem(ValueError):
    """Words that are a size gone wrong. ``message`` and ``fix`` are sentences for the user."""

    def __init__(self, message: str, fix: str) -> None:
        super().__init__(f"{message}; {fix}")
        self.message = message
        self.fix = fix


def is_in_figures(text: str) -> bool:
    """Whether the words are meant as a size in figures: two sides with a sign of times between them."""
    return len(parts := _TIMES.split(text.strip())) > 1 and parts[0].lstrip("-+")[:1].isdigit()


def read_sheet(text: str, known: Iterable[SheetSize]) -> SheetSize | None:
    """The sheet the words name; None where they name none. ``known``: the formats that have a name.

    The name of what comes back is always written the same way, whichever way it was asked for. Raises `SizeProblem`
    for a size in figures that cannot be a sheet, and for a sheet that is both landscape and portrait.
    """
    words = re.sub(r"(?<=[a-z])-(?=[a-z])", " ", text, flags=re.IGNORECASE).split()
    ways = {word.lower() for word in words if word.lower() in WAYS_UP}
    if len(ways) > 1:
        raise SizeProblem("a sheet cannot be both landscape and portrait", "keep one of the two")
    rest = " ".join(word for word in words if word.lower() not in WAYS_UP)
    named = next((size for size in known if size.name.casefold() == rest.casefold()), None)
    if named is None and not is_in_figures(rest):
        return None
    size = named or _in_figures(rest)
    if not ways or ("landscape" in ways) == (size.width > size.height) or size.width == size.height:
        return size
    turned = replace(size, width=size.height, height=size.width)
    return replace(turned, name=f"{size.name} {ways.pop()}" if named else _name(turned.width, turned.height))


def what_to_say(text: str, known: Sequence[SheetSize]) -> str:
    """The fix for words that name no sheet: the nearest format, or all of them and a size in figures."""
    rest = " ".join(word for word in text.split() if word.lower() not in WAYS_UP)
    near = did_you_mean(rest, [size.name for size in known])
    return f"{near}, or a size such as 210 × 100 mm" if near.startswith("use one of") else near


def _in_figures(text: str) -> SheetSize:
    sides = _TIMES.split(text)
    read = [_SIDE.fullmatch(side) for side in sides]
    if len(sides) != 2 or not all(read):
        raise SizeProblem(f"'{text}' is not the size of a sheet", "give width and height, such as 210 × 100 mm")
    found = [(side["figures"].strip(), side["unit"]) for side in read if side]
    if not any(unit for _, unit in found):
        raise SizeProblem(f"the size '{text}' needs a unit", f"write {found[0][0]} × {found[1][0]} mm")
    # A unit that is written once holds for both.
    units = [unit or found[1 - place][1] for place, (_, unit) in enumerate(found)]
    width, height = (_millimetres(figures, unit) for (figures, _), unit in zip(found, units, strict=True))
    return SheetSize(_name(width, height), width, height)


def _millimetres(figures: str, unit: str) -> float:
    figures = re.sub(r"\s+(?=[¼½¾⅛⅜⅝⅞])", "", figures)
    text = f"{figures} {'in' if unit.lower() in _INCHES else unit}"
    try:
        value = float(lengths.length(text).value)
    except lengths.ExpressionError as error:
        raise SizeProblem(error.message, error.fix) from None
    if not LEAST_MM <= value <= MOST_MM:
        raise SizeProblem(
            f"a side of {text} is out of range for a sheet", f"use {LEAST_MM:g} mm to {MOST_MM:g} mm a side"
        )
    return value


def _name(width: float, height: float) -> str:
    return f"{round(width, 3):g} × {round(height, 3):g} mm"
