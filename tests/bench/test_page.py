"""The page in a real browser, as a restorer uses it: with the mouse, with the keyboard alone, beside an editor."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from decalgen.cli.main import cli
from tests.bench.browsing import MARKS, WAIT_MS, Opened, code_on, go, judge, kept

sync_api = pytest.importorskip("playwright.sync_api")

pytestmark = MARKS


def test_the_token_leaves_the_address_and_works_once(
    page: sync_api.Page, opened: Opened, browser: sync_api.Browser
) -> None:
    assert "#k=" not in page.url
    page.reload()
    page.get_by_role("heading", name="Measure", level=1).wait_for()
    other = browser.new_context().new_page()
    other.goto(opened.address)
    other.get_by_text("Open the address that decalgen printed").wait_for(timeout=WAIT_MS)


def test_a_caliper_with_a_cable_types_readings_one_after_another(page: sync_api.Page, job: Path) -> None:
    page.get_by_label("mm", exact=True).click()
    page.keyboard.press("Control+A")
    page.keyboard.type("22.45\r")
    page.get_by_role("heading", name="Height of the door").wait_for()
    page.locator("[data-key='reading 0']").wait_for()
    page.keyboard.press("Control+A")
    page.keyboard.type("11,7 ± 0,1\r")
    page.get_by_role("heading", name="Width of the handle").wait_for()
    kept(page)
    text = job.read_text(encoding="utf-8")
    assert "width: 22.45 mm\n" in text and "height: 11.7 mm ± 0.1\n" in text


def test_a_wrong_reading_stays_in_its_box_with_the_reason(page: sync_api.Page, job: Path) -> None:
    before = job.read_bytes()
    box = page.locator("[data-key='reading 0']")
    box.fill("22.4.5")
    box.press("Enter")
    page.locator("#wrong:not(:empty)").wait_for()
    assert box.input_value() == "22.4.5" and box.get_attribute("aria-invalid") == "true"
    assert job.read_bytes() == before


def test_a_reading_that_looks_wrong_is_kept_and_doubted_beside_it(page: sync_api.Page, job: Path) -> None:
    box = page.locator("[data-key='reading 0']")
    box.fill("22.4 in")
    box.press("Enter")
    page.locator("p.warning", has_text="were millimetres meant?").wait_for()
    kept(page)
    assert "width: 22.4 in" in job.read_text(encoding="utf-8")
    page.locator("[data-key='reading 0']").fill("a lot")
    page.locator("[data-key='reading 0']").press("Enter")
    page.locator("#wrong", has_text="'a lot' is not").wait_for()
    assert "values" not in page.locator("#wrong").inner_text()


def test_a_decal_moves_by_the_arrow_keys_and_back_by_undo(page: sync_api.Page, job: Path) -> None:
    before = job.read_text(encoding="utf-8")
    go(page, "Draw")
    page.get_by_role("button", name="door roundel,").first.focus()
    page.keyboard.press("ArrowRight")
    page.get_by_role("button", name="Undo place of door roundel").wait_for()
    page.keyboard.press("ArrowRight")
    page.locator("pre", has_text="offset: [2.20 mm").wait_for()
    kept(page)
    assert "2.20 mm" in job.read_text(encoding="utf-8")
    # With Shift a hundredth.
    page.keyboard.press("Shift+ArrowLeft")
    page.locator("pre", has_text="offset: [2.19 mm").wait_for()
    kept(page)
    assert "2.19 mm" in job.read_text(encoding="utf-8")
    page.keyboard.press("Control+z")
    page.get_by_role("button", name="Undo nothing done").wait_for()
    kept(page)
    assert job.read_text(encoding="utf-8") == before


def test_a_decal_is_dragged_and_both_hands_follow(page: sync_api.Page, job: Path) -> None:
    go(page, "Draw")
    page.get_by_text("nothing to correct").wait_for()
    box = page.locator("[data-key='piece door band'] .pick").first.bounding_box()
    assert box is not None
    right = page.locator(".small svg").inner_html()
    page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    page.mouse.down()
    page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2 - 30, steps=5)
    page.mouse.up()
    page.get_by_role("button", name="Undo place of door band").wait_for()
    kept(page)
    # The other hand comes by itself, after the one that is worked on.
    page.wait_for_function("was => document.querySelector('.small svg').innerHTML !== was", arg=right)
    assert "at: bottom + " in job.read_text(encoding="utf-8")


def test_a_blank_is_filled_and_shown_in_the_file_beside_it(page: sync_api.Page, job: Path) -> None:
    go(page, "Draw")
    page.get_by_role("button", name="spares: 1. Change it.").click()
    page.keyboard.type("3")
    page.keyboard.press("Enter")
    page.locator("pre", has_text="spares: 3").wait_for()
    kept(page)
    assert "    spares: 3\n" in job.read_text(encoding="utf-8")


def test_an_editor_s_change_shows_and_what_is_typed_stays(page: sync_api.Page, job: Path) -> None:
    box = page.locator("[data-key='reading 0']")
    box.fill("23")
    job.write_text(job.read_text(encoding="utf-8").replace("11.60", "11.66", 1), encoding="utf-8")
    page.get_by_role("button", name="Undo what your editor changed").wait_for()
    assert box.input_value() == "23"
    box.press("Enter")
    page.get_by_role("button", name="height 11.66").wait_for()
    kept(page)
    text = job.read_text(encoding="utf-8")
    assert "width: 23 mm" in text and "11.66" in text


@pytest.mark.parametrize("way", ["mouse", "Space"])
def test_a_button_that_is_pressed_while_news_come_is_clicked(page: sync_api.Page, job: Path, way: str) -> None:
    """What is drawn anew under the mouse would take the click away with it."""
    button = page.get_by_role("button", name="Check").first
    if way == "mouse":
        button.hover()
        page.mouse.down()
    else:
        button.focus()
        page.keyboard.down("Space")
    with page.expect_response(re.compile("/state")):
        job.write_bytes(job.read_bytes().replace(b"Pellerby Gannet", b"Pellerby Petrel"))
    page.wait_for_timeout(200)
    assert page.get_by_text("Pellerby Petrel").count() == 0
    page.mouse.up() if way == "mouse" else page.keyboard.up("Space")
    page.get_by_role("heading", name="Check", level=1).wait_for()
    page.get_by_text("Pellerby Petrel").first.wait_for()


def test_a_mistake_in_the_file_is_the_first_thing_on_every_screen_and_is_mended_there(
    page: sync_api.Page, job: Path
) -> None:
    before = job.read_text(encoding="utf-8")
    job.write_text(before.replace("width: 22.40 mm ± 0.05", "width: wide", 1), encoding="utf-8")
    page.get_by_text("Line ").first.wait_for()
    go(page, "Draw")
    field = page.get_by_label("of the file")
    field.fill(field.input_value().replace("wide", "22.41 mm"))
    page.get_by_role("button", name="Put this line in").click()
    page.locator(".mistake").wait_for(state="detached")
    kept(page)
    assert "width: 22.41 mm" in job.read_text(encoding="utf-8")


def test_check_says_of_each_decal_how_it_fits_as_the_command_does(page: sync_api.Page, job: Path) -> None:
    # The command keeps notes for -v, and then measures every edge instead of the tightest.
    said = "".join(CliRunner().invoke(cli, ["check", str(job), *more]).output for more in ((), ("-v",)))
    go(page, "Check")
    page.get_by_role("heading", name="In order").wait_for()
    shown = [one.strip() for one in page.locator(".findings .what").all_inner_texts()]
    notes = page.locator(".findings .what", has_text="looks like the body")
    assert notes.count() == 1 and len(shown) == 1 + 5
    assert all(" ".join(one.split()) in " ".join(said.split()) for one in shown)
    page.get_by_role("button", name="Show me bonnet chevrons").click()
    page.get_by_role("heading", name="Draw", level=1).wait_for()
    page.get_by_text("Bonnet chevrons").first.wait_for()


def test_a_finding_leads_to_its_decal(page: sync_api.Page) -> None:
    page.get_by_role("button", name="length 19.50").click()
    page.locator("[data-key='reading 0']").fill("12")
    page.keyboard.press("Enter")
    page.get_by_text(re.compile(r"\d+ to correct")).first.wait_for()
    go(page, "Check")
    page.get_by_role("button", name="Show me").first.click()
    page.get_by_role("heading", name="Draw", level=1).wait_for()
    page.get_by_text("Bonnet chevrons").first.wait_for()


def test_a_server_that_ends_is_told_and_loses_nothing_that_was_kept(
    page: sync_api.Page, opened: Opened, job: Path
) -> None:
    page.locator("[data-key='reading 0']").fill("22.5")
    page.keyboard.press("Enter")
    kept(page)
    opened.process.kill()
    opened.process.wait()
    page.get_by_text("decalgen is not running any more").first.wait_for()
    assert "width: 22.5 mm" in job.read_text(encoding="utf-8")


def test_eight_tabs_all_answer(page: sync_api.Page) -> None:
    tabs = [page.context.new_page() for _ in range(7)]
    for one in tabs:
        one.goto(page.url)
        one.get_by_role("heading", name="Measure", level=1).wait_for()
    one.get_by_role("button", name="Draw").first.click()
    one.get_by_role("heading", name="Draw", level=1).wait_for()


def test_ctrl_c_ends_it_at_once_with_a_page_open(page: sync_api.Page, opened: Opened) -> None:
    kept(page)
    assert opened.end() in (0, 130)


def test_a_livery_is_shown_at_its_real_size_once_the_screen_is_measured(page: sync_api.Page) -> None:
    """The card is ID-1, 85.60 mm wide (ISO/IEC 7810)."""
    go(page, "On the body")
    page.get_by_text("No screen size yet").click()
    page.get_by_label("Width of the card on this screen").fill("428")
    page.get_by_role("button", name="That is it").click()
    page.get_by_role("button", name="5 ×").wait_for()
    assert abs(seen_wide(page) - 22.40 * 5) < 0.2
    page.get_by_role("button", name="5 ×").click()
    page.get_by_role("button", name="5 ×", pressed=True).wait_for()
    assert abs(seen_wide(page) - 22.40 * 25) < 0.2


def seen_wide(page: sync_api.Page) -> float:
    """How wide the left door is on the screen, in pixels, without its line."""
    outline = page.get_by_role("button", name="left door").first.locator(".outline")
    return float(outline.evaluate("one => one.getBBox().width * one.getScreenCTM().a"))


def test_from_a_proof_that_is_off_size_to_the_print_the_same_as_the_command_s(
    page: sync_api.Page, job: Path, tmp_path: Path
) -> None:
    page.get_by_text("nothing to correct").wait_for()
    page.get_by_role("button", name="Proof").first.click()
    page.get_by_role("button", name="Make the proof").click()
    page.get_by_role("link", name="gannet-proof.pdf").wait_for(timeout=120_000)
    code = code_on(tmp_path / "gannet.positions.json")
    judge(page, code, "97.1", "97.1", "Refused")
    page.get_by_text("the page was fitted").first.wait_for()
    judge(page, code, "100.02 100.01 100.02", "100.02 100.01 100.02", "Passed")
    page.get_by_role("button", name="Print").first.click()
    page.get_by_role("button", name="Make the sheet for film").click()
    link = page.get_by_role("link", name="gannet-sheet.pdf")
    link.wait_for(timeout=120_000)
    with page.expect_download() as download:
        link.click()
    saved = tmp_path / "from-the-page.pdf"
    download.value.save_as(saved)
    words = [sys.executable, "-m", "decalgen", "sheet", "gannet.yaml", "-o", "gannet-sheet.pdf"]
    subprocess.run(words, check=True, cwd=tmp_path, capture_output=True)
    assert saved.read_bytes() == (tmp_path / "gannet-sheet.pdf").read_bytes()
