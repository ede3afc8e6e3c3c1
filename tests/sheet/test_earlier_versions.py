"""Kept files of earlier versions: positions and records print the same geometry, profiles and drawers work, and a proof
passed then is passed again. The samples lie in `tests/data/kept/`, made by that version (see SOURCE.md there)."""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path

import pdfplumber
import pytest

from decalgen.sheet.positions import read_positions
from decalgen.sheet.record import read_record
from decalgen.workshop.drawer import Drawer
from decalgen.workshop.profiles import kept
from tests.helpers.commands import Run, edited, runner

WORDS = ("tug.yaml", "--film", "film.yaml", "--printer", "printer.yaml", "--effort", "quick")
TURNED_BAND = 90
"""All pieces of the samples are turned by a quarter."""


@pytest.fixture
def run(tmp_path: Path, repository: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    shutil.copytree(repository / "tests" / "data" / "kept" / "0.1.0", tmp_path, dirs_exist_ok=True)
    (tmp_path / "data").mkdir()
    shutil.copytree(tmp_path / "printers", tmp_path / "data" / "printers")
    shutil.copy(tmp_path / "film-drawer.sqlite", tmp_path / "data" / "film-drawer.sqlite")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("DECALGEN_DATA", str(tmp_path / "data"))
    return runner(capsys, gated=True)


def places(svg: str) -> list[tuple[float, ...]]:
    """Where the decals are placed on a sheet: the matrices of what is drawn once and used often."""
    found = re.findall(r'<use[^>]*transform="matrix\(([^)]*)\)', svg)
    return sorted(tuple(round(float(n), 3) for n in re.split(r"[ ,]+", one)) for one in found)


def places_then() -> list[tuple[float, ...]]:
    """The same of the sheet that the earlier version printed."""
    return [tuple(one) for one in json.loads(Path("tug-sheet.places.json").read_text(encoding="utf-8"))]


def test_positions_print_where_they_say(run: Run) -> None:
    """The numbers as the file of that time says them, read here without our reader."""
    rows = json.loads(Path("tug.positions.json").read_text(encoding="utf-8"))["positions"]
    said = run("sheet", *WORDS, "-o", "tug-sheet.svg", "--without-proof", "a test")
    assert said.code == 0 and "positions: as on the proof (tug.positions.json)" in said.out, said.text
    drawn = places(Path("tug-sheet.svg").read_text(encoding="utf-8"))
    assert len(rows) == 6 and drawn == places_then()
    saved = read_positions(Path("tug.positions.json"))
    assert [(p.key, p.x, p.y, p.turn) for p in saved.positions] == [
        (row["decal"], row["x"], row["y"], TURNED_BAND) for row in rows
    ]


def test_positions_of_other_decals_are_still_told_as_others(run: Run) -> None:
    edited("height: 5 mm", "height: 5.5 mm")
    said = run("sheet", *WORDS, "--without-proof", "a test")
    assert said.code == 1 and "the decals, the film or the printer changed since" in said.err


def test_a_record_prints_the_same_places_and_all_its_files(run: Run) -> None:
    (record,) = Path().glob("*.record.json")
    for name in ("tug.yaml", "inks.yaml", "film.yaml", "printer.yaml", "tug.positions.json"):
        Path(name).unlink()
    said = run("sheet", "--again", str(record))
    assert said.code == 0, said.err
    names = [name for name, _ in read_record(record.read_text(encoding="utf-8"), "record").files]
    assert names == ["tug-sheet.pdf", "tug-sheet.svg", "tug-cut.svg"]
    assert all(Path(name).is_file() for name in names)
    assert places(Path("tug-sheet.svg").read_text(encoding="utf-8")) == places_then()
    # The sheet still bears the eight figures that its proof's paper bears.
    assert b"arrangement 3c890480a649027e" in Path("tug-sheet.pdf").read_bytes()


def test_a_proof_passed_then_is_passed_again(run: Run) -> None:
    before = Path("tug.proven.json").read_bytes()
    said = run("sheet", *WORDS)
    assert said.code == 1 and "was passed with an earlier version" in said.err
    assert "make the proof again" in said.err and not Path("tug-sheet.pdf").exists()
    # Its paper has no code: it cannot be passed as it is.
    said = run("proof", "passed", "tug.positions.json", "--code", "BCDFG", "--x", "99.9", "--y", "100.1")
    assert said.code == 1 and "made by an earlier version, whose sheets carried other marks" in said.err
    assert Path("tug.proven.json").read_bytes() == before
    assert run("proof", *WORDS).code == 0
    assert run("proof", "passed", "tug-proof.pdf", "--x", "99.9", "--y", "100.1").code == 0
    assert run("sheet", *WORDS).code == 0


def test_a_record_of_before_is_printed_with_its_bars_on_the_film(run: Run) -> None:
    """100 mm along the foot, as a caliper measures it, and crosses of 6 mm."""
    (record,) = Path().glob("*.record.json")
    assert run("sheet", "--again", str(record)).code == 0
    with pdfplumber.open("tug-sheet.pdf") as pdf:
        lines = [(line["x1"] - line["x0"]) * 25.4 / 72 for line in pdf.pages[0].lines]
    # The printer of the sample is corrected by 1.00123.
    assert max(lines) == pytest.approx(100 * 1.00123, abs=0.002)
    assert any(abs(length - 6 * 1.00123) < 0.001 for length in lines)


@pytest.fixture
def crossed(tmp_path: Path, repository: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with the files of a sheet whose film carries crosses."""
    folder = tmp_path / "crosses"
    shutil.copytree(repository / "tests" / "data" / "kept" / "crosses", folder)
    monkeypatch.chdir(folder)
    return folder


def test_a_record_with_crosses_goes_on_reading(run: Run, crossed: Path) -> None:
    """The lengths as the file says them, read here without our reader."""
    (path,) = crossed.glob("*.record.json")
    kept_so = json.loads(path.read_text(encoding="utf-8"))
    assert [(one["axis"], one["length"]) for one in kept_so["crosses"]] == [("x", 125.81), ("y", 7.99)]
    record = read_record(path.read_text(encoding="utf-8"), "record")
    assert record.crosses is not None and [one.length for one in record.crosses] == [125.81, 7.99]
    said = run("sheet", "--again", path.name)
    assert said.code == 0, said.err
    with pdfplumber.open("tug-sheet.pdf") as pdf:
        lines = [(line["x1"] - line["x0"]) * 25.4 / 72 for line in pdf.pages[0].lines]
    assert max(lines) == pytest.approx(4 * 1.00123, abs=0.001)


def test_a_proof_passed_then_still_prints(run: Run, crossed: Path) -> None:
    assert run("sheet", *WORDS).code == 0


def test_drift_asks_a_record_how_far_apart_its_crosses_are(run: Run, crossed: Path) -> None:
    (path,) = crossed.glob("*.record.json")
    words = ("calibrate", "bars", "desk inkjet", "--date", "2026-12-01", "--record", path.name)
    said = run(*words, "--x", "125.8 125.8 125.82")
    assert said.code == 0 and "of 125.81 mm" in said.out, said.text
    said = run(*words, "--y", "8.0 8.0 7.98")
    assert said.code == 0 and "7.99 mm is short: it can show that the print is wrong" in said.out, said.text
    said = run(*words, "--sheet", "2", "--x", "125.8")
    assert said.code != 0 and "has no crosses on sheet 2" in said.err and "measure sheet 1" in said.err
    # A reading of the wrong length is told with the way to say which is right.
    said = run("calibrate", "bars", "desk inkjet", "--date", "2026-12-01", "--x", "125.8")
    assert said.code != 0 and "--record" in said.err


def test_drift_asks_a_record_of_before_for_its_bars(run: Run) -> None:
    """Its film has bars of 100 mm and no crosses whose distance it knows."""
    (record,) = Path().glob("*.record.json")
    words = ("calibrate", "bars", "desk inkjet", "--date", "2026-12-01", "--record", record.name)
    said = run(*words, "--x", "99.9 99.92 99.9", "--y", "100.0 100.02 100.0")
    assert said.code == 0 and said.out.count("mm of 100 mm") == 2, said.text
    assert "cross" not in said.out


def test_profiles_and_drawers_work(run: Run) -> None:
    (profile,) = kept()
    assert (profile.printer.name, profile.setting.tray) == ("desk inkjet", "rear")
    assert profile.printer.scale_x == pytest.approx(1 / 1.00093519)
    first, second = Drawer().sheets()
    assert (first.name, first.entry.price, len(first.parts), len(first.marks)) == ("white A5 1", "4.50 EUR", 4, 3)
    assert not second.parts
    said = run("film", "export", "now.json")
    assert said.code == 0
    before = json.loads(Path("film-drawer.json").read_text(encoding="utf-8"))
    # What came since: an opacity of each sheet, not known of these.
    since = {"form": "decalgen film drawer 4", "sheets": [{**one, "opacity": None} for one in before["sheets"]]}
    assert before["form"] == "decalgen film drawer 3"
    assert json.loads(Path("now.json").read_text(encoding="utf-8")) == since
    said = run("film", "use", "white A5 1", "drawer.positions.json")
    assert said.code == 0, said.err
    assert len(Drawer().sheets()[0].parts) > 4


def test_an_export_goes_into_an_empty_drawer(run: Run) -> None:
    Path("data/film-drawer.sqlite").unlink()
    assert run("film", "import", "film-drawer.json").code == 0
    assert [sheet.name for sheet in Drawer().sheets()] == ["white A5 1", "white A5 2"]


@pytest.mark.parametrize("name", ["tug.positions.json", "tug.proven.json", "tug-a7ae9392.record.json"])
def test_a_newer_form_is_told_as_newer(run: Run, name: str) -> None:
    edited(' 1"', ' 9"', name)
    said = run("sheet", "--again", name) if "record" in name else run("sheet", *WORDS)
    assert said.code != 0 and "newer version of decalgen" in said.err, said.err
