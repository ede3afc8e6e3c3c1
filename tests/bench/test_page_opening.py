"""The first minute in a real browser, and a model made from nothing on the page alone: with the mouse, and again with
the keyboard alone."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from decalgen.job.edits import values
from tests.bench.browsing import LONG_MS, MARKS, WAIT_MS, FolderPage, asked, code_on, heading, judge, kept, keyed
from tests.bench.test_page_twice import at_once

if TYPE_CHECKING:
    from playwright import sync_api

pytestmark = MARKS
WRITTEN = """# yaml-language-server: $schema=decalgen-job.schema.json
# A job for decalgen. Text after # is a note.
job: harbour-tug
title: Harbour tug
scale: "1:43"
film: white
body: ferry blue

panels:
  door:
    width: 22.40 mm
    height: 11.60 mm

decals:
  checker band:
    layout: checker-band
    panel: door
"""
"""What a careful person would have written, but for the sizes of the decal."""


def passes_check(job: Path) -> None:
    words = [sys.executable, "-m", "decalgen", "check", job.name]
    done = subprocess.run(words, cwd=job.parent, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr


def reads_as_written(job: Path) -> None:
    """The file is the one a careful person would write: in the order of the README, no default written out."""
    text = job.read_text(encoding="utf-8")
    assert text.startswith(WRITTEN)
    sizes = values(text)["decals"]["checker band"]["values"]
    assert sizes and all(re.fullmatch(r"\d+\.\d\d mm", one) for one in sizes.values())
    assert list(values(text)) == ["job", "title", "scale", "film", "body", "panels", "decals"]


def test_the_finished_model_can_be_touched_at_once(first: sync_api.Page, folder: Path, tmp_path: Path) -> None:
    heading(first, "Draw")
    first.get_by_role("button", name="door roundel,").first.focus()
    first.keyboard.press("ArrowRight")
    first.get_by_role("button", name="Undo place of door roundel").wait_for()
    kept(first)
    copy = (tmp_path / "data" / "demo" / "gannet.yaml").read_bytes()
    assert copy != (Path(__file__).parents[2] / "demo" / "gannet.yaml").read_bytes() and not [*folder.iterdir()]


def test_what_is_pressed_twice_is_answered_once(first: sync_api.Page, folder: Path) -> None:
    first.get_by_role("button", name="Begin your own").click()
    asked(first, "What is the model called")
    keyed(first, "answer title").fill("Harbour tug")
    at_once(first, keyed(first, "keep"))
    asked(first, "Its scale")
    keyed(first, "keep").click()
    asked(first, "Colour of the body")
    first.get_by_role("button", name="ferry blue").click()
    asked(first, "Film")
    keyed(first, "choice white").click()
    asked(first, "What kind is it")
    keyed(first, "adding name").fill("door")
    first.get_by_text("a flat rectangle", exact=True).click()
    at_once(first, keyed(first, "add"))
    asked(first, "Width of the door")
    kept(first)
    assert [one.name for one in folder.glob("*.yaml")] == ["harbour-tug.yaml"]
    assert not first.locator("#work").get_by_role("alert").filter(has_text="door").count()


def test_a_new_model_from_nothing_with_the_mouse(first: sync_api.Page, folder: Path) -> None:
    page = first
    page.get_by_role("button", name="Begin your own").click()
    asked(page, "What is the model called")
    keyed(page, "answer title").fill("Harbour tug")
    keyed(page, "keep").click()
    asked(page, "Its scale")
    keyed(page, "keep").click()
    asked(page, "Colour of the body")
    page.get_by_role("button", name="ferry blue").click()
    asked(page, "Film")
    keyed(page, "choice white").click()
    asked(page, "What kind is it")
    keyed(page, "adding name").fill("door")
    page.get_by_text("a flat rectangle", exact=True).click()
    keyed(page, "add").click()
    for words, typed in (("Width of the door", "22.40"), ("Height of the door", "11.60")):
        asked(page, words)
        keyed(page, "reading 0").fill(typed)
        keyed(page, "keep").click()
    page.get_by_role("button", name="Draw no decal yet").click()
    heading(page, "Draw")
    keyed(page, "add decal").click()
    keyed(page, "offer checker-band").click()
    page.get_by_role("button", name="checker band,").first.wait_for()
    kept(page)
    page.get_by_role("button", name="Check").first.click()
    heading(page, "Check")
    page.locator(".card .step", has_text="not made yet").click()
    heading(page, "Proof")
    page.get_by_role("button", name="Make the proof").click()
    page.get_by_role("link", name="harbour-tug-proof.pdf").wait_for(timeout=LONG_MS)
    judge(page, code_on(folder / "harbour-tug.positions.json"), "100.0", "100.0", "Passed")
    reads_as_written(folder / "harbour-tug.yaml")
    passes_check(folder / "harbour-tug.yaml")


def has_focus(page: sync_api.Page, key: str) -> None:
    """The page gives it by itself."""
    page.locator(f"[data-key='{key}']:focus").wait_for()


def tab_to(page: sync_api.Page, key: str) -> None:
    """Tab until a thing has the focus: nobody else can reach it."""
    wanted = keyed(page, key).first
    wanted.wait_for()
    for _ in range(150):
        if wanted.evaluate("one => one === document.activeElement"):
            return
        page.keyboard.press("Tab")
    raise AssertionError(f"Tab does not reach {key}")


def test_a_new_model_from_nothing_with_the_keyboard_alone(first: sync_api.Page, folder: Path) -> None:
    page = first
    tab_to(page, "own")
    page.keyboard.press("Enter")
    asked(page, "What is the model called")
    has_focus(page, "answer title")
    page.keyboard.type("Harbour tug\r")
    asked(page, "Its scale")
    has_focus(page, "answer scale")
    page.keyboard.press("Enter")
    asked(page, "Colour of the body")
    tab_to(page, "patch ferry blue")
    page.keyboard.press("Enter")
    asked(page, "Film")
    has_focus(page, "choice white")
    page.keyboard.press("Enter")
    asked(page, "What kind is it")
    has_focus(page, "adding name")
    page.keyboard.type("door\r")
    for words, typed in (("Width of the door", "22.40"), ("Height of the door", "11.60")):
        asked(page, words)
        has_focus(page, "reading 0")
        page.keyboard.type(f"{typed}\r")
    page.get_by_text("2 of 2 readings taken").wait_for()
    tab_to(page, "add panel")
    page.keyboard.press("3")
    heading(page, "Draw")
    tab_to(page, "add decal")
    page.keyboard.press("Enter")
    tab_to(page, "offer checker-band")
    page.keyboard.press("Enter")
    page.get_by_role("button", name="checker band,").first.wait_for()
    kept(page)
    number = page.locator(".card ol .step").all_inner_texts().index("Proof\nnot made yet") + 1
    tab_to(page, "add decal")
    page.keyboard.press(str(number))
    heading(page, "Proof")
    tab_to(page, "make")
    page.keyboard.press("Enter")
    page.get_by_role("link", name="harbour-tug-proof.pdf").wait_for(timeout=LONG_MS)
    for key, text in (("code", code_on(folder / "harbour-tug.positions.json")), ("x", "100.0"), ("y", "100.0")):
        tab_to(page, key)
        page.keyboard.type(text)
    page.keyboard.press("Enter")
    page.get_by_role("heading", name="Passed").wait_for(timeout=LONG_MS)
    reads_as_written(folder / "harbour-tug.yaml")
    passes_check(folder / "harbour-tug.yaml")


def test_what_is_typed_goes_in_place_of_what_is_offered_and_presses_no_colour(
    first: sync_api.Page, folder: Path
) -> None:
    page = first
    keyed(page, "own").click()
    for words, typed in (
        ("What is the model called", "Tug"),
        ("Its scale", "1:76"),
        ("Colour of the body", "dark red"),
    ):
        asked(page, words)
        page.locator("input:focus").wait_for()
        page.keyboard.type(f"{typed}\r")
    asked(page, "Film")
    has_focus(page, "choice white")
    kept(page)
    found = values((folder / "tug.yaml").read_text(encoding="utf-8"))
    assert (found["scale"], found["body"]) == ("1:76", "dark red")


def test_closing_the_tab_loses_nothing_and_one_goes_on_from_the_jobs(
    first: sync_api.Page, folder: Path, browser: sync_api.Browser, tmp_path: Path, served: FolderPage
) -> None:
    keyed(first, "own").click()
    asked(first, "What is the model called")
    first.keyboard.type("<b>Tug</b>\r")
    asked(first, "Its scale")
    first.keyboard.press("Enter")
    asked(first, "Colour of the body")
    kept(first)
    first.context.close()
    served.end()
    again = FolderPage(folder, tmp_path / "data")
    try:
        context = browser.new_context()
        context.set_default_timeout(WAIT_MS)
        page = context.new_page()
        page.goto(again.address)
        heading(page, "Jobs")
        card = page.get_by_role("button", name="<b>Tug</b>")
        card.get_by_text("just begun").wait_for()
        assert page.locator("b b").count() == 0
        card.click()
        asked(page, "Colour of the body")
        keyed(page, "again scale").click()
        asked(page, "Its scale")
        keyed(page, "answer scale").fill("1:76")
        page.keyboard.press("Enter")
        asked(page, "Colour of the body")
        kept(page)
        assert 'scale: "1:76"' in (folder / "b-tug-b.yaml").read_text(encoding="utf-8")
        context.close()
    finally:
        again.end()


def test_a_job_that_vanishes_is_told_and_put_back(first: sync_api.Page, tmp_path: Path) -> None:
    path = tmp_path / "data" / "demo" / "gannet.yaml"
    before = path.read_bytes()
    path.unlink()
    first.get_by_text("is no longer in its folder").wait_for()
    keyed(first, "put back").click()
    first.get_by_text("is no longer in its folder").wait_for(state="detached")
    assert path.read_bytes() == before


def test_another_job_opens_without_a_new_terminal_and_back(first: sync_api.Page) -> None:
    keyed(first, "own").wait_for()
    first.get_by_role("button", name="Jobs", exact=True).click()
    heading(first, "Jobs")
    first.get_by_role("button", name="Ostmerrow").click()
    heading(first, "Draw")
    first.get_by_text("ostmerrow.yaml").first.wait_for()
    first.reload()
    first.get_by_text("ostmerrow.yaml").first.wait_for()


def test_a_browser_without_scripts_is_told_plainly(browser: sync_api.Browser, served: FolderPage) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(served.address)
    page.get_by_text("This page needs a browser of 2022 or later, with JavaScript").wait_for(timeout=WAIT_MS)
    context.close()
