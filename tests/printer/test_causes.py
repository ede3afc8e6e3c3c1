"""Causes of a wrong size: twenty scalings that print dialogs make, reckoned here by hand, and sizes without one."""

from __future__ import annotations

import random

import pytest

from decalgen.printer.causes import COMMON_MARGINS, PAPERS, PrintedPage, causes, told

A4 = (210.0, 297.0)
A5 = (148.0, 210.0)
LETTER = (215.9, 279.4)
ALL = (4.2, 4.2, 4.2, 4.2)
INKJET = (3.4, 3.4, 5.0, 3.0)
UNEVEN = (3.4, 3.4, 14.0, 3.4)
A6 = (105.0, 148.0)


@pytest.mark.parametrize(
    ("size", "margins", "x", "y", "named"),
    [
        # min((210 - 8.4)/210, (297 - 8.4)/297) = min(0.9600, 0.9717)
        (A4, ALL, 0.9600, 0.9600, "fitted to the printable area"),
        (A4, None, 0.9600, 0.9600, "fitted to the printable area (with margins of 4.2 mm)"),
        # min((148 - 8.4)/148, (210 - 8.4)/210) = min(0.9432, 0.9600)
        (A5, ALL, 0.9432, 0.9432, "fitted to the printable area"),
        # (210 - 6.8)/210; (297 - 8)/297 = 0.9731 is larger
        (A4, INKJET, 0.9676, 0.9676, "fitted to the printable area"),
        # a long strip lying across: the upright side decides, (50 - 8.4)/50
        ((297.0, 50.0), ALL, 0.8320, 0.8320, "fitted to the printable area"),
        # min(215.9/210, 279.4/297)
        (A4, None, 0.9407, 0.9407, "fitted to Letter paper"),
        # min(210/215.9, 297/279.4)
        (LETTER, None, 0.9727, 0.9727, "fitted to A4 paper"),
        # min((215.9 - 8.4)/210, (279.4 - 8.4)/297) = min(0.9881, 0.9125)
        (A4, ALL, 0.9125, 0.9125, "fitted to the printable area of Letter paper"),
        # min(210/148, 297/210)
        (A5, None, 1.4143, 1.4143, "fitted to A4 paper"),
        # min(201.6/148, 288.6/210) = min(1.3622, 1.3743)
        (A5, ALL, 1.3622, 1.3622, "fitted to the printable area of A4 paper"),
        # min(148/210, 210/297)
        (A4, None, 0.7048, 0.7048, "fitted to A5 paper"),
        # two A4 pages side by side on one: min(148.5/210, 210/297)
        (A4, None, 0.7071, 0.7071, "2 pages were put on one sheet"),
        # borderless, 1.26 mm beyond each side of A4
        (A4, None, 1.0120, 1.0120, "borderless"),
        (A5, None, 1.0300, 1.0300, "borderless"),
        # 2.5 mm beyond every side: 215/210, 302/297
        (A4, None, 1.0238, 1.0168, "borderless"),
        # typed
        (A5, None, 0.7500, 0.7500, "scaled to 75 %"),
        (A5, ALL, 0.9700, 0.9700, "scaled to 97 %"),
        (A5, ALL, 0.9800, 0.9800, "scaled to 98 %"),
        (A5, None, 1.3333, 1.3333, "scaled to 133.3 %"),
        # max(210/148, 297/210), what overhangs is lost
        (A5, None, 1.4190, 1.4190, "made to fill A4 paper"),
        # resolutions: 72/96, 96/72, 72/300
        (A5, None, 0.7500, 0.7500, "took 96 dots per inch for 72"),
        (A5, None, 1.3333, 1.3333, "took 72 dots per inch for 96"),
        (A5, None, 0.2400, 0.2400, "took 300 dots per inch for 72"),
        (A5, None, 25.4 / 96, 25.4 / 96, "millimetres for pixels"),
        # on the middle of the sheet, 14 mm bare at both ends: (297 - 28)/297
        (A4, UNEVEN, 0.9057, 0.9057, "in the middle of the sheet"),
        # Letter across, its margins turned with it: min((279.4 - 17.4)/210, (215.9 - 6.8)/297) = min(1.2476, 0.7040)
        (A4, UNEVEN, 0.7040, 0.7040, "fitted to the printable area of Letter paper"),
        # two pages within the margins of one A5 that lies across: min((210 - 17.4)/2/148, (148 - 6.8)/210)
        (A5, UNEVEN, 0.6507, 0.6507, "2 pages were put on one sheet"),
        # four within the margins of A4: min((210 - 6.8)/420, (297 - 17.4)/594) = min(0.4838, 0.4707)
        (A4, UNEVEN, 0.4707, 0.4707, "4 pages were put on one sheet"),
        # typed, where another cause gives nearly the same: (105 - 8.4)/105 = 0.92
        (A6, UNEVEN, 0.9200, 0.9200, "scaled to 92 %"),
        # 3 mm beyond the sides of A4 both ways alike: 216/210
        (A4, UNEVEN, 1.0286, 1.0286, "borderless"),
        # resolutions that give a half or four fifths
        (A4, UNEVEN, 0.5000, 0.5000, "600 for 300"),
        (A5, UNEVEN, 0.8000, 0.8000, "300 for 240"),
        # stretched both ways: (148 - 8.4)/148, (210 - 8.4)/210
        (A5, ALL, 0.9432, 0.9600, "stretched over the printable area"),
    ],
)
def test_what_a_dialog_did_is_named(
    size: tuple[float, float],
    margins: tuple[float, float, float, float] | None,
    x: float,
    y: float,
    named: str,
) -> None:
    page = PrintedPage(*size, margins)
    found = causes(x, y, page)
    assert any(named in one.what for one in found), told(found)
    # Printers that stretch a little do not hide it.
    assert any(named in one.what for one in causes(x * 1.0004, y * 0.9996, page))


@pytest.mark.parametrize(
    ("x", "y"),
    [
        (1.0, 1.0),
        (0.995, 1.004),  # what printers themselves do
        (0.9951, 0.9951),
        (0.99, 1.0),
        (0.97, 0.96),  # a page fitted is scaled alike both ways
        (0.9350, 0.9300),
        (1.05, 0.95),
        (0.8812, 0.8812),
        (1.1834, 1.1834),
    ],
)
def test_what_is_not_usual_has_no_usual_cause(x: float, y: float) -> None:
    assert causes(x, y, PrintedPage(*A5, ALL)) == ()


def test_every_fit_of_every_page_on_every_paper_is_named_among_the_first(seed: int = 4) -> None:
    """The truth is drawn here, by the rule of the smaller ratio; it has to be among what is named."""
    draw = random.Random(seed)
    wrong = []
    for _ in range(400):
        size = PAPERS[draw.choice(["A3", "A4", "A5", "Letter", "Legal"])]
        margins = (draw.uniform(2, 8), draw.uniform(2, 8), draw.uniform(2, 14), draw.uniform(2, 8))
        name, (wide, high) = draw.choice([*PAPERS.items()])
        full = draw.random() < 0.5
        w = wide if full else wide - margins[0] - margins[1]
        h = high if full else high - margins[2] - margins[3]
        ratio = min(w / size[0], h / size[1])
        if abs(ratio - 1) < 0.012:
            continue
        found = causes(ratio * draw.gauss(1, 0.0003), ratio * draw.gauss(1, 0.0003), PrintedPage(*size, margins))
        kind = "fitted to" if full else "printable area"
        if not any(kind in one.what for one in found):
            wrong.append((size, name, ratio, [one.what for one in found]))
    assert wrong == []


def test_margins_wider_than_the_page_give_no_cause() -> None:
    page = PrintedPage(60.0, 28.0, (3.0, 40.0, 14.0, 20.0))
    assert all(one.x > 0 and one.y > 0 for one in causes(0.5, 0.5, page))


def test_advice_names_no_label_of_a_dialog() -> None:
    for ratio in (0.96, 0.9407, 0.75, 1.03, 25.4 / 96):
        what, cure = told(causes(ratio, ratio, PrintedPage(*A4)))
        text = what + cure
        assert not any(mark in text for mark in "\u201c\u201d\u2018\u2019\"'`")
        assert what and cure


def test_the_papers_are_those_of_iso_216() -> None:
    # ISO 216: each size is the one before halved, rounded down.
    assert PAPERS["A4"] == (420 // 2, 297) and PAPERS["A5"] == (297 // 2, 210) and PAPERS["A6"] == (210 // 2, 148)
    assert PAPERS["B5"] == (353 // 2, 250)
    # A foot is 304.8 mm by definition: Letter is 8.5 by 11 in.
    assert PAPERS["Letter"] == pytest.approx((8.5 * 25.4, 11 * 25.4))
    assert PAPERS["Legal"] == pytest.approx((8.5 * 25.4, 14 * 25.4))
    assert min(COMMON_MARGINS) > 2
