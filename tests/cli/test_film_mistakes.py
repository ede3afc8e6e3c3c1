"""Film that cannot be right, gaps that are none, and two programs at one drawer: told through the commands."""

from __future__ import annotations

import json
import sqlite3
from pathlib import Path

import pytest

from decalgen.workshop.drawer import Drawer, drawer_file
from decalgen.workshop.drawer.plain import write_plain
from tests.helpers.commands import Run, at_home, edited, folder, resealed
from tests.helpers.tug import ONE_BAND as JOB

FILM = "film: small\nkind: white\nprocess: inkjet\nwidth: {} mm\nheight: {} mm\n"


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Runs a command in a folder with the job `tug.yaml`, with a drawer of its own."""
    return at_home(JOB, tmp_path, monkeypatch, capsys)


def refused(run: Run, code: int, *words: str) -> str:
    """What a command says that fails and leaves everything as it was."""
    before = folder()
    said = run(*words)
    assert said.code == code and "fix: " in said.err, said.text
    assert folder() == before
    return said.err


@pytest.mark.parametrize("command", ["proof", "sheet"])
def test_a_decal_larger_than_any_free_area_is_named_with_the_size_it_needs(run: Run, command: str) -> None:
    Path("f.yaml").write_text(FILM.format(70, 50), encoding="utf-8")
    said = refused(run, 5, command, "tug.yaml", "--film", "f.yaml")
    # The printer leaves 10 mm on each side: 50 × 30 mm, less 0.5 mm of bleed on each side.
    assert "'band' of tug fits on no white film: it needs 38.0 × 58.0 mm" in said
    assert "the largest free area is" in said and "take a larger or another sheet" in said


def test_a_decal_larger_than_what_is_left_between_used_parts(run: Run) -> None:
    used = "used: [{at: [0 mm, 50 mm], size: [80 mm, 40 mm]}, {at: [60 mm, 0 mm], size: [40 mm, 50 mm]}, "
    used += "{at: [40 mm, 100 mm], size: [20 mm, 100 mm]}, {at: [90 mm, 60 mm], size: [20 mm, 130 mm]}]\n"
    Path("f.yaml").write_text("film: opened\nkind: white\nprocess: inkjet\nsheet: A5\n" + used, encoding="utf-8")
    said = refused(run, 5, "proof", "tug.yaml", "--film", "f.yaml")
    assert "'band' of tug fits on no white film: it needs 38.0 × 58.0 mm" in said


def test_a_decal_larger_than_any_sheet_of_the_drawer(run: Run) -> None:
    run("film", "add", "white A5", "--count", "2")
    for sheet in ("1", "2"):
        run("film", "cut-off", sheet, "--edge", "bottom 165")
    said = refused(run, 5, "proof", "tug.yaml", "--film", "drawer")
    assert "does not hold these decals of 22 cm²: 'band' of tug fits on no white film: it needs 38.0 × 58.0 mm" in said
    assert 'decalgen film add "white A5"' in said


@pytest.mark.parametrize(("width", "height"), [(18, 200), (200, 20), (20.5, 20.5)])
def test_film_smaller_than_the_margins(run: Run, width: float, height: float) -> None:
    Path("f.yaml").write_text(FILM.format(width, height), encoding="utf-8")
    said = refused(run, 6, "proof", "tug.yaml", "--film", "f.yaml")
    assert f"nothing of the film 'small' ({width:g} × {height:g} mm) is left to print on" in said
    assert "larger sheet, or correct the margins" in said


def test_film_whose_margins_leave_less_than_the_bleed(run: Run) -> None:
    Path("f.yaml").write_text(FILM.format(21, 100), encoding="utf-8")
    assert "smaller than its margins" in refused(run, 6, "proof", "tug.yaml", "--film", "f.yaml")


@pytest.mark.parametrize("gap", ["-1 mm", "-0.001mm", "101 mm", "2000 mm"])
def test_a_gap_that_is_none(run: Run, gap: str) -> None:
    for command in ("proof", "sheet"):
        assert "the gap between decals is " in refused(run, 5, command, "tug.yaml", "--gap", gap, "--film", "white A5")
    run("film", "add", "white A5")
    assert "the gap between decals is " in refused(run, 5, "proof", "tug.yaml", "--gap", gap, "--film", "drawer")


def test_no_gap_at_all_keeps_two_bleeds(run: Run) -> None:
    edited("{panel: door, width", "{panel: door, copies: 2, pin: [{at: [20 mm, 20 mm]}, {at: [20 mm, 58.9 mm]}], width")
    said = run("proof", "tug.yaml", "--gap", "0mm", "--film", "white A5")
    assert said.code == 5 and "pinned where it cannot lie" in said.err, "0.9 mm apart, but each bleeds 0.5 mm"
    edited("58.9 mm", "59 mm")
    said = run("proof", "tug.yaml", "--gap", "0mm", "--film", "white A5")
    assert said.code == 0, said.err


def test_a_million_copies(run: Run) -> None:
    edited("{panel: door, ", "{panel: door, copies: 1000000, ")
    said = refused(run, 2, "sheet", "tug.yaml", "--film", "white A5")
    assert "tug.yaml:7:" in said and "500" in said


def test_a_used_part_that_crosses_itself(run: Run) -> None:
    run("film", "add", "white A5")
    said = refused(run, 1, "film", "cut-off", "1", "--polygon", "0,0 40,30 40,0 0,30")
    assert "crosses itself at (20, 15)" in said and "once round the part" in said
    run("film", "cut-off", "1", "--edge", "top 20")
    plain = json.loads(write_plain(Drawer().sheets()))
    plain["sheets"][0]["name"] = "other"
    plain["sheets"][0]["used"][0]["points"] = [[0, 0], [40, 30], [40, 0], [0, 30]]
    Path("drawer.json").write_text(json.dumps(plain), encoding="utf-8")
    said = refused(run, 3, "film", "import", "drawer.json")
    assert "sheet 'other'" in said and "crosses itself at (20, 15)" in said


def test_two_programs_at_one_drawer(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    run("film", "add", "white A5")
    assert run("proof", "tug.yaml", "--film", "drawer", "--effort", "quick").code == 0
    monkeypatch.setattr("decalgen.workshop.drawer.store.Drawer.__init__.__defaults__", (None, 0.05))
    before = Drawer().sheets()
    other = sqlite3.connect(drawer_file(), isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    try:
        for words in (
            ("film", "use", "1", "tug.positions.json"),
            ("film", "add", "white A5"),
            ("film", "cut-off", "1", "--all"),
        ):
            said = run(*words)
            assert said.code == 1 and "another program is writing to the film drawer" in said.err
            assert "nothing is lost" in said.err
        assert "white A5 1" in run("film", "list").out, "looking needs no turn"
        assert run("sheet", "tug.yaml", "--film", "drawer").code == 0
    finally:
        other.execute("ROLLBACK")
        other.close()
    assert Drawer().sheets() == before
    assert run("film", "use", "1", "tug.positions.json").code == 0


def test_the_drawer_changed_by_another_program_between_proof_and_sheet(run: Run) -> None:
    run("film", "add", "white A5")
    assert run("proof", "tug.yaml", "--film", "drawer", "--effort", "quick").code == 0
    Drawer().take("1", [((0, 0), (148, 0), (148, 100), (0, 100))], "cut off")
    assert "never proven" in refused(run, 1, "sheet", "tug.yaml", "--film", "drawer")


def test_kept_positions_that_were_edited(run: Run) -> None:
    assert run("proof", "tug.yaml", "--film", "white A5", "--effort", "quick").code == 0
    kept = json.loads(Path("tug.positions.json").read_text(encoding="utf-8"))
    for change in ({"film": "clear A4"}, {"decal": "tug/other/"}, {"copy": 3}):
        resealed("tug.positions.json", positions=[{**kept["positions"][0], **change}])
        said = refused(run, 1, "sheet", "tug.yaml", "--film", "white A5")
        assert "does not hold the positions of all pieces" in said
