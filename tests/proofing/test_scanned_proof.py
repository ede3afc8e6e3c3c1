"""`proof passed --scan` through the command: what is kept, what stays, and how what is typed wrongly is told. The
reading itself is stood in for; `tests/scan/printed/test_bars.py` looks at it."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from decalgen.core.errors import EXIT_FINDINGS
from decalgen.core.instruments import scan_beside_card
from decalgen.proofing import scanned_bars
from decalgen.proofing.files import standard_of
from decalgen.sheet.positions import read_positions
from tests.helpers.commands import Run, runner
from tests.helpers.tug import JOB

FILM = ("--film", "white A5", "--effort", "quick")
PASSED = ("proof", "passed", "tug-proof.pdf")


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("DECALGEN_DATA", str(tmp_path / "data"))
    Path("tug.yaml").write_text(JOB, encoding="utf-8")
    Path("proof.png").write_bytes(b"\x89PNG\r\n\x1a\n not looked at")
    return runner(capsys, gated=True)


def seen(monkeypatch: pytest.MonkeyPatch, x: float, y: float) -> None:
    """A scan in which the bars measure so much, known to 0.23 and 0.15 % (U)."""
    found: Any = scanned_bars.ScannedBars((x,), (y,), scan_beside_card(0.23, 0.15), "a card of 85.6 × 53.98 mm", None)  # type: ignore[arg-type]
    monkeypatch.setattr(scanned_bars, "read_bars", lambda *_: found)


def kept() -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = json.loads(Path("tug.proven.json").read_text(encoding="utf-8"))["measured"]
    return found


def test_a_scan_screens_and_the_record_says_that_it_was_one(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    assert run("proof", "tug.yaml", *FILM).code == 0
    bars = standard_of(read_positions(Path("tug.positions.json"))).bars
    # Inside the film of 148 x 210 mm, one along the foot and one up the left side.
    assert all(bar.at is not None and 10 < bar.at[0] < 40 and 10 < bar.at[1] < 110 for bar in bars)
    scan = (*PASSED, "--scan", "proof.png", "--beside", "card")

    # Worked out by hand: 0.3 % are allowed, and 1.3 times that less 1.645 u = 0.39 - 1.645 * 0.117 = 0.197 % of u.
    seen(monkeypatch, 100.25, 100.0)
    unsure = run(*scan)
    assert (
        unsure.code == EXIT_FINDINGS
        and "with the caliper" in unsure.out
        and "read from the scan 'proof.png'" in unsure.out
    )
    assert run("sheet", "tug.yaml", *FILM).code == 1

    # (148 - 2 x 5)/148: fitted to margins of 5 mm.
    seen(monkeypatch, 93.24, 93.3)
    off = run(*scan)
    assert off.code == EXIT_FINDINGS and "fitted to the printable area" in off.out

    # What the caliper told stays where a scan cannot tell.
    assert run(*PASSED, "--x", "99.9", "--y", "100.1").code == 0
    seen(monkeypatch, 100.25, 100.0)
    stays = run(*scan)
    assert stays.code == 0 and "the readings of before stay, made with a caliper" in stays.out
    assert kept()[0]["tool"] == "caliper" and kept()[0]["x"] == [99.9]

    seen(monkeypatch, 100.15, 99.9)
    assert run(*scan).code == 0
    assert kept() == [
        {"page": "148 × 210 mm", "sheet": 1, "tool": "scan beside card 0.23 x 0.15 %", "x": [100.15], "y": [99.9]}
    ]
    assert run("sheet", "tug.yaml", *FILM).code == 0
    (record,) = Path().glob("*.record.json")
    told = json.loads(record.read_text(encoding="utf-8"))["measured"]
    assert any("read from a scan beside card 0.23 x 0.15 % (k = 2), not with a caliper" in line for line in told)

    # What is typed wrongly costs nothing that is kept.
    before = Path("tug.proven.json").read_bytes()
    for words, told in (
        (("--scan", "proof.png", "--beside", "card", "--x", "99.9"), "both typed and scanned"),
        (("--scan", "proof.png"), "nothing tells the scanner's own scale"),
        (("--beside", "card", "--x", "99.9", "--y", "99.9"), "--beside goes with --scan"),
        (("--scan", "none.png", "--beside", "card"), "none.png"),
    ):
        said = run(*PASSED, *words)
        assert said.code != 0 and told in said.err, said.err
    assert Path("tug.proven.json").read_bytes() == before
