"""What is refused is told where it was asked for, also where the screen is drawn anew before the answer comes."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from decalgen.commands.calibrate_printer import CalibrationRequest, read_target
from decalgen.printer import target
from tests.bench.browsing import MARKS, Opened, go, kept, keyed, page_at, settled
from tests.bench.conftest import DESK
from tests.bench.sheeting import tug
from tests.bench.test_page_proof import passed

sync_api = pytest.importorskip("playwright.sync_api")

pytestmark = MARKS

REFUSED = {"message": "that was refused", "fix": "do it in another way"}
WORDS = "that was refused: do it in another way"


class Held:
    """The next request to a path, held until ``refuse``; what comes after it goes through."""

    def __init__(self, page: sync_api.Page, path: str) -> None:
        self.page, self.path = page, path
        self.routes: list[sync_api.Route] = []
        page.route(f"**{path}", lambda route: route.continue_() if self.routes else self.routes.append(route))

    def refuse(self) -> None:
        while not self.routes:
            self.page.wait_for_timeout(10)
        body = json.dumps(REFUSED)
        self.routes[0].fulfill(status=422, content_type="application/json", body=body)
        self.page.unroute(f"**{self.path}")


def redrawn(page: sync_api.Page) -> None:
    """Has the screen drawn anew, as a page does that is looked at again."""
    page.evaluate("document.activeElement.blur(); document.querySelector('main h1').dataset.old = 'yes'")
    page.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
    page.locator("main h1:not([data-old])").wait_for()


def told(page: sync_api.Page, number: int = 1) -> None:
    """Waits until it is told; it must be so many times, and not in passing."""
    place = page.locator("main [role='alert'], main [role='status']").filter(has_text=WORDS)
    place.first.wait_for()
    assert place.count() == number and WORDS not in page.locator("#told").inner_text()


def refused_between(page: sync_api.Page, path: str, press: Callable[[], object]) -> None:
    """Presses; the screen is drawn anew before the refusal, and after it: each time it is told."""
    held = Held(page, path)
    press()
    redrawn(page)
    held.refuse()
    told(page)
    redrawn(page)
    told(page)


def chosen(page: sync_api.Page) -> None:
    """Turns to a decal, and waits until its screen is there."""
    settled(page)
    keyed(page, "pile door roundel").click()
    page.get_by_role("heading", name="Door roundel", level=2).wait_for()
    settled(page)


def looked_elsewhere(page: sync_api.Page) -> None:
    """Chooses the decal anew: that draws the screen anew, whatever is typed."""
    with page.expect_response("**/state?*"):
        keyed(page, "pile door roundel").click()
    page.locator(".fill").wait_for(state="detached")


PRESSED = [
    ("Film", "export", "/do/film/export"),
    ("Printer", "target", "/do/printer/target"),
    ("Sheet", "nest", "/do/sheet/nest"),
    ("Sheet", "setting gap", "/do/sheet/settle"),
    ("Proof", "make", "/do/proof/make"),
    ("Draw", "delete", "/do/draw/delete_decal"),
    ("Draw", "send ink", "/do/draw/add_ink"),
    ("Measure", "delete panels door", "/do/measure/remove"),
]


@pytest.mark.parametrize(("screen", "key", "path"), PRESSED, ids=[f"{one} {key}" for one, key, _ in PRESSED])
def test_a_refusal_is_told_on_the_screen_that_was_drawn_meanwhile(
    page: sync_api.Page, screen: str, key: str, path: str
) -> None:
    go(page, screen)
    if screen == "Printer":
        keyed(page, "which name").fill("desk inkjet")
        keyed(page, "which name").press("Tab")
    if key == "send ink":
        keyed(page, "names").click()
        keyed(page, "ink name").fill("signal")
        key = "send New ink"
    settled(page)
    page.evaluate("document.querySelectorAll('main details').forEach((one) => { one.open = true; })")
    settled(page)

    def press() -> None:
        if key.startswith("setting"):
            keyed(page, key).fill("7 mm")
            keyed(page, key).press("Tab")
        else:
            keyed(page, key).click()

    refused_between(page, path, press)
    # Something else that is done ends it, but not what was typed and refused.
    page.evaluate("location.hash = location.hash === '#check' ? '#measure' : '#check'")
    page.locator("#check, .at-check, .at-measure").first.wait_for()
    go(page, screen)
    settled(page)
    left = page.locator("main").get_by_text(WORDS).count()
    assert left == (1 if key == "send New ink" else 0)
    if left:
        assert keyed(page, "ink name").input_value() == "signal"


def test_the_printer_of_the_sheet_is_refused_while_the_screen_is_drawn_anew(page: sync_api.Page) -> None:
    typed = {span: [139.71 if span.startswith("up") else 109.61] * 3 for span in target.SPANS[:6]}
    read_target(typed, CalibrationRequest(None, "white A5", "caliper", "2026-11-25", None, "desk inkjet"))
    go(page, "Printer")
    settled(page)
    choose = keyed(page, "sheet printer")
    refused_between(page, "/do/printer/choose", lambda: choose.select_option("desk inkjet"))


def test_a_blank_is_open_again_with_what_was_typed(page: sync_api.Page, job: Path) -> None:
    go(page, "Draw")
    chosen(page)
    place = "blank decals door roundel height"
    keyed(page, place).click()
    field = page.locator(".fill input")
    field.fill("7.7 mm")
    held = Held(page, "/edit")
    field.press("Enter")
    # What else is looked at draws the screen anew, the field with it.
    looked_elsewhere(page)
    held.refuse()
    told(page)
    assert page.locator(".fill input").input_value() == "7.7 mm"
    assert page.locator(".fill input").get_attribute("aria-invalid") == "true"
    page.locator(".fill input").press("Enter")
    page.get_by_role("button", name="Undo height of door roundel").wait_for()
    kept(page)
    assert page.get_by_text(WORDS).count() == 0 and "7.7 mm" in job.read_text(encoding="utf-8")


def test_a_name_is_in_its_field_again(page: sync_api.Page) -> None:
    go(page, "Draw")
    chosen(page)
    keyed(page, "rename decal").click()
    page.locator(".fill input").fill("door disc")
    held = Held(page, "/do/draw/rename")
    page.locator(".fill input").press("Enter")
    looked_elsewhere(page)
    held.refuse()
    told(page)
    assert page.locator(".fill input").input_value() == "door disc"


def test_a_panel_that_is_refused_is_asked_for_again_as_it_was(page: sync_api.Page) -> None:
    keyed(page, "add panel").click()
    keyed(page, "adding name").fill("left flank")
    page.locator("[data-key^='kind ']").nth(1).check()
    kind = page.locator("[data-key^='kind ']:checked").get_attribute("data-key")
    keyed(page, "hand left").check()
    held = Held(page, "/do/measure/add_panel")
    keyed(page, "add").click()
    redrawn(page)
    keyed(page, "adding name").wait_for(state="detached")
    held.refuse()
    told(page)
    assert keyed(page, "adding name").input_value() == "left flank"
    assert page.locator("[data-key^='kind ']:checked").get_attribute("data-key") == kind
    assert keyed(page, "hand left").is_checked()
    keyed(page, "add").click()
    page.get_by_role("heading", name="left flank").first.wait_for()


def test_the_way_to_agree_is_offered_on_the_screen_that_was_drawn_meanwhile(page: sync_api.Page, job: Path) -> None:
    page.get_by_text("Rename, order or delete").click()
    held: list[sync_api.Route] = []
    page.route("**/do/measure/remove", lambda route: route.continue_() if held else held.append(route))
    keyed(page, "delete panels door").click()
    redrawn(page)
    while not held:
        page.wait_for_timeout(10)
    held[0].continue_()
    keyed(page, "delete with decals").wait_for()
    redrawn(page)
    keyed(page, "delete with decals").click()
    page.get_by_role("button", name="Undo door").wait_for()
    kept(page)


def test_what_is_refused_of_a_screen_that_was_left_is_said_in_passing(page: sync_api.Page) -> None:
    go(page, "Film")
    held = Held(page, "/do/film/export")
    page.get_by_text("Copies of the drawer").click()
    keyed(page, "export").click()
    go(page, "Check")
    held.refuse()
    page.locator("#told").get_by_text(WORDS).wait_for()


def test_what_is_judged_and_printed_tells_it_as_well(browser: sync_api.Browser, tmp_path: Path) -> None:
    folder = tmp_path / "tug"
    folder.mkdir()
    small = tug(folder)
    server = Opened(small, tmp_path / "data")
    with page_at(browser, server.address, viewport=DESK) as page:
        passed(page, small)
        settled(page)
        refused_between(page, "/do/proof/judge", keyed(page, "judge").click)
        # What was passed before holds, and is told as that.
        assert page.locator(".before").is_visible()
        go(page, "Print")
        settled(page)
        refused_between(page, "/do/print_film/make", keyed(page, "make").click)
    server.end()
