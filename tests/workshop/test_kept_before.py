"""Profiles kept by the version before are read, used and added to: a stored one, as that version wrote it."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from decalgen.job.films import load_printer
from tests.helpers.commands import Run, runner

STORED = Path(__file__).parent / "kept_before" / "kitchen-inkjet.yaml"
ROWS = (
    "across foot: 119.70 119.71\nacross middle: 119.70 119.70\nacross head: 119.71 119.70\n"
    "up left: 139.20 139.21\nup middle: 139.20 139.20\nup right: 139.21 139.20\n"
    "A-C: 139.35 139.36\nB-D: 139.35 139.35\n"
)


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("DECALGEN_DATA", str(tmp_path / "data"))
    (tmp_path / "data" / "printers").mkdir(parents=True)
    shutil.copy(STORED, tmp_path / "data" / "printers" / "kitchen-inkjet-white-a5-rear-short-edge-first.yaml")
    return runner(capsys)


def test_its_readings_mean_what_they_meant() -> None:
    known = load_printer(STORED).history
    assert known is not None and known.newest is not None and known.setting is not None
    newest = known.newest
    assert (newest.date, newest.readings, newest.tool) == ("2026-11-20", 16, "caliper")
    assert (newest.x.value, newest.x.u) == pytest.approx((0.997, 0.00020072), abs=1e-9)
    assert (newest.y.value, newest.y.u) == pytest.approx((0.99399889, 0.00017205), abs=1e-9)
    assert newest.lean is not None and (newest.lean.value, newest.lean.u) == pytest.approx(
        (0.00148516, 0.00030446), abs=1e-9
    )
    (bars,) = known.bars
    ratio = bars.ratio("x")
    assert (bars.tool, bars.x) == ("steel rule", 99.9) and ratio is not None
    # u of one reading with a rule: √((0.2/√3)² + 0.2²) = 0.231 mm of 100 mm, as that version had it.
    assert ratio.u == pytest.approx(0.00231, abs=1e-5)


def test_a_new_calibration_joins_the_kept_one(run: Run) -> None:
    Path("r.txt").write_text(ROWS, encoding="utf-8")
    words = ("--film", "white A5", "--keep", "kitchen inkjet", "--tray", "rear", "--date", "2026-11-26")
    said = run("calibrate", "read", "r.txt", *words)
    assert said.code == 0 and "since 2026-11-20: x +" in said.out, said.text
    told = run("calibrate", "history", "kitchen inkjet")
    assert told.code == 0 and "2026-11-20" in told.out and "2026-11-26" in told.out and "the newest" in told.out
    (kept,) = Path("data/printers").iterdir()
    known = load_printer(kept).history
    assert known is not None and [one.date for one in known.calibrations] == ["2026-11-20", "2026-11-26"]
    assert len(known.bars) == 1
