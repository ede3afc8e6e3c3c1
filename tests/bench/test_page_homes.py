"""Where what is typed goes, and the names of a job, in a real browser."""

from __future__ import annotations

from pathlib import Path

import pytest

from decalgen.job.edits import values
from tests.bench.browsing import MARKS, go, kept

sync_api = pytest.importorskip("playwright.sync_api")

pytestmark = MARKS


@pytest.fixture
def drawn(page: sync_api.Page) -> sync_api.Page:
    go(page, "Draw")
    page.get_by_text("nothing to correct").wait_for()
    return page


def fill(page: sync_api.Page, key: str, to: str) -> None:
    """Types into a blank, and Enter."""
    page.locator(f"[data-key='blank {key}']").click()
    field = page.locator(".fill input, .fill select").first
    if field.evaluate("one => one.tagName") == "SELECT":
        field.select_option(to)
    else:
        field.fill(to)
        field.press("Enter")


def job_of(job: Path) -> dict[str, dict[str, dict[str, object]]]:
    return dict(values(job.read_text(encoding="utf-8")))


@pytest.mark.parametrize("words", ["In pilot only", "In every variant"])
def test_a_value_typed_while_a_variant_is_shown_is_asked_about(drawn: sync_api.Page, job: Path, words: str) -> None:
    drawn.get_by_role("button", name="pilot", exact=True).click()
    drawn.get_by_text("This is the variant pilot.").wait_for()
    fill(drawn, "decals door band spares", "2")
    ask = drawn.get_by_role("group", name="Where to change it")
    ask.get_by_text("The variant pilot has it from the job.").wait_for()
    ask.get_by_role("button", name=words).click()
    ask.wait_for(state="detached")
    kept(drawn)
    found = job_of(job)
    pilot = found["variants"]["pilot"].get("decals")
    own = {"door band": {"spares": "2"}}
    assert (pilot, found["decals"]["door band"]["spares"]) == ((own, "1") if "only" in words else (None, "2"))
    drawn.get_by_role("button", name="as it is").click()
    drawn.get_by_text("This is the variant pilot.").wait_for(state="detached")


def test_on_the_body_leads_to_the_variant_that_was_clicked(drawn: sync_api.Page) -> None:
    go(drawn, "On the body")
    drawn.locator(".livery").nth(1).locator(".bodypanel").first.click()
    drawn.get_by_role("heading", name="Draw", level=1).wait_for()
    drawn.get_by_text("This is the variant pilot.").wait_for()
    go(drawn, "On the body")
    drawn.locator(".livery").first.locator(".bodypanel").first.click()
    drawn.get_by_role("heading", name="Draw", level=1).wait_for()
    assert not drawn.get_by_text("This is the variant pilot.").count()


def test_what_a_layout_gives_is_said_and_its_own_value_is_not_written_twice(drawn: sync_api.Page, job: Path) -> None:
    before = job.read_text(encoding="utf-8")
    key = "decals door band values foot gap"
    drawn.locator(f"[data-key='blank {key}']").click()
    drawn.get_by_text("The layout 'door-band' says 0.8 mm: what you type is this decal's own.").wait_for()
    drawn.keyboard.press("Escape")
    fill(drawn, key, "0.9 mm")
    drawn.locator("pre mark", has_text="foot gap: 0.9 mm").wait_for()
    kept(drawn)
    fill(drawn, key, "0.8 mm")
    drawn.locator(f"[data-key='blank {key}'].unset").wait_for()
    kept(drawn)
    assert job.read_text(encoding="utf-8") == before


@pytest.fixture
def more(page: sync_api.Page, job: Path) -> Path:
    """The decals of the job, in a file that it includes from now on."""
    text = job.read_text(encoding="utf-8")
    start, end = text.index("decals:\n"), text.index("# `--variant")
    found = job.with_name("more.yaml")
    found.write_text(text[start:end], encoding="utf-8")
    own = text[:start].replace("include: common-inks.yaml", "include: [common-inks.yaml, more.yaml]")
    job.write_text(own + text[end:], encoding="utf-8")
    page.get_by_role("button", name="Undo what your editor changed").wait_for()
    go(page, "Draw")
    page.get_by_text("door band is in more.yaml, line 5: door band:.").wait_for()
    return found


def test_a_decal_of_an_included_file_is_changed_there_for_all(page: sync_api.Page, job: Path, more: Path) -> None:
    before, own = more.read_text(encoding="utf-8"), job.read_text(encoding="utf-8")
    fill(page, "decals door band spares", "2")
    asked = page.get_by_role("group", name="Where to change it")
    asked.get_by_text("It is in more.yaml, line").wait_for()
    asked.get_by_role("button", name="In more.yaml, for every job that includes it").click()
    page.get_by_role("button", name="Undo spares of door band, in more.yaml").wait_for()
    after = more.read_text(encoding="utf-8")
    assert values(after)["decals"]["door band"]["spares"] == "2" and job.read_text(encoding="utf-8") == own
    kept(page)
    page.get_by_role("button", name="Undo spares of door band, in more.yaml").click()
    page.get_by_role("button", name="Redo spares of door band, in more.yaml").wait_for()
    assert more.read_text(encoding="utf-8") == before
    page.get_by_role("button", name="Redo spares of door band, in more.yaml").click()
    page.get_by_role("button", name="Undo spares of door band, in more.yaml").wait_for()
    assert more.read_text(encoding="utf-8") == after


def test_a_value_of_an_included_file_changed_in_an_editor_meanwhile_is_told(
    page: sync_api.Page, job: Path, more: Path
) -> None:
    page.locator("[data-key='blank decals door band spares']").click()
    field = page.locator(".fill input")
    field.fill("2")
    more.write_text(more.read_text(encoding="utf-8").replace("    spares: 1", "    spares: 3", 1), encoding="utf-8")
    page.get_by_text("Taken over").wait_for()
    field.press("Enter")
    page.get_by_role("button", name="In more.yaml, for every job that includes it").click()
    page.get_by_text("'spares' of 'door band' in more.yaml is 3 by now: look at it, then enter yours again").wait_for()
    assert values(more.read_text(encoding="utf-8"))["decals"]["door band"]["spares"] == "3"
    assert page.locator(".fill input").input_value() == "2"


def test_a_decal_of_an_included_file_that_cannot_be_written_says_where_to_change_it(
    page: sync_api.Page, more: Path
) -> None:
    more.chmod(0o444)
    page.reload()
    page.get_by_text("door band is in more.yaml, line 5: door band:.").wait_for()
    blank = page.locator("[data-key='blank decals door band panel']")
    blank.focus()
    page.keyboard.press("Enter")
    told = page.get_by_role("group", name="Where panel is")
    told.get_by_text("It is in more.yaml, line 7: panel: door. The page may not write that file").wait_for()
    page.keyboard.press("Escape")
    told.wait_for(state="detached")
    assert blank.evaluate("one => one === document.activeElement")


def test_a_name_is_changed_in_the_section_of_names(drawn: sync_api.Page, job: Path) -> None:
    drawn.get_by_role("button", name="Inks, paint and names").click()
    section = drawn.get_by_role("region", name="Inks, paint and names", exact=True)
    section.get_by_text("Used in 2 places: door band, bed lettering.").wait_for()
    section.get_by_role("button", name="Rename shut line").click()
    field = section.get_by_label("New name of shut line")
    field.fill("accent")
    field.press("Enter")
    section.get_by_text("there is a value 'accent' already").wait_for()
    field.fill("door gap")
    field.press("Enter")
    button = section.get_by_role("button", name="Rename door gap")
    button.wait_for()
    assert button.evaluate("one => one === document.activeElement")
    kept(drawn)
    assert "side gap: 0.1 mm + door gap" in job.read_text(encoding="utf-8")
    section.get_by_role("button", name="Inks, paint and names").click()
    section.get_by_text("Used in 2 places").first.wait_for(state="detached")
