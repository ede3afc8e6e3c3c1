"""The Draw screen in a real browser: looking closer, what decals catch on, several at once, mistakes and ways out."""

from __future__ import annotations

import math
import re
from pathlib import Path

import pytest

from decalgen.job.edits import values
from tests.bench.browsing import MARKS, go, kept, settled

sync_api = pytest.importorskip("playwright.sync_api")

pytestmark = MARKS

ROUNDEL, BAND = "piece door roundel", "piece door band"


@pytest.fixture
def drawn(page: sync_api.Page) -> sync_api.Page:
    """The page at Draw, with nothing on its way any more: a late answer would draw a piece anew under the mouse."""
    go(page, "Draw")
    page.get_by_text("nothing to correct").wait_for()
    return page


def piece(page: sync_api.Page, key: str) -> sync_api.Locator:
    return page.locator(f"[data-key='{key}']")


def middle(page: sync_api.Page, key: str) -> tuple[float, float]:
    x, y = piece(page, key).evaluate(
        """one => {
            const { left, top, width, height } = one.querySelector(".grip").getBoundingClientRect();
            return [left + width / 2, top + height / 2];
        }"""
    )
    return float(x), float(y)


def scale(page: sync_api.Page, of: str) -> sync_api.Locator:
    return page.locator(f".drawing svg[data-scale='{of}']")


def letters(page: sync_api.Page) -> list[float]:
    """How high the letters and figures of the drawing are on the screen, in pixels."""
    found = page.locator(".drawing .measures text").evaluate_all(
        """all => all.map(one => {
            const { a, b } = one.getScreenCTM();
            return parseFloat(one.getAttribute("font-size")) * Math.hypot(a, b);
        })"""
    )
    return [abs(float(one)) for one in found]


def at_of(job: Path, name: str) -> object:
    return values(job.read_text(encoding="utf-8"))["decals"][name].get("at")


def choose(page: sync_api.Page, key: str) -> None:
    piece(page, key).focus()
    page.keyboard.press("Enter")
    page.locator(f"[data-key='{key}'][aria-pressed='true']").wait_for()
    settled(page)


def drag(page: sync_api.Page, key: str, dx: float, dy: float) -> None:
    """Holds a piece and takes it so many pixels away, without letting go."""
    x, y = middle(page, key)
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + dx / 2, y + dy / 2, steps=3)
    page.mouse.move(x + dx, y + dy, steps=3)


def test_keys_and_buttons_look_closer_and_figures_stay_as_large(drawn: sync_api.Page) -> None:
    before = letters(drawn)
    assert before and min(before) >= 11.99
    width = drawn.locator(".drawing .outline").bounding_box()
    piece(drawn, BAND).focus()
    drawn.keyboard.press("+")
    drawn.keyboard.press("+")
    scale(drawn, "1.96").wait_for()
    after = letters(drawn)
    assert max(abs(one - other) for one, other in zip(before, after, strict=True)) < 0.1
    wider = drawn.locator(".drawing .outline").bounding_box()
    assert width and wider and wider["width"] / width["width"] == pytest.approx(1.96, abs=0.02)
    drawn.keyboard.press("-")
    scale(drawn, "1.40").wait_for()
    drawn.get_by_role("button", name="Closer").click()
    scale(drawn, "1.96").wait_for()
    drawn.get_by_role("button", name="Whole", exact=True).click()
    scale(drawn, "1.00").wait_for()


def test_how_it_is_looked_at_stays_over_a_change_and_another_panel(drawn: sync_api.Page) -> None:
    choose(drawn, ROUNDEL)
    drawn.keyboard.press("+")
    scale(drawn, "1.40").wait_for()
    # What one works on comes to the middle, but for the room that figures take at the right and below.
    whole = drawn.locator(".drawing svg").bounding_box()
    now = middle(drawn, ROUNDEL)
    assert whole is not None and abs(now[0] - whole["x"] - whole["width"] / 2) < 20
    assert abs(now[1] - whole["y"] - whole["height"] / 2) < 20
    box = drawn.locator(".drawing svg").get_attribute("viewBox")
    drawn.keyboard.press("ArrowRight")
    drawn.get_by_role("button", name="Undo place of door roundel").wait_for()
    assert drawn.locator(".drawing svg").get_attribute("viewBox") == box
    drawn.get_by_role("button", name="bonnet", exact=True).click()
    scale(drawn, "1.00").wait_for()
    drawn.get_by_role("button", name="door", exact=True).click()
    scale(drawn, "1.40").wait_for()
    assert drawn.locator(".drawing svg").get_attribute("viewBox") == box
    drawn.reload()
    scale(drawn, "1.40").wait_for()


def test_the_wheel_with_ctrl_keeps_what_is_under_the_mouse(drawn: sync_api.Page) -> None:
    before = middle(drawn, ROUNDEL)
    # Browsers tell where the wheel turned in whole pixels.
    at = [int(value) for value in before]
    drawn.mouse.move(*at)
    drawn.keyboard.down("Control")
    drawn.mouse.wheel(0, -100)
    drawn.mouse.wheel(0, -100)
    drawn.keyboard.up("Control")
    scale(drawn, "2.23").wait_for()
    now = middle(drawn, ROUNDEL)
    larger = math.exp(2 * 0.4)
    assert now == pytest.approx(
        [mouse + (was - mouse) * larger for was, mouse in zip(before, at, strict=True)], abs=0.3
    )


def test_space_or_empty_ground_moves_what_is_seen_and_no_decal(drawn: sync_api.Page, job: Path) -> None:
    before = job.read_bytes()
    choose(drawn, BAND)
    drawn.keyboard.press("+")
    drawn.keyboard.press("+")
    scale(drawn, "1.96").wait_for()
    x, y = middle(drawn, BAND)
    drawn.locator(".drawing").focus()
    drawn.keyboard.down("Space")
    drawn.mouse.move(x, y)
    drawn.mouse.down()
    drawn.mouse.move(x - 40, y - 30, steps=4)
    drawn.mouse.up()
    drawn.keyboard.up("Space")
    now = middle(drawn, BAND)
    assert abs(now[0] - x + 40) < 1.5 and abs(now[1] - y + 30) < 1.5
    drawn.keyboard.press("ArrowLeft")
    again = middle(drawn, BAND)
    assert again[0] - now[0] == pytest.approx(40, abs=1.5)
    assert job.read_bytes() == before and drawn.get_by_role("button", name="Undo nothing done").count() == 1


def test_two_fingers_look_closer_on_a_small_screen(drawn: sync_api.Page) -> None:
    drawn.set_viewport_size({"width": 390, "height": 844})
    scale(drawn, "1.00").wait_for()
    drawn.locator(".drawing svg").evaluate(
        """svg => {
            const { left, top, width, height } = svg.getBoundingClientRect();
            svg.setPointerCapture = () => {};
            svg.hasPointerCapture = () => true;
            const finger = (kind, id, x) => svg.dispatchEvent(new PointerEvent(kind, {
                pointerId: id, pointerType: "touch", bubbles: true, isPrimary: id === 1,
                clientX: left + width / 2 + x, clientY: top + height / 2 }));
            finger("pointerdown", 1, -40); finger("pointerdown", 2, 40);
            finger("pointermove", 1, -80); finger("pointermove", 2, 80);
            finger("pointerup", 1, -80); finger("pointerup", 2, 80);
        }"""
    )
    scale(drawn, "2.00").wait_for()
    assert min(letters(drawn)) >= 11.9
    assert drawn.evaluate("document.documentElement.scrollWidth") <= 390


def test_a_decal_is_caught_by_the_middle_and_written_so(drawn: sync_api.Page, job: Path) -> None:
    choose(drawn, ROUNDEL)
    outline = drawn.locator(".drawing .outline").bounding_box()
    assert outline is not None
    x, _ = middle(drawn, ROUNDEL)
    # Three pixels short of the middle of the door.
    drag(drawn, ROUNDEL, outline["x"] + outline["width"] / 2 - x - 3, 0)
    drawn.locator(".caught", has_text="centre of the door").wait_for()
    assert drawn.locator(".guides .guide").count() >= 1
    drawn.mouse.up()
    drawn.get_by_role("button", name="Undo place of door roundel").wait_for()
    kept(drawn)
    found = at_of(job, "door roundel")
    assert isinstance(found, dict) and found["anchor"] == "top" and found["offset"][0] == "0 mm"
    assert drawn.locator(".guides .guide").count() == 0


def test_alt_sets_catching_aside(drawn: sync_api.Page, job: Path) -> None:
    choose(drawn, ROUNDEL)
    outline = drawn.locator(".drawing .outline").bounding_box()
    assert outline is not None
    x, _ = middle(drawn, ROUNDEL)
    drawn.keyboard.down("Alt")
    drag(drawn, ROUNDEL, outline["x"] + outline["width"] / 2 - x - 3, 0)
    assert drawn.locator(".caught").inner_text() == ""
    drawn.mouse.up()
    drawn.keyboard.up("Alt")
    drawn.get_by_role("button", name="Undo place of door roundel").wait_for()
    kept(drawn)
    found = at_of(job, "door roundel")
    assert isinstance(found, dict) and found["anchor"] == "top left" and found["offset"][0] != "2.0 mm"


def test_escape_puts_a_held_decal_back(drawn: sync_api.Page, job: Path) -> None:
    before, start = job.read_bytes(), middle(drawn, ROUNDEL)
    drag(drawn, ROUNDEL, 60, 40)
    assert middle(drawn, ROUNDEL)[0] != start[0]
    drawn.keyboard.press("Escape")
    drawn.mouse.up()
    assert middle(drawn, ROUNDEL) == start and job.read_bytes() == before
    assert drawn.get_by_role("button", name="Undo nothing done").count() == 1


def test_ctrl_and_an_arrow_go_to_the_next_place(drawn: sync_api.Page, job: Path) -> None:
    choose(drawn, ROUNDEL)
    drawn.keyboard.press("Control+ArrowUp")
    drawn.get_by_text("top edge of the door").wait_for()
    drawn.get_by_role("button", name="Undo place of door roundel").wait_for()
    kept(drawn)
    found = at_of(job, "door roundel")
    assert found == {"anchor": "top left", "offset": ["2.0 mm", "0 mm"]}
    drawn.keyboard.press("Control+ArrowLeft")
    drawn.get_by_text("left edge of door band").first.wait_for()
    drawn.locator("pre mark", has_text="[0.50 mm, 0 mm]").wait_for()
    drawn.keyboard.press("Control+ArrowLeft")
    drawn.locator("pre mark", has_text="at: top left").wait_for()
    kept(drawn)
    assert at_of(job, "door roundel") == "top left"


def test_a_key_pressed_twice_before_the_answer_does_not_go_past_the_place(drawn: sync_api.Page, job: Path) -> None:
    choose(drawn, ROUNDEL)
    held: list[sync_api.Route] = []
    drawn.route("**/do/draw/move", lambda route: route.continue_() if held else held.append(route))
    drawn.keyboard.press("Control+ArrowLeft")
    drawn.keyboard.press("Control+ArrowLeft")
    drawn.get_by_text("left edge of door band").first.wait_for()
    while not held:
        drawn.wait_for_load_state()
    held[0].continue_()
    drawn.get_by_role("button", name="Undo place of door roundel").wait_for()
    kept(drawn)
    assert at_of(job, "door roundel") == {"anchor": "top left", "offset": ["0.50 mm", "-0.5 mm"]}


@pytest.mark.parametrize("way", ["mouse", "keyboard", "button"])
def test_several_decals_move_together_as_one_step(drawn: sync_api.Page, job: Path, way: str) -> None:
    before = job.read_text(encoding="utf-8")
    choose(drawn, BAND)
    if way == "mouse":
        drawn.mouse.click(*middle(drawn, BAND))
        settled(drawn)  # drawn anew between the two clicks, the second would be on nothing
        drawn.keyboard.down("Shift")
        drawn.mouse.click(*middle(drawn, ROUNDEL))
        drawn.keyboard.up("Shift")
    elif way == "keyboard":
        piece(drawn, ROUNDEL).focus()
        drawn.keyboard.press("g")
    else:
        drawn.get_by_role("button", name="Move several").click()
        drawn.mouse.click(*middle(drawn, BAND))
        settled(drawn)
        drawn.mouse.click(*middle(drawn, ROUNDEL))
    drawn.get_by_role("button", name="2 move together").wait_for()
    settled(drawn)
    if way == "mouse":
        band = middle(drawn, BAND)
        drawn.keyboard.down("Alt")
        drag(drawn, ROUNDEL, 0, -40)
        now = middle(drawn, BAND)
        assert now[1] - band[1] == pytest.approx(-40, abs=1)
        drawn.mouse.up()
        drawn.keyboard.up("Alt")
    else:
        piece(drawn, ROUNDEL).focus()
        drawn.keyboard.press("ArrowUp")
        drawn.get_by_role("button", name="Undo place of 2 decals").wait_for()
        drawn.keyboard.press("ArrowUp")
        drawn.locator("[data-key='blank decals door band at']", has_text="1.00 mm").or_(
            drawn.locator("[data-key='blank decals door roundel at']", has_text="0.30 mm")
        ).wait_for()
    drawn.get_by_role("button", name="Undo place of 2 decals").wait_for()
    kept(drawn)
    assert at_of(job, "door band") is not None and at_of(job, "door roundel") != at_of_text(before, "door roundel")
    drawn.keyboard.press("Control+z")
    drawn.get_by_role("button", name="Undo nothing done").wait_for()
    kept(drawn)
    assert job.read_text(encoding="utf-8") == before
    piece(drawn, ROUNDEL).focus()
    drawn.keyboard.press("Escape")
    drawn.get_by_role("button", name="Move several").wait_for()


def at_of_text(text: str, name: str) -> object:
    return values(text)["decals"][name].get("at")


def test_a_size_in_the_drawing_leads_to_its_blank_and_the_changed_line_is_marked(drawn: sync_api.Page) -> None:
    choose(drawn, ROUNDEL)
    drawn.get_by_role("button", name="width of door roundel: 3.40 mm").locator("text").click()
    field = drawn.locator(".sentence input")
    assert field.input_value() == "3.40 mm"
    field.fill("3.6 mm")
    field.press("Enter")
    drawn.locator("pre mark", has_text="width: 3.6 mm").wait_for()
    assert drawn.locator("pre mark").count() == 1
    drawn.get_by_role("button", name="width of door roundel: 3.60 mm").wait_for()
    drawn.locator("[data-key='size height']").focus()
    drawn.keyboard.press("Enter")
    assert drawn.locator(".sentence input").input_value() == "3.40 mm"


def test_a_mistake_in_a_blank_has_its_caret_and_the_drawing_stays(drawn: sync_api.Page, job: Path) -> None:
    before = job.read_bytes()
    choose(drawn, ROUNDEL)
    picture = piece(drawn, ROUNDEL).inner_html()
    drawn.get_by_role("button", name="width: 3.40 mm. Change it.").click()
    field = drawn.locator(".sentence input")
    field.fill("panel.width - borders")
    field.press("Enter")
    drawn.locator("#wrong .spot").wait_for()
    assert drawn.locator("#wrong .spot").inner_text() == "panel.width - borders\n              ^^^^^^^"
    chosen = field.evaluate("one => [one.selectionStart, one.selectionEnd]")
    assert chosen == [14, 21] and field.get_attribute("aria-invalid") == "true"
    assert drawn.locator("#wrong").get_by_text("The drawing shows the value before it").count() == 1
    assert piece(drawn, ROUNDEL).inner_html() == picture and job.read_bytes() == before
    field.fill("3.5 mm")
    field.press("Enter")
    drawn.locator("pre mark", has_text="width: 3.5 mm").wait_for()
    assert drawn.locator("#wrong .spot").count() == 0


def test_a_mistake_of_an_editor_leaves_the_drawing_and_says_how_old_it_is(drawn: sync_api.Page, job: Path) -> None:
    picture = piece(drawn, ROUNDEL).inner_html()
    text = job.read_text(encoding="utf-8")
    job.write_text(text.replace("width: 22.40 mm", "width: wide", 1), encoding="utf-8")
    drawn.get_by_text("The drawing is from before that mistake, less than a minute old.").wait_for()
    assert piece(drawn, ROUNDEL).inner_html() == picture
    job.write_text(text, encoding="utf-8")
    drawn.get_by_text("The drawing is from before that mistake").wait_for(state="detached")


def test_a_decal_that_is_too_wide_is_made_to_fit(drawn: sync_api.Page, job: Path) -> None:
    drawn.get_by_role("button", name="tailgate", exact=True).click()
    drawn.get_by_text("Tailgate chevrons").first.wait_for()
    drawn.get_by_role("button", name="door", exact=True).click()
    choose(drawn, ROUNDEL)
    drawn.get_by_role("button", name="height: 3.40 mm. Change it.").click()
    drawn.keyboard.type("12 mm")
    drawn.keyboard.press("Enter")
    drawn.get_by_text(re.compile(r"mm over the bottom edge: .* would fit")).wait_for()
    drawn.get_by_role("button", name="Make it").click()
    drawn.locator(".fit .good", has_text="fits").wait_for()
    kept(drawn)
    assert drawn.get_by_text("would fit").count() == 0
    height = values(job.read_text(encoding="utf-8"))["decals"]["door roundel"]["height"]
    assert 10.9 < float(height.removesuffix(" mm")) < 11.2


def test_the_other_hand_can_be_worked_on(drawn: sync_api.Page, job: Path) -> None:
    choose(drawn, ROUNDEL)
    drawn.get_by_role("button", name="Work on the right hand").click()
    drawn.get_by_role("heading", name="Right door").wait_for()
    drawn.get_by_role("button", name="Work on the left hand").wait_for()
    piece(drawn, ROUNDEL).focus()
    drawn.keyboard.press("ArrowRight")
    drawn.get_by_role("button", name="Undo place of door roundel").wait_for()
    kept(drawn)
    found = at_of(job, "door roundel")
    assert isinstance(found, dict) and found["offset"][0] == "1.90 mm"


def test_a_face_is_chosen_from_drawings_of_the_very_words(drawn: sync_api.Page, job: Path) -> None:
    drawn.get_by_role("button", name="cargo side", exact=True).click()
    drawn.get_by_role("button", name="Archivo: see other faces").click()
    drawn.get_by_role("button", name="Oswald").click(timeout=60_000)
    drawn.get_by_role("button", name="Oswald: see other faces").wait_for()
    kept(drawn)
    text = job.read_text(encoding="utf-8")
    assert "face: Oswald" in text and "wdth 85" not in text


def test_the_main_act_needs_no_scrolling(drawn: sync_api.Page) -> None:
    choose(drawn, ROUNDEL)
    for one in (drawn.locator(".strip"), drawn.locator(".drawing svg"), drawn.locator(".sentence")):
        box = one.bounding_box()
        assert box is not None and box["y"] >= 0 and box["y"] + box["height"] <= 800
    targets = drawn.locator(".spread .tools button, .figure .grip").evaluate_all(
        "all => all.map(one => one.getBoundingClientRect().height)"
    )
    assert targets and min(targets) >= 43.9
