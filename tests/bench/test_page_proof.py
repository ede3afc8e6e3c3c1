"""Proof and Print in a real browser: what was passed and made is there until something changes, and after a start."""

from __future__ import annotations

from pathlib import Path

import pytest

from decalgen.proofing.files import positions_file, standard_of
from decalgen.proofing.fingerprint import code_of
from decalgen.sheet.positions import read_positions
from tests.bench.browsing import MARKS, Opened, go
from tests.bench.sheeting import tug

sync_api = pytest.importorskip("playwright.sync_api")

pytestmark = MARKS


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """A job of six small pieces."""
    return tug(tmp_path)


def card(page: sync_api.Page, step: str, words: str) -> None:
    page.locator(".card button", has_text=step).filter(has_text=words).first.wait_for()


def passed(page: sync_api.Page, job: Path) -> None:
    """A proof that is made, measured with a vernier caliper and passed."""
    go(page, "Proof")
    page.get_by_role("button", name="Make the proof", exact=True).click()
    page.get_by_role("link", name="tug-proof.pdf").wait_for()
    needed = standard_of(read_positions(positions_file(job)))
    length = {bar.axis: f"{bar.length:g}" for bar in needed.bars}
    page.get_by_label("Code on the paper").fill(code_of(needed.fingerprint))
    page.get_by_label("Horizontal bar, mm").fill(length["x"])
    page.get_by_label("Vertical bar, mm").fill(length["y"])
    page.get_by_label("Measured with").select_option("vernier")
    page.get_by_role("button", name="Judge it").click()
    page.get_by_role("region", name="Verdict").get_by_role("heading", name="Passed").wait_for()
    card(page, "Proof", "passed")


def test_a_change_ends_what_was_passed_and_made_and_taking_it_back_brings_it_back(
    page: sync_api.Page, job: Path
) -> None:
    passed(page, job)
    go(page, "Print")
    page.get_by_role("button", name="Make the sheet for film").click()
    page.get_by_role("link", name="tug-sheet.pdf").wait_for()
    assert page.get_by_text("for the cutting machine").count() == 0
    assert page.get_by_text("one file an ink").count() == 0
    text = job.read_text(encoding="utf-8")
    job.write_text(text.replace("height: 5 mm", "height: 4 mm"), encoding="utf-8")
    card(page, "Proof", "no longer holds")
    page.get_by_text("'tug-sheet.pdf' beside the job was made before").wait_for()
    assert page.get_by_role("link", name="tug-sheet.pdf").count() == 0
    assert page.get_by_role("button", name="Make the sheet for film").is_disabled()
    go(page, "Proof")
    page.get_by_text("Changed since this proof: the decals are no longer as on the proof: 'band'.").wait_for()
    assert page.get_by_role("region", name="Verdict").count() == 0
    job.write_text(text, encoding="utf-8")
    card(page, "Print", "made")
    go(page, "Print")
    page.get_by_role("link", name="tug-sheet.pdf").wait_for()


def test_what_is_no_reading_does_not_look_judged(page: sync_api.Page, job: Path) -> None:
    passed(page, job)
    page.get_by_label("Horizontal bar, mm").fill("abc")
    page.get_by_role("button", name="Judge it").click()
    page.get_by_text("What you typed just now was not judged").wait_for()
    assert "abc" in page.get_by_role("alert").filter(has_text="abc").inner_text()
    assert page.get_by_label("Horizontal bar, mm").input_value() == "abc"
    page.get_by_label("Horizontal bar, mm").fill("100")
    page.get_by_label("Code on the paper").fill("")
    page.get_by_role("button", name="Judge it").click()
    page.get_by_text("five letters, printed large").wait_for()
    assert "--code" not in page.locator("main").inner_text()


def test_all_is_there_after_a_start(page: sync_api.Page, job: Path, opened: Opened, tmp_path: Path) -> None:
    passed(page, job)
    opened.end()
    again = Opened(job, tmp_path / "data")
    try:
        # The port may be the same, and another token alone would not load the page anew.
        page.goto("about:blank")
        page.goto(again.address)
        page.get_by_role("heading", name="Measure", level=1).wait_for()
        card(page, "Proof", "passed")
        go(page, "Proof")
        page.get_by_role("link", name="tug-proof.pdf").wait_for()
        page.get_by_role("region", name="Verdict").get_by_role("heading", name="Passed").wait_for()
    finally:
        again.end()
