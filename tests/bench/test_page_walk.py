"""Every screen of the registry, so that a new one is held to the same: usable by all, at every size, in both themes.

axe-core judges the page by the rules of WCAG 2; the sizes are a desk's screen, the same at 200 %, and a phone; at 320
px WCAG 2.1 (1.4.10, reflow) asks that nothing scrolls sideways.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from decalgen.bench.registry import SCREENS
from decalgen.cli.main import cli
from tests.bench.browsing import MARKS, barriers, kept, load_axe, settled

sync_api = pytest.importorskip("playwright.sync_api")

pytestmark = MARKS
SIZES = ((1280, 800), (640, 400), (390, 844))
COMMANDS = {
    "measure": "measure",
    "originals": "scan",
    "draw": "draw",
    "body": "draw",
    "check": "check",
    "sheet": "sheet",
    "proof": "proof",
    "print_film": "sheet",
    "apply": "guide",
    "film": "film",
    "printer": "calibrate",
}
"""What does on the command line what a screen does."""
OPENED = "() => document.querySelectorAll('#work details').forEach((one) => { one.open = true; })"
HELPLESS = """() => [...document.querySelectorAll('#work input, #work select, #work textarea')]
    .filter((one) => one.checkVisibility())
    .filter((one) => {
      const told = (one.getAttribute('aria-describedby') ?? '').split(' ').filter(Boolean);
      const words = told.map((id) => document.getElementById(id)?.textContent ?? '').join(' ');
      return !(one.title || words.trim());
    }).map((one) => one.dataset.key ?? one.outerHTML)"""
NAMELESS = """() => [...document.querySelectorAll('button, input, select, textarea, a')]
    .filter((one) => one.checkVisibility())
    .filter((one) => !(one.getAttribute('aria-label') || one.labels?.length || one.textContent.trim()))
    .map((one) => one.outerHTML)"""


APART = {"jobs": "Jobs", "new": "Begin your own"}
"""What is shown beside the screens of a job, with its heading."""
ADDING = "adding a panel"
PLACES = (*SCREENS, *APART, ADDING)
STATES = {
    "wrong": "The file has a mistake in a line.",
    "locked": "The file is read-only, and something was changed.",
}


def turn(page: sync_api.Page, key: str) -> None:
    leave = page.locator("[data-key='leave']")
    if leave.count():
        leave.click()
        page.locator("[data-key='add panel']").wait_for()
    step = "measure" if key == ADDING else key
    page.evaluate("key => { location.hash = key; }", step)
    name = SCREENS[step].NAME if step in SCREENS else APART[step]
    page.get_by_role("heading", name=name, level=1, exact=True).wait_for()
    if key == ADDING:
        page.locator("[data-key='add panel']").click()
        page.get_by_label("Name of the panel").wait_for()


def in_state(page: sync_api.Page, job: Path, what: str) -> None:
    """Brings the job into one of the states."""
    if what == "wrong":
        text = job.read_text(encoding="utf-8")
        job.write_text(text.replace("width: 22.40 mm ± 0.05", "width: wide", 1), encoding="utf-8")
        page.locator("section.mistake", has_text="Line ").wait_for()
    else:
        job.chmod(0o444)
        page.locator("[data-key='reading 0']").fill("22.5")
        page.keyboard.press("Enter")
        page.locator("section.mistake", has_text="is read-only").wait_for()
        page.get_by_text("not kept: ").wait_for()


def test_each_screen_names_a_command_that_is_there() -> None:
    """That both give the same is held where each is tested: readings, findings, proof, sheet and card."""
    assert {COMMANDS[key] for key in SCREENS} <= set(cli.commands)
    for step in SCREENS.values():
        assert step.NAME[:1].isupper() and step.ABOUT and not step.ABOUT.endswith(".")


def test_nothing_serious_stands_in_anyone_s_way_on_any_screen(page: sync_api.Page) -> None:
    page.get_by_text("nothing to correct").wait_for()
    load_axe(page)
    found = []
    for theme in ("light", "dark"):
        page.emulate_media(color_scheme=theme)
        for width, height in SIZES:
            page.set_viewport_size({"width": width, "height": height})
            for key in PLACES:
                turn(page, key)
                for one in barriers(page):
                    found.append((key, theme, width, one["id"], [node["html"] for node in one["nodes"]][:3]))
    assert not found


@pytest.mark.parametrize("what", STATES)
def test_nothing_serious_stands_in_anyone_s_way_where_something_is_wrong(
    page: sync_api.Page, job: Path, what: str
) -> None:
    load_axe(page)
    in_state(page, job, what)
    for theme in ("light", "dark"):
        page.emulate_media(color_scheme=theme)
        for key in SCREENS:
            turn(page, key)
            assert page.locator("section.mistake").is_visible(), key
            assert page.evaluate(HELPLESS) == [], key
            assert not barriers(page), (key, theme)
    page.set_viewport_size({"width": 320, "height": 640})
    for key in SCREENS:
        turn(page, key)
        wide = page.evaluate("() => document.scrollingElement.scrollWidth")
        assert wide <= 320, f"{key} is {wide} px wide"
    job.chmod(0o644)


def test_axe_sees_what_is_wrong(page: sync_api.Page) -> None:
    """The judge itself: a picture without words and grey on grey are told."""
    load_axe(page)
    page.evaluate(
        """() => { const bad = document.createElement('p'); bad.textContent = 'hardly seen'; bad.className = 'bad';
        bad.style.color = '#777'; bad.style.background = '#888'; const button = document.createElement('button');
        document.getElementById('work').append(bad, button); }"""
    )
    judged = page.evaluate("() => axe.run(document, {resultTypes: ['violations']})")
    assert {"color-contrast", "button-name"} <= {one["id"] for one in judged["violations"]}


def test_no_screen_scrolls_sideways_at_320_px_with_all_of_it_open(page: sync_api.Page) -> None:
    page.set_viewport_size({"width": 320, "height": 640})
    load_axe(page)
    for key in PLACES:
        turn(page, key)
        page.evaluate(OPENED)
        assert not barriers(page), key
        wide = page.evaluate("() => document.scrollingElement.scrollWidth")
        assert wide <= 320, f"{key} is {wide} px wide"
        if key == "new":
            # No step of it is on the card yet.
            continue
        settled(page)
        left, right = page.locator(".card [aria-current]").evaluate(
            "one => { const { left, right } = one.getBoundingClientRect(); return [left, right]; }"
        )
        assert 0 <= left < right <= 321, key


def test_each_field_has_a_name_and_a_sentence_of_help(page: sync_api.Page) -> None:
    for key in PLACES:
        turn(page, key)
        page.evaluate(OPENED)
        assert page.evaluate(HELPLESS) == [], key
        assert page.evaluate(NAMELESS) == [], key


def test_tab_walks_each_screen_to_its_end_and_focus_is_seen(page: sync_api.Page) -> None:
    """No trap: from the first stop on, Tab reaches the last one, in the order of the page; each shows where it is."""
    stops = """() => [...document.querySelectorAll('a[href], button, input, select, textarea, summary, [tabindex="0"]')]
        .filter((one) => one.checkVisibility() && !one.disabled && one.tabIndex >= 0)
        .filter((one) => one.type !== 'radio' || one.checked).length"""
    for key in PLACES:
        turn(page, key)
        if key != "new":
            kept(page)
        settled(page)
        count = page.evaluate(stops)
        page.evaluate("() => { document.activeElement?.blur(); getSelection().removeAllRanges(); }")
        page.locator(".skip").focus()
        seen = 1
        while seen <= count + 5:
            page.keyboard.press("Tab")
            at = page.evaluate(
                """() => { const one = document.activeElement; const look = getComputedStyle(one);
                const inner = one.querySelector?.('.grip'); const line = inner && getComputedStyle(inner).stroke;
                return [one === document.body, look.outlineStyle !== 'none' || (line && line !== 'none')]; }"""
            )
            if at[0]:
                break
            assert at[1], (key, page.evaluate("() => document.activeElement.outerHTML"))
            seen += 1
        assert seen >= count - 1, (key, seen, count)


def test_the_focus_on_the_card_stays_when_something_happens(page: sync_api.Page, job: Path) -> None:
    page.get_by_role("button", name="On the body").focus()
    job.write_text(job.read_text(encoding="utf-8").replace("22.40", "22.41", 1), encoding="utf-8")
    page.get_by_role("button", name="Undo what your editor changed").wait_for()
    page.get_by_role("button", name="width 22.41").wait_for()
    page.locator(":focus", has_text="On the body").wait_for()
