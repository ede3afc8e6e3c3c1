"""Values and expressions: a recursive descent over the words, with dimensions and uncertainty.

::

    sum      = product { ("+" | "-") product }
    product  = factor { ("*" | "/") factor }
    factor   = { "-" | "+" } atom
    atom     = reading | "(" sum ")" | ("min" | "max") "(" sum { "," sum } ")" | name
    reading  = number [ unit ] [ ("±" | "+/-" | "u") number [ unit ] ]

Nothing multiplies or divides a reading right after its ±, as that could be meant of the ± alone; in brackets it may.
There are no powers, and no names but those given.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping
from fractions import Fraction
from typing import Protocol

from decalgen.core.errors import did_you_mean
from decalgen.core.lengths.quantity import Quantity, kind
from decalgen.core.lengths.registry import registered
from decalgen.core.lengths.text import LARGEST, ExpressionError, NameProblem, Token, UnknownName, split
from decalgen.core.lengths.units import DEGREES, SPELLINGS, instead_of, meant

MOST_LEVELS = 20
MOST_LISTED = 12
_UNITS = "check whether a value has one unit too many or too few"
_FUNCTIONS = ("min", "max")
_SAME = {"meter": "m", "foot": "ft"}
"""Units that are known by their signs, by the names the registry has for them."""


class Names(Protocol):
    """The names an expression may use; a plain dict will do. ``names[x]`` may be worked out when asked for."""

    def __contains__(self, name: object, /) -> bool: ...

    def __getitem__(self, name: str, /) -> Quantity: ...

    def __iter__(self) -> Iterator[str]: ...


NO_NAMES: Mapping[str, Quantity] = {}


class Parser:
    """Works out one text, once."""

    def __init__(self, text: str, names: Names, reading: str, units: Mapping[str, Fraction]) -> None:
        self.text = text
        self.names = names
        self.reading = reading
        self.units = units
        self.readings = 0
        self.words = split(text)
        self.at = 0
        self.named: list[tuple[str, int]] = []
        """The names that were used so far, and where each begins."""
        self.alone = True
        """Whether it reads the same whatever names there are: not with min, max or a rarer unit, which one may be."""

    @property
    def word(self) -> Token:
        return self.words[self.at]

    @property
    def ended(self) -> bool:
        """Whether every word is read."""
        return self.word.kind == "end"

    def take(self) -> Token:
        word = self.words[self.at]
        self.at += 1
        return word

    def sign(self, *signs: str) -> Token | None:
        """The next word if it is one of these signs."""
        if self.word.kind == "sign" and self.word.text in signs:
            return self.take()
        return None

    def whole(self) -> Quantity:
        if self.word.kind == "end":
            raise ExpressionError("a value is missing", "write a value, such as 2.5 mm", 0, max(1, len(self.text)))
        found = self.sum(0)
        if not self.ended:
            raise self.unexpected()
        return found

    def sum(self, level: int) -> Quantity:
        begin = self.at
        left = self.product(level)
        while operator := self.sign("+", "-"):
            middle = self.at
            right = self.product(level)
            left, right = self.alike(left, right, (begin, middle - 1), (middle, self.at), operator)
            left = self.sound(left + right if operator.text == "+" else left - right, operator)
        return left

    def product(self, level: int) -> Quantity:
        left = self.factor(level)
        while operator := self.sign("*", "/"):
            here = self.word
            right = self.factor(level)
            size = here.end - operator.start
            if operator.text == "/" and right.value == 0:
                fix = "check which value below the line is zero"
                raise ExpressionError("nothing can be divided by zero", fix, operator.start, size)
            try:
                result = left * right if operator.text == "*" else left / right
            except ValueError as error:
                raise ExpressionError(str(error), _UNITS, operator.start, size) from None
            left = self.sound(result, operator)
        return left

    def factor(self, level: int) -> Quantity:
        if level > MOST_LEVELS:
            raise ExpressionError(
                f"more than {MOST_LEVELS} levels of brackets and signs",
                "name a part of it under 'values:' and use the name",
                self.word.start,
            )
        if self.sign("-"):
            return -self.factor(level + 1)
        if self.sign("+"):
            return self.factor(level + 1)
        return self.atom(level)

    def atom(self, level: int) -> Quantity:
        word = self.word
        if word.kind == "number":
            return self.measured()
        if bracket := self.sign("("):
            inside = self.sum(level + 1)
            self.close(bracket)
            return inside
        if word.kind == "word":
            following = self.words[self.at + 1]
            if following.kind == "sign" and following.text == "(" and word.text not in self.names:
                return self.function(level)
            return self.name()
        raise self.unexpected()

    def close(self, bracket: Token) -> None:
        if not self.sign(")"):
            if self.ended:
                raise ExpressionError("this bracket is never closed", "put ) where it ends", bracket.start)
            raise self.unexpected()

    def function(self, level: int) -> Quantity:
        word = self.take()
        if word.text not in _FUNCTIONS:
            raise ExpressionError(
                f"'{word.text}' is not known here",
                "only min(…) and max(…)",
                word.start,
                word.end - word.start,
            )
        self.alone = False
        bracket = self.take()
        begin = self.at
        best = self.sum(level + 1)
        while comma := self.sign(","):
            middle = self.at
            other = self.sum(level + 1)
            best, other = self.alike(best, other, (begin, middle - 1), (middle, self.at), comma)
            if (other.value < best.value) == (word.text == "min"):
                best = other
        self.close(bracket)
        return best

    def name(self) -> Quantity:
        """The longest known name that starts here; what follows it is read again as words of its own."""
        word = self.take()
        ends = [i for i, c in enumerate(word.text) if c in " .-"] + [len(word.text)]
        for end in reversed(ends):
            try:
                found = self.names[word.text[:end]]
            except KeyError:
                continue
            except NameProblem as problem:
                raise ExpressionError(problem.message, problem.fix, word.start, end) from None
            if end < len(word.text):
                self.words[self.at : self.at] = self.rest(word, end)
            self.named.append((word.text[:end], word.start))
            return self.sound(found, word)
        dash = word.text.find("-")
        shown = word.text if dash < 0 else word.text[:dash]
        raise UnknownName(f"'{shown}' is not known here", lambda: self.suggestion(shown), word.start, len(shown))

    def suggestion(self, unknown: str) -> str:
        """The nearest name, or the first few; those of other panels are too many to list."""
        names = list(dict.fromkeys(self.names))
        fix = did_you_mean(unknown, names)
        if not names or fix.startswith("did"):
            return fix
        near = sorted(name for name in names if not name.startswith("panels.")) or sorted(names)
        more = ", ..." if len(near) > MOST_LISTED or len(near) < len(names) else ""
        return f"use one of: {', '.join(near[:MOST_LISTED])}{more}"

    def rest(self, word: Token, end: int) -> list[Token]:
        """What follows a known name in a run of letters, figures, dashes, dots and spaces."""
        tail = split(word.text[end:])[:-1]
        shift = word.start + end
        return [Token(w.kind, w.text, w.start + shift, w.end + shift, w.value) for w in tail]

    def measured(self) -> Quantity:
        """A number, perhaps with a unit, perhaps with ±."""
        first = self.take()
        unit = self.unit()
        spread = self.spread()
        value = first.value or Fraction(0)
        if spread is None:
            if unit is None:
                return self.sound(Quantity(float(value), 0), first)
            return self.sound(Quantity(float(value * self.units[unit]), self.dimension), first)
        sign, amount, its_unit = spread
        unit, its_unit = unit or its_unit, its_unit or unit
        if unit is None or its_unit is None:
            fix = f"write {first.text} mm {sign.text} {amount.text}" if self.dimension else "leave it out"
            raise ExpressionError("a measured value needs its unit", fix, first.start, amount.end - first.start)
        u = float((amount.value or Fraction(0)) * self.units[its_unit])
        if sign.text != "u":
            u /= math.sqrt(3)
        self.readings += 1
        name = self.reading if self.readings == 1 else f"{self.reading} {self.readings}"
        found = float(value * self.units[unit])
        return self.sound(Quantity(found, self.dimension, ((name, u),) if u else ()), first)

    @property
    def dimension(self) -> int:
        """The dimension of a number with a unit."""
        return 0 if self.units is DEGREES else 1

    def unit(self) -> str | None:
        """The unit that follows a number, if one does."""
        word = self.word
        if word.kind != "word" or word.text == "u":
            return None
        self.take()
        unit = SPELLINGS.get(word.text, word.text)
        if unit in self.units:
            return unit
        self.alone = False
        what = "a unit" if word.text in self.names else "a unit here"
        if self.units is DEGREES:
            fix = f"write {self.text[: word.start].strip()}°"
        elif not (fix := meant(unit)) and word.text not in self.names and (found := registered(unit)):
            known = _SAME.get(found.name, unit)
            if known in self.units:
                return known
            fix = meant(known)
            if not fix and found.millimetres is not None:
                self.units = {**self.units, unit: found.millimetres}
                return unit
            if not fix:
                what, fix = "a unit of length", "write a length, such as 2.5 mm"
        raise ExpressionError(
            f"'{word.text}' is not {what}", fix or instead_of(unit), word.start, word.end - word.start
        )

    def spread(self) -> tuple[Token, Token, str | None] | None:
        """± or u, its number and its unit."""
        word = self.word
        if word.kind != "plus-minus" and not (word.kind == "word" and word.text == "u"):
            return None
        sign = self.take()
        amount = self.take()
        if amount.kind != "number":
            raise ExpressionError(
                f"a number is missing after '{sign.text}'",
                "write the largest error you expect, as in ± 0.05 mm",
                sign.start,
                sign.end - sign.start,
            )
        unit = self.unit()
        self.clear_of(sign, amount)
        return sign, amount, unit

    def clear_of(self, sign: Token, amount: Token) -> None:
        """Raises where a reading is multiplied or divided right after its ±."""
        if self.word.kind != "sign" or self.word.text not in "*/":
            return
        done = "multiplied" if self.word.text == "*" else "divided"
        raise ExpressionError(
            f"it is not clear what is {done}, the reading or its {sign.text} {amount.text}",
            f"put the reading in brackets, as in (12.4 mm ± 0.1 mm) {self.word.text} 2, or work out the {sign.text}",
            self.word.start,
        )

    def alike(
        self,
        left: Quantity,
        right: Quantity,
        left_words: tuple[int, int],
        right_words: tuple[int, int],
        operator: Token,
    ) -> tuple[Quantity, Quantity]:
        """Both sides in one dimension; a plain 0 takes the other's. Raises where they cannot meet."""
        if left.dimension == right.dimension:
            return left, right
        if left.dimension == 0 and left.value == 0 and not left.parts:
            return Quantity(0.0, right.dimension), right
        if right.dimension == 0 and right.value == 0 and not right.parts:
            return left, Quantity(0.0, left.dimension)
        done = "compared" if operator.text == "," else "added" if operator.text == "+" else "subtracted"
        message = f"{kind(left.dimension)} and {kind(right.dimension)} cannot be {done}"
        fix = "give both sides a unit" if 0 in (left.dimension, right.dimension) else _UNITS
        hyphened = re.fullmatch(r" *([0-9]+)-([0-9]+/[0-9]+ *(?:in|\"))", self.text)
        if hyphened:
            raise ExpressionError(message, "write " + " ".join(hyphened.groups()), operator.start)
        plain = left_words if left.dimension == 0 else right_words
        last = self.words[plain[1] - 1]
        if {left.dimension, right.dimension} == {0, 1} and last.kind == "number":
            fix = f"{self.text[: last.end]} mm{self.text[last.end :]}".strip()
        if {left.dimension, right.dimension} == {0, 1} and plain is right_words and plain[1] - plain[0] == 1:
            start, end = self.words[plain[0]].start, last.end
        else:
            start, end = operator.start, operator.end
        raise ExpressionError(message, fix, start, end - start)

    def sound(self, found: Quantity, word: Token) -> Quantity:
        """The value itself, if it is finite and not absurd."""
        if not math.isfinite(found.value) or abs(found.value) > LARGEST or not math.isfinite(found.u):
            raise ExpressionError(
                "the value here is too large", "at most 1000000000000", word.start, word.end - word.start
            )
        return found

    def unexpected(self) -> ExpressionError:
        """The error for the word that stands where it cannot."""
        word = self.word
        before = self.words[self.at - 1] if self.at else None
        if word.kind == "end":
            start = before.start if before else 0
            return ExpressionError("something is missing at the end", "write what comes next, or remove this", start)
        size = word.end - word.start
        if word.kind == "plus-minus" or word.text == "u":
            return ExpressionError(
                f"'{word.text}' can only follow a measured number", "as in 12.4 mm ± 0.05", word.start, size
            )
        after_value = before is not None and (before.kind in ("number", "word") or before.text == ")")
        if after_value and (word.kind in ("number", "word") or word.text == "("):
            return ExpressionError(
                f"something is missing before '{word.text}'",
                "put + - * or / between two values",
                word.start,
                size,
            )
        if word.text == ")" and after_value:
            return ExpressionError("this bracket was never opened", "remove it, or put ( where it begins", word.start)
        if word.text == "*" and before is not None and before.text == "*":
            return ExpressionError("'**' is not allowed here", "multiply instead: there are no powers", before.start, 2)
        if word.text == ",":
            return ExpressionError("there is a comma here", "a decimal point is a full stop: 0.5 mm", word.start)
        return ExpressionError(f"'{word.text}' is out of place here", "a value is needed", word.start, size)
