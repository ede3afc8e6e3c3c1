"""What film costs, and shares that add up to the whole exactly. Pure."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from fractions import Fraction

from decalgen.core.values import dataclass

_AMOUNT = r"(?P<whole>[0-9]{1,6})(?:[.,](?P<part>[0-9]{1,2}))?"
_CURRENCY = r"(?:[^\W\d_]{1,12}\.?|[^\W\d_]{0,3}[^\w\s.,;:'\"+\-*/%])"
_PRICE = re.compile(
    rf"(?:{_AMOUNT}\s*(?P<after>{_CURRENCY})|(?P<before>{_CURRENCY})\s*{_AMOUNT.replace('?P<', '?P<_')})"
)
_NO_MONEY = frozenset(
    {"mm", "cm", "m", "in", "inch", "inches", "thou", "dpi", "sheet", "sheets", "piece", "pieces", "x"}
)
"""What follows an amount that is a length or a count, and was meant for another box."""
_SIGN_FIRST = ("£", "$", "¥")


@dataclass(frozen=True, order=True)
class Price:
    """An amount in hundredths of a currency, the currency as the user writes it."""

    currency: str
    hundredths: int

    def __str__(self) -> str:
        amount = f"{self.hundredths // 100}.{self.hundredths % 100:02d}"
        return f"{self.currency}{amount}" if self.currency.endswith(_SIGN_FIRST) else f"{amount} {self.currency}"

    def part(self, share: float) -> Price:
        """That share of it, rounded to the nearest hundredth."""
        return Price(self.currency, round(self.hundredths * share))

    def shared(self, weights: Sequence[float]) -> tuple[Price, ...]:
        """It shared out by weight; the shares add up to it exactly."""
        return tuple(Price(self.currency, n) for n in share_out(self.hundredths, weights))


def typed_price(text: str) -> Price:
    """A price as it is typed now: as `read_price`, but for an amount of something else, such as '3 mm'."""
    found = read_price(text)
    if found.currency.casefold() in _NO_MONEY:
        raise ValueError(_refusal(text))
    return found


def read_price(text: str) -> Price:
    """A price, its currency before or after it in words of the user's own: '4.50 EUR', '£3', '3,20 €'. Raises
    ValueError with what is wrong and what to write."""
    found = _PRICE.fullmatch(text.strip())
    currency = (found["after"] or found["before"]) if found else ""
    if found is None or not _is_currency(currency):
        raise ValueError(_refusal(text))
    whole, part = found["whole"] or found["_whole"], found["part"] or found["_part"] or ""
    return Price(currency, int(whole) * 100 + int(part.ljust(2, "0")))


def _is_currency(text: str) -> bool:
    """Whether it may be the name or the sign of a currency; of signs, those that Unicode counts as such (Sc)."""
    return text.removesuffix(".").isalpha() or unicodedata.category(text[-1]) == "Sc"


def _refusal(text: str) -> str:
    return f"'{text[:40]}' is not a price; write an amount and its currency, such as 4.50 EUR or £3"


def share_out(whole: int, weights: Sequence[float]) -> tuple[int, ...]:
    """A whole number in parts by weight that add up to it: rounded down, then what is missing goes to those that lost
    most (the method of largest remainders), the earlier first. All weights 0: the first takes all."""
    if not weights:
        return ()
    exact = [Fraction(max(weight, 0.0)) for weight in weights]
    total = sum(exact)
    if not total:
        return (whole, *(0 for _ in weights[1:]))
    wanted = [whole * weight / total for weight in exact]
    parts = [int(value) for value in wanted]
    lost = sorted(range(len(parts)), key=lambda n: (parts[n] - wanted[n], n))
    for n in lost[: whole - sum(parts)]:
        parts[n] += 1
    return tuple(parts)
