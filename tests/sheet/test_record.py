"""Records of printed sheets: what they hold, printing from one again, and every way one can be spoilt."""

from __future__ import annotations

import hashlib
import json
import shutil
import subprocess
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from decalgen.commands import again
from decalgen.core.errors import InputError, OutputError
from decalgen.sheet.record import read_record, write_record
from tests.helpers.commands import Run, edited, folder, runner
from tests.helpers.pictures import emblem, saved

TARGETS = Path(__file__).parents[1] / "lettering" / "targets"
INKS = 'inks: {lifebuoy orange: {colour: "#e8641b"}}\n'
JOB = """\
job: tug
include: inks.yaml
title: Harbour tug
scale: "1:43"
body: navy
date: "2026-11-25"
film: white
panels:
  door: {width: 22.4 mm ± 0.05, height: 11.6 mm ± 0.05}
decals:
  band:
    panel: door
    hands: both
    width: panel.width - 2 mm
    height: 5 mm
    artwork: [{field: {ink: lifebuoy orange}}]
    copies: 3
"""
PRINTER = "printer: desk inkjet\nmargins: [5 mm, 5 mm, 10 mm, 5 mm]\nscale x: 1.00123456789\nscale y: 0.9991\n"
FILM = """\
film: opened white A5
kind: white
process: inkjet
sheet: A5
used: [{at: [0 mm, 180 mm], size: [148 mm, 30 mm]}]
"""
WORDS = ("tug.yaml", "--film", "film.yaml", "--printer", "printer.yaml", "--effort", "quick")


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    monkeypatch.chdir(tmp_path)
    for name, text in (("tug", JOB), ("inks", INKS), ("printer", PRINTER), ("film", FILM)):
        Path(f"{name}.yaml").write_text(text, encoding="utf-8")
    return runner(capsys, gated=True)


def printed(run: Run) -> Path:
    """A sheet with a passed proof, and a record of it."""
    assert run("proof", *WORDS).code == 0
    assert run("proof", "passed", "tug-proof.pdf", "--x", "99.9", "--y", "100.1").code == 0
    assert run("sheet", *WORDS, "-o", "tug-sheet.pdf", "-o", "tug-sheet.svg").code == 0
    (record,) = Path().glob("tug-*.record.json")
    return record


def test_it_holds_all_that_a_reprint_needs(run: Run) -> None:
    data = json.loads(printed(run).read_text(encoding="utf-8"))
    assert data["jobs"][0]["files"] == [["tug.yaml", JOB], ["inks.yaml", INKS]]
    assert (data["films"][0]["name"], data["films"][0]["used"][0]["y"]) == ("opened white A5", 180.0)
    assert dict(data["printers"][0]["exact"])["scale_x"] == 1.00123456789
    assert (data["proof"], data["without_proof"], len(data["positions"])) == ("passed", "", 6)
    assert data["measured"][0].startswith("sheet 1, 148 × 210 mm: horizontal bar: 99.90 mm of 100 mm, -0.10% ±")
    assert [name for name, _ in data["files"]] == ["tug-sheet.pdf", "tug-sheet.svg"]


def test_printed_again_it_is_the_same_byte_for_byte_without_its_jobs(run: Run) -> None:
    record = printed(run)
    before = {name: Path(name).read_bytes() for name in ("tug-sheet.pdf", "tug-sheet.svg")}
    for name in ("tug.yaml", "inks.yaml", "printer.yaml", "film.yaml", "tug.positions.json", "tug.proven.json"):
        Path(name).unlink()
    said = run("sheet", "--again", str(record), "-o", "a.pdf", "-o", "a.svg")
    assert said.code == 0
    assert "the same files as before, byte for byte" in said.out
    assert "was partly used" in said.out
    assert (Path("a.pdf").read_bytes(), Path("a.svg").read_bytes()) == tuple(before.values())


def test_another_version_keeps_the_geometry_and_says_so(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    record = printed(run)
    kept = read_record(record.read_text(encoding="utf-8"), "record")
    older = replace(
        kept,
        versions=tuple((name, "0.0.1" if name == "shapely" else was) for name, was in kept.versions),
        files=tuple((name, "0" * 64) for name, _ in kept.files),
    )
    Path("older.record.json").write_bytes(write_record(older))
    said = run("sheet", "--again", "older.record.json", "-o", "a.pdf")
    assert said.code == 0
    assert "the bytes differ, made then with shapely 0.0.1" in said.out
    assert Path("a.pdf").read_bytes() == Path("tug-sheet.pdf").read_bytes()


def test_its_files_are_printed_where_they_still_lie(run: Run) -> None:
    record = printed(run)
    before = folder()
    said = run("sheet", "--again", str(record))
    assert said.code == 0 and "its files are still here unchanged" in said.out
    assert "tug-sheet.pdf" in said.out and "tug-sheet.svg" in said.out and "its proof: passed" in said.out
    assert folder() == before
    # One of them changed: then they are made again.
    Path("tug-sheet.svg").write_text("something else", encoding="utf-8")
    said = run("sheet", "--again", str(record), "-o", "a.svg")
    assert said.code == 0 and "not nested again" in said.out
    assert Path("a.svg").read_bytes() == before["tug-sheet.svg"]


def test_a_version_that_draws_otherwise_never_replaces_what_was_printed(run: Run) -> None:
    record = printed(run)
    Path("older.record.json").write_text(changed(record, layout="0" * 64), encoding="utf-8")
    before = folder()
    # The files are those of the record, whatever this version would draw.
    assert "its files are still here unchanged" in run("sheet", "--again", "older.record.json").out
    said = run("sheet", "--again", "older.record.json", "-o", "a.pdf")
    assert said.code == 1 and "draws these decals differently" in said.err
    assert "or print the files that are still there: tug-sheet.pdf, tug-sheet.svg" in said.err
    assert folder() == before


def test_a_kill_while_a_sheet_is_printed_again_leaves_what_was_there(run: Run) -> None:
    record = printed(run)
    Path("a.pdf").write_bytes(b"earlier")
    before = folder()
    code = (
        "import os, sys; from decalgen.cli import main as cli; os.fsync = lambda _: os._exit(9); "
        f"cli.main(['sheet', '--again', {str(record)!r}, '-o', 'a.pdf', '-o', 'a.svg'])"
    )
    done = subprocess.run([sys.executable, "-c", code], check=False, capture_output=True)
    assert done.returncode == 9
    assert {name: data for name, data in folder().items() if not name.startswith(".")} == before


def test_an_override_is_written_into_it_and_told_again(run: Run) -> None:
    assert run("sheet", *WORDS, "--without-proof", "a strip of spoilt film").code == 0
    (record,) = Path().glob("tug-*.record.json")
    assert json.loads(record.read_text(encoding="utf-8"))["without_proof"] == "a strip of spoilt film"
    assert "printed without a proof: a strip of spoilt film" in run("sheet", "--again", str(record)).out


def test_a_proof_that_was_overridden_is_written_into_it_too(run: Run) -> None:
    assert run("proof", *WORDS).code == 0
    run("proof", "passed", "tug-proof.pdf", "--x", "97", "--y", "96")
    assert run("sheet", *WORDS, "--without-proof", "a smaller one is wanted").code == 0
    (record,) = Path().glob("tug-*.record.json")
    data = json.loads(record.read_text(encoding="utf-8"))
    assert (data["proof"], data["without_proof"]) == ("refused", "a smaller one is wanted")
    assert any("97.00 mm of 100 mm" in line for line in data["measured"])
    # A proof of something else says nothing of this sheet.
    record.unlink()
    edited("height: 5 mm", "height: 4 mm")
    assert run("sheet", *WORDS, "--nest-again", "--without-proof", "a test").code == 0
    (record,) = Path().glob("tug-*.record.json")
    data = json.loads(record.read_text(encoding="utf-8"))
    assert (data["proof"], data["measured"]) == ("", [])


def test_findings_are_written_into_it(run: Run) -> None:
    edited("width: panel.width - 2 mm", "width: panel.width")
    said = run("sheet", *WORDS, "--without-proof", "a test")
    (record,) = Path().glob("tug-*.record.json")
    told = json.loads(record.read_text(encoding="utf-8"))["findings"]
    assert said.code == 0
    assert any("band" in finding for finding in told)


def test_the_same_print_has_the_same_record_and_another_its_own(run: Run) -> None:
    record = printed(run)
    before = record.read_bytes()
    assert run("sheet", *WORDS, "-o", "tug-sheet.pdf", "-o", "tug-sheet.svg").code == 0
    assert record.read_bytes() == before
    assert run("sheet", *WORDS, "--without-proof", "again").code == 0
    assert len(list(Path().glob("tug-*.record.json"))) == 2


def changed(record: Path, **more: Any) -> str:
    kept = read_record(record.read_text(encoding="utf-8"), "record")
    return write_record(replace(kept, **more)).decode("utf-8")


def test_a_file_outside_its_folder_is_never_written(run: Run) -> None:
    record = printed(run)
    kept = read_record(record.read_text(encoding="utf-8"), "record")
    bad = replace(kept.jobs[0], files=(*kept.jobs[0].files, ("../../stray.yaml", "x")))
    Path("bad.record.json").write_text(changed(record, jobs=(bad,)), encoding="utf-8")
    assert "outside its jobs' folders" in run("sheet", "--again", "bad.record.json", "-o", "a.pdf").err


def test_jobs_that_do_not_fit_the_digest_are_told(run: Run) -> None:
    record = printed(run)
    kept = read_record(record.read_text(encoding="utf-8"), "record")
    Path("bad.record.json").write_text(
        changed(record, jobs=(replace(kept.jobs[0], digest="0" * 64),)), encoding="utf-8"
    )
    again = ("sheet", "--again", "bad.record.json", "-o", "a.pdf")
    assert "have changed since 'bad.record.json'" in run(*again).err
    Path("bad.record.json").write_text(changed(record, layout="0" * 64), encoding="utf-8")
    assert "draws these decals differently" in run("sheet", "--again", "bad.record.json", "-o", "a.pdf").err


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("height: 5 mm", "height: 6 mm", "was changed since decalgen wrote it"),
        ('"proof": "passed"', '"proof": "perfect"', "was changed since decalgen wrote it"),
        ("decalgen record 2", "decalgen record 9", "newer version of decalgen"),
        ('"form"', '"farm"', "is not a complete record"),
    ],
)
def test_an_edited_record_is_refused(run: Run, old: str, new: str, told: str) -> None:
    record = printed(run)
    edited(old, new, str(record))
    before = folder()
    said = run("sheet", "--again", str(record), "-o", "a.pdf")
    assert said.code != 0 and told in said.err
    assert folder() == before


def test_a_record_cut_short_is_refused(run: Run) -> None:
    record = printed(run)
    text = record.read_text(encoding="utf-8")
    for length in (0, 1, 100, len(text) // 2, len(text) - 3):
        with pytest.raises(InputError, match="is not a complete record"):
            read_record(text[:length], "record")


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("sheet", "--again", "none.json"), "there is no file 'none.json'"),
        (("sheet", "--again", "tug.yaml", "tug.yaml"), "a record holds its own jobs"),
        (("sheet", "--again", "tug.yaml"), "is not a complete record"),
        (("sheet", "--again", "tug.yaml", "--nest-again"), "printed unchanged"),
        (("sheet",), "name at least one job"),
    ],
)
def test_mistakes_are_told(run: Run, words: tuple[str, ...], told: str) -> None:
    said = run(*words)
    assert said.code != 0 and told in said.err


def test_one_that_is_too_large_is_not_read(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(again, "LARGEST", 10)
    assert "too large" in run("sheet", "--again", "tug.yaml").err


def test_films_that_were_not_needed_and_profiles_are_kept_too(run: Run) -> None:
    # The printer's ICC profile is the one that comes with decalgen; a second film is named but stays empty.
    from decalgen.colour.icc import shipped

    Path("mine.icc").write_bytes(shipped().data)
    edited("scale x", "colour: {profile: mine.icc}\nscale x", "printer.yaml")
    words = (*WORDS, "--film", "white A4", "--for", "press")
    assert run("sheet", *words).code == 0
    (record,) = Path().glob("tug-*.record.json")
    Path("mine.icc").unlink()
    said = run("sheet", "--again", str(record), "-o", "a.pdf")
    assert said.code == 0 and "byte for byte" in said.out
    assert Path("a.pdf").read_bytes() == Path("tug-press.pdf").read_bytes()


def in_old_words(record: Path) -> str:
    """The record as a version before would have left it: its printer sheared where it leans now."""
    data = json.loads(record.read_text(encoding="utf-8"))
    for one in data["printers"]:
        one["exact"] = [["shear" if name == "lean" else name, value] for name, value in one["exact"]]
        one["text"] = one["text"].replace("lean:", "shear:")
    for key in ("form", "content", "outputs", "cut", "cutter", "film_colours", "film_opacity"):
        del data[key]
    text = json.dumps(data, ensure_ascii=False, sort_keys=True, separators=(",", ":"))
    whole = {"form": "decalgen record 1", "checksum": hashlib.sha256(text.encode("utf-8")).hexdigest(), **data}
    return json.dumps(whole, ensure_ascii=False)


def test_a_record_in_old_words_is_printed_again(run: Run) -> None:
    """Its jobs and its printer say `base`, `rotate` and `shear`, as versions before did."""
    old = JOB.replace("film: white", "film: clear").replace(
        "artwork: [{field: {ink: lifebuoy orange}}]",
        "base: white\n    artwork: [{group: {width: 5 mm, height: 20.4 mm, rotate: 90, elements: [{field: {ink: "
        "lifebuoy orange}}]}}]",
    )
    Path("tug.yaml").write_text(old, encoding="utf-8")
    Path("printer.yaml").write_text(PRINTER + "shear: 0.0021\n", encoding="utf-8")
    words = ("tug.yaml", "--film", "clear A5", "--film", "film.yaml", "--printer", "printer.yaml", "--effort", "quick")
    made = run("sheet", *words, "--without-proof", "a test", "-o", "tug-sheet.svg")
    assert made.code == 0, made.err
    (record,) = Path().glob("tug-*.record.json")
    sheets = sorted(path for path in Path().glob("tug-sheet*.svg"))
    before = [path.read_bytes() for path in sheets]
    Path("older.record.json").write_text(in_old_words(record), encoding="utf-8")
    assert '["shear", 0.0021]' in Path("older.record.json").read_text(encoding="utf-8")
    kept = read_record(Path("older.record.json").read_text(encoding="utf-8"), "older")
    assert [dict(one.exact)["lean"] for one in kept.printers] == [0.0021] * 2
    said = run("sheet", "--again", "older.record.json", "-o", "a.svg")
    assert said.code == 0, said.err
    again = [path.read_bytes() for path in sorted(Path().glob("a*.svg"))]
    assert again == before and len(again) == 2


def test_again_makes_all_that_was_written_and_leaves_what_lies_there(run: Run) -> None:
    assert run("proof", *WORDS).code == 0
    assert run("proof", "passed", "tug-proof.pdf", "--x", "99.9", "--y", "100.1").code == 0
    Path("cutter.yaml").write_text("cutter: blade\nscale x: 1.002\nscale y: 1\n", encoding="utf-8")
    words = (
        "-o",
        "tug-sheet.pdf",
        "-o",
        "tug-sheet.png",
        "--dpi",
        "150",
        "--cut",
        "cut.svg",
        "--cutter",
        "cutter.yaml",
    )
    assert run("sheet", *WORDS, *words).code == 0
    (record,) = Path().glob("tug-*.record.json")
    names = ["tug-sheet.pdf", "tug-sheet.png", "cut.svg"]
    before = {name: Path(name).read_bytes() for name in names}
    for name in ("tug-sheet.png", "cut.svg", "cutter.yaml"):
        Path(name).unlink()
    said = run("sheet", "--again", str(record))
    assert said.code == 0 and "byte for byte" in said.out
    assert "not written: 'tug-sheet.pdf' is still here unchanged" in said.out
    assert {name: Path(name).read_bytes() for name in names} == before


def test_again_never_writes_over_a_changed_file_unasked(run: Run) -> None:
    record = printed(run)
    good = Path("tug-sheet.svg").read_bytes()
    Path("tug-sheet.svg").write_bytes(b"drawn over by hand")
    Path("tug-sheet.pdf").unlink()
    said = run("sheet", "--again", str(record))
    assert said.code == 0 and Path("tug-sheet.pdf").is_file()
    assert "not written: 'tug-sheet.svg' was changed since: move it away, or name it with -o" in said.out
    assert Path("tug-sheet.svg").read_bytes() == b"drawn over by hand"
    # Nothing left to write is an error; named, it is asked for.
    Path("tug-sheet.pdf").write_bytes(b"changed too")
    said = run("sheet", "--again", str(record))
    assert said.code == OutputError.exit_code and "was changed since, so it is not written over" in said.err
    said = run("sheet", "--again", str(record), "-o", "tug-sheet.svg")
    assert said.code == 0 and Path("tug-sheet.svg").read_bytes() == good
    assert "not written: 'tug-sheet.pdf'; name it with -o" in said.out
    assert Path("tug-sheet.pdf").read_bytes() == b"changed too"


def test_a_film_whose_colour_was_measured_is_reprinted_in_the_inks_of_then(run: Run) -> None:
    """An ink that makes up for the film it lies on depends on the film's own colour."""
    edited('lifebuoy orange: {colour: "#e8641b"}', 'lifebuoy orange: {colour: "#7a3b2a", compensate: yes}', "inks.yaml")
    edited("film: white", "film: clear")
    edited("body: navy", 'body: "#d8d0c0"')
    edited("kind: white", 'kind: clear\ncolour: "lab(80 0 30)"', "film.yaml")
    assert run("sheet", *WORDS, "-o", "tug-sheet.svg", "--without-proof", "a test").code == 0
    (record,) = Path().glob("tug-*.record.json")
    assert read_record(record.read_text(encoding="utf-8"), "r").film_colours == (("clear", "lab(80 0 30)"),)
    before = Path("tug-sheet.svg").read_bytes()
    assert b"#7a3b2a" not in before
    Path("tug-sheet.svg").unlink()
    assert "byte for byte" in run("sheet", "--again", str(record)).out
    assert Path("tug-sheet.svg").read_bytes() == before


CREST = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="6mm" height="5mm" viewBox="0 0 6 5">'
    '<rect width="6" height="5" fill="#e8641b"/><circle cx="3" cy="2" r="1" fill="#fff"/></svg>\n'
)


def with_crest(run: Run) -> Path:
    """A printed sheet with an own drawing on it, and its record."""
    Path("crest.svg").write_text(CREST, encoding="utf-8")
    edited("[{field: {ink: lifebuoy orange}}]", "[{drawing: {file: crest.svg}}]")
    return printed(run)


def test_an_own_drawing_is_in_it_and_printed_as_it_was_or_not_at_all(run: Run) -> None:
    record = with_crest(run)
    data = json.loads(record.read_text(encoding="utf-8"))
    assert data["jobs"][0]["files"][2:] == [["crest.svg", CREST]]
    before = Path("tug-sheet.svg").read_bytes()
    edited('r="1"', 'r="1.5"', "crest.svg")
    said = run("sheet", "--again", str(record), "-o", "a.svg")
    assert said.code == 1 and not Path("a.svg").exists()
    assert "the drawing 'crest.svg' was changed since this was printed" in said.err
    assert "put it back as it was, or move it away: then the one in the record is printed" in said.err
    # What is advised goes.
    Path("crest.svg").rename("other.svg")
    said = run("sheet", "--again", str(record), "-o", "b.svg")
    assert said.code == 0 and "was changed since" not in said.out
    assert Path("b.svg").read_bytes() == before
    Path("crest.svg").write_text(CREST, encoding="utf-8")
    assert run("sheet", "--again", str(record), "-o", "c.svg").code == 0


def with_own_face(run: Run) -> Path:
    """A printed sheet with lettering in a face of the job's own, and its record."""
    Path("fonts").mkdir()
    shutil.copy(TARGETS / "fjalla-one.ttf", "fonts/old.ttf")
    edited(
        "[{field: {ink: lifebuoy orange}}]", "[{lettering: {text: HOE, face: painter, cap height: 3 mm, ink: black}}]"
    )
    edited("panels:\n", "faces: {painter: fonts/old.ttf}\npanels:\n")
    return printed(run)


def test_the_font_of_an_own_face_is_held_against_the_record_and_not_kept_in_it(run: Run) -> None:
    record = with_own_face(run)
    font = Path("fonts/old.ttf").read_bytes()
    data = json.loads(record.read_text(encoding="utf-8"))
    assert data["jobs"][0]["faces"] == [["fonts/old.ttf", hashlib.sha256(font).hexdigest()]]
    assert len(record.read_bytes()) < len(font)
    before = Path("tug-sheet.svg").read_bytes()
    assert run("sheet", "--again", str(record), "-o", "a.svg").code == 0
    assert Path("a.svg").read_bytes() == before
    shutil.copy(TARGETS / "dosis-700.ttf", "fonts/old.ttf")
    said = run("sheet", "--again", str(record), "-o", "b.svg")
    assert said.code == 1 and not Path("b.svg").exists()
    assert "old.ttf' was changed since this was printed" in said.err and "put it back as it was" in said.err
    Path("fonts/old.ttf").unlink()
    said = run("sheet", "--again", str(record), "-o", "b.svg")
    assert said.code != 0 and "old.ttf' is not there, in which this was printed" in said.err
    assert "copy it to that place: a record keeps no font" in said.err
    Path("fonts/old.ttf").write_bytes(font)
    assert run("sheet", "--again", str(record), "-o", "b.svg").code == 0
    assert Path("b.svg").read_bytes() == before


def test_a_proof_no_longer_holds_once_a_font_changed(run: Run) -> None:
    with_own_face(run)
    assert run("sheet", *WORDS, "-o", "b.svg").code == 0
    # The same letters from another file: nobody has to look what changed in it.
    from fontTools.ttLib import TTFont

    font = TTFont("fonts/old.ttf")
    font["head"].fontRevision = 9.0
    font.save("fonts/old.ttf")
    said = run("sheet", *WORDS, "-o", "c.svg")
    assert said.code == 1 and not Path("c.svg").exists()
    assert "the measured proof no longer holds: the decals changed since" in said.err


def test_a_drawing_changed_inside_a_record_is_refused(run: Run) -> None:
    record = with_crest(run)
    kept = read_record(record.read_text(encoding="utf-8"), "record")
    name, digest, files = kept.jobs[0].name, kept.jobs[0].digest, kept.jobs[0].files
    other = (*files[:2], ("crest.svg", CREST.replace('r="1"', 'r="1.5"')))
    Path("other.record.json").write_bytes(write_record(replace(kept, jobs=(type(kept.jobs[0])(name, digest, other),))))
    said = run("sheet", "--again", "other.record.json", "-o", "a.svg")
    assert said.code != 0 and not Path("a.svg").exists()


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ('r="1"', 'r="1.5"', "this sheet has no passed proof yet"),
        ('fill="#fff"', 'fill="#e8641b"', "this sheet has no passed proof yet"),
        # Nothing printed changed, but the drawing is another: nobody has to look what changed in it.
        ("</svg>", "<!-- a --></svg>", "the measured proof no longer holds: the decals changed since"),
    ],
)
def test_a_proof_no_longer_holds_once_a_drawing_changed(run: Run, old: str, new: str, told: str) -> None:
    with_crest(run)
    assert run("sheet", *WORDS, "-o", "b.svg").code == 0
    edited(old, new, "crest.svg")
    said = run("sheet", *WORDS, "-o", "c.svg")
    assert said.code == 1 and not Path("c.svg").exists()
    assert told in said.err


def with_emblem(run: Run) -> Path:
    """A printed sheet with an own picture on it, and its record."""
    Path("emblem.png").write_bytes(saved(emblem(100)))
    edited("[{field: {ink: lifebuoy orange}}]", "[{picture: {file: emblem.png, width: 5 mm}}]")
    return printed(run)


def test_of_an_own_picture_it_keeps_the_digest_and_prints_it_again_only_unchanged(run: Run) -> None:
    record = with_emblem(run)
    data = Path("emblem.png").read_bytes()
    total = hashlib.sha256(data).hexdigest()
    assert json.loads(record.read_text(encoding="utf-8"))["jobs"][0]["pictures"] == [["emblem.png", total]]
    made = Path("tug-sheet.svg").read_bytes()
    Path("tug-sheet.svg").unlink()
    assert run("sheet", "--again", str(record)).code == 0 and Path("tug-sheet.svg").read_bytes() == made
    Path("tug-sheet.svg").unlink()
    Path("emblem.png").write_bytes(saved(emblem(100, seed=8)))
    changed = run("sheet", "--again", str(record))
    assert changed.code != 0 and "the picture 'emblem.png' was changed since this print" in changed.err
    Path("emblem.png").unlink()
    missing = run("sheet", "--again", str(record))
    assert missing.code != 0 and "the picture 'emblem.png' of this print cannot be read" in missing.err
    assert not Path("tug-sheet.svg").exists()


def test_a_changed_picture_needs_another_proof(run: Run) -> None:
    with_emblem(run)
    Path("emblem.png").write_bytes(saved(emblem(100, seed=8)))
    refused = run("sheet", *WORDS, "-o", "other.pdf")
    assert refused.code != 0 and not Path("other.pdf").exists()
