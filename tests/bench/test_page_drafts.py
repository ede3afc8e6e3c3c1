"""What is typed and not entered yet outlives the tab: closed or loaded anew, it is offered again; in a real browser."""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.bench.browsing import MARKS, FolderPage, Opened, go, kept, keyed, page_at, settled
from tests.bench.first_minute import ROOT
from tests.bench.sheeting import tug

sync_api = pytest.importorskip("playwright.sync_api")

pytestmark = MARKS
WAYS = ("close", "reload")


def anew(page: sync_api.Page, way: str) -> sync_api.Page:
    """The page in a tab that was loaded anew, or in another one once its own was closed."""
    if way == "reload":
        page.reload()
        page.get_by_role("heading", level=1).wait_for()
        return page
    other = page.context.new_page()
    address = page.url
    page.close()
    other.goto(address)
    other.get_by_role("heading", level=1).wait_for()
    return other


@pytest.mark.parametrize("way", WAYS)
def test_a_reading_half_typed_is_offered_again(page: sync_api.Page, job: Path, way: str) -> None:
    before = job.read_text(encoding="utf-8")
    page.get_by_role("button", name="height 11.60").first.click()
    keyed(page, "reading 0").fill("11.")
    keyed(page, "reading 1").fill("11.7")
    page = anew(page, way)
    page.get_by_role("heading", name="Height of the door").wait_for()
    assert [keyed(page, f"reading {n}").input_value() for n in (0, 1)] == ["11.", "11.7"]
    page.get_by_text("it is not in the file yet").wait_for()
    assert job.read_text(encoding="utf-8") == before
    keyed(page, "reading 0").fill("11.72")
    assert not page.get_by_text("it is not in the file yet").count()
    page.keyboard.press("Enter")
    page.get_by_role("button", name="height 11.72").wait_for()
    kept(page)
    # Entered, it is offered no more.
    page = anew(page, way)
    settled(page)
    assert not page.locator("#earlier").count()
    page.get_by_role("button", name="height 11.72").click()
    page.get_by_role("heading", name="Height of the door").wait_for()
    assert keyed(page, "reading 0").input_value() == "11.72" and not page.locator("#earlier").count()


def test_what_was_refused_is_there_again_and_what_was_left_is_not(page: sync_api.Page) -> None:
    keyed(page, "reading 0").fill("22.4.5")
    page.keyboard.press("Enter")
    page.locator("#refused").wait_for()
    page = anew(page, "close")
    page.get_by_role("heading", name="Width of the door").wait_for()
    assert keyed(page, "reading 0").input_value() == "22.4.5"
    # The arrows leave a reading as the file has it.
    keyed(page, "reading 0").focus()
    page.keyboard.press("ArrowDown")
    page.get_by_role("heading", name="Height of the door").wait_for()
    page = anew(page, "close")
    page.get_by_role("button", name="width 22.40").first.click()
    page.get_by_role("heading", name="Width of the door").wait_for()
    assert keyed(page, "reading 0").input_value() == "22.40 ± 0.05"


def test_two_tabs_hold_one_draft_and_it_goes_as_either_enters_it(page: sync_api.Page) -> None:
    keyed(page, "reading 0").fill("22.5")
    other = page.context.new_page()
    other.goto(page.url)
    other.locator("#earlier").wait_for()
    assert keyed(other, "reading 0").input_value() == "22.5"
    keyed(page, "reading 0").press("Enter")
    other.locator("#earlier").wait_for(state="detached")
    other.get_by_role("button", name="width 22.5").wait_for()
    other.get_by_role("heading", name="Width of the door").wait_for()
    assert keyed(other, "reading 0").input_value() == "22.5"


@pytest.mark.parametrize("way", WAYS)
def test_a_blank_that_was_open_says_what_was_typed_in_it(page: sync_api.Page, job: Path, way: str) -> None:
    before = job.read_text(encoding="utf-8")
    go(page, "Draw")
    blank = keyed(page, "blank decals door roundel width")
    keyed(page, "piece door roundel").click()
    settled(page)
    blank.click()
    page.locator(".fill input").fill("3.3")
    page = anew(page, way)
    if page.locator("h1", has_text="Draw").count() == 0:
        go(page, "Draw")
    keyed(page, "piece door roundel").click()
    settled(page)
    blank = keyed(page, "blank decals door roundel width")
    blank.filter(has_text="typed: 3.3").wait_for()
    assert job.read_text(encoding="utf-8") == before
    blank.click()
    assert page.locator(".fill input").input_value() == "3.3"
    page.keyboard.press("Escape")
    assert "typed" not in blank.inner_text()
    blank.click()
    assert page.locator(".fill input").input_value() == "3.40 mm"


@pytest.mark.parametrize(
    ("step", "key", "text"),
    [
        ("Film", "add price", "3,2"),
        ("Sheet", "film words", "white 90 x"),
        ("Draw", "ink name", "signal re"),
        ("Measure", "adding name", "tailga"),
        ("Measure", "name panels door", "cab do"),
    ],
)
def test_each_box_holds_what_was_typed(page: sync_api.Page, step: str, key: str, text: str) -> None:
    def come(to: sync_api.Page) -> None:
        go(to, step)
        if key == "adding name":
            keyed(to, "add panel").click()
        elif key == "ink name":
            keyed(to, "names").click()
        keyed(to, key).wait_for(state="attached")
        to.evaluate("() => document.querySelectorAll('#work details').forEach((one) => { one.open = true; })")

    come(page)
    keyed(page, key).fill(text)
    page = anew(page, "close")
    come(page)
    assert keyed(page, key).input_value() == text


def test_the_readings_of_a_proof_outlive_the_tab_until_they_are_judged(
    browser: sync_api.Browser, tmp_path: Path
) -> None:
    job = tug(tmp_path)
    server = Opened(job, tmp_path / "data")
    try:
        with page_at(browser, server.address) as page:
            go(page, "Proof")
            keyed(page, "make").click()
            page.get_by_role("link", name="tug-proof.pdf").wait_for()
            keyed(page, "x").fill("99.")
            other = anew(page, "close")
            go(other, "Proof")
            keyed(other, "x").wait_for()
            assert keyed(other, "x").input_value() == "99."
    finally:
        server.end()


def test_a_number_of_copies_is_entered_as_the_tab_is_closed(page: sync_api.Page, job: Path) -> None:
    """Boxes that are entered as they are left are left then."""
    go(page, "Sheet")
    box = keyed(page, "count gannet.yaml door roundel spares")
    box.click()
    page.keyboard.press("Control+A")
    page.keyboard.type("3")
    page = anew(page, "close")
    page.get_by_role("button", name="Undo spares of door roundel").wait_for()
    kept(page)


@pytest.fixture
def twins(browser: sync_api.Browser, folder: Path, tmp_path: Path) -> Iterator[sync_api.Page]:
    """The page of two jobs with the same panels and decals."""
    shutil.copy(ROOT / "demo" / "common-inks.yaml", folder)
    text = (ROOT / "demo" / "gannet.yaml").read_text(encoding="utf-8")
    for name in ("gannet", "gannet-two"):
        title = f"title: Model {name}"
        made = re.sub("^title:.*$", title, text.replace("job: gannet\n", f"job: {name}\n", 1), flags=re.MULTILINE)
        (folder / f"{name}.yaml").write_text(made, encoding="utf-8")
    server = FolderPage(folder, tmp_path / "data")
    try:
        with page_at(browser, server.address, console=True) as made_page:
            yield made_page
    finally:
        server.end()


def draw(page: sync_api.Page, job: str) -> None:
    """Draw of a job, come to by way of the jobs of the folder."""
    page.get_by_role("button", name="Jobs", exact=True).click()
    page.get_by_role("heading", name="Jobs", level=1).wait_for()
    page.get_by_role("button", name=re.compile(f"Model {job}\\b(?!-)")).click()
    page.locator(".kept b", has_text=re.compile(f"^{job}\\.yaml$")).wait_for()
    go(page, "Draw")
    settled(page)


def test_a_new_ink_half_typed_is_of_its_own_job(twins: sync_api.Page) -> None:
    draw(twins, "gannet")
    keyed(twins, "names").click()
    keyed(twins, "ink name").fill("signal re")
    keyed(twins, "ink kind").select_option("metallic")
    draw(twins, "gannet-two")
    keyed(twins, "names").click()
    assert keyed(twins, "ink name").input_value() == "" and keyed(twins, "ink kind").input_value() != "metallic"
    draw(twins, "gannet")
    keyed(twins, "names").click()
    assert keyed(twins, "ink name").input_value() == "signal re"
    assert keyed(twins, "ink kind").input_value() == "metallic"


def test_what_was_seen_and_refused_of_a_job_is_not_shown_of_another(twins: sync_api.Page) -> None:
    draw(twins, "gannet")
    keyed(twins, "several").click()
    keyed(twins, "piece door roundel").focus()
    twins.keyboard.press("Enter")
    twins.get_by_role("button", name="2 move together").wait_for()
    keyed(twins, "closer").click()
    drawing = twins.locator(".drawing svg")
    twins.locator(".drawing svg[data-scale='1.40']").wait_for()
    keyed(twins, "names").click()
    keyed(twins, "ink name").fill("white")
    keyed(twins, "send New ink").click()
    refused = twins.locator(".sender .wrong:not(:empty)")
    refused.wait_for()
    draw(twins, "gannet-two")
    assert drawing.get_attribute("data-scale") == "1.00"
    assert not twins.get_by_role("button", name="2 move together").count()
    keyed(twins, "names").click()
    keyed(twins, "ink name").wait_for()
    assert not refused.count()
