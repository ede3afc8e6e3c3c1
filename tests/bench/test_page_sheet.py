"""The sheet in a real browser: nested, moved with the keyboard and the mouse, stopped, pinned, and proofed."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from decalgen.job.loader import load_job
from decalgen.sheet.positions import read_positions
from tests.bench.browsing import MARKS, go, kept
from tests.bench.sheeting import STARS, tug

sync_api = pytest.importorskip("playwright.sync_api")

pytestmark = MARKS


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """A job of six small pieces."""
    return tug(tmp_path)


@pytest.fixture
def stars(job: Path) -> None:
    """Three pieces more, with which the search goes on."""
    job.write_text(job.read_text(encoding="utf-8") + STARS, encoding="utf-8")


@pytest.fixture
def sheet(page: sync_api.Page) -> sync_api.Page:
    """The page with all pieces nested."""
    go(page, "Sheet")
    page.get_by_role("button", name="Nest", exact=True).click()
    page.get_by_text("6 pieces on 1 sheet.").wait_for()
    page.locator(".films .rest").wait_for()
    return page


LOW = """[...document.querySelectorAll('main button, main input, main select')]
    .filter((one) => one.checkVisibility() && one.type !== 'checkbox' && one.getBoundingClientRect().height < 44)
    .map((one) => one.outerHTML)"""
"""What is lower than a finger needs, 44 px (Web Content Accessibility Guidelines 2.2, 2.5.5)."""


def lying(page: sync_api.Page, name: str) -> sync_api.Locator:
    return page.locator(f"[data-key='piece {name}']")


def place_of(page: sync_api.Page, name: str) -> tuple[float, float]:
    """Where a piece is drawn, mm from the foot of its sheet on the left."""
    words = lying(page, name).get_attribute("transform") or ""
    x, y = words.partition("(")[2].partition(")")[0].split()
    return float(x) / 1000, float(y) / 1000


def expect_at(page: sync_api.Page, name: str, x: float, y: float) -> None:
    want = f"translate({round(x * 1000)} {round(y * 1000)})"
    page.locator(f"[data-key='piece {name}'][transform^='{want}']").wait_for()


def middle(page: sync_api.Page, name: str) -> tuple[float, float]:
    """Its middle on the screen."""
    box = lying(page, name).locator(".grip").bounding_box()
    assert box is not None
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def scale(page: sync_api.Page) -> float:
    """Pixels to the millimetre; the sheet is A5, 148 mm wide (ISO 216)."""
    box = page.locator(".film-sheet svg").bounding_box()
    assert box is not None
    return float(box["width"]) / 148


def test_the_nest_is_shown_with_numbers_and_what_stays_whole(sheet: sync_api.Page) -> None:
    assert sheet.locator(".lying").count() == 6
    assert "stays whole" in (sheet.locator(".on-film").text_content() or "")
    assert (sheet.locator(".waste").nth(1).get_attribute("d") or "").startswith("M")
    sheet.get_by_role("button", name="Sheet 6 pieces on 1 sheet").wait_for()


def test_a_piece_is_moved_by_the_arrow_keys_over_another(sheet: sync_api.Page) -> None:
    """Two squares of 6 mm lie beside each other; the gap is 3 mm."""
    name = "tug/square/|0"
    (x, y), (other, _) = place_of(sheet, name), place_of(sheet, "tug/square/|1")
    assert x - other == pytest.approx(9)
    lying(sheet, name).focus()
    for _ in range(9):
        sheet.keyboard.press("ArrowLeft")
    # On its way it is held over the other, and says so.
    sheet.locator(f"[data-key='piece {name}'].wrong").wait_for()
    sheet.locator(".says.wrong", has_text="3 square lies on 3 square").wait_for()
    for _ in range(9):
        sheet.keyboard.press("ArrowLeft")
    sheet.get_by_role("button", name="Take back: move of 3 square").wait_for()
    expect_at(sheet, name, x - 18, y)
    for _ in range(60):
        sheet.keyboard.press("ArrowUp")
    expect_at(sheet, name, x - 18, y + 60)
    sheet.keyboard.press("Shift+ArrowRight")
    expect_at(sheet, name, x - 17.9, y + 60)
    sheet.locator(".lifted").wait_for(state="detached")
    kept(sheet)
    sheet.reload()
    expect_at(sheet, name, x - 17.9, y + 60)
    # All that the keys moved is taken back together.
    sheet.get_by_role("button", name="Take back: move of 3 square").click()
    expect_at(sheet, name, x, y)


def test_a_piece_held_over_another_goes_back_by_escape_and_when_it_is_left(sheet: sync_api.Page) -> None:
    name = "tug/square/|0"
    x, y = place_of(sheet, name)
    edge = sheet.locator(".lying.wrong")
    for leave in ("Escape", "Tab"):
        lying(sheet, name).focus()
        # It lies at the foot of what can be printed.
        for _ in range(3):
            sheet.keyboard.press("ArrowDown")
        edge.wait_for()
        sheet.locator(".says.wrong", has_text="past what can be printed").wait_for()
        sheet.keyboard.press(leave)
        sheet.get_by_text("3 square is back where it lay.").wait_for()
        expect_at(sheet, name, x, y)
        assert edge.count() == 0


def test_a_piece_dragged_onto_another_is_outlined_and_goes_back(sheet: sync_api.Page) -> None:
    name, other = "tug/square/|0", "tug/square/|1"
    before = place_of(sheet, name)
    sheet.mouse.move(*middle(sheet, name))
    sheet.mouse.down()
    sheet.mouse.move(*middle(sheet, other), steps=6)
    sheet.locator(f"[data-key='piece {name}'].wrong").wait_for()
    sheet.locator(".says.wrong", has_text="3 square lies on 3 square").wait_for()
    sheet.mouse.up()
    sheet.get_by_text("It is back where it lay.").wait_for()
    expect_at(sheet, name, *before)
    assert sheet.get_by_role("button", name="Take back").count() == 0


def test_a_piece_dragged_to_a_free_place_stays_there(sheet: sync_api.Page) -> None:
    name = "tug/band/left|0"
    x, y = place_of(sheet, name)
    before = middle(sheet, name)
    sheet.mouse.move(*before)
    sheet.mouse.down()
    sheet.mouse.move(before[0], before[1] - 90 * scale(sheet), steps=6)
    sheet.mouse.up()
    sheet.get_by_role("button", name="Take back: move of 1 band, left").wait_for()
    now = place_of(sheet, name)
    assert now[0] == pytest.approx(x, abs=1) and now[1] == pytest.approx(y + 90, abs=1)
    sheet.get_by_text("band, left, copy 1 of 2, lies on sheet 1, white A5").wait_for()


@pytest.mark.usefixtures("stars")
def test_a_nest_is_watched_stopped_and_kept(page: sync_api.Page) -> None:
    go(page, "Sheet")
    page.get_by_text("How it is nested").click()
    page.locator("[data-key='setting effort']").fill("10 min")
    page.locator("[data-key='setting effort']").press("Enter")
    page.locator("[data-key='setting effort'][data-was='10 min']").wait_for()
    page.get_by_role("button", name="Nest", exact=True).click()
    page.get_by_text("9 of 9 pieces on 1 sheet").wait_for()
    assert page.locator(".lying").count() == 9 and page.locator("progress").count() == 1
    page.get_by_role("button", name="Stop and keep").click()
    page.get_by_role("button", name="Nest again").wait_for()
    page.get_by_text("nesting was cut short").wait_for()
    assert page.locator(".lying").count() == 9


def test_pin_turn_and_one_less_by_keys_and_buttons(sheet: sync_api.Page, job: Path) -> None:
    name = "tug/square/|1"
    lying(sheet, name).focus()
    sheet.keyboard.press("p")
    sheet.get_by_text("It is pinned there.").wait_for()
    kept(sheet)
    assert [pin is not None for pin in load_job(job).decals[1].pins] == [True]
    sheet.get_by_role("button", name="Let go of it").click()
    sheet.get_by_role("button", name="Pin it here").wait_for()
    assert sheet.get_by_role("button", name="Turn it").is_disabled()
    sheet.get_by_role("button", name="One less", exact=True).click()
    sheet.get_by_text("5 pieces on 1 sheet.").wait_for()
    kept(sheet)
    assert load_job(job).decals[1].copies == 1
    sheet.get_by_role("button", name="Undo one less of square").click()
    sheet.get_by_text("6 pieces on 1 sheet.").wait_for()


def test_copies_film_and_what_is_typed_stay(page: sync_api.Page, job: Path) -> None:
    go(page, "Sheet")
    box = page.get_by_label("spares of band of each hand")
    box.fill("3")
    box.press("Enter")
    page.get_by_role("button", name="Undo spares of band").wait_for()
    kept(page)
    assert load_job(job).decals[0].spares == 3
    page.get_by_text("Film of another size").click()
    page.locator("[data-key='film words']").fill("blue A4")
    page.get_by_role("button", name="Add", exact=True).click()
    page.locator(".says.wrong", has_text="'blue A4' is not a film").wait_for()
    go(page, "Draw")
    go(page, "Sheet")
    field = page.locator("[data-key='film words']")
    assert field.input_value() == "blue A4"
    field.fill("white A6")
    field.press("Enter")
    page.get_by_role("button", name="Take white A6 off").wait_for()
    page.get_by_role("button", name="Nest", exact=True).click()
    page.get_by_text("10 pieces on 1 sheet.").wait_for()
    page.get_by_text("Sheet 1 white A6").wait_for()


def test_the_proof_is_of_what_was_moved_and_the_same_as_the_command_s(sheet: sync_api.Page, tmp_path: Path) -> None:
    lying(sheet, "tug/band/right|1").focus()
    for _ in range(40):
        sheet.keyboard.press("ArrowUp")
    sheet.get_by_role("button", name="Take back").wait_for()
    sheet.locator(".lifted").wait_for(state="detached")
    x, y = place_of(sheet, "tug/band/right|1")
    go(sheet, "Proof")
    sheet.get_by_role("button", name="Make the proof").click()
    sheet.get_by_role("link", name="tug-proof.pdf").wait_for()
    saved = read_positions(tmp_path / "tug.positions.json")
    lies = next((one.x, one.y) for one in saved.positions if (one.key, one.copy) == ("tug/band/right", 1))
    assert lies == pytest.approx((x, y), abs=0.001)
    page = (tmp_path / "tug-proof.pdf").read_bytes()
    words = ["proof", "tug.yaml", "-o", "by-command/tug-proof.pdf", "--positions", "tug.positions.json"]
    subprocess.run([sys.executable, "-m", "decalgen", *words], check=True, cwd=tmp_path, capture_output=True)
    assert (tmp_path / "by-command" / "tug-proof.pdf").read_bytes() == page


@pytest.mark.parametrize("width", [320, 390, 1280])
def test_nothing_scrolls_sideways(sheet: sync_api.Page, width: int) -> None:
    sheet.set_viewport_size({"width": width, "height": 844})
    sheet.reload()
    sheet.locator(".lying").first.click()
    sheet.locator(".chosen-piece").wait_for()
    assert sheet.evaluate("document.documentElement.scrollWidth <= innerWidth")
    small = sheet.evaluate(LOW)
    assert small == []
