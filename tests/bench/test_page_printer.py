"""The printer in a real browser: its target read by a caliper that types, judged, kept, and its drift."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from decalgen.bench.sheet_choice import read_choice
from decalgen.commands.calibrate_printer import CalibrationRequest, read_target
from decalgen.printer import target
from decalgen.workshop.profiles import kept
from tests.bench.browsing import MARKS, go, settled

sync_api = pytest.importorskip("playwright.sync_api")

pytestmark = MARKS

SPANS = "abcdefgh"


def named(page: sync_api.Page) -> None:
    """Opens the screen for a new printer of that name."""
    go(page, "Printer")
    page.locator("[data-key='which name']").fill("desk inkjet")
    page.locator("[data-key='which name']").press("Tab")
    page.locator("[data-key='span a1']").wait_for()


def reading(letter: str) -> str:
    """Of a target of 110 × 140 mm with diagonals of 140 mm, a little short."""
    return "109,61" if letter in "abc" else "139.71"


def test_a_caliper_types_the_target_and_a_profile_is_kept(page: sync_api.Page, data: Path) -> None:
    named(page)
    page.locator("[data-key='span a1']").focus()
    for letter in SPANS:
        for n in (1, 2, 3):
            page.locator(f"[data-key='span {letter}{n}']:focus").wait_for()
            page.keyboard.type(f"{reading(letter)}\r")
    page.locator("[data-key='span h3'][data-was='139.71']").wait_for()
    page.locator(".verdict li", has_text="lean: ").wait_for()
    button = page.get_by_role("button", name="Keep it as a profile of desk inkjet")
    button.wait_for()
    (file,) = (data / "readings").iterdir()
    page.locator(".verdict li", has_text="across: 0.99645").wait_for()
    assert "falling: 139.71 139.71 139.71" in file.read_text(encoding="utf-8")
    button.click()
    page.get_by_role("button", name="Printer 1 profile kept").wait_for()
    (one,) = kept()
    newest = one.printer.history and one.printer.history.newest
    assert newest and newest.readings == 24 and newest.x.value == pytest.approx(109.61 / 110, abs=1e-5)
    page.locator(".profile li", has_text="the newest").wait_for()


def test_a_wrong_reading_stays_in_its_box_with_the_reason_whatever_else_is_typed(page: sync_api.Page) -> None:
    named(page)
    first = page.locator("[data-key='span a1']")
    first.fill("4.315")
    first.press("Enter")
    page.locator("#wrong-a", has_text="it looks like inches").wait_for()
    page.locator("[data-key='span b1']").fill("109,61")
    page.locator("[data-key='span b1']").press("Enter")
    page.locator("[data-key='span b1'][data-was='109,61']").wait_for()
    assert first.input_value() == "4.315" and first.get_attribute("aria-invalid") == "true"
    assert "it looks like inches" in page.locator("#wrong-a").inner_text()
    page.reload()
    page.locator("[data-key='span b1'][data-was='109,61']").wait_for()
    assert first.input_value() == "4.315"
    first.fill("4.315 in")
    first.press("Enter")
    page.locator("[data-key='span a1'][data-was='4.315 in']").wait_for()
    assert page.locator("#wrong-a").inner_text() == "" and first.get_attribute("aria-invalid") is None


def test_the_target_is_drawn_and_the_span_that_is_typed_lit(page: sync_api.Page) -> None:
    named(page)
    page.locator(".target path.thin").first.wait_for(state="attached")
    page.locator("[data-key='span d2']").focus()
    lit = page.locator(".target .lit").get_attribute("d") or ""
    x0, y0, x1, y1 = map(int, re.findall(r"-?\d+", lit))
    assert x0 == x1 and y1 - y0 == 140_000
    page.get_by_role("button", name="Make the target").click()
    with page.expect_download() as download:
        page.get_by_role("link", name="target.pdf").click()
    assert Path(download.value.path()).read_bytes().startswith(b"%PDF")


def test_a_kept_profile_prints_this_sheet_and_tells_its_drift(page: sync_api.Page, job: Path) -> None:
    typed = {span: [139.71 if span.startswith("up") else 109.61] * 3 for span in target.SPANS[:6]}
    read_target(typed, CalibrationRequest(None, "white A5", "caliper", "2026-11-25", None, "desk inkjet"))
    go(page, "Printer")
    held: list[sync_api.Route] = []
    page.route("**/do/printer/choose", lambda route: held.append(route))
    page.locator("[data-key='sheet printer']").select_option("desk inkjet")
    page.get_by_text("Has it drifted?").click()
    across = page.locator("[data-key$=' x']")
    across.fill("110.02")
    across.press("Enter")
    # Drawn anew by the answer to what was chosen before, the form stays open with what was typed and what was said.
    page.wait_for_timeout(100)
    held[0].continue_()
    page.get_by_role("alert").filter(has_text="it looks 10 mm out").wait_for()
    page.locator("[data-key='sheet printer'] option[selected]", has_text="desk inkjet").wait_for(state="attached")
    page.get_by_role("alert").filter(has_text="it looks 10 mm out").wait_for()
    assert across.input_value() == "110.02" and across.is_visible()
    across.fill("100,52")
    across.press("Enter")
    page.get_by_role("button", name="Printer 1 profile drifted").wait_for()
    page.get_by_role("img", name=re.compile("0.3 % allowed.*x 0.52 %")).wait_for()
    assert read_choice(job).now.printer == "desk inkjet"


def test_swatches_are_read_into_a_printer_file_and_chosen(page: sync_api.Page, tmp_path: Path) -> None:
    named(page)
    page.get_by_text("Its colours and finest lines").click()
    page.locator("[data-key='swatch line']").fill("thin")
    page.get_by_role("button", name="Keep them in a new printer file").click()
    page.get_by_role("alert").filter(has_text="line: 'thin' is not a length").wait_for()
    assert page.locator("[data-key='swatch line']").get_attribute("aria-invalid") == "true"
    page.locator("[data-key='swatch line']").fill("0,12")
    page.locator("[data-key='swatch harbour teal']").fill("#207a80")
    page.get_by_role("button", name="Keep them in a new printer file").click()
    page.locator(".said li", has_text="smallest line: 0.12 mm").wait_for()
    (made,) = tmp_path.glob("*-colour.yaml")
    page.locator("[data-key='which printer']").select_option(made.name)
    page.get_by_text("Measured so far: line 0.12 mm").wait_for()


@pytest.mark.parametrize("width", [320, 640, 1280])
def test_nothing_scrolls_sideways_and_boxes_are_large_enough(page: sync_api.Page, width: int) -> None:
    named(page)
    page.get_by_text("Its colours and finest lines").click()
    page.set_viewport_size({"width": width, "height": 800})
    page.locator("[data-key='swatch line']").wait_for()
    settled(page)
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    heights = page.locator("main button, main input, main select").evaluate_all(
        "all => all.filter(one => one.offsetParent).map(one => one.getBoundingClientRect().height)"
    )
    assert heights and min(heights) >= 44
