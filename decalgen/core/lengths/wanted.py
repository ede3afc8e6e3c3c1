"""The value of a text, worked out once for texts that mean the same whatever names there are."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from functools import lru_cache

from decalgen.core.lengths.expressions import NO_NAMES, Names, Parser
from decalgen.core.lengths.quantity import Quantity, kind
from decalgen.core.lengths.text import ExpressionError
from decalgen.core.lengths.units import DEGREES, FULL_SIZE, MILLIMETRES

MOST_KNOWN = 4096
"""So many values are remembered by their texts."""


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


def length(text: str, names: Names = NO_NAMES, *, reading: str = "reading", full_size: bool = False) -> Quantity:
    """As `evaluate`, where only a length will do; a plain 0 is one."""
    found = evaluate(text, names, reading=reading, full_size=full_size)
    if found.dimension == 1:
        return found
    if found.dimension == 0 and found.value == 0 and not found.parts:
        return Quantity(0.0)
    stripped = text.strip()
    start = len(text) - len(text.lstrip())
    if found.dimension == 2:
        raise ExpressionError("this is an area, not a length", "divide by a length", start, len(stripped))
    plain = stripped.lstrip("+- ").replace(".", "", 1).isdigit()
    fix = f"write {stripped} mm" if plain else "give the lengths in it a unit, as in 2.5 mm"
    raise ExpressionError("this needs a unit, such as 2 mm", fix, start, len(stripped))


def number(text: str, names: Names = NO_NAMES, *, reading: str = "reading", angle: bool = False) -> Quantity:
    """As `evaluate`, where only a plain number will do."""
    found = evaluate(text, names, reading=reading, angle=angle)
    if found.dimension != 0:
        start = len(text) - len(text.lstrip())
        wanted = "an angle in degrees" if angle else "a plain number"
        fix = "leave the unit out" if len(text) < 20 and text.strip()[:1].isdigit() else "divide by a length"
        raise ExpressionError(f"this is {kind(found.dimension)}; {wanted} is needed", fix, start, len(text.strip()))
    return found
