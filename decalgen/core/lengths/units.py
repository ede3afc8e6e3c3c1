"""The units a length is commonly typed in. `registry` reads all others.

The factors are exact by definition: the international inch is 25.4 mm, the typographic point here 1/72 inch. The
tests hold them against pint.
"""

from __future__ import annotations

from fractions import Fraction

from decalgen.core.errors import did_you_mean

INCH_MM = 25.4
POINT_MM = INCH_MM / 72
"""A typographic point of 1/72 inch, in mm."""
INCH = Fraction(254, 10)

MILLIMETRES: dict[str, Fraction] = {
    "mm": Fraction(1),
    "cm": Fraction(10),
    "µm": Fraction(1, 1000),
    "um": Fraction(1, 1000),
    "in": INCH,
    "thou": INCH / 1000,
    "pt": INCH / 72,
}
"""Millimetres in one of each unit."""

FULL_SIZE: dict[str, Fraction] = {**MILLIMETRES, "m": Fraction(1000), "ft": 12 * INCH}
"""The same, and what the full-size vehicle is measured in."""

SPELLINGS = {
    "\N{GREEK SMALL LETTER MU}m": "µm",
    '"': "in",
    "\N{DOUBLE PRIME}": "in",
    "\N{RIGHT DOUBLE QUOTATION MARK}": "in",
}
"""Other ways people and keyboards write the same unit."""

DEGREES: dict[str, Fraction] = {
    "°": Fraction(1),
    "deg": Fraction(1),
    "degree": Fraction(1),
    "degrees": Fraction(1),
}
"""What may follow an angle; it stays a plain number of degrees."""

_METRE = "write it in mm: 1 m is 1000 mm"
_FEET = "feet are not used here: write in or mm"
_INSTEAD = {
    "m": _METRE,
    "mil": "write mm or thou, whichever is meant",
    "mils": "write mm or thou, whichever is meant",
    "''": "write in",
    "'": _FEET,
    "ft": _FEET,
    "px": "a pixel has no size of its own: write mm",
    "dots": "write mm",
}


def meant(unit: str) -> str:
    """What to write for a unit that is a slip here, whatever it means elsewhere; nothing for any other."""
    for word in (unit, unit.lower()):
        if word in _INSTEAD:
            return _INSTEAD[word]
        if word in MILLIMETRES:
            return f"write {word}"
    return ""


def instead_of(unit: str) -> str:
    """What to write for a unit that nobody knows."""
    return did_you_mean(unit, list(MILLIMETRES))
