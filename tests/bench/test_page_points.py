"""Points and sides on Draw in a real browser: by mouse, and by keyboard alone."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from decalgen.job.edits import values
from tests.bench.browsing import MARKS, go, kept, keyed, seen_by_all, settled
from tests.bench.curved_job import CURVED, FOOT

sync_api = pytest.importorskip("playwright.sync_api")

pytestmark = MARKS


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """The job that the page opens."""
    path = tmp_path / "tug.yaml"
    path.write_text(CURVED, encoding="utf-8")
    return path


@pytest.fixture
def drawn(page: sync_api.Page) -> sync_api.Page:
    """The page at Draw, with the points of the curve on the drawing."""
    go(page, "Draw")
    keyed(page, "dot 1").wait_for()
    page.locator("button.step", has_text="warnings").wait_for()
    settled(page)
    return page


def points_of(job: Path) -> list[list[str]]:
    return list(values(job.read_text(encoding="utf-8"))["decals"]["sweep"]["artwork"][0]["curve"]["points"])


def middle(page: sync_api.Page, key: str) -> tuple[float, float]:
    box = keyed(page, key).locator(".bubble").bounding_box()
    assert box is not None
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def per_mm(page: sync_api.Page) -> float:
    """Pixels of the screen to a millimetre, by two points that are 8 mm apart across (1 and 9 mm)."""
    return (middle(page, "dot 2")[0] - middle(page, "dot 0")[0]) / 8


def undo(page: sync_api.Page, words: str) -> sync_api.Locator:
    return page.get_by_role("button", name=f"Undo {words}")


def number(text: str) -> float:
    return float(text.removesuffix(" mm"))


def test_a_point_is_dragged_and_released_at_a_hundredth(drawn: sync_api.Page, job: Path) -> None:
    x, y = middle(drawn, "dot 1")
    scale = per_mm(drawn)
    drawn.keyboard.down("Alt")
    drawn.mouse.move(x, y)
    drawn.mouse.down()
    drawn.mouse.move(x + 20, y - 15, steps=4)
    said = drawn.locator(".caught")
    drawn.mouse.move(x + 40, y - 30, steps=4)
    drawn.wait_for_function("() => /^x [0-9.]+, y [0-9.]+ mm$/.test(document.querySelector('.caught').textContent)")
    words = said.inner_text()
    drawn.mouse.up()
    drawn.keyboard.up("Alt")
    undo(drawn, "point 2 of sweep").wait_for()
    kept(drawn)
    found = points_of(job)[1]
    assert [number(one) for one in found] == pytest.approx([5.5 + 40 / scale, 2 + 30 / scale], abs=0.03)
    assert words == f"x {number(found[0]):.2f}, y {number(found[1]):.2f} mm"
    # It is the point that is in hand, and its numbers are beside it.
    assert drawn.evaluate("() => document.activeElement.dataset.key") == "dot 1"
    drawn.get_by_role("button", name=f"x of point 2: {found[0]}. Change it.").wait_for()
    drawn.keyboard.press("Control+z")
    undo(drawn, "nothing done").wait_for()
    kept(drawn)
    assert job.read_text(encoding="utf-8") == CURVED


def test_a_point_catches_on_another_and_says_so(drawn: sync_api.Page, job: Path) -> None:
    x, y = middle(drawn, "dot 1")
    _, level = middle(drawn, "dot 0")
    drawn.mouse.move(x, y)
    drawn.mouse.down()
    drawn.mouse.move(x + 10, level - 20, steps=3)
    drawn.mouse.move(x + 10, level - 3, steps=3)
    drawn.locator(".caught", has_text="level with point 1").wait_for()
    drawn.mouse.up()
    undo(drawn, "point 2 of sweep").wait_for()
    kept(drawn)
    assert points_of(job)[1][1] == "1.00 mm"


def test_escape_puts_a_point_back(drawn: sync_api.Page, job: Path) -> None:
    x, y = middle(drawn, "dot 1")
    drawn.mouse.move(x, y)
    drawn.mouse.down()
    drawn.mouse.move(x + 40, y - 30, steps=4)
    drawn.keyboard.press("Escape")
    drawn.mouse.up()
    settled(drawn)
    assert middle(drawn, "dot 1") == pytest.approx((x, y), abs=0.5)
    assert job.read_text(encoding="utf-8") == CURVED


def test_points_are_added_by_clicks_one_after_another(drawn: sync_api.Page, job: Path) -> None:
    keyed(drawn, "add point").click()
    keyed(drawn, "plane").wait_for(state="attached")
    x0, y0 = middle(drawn, "dot 0")
    x1, y1 = middle(drawn, "dot 1")
    last = middle(drawn, "dot 3")
    drawn.keyboard.down("Alt")
    drawn.mouse.click((x0 + x1) / 2, (y0 + y1) / 2 + 4)
    undo(drawn, "new point 2 of sweep").wait_for()
    settled(drawn)
    drawn.mouse.click(last[0] + 20, last[1] + 20)
    undo(drawn, "new point 6 of sweep").wait_for()
    drawn.keyboard.up("Alt")
    kept(drawn)
    found = points_of(job)
    assert [found[0], *found[2:5]] == [["1 mm", "1 mm"], ["5.5 mm", "2 mm"], ["0.5 * long", "4 mm"], ["long", "7 mm"]]
    assert number(found[1][0]) == pytest.approx(3.25, abs=0.05) and number(found[5][0]) > 18
    assert "corners: [4]" in job.read_text(encoding="utf-8")
    drawn.keyboard.press("Escape")
    keyed(drawn, "plane").wait_for(state="detached")


def test_all_of_it_by_keyboard_alone(drawn: sync_api.Page, job: Path) -> None:
    keyed(drawn, "piece sweep").focus()
    names = []
    for _ in range(8):
        drawn.keyboard.press("Tab")
        names.append(drawn.evaluate("() => document.activeElement.dataset.key"))
        if names[-1] == "dot 0":
            break
    assert names[-1] == "dot 0"
    for press in ("ArrowRight", "ArrowRight", "Shift+ArrowUp"):
        drawn.keyboard.press(press)
    drawn.get_by_role("button", name="x of point 1: 1.20 mm. Change it.").wait_for()
    drawn.get_by_role("button", name="y of point 1: 1.01 mm. Change it.").wait_for()
    settled(drawn)
    drawn.keyboard.press("Enter")
    field = drawn.get_by_role("textbox", name="x of point 1")
    assert field.input_value() == "1.20 mm"
    field.fill("long / 12")
    field.press("Enter")
    undo(drawn, "x of point 1 of sweep").wait_for()
    drawn.get_by_text("1.50 mm").first.wait_for()
    settled(drawn)
    keyed(drawn, "dot 0").focus()
    for add in ("Insert", "a"):
        drawn.keyboard.press(add)
        undo(drawn, "new point 2 of sweep").wait_for()
        drawn.wait_for_function("() => document.activeElement.dataset.key === 'dot 1'")
        drawn.keyboard.press("Delete")
        undo(drawn, "point 2 of sweep deleted").wait_for()
        drawn.wait_for_function("() => document.activeElement.dataset.key === 'dot 0'")
    kept(drawn)
    expected = CURVED.replace("[1 mm, 1 mm]", "[long / 12, 1.01 mm]")
    assert job.read_text(encoding="utf-8") == expected


def test_quick_steps_add_up_where_the_drawing_is_drawn_anew_between_them(drawn: sync_api.Page, job: Path) -> None:
    """The third is taken on the new drawing, while the second, taken on the old one, is on its way."""
    held: list[sync_api.Route] = []
    drawn.route("**/do/draw/move_point", lambda route: held.append(route))

    def sent(count: int) -> None:
        while len(held) < count:
            drawn.wait_for_timeout(10)

    keyed(drawn, "dot 0").focus()
    drawn.keyboard.press("ArrowRight")
    drawn.keyboard.press("ArrowRight")
    sent(1)
    held[0].continue_()
    drawn.get_by_role("button", name="x of point 1: 1.10 mm. Change it.").wait_for()
    sent(2)
    drawn.locator("[data-key='dot 0']:focus").wait_for()
    drawn.keyboard.press("ArrowRight")
    held[1].continue_()
    sent(3)
    held[2].continue_()
    drawn.get_by_role("button", name="x of point 1: 1.30 mm. Change it.").wait_for()
    kept(drawn)
    assert points_of(job)[0] == ["1.30 mm", "1 mm"] and not drawn.locator(".clash").count()


def test_what_cannot_be_is_told_beside_the_points(drawn: sync_api.Page, job: Path) -> None:
    for _ in range(2):
        keyed(drawn, "delete point 0").click()
        settled(drawn)
    keyed(drawn, "delete point 0").click()
    drawn.get_by_role("alert").get_by_text("a curve has two points at least").wait_for()
    kept(drawn)
    assert len(points_of(job)) == 2


def edge_of(job: Path) -> Any:
    found: Any = values(job.read_text(encoding="utf-8"))
    for part in FOOT:
        found = found[part]
    return found["edge"]


def side(page: sync_api.Page, name: str, follows: bool) -> sync_api.Locator:
    """A side on the drawing, once a band follows it or does not. A straight line has no area to be seen by."""
    words = "follows it" if follows else "does not follow it"
    found = page.get_by_role("button", name=f"{name} side of the door: band 1 {words}")
    found.wait_for(state="attached")
    settled(page)
    return found


def on_side(page: sync_api.Page, name: str, follows: bool) -> tuple[float, float]:
    """A third of the way along a side, on the screen."""
    x, y = side(page, name, follows).evaluate(
        """one => {
            const { left, top, width, height } = one.getBoundingClientRect();
            return [left + width / 3, top + height / 3];
        }"""
    )
    return float(x), float(y)


def test_sides_are_clicked_on_the_drawing_and_by_keyboard(drawn: sync_api.Page, job: Path) -> None:
    keyed(drawn, "pile foot").click()
    x, y = on_side(drawn, "left", False)
    drawn.mouse.move(x, y)
    drawn.locator(".caught", has_text="left side").wait_for()
    drawn.mouse.click(x + 4, y)
    undo(drawn, "edge of foot").wait_for()
    side(drawn, "left", True)
    side(drawn, "top", False).focus()
    drawn.keyboard.press("Enter")
    side(drawn, "top", True)
    kept(drawn)
    assert edge_of(job) == ["bottom", "left", "top"]
    keyed(drawn, f"follow {' '.join(map(str, FOOT))} bottom").click()
    side(drawn, "bottom", False)
    kept(drawn)
    assert edge_of(job) == ["left", "top"]


def test_everyone_can_read_it(drawn: sync_api.Page) -> None:
    seen_by_all(drawn, "points")
    keyed(drawn, "pile foot").click()
    side(drawn, "left", False)
    seen_by_all(drawn, "sides")
