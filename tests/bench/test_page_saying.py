"""All that a shape could say, and the inks of the job, in a real browser."""

from __future__ import annotations

from pathlib import Path

import pytest

from decalgen.job.edits import values
from tests.bench.browsing import MARKS, go, kept

sync_api = pytest.importorskip("playwright.sync_api")

pytestmark = MARKS

NARROW = 320
LEAST_HIGH = 44


@pytest.fixture
def drawn(page: sync_api.Page) -> sync_api.Page:
    go(page, "Draw")
    page.locator("[data-key='pile door roundel']").click()
    page.locator(".shapes li", has_text="Roundel").wait_for()
    return page


def box(page: sync_api.Page, number: int, shape: str, key: str) -> sync_api.Locator:
    return page.locator(f"[data-key='say decals door roundel artwork {number} {shape} {key}']")


def body(job: Path, number: int, shape: str) -> dict[str, object]:
    return dict(values(job.read_text(encoding="utf-8"))["decals"]["door roundel"]["artwork"][number][shape])


def test_several_keys_of_a_shape_are_put_into_the_file(drawn: sync_api.Page, job: Path) -> None:
    drawn.locator(".shapes summary").nth(1).click()
    box(drawn, 1, "star", "diameter").fill("2.4 mm")
    box(drawn, 1, "star", "never mirror").select_option("yes")
    drawn.locator("[data-key='send decals door roundel artwork 1 star']").click()
    drawn.locator(".shapes li", has_text="never mirror yes").wait_for()
    kept(drawn)
    assert body(job, 1, "star")["diameter"] == "2.4 mm" and body(job, 1, "star")["never mirror"] == "yes"
    # It stays unfolded, and the same key has the focus.
    assert box(drawn, 1, "star", "diameter").is_visible()
    assert drawn.evaluate("document.activeElement.dataset.key") == "send decals door roundel artwork 1 star"


def test_what_is_refused_is_told_and_stays_as_it_was_typed(drawn: sync_api.Page, job: Path) -> None:
    before = job.read_text(encoding="utf-8")
    drawn.locator(".shapes summary").first.click()
    box(drawn, 0, "roundel", "diameter").fill("wide")
    box(drawn, 0, "roundel", "diameter").press("Enter")
    form = drawn.locator("form.saymore").first
    form.get_by_role("alert").get_by_text("wide").wait_for()
    assert box(drawn, 0, "roundel", "diameter").input_value() == "wide"
    assert job.read_text(encoding="utf-8") == before
    box(drawn, 0, "roundel", "diameter").fill("3.2 mm")
    box(drawn, 0, "roundel", "diameter").press("Enter")
    drawn.locator(".shapes .painted", has_text="diameter 3.2 mm").wait_for()


def test_a_blank_of_the_sentence_is_filled_in(drawn: sync_api.Page, job: Path) -> None:
    drawn.locator("[data-key='blank decals door roundel artwork 1 star diameter']").click()
    drawn.get_by_label("diameter", exact=True).and_(drawn.locator(".fill input")).fill("2.5 mm")
    drawn.locator(".fill input").press("Enter")
    drawn.locator(".shapes .painted", has_text="2.5 mm").wait_for()
    kept(drawn)
    assert body(job, 1, "star")["diameter"] == "2.5 mm"


def test_an_ink_comes_is_changed_and_goes(drawn: sync_api.Page, job: Path) -> None:
    drawn.locator("[data-key='names']").click()
    drawn.locator("[data-key='ink name']").fill("signal")
    drawn.locator("[data-key='ink colour']").fill("orangered")
    drawn.get_by_role("button", name="Add an ink").click()
    row = drawn.locator(".inks li", has_text="signal")
    row.get_by_text("Not used.").wait_for()
    row.locator("[data-key='blank inks signal kind']").click()
    row.locator("select").select_option("spot")
    row.get_by_role("button", name="kind: spot").wait_for()
    kept(drawn)
    assert values(job.read_text(encoding="utf-8"))["inks"] == {"signal": {"colour": "orangered", "kind": "spot"}}
    row.get_by_role("button", name="Delete the ink signal").click()
    row.wait_for(state="detached")
    assert drawn.evaluate("document.activeElement.dataset.key") == "names"


def test_the_date_of_the_job_is_a_blank(drawn: sync_api.Page, job: Path) -> None:
    drawn.locator("[data-key='names']").click()
    drawn.locator("[data-key='blank date']").click()
    drawn.locator(".names .fill input").fill("2026-12-01")
    drawn.locator(".names .fill input").press("Enter")
    drawn.get_by_role("button", name="date: 2026-12-01").wait_for()
    kept(drawn)
    assert values(job.read_text(encoding="utf-8"))["date"] == "2026-12-01"


def test_all_of_it_fits_a_narrow_screen(drawn: sync_api.Page) -> None:
    drawn.set_viewport_size({"width": NARROW, "height": 800})
    drawn.locator(".shapes summary").first.click()
    drawn.locator(".saymore").first.wait_for()
    drawn.locator("[data-key='names']").click()
    drawn.locator(".inks").wait_for()
    assert drawn.evaluate("document.documentElement.scrollWidth") <= NARROW
    for one in drawn.locator(".saymore input:visible, .saymore select:visible").all():
        found = one.bounding_box()
        assert found is not None and found["height"] >= LEAST_HIGH
