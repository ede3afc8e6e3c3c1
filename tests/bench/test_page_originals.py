"""Originals in a real browser: a scan is dropped, read, corrected by hand, and seen on Draw."""

from __future__ import annotations

import base64
from pathlib import Path

import pytest

from decalgen.job.edits import values
from tests.bench.browsing import MARKS, go, kept, keyed, seen_by_all, settled
from tests.bench.scanned_door import door, scanned_checks
from tests.scan.scans import MadeScan

sync_api = pytest.importorskip("playwright.sync_api")

pytestmark = MARKS
DROP = """([name, data]) => {
  const bytes = Uint8Array.from(atob(data), (c) => c.charCodeAt(0));
  const files = new DataTransfer();
  files.items.add(new File([bytes], name));
  const drop = { dataTransfer: files, bubbles: true, cancelable: true };
  document.querySelector('.originals').dispatchEvent(new DragEvent('drop', drop));
}"""


@pytest.fixture
def job(tmp_path: Path) -> Path:
    return door(tmp_path)


@pytest.fixture(scope="module")
def made() -> MadeScan:
    return scanned_checks()


def read(page: sync_api.Page) -> None:
    page.get_by_role("heading", name="Checks, 8 columns").wait_for()
    page.locator(".stage").wait_for(state="detached")
    settled(page)


def test_a_scan_is_dropped_read_typed_over_added_and_seen_on_draw(
    page: sync_api.Page, job: Path, made: MadeScan
) -> None:
    go(page, "Originals")
    page.evaluate(DROP, ["notes.txt", base64.b64encode(b"some notes").decode()])
    page.get_by_text("'notes.txt' is not a PNG, JPEG or TIFF picture").wait_for()
    page.evaluate(DROP, ["door.png", base64.b64encode(made.data).decode()])
    read(page)
    assert page.get_by_text("notes.txt").count() == 0
    seen_by_all(page, "Originals with a scan read")
    assert page.locator(".glass img").first.evaluate("one => one.decode().then(() => one.naturalWidth > 50)")
    assert page.locator(".glass .edge").count() > 10 and page.locator(".glass .gone").count() > 0
    own = page.get_by_label("Your columns")
    own.fill("many")
    own.press("Enter")
    page.get_by_text("'many' is not a count for columns").wait_for()
    # What was refused stays in its box, also where the page is loaded again.
    page.reload()
    read(page)
    assert own.input_value() == "many"
    own.fill("7")
    own.press("Enter")
    page.get_by_role("heading", name="Checks, 7 columns").wait_for()
    keyed(page, "add original").click()
    page.get_by_text("'checks of door' is on door.").wait_for()
    kept(page)
    decal = values(job.read_text(encoding="utf-8"))["decals"]["checks of door"]
    assert decal["artwork"][0]["checks"]["columns"] == "7"
    assert not job.with_name("door.png").exists()
    keyed(page, "see checks of door").click()
    keyed(page, "piece checks of door").first.wait_for()


def test_a_chosen_corner_is_moved_by_the_arrow_keys_and_a_frame_is_dragged(page: sync_api.Page, made: MadeScan) -> None:
    go(page, "Originals")
    page.locator("input[type=file]").set_input_files({"name": "door.png", "mimeType": "image/png", "buffer": made.data})
    read(page)
    keyed(page, "size by").select_option("corners")
    first = page.get_by_role("button", name="Lower left corner")
    first.focus()
    page.locator(".lens").wait_for()
    noted = "() => JSON.parse(Object.entries(localStorage).find(([key]) => key.includes('corners '))[1])[0]"
    page.keyboard.press("ArrowRight")
    x, y = page.evaluate(noted)
    # The corners begin where the card was found, which is known from how the scan was made.
    assert x - 1 == pytest.approx(made.card[0][0], abs=0.3) and y == pytest.approx(made.card[0][1], abs=0.3)
    page.keyboard.press("Shift+ArrowUp")
    assert page.evaluate(noted) == pytest.approx([x, y - 0.1])
    keyed(page, "use points").click()
    page.get_by_text("four points, a rectangle of 85.6 × 53.98 mm").wait_for()
    settled(page)
    keyed(page, "frame").click()
    box = page.locator(".glass").bounding_box()
    assert box is not None
    page.mouse.move(box["x"] + 4, box["y"] + 4)
    page.mouse.down()
    page.mouse.move(box["x"] + box["width"] - 4, box["y"] + 0.2 * box["height"], steps=3)
    page.mouse.up()
    keyed(page, "no frame").wait_for()
    read(page)
