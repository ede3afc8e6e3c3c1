"""Proof in a real browser: a scan is dropped, refused for want of its code, read once that is typed, and passes."""

from __future__ import annotations

import base64
from pathlib import Path

import pytest

from tests.bench.browsing import MARKS, go, keyed, seen_by_all, settled
from tests.bench.proof_scans import ScannedProof, scanned_proof

sync_api = pytest.importorskip("playwright.sync_api")

pytestmark = MARKS
DROP = """([name, data]) => {
  const files = new DataTransfer();
  files.items.add(new File([Uint8Array.from(atob(data), (c) => c.charCodeAt(0))], name));
  const drop = { dataTransfer: files, bubbles: true, cancelable: true };
  document.querySelector('.by-scan').dispatchEvent(new DragEvent('drop', drop));
}"""


@pytest.fixture
def made(tmp_path: Path) -> ScannedProof:
    return scanned_proof(tmp_path)


@pytest.fixture
def job(made: ScannedProof) -> Path:
    return made.folder / "tug.yaml"


def drop(page: sync_api.Page, name: str, data: bytes) -> None:
    page.evaluate(DROP, [name, base64.b64encode(data).decode()])


def test_a_scan_is_dropped_mended_and_passes(page: sync_api.Page, made: ScannedProof) -> None:
    go(page, "Proof")
    keyed(page, "choose scan").wait_for()
    drop(page, "notes.txt", b"some notes")
    page.get_by_text("'notes.txt' is not a PNG, JPEG or TIFF picture").wait_for()
    settled(page)
    # What is no picture is not offered to be read again.
    assert keyed(page, "read scan again").count() == 0
    keyed(page, "card").fill("as large as a card")
    drop(page, "proof.png", made.scan)
    page.get_by_text("is not the size of a card").wait_for()
    assert keyed(page, "card").input_value() == "as large as a card"
    assert page.get_by_text("notes.txt").count() == 0
    keyed(page, "card").fill("")
    keyed(page, "read scan again").click()
    page.get_by_text("five letters, printed large").wait_for()
    settled(page)
    keyed(page, "code").fill(made.code)
    # The box that is typed in does not keep what comes of it from being shown.
    keyed(page, "read scan again").evaluate("(one) => one.click()")
    verdict = page.get_by_role("region", name="Verdict")
    verdict.get_by_role("heading", name="Passed").wait_for()
    page.get_by_role("progressbar").wait_for(state="detached")
    settled(page)
    assert "read from the scan 'proof.png'" in verdict.inner_text() and "was not read" not in verdict.inner_text()
    assert keyed(page, "read scan again").count() == 0 and page.get_by_text("five letters, printed large").count() == 0
    seen_by_all(page, "Proof with a scan read")
