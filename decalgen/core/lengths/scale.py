"""The scale of a model."""

from __future__ import annotations

import re
from fractions import Fraction

from decalgen.core.lengths.text import ExpressionError
from decalgen.core.values import dataclass

_SCALE = re.compile(r"\s*([0-9]+(?:\.[0-9]+)?)\s*[:/]\s*([0-9]+(?:\.[0-9]+)?)\s*")
LEAST, MOST = 1.0, 1000.0


@dataclass(frozen=True, slots=True)
class Scale:
    """One to ``denominator``."""

    denominator: float

    def __str__(self) -> str:
        return f"1:{self.denominator:g}"


def parse_scale(text: str) -> Scale:
    """``1:43``, ``1/43`` or ``1 : 43.5``. Raises `ExpressionError`."""
    if len(text) > 40:
        raise ExpressionError("this is too long for a scale", "write 1:43", 0, len(text))
    found = _SCALE.fullmatch(text)
    if not found:
        only = re.fullmatch(r"\s*1?\s*-?\s*([0-9]+)\s*", text)
        fix = f"write 1:{int(only.group(1))}" if only else "write 1:43"
        raise ExpressionError(f"'{text.strip()}' is not a scale", fix, 0, max(1, len(text)))
    above, below = Fraction(found.group(1)), Fraction(found.group(2))
    if not above or not below or not LEAST <= below / above <= MOST:
        raise ExpressionError(
            f"the scale {text.strip()} is outside 1:1 to 1:1000",
            "write the model first: 1:43",
            0,
            max(1, len(text)),
        )
    return Scale(float(below / above))
