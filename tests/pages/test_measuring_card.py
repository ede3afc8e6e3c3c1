"""The measuring card: a box for each reading, on as many pages as the panels need."""

from __future__ import annotations

import io

import pdfplumber
import pytest

from decalgen.core.document import Line
from decalgen.export import render
from decalgen.pages.measuring_card import LETTERING, CardPanel, measuring_card

FLAT = CardPanel("door", "flat", (("width", 22.4), ("height", None)))
BENT = CardPanel("bonnet", "cylinder", (("chord", 24.2), ("rise", 1.1), ("length", None)))


def boxes(panels: list[CardPanel]) -> list[int]:
    """How many boxes to write in, 21 x 6.4 mm, another program finds on each page."""
    point = 25.4 / 72
    with pdfplumber.open(io.BytesIO(render(measuring_card("Tug", panels), ".pdf")[0])) as pdf:
        return [
            sum(
                (item["width"] * point, item["height"] * point) == pytest.approx((21.0, 6.4), abs=0.01)
                for item in (*page.rects, *page.curves)
            )
            for page in pdf.pages
        ]


def test_three_readings_of_each_size_and_of_an_obstacle() -> None:
    assert boxes([FLAT]) == [3 * (2 + 1)]
    assert boxes([FLAT, BENT]) == [3 * (2 + 1) + 3 * (3 + 1)]


def test_lettering_has_its_four_measures() -> None:
    assert boxes([LETTERING]) == [3 * 4]


def test_more_panels_than_a_page_holds() -> None:
    found = boxes([FLAT, BENT] * 6)
    assert len(found) == 3 and sum(found) == 6 * (9 + 12)


def test_nothing_leaves_the_page() -> None:
    for page in measuring_card("Tug", [FLAT, BENT] * 6).pages:
        for layer in page.layers:
            for item in layer.items:
                if isinstance(item, Line):
                    assert all(0 < x < 210 and 0 < y < 297 for x, y in item.points)
