"""On a touch screen each thing to press is large enough for a finger, on every screen."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import pytest

from decalgen.bench.registry import SCREENS
from tests.bench.browsing import MARKS, Opened, kept, page_at

if TYPE_CHECKING:
    from playwright import sync_api

pytestmark = MARKS
LEAST_HIGH = 44
"""CSS pixels (Web Content Accessibility Guidelines 2.2, success criterion 2.5.5)."""
SMALL = """() => [...document.querySelectorAll("main button, main summary, main select, main input, .card button")]
    .filter((one) => one.checkVisibility() && !["checkbox", "radio", "range"].includes(one.type))
    .map((one) => [one.getBoundingClientRect().height, one.textContent || one.ariaLabel || one.dataset.key])
    .filter(([high]) => high && high < LEAST)"""


@pytest.fixture
def touched(browser: sync_api.Browser, opened: Opened) -> Iterator[sync_api.Page]:
    """The page on a telephone."""
    telephone = {"viewport": {"width": 390, "height": 844}, "has_touch": True, "is_mobile": True}
    with page_at(browser, opened.address, **telephone) as page:
        page.get_by_role("heading", name="Measure", level=1).wait_for()
        yield page


def small(page: sync_api.Page) -> list[object]:
    found: list[object] = page.evaluate(SMALL.replace("LEAST", str(LEAST_HIGH - 0.5)))
    return found


def test_what_is_pressed_is_large_enough_for_a_finger(touched: sync_api.Page) -> None:
    assert touched.evaluate("matchMedia('(pointer: coarse)').matches")
    found = {}
    for key, step in SCREENS.items():
        touched.evaluate("key => { location.hash = key; }", key)
        touched.get_by_role("heading", name=step.NAME, level=1, exact=True).wait_for()
        found[key] = small(touched)
    assert not {key: some for key, some in found.items() if some}


def test_blanks_of_draw_are_large_enough_too(touched: sync_api.Page) -> None:
    touched.evaluate("location.hash = 'draw'")
    touched.locator("[data-key='piece door roundel']").click()
    touched.locator(".shapes summary").first.click()
    touched.locator(".saymore").first.wait_for()
    touched.locator("[data-key='names']").click()
    touched.locator(".inks").wait_for()
    kept(touched)
    assert touched.locator("button.blank").count() > 10
    assert small(touched) == []


def test_the_verdict_on_a_decal_is_seen_at_once_and_not_under_undo(touched: sync_api.Page) -> None:
    touched.get_by_role("button", name="Draw").click()
    verdict = touched.locator(".glance")
    verdict.wait_for()
    touched.locator(".drawing svg .figure").first.wait_for(state="attached")
    foot, top = (touched.locator(one).bounding_box() for one in (".glance", ".undo"))
    assert foot and top and verdict.inner_text() == "fits" and foot["y"] + foot["height"] <= top["y"]
    # The whole decal that is judged, too.
    piece = touched.locator(".drawing .piece[aria-pressed=true]").bounding_box()
    assert piece and piece["y"] + piece["height"] <= top["y"]
