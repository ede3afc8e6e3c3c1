"""The cards of the placement guide, which decals are pushed against."""

from __future__ import annotations

import pytest

from decalgen.commands.guide import guides
from decalgen.pages.guide_templates import LEAST_STRIP, template_of
from decalgen.shapes.base import At
from tests.helpers import jobs
from tests.pages.test_guide import DEMO, demo, field, one_side, place_of

CARDS_OF = {"gannet": 7, "h9": 4, "ostmerrow": 2, "dravenhoe": 8}
"""How many cards each has, counted on the printed pages."""


@pytest.mark.parametrize("name", DEMO)
def test_the_stop_and_the_ticks_of_a_card_show_the_place(name: str) -> None:
    (made,) = guides(demo(name))
    cards = 0
    for side in made.sides:
        for item in side.items:
            card = template_of(side, item)
            if card is None:
                continue
            cards += 1
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
    assert cards == CARDS_OF[name]


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
