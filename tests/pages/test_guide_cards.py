"""The cards of the placement guide, which decals are pushed against."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace

import pytest
import shapely

from decalgen.commands.guide import guides
from decalgen.core.document import Document
from decalgen.core.geometry import multiply, polygons, transform, translation
from decalgen.pages.composer import Sheaf
from decalgen.pages.guide import paper_notes
from decalgen.pages.guide_cells import cells_of, deep_of, put_cell
from decalgen.pages.guide_sides import GuideItem, GuideSide
from decalgen.pages.guide_templates import LEAST_STRIP, Template, listed, template_of, templates_of
from decalgen.shapes.base import At
from tests.helpers import jobs
from tests.helpers.page_words import words_of
from tests.pages.test_guide import DEMO, demo, field, one_side, place_of

CARDLESS = {
    "gannet": ["6", "7", "8"],
    "h9": ["1", "2", "3", "6", "5", "4", "7"],
    "ostmerrow": ["1", "2", "5"],
    "dravenhoe": ["1", "2", "3"],
}
"""Pieces that leave less than 3 mm of their panel on every side, that lie on a panel less than 3 mm high or a dome, or
beside whose slanting edge the strip tapers to less: 3.2 mm at the foot of the cargo side, 2.4 at its top."""


def cards_of(name: str) -> Iterator[tuple[GuideSide, GuideItem, Template | None, list[GuideItem]]]:
    """Each piece of a demo job with its card and the pieces that lie there before."""
    (made,) = guides(demo(name))
    for side in made.sides:
        for n, (item, card) in enumerate(zip(side.items, templates_of(side), strict=True)):
            yield side, item, card, list(side.items[:n])


@pytest.mark.parametrize("name", DEMO)
def test_the_stop_and_the_ticks_of_a_card_show_the_place(name: str) -> None:
    for side, item, card, _ in cards_of(name):
        if card is None:
            continue
        x, y = place_of(item, side)
        x0, y0, x1, y1 = item.artwork.cut_polygon.bounds
        x1, y1 = x + x1 - x0, y + y1 - y0
        upright = card.side in ("left", "right")
        stop = {"left": x, "right": x1, "bottom": y, "top": y1}[card.side]
        assert [c[not upright] for c in card.stop.coords] == pytest.approx([stop, stop], abs=0.05)
        ends = sorted(tick.coords[0][upright] for tick in card.ticks)
        assert ends == pytest.approx([y, y1] if upright else [x, x1], abs=0.05)
        assert side.panel.outline.polygon.buffer(1e-6).covers(card.card)
        assert card.card.intersection(item.cut).area < 1e-6, "it lies on the decal's place"
        assert card.tab is None, "no edge of the demo is free"
        met = card.stop.intersection(card.card.buffer(1e-6)).length
        assert met >= 0.9 * card.stop.length, "the decal has nothing to be pushed against"


@pytest.mark.parametrize("name", DEMO)
def test_every_card_of_the_demo_bears_its_number_and_name(name: str) -> None:
    """On the page, too: its words lie within the thick line, on end or not, with the hand where there is one."""
    found = 0
    for side, item, card, _ in cards_of(name):
        if card is None:
            continue
        begins = f"{item.number}, {side.hand}" if side.hand else f"{item.number} {side.panel.name}"
        assert card.words.startswith((begins, f"{item.number} {side.name}"))
        assert card.tail is None or card.tail.intersection(side.panel.outline.polygon).area < 1e-6
        for room in ((200.0, 200.0), (12.0, 200.0)):
            (cell,) = cells_of(replace(side, items=(item,)), [card], room, False) or (None,)
            if cell is None:
                continue
            page = Sheaf(220.0, 220.0)
            put_cell(page, side, cell, 5.0, 215.0)
            words = [
                one
                for one in words_of(Document((page.page(),), title="card"))
                if one.plain == card.words.replace(" ", "")
            ]
            whole = transform(card.whole, multiply(translation(5.0, 215.0 - cell.height + deep_of(cell)), cell.place))
            assert len(words) == 1 and whole.buffer(1e-3).covers(words[0].box), (side.name, card.words)
            found += 1
    assert found > 0


@pytest.mark.parametrize("name", DEMO)
def test_cards_keep_off_what_is_laid_before_or_say_when_they_may_lie_on_it(name: str) -> None:
    lying = {}
    for side, item, card, before in cards_of(name):
        if card is None:
            continue
        on = [one.number for one in before if one.cut.intersection(card.card).area > 1e-3]
        assert on == list(card.on)
        if on:
            lying[item.number] = on
            assert "dry" in card.words and "dry" in card.dry
            assert f"Card {item.number} lies on {listed(on)}: only when" in " ".join(
                paper_notes(side, templates_of(side))
            )
    # A plate over chevrons that fill their panel, and one that has no 3 mm beside it below three others.
    assert lying == {"dravenhoe": {"11": ["3"]}, "h9": {"11": ["8", "9", "10"]}}.get(name, {})


@pytest.mark.parametrize("name", DEMO)
def test_no_card_is_narrower_than_a_strip_that_holds_and_a_missing_one_is_told(name: str) -> None:
    """Every place of a card that is away from obstacles is in a disc of 3 mm in the card, or in a corner."""
    bare = []
    for side, item, card, _ in cards_of(name):
        if card is None:
            bare.append(item.number)
            said = " ".join(paper_notes(side, templates_of(side)))
            assert "curved both ways" in said or re.search(rf"No card for [^:]*\b{item.number}\b[^:]*: the strip", said)
            continue
        filled = shapely.union_all([card.card, *(one.outline.polygon.buffer(0.5) for one in side.panel.obstacles)])
        filled = filled.intersection(card.card.envelope)
        broad = filled.buffer(-1.499).buffer(1.5)
        assert broad.buffer(1.5).covers(card.card), f"{side.name}, {item.number}: a tip sticks out"
        # A disc of 3 mm leaves 0.48 mm² of a right angle; sharper corners are cut off.
        lost = polygons(card.card.difference(broad))
        assert all(part.area < 2.3 for part in lost), f"{side.name}, {item.number}"
    assert bare == CARDLESS[name]


def test_a_tab_folds_over_a_free_edge_only() -> None:
    decal = field("band", 30.0, 8.0, at=At("bottom", 0.0, 2.0))
    fixed, free = one_side(decal), one_side(decal, free=("top",))
    assert (card := template_of(fixed, fixed.items[0])) is not None and card.tab is None and card.side == "top"
    card = template_of(free, free.items[0])
    assert card is not None and card.tab is not None and card.tab.bounds == pytest.approx((0.0, 40.0, 60.0, 47.0))


def test_a_strip_too_narrow_to_hold_gives_no_card() -> None:
    narrow = one_side(field("band", 60.0 - 2 * LEAST_STRIP + 0.2, 40.0 - 2 * LEAST_STRIP + 0.2))
    assert template_of(narrow, narrow.items[0]) is None
    wide = one_side(field("band", 60.0 - 2 * LEAST_STRIP - 0.2, 40.0 - 2 * LEAST_STRIP + 0.2))
    assert template_of(wide, wide.items[0]) is not None


def test_a_card_leaves_what_stands_up_open() -> None:
    side = one_side(field("band", 30.0, 4.0, at=At("bottom", 0.0, 1.0)), obstacles=(jobs.handle(),))
    card = template_of(side, side.items[0])
    assert card is not None and card.card.distance(jobs.handle().outline.polygon) >= 0.3 - 1e-3
