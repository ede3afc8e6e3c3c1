"""Measure in a real browser: a caliper that types on its own, what is refused, the card; and how commands are shown."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from decalgen.bench.registry import SCREENS
from decalgen.cli.main import cli
from decalgen.job.edits import values
from tests.bench.browsing import MARKS, go, kept

sync_api = pytest.importorskip("playwright.sync_api")

pytestmark = MARKS
TICKED = """() => [...document.querySelectorAll('main, .card, #told')].filter((one) => one.innerText.includes('`'))
    .map((one) => one.innerText.split('\\n').find((line) => line.includes('`')))"""
ATTRIBUTES = """() => [...document.querySelectorAll('[title], [aria-label], [placeholder]')]
    .filter((one) => [one.title, one.ariaLabel, one.placeholder].some((words) => words?.includes('`')))
    .map((one) => one.outerHTML)"""


def box(page: sync_api.Page) -> sync_api.Locator:
    return page.locator("[data-key='reading 0']")


def test_three_readings_in_one_go_each_go_into_their_own_box(page: sync_api.Page, job: Path) -> None:
    """A caliper with a data cable types figures and Enter, and waits for nobody."""
    before = job.read_text(encoding="utf-8")
    box(page).click()
    page.keyboard.press("Control+A")
    page.keyboard.type("22.45\r11.70\r5.15\r", delay=0)
    page.locator("tr", has_text="width").get_by_text("22.45").wait_for()
    page.get_by_role("button", name="height 11.70").wait_for()
    page.get_by_role("button", name="handle: width 5.15").wait_for()
    kept(page)
    page.get_by_role("heading", name="Height of the handle").wait_for()
    after = job.read_text(encoding="utf-8")
    changed = [(one, two) for one, two in zip(before.splitlines(), after.splitlines(), strict=True) if one != two]
    assert [two.strip().partition("  #")[0] for _, two in changed] == [
        "width: 22.45 mm",
        "height: 11.70 mm",
        "handle: {rectangle: [5.15 mm, 0.8 mm], at: [16.5 mm, 8.2 mm], clearance: 0.3 mm}",
    ]


def test_plus_asks_another_reading_of_the_same(page: sync_api.Page, job: Path) -> None:
    """Enter goes on to the next size: one reading is asked."""
    box(page).click()
    page.keyboard.press("Control+A")
    page.keyboard.type("22.45+22.47\r11.70\r", delay=0)
    page.get_by_role("button", name="height 11.70").wait_for()
    kept(page)
    door = values(job.read_text(encoding="utf-8"))["panels"]["door"]
    assert list(door["width"]) == ["22.45 mm", "22.47 mm"] and door["height"] == "11.70 mm"


def test_a_caliper_with_a_cable_fills_all_boxes_where_that_is_chosen(page: sync_api.Page, job: Path) -> None:
    page.get_by_label("Several readings of each").check()
    box(page).click()
    page.keyboard.press("Control+A")
    # Three of the width; one of the height, left by Enter in an empty box.
    page.keyboard.type("22.45\r22.47\r22.46\r", delay=0)
    page.get_by_role("heading", name="Height of the door").wait_for()
    page.keyboard.type("11.70\r\r", delay=0)
    page.get_by_role("heading", name="Width of the handle").wait_for()
    page.get_by_role("button", name="height 11.70").wait_for()
    kept(page)
    door = values(job.read_text(encoding="utf-8"))["panels"]["door"]
    assert list(door["width"]) == ["22.45 mm", "22.47 mm", "22.46 mm"] and door["height"] == "11.70 mm"
    # It is remembered for the next time.
    page.reload()
    assert page.get_by_label("Several readings of each").is_checked()


def test_the_next_box_is_there_before_the_answer(page: sync_api.Page, job: Path) -> None:
    """The answer is held back: what is typed meanwhile stays where it was typed."""
    held: list[sync_api.Route] = []
    page.route("**/edit", lambda route: held.append(route))
    box(page).click()
    page.keyboard.press("Control+A")
    page.keyboard.type("22.45\r11.7", delay=0)
    page.get_by_role("heading", name="Height of the door").wait_for()
    assert box(page).input_value() == "11.7" and "22.40" in job.read_text(encoding="utf-8")
    while not held:
        page.get_by_role("heading", name="Height of the door").wait_for()
    held[0].continue_()
    page.unroute("**/edit")
    kept(page)
    page.get_by_role("button", name="width 22.45").first.wait_for()
    assert box(page).input_value() == "11.7"
    page.keyboard.type("5\r")
    page.get_by_role("button", name="height 11.75").wait_for()


def test_a_refused_reading_is_told_and_led_back_to_with_what_was_typed(page: sync_api.Page, job: Path) -> None:
    box(page).click()
    page.keyboard.press("Control+A")
    page.keyboard.type("22.4.5\r11.70\r5.1", delay=0)
    told = page.locator("#refused")
    told.get_by_text("Width of the door:").wait_for()
    # A reading that is half typed comes first.
    assert box(page).input_value() == "5.1"
    page.keyboard.type("5\r")
    page.locator("#wrong:not(:empty)").wait_for()
    page.get_by_role("heading", name="Width of the door").wait_for()
    assert box(page).input_value() == "22.4.5" and box(page).get_attribute("aria-invalid") == "true"
    page.keyboard.type("22.46\r")
    page.get_by_role("button", name="width 22.46").first.wait_for()
    kept(page)
    text = job.read_text(encoding="utf-8")
    assert "width: 22.46 mm" in text and "height: 11.70 mm" in text and "5.15 mm" in text and "22.4.5" not in text
    assert not told.count() and page.locator("#wrong").inner_text() == ""


def test_a_question_mark_leaves_a_reading_open_and_the_arrow_up_goes_back(page: sync_api.Page, job: Path) -> None:
    text = job.read_text(encoding="utf-8")
    job.write_text(text.replace("width: 22.40 mm ± 0.05", "width: '?'", 1), encoding="utf-8")
    page.get_by_role("button", name="width ? to measure").first.click()
    page.get_by_role("heading", name="Width of the door").wait_for()
    box(page).press("?")
    page.get_by_role("heading", name="Height of the door").wait_for()
    # In a box that holds something it is a character like any other.
    box(page).press("End")
    box(page).press("?")
    assert box(page).input_value().endswith("?")
    box(page).fill("")
    page.keyboard.press("ArrowUp")
    page.get_by_role("heading", name="Width of the door").wait_for()
    page.locator("[data-key='reading 0']:focus").wait_for()
    kept(page)
    assert job.read_text(encoding="utf-8") == text.replace("width: 22.40 mm ± 0.05", "width: '?'", 1)


def test_a_reading_typed_twice_before_the_answer_is_the_later_one(page: sync_api.Page, job: Path) -> None:
    box(page).click()
    page.keyboard.press("Control+A")
    page.keyboard.type("22.45\r", delay=0)
    page.keyboard.press("ArrowUp")
    page.keyboard.type("22.47\r", delay=0)
    page.get_by_role("button", name="width 22.47").first.wait_for()
    kept(page)
    assert "width: 22.47 mm" in job.read_text(encoding="utf-8")
    assert not page.get_by_label("Changed twice").count() and not page.locator("#refused").count()


def test_a_reading_refused_behind_another_screen_is_asked_on_return(page: sync_api.Page) -> None:
    held: list[sync_api.Route] = []
    page.route("**/edit", lambda route: held.append(route))
    box(page).fill("22.4.5")
    box(page).press("Enter")
    page.get_by_role("heading", name="Height of the door").wait_for()
    go(page, "Draw")
    held[0].continue_()
    page.unroute("**/edit")
    page.locator("#told", has_text="Width of the door: ").wait_for()
    go(page, "Measure")
    page.get_by_role("heading", name="Width of the door").wait_for()
    assert box(page).input_value() == "22.4.5"


def test_the_card_is_the_one_of_the_command(page: sync_api.Page, job: Path, tmp_path: Path) -> None:
    page.get_by_text("The measuring card on paper").click()
    page.get_by_label("Paper").select_option("A5")
    page.get_by_role("button", name="Make the card").click()
    with page.expect_download() as got:
        page.get_by_role("link", name="gannet-card.pdf").click()
    done = CliRunner().invoke(cli, ["measure", str(job), "--card", str(tmp_path / "own.pdf"), "--paper", "A5"])
    assert done.exit_code == 0, done.output
    assert got.value.path().read_bytes() == (tmp_path / "own.pdf").read_bytes()


def test_no_screen_shows_a_backtick(page: sync_api.Page, job: Path) -> None:
    """Commands in sentences are set apart, as code."""
    for key in (*SCREENS, "jobs", "new"):
        page.evaluate("key => { location.hash = key; }", key)
        name = SCREENS[key].NAME if key in SCREENS else {"jobs": "Jobs", "new": "Begin your own"}[key]
        page.get_by_role("heading", name=name, level=1, exact=True).wait_for()
        page.evaluate("() => document.querySelectorAll('#work details').forEach((one) => { one.open = true; })")
        assert page.evaluate(TICKED) == [], key
        assert page.evaluate(ATTRIBUTES) == [], key


def test_a_command_in_what_was_refused_is_code_too(page: sync_api.Page) -> None:
    """Whatever a command says: here each refusal of an act says it."""
    refusal = '{"message": "not now", "fix": "type `decalgen check` first"}'
    page.route("**/edit", lambda route: route.fulfill(status=422, content_type="application/json", body=refusal))
    page.route("**/do/**", lambda route: route.fulfill(status=422, content_type="application/json", body=refusal))
    box(page).fill("22.5")
    box(page).press("Enter")
    page.locator("#wrong code", has_text="decalgen check").wait_for()
    go(page, "Proof")
    page.get_by_text("nothing to correct").wait_for()
    page.get_by_role("button", name="Make the proof").click()
    page.locator(".wrong code").wait_for()
    go(page, "Film")
    page.get_by_role("button", name="Put in").click()
    page.locator(".wrong code").wait_for()
    assert page.evaluate(TICKED) == []
