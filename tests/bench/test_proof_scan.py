"""Proof's bars read from a scan, without a browser: as the command reads them, and what is wrong costs nothing."""

from __future__ import annotations

import io
import json
import re
import shutil
import threading
import time
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from PIL import Image
from starlette.testclient import TestClient

from decalgen.bench import serve
from decalgen.bench.guard import MOST_BODY, MOST_PICTURE, PROOF_SCANS
from decalgen.bench.page_words import on_page
from decalgen.commands.page_scans import MOST_BYTES, PageScan
from decalgen.commands.proof_passed import pass_proof
from decalgen.core.instruments import scan_beside_card
from decalgen.core.pixels.values import PictureData
from decalgen.proofing import scanned_bars
from decalgen.scan.printed.beside import CardSize
from tests.bench.first_minute import browser_of
from tests.bench.proof_scans import ScannedProof, scanned_proof

RAW = {"content-type": "application/octet-stream"}


def blank() -> bytes:
    out = io.BytesIO()
    Image.new("L", (400, 300), "white").save(out, "PNG")
    return out.getvalue()


PNG = blank()


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> ScannedProof:
    return scanned_proof(tmp_path_factory.mktemp("scanned"))


@pytest.fixture
def job(made: ScannedProof, tmp_path: Path) -> Path:
    shutil.copytree(made.folder, tmp_path, dirs_exist_ok=True)
    return tmp_path / "tug.yaml"


@pytest.fixture
def page(job: Path) -> Iterator[TestClient]:
    yield from browser_of(serve.shelf_of(job))


def bring(page: TestClient, code: str, data: bytes = PNG, **more: str) -> Any:
    return page.post(PROOF_SCANS, params={"name": "proof.png", "code": code, **more}, content=data, headers=RAW)


def shown(page: TestClient) -> dict[str, Any]:
    """The page once nothing is made any more, and it knows that the proof holds."""
    while True:
        found: dict[str, Any] = page.get("/state", params={"screen": "proof"}).json()
        if not found["busy"] and not found["screen"]["verdict"].get("unsure"):
            return found
        time.sleep(0.01)


def judge(page: TestClient, code: str, x: str, y: str, tool: str = "caliper") -> Any:
    asked = {"code": code, "x": x, "y": y, "sheet": "1", "tool": tool, "view": {"screen": "proof"}}
    return page.post("/do/proof/judge", json=asked)


def standing(found: dict[str, Any]) -> tuple[bool, str]:
    step = next(step for step in found["steps"] if step["key"] == "proof")
    return step["done"], step["words"]


def readings(job: Path) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = json.loads(job.with_name("tug.proven.json").read_text(encoding="utf-8"))["measured"]
    return found


def seen(monkeypatch: pytest.MonkeyPatch, x: float, y: float) -> list[tuple[int, PictureData, CardSize]]:
    """A scan in which the bars measure so much, known to 0.23 and 0.15 % (U); the list has what each was read of."""
    asked = []

    def read(_: object, sheet: int, picture: PictureData, card: CardSize) -> Any:
        asked.append((sheet, picture, card))
        return scanned_bars.ScannedBars((x,), (y,), scan_beside_card(0.23, 0.15), "a card", None)  # type: ignore[arg-type]

    monkeypatch.setattr(scanned_bars, "read_bars", read)
    return asked


def test_the_bars_are_read_as_the_command_reads_them(
    page: TestClient, made: ScannedProof, job: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # Asked for the very same, it is not read a second time.
    monkeypatch.setattr(scanned_bars, "read_bars", cache(scanned_bars.read_bars))
    shown(page)
    scan = PageScan(PictureData("proof.png", made.scan))
    by_command, verdict = pass_proof(job.with_name("tug-proof.pdf"), (), (), "", 1, made.code, scan)
    assert bring(page, made.code, made.scan).status_code == 200
    found = shown(page)
    assert scanned_bars.read_bars.cache_info().misses == 1  # type: ignore[attr-defined]
    assert found["screen"]["scan"] == found["screen"]["scan"] | {"busy": False, "read": "proof.png", "wrong": None}
    assert found["screen"]["verdict"]["word"] == verdict.word == "passed" and standing(found) == (True, "passed")
    lines = found["screen"]["verdict"]["lines"]
    assert lines == [on_page(one) for one in by_command.lines] and "'proof.png'" in lines[0]
    (text,) = (text for path, text in by_command.files.items() if path.name == "tug.proven.json")
    assert job.with_name("tug.proven.json").read_bytes() == (text.encode() if isinstance(text, str) else text)
    # What is true of the paper is known from how the scan was made; each reading is told with its U.
    for line, true in zip(lines[1:3], (made.x, made.y), strict=True):
        said = re.search(r"bar: ([\d.]+) mm of 100 mm, .* ± ([\d.]+)%", line)
        assert said is not None and float(said[1]) == pytest.approx(true, abs=float(said[2])), line
        assert 0.05 < float(said[2]) < 0.3


def test_what_is_typed_goes_to_the_reading(
    page: TestClient, made: ScannedProof, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked = seen(monkeypatch, 100.0, 100.0)
    for typed in ("", "85.58 x 53.97", "85,58 × 53,97 mm"):
        assert bring(page, made.code, card=typed, sheet="").status_code == 200
        shown(page)
    sizes = [(sheet, picture.data, card.size) for sheet, picture, card in asked]
    # ISO/IEC 7810, ID-1, where nothing is typed.
    assert sizes == [(1, PNG, (85.6, 53.98)), (1, PNG, (85.58, 53.97)), (1, PNG, (85.58, 53.97))]


def test_a_scan_refuses_and_asks_for_the_caliper_and_puts_no_typed_reading_aside_then(
    page: TestClient, made: ScannedProof, job: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # Worked out by hand: 0.3 % are allowed, and 1.3 times that less 1.645 u = 0.39 - 1.645 * 0.117 = 0.197 % of u.
    seen(monkeypatch, 100.25, 100.0)
    bring(page, made.code)
    found = shown(page)
    assert found["screen"]["verdict"]["word"] == "cannot tell"
    assert any("three times with the caliper" in one for one in found["screen"]["verdict"]["lines"])
    assert standing(found) == (False, "cannot tell yet: measure its bars again")
    assert "does not tell yet" in found["screen"]["opening"] and "Print waits" in found["screen"]["opening"]
    # (148 - 2 × 5)/148: fitted to margins of 5 mm.
    seen(monkeypatch, 93.24, 93.3)
    bring(page, made.code)
    found = shown(page)
    assert found["screen"]["verdict"]["word"] == "refused" and standing(found) == (False, "refused")
    assert any("fitted to the printable area" in one for one in found["screen"]["verdict"]["lines"])
    assert judge(page, made.code, "99.9", "100.1").status_code == 200
    seen(monkeypatch, 100.25, 100.0)
    bring(page, made.code)
    found = shown(page)
    assert found["screen"]["verdict"]["word"] == "passed" and standing(found) == (True, "passed")
    assert any("the readings of before stay, made with a caliper" in one for one in found["screen"]["verdict"]["lines"])
    assert [(one["tool"], one["x"], one["y"]) for one in readings(job)] == [("caliper", [99.9], [100.1])]


def test_readings_that_cannot_tell_are_shown_with_what_can(page: TestClient, made: ScannedProof) -> None:
    # 0.1 mm of 0.3 mm that are allowed, with a rule that each end is read to a quarter of a millimetre with.
    assert judge(page, made.code, "100.1", "100", "steel rule").status_code == 200
    verdict = shown(page)["screen"]["verdict"]
    assert verdict["word"] == "cannot tell" and "choose steel rule at Measured with" in " ".join(verdict["lines"])
    assert "--" not in " ".join(verdict["lines"])


WRONG = {
    "no code": ({"code": " "}, "was not typed", "printed large"),
    "a code that is none": ({"code": "AAAAA"}, "is not a code", "printed large"),
    "no picture": ({"data": b"some notes"}, "is not a PNG, JPEG or TIFF picture", ""),
    "nothing": ({"data": b""}, "is not a PNG, JPEG or TIFF picture", ""),
    "a spoiled picture": ({"data": PNG[:-40]}, "'proof.png'", ""),
    "an empty one": ({}, "'proof.png' is blank", ""),
    "no size": ({"card": "a card"}, "is not the size of a card", "85.58 mm x 53.97 mm"),
    "a long size": ({"card": "8" * 500}, "is not the size of a card", "width and height"),
    "no sheet": ({"sheet": "first"}, "Sheet: 'first' is not a whole number", "digits"),
    "a sheet without bars": ({"sheet": "7"}, "sheet 7", ""),
}


@pytest.mark.parametrize("name", WRONG)
def test_what_is_wrong_is_told_with_its_fix_and_costs_nothing(
    page: TestClient, made: ScannedProof, job: Path, name: str
) -> None:
    given, message, fix = WRONG[name]
    assert judge(page, made.code, "99.9", "100.1").status_code == 200
    before = shown(page)["screen"]["verdict"], job.with_name("tug.proven.json").read_bytes()
    answer = bring(page, **{"code": made.code, **given})  # type: ignore[arg-type]
    found = shown(page)["screen"]
    at_once = answer.status_code == 422
    told = (
        answer.json() if at_once else {"message": found["scan"]["wrong"]["wrong"], "fix": found["scan"]["wrong"]["fix"]}
    )
    assert message in told["message"] and told["fix"] and fix in told["fix"]
    assert "--" not in told["message"] + told["fix"] and "`" not in told["fix"]
    # Only of what is no picture the page forgets the file.
    assert told.get("unread", False) == (name in ("no picture", "nothing", "a spoiled picture"))
    assert (found["verdict"], job.with_name("tug.proven.json").read_bytes()) == before
    # What is typed then is the newest that is said of the proof.
    judge(page, made.code, "99.9", "100.1")
    assert shown(page)["screen"]["scan"]["wrong"] is None


def test_while_a_scan_is_read_nothing_else_is_judged(
    page: TestClient, made: ScannedProof, job: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    begun, go = threading.Event(), threading.Event()

    def fails(*_: Any) -> Any:
        begun.set()
        go.wait()
        raise RuntimeError("a screw is loose")

    monkeypatch.setattr(scanned_bars, "read_bars", fails)
    try:
        shown(page)
        assert bring(page, made.code).status_code == 200
        begun.wait()
        found = page.get("/state", params={"screen": "proof"}).json()
        assert found["busy"] == "reading the scan" and found["screen"]["scan"]["busy"]
        for answer in (judge(page, made.code, "99.9", "100.1"), bring(page, made.code)):
            assert answer.status_code == 422 and answer.json()["busy"]
            assert answer.json()["message"] == "decalgen is reading the scan"
        assert not job.with_name("tug.proven.json").exists()
    finally:
        go.set()
    assert "decalgen itself failed" in shown(page)["screen"]["scan"]["wrong"]["wrong"]
    assert judge(page, made.code, "99.9", "100.1").status_code == 200


def test_only_the_page_brings_scans_and_none_that_is_too_large(page: TestClient, made: ScannedProof) -> None:
    assert MOST_PICTURE == MOST_BYTES

    def status(**headers: str) -> int:
        found: int = page.post(PROOF_SCANS, content=PNG, headers={**RAW, **headers}).status_code
        return found

    assert status(origin="http://rebound.example") == 403
    assert status(**{"sec-fetch-site": "cross-site"}) == 403
    assert [status(**{"content-type": one}) for one in ("application/json", "text/plain", "image/png")] == [415] * 3
    assert status(**{"content-length": str(MOST_PICTURE + 1)}) == 413
    # Larger than whatever else is sent, it is taken in, and looked at.
    assert "is not a PNG" in bring(page, made.code, bytes(MOST_BODY + 1)).json()["message"]
    page.cookies.clear()
    assert status() == 401
