"""Printer profiles kept in the user's data folder, met as a person meets them: through the commands."""

from __future__ import annotations

import errno
import json
import math
import os
import re
import signal
import subprocess
import sys
from pathlib import Path

import pdfplumber
import pytest

from decalgen.colour.icc import shipped
from decalgen.core import files as writing
from decalgen.core.errors import InputError, JobError
from decalgen.job.films import load_film, load_printer
from decalgen.workshop.profiles import kept, printer_for
from tests.helpers.commands import Run, Said, edited, folder, runner

PRINTER = "printer: desk inkjet\nprocess: inkjet\nmargins: [5 mm, 5 mm, 10 mm, 5 mm]\n"
JOB = """\
job: tug
body: "#1d2b4a"
film: white
inks: {lifebuoy orange: {colour: "#e8641b"}}
panels: {door: {width: 22.40 mm ± 0.05, height: 11.60 mm ± 0.05}}
decals:
  band: {panel: door, hands: both, at: bottom, width: 20 mm, height: 4 mm, artwork: [field: {ink: lifebuoy orange}]}
  clear band: {panel: door, film: clear, width: 20 mm, height: 4 mm, artwork: [field: {ink: lifebuoy orange}]}
"""
WHITE = JOB.replace("film: clear, ", "")
TRIAL = ("--without-proof", "a trial")
SHEET = ("sheet", "tug.yaml", *TRIAL, "--film", "white A5", "--effort", "quick")


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Runs a command in a folder with a job, a printer file and readings, and a data folder of its own."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("DECALGEN_DATA", str(tmp_path / "data"))
    Path("tug.yaml").write_text(WHITE, encoding="utf-8")
    Path("printer.yaml").write_text(PRINTER, encoding="utf-8")
    readings("r.txt", 0.997, 0.994)
    return runner(capsys, gated=True)


def readings(name: str, x: float, y: float) -> None:
    """Exact readings of the target for A5 and this printer, which does not lean."""
    diagonal = ((84 * x) ** 2 + (112 * y) ** 2) ** 0.5
    rows = [f"across {where}: {120 * x:.3f} {120 * x:.3f}" for where in ("foot", "middle", "head")]
    rows += [f"up {where}: {140 * y:.3f} {140 * y:.3f}" for where in ("left", "middle", "right")]
    rows += [f"rising: {diagonal:.3f}", f"falling: {diagonal:.3f}"]
    Path(name).write_text("\n".join(rows) + "\n", encoding="utf-8")


def good(said: Said) -> str:
    assert said.code == 0, said.err
    return said.out


def keep(run: Run, name: str = "Kitchen inkjet", *more: str, date: str = "2026-11-25", film: str = "white A5",
         rows: str = "r.txt") -> str:  # fmt: skip
    words = ("--printer", "printer.yaml", "--film", film, "--keep", name, "--date", date, *more)
    return good(run("calibrate", "read", rows, *words))


def files() -> list[Path]:
    return sorted(Path("data/printers").iterdir())


def test_a_profile_is_kept_found_by_words_and_used(run: Run) -> None:
    said = keep(run, "Kitchen inkjet", "--tray", "rear")
    assert '--printer "Kitchen inkjet"' in said and "lean: +0.000" in said
    (path,) = files()
    assert path.name == "kitchen-inkjet-white-a5-rear-short-edge-first.yaml"
    text = path.read_text(encoding="utf-8")
    assert text.startswith("# Printer profile for Kitchen inkjet: white A5, tray rear, short edge first.")
    printer = load_printer(path)
    assert (printer.scale_x, printer.scale_y) == pytest.approx((1 / 0.997, 1 / 0.994), abs=1e-6)
    assert printer.margins == (5, 5, 10, 5)
    made = good(run(*SHEET, "--printer", "kitchen  INKJET"))
    assert "calibrated 2026-11-25 for white A5, tray rear, short edge first" in made
    with pdfplumber.open("tug-sheet.pdf") as pdf:
        crosses = [(line["x1"] - line["x0"]) * 25.4 / 72 for line in pdf.pages[0].lines]
    # The crosses of the marks are 4 mm.
    assert max(crosses) == pytest.approx(4 / 0.997, abs=1e-4)


def test_calibrations_add_up_the_newest_corrects_and_the_drift_is_told(run: Run) -> None:
    keep(run)
    readings("later.txt", 0.999, 0.994)
    said = keep(run, date="2026-12-20", rows="later.txt")
    assert re.search(r"since 2026-11-25: x \+200 ± \d+, y 0 ± \d+, lean 0 ± \d+ µm in 100 mm .*: x moved", said)
    (path,) = files()
    assert load_printer(path).scale_x == pytest.approx(1 / 0.999, abs=1e-6)
    # One from between is kept too, but the newest stays in use.
    assert "of 2026-12-20 stays in use" in keep(run, date="2026-12-01")
    assert load_printer(path).scale_x == pytest.approx(1 / 0.999, abs=1e-6)
    told = good(run("calibrate", "history", "kitchen inkjet"))
    days = re.findall(r"^  (2026-\d\d-\d\d)  x (\S+) ± (\S+), y", told, re.MULTILINE)
    assert [(day, x) for day, x, _ in days] == [
        ("2026-11-25", "0.99700"), ("2026-12-01", "0.99700"), ("2026-12-20", "0.99900"),
    ]  # fmt: skip
    assert told.count("the newest") == 1 and "since 2026-12-01: x +200" in told
    words = ("--film", "white A5", "--keep", "kitchen inkjet", "--date", "2026-12-20")
    again = run("calibrate", "read", "later.txt", *words)
    assert again.code == 2 and "already kept" in again.err


def test_each_film_tray_and_way_of_feeding_has_a_profile_of_its_own(run: Run) -> None:
    keep(run, "Kitchen inkjet", "--tray", "rear")
    keep(run, "Kitchen inkjet", "--tray", "front")
    keep(run, "Kitchen inkjet", "--tray", "front", "--feed", "long edge first")
    keep(run, film="clear A5")
    assert len(files()) == 4
    words = ("sheet", "tug.yaml", *TRIAL, "--film", "white A5", "--effort", "quick", "-o", "s.pdf", "--printer")
    before = folder()
    said = run(*words, "kitchen inkjet")
    assert said.code == 6 and "has 3 profiles for the film 'white A5'" in said.err
    assert "white A5, tray front, long edge first" in said.err and folder() == before
    (fix,) = re.findall(r'fix: say which: --printer "(.*)"', said.err)
    assert "tray front, long edge first" in good(run(*words, fix))
    assert "tray rear" in good(run(*words, "kitchen inkjet, rear"))
    assert "tray front, long edge first" in good(run(*words, "Kitchen inkjet, front tray, long edge first"))
    said = run(*words, "kitchen inkjet, middle")
    assert said.code == 3 and "no profile is kept of 'kitchen inkjet, middle'" in said.err and "tray rear" in said.err


def test_a_missing_printer_or_film_is_said_with_what_there_is(run: Run) -> None:
    words = ("sheet", "tug.yaml", *TRIAL, "--effort", "quick", "--printer")
    said = run(*words, "kitchen inkjet")
    assert said.code == 3 and "no profile is kept of a printer 'kitchen inkjet'" in said.err and "fix:" in said.err
    keep(run)
    said = run(*words, "kitchn inkjet")
    assert said.code == 3 and "did you mean 'Kitchen inkjet'?" in said.err
    said = run(*words, "kitchen inkjet", "--film", "white A4")
    assert said.code == 6 and "has no profile for the film 'white A4'" in said.err
    assert "it has: white A5, short edge first" in said.err and "calibrate print" in said.err
    assert run(*words, "kitchen inkjet", "--film", "white A5 laser").err.startswith("the film 'white A5' is laser film")


def test_a_profile_for_another_film_given_as_a_file_is_refused(run: Run) -> None:
    keep(run)
    before = folder()
    words = ("sheet", "tug.yaml", *TRIAL, "--effort", "quick", "--printer", str(files()[0]), "--film")
    said = run(*words, "white A4")
    assert said.code == 6 and "is for another film: for white A5" in said.err and folder() == before
    assert "calibrated 2026-11-25" in good(run(*words, "white A5"))


def test_two_films_in_one_run_are_each_corrected_by_their_own_profile(run: Run) -> None:
    Path("tug.yaml").write_text(JOB, encoding="utf-8")
    readings("clear.txt", 1.004, 1.002)
    keep(run)
    keep(run, film="clear A5", rows="clear.txt")
    words = ("--printer", "kitchen inkjet", "--film", "white A5", "--film", "clear A5", "--effort", "quick")
    good(run("sheet", "tug.yaml", *TRIAL, *words))
    with pdfplumber.open("tug-sheet.pdf") as pdf:
        crosses = [max((line["x1"] - line["x0"]) * 25.4 / 72 for line in page.lines) for page in pdf.pages]
    assert crosses == pytest.approx([4 / 0.997, 4 / 1.004], abs=1e-4)
    (record,) = Path().glob("*.record.json")
    print_file = Path("tug-sheet.pdf").read_bytes()
    Path("tug-sheet.pdf").unlink()
    good(run("sheet", "--again", str(record)))
    assert Path("tug-sheet.pdf").read_bytes() == print_file
    proof = good(run("proof", "tug.yaml", *words))
    assert proof.count("expected size error: ±") == 2
    edited("[5 mm, 5 mm, 10 mm, 5 mm]", "[5 mm, 5 mm, 12 mm, 5 mm]", str(files()[0]))
    said = run("sheet", "tug.yaml", *TRIAL, *words)
    assert said.code == 6 and "differ in their margins" in said.err


def test_two_profiles_of_one_name_are_refused_and_both_named(run: Run) -> None:
    keep(run)
    (path,) = files()
    path.with_name("copy.yaml").write_bytes(path.read_bytes())
    for words in (("calibrate", "history"), ("sheet", "tug.yaml", *TRIAL, "--printer", "kitchen inkjet")):
        said = run(*words)
        assert said.code == 3 and "two profiles are of one name" in said.err
        assert "copy.yaml" in said.err and path.name in said.err and "fix:" in said.err


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("x: 0.997", "x: 9.997", "9.997"),
        ('"2026-11-25"', '"25.11.2026"', "is not a date"),
        ("dpi: 600", "scale x: 1.01", "both say how to correct"),
        ("kind: white", "kind: whit", "whit"),
        ("for: {", "four: {", "four"),
    ],
)
def test_a_mistake_in_a_profile_has_its_line(run: Run, old: str, new: str, says: str) -> None:
    keep(run)
    (path,) = files()
    edited(old, new, str(path))
    said = run("sheet", "tug.yaml", *TRIAL, "--printer", "kitchen inkjet")
    assert said.code == 2 and says in said.err and re.search(r"\.yaml:\d+:\d+: ", said.err)


@pytest.mark.parametrize(
    ("row", "says"),
    [
        ("across foot: -119.64", "is negative"),
        ("across foot: 4.71 in", "too coarse"),
        ("across foot: 4.710", "looks like inches"),
        ("across foot: 119,64,119,60", "more than one point or comma"),
        ("across foot: 11.964", "decimal point"),
        ("across foot: 129.64", ""),
        ("across foot: 139.16\nup left: 119.64", "swapped"),
    ],
)
def test_bad_readings_through_the_command_cost_nothing(run: Run, row: str, says: str) -> None:
    keep(run)
    before = folder()
    rows = "across middle: 119.64\nup left: 139.16\n" if "\n" not in row else ""
    Path("bad.txt").write_text(f"{rows}{row}\n", encoding="utf-8")
    before["bad.txt"] = Path("bad.txt").read_bytes()
    said = run("calibrate", "read", "bad.txt", "--film", "white A5", "--keep", "kitchen inkjet", "--date", "2026-12-01")
    assert said.code == 2 and (says or "do not agree") in said.err and "fix:" in said.err
    assert folder() == before


def test_a_comma_and_good_inches_are_taken_through_the_command(run: Run) -> None:
    Path("r.txt").write_text("across foot: 119,64 119,64\nup left: 5.4787 in\n", encoding="utf-8")
    keep(run)
    printer = load_printer(files()[0])
    assert printer.scale_x == pytest.approx(1 / 0.997, abs=1e-6)
    assert printer.scale_y == pytest.approx(140 / (5.4787 * 25.4), abs=1e-6)


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--keep", "kitchen, rear", "--date", "2026-12-01"), "cannot name a printer"),
        (("--keep", "kitchen.yaml", "--date", "2026-12-01"), "cannot name a printer"),
        (("--keep", "kitchen"), "the day of this calibration is missing"),
        (("--keep", "kitchen", "--date", "1.12.2026"), "is not a date"),
        (("--keep", "kitchen", "--date", "2026-12-01", "--tray", "a,b"), "cannot name a tray"),
        ((), "say where the result goes"),
        (("--keep", "kitchen", "-o", "k.yaml"), "say where the result goes"),
    ],
)
def test_wrong_words_are_refused_with_a_fix(run: Run, words: tuple[str, ...], says: str) -> None:
    before = folder()
    said = run("calibrate", "read", "r.txt", "--printer", "printer.yaml", "--film", "white A5", *words)
    assert said.code in (2, 64) and says in said.err and "fix:" in said.err and folder() == before


@pytest.mark.parametrize("fault", [OSError(errno.ENOSPC, "No space left on device"), OSError(errno.EIO, "I/O error")])
def test_a_full_disk_leaves_the_old_profile(run: Run, monkeypatch: pytest.MonkeyPatch, fault: OSError) -> None:
    keep(run)
    before = folder()

    def fail(_: int) -> None:
        raise fault

    monkeypatch.setattr(writing.os, "fsync", fail)
    for words in (
        ("read", "r.txt", "--film", "white A5", "--keep", "kitchen inkjet", "--date", "2026-12-01"),
        ("bars", "kitchen inkjet", "--x", "99.9", "--date", "2026-12-01"),
    ):
        said = run("calibrate", *words)
        assert said.code == 4 and "cannot be written" in said.err and "is still there" in said.err
        assert folder() == before


@pytest.mark.skipif(os.name != "posix", reason="signals are POSIX's")
def test_a_kill_during_the_write_leaves_the_old_profile(run: Run) -> None:
    keep(run)
    (path,) = files()
    before = path.read_bytes()
    code = (
        "import os, signal\n"
        "from decalgen.cli import main\n"
        "from decalgen.core import files as writing\n"
        "writing.os.fsync = lambda _: os.kill(os.getpid(), signal.SIGKILL)\n"
        "main.main(['calibrate', 'bars', 'kitchen inkjet', '--x', '99.9', '--date', '2026-12-01'])\n"
    )
    ended = subprocess.run([sys.executable, "-c", code], capture_output=True, check=False)
    assert ended.returncode == -signal.SIGKILL
    assert path.read_bytes() == before and load_printer(path).history is not None
    # What the killed run left behind is no profile, and stands in nobody's way.
    assert "check bars" in good(run("calibrate", "bars", "kitchen inkjet", "--x", "99.9", "--date", "2026-12-01"))


def test_check_bars_feed_the_drift(run: Run) -> None:
    keep(run)
    words = ("calibrate", "bars", "kitchen inkjet")
    said = good(run(*words, "--x", "99.95", "--y", "100,02", "--date", "2026-12-01"))
    assert "no drift found" in said and "warning drift" not in said
    said = good(run(*words, "--x", "99.80 99.81 99.79", "--date", "2026-12-02", "-v"))
    assert "note drift: Kitchen inkjet: x has moved by -0.20" in said
    said = good(run(*words, "--y", "99.52", "--y", "99.50", "--y", "104.5", "--date", "2026-12-03"))
    assert "warning slip: bar y: the reading 104.50 mm" in said
    assert "warning drift: Kitchen inkjet: y has moved by -0.49" in said and "more than the 0.3 % allowed" in said
    said = good(run(*words, "--x", "97.0", "--y", "97.0", "--date", "2026-12-04"))
    assert "it was scaled to 97 %" in said and "print at 100 %" in said
    told = good(run("calibrate", "history", "kitchen inkjet"))
    assert told.count("check bars:") == 4 and "x 99.80 mm of 100 mm (-0.20 %)" in told
    # A sheet then says what the bars showed.
    made = good(run(*SHEET, "--printer", "kitchen inkjet"))
    assert "the drift in x and y that the check bars have shown since, included" in made
    # A new calibration starts afresh.
    keep(run, date="2026-12-05")
    made = good(run(*SHEET, "--printer", "kitchen inkjet"))
    assert "calibrated 2026-12-05" in made and "drift" not in made


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--x", "-99.9"), "is negative"),
        (("--x", "3.94"), "looks like inches"),
        (("--x", "3.94 in"), "too coarse"),
        (("--x", "89.9"), "10 mm out"),
        (("--x", "109.9"), "10 mm out"),
        (("--x", "60"), "say how long it should be"),
        (("--x", "99.9 98.0"), "do not agree"),
        ((), "no bar was read"),
        (("--x", "99.9", "--asked-x", "0"), "not the length of a bar"),
        (("--x", "99.9", "--with", "sextant"), "no instrument 'sextant'"),
        (("--x", "99.9", "--film", "white A4"), "no profile for the film"),
        (("--x", "99.9", "--date", "yesterday"), "is not a date"),
    ],
)
def test_bars_that_cannot_be_right_change_nothing(run: Run, words: tuple[str, ...], says: str) -> None:
    keep(run)
    before = folder()
    said = run("calibrate", "bars", "kitchen inkjet", "--date", "2026-12-01", *words)
    assert said.code in (2, 3) and says in said.err and "fix:" in said.err and folder() == before


def test_bars_of_a_small_sheet_and_of_several_films(run: Run) -> None:
    keep(run)
    keep(run, film="clear A5")
    words = ("calibrate", "bars", "kitchen inkjet", "--x", "59.95", "--asked-x", "60", "--date", "2026-12-01")
    said = run(*words)
    assert said.code == 3 and "has 2 profiles" in said.err
    said = good(run(*words, "--film", "clear A5"))
    assert "x 59.95 mm of 60 mm (-0.08 %)" in said
    assert "59.950" in files()[0].read_text(encoding="utf-8") and "check bars" not in files()[1].read_text("utf-8")
    early = ("calibrate", "bars", "kitchen inkjet, clear A5", "--x", "99", "--date", "2026-11-01")
    assert "before the calibration of 2026-11-25" in good(run(*early))


def test_a_printer_file_without_calibration_says_so_on_sheet_and_proof(run: Run) -> None:
    words = ("tug.yaml", "--printer", "printer.yaml", "--film", "white A5", "--effort", "quick")
    for command in (("proof",), ("sheet", *TRIAL)):
        said = good(run(*command, *words))
        assert "expected size error: not known" in said and "decalgen calibrate print" in said


def test_calibrating_between_proof_and_sheet_moves_no_decal(run: Run) -> None:
    """The line of text keeps room for the size error, so that kept positions stay good."""
    words = ("tug.yaml", "--film", "white A5", "--effort", "quick")
    good(run("proof", *words, "--printer", "printer.yaml"))
    before = json.loads(Path("tug.positions.json").read_text(encoding="utf-8"))
    keep(run)
    good(run("proof", *words, "--printer", "kitchen inkjet"))
    after = json.loads(Path("tug.positions.json").read_text(encoding="utf-8"))
    assert after["positions"] == before["positions"] and len(after["positions"]) == 3


def test_a_file_of_the_calibration_is_a_printer_file_with_its_history(run: Run) -> None:
    words = ("--printer", "printer.yaml", "--film", "white A5", "--date", "2026-11-25")
    good(run("calibrate", "read", "r.txt", *words, "-o", "mine.yaml"))
    printer = load_printer("mine.yaml")
    assert printer.history is not None and printer.history.newest is not None
    assert printer.scale_x == pytest.approx(1 / 0.997, abs=1e-6)
    said = good(run("sheet", "tug.yaml", *TRIAL, "--printer", "mine.yaml", "--film", "white A5", "--effort", "quick"))
    assert "calibrated 2026-11-25 for white A5" in said


def test_history_without_profiles_says_how_to_make_one(run: Run) -> None:
    assert "--keep" in good(run("calibrate", "history"))
    Path("data/printers").mkdir(parents=True)
    Path("data/printers/plain.yaml").write_text(PRINTER, encoding="utf-8")
    said = run("calibrate", "history")
    assert said.code == 3 and "does not say for which film" in said.err and "for: {" in said.err


def spots(name: str) -> list[tuple[float, float]]:
    """The ends of all thin lines of a page (bars, marks, ticks), mm from its lower left corner, as pdfplumber reads
    them."""
    with pdfplumber.open(name) as pdf:
        page = pdf.pages[0]
        height = float(page.height)
        found = [(x, height - y) for line in page.lines for x, y in line["pts"]]
    return [(x * 25.4 / 72, y * 25.4 / 72) for x, y in found]


def test_from_readings_to_a_sheet_a_leaning_printer_prints_true_to_a_micrometre(run: Run) -> None:
    """The printer of the readings, simulated on its own, puts every mark of the corrected sheet where the uncorrected
    file has it."""
    x, y, lean = 0.9968, 1.0027, 0.0019
    side = math.hypot(140 * lean, 140 * y)
    wide, high, moved = 84 * x, 112 * y, 112 * lean
    rows = [f"across {where}: {120 * x:.7f}" for where in ("foot", "middle", "head")]
    rows += [f"up {where}: {side:.7f}" for where in ("left", "middle", "right")]
    rows += [f"rising: {math.hypot(wide + moved, high):.7f}", f"falling: {math.hypot(wide - moved, high):.7f}"]
    Path("lean.txt").write_text("\n".join(rows), encoding="utf-8")
    assert "lean: +0.190" in keep(run, rows="lean.txt")
    words = ("sheet", "tug.yaml", *TRIAL, "--film", "white A5", "--effort", "quick", "-o")
    good(run(*words, "plain.pdf", "--printer", "printer.yaml"))
    good(run(*words, "true.pdf", "--printer", "kitchen inkjet"))
    plain, corrected = spots("plain.pdf"), spots("true.pdf")
    assert len(plain) == len(corrected) > 40
    for (px, py), (cx, cy) in zip(plain, corrected, strict=True):
        dx, dy = cx - 74, cy - 105
        assert (74 + x * dx + lean * dy, 105 + y * dy) == pytest.approx((px, py), abs=1e-3)
    assert max(math.dist(a, b) for a, b in zip(plain, corrected, strict=True)) > 0.2


def test_a_print_shop_needs_no_calibration_of_the_film(run: Run) -> None:
    edited("job: tug", 'job: tug\ndate: "2026-11-25"', "tug.yaml")
    keep(run, date="2026-10-28")
    words = ("sheet", "tug.yaml", "--effort", "quick", "--printer", "kitchen inkjet", "--for", "press")
    for number, film in enumerate(("white A5", "white A4")):
        said = good(run(*words, "--film", film, "-o", f"{number}.pdf"))
        assert "size error" not in said
    # Nor does it note a calibration that has no say in it.
    (record,) = Path().glob("1-*.record.json")
    text = record.read_text(encoding="utf-8")
    assert "Kitchen inkjet" in text and "2026-10-28" not in text
    assert "byte for byte" in good(run("sheet", "--again", str(record), "-o", "again.pdf"))
    assert Path("again.pdf").read_bytes() == Path("1.pdf").read_bytes()


@pytest.mark.parametrize("more", [("--for", "press", "-o", "press.pdf"), ("--cut", "cut.svg")])
def test_files_in_true_millimetres_are_not_corrected(run: Run, more: tuple[str, ...]) -> None:
    edited("job: tug", 'job: tug\ndate: "2026-11-25"', "tug.yaml")
    words = ("sheet", "tug.yaml", *TRIAL, "--film", "white A5", "--effort", "quick", *more)
    good(run(*words, "--printer", "printer.yaml"))
    plain = Path(more[-1]).read_bytes()
    # The same name, so that nothing else differs; and a printer that leans and stretches.
    Path("printer.yaml").write_text(PRINTER + "scale x: 1.01\nscale y: 0.99\nlean: 0.004\n", encoding="utf-8")
    good(run(*words, "--printer", "printer.yaml"))
    after = Path(more[-1]).read_bytes()
    assert after == plain and len(plain) > 1000


def test_a_new_calibration_voids_a_proof_and_read_bars_do_not(run: Run) -> None:
    keep(run)
    words = ("tug.yaml", "--printer", "kitchen inkjet", "--film", "white A5", "--effort", "quick")
    good(run("proof", *words))
    good(run("proof", "passed", "tug-proof.pdf", "--x", "99.95", "--y", "100.02"))
    made = good(run("sheet", *words))
    (told,) = re.findall(r"from cross to cross, .*: (decalgen calibrate bars .*)", made)
    (record,) = Path().glob("*.record.json")
    lengths = {one["axis"]: one["length"] for one in json.loads(record.read_text("utf-8"))["crosses"]}
    asked = " ".join(f"--{axis} \u2026 --asked-{axis} {lengths[axis]:g}" for axis in "xy" if lengths[axis] >= 20)
    assert told.endswith(f'bars "Kitchen inkjet, white A5, short edge first" {asked} --date \u2026')
    good(run("calibrate", "bars", "Kitchen inkjet, white A5, short edge first", "--x", "99.8", "--date", "2026-12-01"))
    good(run("sheet", *words))
    readings("later.txt", 0.999, 0.994)
    keep(run, date="2026-12-20", rows="later.txt")
    said = run("sheet", *words)
    assert said.code != 0 and "the printer changed since" in said.err


def test_a_longer_target_for_a_steel_rule_is_read_and_kept_with_its_coarser_doubt(run: Run) -> None:
    words = ("--printer", "printer.yaml", "--film", "white A4", "--with", "steel rule")
    said = good(run("calibrate", "print", *words, "-o", "target.pdf", "-v"))
    assert "across foot: asked 180.00 mm" in said and "up left: asked 260.00 mm" in said
    assert "g, rising: asked 290.00 mm" in said and '--with "steel rule" --keep "desk inkjet"' in said
    rows = [f"across {where}: 179.5 179.7\n" for where in ("foot", "middle", "head")]
    rows += [f"up {where}: 259.5 259.8\n" for where in ("left", "middle", "right")]
    Path("rule.txt").write_text("".join(rows), encoding="utf-8")
    good(run("calibrate", "read", "rule.txt", *words, "--keep", "Kitchen inkjet", "--date", "2026-11-25"))
    newest = load_printer(files()[0]).history.newest  # type: ignore[union-attr]
    assert newest is not None and newest.tool == "steel rule"
    # u = √((0.2/√3)² + 0.2²/6) = 0.141 mm on 180 mm.
    assert newest.x.u * 180 == pytest.approx(0.141, abs=1e-3)


def test_an_icc_profile_moves_in_with_the_printer(run: Run) -> None:
    Path("mine.icc").write_bytes(shipped().data)
    Path("printer.yaml").write_text(PRINTER + "colour: {profile: mine.icc}\n", encoding="utf-8")
    keep(run)
    icc, profile = files()
    assert icc.read_bytes() == shipped().data and load_printer(profile).profile == icc.name
    keep(run, date="2026-12-01")
    assert files() == [icc, profile] and load_printer(profile).swatches is not None
    said = run("calibrate", "read", "r.txt", "--printer", "printer.yaml", "--film", "white A5",
               "--date", "2026-12-02", "-o", "elsewhere/mine.yaml")  # fmt: skip
    assert said.code == 4 and "would not be beside" in said.err and not Path("elsewhere").exists()


def test_a_film_whose_name_holds_a_comma(run: Run) -> None:
    text = 'film: "white A5, opened"\nkind: white\nprocess: inkjet\nsheet: A5\n'
    Path("film.yaml").write_text(text, encoding="utf-8")
    keep(run, film="film.yaml")
    keep(run, film="clear A5")
    good(run("calibrate", "bars", "Kitchen inkjet, white A5, opened, short edge first", "--x", "99.9",
             "--date", "2026-12-01"))  # fmt: skip
    said = run("calibrate", "bars", "Kitchen inkjet, white A5", "--x", "99.9", "--date", "2026-12-01")
    assert said.code == 3 and "no profile is kept of 'Kitchen inkjet, white A5'" in said.err
    # The same film by other words, of the same kind and size, takes its profile too.
    assert "calibrated 2026-11-25" in good(run(*SHEET, "--printer", "kitchen inkjet"))


def test_film_from_the_drawer_takes_the_profile_of_its_kind_and_size(run: Run) -> None:
    keep(run)
    good(run("film", "add", "white A5", "--count", "2"))
    made = good(
        run("sheet", "tug.yaml", *TRIAL, "--printer", "kitchen inkjet", "--film", "drawer", "--effort", "quick")
    )
    assert "calibrated 2026-11-25 for white A5" in made


def test_a_profile_of_waterslide_film_is_none_for_adhesive_film(run: Run) -> None:
    """The same size and kind: only how it holds on the model differs, and how it feeds through the printer."""
    keep(run)
    Path("sticky.yaml").write_text(
        "film: sticky\nkind: white\nprocess: inkjet\nsheet: A5\nadhesive: yes\n", encoding="utf-8"
    )
    said = run("proof", "tug.yaml", "--film", "sticky.yaml", "--printer", "kitchen inkjet", "--effort", "quick")
    assert said.code == 6 and "has no profile for the film 'sticky'" in said.err


def test_a_folder_of_more_profiles_than_are_kept_is_refused_before_one_is_read(run: Run) -> None:
    place = Path("data/printers")
    place.mkdir(parents=True)
    for number in range(501):
        (place / f"{number:03d}.yaml").touch()
    with pytest.raises(InputError, match="holds 501 profiles"):
        kept()
    (place / "500.yaml").unlink()
    with pytest.raises(JobError):
        kept()


def test_of_two_profiles_that_hold_the_one_of_the_films_own_name_is_taken(run: Run) -> None:
    Path("matt.yaml").write_text("film: matt\nkind: white\nprocess: inkjet\nsheet: A5\n", encoding="utf-8")
    readings("m.txt", 0.990, 0.990)
    keep(run)
    keep(run, film="matt.yaml", rows="m.txt")
    white, matt = (printer_for("kitchen inkjet", load_film(name, "inkjet")) for name in ("white A5", "matt.yaml"))
    assert 1 / white.scale_x == pytest.approx(0.997, abs=1e-5)
    assert 1 / matt.scale_x == pytest.approx(0.990, abs=1e-5)
