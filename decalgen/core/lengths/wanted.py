"""Expressions where only a length will do, or only a plain number."""

from __future__ import annotations

from decalgen.core.lengths.evaluation import evaluate
from decalgen.core.lengths.expressions import NO_NAMES, Names
from decalgen.core.lengths.quantity import Quantity, kind
from decalgen.core.lengths.text import ExpressionError


def length(text: str, names: Names = NO_NAMES, *, reading: str = "reading", full_size: bool = False) -> Quantity:
    """The same, where only a length will do; a plain 0 is one."""
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
    """The same, where only a plain number will do."""
    found = evaluate(text, names, reading=reading, angle=angle)
    if found.dimension != 0:
        start = len(text) - len(text.lstrip())
        wanted = "an angle in degrees" if angle else "a plain number"
        fix = "leave the unit out" if len(text) < 20 and text.strip()[:1].isdigit() else "divide by a length"
        raise ExpressionError(f"this is {kind(found.dimension)}; {wanted} is needed", fix, start, len(text.strip()))
    return found
