"""What film costs, and shares that add up to the whole exactly. Pure."""

from __future__ import annotations

import re
from collections.abc import Sequence
from fractions import Fraction

from decalgen.core.values import dataclass

_PRICE = re.compile(r"\s*(\d{1,6})(?:[.,](\d{1,2}))?\s*([^\W\d_]{1,12}|[€$£¥])\s*")


@dataclass(frozen=True, order=True)
class Price:
    """An amount in hundredths of a currency, the currency as the user writes it."""

    currency: str
    hundredths: int

    def __str__(self) -> str:
        return f"{self.hundredths // 100}.{self.hundredths % 100:02d} {self.currency}"

    def part(self, share: float) -> Price:
        """That share of it, rounded to the nearest hundredth."""
        return Price(self.currency, round(self.hundredths * share))

    def shared(self, weights: Sequence[float]) -> tuple[Price, ...]:
        """It shared out by weight; the shares add up to it exactly."""
        return tuple(Price(self.currency, n) for n in share_out(self.hundredths, weights))


def read_price(text: str) -> Price:
    """A price as typed, such as '4.50 EUR'. Raises ValueError with what is wrong and what to write."""
    found = _PRICE.fullmatch(text)
    if found is None:
        raise ValueError(f"'{text[:40]}' is not a price; write an amount and its currency, such as 4.50 EUR")
    fraction = (found[2] or "").ljust(2, "0")
    return Price(found[3], int(found[1]) * 100 + int(fraction))


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
