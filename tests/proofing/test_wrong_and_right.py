"""Ways to print film wrong, none of which may pass, and right uses, none of which may be refused: by the commands."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from decalgen.core.kept import read_kept, write_kept
from decalgen.proofing.files import FORM as PROVEN
from tests.helpers.commands import Run, Said, code_on, edited, folder, resealed, runner

JOB = """\
job: tug
scale: "1:43"
body: navy
inks: {lifebuoy orange: {colour: "#e8641b"}, rope cream: {colour: "#f0e6c8"}}
panels:
  door: {width: 22.4 mm ± 0.05, height: 11.6 mm ± 0.05}
decals:
  band:
    panel: door
    film: white
    hands: both
    width: panel.width - 2 mm
    height: 5 mm
    artwork: [{field: {ink: lifebuoy orange}}]
    copies: 2
variants:
  night: {inks: {lifebuoy orange: {colour: "#223344"}}}
  day: {title: By day}
"""
PRINTER = "printer: desk\nmargins: [5 mm, 5 mm, 5 mm, 5 mm]\nscale x: 1.001\nscale y: 0.999\nlean: 0.0003\n"
FILM = "film: stock\nkind: white\nprocess: inkjet\nsheet: A5\n"
USED = "used: [{at: [0 mm, 180 mm], size: [148 mm, 30 mm]}]\n"
WORDS = ("tug.yaml", "--film", "film.yaml", "--printer", "printer.yaml", "--effort", "quick")
GOOD = ("--x", "99.9 99.9 100.0", "--y", "100.1 100.0 100.1")


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("DECALGEN_DATA", str(tmp_path / "data"))
    for name, text in (("tug", JOB), ("printer", PRINTER), ("film", FILM)):
        Path(f"{name}.yaml").write_text(text, encoding="utf-8")
    return runner(capsys, gated=True)


MADE: dict[str, dict[str, bytes]] = {}
"""The files after the first proof of the untouched job, and after the first that was passed: nearly all tests begin
there."""


def begun_from(step: str, make: Callable[[], None]) -> None:
    """Does a step in this folder; where nothing was touched yet and it was done before, lays down the files it made."""
    job = Path("tug.yaml").read_text(encoding="utf-8")
    untouched = folder().keys() == {"tug.yaml", "printer.yaml", "film.yaml"} and job == JOB
    if untouched and step in MADE:
        for name, data in MADE[step].items():
            Path(name).parent.mkdir(parents=True, exist_ok=True)
            Path(name).write_bytes(data)
        return
    make()
    if untouched:
        MADE[step] = folder()
        # Else they would be another test's files.
        assert not any(str(Path.cwd()).encode() in data for data in MADE[step].values())


def proofed(run: Run) -> None:
    def make() -> None:
        assert run("proof", *WORDS).code == 0

    begun_from("proofed", make)


def proven(run: Run) -> None:
    def make() -> None:
        proofed(run)
        assert run("proof", "passed", "tug-proof.pdf", *GOOD).code == 0

    begun_from("proven", make)


def passed(run: Run, *words: str) -> Said:
    return run("proof", "passed", "tug-proof.pdf", *words)


def rewritten(**more: object) -> None:
    """Changes what was read, with a seal that fits."""
    _, data = read_kept(Path("tug.proven.json").read_text(encoding="utf-8"), PROVEN, "")
    Path("tug.proven.json").write_bytes(write_kept(PROVEN, {**data, **more}))


def readings(x: list[float], y: list[float], tool: str = "caliper", sheet: int = 1) -> list[dict[str, object]]:
    return [{"page": "148 × 210 mm", "sheet": sheet, "tool": tool, "x": x, "y": y}]


# What is done after a proof was passed, and the sheet asked for then: it must not be printed.
AFTER: dict[str, tuple[Callable[[Run], object], tuple[str, ...]]] = {
    "a decal is wider": (lambda run: edited("panel.width - 2 mm", "panel.width - 1.9 mm"), WORDS),
    "a decal is higher": (lambda run: edited("height: 5 mm", "height: 5.01 mm"), WORDS),
    "one copy more": (lambda run: edited("copies: 2", "copies: 3"), WORDS),
    "one copy less": (lambda run: edited("copies: 2", "copies: 1"), WORDS),
    "an ink has another colour": (lambda run: edited("#e8641b", "#e8641c"), WORDS),
    "another ink of the job": (lambda run: edited("field: {ink: lifebuoy", "field: {ink: rope cream}} #"), WORDS),
    "another margin": (lambda run: edited("    copies", "    margin: 0.7 mm\n    copies"), WORDS),
    "another bleed": (lambda run: edited("    copies", "    bleed: 0.7 mm\n    copies"), WORDS),
    "rounded corners": (
        lambda run: edited("    copies", "    cut: {rectangle: {radius: 1 mm}}\n    copies"),
        WORDS,
    ),
    "a panel measured anew": (lambda run: edited("22.4 mm", "22.6 mm"), WORDS),
    "a variant": (lambda run: None, (*WORDS, "--variant", "night")),
    "one hand alone": (lambda run: None, (*WORDS, "--hands", "left")),
    "another gap": (lambda run: None, (*WORDS, "--gap", "4 mm")),
    "nested again": (lambda run: None, (*WORDS, "--nest-again")),
    "nested again by another seed": (lambda run: None, (*WORDS, "--nest-again", "--seed", "9")),
    "film of another size": (lambda run: edited("sheet: A5", "sheet: A4", "film.yaml"), WORDS),
    "film half a millimetre wider": (
        lambda run: edited("sheet: A5", "width: 148.5 mm\nheight: 210 mm", "film.yaml"),
        WORDS,
    ),
    "film lying": (lambda run: edited("sheet: A5", "width: 210 mm\nheight: 148 mm", "film.yaml"), WORDS),
    "used film": (
        lambda run: Path("film.yaml").write_text(
            FILM + "used: [{at: [0 mm, 180 mm], size: [148 mm, 30 mm]}]\n", "utf-8"
        ),
        WORDS,
    ),
    "self-adhesive film": (lambda run: Path("film.yaml").write_text(FILM + "adhesive: yes\n", "utf-8"), WORDS),
    "film of another name": (lambda run: edited("film: stock", "film: other", "film.yaml"), WORDS),
    "film by words": (lambda run: None, ("tug.yaml", "--film", "white A5", *WORDS[3:])),
    "film and printer of another process": (
        lambda run: (
            edited("inkjet", "laser", "film.yaml"),
            edited("printer: desk", "printer: desk\nprocess: laser", "printer.yaml"),
        ),
        WORDS,
    ),
    "no printer": (lambda run: None, (*WORDS[:3], *WORDS[5:])),
    "another correction across": (lambda run: edited("1.001", "1.002", "printer.yaml"), WORDS),
    "another correction up": (lambda run: edited("0.999", "0.998", "printer.yaml"), WORDS),
    "no correction": (lambda run: edited("scale x: 1.001\nscale y: 0.999\n", "", "printer.yaml"), WORDS),
    "another lean": (lambda run: edited("lean: 0.0003", "lean: 0.0004", "printer.yaml"), WORDS),
    "no lean": (lambda run: edited("lean: 0.0003\n", "", "printer.yaml"), WORDS),
    "other margins": (lambda run: edited("[5 mm, 5 mm, 5", "[6 mm, 5 mm, 5", "printer.yaml"), WORDS),
    "another printer of the same correction": (lambda run: edited("desk", "shelf", "printer.yaml"), WORDS),
    "the readings are gone": (lambda run: Path("tug.proven.json").unlink(), WORDS),
    "the positions are gone": (lambda run: Path("tug.positions.json").unlink(), WORDS),
    "the readings are empty": (lambda run: Path("tug.proven.json").write_text("", "utf-8"), WORDS),
    "the readings are half": (
        lambda run: Path("tug.proven.json").write_bytes(Path("tug.proven.json").read_bytes()[:100]),
        WORDS,
    ),
    "a position moved by hand": (lambda run: edited('"x": 1', '"x": 2', "tug.positions.json"), WORDS),
    "a piece turned by hand": (lambda run: edited('"turn": ', '"turn": 18', "tug.positions.json"), WORDS),
    "a position moved, sealed again": (
        lambda run: resealed(
            "tug.positions.json",
            positions=[
                {**row, "x": row["x"] + 0.5}
                for row in json.loads(Path("tug.positions.json").read_text(encoding="utf-8"))["positions"]
            ],
        ),
        WORDS,
    ),
    "two pieces swapped, sealed again": (
        lambda run: resealed(
            "tug.positions.json",
            positions=[
                {**row, "decal": {"tug/band/left": "tug/band/right"}.get(row["decal"], "tug/band/left")}
                for row in json.loads(Path("tug.positions.json").read_text(encoding="utf-8"))["positions"]
            ],
        ),
        WORDS,
    ),
    "a verdict of before beside it": (
        lambda run: Path("tug.proven.json").write_text(
            json.dumps({"form": "decalgen proven 1", "verdict": "passed", "fingerprint": {}, "measured": {}}),
            "utf-8",
        ),
        WORDS,
    ),
    "a verdict written by hand": (
        lambda run: edited('"measured"', '"verdict": "passed", "measured"', "tug.proven.json"),
        WORDS,
    ),
    "readings of film that is off, sealed": (lambda run: rewritten(measured=readings([97.0], [97.0])), WORDS),
    "no readings, sealed": (lambda run: rewritten(measured=[]), WORDS),
    "readings of another sheet, sealed": (lambda run: rewritten(measured=readings([100.0], [100.0], sheet=2)), WORDS),
    "readings of one bar, sealed": (lambda run: rewritten(measured=readings([100.0], [])), WORDS),
    "readings with nothing that measures, sealed": (
        lambda run: rewritten(measured=readings([100.0], [100.0], "photo")),
        WORDS,
    ),
    "the proof of another printer in its place": (
        lambda run: (
            edited("1.001", "1.002", "printer.yaml"),
            run("proof", *WORDS, "-o", "other-proof.pdf"),
            shutil.copy("other.positions.json", "tug.positions.json"),
        ),
        WORDS,
    ),
    "readings of another proof in its place": (
        lambda run: (
            edited("height: 5 mm", "height: 5.2 mm"),
            run("proof", *WORDS),
        ),
        WORDS,
    ),
    "printed once more, off size": (lambda run: passed(run, "--x", "97.0", "--y", "97.0"), WORDS),
    "printed once more, up alone off size": (lambda run: passed(run, "--x", "100", "--y", "99.3"), WORDS),
    "another film beside it": (lambda run: None, (*WORDS, "--film", "clear A5", "--gap", "3.5 mm")),
}


@pytest.mark.parametrize("how", AFTER)
def test_what_changed_after_a_proof_is_not_printed(run: Run, how: str) -> None:
    proven(run)
    change, words = AFTER[how]
    change(run)
    for output in ("tug-sheet.pdf", "final.pdf"):
        said = run("sheet", *words, "-o", output)
        assert said.code != 0 and "fix: " in said.err, said.text
        assert "fault of its own" not in said.err
        assert not Path(output).exists()


# Ways to pass a proof that proves nothing: words for `proof passed`, and what is done before. It must not be passed.
PASSING: dict[str, tuple[Callable[[], object], tuple[str, ...]]] = {
    "the proof was never written": (lambda: Path("tug-proof.pdf").unlink(), GOOD),
    "the proof was cut short": (
        lambda: Path("tug-proof.pdf").write_bytes(Path("tug-proof.pdf").read_bytes()[:-9]),
        GOOD,
    ),
    "the proof was changed": (lambda: Path("tug-proof.pdf").write_bytes(b"%PDF-1.7 something else"), GOOD),
    "the proof is a folder": (lambda: (Path("tug-proof.pdf").unlink(), Path("tug-proof.pdf").mkdir()), GOOD),
    "no code": (lambda: None, (*GOOD, "--code", " ")),
    "a code with one letter wrong": (lambda: None, (*GOOD, "--code", "WRONG")),
    "four letters": (lambda: None, (*GOOD, "--code", "BCDF")),
    "vowels": (lambda: None, (*GOOD, "--code", "AEIOU")),
    "blanks": (lambda: None, ("--code", "_____", "--x", "____", "--y", "____")),
    "the blanks of the code alone": (lambda: None, (*GOOD, "--code", "_____")),
    "one bar": (lambda: None, ("--x", "99.9")),
    "the other bar": (lambda: None, ("--y", "99.9")),
    "no bar": (lambda: None, ()),
    "no sheet of that number": (lambda: None, (*GOOD, "--sheet", "2")),
    "far off": (lambda: None, ("--x", "96", "--y", "96")),
    "across alone off": (lambda: None, ("--x", "99.5", "--y", "100")),
    "just beyond": (lambda: None, ("--x", "100.4 100.4 100.4", "--y", "100 100 100")),
    "readings that contradict each other": (lambda: None, ("--x", "99.3 100.6", "--y", "100")),
    "a steel rule once, at the edge": (lambda: None, ("--x", "100.3", "--y", "100", "--with", "steel rule")),
    "a photo": (lambda: None, (*GOOD, "--with", "photo")),
    "inches": (lambda: None, ("--x", "3.93", "--y", "3.94")),
    "10 mm out": (lambda: None, ("--x", "109.9", "--y", "100")),
    "less than nothing": (lambda: None, ("--x", "-99.9", "--y", "100")),
    "not a number": (lambda: None, ("--x", "nan", "--y", "100")),
    "endless": (lambda: None, ("--x", "inf", "--y", "100")),
    "a standard made wider": (lambda: edited('"share": 0.003', '"share": 0.3', "tug.positions.json"), GOOD),
    "bars made longer": (lambda: edited('"length": 100.0', '"length": 97.0', "tug.positions.json"), GOOD),
}


@pytest.mark.parametrize("how", PASSING)
def test_what_proves_nothing_is_not_passed(run: Run, how: str) -> None:
    proofed(run)
    change, words = PASSING[how]
    code = code_on(Path("tug-proof.pdf"))
    change()
    said = passed(run, *words, *(() if "--code" in words else ("--code", code)))
    assert said.code != 0 and "fault of its own" not in said.err
    sheet = run("sheet", *WORDS)
    assert sheet.code != 0 and not Path("tug-sheet.pdf").exists()


def test_paper_of_yesterday_does_not_pass_the_sheet_of_today(run: Run) -> None:
    proofed(run)
    yesterday = code_on(Path("tug-proof.pdf"))
    edited("height: 5 mm", "height: 5.2 mm")
    proofed(run)
    said = passed(run, *GOOD, "--code", yesterday)
    assert said.code == 1 and "is the code of another proof" in said.err
    # Nor does any message give the right one away.
    assert code_on(Path("tug-proof.pdf")) not in said.text
    assert run("sheet", *WORDS).code == 1


def test_no_message_gives_a_code_or_a_command_with_readings(run: Run) -> None:
    said = run("proof", *WORDS).text + run("sheet", *WORDS).err + passed(run, "--code", "BCDFG", *GOOD).err
    said += passed(run, "--x", "97", "--y", "97").text + run("sheet", *WORDS).err + passed(run, "--x", "99").err
    kept = "".join(path.read_text(encoding="utf-8") for path in Path().glob("*.json"))
    assert code_on(Path("tug-proof.pdf")) not in said + kept
    assert "--code _____ --x ____ --y ____" in said
    for word in said.split("`"):
        assert not ("proof passed" in word and "--x 9" in word)


# Right uses: each has to print.
def straight(run: Run) -> Said:
    proven(run)
    return run("sheet", *WORDS)


RIGHT: dict[str, Callable[[Run], Said]] = {
    "straight through": straight,
    "under another name": lambda run: (proven(run), run("sheet", *WORDS, "-o", "final.pdf"))[1],
    "into another folder": lambda run: (proven(run), run("sheet", *WORDS, "-o", "out/final.pdf"))[1],
    "as an SVG": lambda run: (proven(run), run("sheet", *WORDS, "-o", "tug-sheet.svg"))[1],
    "twice": lambda run: (straight(run), run("sheet", *WORDS))[1],
    "the proof made again in between": lambda run: (proven(run), proofed(run), run("sheet", *WORDS))[2],
    "the proof renamed before it is passed": lambda run: (
        proofed(run),
        shutil.move("tug-proof.pdf", "on the desk.pdf"),
        run("proof", "passed", "on the desk.pdf", "--code", code_on(Path("tug-proof.pdf")), *GOOD),
        run("sheet", *WORDS),
    )[3],
    "passed by its positions": lambda run: (
        proofed(run),
        run("proof", "passed", "tug.positions.json", *GOOD),
        run("sheet", *WORDS),
    )[2],
    "passed by the sheet to be": lambda run: (
        proofed(run),
        run("proof", "passed", "tug-sheet.pdf", *GOOD),
        run("sheet", *WORDS),
    )[2],
    "the proof's paper thrown away after it was passed": lambda run: (
        proven(run),
        Path("tug-proof.pdf").unlink(),
        run("sheet", *WORDS),
    )[2],
    "the code in small letters with a space": lambda run: (
        proofed(run),
        passed(
            run,
            *GOOD,
            "--code",
            f"{code_on(Path('tug-proof.pdf'))[:2].lower()} {code_on(Path('tug-proof.pdf'))[2:].lower()}",
        ),
        run("sheet", *WORDS),
    )[2],
    "refused first, then printed at 100 %": lambda run: (
        proofed(run),
        passed(run, "--x", "93.2", "--y", "93.2"),
        passed(run, *GOOD),
        run("sheet", *WORDS),
    )[3],
    "a slip first": lambda run: (
        proofed(run),
        passed(run, "--x", "89.9", "--y", "100"),
        passed(run, *GOOD),
        run("sheet", *WORDS),
    )[3],
    "a decimal comma": lambda run: (
        proofed(run),
        passed(run, "--x", "99,9", "--y", "100,1"),
        run("sheet", *WORDS),
    )[2],
    "inches": lambda run: (
        proofed(run),
        passed(run, "--x", "3.933 in", "--y", "3.941 in"),
        run("sheet", *WORDS),
    )[2],
    "a steel rule, often enough": lambda run: (
        proofed(run),
        passed(run, "--x", "100 100 100 100 100.1", "--y", "100 100 100 100 99.9", "--with", "steel rule"),
        run("sheet", *WORDS),
    )[2],
    "a remark in the job": lambda run: (
        proven(run),
        Path("tug.yaml").write_text(JOB + "# a remark\n", encoding="utf-8"),
        run("sheet", *WORDS),
    )[2],
    "another price of the film": lambda run: (
        proven(run),
        Path("film.yaml").write_text(FILM + "price: 4.50 EUR\n", encoding="utf-8"),
        run("sheet", *WORDS),
    )[2],
    "another ink's colour that is not printed": lambda run: (
        proven(run),
        edited("#f0e6c8", "#f0e6c9"),
        run("sheet", *WORDS),
    )[2],
    "a variant that prints the same": lambda run: (proven(run), run("sheet", *WORDS, "--variant", "day"))[1],
    "kept files laid out otherwise": lambda run: (
        proven(run),
        [
            path.write_text(json.dumps(json.loads(path.read_text(encoding="utf-8")), indent=4), encoding="utf-8")
            for path in Path().glob("*.json")
        ],
        run("sheet", *WORDS),
    )[2],
    "changed and changed back": lambda run: (
        proven(run),
        edited("height: 5 mm", "height: 6 mm"),
        run("sheet", *WORDS),
        edited("height: 6 mm", "height: 5 mm"),
        run("sheet", *WORDS),
    )[4],
    "a stale proof of the sheet's name beside a good one": lambda run: (
        proofed(run),
        shutil.move("tug.positions.json", "old.json"),
        edited("height: 5 mm", "height: 6 mm"),
        run("proof", *WORDS, "-o", "good-proof.pdf"),
        run("proof", "passed", "good-proof.pdf", *GOOD),
        shutil.move("old.json", "tug.positions.json"),
        run("sheet", *WORDS),
    )[6],
    "with plates and cutting files": lambda run: (
        proven(run),
        run("sheet", *WORDS, "--plates", "--cut", "cut.svg"),
    )[1],
}


@pytest.mark.parametrize("how", RIGHT)
def test_a_right_use_is_not_refused(run: Run, how: str) -> None:
    said = RIGHT[how](run)
    assert said.code == 0, said.err


def test_there_are_enough_of_both() -> None:
    assert len(AFTER) + len(PASSING) >= 60 and len(RIGHT) >= 20
