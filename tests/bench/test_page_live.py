"""Measure in a real browser: what is said of a reading while it is typed, and the instrument it was taken with."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.bench.browsing import MARKS, go, kept, live

sync_api = pytest.importorskip("playwright.sync_api")

pytestmark = MARKS


def box(page: sync_api.Page, number: int = 0) -> sync_api.Locator:
    return page.locator(f"[data-key='reading {number}']")


def tool(page: sync_api.Page) -> sync_api.Locator:
    return page.locator("[data-key='measured with']")


def type_anew(page: sync_api.Page, text: str) -> None:
    box(page).click()
    page.keyboard.press("Control+A")
    page.keyboard.type(text)


def test_the_verdict_comes_while_typing_and_nothing_is_kept(page: sync_api.Page, job: Path) -> None:
    before = job.read_bytes()
    type_anew(page, "22.4 in")
    assert "were millimetres meant?" in live(page, "22.4 in")
    assert page.locator(".live").get_attribute("role") == "status"
    # The caret stays where it is, and what is typed goes on.
    for _ in range(3):
        page.keyboard.press("Backspace")
    page.keyboard.type("5")
    assert live(page, "22.45").startswith("So far 22.45 ± 0.02 mm.")
    assert box(page).input_value() == "22.45" and page.locator("#wrong").inner_text() == ""
    page.get_by_text("The panel door would be: width 22.45 ± 0.02 mm").wait_for()
    page.get_by_role("button", name="Undo nothing done").wait_for()
    assert job.read_bytes() == before
    page.keyboard.press("Enter")
    page.get_by_role("button", name="width 22.45").wait_for()
    kept(page)
    assert "width: 22.45 mm\n" in job.read_text(encoding="utf-8")


def test_the_verdict_and_enter_say_the_same(page: sync_api.Page) -> None:
    type_anew(page, "22.4.5")
    said = live(page, "22.4.5")
    page.keyboard.press("Enter")
    page.locator("#wrong:not(:empty)").wait_for()
    assert page.locator("#wrong").inner_text() == f"{said[0].lower()}{said[1:]}".removesuffix(".")
    # What is typed next takes the refusal away.
    page.keyboard.press("Control+A")
    page.keyboard.type("22.46")
    assert live(page, "22.46").startswith("So far") and page.locator("#wrong").inner_text() == ""


def test_half_a_number_is_never_called_wrong(page: sync_api.Page) -> None:
    """The handle begins 16.5 mm from the left: a panel of 1 mm cannot be, one of 19.6 can."""
    typed = "19.6"
    box(page).click()
    page.keyboard.press("Control+A")
    for length in range(1, len(typed) + 1):
        page.keyboard.type(typed[length - 1])
        said = live(page, typed[:length])
        assert "outside" not in said and not page.locator(".live .error, .live .warning").count(), said
    assert said.startswith("So far 19.60 ±")
    type_anew(page, "1.6")
    assert "lies outside" in live(page, "1.6")


def test_the_odd_one_of_three_is_named_before_enter(page: sync_api.Page) -> None:
    for number, text in enumerate(("22.40", "22.42", "24.20")):
        box(page, number).fill(text)
    assert "two digits of 24.20 look swapped" in live(page, "22.40  22.42  24.20")
    assert page.locator(".live .warning").count() == 1
    box(page, 2).fill("32.41")
    assert "32.41 looks 10 mm out" in live(page, "22.40  22.42  32.41")
    box(page, 2).fill("22.41")
    assert live(page, "22.40  22.42  22.41") == "So far 22.41 ± 0.03 mm."


def test_a_late_verdict_is_not_said_of_the_next_reading(page: sync_api.Page) -> None:
    held: list[sync_api.Route] = []
    page.route("**/ask/measure/reading", lambda route: held.append(route))
    type_anew(page, "1000000")
    while not held:
        page.wait_for_timeout(50)
    type_anew(page, "22.44")
    page.keyboard.press("Enter")
    page.get_by_role("heading", name="Height of the door").wait_for()
    with page.expect_response("**/ask/measure/reading"):
        held[0].continue_()
    page.unroute("**/ask/measure/reading")
    kept(page)
    assert page.locator(".live").inner_text() == "" and not page.get_by_text("out of range").count()


def test_the_instrument_is_kept_reckoned_with_and_remembered(page: sync_api.Page, job: Path) -> None:
    page.get_by_role("button", name="handle: width 3.0").click()
    page.get_by_role("heading", name="Width of the handle").wait_for()
    assert tool(page).input_value() == "" and tool(page).inner_text().startswith("not said: counts as a caliper")
    tool(page).select_option("steel rule")
    assert live(page, "3.0") == "So far 3.00 ± 0.46 mm."
    box(page).fill("3.1")
    assert live(page, "3.1") == "So far 3.10 ± 0.46 mm."
    box(page).press("Enter")
    page.get_by_role("button", name="handle: width 3.1 by steel rule").wait_for()
    # The next reading names none: as it stands that is what is shown, typed anew it is one with the rule.
    page.get_by_role("heading", name="Height of the handle").wait_for()
    assert tool(page).input_value() == ""
    page.keyboard.type("0.9")
    assert tool(page).input_value() == "steel rule"
    page.keyboard.press("Enter")
    page.get_by_role("button", name="handle: height 0.9 by steel rule").wait_for()
    kept(page)
    assert "[3.1 mm by steel rule, 0.9 mm by steel rule]" in job.read_text(encoding="utf-8")
    # It is there after the page is loaded again, and what stands in the file goes before it.
    page.reload()
    page.get_by_role("button", name="handle: width 3.1 by steel rule").click()
    page.get_by_role("heading", name="Width of the handle").wait_for()
    assert (tool(page).input_value(), box(page).input_value()) == ("steel rule", "3.1")
    # Depth is measured with something else: its choice is its own.
    page.get_by_role("button", name="rise 1.10 ± 0.10").click()
    page.get_by_role("heading", name="Rise of the bonnet").wait_for()
    page.keyboard.type("1.2")
    assert tool(page).input_value() == ""
    tool(page).select_option("depth gauge")
    box(page).press("Enter")
    page.get_by_role("button", name="rise 1.2 by depth gauge").wait_for()
    kept(page)
    assert "rise: 1.2 mm by depth gauge" in job.read_text(encoding="utf-8")


def test_a_reading_passed_over_with_enter_gets_no_instrument(page: sync_api.Page, job: Path) -> None:
    before = job.read_bytes()
    tool(page).select_option("vernier")
    tool(page).select_option("")
    box(page).press("Enter")
    page.get_by_role("heading", name="Height of the door").wait_for()
    page.keyboard.press("Enter")
    page.get_by_role("heading", name="Width of the handle").wait_for()
    page.get_by_role("button", name="Undo nothing done").wait_for()
    assert job.read_bytes() == before


@pytest.mark.parametrize(("width", "height"), [(1280, 800), (390, 844)])
def test_question_boxes_instrument_and_verdict_are_seen_at_once(page: sync_api.Page, width: int, height: int) -> None:
    page.set_viewport_size({"width": width, "height": height})
    type_anew(page, "22.45")
    live(page, "22.45")
    page.evaluate("() => scrollTo(0, 0)")
    foot = page.locator(".undo").bounding_box() if width < 900 else None
    floor = foot["y"] if foot else height
    for what in (".question", "[data-key='reading 0']", "[data-key='measured with']", "[data-key='keep']"):
        place = page.locator(what).bounding_box()
        assert place is not None and place["y"] >= 0 and place["y"] + place["height"] <= floor, (what, place, floor)


def test_on_a_phone_the_box_that_is_asked_is_the_widest(page: sync_api.Page) -> None:
    page.set_viewport_size({"width": 390, "height": 844})
    wide = page.evaluate(
        "[...document.querySelectorAll('.boxes > label input')].map((one) => one.getBoundingClientRect().width)"
    )
    assert len(wide) == 3 and wide[0] > wide[1] and wide[1] == pytest.approx(wide[2], abs=1) and sum(wide) > 300


def test_panels_fill_a_window_that_has_become_wider(page: sync_api.Page) -> None:
    page.set_viewport_size({"width": 390, "height": 844})
    go(page, "On the body")
    first = page.locator(".bodypanel:first-child svg").first
    small = first.get_attribute("width")
    page.set_viewport_size({"width": 1280, "height": 800})
    page.locator(f".livery:first-child .bodypanel:first-child svg:not([width='{small}'])").wait_for()
    now = first.get_attribute("width")
    assert small is not None and now is not None and float(now) > 1.4 * float(small)
    # Two liveries lie beside each other now; each fills its half.
    livery = page.locator(".livery").first
    ends = livery.locator(".bodypanel").evaluate_all(
        "all => Math.max(...all.map(one => one.getBoundingClientRect().right))"
    )
    box = livery.bounding_box()
    assert box is not None and 0.75 * box["width"] < ends - box["x"] <= box["width"]
