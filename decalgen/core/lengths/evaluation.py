"""The value of a text, worked out once for texts that mean the same whatever names there are."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from functools import lru_cache

from decalgen.core.lengths.expressions import NO_NAMES, Names, Parser
from decalgen.core.lengths.quantity import Quantity
from decalgen.core.lengths.text import ExpressionError
from decalgen.core.lengths.units import DEGREES, FULL_SIZE, MILLIMETRES

MOST_KNOWN = 4096
"""So many values are known by their texts."""


def evaluate(
    text: str,
    names: Names = NO_NAMES,
    *,
    reading: str = "reading",
    angle: bool = False,
    full_size: bool = False,
) -> Quantity:
    """The value of a number, a length or an expression.

    ``reading`` names what is measured: the ± in the text becomes the part of that name (a second ± in the
    same text gets ``reading 2``, and so on). ``angle``: numbers may be followed by ``°`` or ``deg`` instead of
    a unit of length; ``full_size``: ``m`` and ``ft`` are units too. A unit of length beyond the common ones is
    read by its name in pint's registry. ``± a`` means limits, u = a/√3
    (JCGM 100:2008, 4.3.7); ``u s`` is a standard uncertainty.
    Raises `ExpressionError`, and whatever ``names[...]`` raises.
    """
    found = _alone(text, reading, angle, full_size)
    return Parser(text, names, reading, _units(angle, full_size)).whole() if found is None else found


def names_in(text: str, names: Names = NO_NAMES) -> tuple[tuple[str, int], ...]:
    """The names that an expression uses, in order, each with where it begins in the text. Raises as `evaluate` does."""
    if _alone(text, "", False, True) is not None or _alone(text, "", True, False) is not None:
        return ()
    try:
        parser = Parser(text, names, "", FULL_SIZE)
        parser.whole()
    except ExpressionError:
        parser = Parser(text, names, "", DEGREES)
        parser.whole()
    return tuple(parser.named)


@lru_cache(maxsize=MOST_KNOWN)
def _alone(text: str, reading: str, angle: bool, full_size: bool) -> Quantity | None:
    """The value of what needs no names, and is the same whatever names there are; None for anything else. A job is read
    again with each change, and nearly all of its lengths are those of before."""
    parser = Parser(text, NO_NAMES, reading, _units(angle, full_size))
    try:
        found = parser.whole()
    except ExpressionError:
        return None
    return found if parser.alone else None


def _units(angle: bool, full_size: bool) -> Mapping[str, Fraction]:
    return DEGREES if angle else FULL_SIZE if full_size else MILLIMETRES
