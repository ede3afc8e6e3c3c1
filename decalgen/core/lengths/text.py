"""From characters to words: numbers, fractions, units, names and signs, each with its column."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable
from fractions import Fraction
from typing import Literal

from decalgen.core.values import dataclass

MOST_CHARACTERS = 200
LARGEST = 1e12
"""Values beyond this are refused: nothing measured or counted here comes near it."""


class ExpressionError(ValueError):
    """What is wrong with a text, what to do, and where: ``start`` counts from 0, ``length`` in characters."""

    def __init__(self, message: str, fix: str | Callable[[], str], start: int, length: int = 1) -> None:
        super().__init__(message)
        self.message = message
        self._fix = fix
        self.start = start
        self.length = max(1, length)

    @property
    def fix(self) -> str:
        """What to do. Many texts are only tried: the nearest of many names is looked for once somebody asks."""
        if not isinstance(self._fix, str):
            self._fix = self._fix()
        return self._fix

    def __str__(self) -> str:
        return f"{self.message}; {self.fix}" if self.fix else self.message


class UnknownName(ExpressionError):
    """A name that none of the given names is."""


class NameProblem(Exception):
    """Raised by ``names[...]`` where a name is known and still has no value; becomes an `ExpressionError`."""

    def __init__(self, message: str, fix: str) -> None:
        super().__init__(message)
        self.message = message
        self.fix = fix


@dataclass(frozen=True, slots=True)
class Token:
    """One word of an expression. ``value`` is set for numbers; ``text`` is as typed."""

    kind: Literal["number", "word", "sign", "plus-minus", "end"]
    text: str
    start: int
    end: int
    value: Fraction | None = None


_SPACES = " \t\N{NO-BREAK SPACE}\N{THIN SPACE}\N{NARROW NO-BREAK SPACE}"
_NUMBER = re.compile(r"(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]+)?")
_WHOLE = re.compile(r"[0-9]+")
_MIXED = re.compile(r"([0-9]+) +([0-9]+)/([0-9]+)(?![0-9.])")
_FRACTION = re.compile(r"([0-9]+)/([0-9]+)(?= *(?:in\b|\"|\N{DOUBLE PRIME}|\N{RIGHT DOUBLE QUOTATION MARK}))(?![0-9.])")
_PART = re.compile(r"([0-9]+) ?/ ?([0-9]+)(?![0-9.])")
_COMMA = re.compile(r"([0-9]+),([0-9]+)")
_NAME = re.compile(r"[^\W\d_]\w*(?:[ .\-]\w+)*")
_UNIT = re.compile(r"[^\W\d_]+|\"|''|'|\N{DOUBLE PRIME}|\N{RIGHT DOUBLE QUOTATION MARK}|°")
_UNCERTAINTY = re.compile(r"u(?= ?[0-9.])")
_PLUS_MINUS = re.compile(r"±|\+ ?/ ?-|\+-")
_SIGNS = {
    **{c: c for c in "+-*/(),"},
    "\N{MINUS SIGN}": "-",
    "\N{MULTIPLICATION SIGN}": "*",
    "\N{DIVISION SIGN}": "/",
}


def mend_comma(text: str) -> ExpressionError | None:
    """The error for a comma inside a number, if there is one."""
    found = _COMMA.search(text)
    if not found:
        return None
    whole, rest = found.groups()
    mended = f"{text[: found.start()]}{whole}.{rest}{text[found.end() :]}".strip()
    fix = f"write a full stop: {mended}"
    if "(" in text:
        fix += "; or put a space after the comma if these are two numbers"
    elif len(rest) == 3:
        fix += f"; or leave the comma out: {text[: found.start()]}{whole}{rest}{text[found.end() :]}".rstrip()
    return ExpressionError("there is a comma inside a number", fix, found.start(), found.end() - found.start())


def split(text: str) -> list[Token]:
    """The words of ``text``; the last has the kind "end". Raises `ExpressionError`."""
    if len(text) > MOST_CHARACTERS:
        raise ExpressionError(
            f"this is longer than {MOST_CHARACTERS} characters",
            "name a part of it under 'values:' and use the name",
            MOST_CHARACTERS,
            len(text) - MOST_CHARACTERS,
        )
    comma = mend_comma(text)
    if comma:
        raise comma
    words: list[Token] = []
    at = 0
    while at < len(text):
        if text[at] in _SPACES:
            at += 1
            continue
        word = _word(text, at, words[-1] if words else None)
        words.append(word)
        at = word.end
    words.append(Token("end", "", len(text.rstrip()), len(text.rstrip())))
    return words


def _word(text: str, at: int, before: Token | None) -> Token:
    """The word that starts at ``at``."""
    after_number = before is not None and before.kind == "number"
    found = _PLUS_MINUS.match(text, at)
    if found:
        return Token("plus-minus", found.group(), at, found.end())
    spread = before is not None and (before.kind == "plus-minus" or before.text == "u")
    number = _number(text, at, spread)
    if number:
        return number
    found = _UNIT.match(text, at) if after_number else _UNCERTAINTY.match(text, at) or _NAME.match(text, at)
    if found:
        return Token("word", found.group(), at, found.end())
    sign = _SIGNS.get(text[at])
    if sign:
        return Token("sign", sign, at, at + 1)
    raise _strange(text, at)


def _number(text: str, at: int, spread: bool) -> Token | None:
    """The number at ``at``. Right after a ± or u (``spread``) a fraction is one in any unit: nobody means to divide the
    reading."""
    found = _MIXED.match(text, at)
    if found:
        whole, above, below = (int(part) for part in found.groups())
        return Token("number", found.group(), at, found.end(), whole + _over(above, below, found))
    found = _PART.match(text, at) if spread else _FRACTION.match(text, at)
    if found:
        above, below = (int(part) for part in found.groups())
        return Token("number", found.group(), at, found.end(), _over(above, below, found))
    found = _NUMBER.match(text, at)
    if found:
        end, value = found.end(), _plain(found)
        if _WHOLE.fullmatch(found.group()) and end < len(text) and unicodedata.category(text[end]) == "No":
            part = unicodedata.numeric(text[end], 0.0)
            return Token("number", text[at : end + 1], at, end + 1, value + Fraction(part).limit_denominator(100))
        return Token("number", found.group(), at, end, value)
    if unicodedata.category(text[at]) == "No" and "FRACTION" in unicodedata.name(text[at], ""):
        part = unicodedata.numeric(text[at], 0.0)
        return Token("number", text[at], at, at + 1, Fraction(part).limit_denominator(100))
    return None


def _over(above: int, below: int, found: re.Match[str]) -> Fraction:
    if below == 0:
        raise ExpressionError(
            "nothing can be divided by zero", "write the fraction again", found.start(), len(found.group())
        )
    return Fraction(above, below)


def _plain(found: re.Match[str]) -> Fraction:
    """An ordinary number, exactly. Huge exponents are refused before they cost anything."""
    text = found.group()
    if abs(float(text)) > LARGEST:
        raise ExpressionError("this number is too large", "at most 1000000000000", found.start(), len(text))
    exponent = re.search(r"[eE]([+-]?[0-9]+)", text)
    if exponent and (len(exponent.group(1)) > 4 or abs(int(exponent.group(1))) > 40):
        return Fraction(0)
    return Fraction(text)


def _strange(text: str, at: int) -> ExpressionError:
    """The error for a character that has no place in an expression."""
    c = text[at]
    if c in "<>":
        return ExpressionError(f"'{c}' is not allowed here", "write a name without < and > inside an expression", at)
    if c == "^":
        return ExpressionError("'^' is not allowed here", "multiply instead: there are no powers", at)
    if c in "\N{EN DASH}\N{EM DASH}\N{NON-BREAKING HYPHEN}\N{HYPHEN}":
        return ExpressionError("this is a dash, not a minus", "write a plain minus: -", at)
    if c == ":":
        return ExpressionError("':' is not allowed here", "write + - * / ( ) between values", at)
    if c == ",":
        return ExpressionError("there is a comma here", "a decimal point is a full stop: 0.5 mm", at)
    if c.isdigit():
        return ExpressionError(f"'{c}' is not a digit from 0 to 9", "type the number again with plain digits", at)
    shown = c if c.isprintable() else f"U+{ord(c):04X}"
    return ExpressionError(
        f"'{shown}' is not allowed here", "use numbers with units, names, + - * / ( ), min and max", at
    )
