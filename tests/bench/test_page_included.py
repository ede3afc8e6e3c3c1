"""Files that a job includes, in a real browser: readings that are open there, and mistakes in them."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.bench.browsing import MARKS, go

sync_api = pytest.importorskip("playwright.sync_api")

pytestmark = MARKS


def test_a_panel_of_an_included_file_waits_on_measure_and_a_mistake_there_is_told(
    page: sync_api.Page, job: Path
) -> None:
    common = job.with_name("common-inks.yaml")
    before = common.read_text(encoding="utf-8")
    text = job.read_text(encoding="utf-8")
    door = text[text.index("  door:\n") : text.index("  bonnet:")]
    job.write_text(text.replace(door, ""), encoding="utf-8")
    common.write_text(f"panels:\n{door}{before}".replace("22.40 mm ± 0.05", "?"), encoding="utf-8")
    there = page.locator("[data-key='elsewhere']")
    there.get_by_text("common-inks.yaml, line 3: width: ?.").wait_for()
    assert there.get_by_role("heading").inner_text() == "Open in other files"
    go(page, "Check")
    page.get_by_role("button", name="Measure for door roundel").click()
    page.get_by_role("heading", name="Measure", level=1).wait_for()
    there.wait_for()
    common.write_text(f"panels:\n{door}{before}".replace("22.40 mm ± 0.05", "22,4,0"), encoding="utf-8")
    mistake = page.get_by_role("region", name="Mistake in the file")
    mistake.get_by_text("common-inks.yaml, line 3: ").wait_for()
    mistake.get_by_text("Correct it in common-inks.yaml, in an editor.").wait_for()
    assert not page.locator("[data-key='mend']").count()
    common.write_text(f"panels:\n{door}{before}", encoding="utf-8")
    mistake.wait_for(state="detached")
    page.get_by_text("all kept").wait_for()


def test_a_reading_of_an_included_file_is_typed_on_measure(page: sync_api.Page, job: Path) -> None:
    common = job.with_name("common-inks.yaml")
    before = common.read_text(encoding="utf-8")
    common.write_text(f'panels:\n  hatch: {{width: "?", height: 6 mm}}\n{before}', encoding="utf-8")
    text = job.read_text(encoding="utf-8")
    plate = "  hatch plate: {panel: hatch, height: 3 mm, artwork: [field: {ink: white}]}\n"
    job.write_text(text.replace("\ndecals:\n", f"\ndecals:\n{plate}", 1), encoding="utf-8")
    there = page.locator("[data-key='elsewhere']")
    there.get_by_text("common-inks.yaml, line 2:").wait_for()
    box = there.get_by_role("textbox", name="hatch: width, mm")
    box.fill("9.")
    page.reload()
    assert box.input_value() == "9."
    box.fill("9.1 9.2 9.1")
    box.press("Enter")
    there.wait_for(state="detached")
    assert "width: [9.1 mm, 9.2 mm, 9.1 mm]" in common.read_text(encoding="utf-8")
    page.get_by_role("button", name="Undo hatch: width, in common-inks.yaml").click()
    there.wait_for()
    assert 'width: "?"' in common.read_text(encoding="utf-8")
