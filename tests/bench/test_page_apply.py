"""Apply in a browser, as at the bench: large buttons and keys, ticks that outlive a reload and are the same in every
tab, a clock that goes on, nothing that lies over anything else."""

from __future__ import annotations

import shutil
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.bench.browsing import MARKS, Opened, keyed, page_at, seen_by_all, settled
from tests.bench.first_minute import ROOT

sync_api = pytest.importorskip("playwright.sync_api")

pytestmark = MARKS
DESK = {"width": 1280, "height": 800}
LEAST = 44
"""The least that a finger hits, pixels: WCAG 2.2, 2.5.5 (target size, enhanced)."""
SMALL = f"""() => [...document.querySelectorAll('#work button, #work input, #work select, #work summary')]
    .filter((one) => one.checkVisibility() && !one.closest('label'))
    .filter((one) => one.getBoundingClientRect().height < {LEAST} - 0.5)
    .map((one) => [one.dataset.key ?? one.textContent, one.getBoundingClientRect().height])"""
OVER_EACH_OTHER = """() => {
    const all = [...document.querySelectorAll('.laid .bubble, .laid .ends span, .laid figcaption, '
      + '.laid h2, .laid .sides, .laid .look, .laid tr, .laid .put, .turning > *')]
      .filter((one) => one.checkVisibility() && (one.textContent.trim() || one.localName === 'circle'))
      .map((one) => [one.className.baseVal ?? one.className ?? one.localName, one.getBoundingClientRect()]);
    return all.flatMap(([a, p], n) => all.slice(n + 1)
      .filter(([, q]) => p.left < q.right - 1 && q.left < p.right - 1 && p.top < q.bottom - 1 && q.top < p.bottom - 1)
      .map(([b]) => [a, b]));
}"""


BEYOND = """() => {
    const svg = document.querySelector('.laid .side-of-model > svg');
    const room = svg?.getBoundingClientRect();
    return [...(svg?.querySelectorAll('path, circle, text') ?? [])].filter((one) => {
      const box = one.getBoundingClientRect();
      const inside = box.left >= room.left - 1 && box.right <= room.right + 1 && box.top >= room.top - 1;
      return box.width && !(inside && box.bottom <= room.bottom + 1);
    }).map((one) => one.className.baseVal);
}"""


@pytest.fixture(scope="module")
def models(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a job that has pieces on every side, one over another."""
    folder = tmp_path_factory.mktemp("models")
    for name in ("dravenhoe.yaml", "common-inks.yaml", "thessock-crest.svg"):
        shutil.copy(ROOT / "demo" / name, folder)
    return folder


@pytest.fixture(scope="module")
def served(models: Path) -> Iterator[Opened]:
    """One server for all tests here."""
    server = Opened(models / "dravenhoe.yaml", models / "data")
    yield server
    server.end()


@pytest.fixture(scope="module")
def page(browser: sync_api.Browser, served: Opened) -> Iterator[sync_api.Page]:
    with page_at(browser, served.address, console=True, viewport=DESK, has_touch=True) as made:
        made.get_by_role("heading", level=1).first.wait_for()
        made.evaluate("() => { location.hash = 'apply'; }")
        made.locator(".turning").wait_for()
        yield made


def step(page: sync_api.Page, name: str) -> None:
    """Shows a piece, or what comes before and after them all, by its row of the list."""
    page.locator(".row", has_text=name).first.click()
    page.locator(".row[aria-current]", has_text=name).wait_for()
    settled(page)


def test_a_walk_by_keys_is_the_same_in_a_second_tab_and_after_a_reload(page: sync_api.Page) -> None:
    step(page, "Before the first")
    page.keyboard.press("ArrowRight")
    page.get_by_role("heading", name="1 side blocks, left").wait_for()
    page.keyboard.press("t")
    page.locator("[data-key='tick 0'][aria-pressed='true']").wait_for()
    page.keyboard.press("ArrowRight")
    page.get_by_role("heading", name="2 side blocks, right").wait_for()
    assert page.get_by_text("Side, left is still soft").is_visible()
    other = page.context.new_page()
    other.goto(page.url)
    other.locator(".far", has_text="1 of 11").wait_for()
    page.locator("[data-key='tick 0']").click()
    other.locator(".far", has_text="2 of 11").wait_for()
    other.close()
    # The other tab may know it sooner than this one has its answer.
    page.locator(".far", has_text="2 of 11").wait_for()
    keyed(page, "take back").click()
    page.locator(".far", has_text="1 of 11").wait_for()
    page.reload()
    page.locator(".far", has_text="1 of 11").wait_for()
    assert [" ".join(one.split()) for one in page.locator(".row.on").all_inner_texts()] == ["1 side blocks, left is on"]
    page.keyboard.press("ArrowLeft")
    page.get_by_role("heading", name="1 side blocks, left").wait_for()
    keyed(page, "tick 0").dblclick()
    page.locator("[data-key='tick 0'][aria-pressed='false']").wait_for()
    settled(page)
    assert keyed(page, "tick 0").get_attribute("aria-pressed") == "false"


def test_the_clock_says_not_before_when_and_when_it_is_done(page: sync_api.Page) -> None:
    """Half an hour is the least for a side, an hour the most; two hours the least for what another goes over."""
    step(page, "3 rear chevrons")
    keyed(page, "tick 0").click()
    page.locator("[data-key='tick 0'][aria-pressed='true']").wait_for()
    began = time.time()
    rear = page.locator(".clock li", has_text="Rear").filter(has_text="before the next side").locator(".state")
    assert rear.inner_text().startswith("not before ") and "min" in rear.inner_text()
    step(page, "11 plate")
    first = page.locator(".firsts .state")
    assert "Go on with another meanwhile" in first.inner_text()
    for minutes, side, under in ((40, "may be dry", "not before"), (70, "done", "not before"), (150, "done", "may be")):
        page.clock.set_fixed_time(began + 60 * minutes)
        page.reload()
        page.locator(".turning").wait_for()
        step(page, "11 plate")
        assert rear.inner_text().startswith(side) and first.inner_text().startswith(under), minutes
    page.clock.set_fixed_time(time.time())
    step(page, "3 rear chevrons")
    keyed(page, "tick 0").click()
    page.locator("[data-key='tick 0'][aria-pressed='false']").wait_for()


def test_a_time_that_is_still_to_come_is_refused_where_it_was_typed(page: sync_api.Page) -> None:
    step(page, "8 bonnet crest")
    keyed(page, "tick 0").click()
    page.get_by_text("Correct the time").click()
    box = keyed(page, "time tick 0")
    before = box.input_value()
    box.fill("2099-01-01T10:00")
    box.blur()
    page.get_by_text("that time is still to come").wait_for()
    box.fill(f"{before[:11]}00:00")
    box.blur()
    page.locator("[data-key='tick 0']", has_text="On since 00:00").wait_for()
    keyed(page, "tick 0").click()
    page.locator("[data-key='tick 0'][aria-pressed='false']").wait_for()


@pytest.mark.parametrize(("width", "height"), [(390, 844), (820, 1180), (1280, 800)])
def test_nothing_lies_over_anything_and_a_wet_finger_hits_all_of_it(
    page: sync_api.Page, width: int, height: int
) -> None:
    page.set_viewport_size({"width": width, "height": height})
    page.wait_for_timeout(300)  # a window has its new width a little later
    for name in (
        "1 side blocks, left",
        "9 first aid cross, left",
        "11 plate",
        "5 warning strips, right",
        "After the last",
    ):
        step(page, name)
        assert page.evaluate(OVER_EACH_OTHER) == [], name
        assert page.evaluate(BEYOND) == [], name
        assert page.evaluate(SMALL) == [], name
        assert page.evaluate("() => document.scrollingElement.scrollWidth") <= width, name
    page.set_viewport_size(DESK)


def test_a_piece_is_usable_by_all(page: sync_api.Page) -> None:
    step(page, "11 plate")
    seen_by_all(page, "a piece")


def test_a_kept_file_that_was_spoilt_is_told_and_set_aside(page: sync_api.Page, models: Path) -> None:
    step(page, "8 bonnet crest")
    keyed(page, "tick 0").click()
    page.locator("[data-key='tick 0'][aria-pressed='true']").wait_for()
    kept = models / "dravenhoe.applied.json"
    kept.write_text(kept.read_text(encoding="utf-8").replace("bonnet", "boot"), encoding="utf-8")
    page.reload()
    page.locator("section.mistake", has_text="was changed since decalgen wrote it").wait_for()
    step(page, "11 plate")
    page.keyboard.press("t")
    page.locator("p.wrong", has_text="was changed since").wait_for()
    keyed(page, "set_aside").click()
    page.locator("section.mistake").wait_for(state="detached")
    page.locator(".far", has_text="0 of 11").wait_for()
    assert "boot" in (models / "dravenhoe.applied-before.json").read_text(encoding="utf-8")
