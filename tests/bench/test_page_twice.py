"""A double click on what makes or books something does it once, and is told nothing but that it is done."""

from __future__ import annotations

from pathlib import Path

import pytest

from decalgen.job.loader import load_job
from decalgen.workshop.drawer import Drawer
from tests.bench.browsing import LONG_MS, MARKS, go, kept, keyed, settled

sync_api = pytest.importorskip("playwright.sync_api")

pytestmark = MARKS

BETWEEN_MS = 120
"""Between the clicks of a hand: long enough for an answer to come, and for the screen to be drawn with it."""


def twice(page: sync_api.Page, button: sync_api.Locator) -> None:
    """A double click as a hand makes it; the button may be drawn anew in between."""
    button.scroll_into_view_if_needed()
    box = button.bounding_box()
    assert box is not None
    page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    for count in (1, 2):
        page.mouse.down(click_count=count)
        page.mouse.up(click_count=count)
        if count == 1:
            page.wait_for_timeout(BETWEEN_MS)


def at_once(page: sync_api.Page, button: sync_api.Locator) -> None:
    """Pressed twice before any answer, as two presses."""
    button.evaluate("(one) => { one.click(); one.click(); }")


@pytest.mark.parametrize("way", [twice, at_once])
def test_what_is_booked_on_film_is_booked_once(page: sync_api.Page, data: Path, way: object) -> None:
    assert callable(way)
    go(page, "Film")
    keyed(page, "add count").fill("2")
    way(page, page.get_by_role("button", name="Put in", exact=True))
    page.get_by_role("heading", name="white A5 1", level=2).wait_for()
    settled(page)
    assert len(Drawer().sheets()) == 2
    keyed(page, "cut depth").fill("60")
    way(page, page.get_by_role("button", name="It is cut off"))
    page.locator(".history li", has_text="cut off: 148 × 60 mm").wait_for()
    settled(page)
    assert Drawer().sheet("1").steps == 1
    assert not page.get_by_role("alert").filter(has_text="Depth").count()


@pytest.mark.parametrize("way", [twice, at_once])
def test_a_copy_and_an_offer_are_one(page: sync_api.Page, job: Path, way: object) -> None:
    assert callable(way)
    before = len(load_job(job).decals)
    go(page, "Draw")
    way(page, keyed(page, "copy"))
    page.get_by_text("Put it back").wait_for(state="detached")
    settled(page)
    kept(page)
    assert len(load_job(job).decals) == before + 1
    keyed(page, "add decal").click()
    way(page, page.locator("[data-key^='offer ']").first)
    settled(page)
    kept(page)
    assert len(load_job(job).decals) == before + 2


def test_a_button_pressed_again_after_the_answer_counts(page: sync_api.Page, job: Path) -> None:
    before = len(load_job(job).decals)
    go(page, "Draw")
    for _ in range(2):
        keyed(page, "copy").click()
        settled(page)
        kept(page)
    assert len(load_job(job).decals) == before + 2


NEST_TWICE = """() => {
  const headers = { "content-type": "application/json" };
  const body = JSON.stringify({ view: { screen: "sheet" } });
  fetch("/do/sheet/nest", { method: "POST", headers, body });
  document.querySelector("[data-key='nest']").click();
}"""


def test_a_refusal_because_of_what_is_at_work_goes_once_that_is_done(page: sync_api.Page) -> None:
    go(page, "Sheet")
    with page.expect_response(lambda answer: answer.url.endswith("/do/sheet/nest") and answer.status == 422) as refused:
        page.evaluate(NEST_TWICE)
    assert "decalgen is nesting the sheet" in refused.value.json()["message"]
    page.get_by_role("button", name="Nest again").wait_for(timeout=LONG_MS)
    settled(page)
    page.get_by_text("decalgen is nesting the sheet").wait_for(state="detached")
    assert page.locator(".says.wrong").count() == 0
