"""Every other unit of length by name, from the registry of pint, which is not imported before it is asked.

A word is looked up as a name, with a prefix and a plural; nothing in it is worked out.
"""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache
from typing import Any, NamedTuple

MOST_LETTERS = 40
"""No name of a unit is longer."""


class RegisteredUnit(NamedTuple):
    """What the registry says of a word: its proper name, and the millimetres in one; None: it measures no length."""

    name: str
    millimetres: Fraction | None


@lru_cache(maxsize=1)
def _registry() -> Any:
    import pint

    return pint.UnitRegistry(non_int_type=Fraction)


@lru_cache(maxsize=256)
def registered(word: str) -> RegisteredUnit | None:
    """The unit of that name, exactly as it is spelt; None where there is none."""
    if len(word) > MOST_LETTERS or not word.isalpha():
        return None
    units = _registry()
    found = units.parse_unit_name(word)
    if not found:
        return None
    prefix, base, _ = found[0]
    name = prefix + base
    if dict(units.get_dimensionality(name)) != {"[length]": 1}:
        return RegisteredUnit(name, None)
    if prefix and base != "meter":
        return None  # Nobody who types "pin" means a millionth of a millionth of an inch.
    return RegisteredUnit(name, Fraction(units.Quantity(Fraction(1), name).to("millimeter").magnitude))
