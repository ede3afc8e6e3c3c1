"""What goes wrong on the page is told plainly there and costs nothing: a file that goes, numbers and files too large.

Beside this: markup in a title and a browser without events in `test_page_tabs.py`, 200 MB sent past the page in
`test_raw_requests.py`, a port in use and no browser at all in `test_serve.py`.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.bench.browsing import LONG_MS, MARKS, go, kept, keyed, settled

sync_api = pytest.importorskip("playwright.sync_api")

pytestmark = MARKS
HUGE = 200_000_000
BOXES = (
    ("Measure", "reading 0", "1e6"),
    ("Measure", "reading 0", "1000000"),
    ("Sheet", "setting gap", "1000000"),
    ("Sheet", "setting gap", "1e6"),
    ("Sheet", "setting effort", "1e6 days"),
    ("Film", "add count", "1000000"),
    ("Film", "add size", "1e6 x 1e6"),
    ("Film", "add price", "1e6"),
)
"""A screen, a box of it and what is typed there."""


def told(page: sync_api.Page) -> sync_api.Locator:
    """What is said to be wrong, anywhere on the page."""
    return (
        page.locator("#work").get_by_role("alert").filter(has_text=re.compile(r"\w")).or_(page.locator(".says.wrong"))
    )


@pytest.mark.parametrize(("screen", "key", "typed"), BOXES)
def test_a_number_that_cannot_be_is_said_where_it_is_typed(
    page: sync_api.Page, job: Path, screen: str, key: str, typed: str
) -> None:
    before = job.read_bytes()
    page.get_by_text("nothing to correct").wait_for()
    go(page, screen)
    page.evaluate("() => document.querySelectorAll('#work details').forEach((one) => { one.open = true; })")
    keyed(page, key).fill(typed)
    keyed(page, key).press("Enter")
    told(page).first.wait_for()
    settled(page)
    if screen == "Measure" and keyed(page, key).input_value() != typed:
        # Enter led on to the next reading at once; the one that was refused stands in its own box.
        keyed(page, key).press("ArrowUp")
        page.locator("#wrong:not(:empty)").wait_for()
    assert keyed(page, key).input_value() == typed and job.read_bytes() == before
    page.get_by_role("button", name="Undo nothing done").wait_for()


@pytest.mark.parametrize(("blank", "typed"), [("width", "1e6"), ("height", "1000000 mm"), ("spares", "1000000")])
def test_a_blank_that_cannot_be_keeps_what_was_typed_and_the_drawing(
    page: sync_api.Page, job: Path, blank: str, typed: str
) -> None:
    before = job.read_bytes()
    go(page, "Draw")
    page.get_by_text("nothing to correct").wait_for()
    page.locator("[data-key='piece door roundel']").first.focus()
    page.keyboard.press("Enter")
    page.locator("[data-key='piece door roundel'][aria-pressed='true']").wait_for()
    page.get_by_role("button", name=f"{blank}: ").first.click()
    page.locator(".fill input").fill(typed)
    page.keyboard.press("Enter")
    told(page).first.wait_for()
    assert page.locator(".fill input").input_value() == typed and job.read_bytes() == before
    assert page.locator("[data-key='piece door roundel']").first.is_visible()


def test_a_file_of_200_mb_is_refused_before_it_is_read(page: sync_api.Page, tmp_path: Path) -> None:
    big = tmp_path / "drawer.json"
    with big.open("wb") as out:
        out.truncate(HUGE)
    sent: list[str] = []
    go(page, "Film")
    page.get_by_text("Copies of the drawer").click()
    page.on("request", lambda one: sent.append(one.url))
    keyed(page, "import").set_input_files(big)
    page.get_by_text("'drawer.json' is too large for the page").wait_for()
    page.locator("code", has_text="decalgen film import drawer.json").first.wait_for()
    assert not [one for one in sent if "bring_in" in one]
    # And the page goes on.
    go(page, "Measure")
    keyed(page, "reading 0").fill("22.5")
    keyed(page, "reading 0").press("Enter")
    kept(page)


def test_a_job_renamed_under_the_page_is_kept_as_another_with_all_that_was_typed(
    page: sync_api.Page, job: Path
) -> None:
    keyed(page, "reading 0").fill("22.5")
    job.rename(job.with_name("renamed.yaml"))
    page.get_by_text("is no longer in its folder: it was deleted or renamed").wait_for()
    # What is half typed stays, and Enter takes it.
    assert keyed(page, "reading 0").input_value() == "22.5"
    keyed(page, "reading 0").press("Enter")
    page.get_by_role("button", name="width 22.5").wait_for()
    page.get_by_text("not kept: ").wait_for()
    keyed(page, "copy name").fill("spare")
    keyed(page, "copy").click()
    page.get_by_text("is no longer in its folder").wait_for(state="detached")
    kept(page)
    spare = job.with_name("spare.yaml").read_text(encoding="utf-8")
    assert "width: 22.5 mm\n" in spare and not job.exists()
    assert "width: 22.40 mm" in job.with_name("renamed.yaml").read_text(encoding="utf-8")


def test_a_read_only_job_is_never_written_and_what_was_typed_goes_into_a_copy(page: sync_api.Page, job: Path) -> None:
    before = job.read_bytes()
    job.chmod(0o444)
    page.reload()
    page.locator(".kept", has_text="read-only").wait_for()
    assert "all kept" not in page.locator(".kept").inner_text()
    keyed(page, "reading 0").fill("22.5")
    keyed(page, "reading 0").press("Enter")
    page.locator("section.mistake", has_text="is read-only").wait_for()
    page.get_by_text("not kept: ").wait_for()
    page.get_by_role("button", name="width 22.5").wait_for()
    keyed(page, "copy name").fill("mine")
    keyed(page, "copy").click()
    page.locator("section.mistake").wait_for(state="detached")
    kept(page)
    assert job.read_bytes() == before
    assert "width: 22.5 mm\n" in job.with_name("mine.yaml").read_text(encoding="utf-8")


def test_a_job_deleted_while_one_types_loses_no_letter(page: sync_api.Page, job: Path) -> None:
    keyed(page, "reading 0").fill("22.5")
    job.unlink()
    page.get_by_text("is no longer in its folder").wait_for()
    assert keyed(page, "reading 0").input_value() == "22.5"
    keyed(page, "put back").click()
    page.get_by_text("is no longer in its folder").wait_for(state="detached")
    assert keyed(page, "reading 0").input_value() == "22.5" and job.exists()
    keyed(page, "reading 0").press("Enter")
    page.get_by_role("button", name="width 22.5").wait_for()
    kept(page)
    assert "width: 22.5 mm\n" in job.read_text(encoding="utf-8")


@pytest.mark.parametrize("part", ["sheet.js", "sheet_film.js", "sheet.css"])
def test_a_part_of_a_screen_that_could_not_be_read_once_is_read_again(page: sync_api.Page, part: str) -> None:
    """A script, one that it is built on, and its styles: as where the server was away for a moment."""
    page.route(f"**/app/{part}*", lambda route: route.abort())
    with page.expect_event("requestfailed", lambda one: part in one.url):
        page.reload()
    page.get_by_role("heading", name="Measure", level=1).wait_for()
    page.unroute(f"**/app/{part}*")
    go(page, "Sheet")
    page.locator("link[href='/app/sheet.css']").wait_for(state="attached")
    page.locator(".films svg").first.wait_for(timeout=LONG_MS)


def test_a_screen_that_cannot_be_read_at_all_is_told_and_the_others_are_shown(page: sync_api.Page) -> None:
    page.route("**/app/sheet_film.js*", lambda route: route.abort())
    page.reload()
    page.get_by_role("heading", name="Measure", level=1).wait_for()
    page.get_by_role("button", name="Sheet").first.click()
    page.get_by_text("This screen could not be read. Load the page again: nothing is lost.").wait_for()
    go(page, "Check")
