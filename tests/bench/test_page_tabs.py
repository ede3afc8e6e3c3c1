"""Several tabs, an editor beside them, and a server that is killed: in a real browser."""

from __future__ import annotations

import random
from collections.abc import Iterator
from pathlib import Path

import pytest

from decalgen.bench.desk import value_words
from decalgen.job.edits import values
from tests.bench.browsing import MARKS, Opened, go, kept, page_at

sync_api = pytest.importorskip("playwright.sync_api")

pytestmark = MARKS
TWICE = "Changed twice"


def box(page: sync_api.Page) -> sync_api.Locator:
    """The field of the first reading, the width of the door."""
    return page.locator("[data-key='reading 0']")


def edit(job: Path, before: str, after: str) -> None:
    """An editor saves the file with one thing changed."""
    job.write_text(job.read_text(encoding="utf-8").replace(before, after, 1), encoding="utf-8")


def another(page: sync_api.Page) -> sync_api.Page:
    found = page.context.new_page()
    found.goto(page.url)
    found.get_by_role("heading", name="Measure", level=1).wait_for()
    return found


def choose(page: sync_api.Page, words: str) -> None:
    page.get_by_role("button", name=words).click()
    page.get_by_label(TWICE).wait_for(state="detached")
    kept(page)


@pytest.mark.parametrize(("words", "stays"), [("Keep mine", "23 mm"), ("Keep theirs", "24 mm ± 0.05")])
def test_typed_here_while_an_editor_changed_the_same(page: sync_api.Page, job: Path, words: str, stays: str) -> None:
    box(page).fill("23")
    edit(job, "22.40", "24")
    page.get_by_role("button", name="Undo what your editor changed").wait_for()
    box(page).press("Enter")
    both = page.get_by_label(TWICE)
    both.get_by_text("23 mm", exact=True).wait_for()
    both.get_by_text("24 mm ± 0.05", exact=True).wait_for()
    assert "width: 24 mm" in job.read_text(encoding="utf-8")
    choose(page, words)
    assert f"width: {stays}" in job.read_text(encoding="utf-8")


@pytest.mark.parametrize(("words", "stays"), [("Keep mine", "22.40 mm ± 0.05"), ("Keep theirs", "24 mm")])
def test_a_step_taken_back_while_an_editor_changed_the_same(
    page: sync_api.Page, job: Path, words: str, stays: str
) -> None:
    """The file is away meanwhile, so that the step cannot be kept before the editor's text is there."""
    box(page).fill("23")
    box(page).press("Enter")
    page.get_by_role("button", name="Undo width of door").wait_for()
    kept(page)
    text = job.read_text(encoding="utf-8")
    job.unlink()
    page.get_by_role("button", name="Undo width of door").click()
    page.get_by_role("button", name="Redo width of door").wait_for()
    page.get_by_text("not kept").first.wait_for()
    job.write_text(text.replace("width: 23 mm", "width: 24 mm"), encoding="utf-8")
    page.get_by_label(TWICE).get_by_text("width: 24 mm").wait_for()
    assert "width: 24 mm" in job.read_text(encoding="utf-8")
    choose(page, words)
    assert f"width: {stays}" in job.read_text(encoding="utf-8")


def test_two_tabs_change_the_same_and_the_later_is_asked(page: sync_api.Page, job: Path) -> None:
    other = another(page)
    box(other).fill("25")
    box(page).fill("23")
    box(page).press("Enter")
    kept(page)
    other.get_by_role("button", name="Undo width of door").wait_for()
    assert box(other).input_value() == "25"
    box(other).press("Enter")
    other.get_by_label(TWICE).wait_for()
    assert "width: 23 mm" in job.read_text(encoding="utf-8")
    other.reload()
    other.get_by_label(TWICE).get_by_text("25 mm", exact=True).wait_for()
    choose(other, "Keep mine")
    assert "width: 25 mm" in job.read_text(encoding="utf-8")


def test_a_change_that_a_server_took_into_its_end_is_offered_again(
    page: sync_api.Page, opened: Opened, job: Path, tmp_path: Path
) -> None:
    opened.process.kill()
    opened.process.wait()
    page.get_by_text("decalgen is not running any more").first.wait_for()
    box(page).fill("23.5")
    box(page).press("Enter")
    page.locator("#wrong", has_text="not running").wait_for()
    again = Opened(job, tmp_path / "data")
    try:
        assert again.address.partition("#")[0] == opened.address.partition("#")[0]
        other = page.context.new_page()
        other.goto(again.address)
        other.get_by_role("heading", name="Measure", level=1).wait_for()
        offer = page.get_by_label("Not kept")
        offer.get_by_text("width of door").wait_for()
        assert "22.40 mm" in job.read_text(encoding="utf-8")
        offer.get_by_role("button", name="Make it again").click()
        offer.wait_for(state="detached")
        kept(page)
        assert "width: 23.5 mm" in job.read_text(encoding="utf-8")
    finally:
        again.end()


def test_eight_tabs_share_one_stream_and_hand_it_over(page: sync_api.Page, job: Path) -> None:
    streams: list[sync_api.Page] = []
    page.context.on("request", lambda one: streams.append(one.frame.page) if one.url.endswith("/events") else None)
    page.reload()
    page.get_by_role("heading", name="Measure", level=1).wait_for()
    tabs = [page, *(another(page) for _ in range(7))]
    edit(job, "22.40", "22.41")
    for one in tabs:
        one.get_by_role("button", name="width 22.41").wait_for()
    assert streams == [page]
    for number, last in ((0, "22.42"), (1, "22.43")):
        tabs[number].close()
        edit(job, last[:-1] + str(int(last[-1]) - 1), last)
        for one in tabs[number + 1 :]:
            one.get_by_role("button", name=f"width {last}").wait_for()
    assert len(streams) == 3 and len({id(one) for one in streams}) == 3


def hide(page: sync_api.Page, hidden: bool) -> None:
    """A tab goes behind another one, or comes before it again."""
    page.evaluate(
        "(hidden) => { Object.defineProperty(document, 'hidden', { value: hidden, configurable: true });"
        " document.dispatchEvent(new Event('visibilitychange')); }",
        hidden,
    )


@pytest.fixture
def pair(page: sync_api.Page) -> tuple[sync_api.Page, sync_api.Page, list[sync_api.Page]]:
    """A tab that holds the stream, one that does not, and who asked for it so far."""
    streams: list[sync_api.Page] = []
    page.context.on("request", lambda one: streams.append(one.frame.page) if one.url.endswith("/events") else None)
    with page.expect_request("**/events"):
        page.reload()
    page.get_by_role("heading", name="Measure", level=1).wait_for()
    other = another(page)
    assert streams == [page]
    return page, other, streams


def test_a_tab_that_is_seen_takes_the_stream_of_one_that_sleeps(
    pair: tuple[sync_api.Page, sync_api.Page, list[sync_api.Page]], job: Path
) -> None:
    page, other, streams = pair
    # Nothing of it runs any more, as where a browser puts a tab to sleep.
    sleeper = page.context.new_cdp_session(page)
    sleeper.send("Debugger.enable")
    sleeper.send("Debugger.pause")
    with other.expect_request("**/events"):
        pass
    edit(job, "22.40", "22.41")
    other.get_by_role("button", name="width 22.41").wait_for()
    sleeper.send("Debugger.disable")
    page.get_by_role("button", name="width 22.41").wait_for()
    # Awake again, it hears through the other, and is the next to hold it.
    edit(job, "22.41", "22.42")
    for one in (page, other):
        one.get_by_role("button", name="width 22.42").wait_for()
    assert streams == [page, other]
    other.close()
    edit(job, "22.42", "22.43")
    page.get_by_role("button", name="width 22.43").wait_for()
    assert streams == [page, other, page]


def test_a_tab_that_is_seen_takes_the_stream_of_one_that_is_hidden(
    pair: tuple[sync_api.Page, sync_api.Page, list[sync_api.Page]], job: Path
) -> None:
    page, other, streams = pair
    with other.expect_request("**/events"):
        hide(page, True)
    with page.expect_request("**/events"):
        hide(page, False)
        hide(other, True)
    edit(job, "22.40", "22.41")
    for one in (page, other):
        one.get_by_role("button", name="width 22.41").wait_for()
    # Hidden with nobody looking, it stays as it is.
    hide(page, True)
    edit(job, "22.41", "22.42")
    for one in (page, other):
        one.get_by_role("button", name="width 22.42").wait_for()
    assert streams == [page, other, page]


def test_a_hidden_tab_shows_what_is_new_when_it_is_looked_at_again(page: sync_api.Page, job: Path) -> None:
    """Hidden for as long as a browser lets it sleep: it hears of nothing."""
    page.evaluate("() => { window.real = window.fetch; window.fetch = () => new Promise(() => {}); }")
    edit(job, "22.40", "22.41")
    page.get_by_text("Taken over").wait_for()
    page.evaluate("() => { window.fetch = window.real; document.dispatchEvent(new Event('visibilitychange')); }")
    page.get_by_role("button", name="width 22.41").wait_for()


@pytest.fixture
def eventless(browser: sync_api.Browser, opened: Opened) -> Iterator[sync_api.Page]:
    """The page in a browser that knows no event streams."""
    with page_at(browser, opened.address, "delete window.EventSource") as made:
        made.get_by_role("heading", name="Measure", level=1).wait_for()
        yield made


def test_a_browser_without_events_asks_instead(eventless: sync_api.Page, job: Path) -> None:
    eventless.locator("[data-key='reading 0']").fill("23")
    eventless.locator("[data-key='reading 0']").press("Enter")
    kept(eventless)
    assert "width: 23 mm" in job.read_text(encoding="utf-8")
    edit(job, "11.60", "11.66")
    eventless.get_by_role("button", name="height 11.66").wait_for()


def test_markup_in_a_title_and_a_huge_number_do_no_harm(page: sync_api.Page, job: Path) -> None:
    said: list[str] = []
    page.on("dialog", lambda one: (said.append(one.message), one.dismiss()))
    title = "title: Pellerby Gannet, harbour stores\n"
    edit(job, title, 'title: "<img src=x onerror=alert(1)><script>alert(2)</script>"\n')
    page.locator(".job b", has_text="<script>alert(2)</script>").wait_for()
    assert page.title().startswith("<img src=x") and not page.locator("img").count()
    for step in ("Draw", "On the body", "Check", "Proof", "Measure"):
        go(page, step)
    before = job.read_bytes()
    box(page).fill("1e6")
    box(page).press("Enter")
    page.locator("#wrong:not(:empty)").wait_for()
    assert box(page).input_value() == "1e6" and job.read_bytes() == before and not said


def test_sixty_changes_on_the_page_taken_back_and_done_again(page: sync_api.Page, job: Path) -> None:
    chance = random.Random(60)
    first = job.read_bytes()
    go(page, "Draw")
    for number in range(60):
        page.get_by_role("button", name=f"{chance.choice(['door roundel', 'door band'])},").first.focus()
        keys = ["ArrowLeft", "ArrowRight", "ArrowUp", "ArrowDown"]
        page.keyboard.press(chance.choice(["", "Shift+"]) + chance.choice(keys))
        if number % 12 == 11:
            kept(page)
            go(page, "Measure")
            box(page).fill(f"{22 + number / 100:.2f}")
            box(page).press("Enter")
            page.get_by_role("button", name="Undo width of door").wait_for()
            page.get_by_role("heading", name="Height of the door").wait_for()
            page.locator(".row", has_text="width").first.click()
            page.get_by_role("heading", name="Width of the door").wait_for()
            go(page, "Draw")
    kept(page)
    last = job.read_bytes()
    assert last != first
    undo, redo = (page.locator(".undo button").nth(number) for number in (0, 1))
    for button, nothing, there in ((undo, "nothing done", first), (redo, "nothing undone", last)):
        while nothing not in button.inner_text():
            button.click()
            kept(page)
        kept(page)
        assert job.read_bytes() == there


@pytest.mark.parametrize("words", ["Keep mine", "Keep theirs"])
def test_a_decal_held_while_another_tab_moves_it_does_not_add_up(page: sync_api.Page, job: Path, words: str) -> None:
    other = another(page)
    for one in (page, other):
        go(one, "Draw")
        one.get_by_text("nothing to correct").wait_for()
    piece = "[data-key='piece door roundel']"
    grip = other.locator(f"{piece} .grip").first.bounding_box()
    assert grip is not None
    x, y = grip["x"] + grip["width"] / 2, grip["y"] + grip["height"] / 2
    other.mouse.move(x, y)
    other.mouse.down()
    other.mouse.move(x + 60, y + 8, steps=4)
    page.locator(piece).focus()
    page.keyboard.press("ArrowRight")
    other.get_by_role("button", name="Undo place of door roundel").wait_for()
    other.mouse.up()
    both = other.get_by_label(TWICE)
    both.get_by_text("offset: 2.10 mm, -0.5 mm").wait_for()
    mine = both.locator("pre").first.inner_text()
    assert "offset: [2.10 mm, -0.5 mm]" in job.read_text(encoding="utf-8")
    choose(other, words)
    found = values(job.read_text(encoding="utf-8"))["decals"]["door roundel"]["at"]
    assert value_words(found) == (mine if words == "Keep mine" else "anchor: top left, offset: 2.10 mm, -0.5 mm")


def test_quick_steps_of_one_tab_add_up_without_a_question(page: sync_api.Page, job: Path) -> None:
    go(page, "Draw")
    page.get_by_text("nothing to correct").wait_for()
    page.locator("[data-key='piece door roundel']").focus()
    for _ in range(5):
        page.keyboard.press("ArrowRight")
    page.locator("pre mark", has_text="[2.50 mm, -0.5 mm]").wait_for()
    kept(page)
    assert "offset: [2.50 mm, -0.5 mm]" in job.read_text(encoding="utf-8") and not page.get_by_label(TWICE).count()
