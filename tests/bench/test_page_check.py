"""Check in a real browser: the way from a finding to its place, what waits, the keys and how they are switched off."""

from __future__ import annotations

import re
from importlib import resources
from pathlib import Path

import pytest

from tests.bench.browsing import MARKS, go, kept

sync_api = pytest.importorskip("playwright.sync_api")

pytestmark = MARKS


def swap(page: sync_api.Page, job: Path, *swaps: tuple[str, str]) -> None:
    """Changes the file as an editor does, and waits until the page has it and has looked at it."""
    text = job.read_text(encoding="utf-8")
    for before, after in swaps:
        assert before in text
        text = text.replace(before, after, 1)
    job.write_text(text, encoding="utf-8")
    page.get_by_role("button", name="Undo what your editor changed").wait_for()
    page.locator(".step", has_text=re.compile(r"\d to correct")).wait_for()


SHORT = ("length: 19.50 mm ± 0.05", "length: 12 mm ± 0.05")
OPEN = ("width: 22.40 mm ± 0.05", "width: '?'")


def test_show_me_rings_the_place_until_the_next_act(page: sync_api.Page, job: Path) -> None:
    swap(page, job, SHORT)
    go(page, "Check")
    page.get_by_text("line 75").wait_for()
    page.get_by_role("button", name="Show me bonnet chevrons").click()
    page.get_by_role("heading", name="Draw", level=1).wait_for()
    page.locator(".marked", has_text="bonnet chevrons: its cut line does not fit").wait_for()
    page.locator(".marked code", has_text="bonnet chevrons:").wait_for()
    ring = page.locator(".rings .spotted:not(.casing)").first.bounding_box()
    piece = page.locator("[data-key='piece bonnet chevrons'] .pick").bounding_box()
    assert ring is not None and piece is not None
    # The decal's foot hangs over the edge: the ring is round a part of it, so they overlap, and it is no dot.
    assert ring["width"] > 20 and ring["x"] < piece["x"] + piece["width"] and piece["x"] < ring["x"] + ring["width"]
    assert ring["y"] < piece["y"] + piece["height"] + 10 and piece["y"] < ring["y"] + ring["height"]
    assert page.locator(".ringword").inner_html() == "error"
    page.get_by_role("button", name="bonnet chevrons,").first.focus()
    page.keyboard.press("ArrowRight")
    page.locator(".marked").wait_for(state="detached")
    assert page.locator(".rings .spotted").count() == 0


def test_a_panel_s_finding_leads_to_its_reading_and_what_waits_is_not_ticked(page: sync_api.Page, job: Path) -> None:
    swap(page, job, OPEN)
    go(page, "Check")
    waiting = page.locator("section", has=page.get_by_role("heading", name="Waiting"))
    assert waiting.locator("li").count() == 1 and "✓" not in waiting.inner_text()
    order = page.locator("section", has=page.get_by_role("heading", name="In order"))
    assert order.locator("li").count() == 3 and "door" not in order.inner_text()
    page.get_by_role("button", name="Show me door", exact=True).click()
    page.get_by_role("heading", name="Width of the door").wait_for()
    page.locator(".marked", has_text="door: 1 reading is still to be taken").wait_for()
    page.get_by_role("button", name="height 11.60").click()
    page.locator(".marked").wait_for(state="detached")
    go(page, "Check")
    page.get_by_role("button", name="Measure for door roundel").click()
    page.get_by_role("heading", name="Width of the door").wait_for()


def test_no_verdict_of_before_an_edit_is_shown_as_one_of_after(page: sync_api.Page, job: Path) -> None:
    swap(page, job, SHORT)
    go(page, "Check")
    step = page.locator(".step", has_text="Check")
    held: list[sync_api.Route] = []
    let_go: list[bool] = []

    def hold(route: sync_api.Route) -> None:
        """The undo, and what is asked for after it, until that is let go of."""
        if let_go or not (held or route.request.url.endswith("/undo")):
            route.continue_()
        else:
            held.append(route)

    page.route(re.compile("/(undo$|state[?])"), hold)
    page.keyboard.press("Control+z")
    # From the key on, until it is looked at.
    step.get_by_text("being checked ...").wait_for()
    held[0].continue_()
    page.locator(".findings .past").first.wait_for()
    assert page.locator(".findings li:not(.past)").count() == 0 and page.get_by_text("✓").count() == 0
    step.get_by_text("being checked ...").wait_for()
    let_go.append(True)
    for route in held[1:]:
        route.continue_()
    step.get_by_text("no errors").or_(step.get_by_text("nothing to correct")).wait_for()
    page.get_by_text("✓").first.wait_for()
    assert page.locator(".findings .past").count() == 0


def test_e_goes_from_finding_to_finding_but_not_in_a_field(page: sync_api.Page, job: Path) -> None:
    swap(page, job, SHORT, OPEN)
    page.locator("h1").focus()
    page.keyboard.press("e")
    page.locator("#told", has_text="Finding 1 of").wait_for()
    page.get_by_role("heading", name="Width of the door").wait_for()
    page.locator("[data-key='reading 0']").press("e")
    assert page.locator("[data-key='reading 0']").input_value() == "e"
    page.locator("[data-key='reading 0']").fill("")
    page.locator("h1").focus()
    page.keyboard.press("e")
    page.locator("#told", has_text="Finding 2 of").wait_for()
    page.get_by_role("heading", name="Draw", level=1).wait_for()


def test_what_is_about_no_decal_leads_to_where_it_is_changed(page: sync_api.Page, job: Path) -> None:
    text = job.read_text(encoding="utf-8")
    job.write_text(text.replace("finish: gloss", "finish: matt"), encoding="utf-8")
    go(page, "Check")
    page.locator("[data-key^='show ']", has_text="Show me").first.wait_for()
    lead = page.locator("li", has_text="matt").get_by_role("button", name="Show me")
    lead.click()
    page.get_by_role("heading", name="Draw", level=1).wait_for()
    names = page.get_by_role("button", name="Inks, paint and names")
    page.locator("[data-key='names'][aria-expanded='true']").wait_for()
    names.click()
    page.locator("[data-key='names'][aria-expanded='false']").wait_for()
    page.locator("h1").focus()
    page.keyboard.press("e")
    page.locator("#told", has_text="Finding 1 of").wait_for()
    page.locator("[data-key='names'][aria-expanded='true']").wait_for()


def test_f1_tells_the_keys_and_single_ones_are_switched_off(page: sync_api.Page) -> None:
    page.get_by_text("nothing to correct").wait_for()
    go(page, "Draw")
    page.keyboard.press("F1")
    sheet = page.get_by_role("dialog", name="Keys on Draw")
    sheet.get_by_text("next edge or middle").wait_for()
    page.evaluate((resources.files("axe_playwright_python") / "axe.min.js").read_text(encoding="utf-8"))
    judged = page.evaluate("() => axe.run(document, {resultTypes: ['violations']})")
    assert [one["id"] for one in judged["violations"] if one["impact"] in ("serious", "critical")] == []
    sheet.get_by_label("Keys of a single character").uncheck()
    page.keyboard.press("Escape")
    sheet.wait_for(state="hidden")
    page.reload()
    page.get_by_role("heading", name="Draw", level=1).wait_for()
    scale = page.locator("svg[data-scale]").first.get_attribute("data-scale")
    for key in ("1", "e", "+"):
        page.keyboard.press(key)
    page.get_by_role("button", name="Keys", exact=True).click()
    page.get_by_role("dialog", name="Keys on Draw").wait_for()
    assert page.locator("svg[data-scale]").first.get_attribute("data-scale") == scale
    page.get_by_label("Keys of a single character").check()
    page.get_by_role("button", name="Close", exact=True).click()
    page.locator("h1").focus()
    page.keyboard.press("1")
    page.get_by_role("heading", name="Measure", level=1).wait_for()
    page.keyboard.press("F1")
    page.get_by_role("dialog", name="Keys on Measure").get_by_text("leave it open").wait_for()


def test_the_file_is_read_by_the_keyboard_and_white_is_switched_off(page: sync_api.Page) -> None:
    go(page, "Draw")
    kept(page)
    assert page.locator("pre.file").get_attribute("tabindex") == "0"
    page.get_by_role("region", name="in the file").focus()
    go(page, "On the body")
    film = page.locator(".unfolded .film").first
    assert film.evaluate("one => getComputedStyle(one).display") != "none"
    page.get_by_label("white", exact=True).uncheck()
    assert page.locator(".unfolded .film").first.evaluate("one => getComputedStyle(one).display") == "none"
    assert page.get_by_label("film", exact=True).is_checked()
    page.get_by_label("white", exact=True).check()
    assert page.locator(".unfolded .film").first.evaluate("one => getComputedStyle(one).display") != "none"
