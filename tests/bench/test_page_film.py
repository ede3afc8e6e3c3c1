"""The film drawer in a real browser: sheets put in, dragged over, cut off, brought back; with the keyboard alone."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from decalgen.commands.calibrate_printer import CalibrationRequest, read_target
from decalgen.commands.film_drawer import Cutting, add, cut_off
from decalgen.workshop.drawer import Drawer, drawer_file
from tests.bench.browsing import MARKS, go

sync_api = pytest.importorskip("playwright.sync_api")

pytestmark = MARKS


def put_in(page: sync_api.Page, **typed: str) -> None:
    """Opens the screen and puts sheets in; what is not typed is white A5 for an inkjet."""
    go(page, "Film")
    for key, text in typed.items():
        page.locator(f"[data-key='add {key}']").fill(text)
    page.get_by_role("button", name="Put in", exact=True).click()
    page.get_by_role("heading", name="white A5 1", level=2).wait_for()


def test_sheets_are_put_in_cut_by_dragging_and_brought_back(page: sync_api.Page, data: Path) -> None:
    put_in(page, count="2", bought="March 2026")
    page.get_by_role("button", name="Film 2 sheets to print on").wait_for()
    box = page.locator(".sheet svg .rim").bounding_box()
    assert box is not None
    page.mouse.move(box["x"] + 2, box["y"] + box["height"] - 2)
    page.mouse.down()
    page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2, steps=5)
    page.mouse.up()
    typed = [page.locator(f"[data-key='cut {key}']").input_value() for key in ("x", "y", "width", "height")]
    # A5 is 148 × 210 mm (ISO 216); the near edges took the corner, and the middle is within a pixel or two.
    assert typed[:2] == ["0", "0"] and abs(float(typed[2]) - 74) <= 1 and abs(float(typed[3]) - 105) <= 1
    page.get_by_role("button", name="It is cut off").click()
    page.locator(".history li", has_text="cut off: ").wait_for()
    assert Drawer().sheet("1").gone.bounds == (0, 0, float(typed[2]), float(typed[3]))
    assert page.locator(".sheet .hatch.cut-off").count() == 1
    assert page.locator("[data-key='cut width']").input_value() == ""
    page.get_by_role("button", name=re.compile("^Undo the last")).click()
    page.locator(".history").wait_for(state="detached")
    assert not Drawer().sheet("1").parts


def test_what_cannot_be_read_stays_in_its_box_with_the_reason(page: sync_api.Page) -> None:
    put_in(page)
    depth = page.locator("[data-key='cut depth']")
    depth.fill("sixty")
    depth.press("Enter")
    page.get_by_role("alert").filter(has_text="Depth: 'sixty' is not a length").wait_for()
    assert depth.input_value() == "sixty" and depth.get_attribute("aria-invalid") == "true"
    go(page, "Draw")
    go(page, "Film")
    assert depth.input_value() == "sixty"
    depth.fill("60,5")
    depth.press("Enter")
    page.locator(".history li", has_text="cut off: 148 × 60 mm").wait_for()
    assert Drawer().sheet("1").gone.bounds == (0, 149.5, 148, 210)  # the top edge is the first choice


def test_the_keyboard_alone_is_enough(page: sync_api.Page) -> None:
    page.locator("h1").focus()
    page.keyboard.press("0")
    page.get_by_role("heading", name="Film", level=1).wait_for()
    page.locator("[data-key='add count']").focus()
    page.keyboard.type("2")
    page.keyboard.press("Enter")
    page.get_by_role("heading", name="white A5 1", level=2).wait_for()
    second = page.get_by_role("button", name=re.compile("^white A5 2"))
    second.focus()
    page.keyboard.press("Enter")
    page.get_by_role("heading", name="white A5 2", level=2).wait_for()
    assert page.evaluate("document.activeElement.dataset.key") == "sheet white A5 2"
    page.locator("[data-key='cut way']").focus()
    page.keyboard.type("all")
    page.locator("[data-key='cut depth']").wait_for(state="detached")
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    page.get_by_role("button", name="Film 1 sheet to print on").wait_for()
    assert Drawer().sheet("2").free.is_empty


def test_the_sheet_one_looks_at_is_shown_again_after_a_reload(page: sync_api.Page) -> None:
    put_in(page, count="2")
    page.get_by_role("button", name=re.compile("^white A5 2")).click()
    page.get_by_role("heading", name="white A5 2", level=2).wait_for()
    page.reload()
    page.get_by_role("heading", name="white A5 2", level=2).wait_for()


def test_what_the_commands_do_meanwhile_shows_by_itself(page: sync_api.Page) -> None:
    add("white A5", None, 2, "", "top", "")
    page.get_by_role("button", name="Film 2 sheets to print on").wait_for()
    go(page, "Film")
    cut_off("white A5 1", Cutting(edge="bottom 60"))
    page.locator(".history li", has_text="cut off: 148 × 60 mm").wait_for()
    read_target(
        {"across foot": [109.61] * 3, "up left": [139.71] * 3},
        CalibrationRequest(None, "white A5", "caliper", "2026-11-25", None, "desk inkjet"),
    )
    page.get_by_role("button", name="Printer 1 profile kept").wait_for()


def test_a_copy_of_the_drawer_is_written_and_read_back(page: sync_api.Page, job: Path) -> None:
    put_in(page)
    page.get_by_text("Copies of the drawer").click()
    page.get_by_role("button", name="Write it all to a file").click()
    page.get_by_role("link", name="film-drawer.json").wait_for()
    drawer_file().unlink()
    page.get_by_role("button", name="Film none in the drawer").wait_for()
    page.locator("details", has_text="Copies of the drawer").locator("summary").click()
    page.locator("[data-key='import']").set_input_files(job.with_name("film-drawer.json"))
    page.get_by_role("heading", name="white A5 1", level=2).wait_for()
    page.get_by_text("Copies of the drawer").click()
    wrong = job.with_name("wrong.json")
    wrong.write_text("[1, 2", encoding="utf-8")
    page.locator("[data-key='import']").set_input_files(wrong)
    page.get_by_role("alert").filter(has_text="'wrong.json' is not an exported film drawer").wait_for()


@pytest.mark.parametrize("width", [320, 640, 1280])
def test_nothing_scrolls_sideways(page: sync_api.Page, width: int) -> None:
    put_in(page, note="an old packet that curls")
    page.set_viewport_size({"width": width, "height": 800})
    assert page.evaluate("document.documentElement.scrollWidth") <= width


def test_buttons_and_boxes_are_large_enough_for_a_finger(page: sync_api.Page) -> None:
    put_in(page)
    heights = page.locator("main button, main input, main select").evaluate_all(
        "all => all.filter(one => one.offsetParent).map(one => one.getBoundingClientRect().height)"
    )
    assert heights and min(heights) >= 44


def test_what_was_put_in_is_said_where_one_looks(page: sync_api.Page) -> None:
    put_in(page)
    said = page.locator(".said")
    assert said.inner_text().startswith("Put in 1 sheet: white A5 1: ")
    box = said.bounding_box()
    assert box is not None and box["y"] >= 0 and box["y"] + box["height"] <= 800
