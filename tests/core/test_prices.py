"""Shares that add up, by the method of largest remainders (A. Hamilton; M. L. Balinski, H. P. Young, Fair
Representation, 1982: it leaves the least sum of differences from the exact shares)."""

from __future__ import annotations

from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from decalgen.core.prices import Price, read_price, share_out, typed_price


@pytest.mark.parametrize(
    ("whole", "weights", "parts"),
    [
        # A worked example of ten seats for six parties, known from handbooks of voting (from memory).
        (10, (47_000, 16_000, 15_800, 12_000, 6_100, 3_100), (5, 2, 1, 1, 1, 0)),
        (2, (10, 1), (2, 0)),
        (10, (2, 1), (7, 3)),
        (100, (1, 1, 1), (34, 33, 33)),
        (5, (0, 0), (5, 0)),
    ],
)
def test_the_largest_remainder_gets_what_is_left(whole: int, weights: tuple[int, ...], parts: tuple[int, ...]) -> None:
    assert share_out(whole, weights) == parts


@given(whole=st.integers(0, 12), weights=st.lists(st.integers(0, 50), min_size=1, max_size=4).filter(any))
def test_no_other_whole_parts_are_nearer(whole: int, weights: list[int]) -> None:
    exact = [whole * weight / sum(weights) for weight in weights]
    found = share_out(whole, weights)
    assert sum(found) == whole

    def off(parts: tuple[int, ...]) -> float:
        return sum(abs(part - share) for part, share in zip(parts, exact, strict=True))

    others = (parts for parts in product(range(whole + 1), repeat=len(weights)) if sum(parts) == whole)
    assert off(found) <= min(map(off, others)) + 1e-9


@pytest.mark.parametrize(("share", "hundredths"), [(0.25, 50), (0.26, 52), (0.0, 0), (1.0, 199)])
def test_a_part_is_rounded_to_the_nearest_hundredth(share: float, hundredths: int) -> None:
    """Of 1.99: 49.75 and 51.74 hundredths, so that cutting off would be a hundredth short."""
    assert Price("EUR", 199).part(share) == Price("EUR", hundredths)


@pytest.mark.parametrize(
    ("typed", "currency", "hundredths", "shown"),
    [
        ("12.50 EUR", "EUR", 1250, "12.50 EUR"),
        ("£3", "£", 300, "£3.00"),
        ("3 £", "£", 300, "£3.00"),
        ("3,20 €", "€", 320, "3.20 €"),
        ("€ 3,2", "€", 320, "3.20 €"),
        ("US$4.05", "US$", 405, "US$4.05"),
        ("45 kr.", "kr.", 4500, "45.00 kr."),
        ("CHF 7", "CHF", 700, "7.00 CHF"),
        (" 120 ₹ ", "₹", 12000, "120.00 ₹"),
        ("0 EUR", "EUR", 0, "0.00 EUR"),
    ],
)
def test_a_price_has_its_currency_before_or_after_it(typed: str, currency: str, hundredths: int, shown: str) -> None:
    price = typed_price(typed)
    assert price == read_price(typed) == Price(currency, hundredths) and str(price) == shown


@pytest.mark.parametrize(
    "typed",
    [
        "dear", "12.50", "EUR", "€", "3 mm", "210 x", "2 in", "3 sheets", "-3 EUR", "£-3", "3.505 EUR", "1e6 EUR",
        "12 %", "3 ? EUR", "£3/sheet", "about £3", "3 \N{BULLET}", "1234567 EUR", "\N{SUPERSCRIPT TWO} EUR",
    ],
)  # fmt: skip
def test_what_is_no_amount_of_money_is_refused_with_the_fix(typed: str) -> None:
    with pytest.raises(ValueError, match=r"is not a price; write an amount and its currency, such as 4\.50 EUR or £3"):
        typed_price(typed)


def test_what_was_kept_before_with_any_word_is_still_read() -> None:
    assert read_price("3 sheets") == Price("sheets", 300)
