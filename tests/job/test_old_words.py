"""Words of job, layout and printer files that have changed are still read, and a note names line and new word."""

from __future__ import annotations

from pathlib import Path

import pytest

from decalgen.artwork.drawn import artworks
from decalgen.core.errors import Finding, JobError
from decalgen.job.films import load_printer
from decalgen.job.loader import load_job
from decalgen.job.model import Job, Printer
from decalgen.sheet.pieces import pieces
from tests.helpers.checks import check_jobs

OLD = """job: tug
body: navy
inks: {navy: "#1d2b4a"}
panels:
  lid: {kind: cap, width: 30 mm, height: 20 mm, radius across: 40 mm, radius up: 40 mm}
decals:
  band:
    panel: lid
    width: 12 mm
    height: 8 mm
    base: white
    base choke: 0.4 mm
    artwork:
      - group: {width: 10 mm, height: 6 mm, rotate: 90, elements: [field: {ink: navy}]}
      - star: {ink: white, diameter: 4 mm, rotation: 20}
"""
NEW = (
    OLD.replace("kind: cap", "kind: dome").replace("base", "backing").replace("rotate", "turn")
    .replace("rotation", "turn")
)  # fmt: skip
PRINTER = "printer: Desk inkjet\nscale x: 1.01\nshear: 0.002\n"
CALIBRATED = """printer: Desk inkjet
calibrations:
  - {date: "2026-11-25", x: 0.998, u x: 0.0001, y: 1.001, u y: 0.0001, shear: 0.0015, u shear: 0.0002, readings: 9}
"""


def load(tmp_path: Path, text: str) -> Job:
    (tmp_path / "tug.yaml").write_text(text, encoding="utf-8")
    return load_job(tmp_path / "tug.yaml")


def said(notes: tuple[Finding, ...]) -> list[tuple[str, int, str]]:
    return [(note.subject, note.place.line if note.place else 0, note.fix) for note in notes]


def test_old_words_of_a_job_mean_what_the_new_ones_mean(tmp_path: Path) -> None:
    old, new = load(tmp_path, OLD), load(tmp_path, NEW)
    assert new.notes == () and new.decals[0].backing == "white"

    assert [one.digest for one in artworks(old, False)] == [one.digest for one in artworks(new, False)]
    assert [(one.key, one.artwork.digest) for one in pieces([old], Printer())] == [
        (one.key, one.artwork.digest) for one in pieces([new], Printer())
    ]
    assert old.panels[0].width == new.panels[0].width and old.panels[0].sizes == new.panels[0].sizes


def test_each_old_word_of_a_job_is_noted_with_its_line(tmp_path: Path) -> None:
    assert said(load(tmp_path, OLD).notes) == [
        ("'cap'", 5, "write dome"),
        ("'base'", 11, "write backing"),
        ("'base choke'", 12, "write backing choke"),
        ("'rotate'", 14, "write turn"),
        ("'rotation'", 15, "write turn"),
    ]


def test_a_check_tells_them(tmp_path: Path) -> None:
    found = [one for one in check_jobs([load(tmp_path, OLD)], Printer()) if one.code == "old-word"]
    assert len(found) == 5
    assert "tug.yaml:11:5: note old-word: 'base': is called 'backing' now" in str(found[1])


def test_old_and_new_beside_each_other_is_a_mistake(tmp_path: Path) -> None:
    with pytest.raises(JobError) as failed:
        load(tmp_path, OLD.replace("    base: white\n", "    base: white\n    backing: none\n"))
    assert "tug.yaml:11:5: 'base' is the old word for 'backing', which is here too" in str(failed.value)


def test_a_variant_in_new_words_replaces_what_the_job_says_in_old_ones(tmp_path: Path) -> None:
    (tmp_path / "tug.yaml").write_text(OLD + "variants: {plain: {decals: {band: {backing: none}}}}\n", encoding="utf-8")
    assert load_job(tmp_path / "tug.yaml", "plain").decals[0].backing == "none"


def test_a_variant_in_old_words_is_noted(tmp_path: Path) -> None:
    text = NEW + "variants: {plain: {decals: {band: {base: none}}}}\n"
    assert said(load(tmp_path, text).notes) == [("'base'", 16, "write backing")]


def test_old_words_behind_a_value_are_read(tmp_path: Path) -> None:
    text = NEW.replace("      - star: {ink: white, diameter: 4 mm, turn: 20}", "      - star: <mark>")
    text += "values: {mark: {ink: white, diameter: 4 mm, rotation: 20}}\n"
    assert said(load(tmp_path, text).notes) == [("'rotation'", 16, "write turn")]


def test_old_words_of_a_printer_file(tmp_path: Path) -> None:
    (tmp_path / "printer.yaml").write_text(PRINTER, encoding="utf-8")
    printer = load_printer(tmp_path / "printer.yaml")
    assert printer.lean == 0.002 and said(printer.notes) == [("'shear'", 3, "write lean")]
    (tmp_path / "printer.yaml").write_text(CALIBRATED, encoding="utf-8")
    printer = load_printer(tmp_path / "printer.yaml")
    assert printer.history is not None and printer.history.calibrations[0].lean is not None
    assert printer.history.calibrations[0].lean.u == 0.0002
    assert said(printer.notes) == [("'shear'", 3, "write lean"), ("'u shear'", 3, "write u lean")]
    found = check_jobs([load(tmp_path, NEW)], printer)
    assert [one.subject for one in found if one.code == "old-word"] == ["'shear'", "'u shear'"]


def test_pieces_of_a_backing_keep_the_name_they_have_in_kept_positions(tmp_path: Path) -> None:
    """Positions, proofs and records of earlier versions name them so."""
    keys = [piece.key for piece in pieces([load(tmp_path, NEW)], Printer())]
    assert any(key.endswith("/base1") for key in keys)
