"""What is worth telling of a measured value that can be read in two ways: a ± that borrows the unit of its value."""

from __future__ import annotations

from decalgen.core.lengths.text import ExpressionError, Token, split
from decalgen.core.lengths.units import DEGREES
from decalgen.core.lengths.wanted import length
from decalgen.core.values import dataclass

PLAIN = {"mm", *DEGREES}
"""Units in which nobody means another one after the ±."""


@dataclass(frozen=True)
class Remark:
    """How a measured value was read, how to write it so that it can be read in no other way, and where it stands:
    ``start`` counts from 0, ``length`` in characters."""

    message: str
    fix: str
    start: int
    length: int


def borrowed_unit(text: str) -> Remark | None:
    """The first ± of a text that has no unit of its own, or lends its unit to the value, where that is not mm.

    ``2.24 cm ± 0.05`` is read as ± 0.05 cm, though many who write it mean mm.
    """
    try:
        words = split(text)
    except ExpressionError:
        return None
    for at, word in enumerate(words):
        if word.kind != "number":
            continue
        unit = _unit(words, at + 1)
        sign = words[at + (2 if unit else 1)] if at + (2 if unit else 1) < len(words) else word
        if sign.kind != "plus-minus" and sign.text != "u":
            continue
        second = at + (3 if unit else 2)
        amount = words[second] if second < len(words) else word
        its = _unit(words, second + 1)
        lent = unit or its
        if amount.kind != "number" or (unit and its) or not lent or lent.text in PLAIN:
            continue
        mark = "\N{PLUS-MINUS SIGN}" if sign.kind == "plus-minus" else "u"
        whole = f"{word.text} {lent.text} {mark} {amount.text} {lent.text}"
        try:
            value = length(f"{word.text} {lent.text}").value
            spread = float(amount.value or 0) * length(f"1 {lent.text}").value
        except ExpressionError:
            return None
        end = (its or amount).end
        return Remark(
            f"read as {whole}, that is {value:.4g} mm {mark} {spread:.3g} mm",
            f"write the unit twice: {whole}, or {word.text} {lent.text} {mark} {amount.text} mm if mm were meant",
            word.start,
            end - word.start,
        )
    return None


def spread_alone(text: str) -> str:
    """What stands after the ± of a text, as a length: ``0.05 mm`` of ``1 mm ± 0.05``; empty without a ±."""
    try:
        words = split(text)
    except ExpressionError:
        return ""
    for at, word in enumerate(words):
        follows = at > 0 and words[at - 1].kind in ("number", "word")
        if word.kind == "plus-minus" or (word.text == "u" and follows):
            after = text[word.end :].strip()
            return after if _unit(words, at + 2) else f"{after} mm"
    return ""


def _unit(words: list[Token], at: int) -> Token | None:
    """The unit that stands there, if one does."""
    if at < len(words) and words[at].kind == "word" and words[at].text != "u":
        return words[at]
    return None
