"""The units a length may be typed in, and conversion for reports.

The factors are exact by definition: the international inch is 25.4 mm, the typographic point here 1/72 inch. The
tests hold them against pint.
"""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache
from typing import Any

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

_INSTEAD = {
    "m": "write it in mm: 1 m is 1000 mm",
    "mil": "write mm or thou, whichever is meant",
    "mils": "write mm or thou, whichever is meant",
    "inch": "write in",
    "inches": "write in",
    "''": "write in",
    "'": "feet are not used here: write in or mm",
    "ft": "feet are not used here: write in or mm",
    "millimetre": "write mm",
    "millimetres": "write mm",
    "millimeter": "write mm",
    "millimeters": "write mm",
    "micron": "write µm",
    "microns": "write µm",
    "point": "write pt",
    "points": "write pt",
    "px": "a pixel has no size of its own: write mm",
    "dots": "write mm",
}

_PINT = {
    "mm": "millimeter",
    "cm": "centimeter",
    "µm": "micrometer",
    "um": "micrometer",
    "in": "inch",
    "thou": "thou",
    "pt": "point",
    "m": "meter",
}


def instead_of(unit: str) -> str:
    """What to write for a unit that is not known here."""
    if unit in _INSTEAD:
        return _INSTEAD[unit]
    lower = unit.lower()
    if lower in MILLIMETRES:
        return f"write {lower}"
    if lower in _INSTEAD:
        return _INSTEAD[lower]
    from decalgen.core.errors import did_you_mean

    return did_you_mean(unit, list(MILLIMETRES))


@lru_cache(maxsize=1)
def _registry() -> Any:
    import pint

    return pint.UnitRegistry()


def convert(value: float, unit: str, to: str = "mm") -> float:
    """``value`` from one unit into another, by pint; both from the list above, or ``m``.

    Raises ValueError for any other unit: pint knows thousands, and reads ``pt`` as a pint.
    """
    for name in (unit, to):
        if name not in _PINT:
            raise ValueError(f"'{name}' is not a unit of length here")
    return float(_registry().Quantity(value, _PINT[unit]).to(_PINT[to]).magnitude)
