"""The proof gate through the commands: from a proof to film, what voids it, every mistake, kills and full disks."""

from __future__ import annotations

import errno
import json
import re
import subprocess
import sys
from pathlib import Path

import pytest

from decalgen.core import files
from decalgen.core.errors import EXIT_FINDINGS, OutputError
from tests.helpers.commands import Run, code_on, edited, folder, runner
from tests.helpers.tug import JOB

FILM = ("--film", "white A5", "--effort", "quick")


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("DECALGEN_DATA", str(tmp_path / "data"))
    Path("tug.yaml").write_text(JOB, encoding="utf-8")
    return runner(capsys, gated=True)


def proven(run: Run, *more: str) -> None:
    assert run("proof", "tug.yaml", *FILM, *more).code == 0
    assert run("proof", "passed", "tug-proof.pdf", "--x", "99.9", "--y", "100.1").code == 0


def test_from_proof_to_film(run: Run) -> None:
    said = run("proof", "tug.yaml", *FILM)
    assert "decalgen proof passed tug-proof.pdf --code _____ --x ____ --y ____\n" in said.out
    refused = run("sheet", "tug.yaml", *FILM)
    assert refused.code == 1 and "has no passed proof yet" in refused.err and not Path("tug-sheet.pdf").exists()
    # (148 - 2 x 5)/148: fitted to margins of 5 mm; its shorter side decides.
    off = run("proof", "passed", "tug-proof.pdf", "--x", "93.2", "--y", "93.3")
    assert off.code == EXIT_FINDINGS and "fitted to the printable area" in off.out
    assert "off size" in run("sheet", "tug.yaml", *FILM).err
    unsure = run("proof", "passed", "tug.positions.json", "--x", "100.2", "--y", "100", "--with", "steel rule")
    assert unsure.code == EXIT_FINDINGS and "cannot tell yet" in unsure.out
    assert "could not be judged" in run("sheet", "tug.yaml", *FILM).err
    assert run("proof", "passed", "tug-proof.pdf", "--x", "99.9 99.8", "--x", "99.9", "--y", "100.1").code == 0
    # Readings are kept, and no verdict.
    kept = json.loads(Path("tug.proven.json").read_text(encoding="utf-8"))
    assert set(kept) == {"form", "fingerprint", "measured", "content"}
    assert kept["measured"][0]["x"] == [99.9, 99.8, 99.9]
    assert run("sheet", "tug.yaml", *FILM).code == 0
    assert Path("tug-sheet.pdf").read_bytes().startswith(b"%PDF")


def test_a_sheet_named_otherwise_than_its_proof_is_printed_all_the_same(run: Run) -> None:
    proven(run)
    said = run("sheet", "tug.yaml", *FILM, "-o", "final.pdf")
    assert said.code == 0 and "positions: as on the proof (tug.positions.json)" in said.out
    # In another folder too, and from another one's jobs.
    assert run("sheet", "tug.yaml", *FILM, "-o", "elsewhere/final.pdf").code == 0


@pytest.mark.parametrize("words", [("99,8", "100,1"), ("3.931 in", "3.941 in"), ("99.8mm 99.9", "100.1 mm;100,1")])
def test_a_decimal_comma_and_fine_inches_are_readings(run: Run, words: tuple[str, str]) -> None:
    assert run("proof", "tug.yaml", *FILM).code == 0
    said = run("proof", "passed", "tug-proof.pdf", "--x", words[0], "--y", words[1])
    assert said.code == 0 and "of 100 mm" in said.out
    assert re.search(r"horizontal bar: 99\.8[0-9] mm", said.out) and "vertical bar: 100.10 mm" in said.out


@pytest.mark.parametrize(
    ("width", "height", "asks", "readings"),
    [
        # Bars are whole tens, with 3 mm at both ends; one keeps 6 or 7 mm off the other: worked out by hand, margins of
        # 10 mm. 60 mm across and 100 up become 50 and 80, 40 and 40 become 30 and 30 (or 20), 40 and 16 become 30.
        (80, 120, "--x ____ --y ____", ("--x", "50", "--y", "80")),
        (60, 60, "--x ____ --y ____", ("--x", "20 20 20", "--y", "30 30 30")),
        (60, 36, "--x ____", ("--x", "30")),
    ],
)
def test_small_sheets_are_measured_by_the_bars_they_have(
    run: Run, width: int, height: int, asks: str, readings: tuple[str, ...]
) -> None:
    Path("f.yaml").write_text(
        f"film: scrap\nkind: white\nprocess: inkjet\nwidth: {width} mm\nheight: {height} mm\n", encoding="utf-8"
    )
    edited("copies: 4", "copies: 1")
    words = ("tug.yaml", "--film", "f.yaml", "--effort", "quick")
    assert f"tug-proof.pdf --code _____ {asks}\n" in run("proof", *words).out
    assert run("proof", "passed", "tug-proof.pdf", *readings).code == 0
    assert run("sheet", *words).code == 0


def test_the_same_proof_made_again_stays_passed(run: Run) -> None:
    proven(run)
    assert run("proof", "tug.yaml", *FILM).code == 0
    assert run("sheet", "tug.yaml", *FILM).code == 0


def test_another_printer_file_voids_it(run: Run) -> None:
    proven(run)
    Path("p.yaml").write_text("printer: desk\nscale x: 1.002\n", encoding="utf-8")
    said = run("sheet", "tug.yaml", *FILM, "--printer", "p.yaml")
    assert said.code == 1
    assert "the printer changed since" in said.err
    assert not Path("tug-sheet.pdf").exists()


@pytest.mark.parametrize(
    ("change", "words", "told"),
    [
        ("", ("--film", "white A4"), "the film changed"),
        ("height: 5.1 mm", FILM, "the decals changed"),
        ("height: 5.1 mm", ("--film", "white A4"), "the decals and the film changed"),
        ("", (*FILM, "--gap", "4 mm"), "the gap changed"),
        ("", (*FILM, "--printer", "p.yaml"), "the printer changed"),
        ("", (*FILM, "--nest-again"), "leave out --nest-again"),
    ],
)
def test_what_changed_since_the_proof_is_named(run: Run, change: str, words: tuple[str, ...], told: str) -> None:
    proven(run)
    Path("p.yaml").write_text("printer: desk\nmargins: [6 mm, 6 mm, 6 mm, 6 mm]\n", encoding="utf-8")
    if change:
        edited("height: 5 mm", change)
    said = run("sheet", "tug.yaml", *words)
    assert said.code == 1 and told in said.err and "fix: " in said.err, said.err
    assert not Path("tug-sheet.pdf").exists()


def test_a_proof_made_anew_of_something_else_has_to_be_measured_anew(run: Run) -> None:
    proven(run)
    edited("height: 5 mm", "height: 5.1 mm")
    assert run("proof", "tug.yaml", *FILM).code == 0
    said = run("sheet", "tug.yaml", *FILM)
    assert "the decals" in said.err and "changed since" in said.err
    assert not Path("tug-sheet.pdf").exists()


def test_passing_a_proof_of_what_the_jobs_say_no_more_prints_nothing(run: Run) -> None:
    assert run("proof", "tug.yaml", *FILM).code == 0
    edited("copies: 4", "copies: 5")
    # What lies on the desk is a proof of four copies: it may be passed, but it proves nothing of five.
    assert run("proof", "passed", "tug-proof.pdf", "--x", "99.9", "--y", "100.1").code == 0
    said = run("sheet", "tug.yaml", *FILM)
    assert said.code == 1 and "the decals changed" in said.err
    assert not Path("tug-sheet.pdf").exists()


def test_positions_changed_by_hand_are_not_proven(run: Run) -> None:
    proven(run)
    text = Path("tug.positions.json").read_text(encoding="utf-8")
    x = re.search(r'"x": ([0-9.]+)', text)
    assert x is not None
    edited(x[0], f'"x": {float(x[1]) + 0.5}', "tug.positions.json")
    said = run("sheet", "tug.yaml", *FILM)
    assert said.code != 0
    assert not Path("tug-sheet.pdf").exists()


BOTH = ("--film", "white A5", "--film", "clear A4", "--effort", "quick")
CLEAR = "  line: {panel: door, film: clear, width: 12 mm, height: 2 mm, artwork: [{field: {ink: black}}]}\n"


def test_each_size_of_sheet_is_measured(run: Run) -> None:
    """A dialog that fits pages does nothing to A4 on A4 paper but its margins, and something else to A5."""
    Path("tug.yaml").write_text(JOB.replace("body: navy", "body: white") + CLEAR, encoding="utf-8")
    assert run("proof", "tug.yaml", *BOTH).code == 0
    first = run("proof", "passed", "tug-proof.pdf", "--x", "99.9", "--y", "100.1")
    assert first.code == 0 and "still to measure: sheet 2, of 210 × 297 mm: --sheet 2" in first.out
    assert "may be printed" not in first.out
    said = run("sheet", "tug.yaml", *BOTH)
    assert said.code == 1 and "sheets of another size or correction of this proof were not measured" in said.err
    off = run("proof", "passed", "tug-proof.pdf", "--x", "97", "--y", "97", "--sheet", "2")
    assert off.code == EXIT_FINDINGS and "scaled to 97 %" in off.out
    # One of them off size refuses both, and measuring the good one again does not hide it.
    again = run("proof", "passed", "tug-proof.pdf", "--x", "99.9", "--y", "100.1")
    assert again.code == EXIT_FINDINGS and "sheet 2, of 210 × 297 mm: refused before" in again.out
    assert "off size" in run("sheet", "tug.yaml", *BOTH).err
    good = run("proof", "passed", "tug-proof.pdf", "--x", "100", "--y", "100", "--sheet", "2")
    assert good.code == 0 and "this sheet may be printed on film" in good.out
    assert run("sheet", "tug.yaml", *BOTH).code == 0


def test_a_kill_while_the_verdict_is_written_leaves_the_earlier_one(run: Run) -> None:
    proven(run)
    before = folder()
    code = (
        "import os, sys; from decalgen.cli import main; os.fsync = lambda _: os._exit(9); "
        f"main.main(['proof', 'passed', 'tug-proof.pdf', '--code', {code_on(Path('tug-proof.pdf'))!r}, "
        "'--x', '97', '--y', '97'])"
    )
    done = subprocess.run([sys.executable, "-c", code], check=False, capture_output=True)
    assert done.returncode == 9
    assert {name: data for name, data in folder().items() if not name.startswith(".")} == before
    assert run("sheet", "tug.yaml", *FILM).code == 0


def test_a_full_disk_costs_no_verdict_and_no_sheet(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    proven(run)
    assert run("sheet", "tug.yaml", *FILM).code == 0
    before = folder()

    def full(_: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(files.os, "fsync", full)
    for words in (("proof", "passed", "tug-proof.pdf", "--x", "97", "--y", "96"), ("sheet", "tug.yaml", *FILM)):
        said = run(*words)
        assert said.code == OutputError.exit_code and "no space left" in said.err and "make room" in said.err
    assert folder() == before


def test_a_reason_prints_without_a_proof_and_is_told(run: Run) -> None:
    said = run("sheet", "tug.yaml", *FILM, "--without-proof", "a strip of spoilt film")
    assert said.code == 0
    assert "printed without a proof: a strip of spoilt film" in said.out
    assert "needs a reason" in run("sheet", "tug.yaml", *FILM, "--without-proof", " ").err


def test_a_print_shop_proves_its_own(run: Run) -> None:
    said = run("sheet", "tug.yaml", *FILM, "--for", "press")
    assert said.code == 0
    # Nothing is said of the printer at home, whose size error is not that of the shop.
    assert "for a print shop, in true millimetres" in said.out
    assert "size error" not in said.out and "proof" not in said.out


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("none-proof.pdf", "--x", "99.9", "--y", "100"), "there is no proof 'none.positions.json'"),
        (("tug-proof.pdf", "--x", "99,900", "--y", "100"), "write 99.900, or 99 900"),
        (("tug-proof.pdf", "--x", "-99.9", "--y", "100"), "is negative"),
        (("tug-proof.pdf", "--x", "3.93 in", "--y", "100"), "three decimals"),
        (("tug-proof.pdf", "--x", "3.93", "--y", "100"), "measure from tick to tick"),
        (("tug-proof.pdf", "--x", "99.9"), "the vertical bar was not measured"),
        (("tug-proof.pdf", "--x", "99.9", "--y", "100", "--sheet", "2"), "sheet 2 has no horizontal bar"),
        (("tug-proof.pdf", "--x", "99.9", "--y", "100", "--with", "calibre"), "caliper"),
    ],
)
def test_mistakes_are_told_and_cost_nothing(run: Run, words: tuple[str, ...], told: str) -> None:
    proven(run)
    before = folder()
    said = run("proof", "passed", *words)
    assert said.code != 0
    assert told in said.err
    assert folder() == before


def test_damaged_files_are_told(run: Run) -> None:
    proven(run)
    Path("tug.proven.json").write_text("{", encoding="utf-8")
    assert "is not a file of proof readings" in run("sheet", "tug.yaml", *FILM).err
    edited('"share"', '"shore"', "tug.positions.json")
    said = run("proof", "passed", "tug-proof.pdf", "--x", "99.9", "--y", "100.1")
    assert "'tug.positions.json' was changed since decalgen wrote it" in said.err
