"""`decalgen calibrate`: the target read back from its PDF, readings from a file, the printer file that comes of it."""

from __future__ import annotations

from pathlib import Path

import pdfplumber
import pytest
from click.testing import CliRunner

from decalgen.cli.main import cli
from decalgen.commands.calibrate_printer import read_readings
from decalgen.core.errors import DecalgenError, FilmError, InputError, OutputError
from decalgen.job.films import load_printer
from decalgen.printer.target import SPANS, CalibrationError

PRINTER = "printer: desk inkjet\nprocess: inkjet\nmargins: [5 mm, 5 mm, 10 mm, 5 mm]\ndpi: 1200\nwhite: yes\n"
DAY = ("--date", "2026-11-25")
CALIBRATE = cli.commands["calibrate"]


def run(*words: str, answers: str = "") -> str:
    result = CliRunner().invoke(CALIBRATE, list(words), input=answers, catch_exceptions=False, standalone_mode=False)
    return result.output


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    Path("printer.yaml").write_text(PRINTER, encoding="utf-8")
    return tmp_path


def test_the_target_is_as_long_as_it_says(folder: Path) -> None:
    said = run("print", "--printer", "printer.yaml", "--film", "white A5", "-o", "target.pdf", "-v")
    assert "across foot: asked 120.00 mm" in said and "up left: asked 140.00 mm" in said
    with pdfplumber.open("target.pdf") as pdf:
        page = pdf.pages[0]
        millimetre = 25.4 / 72
        drawn = [*page.lines, *page.rects, *page.curves]
        widths = [(thing["x1"] - thing["x0"]) * millimetre for thing in drawn]
        heights = [(thing["bottom"] - thing["top"]) * millimetre for thing in drawn]
    flat = [w for w, h in zip(widths, heights, strict=True) if abs(w - 120) < 1e-3 and h < 0.1]
    tall = [h for w, h in zip(widths, heights, strict=True) if abs(h - 140) < 1e-3 and w < 0.1]
    assert (len(flat), len(tall)) == (3, 3)


def test_readings_become_a_printer_file_that_corrects(folder: Path) -> None:
    rows = ["across foot: 119.64 119.64", "across head: 119.64 # note", "up left: 139.16 139.16 mm", ""]
    Path("readings.txt").write_text("\n".join(rows), encoding="utf-8")
    said = run("read", "readings.txt", "--printer", "printer.yaml", "--film", "white A5", "-o", "new.yaml", *DAY)
    assert "0.99700 of the asked size" in said and "0.99400" in said
    printer = load_printer("new.yaml")
    assert printer.scale_x == pytest.approx(1 / 0.997, abs=1e-6)
    assert printer.scale_y == pytest.approx(1 / 0.994, abs=1e-6)
    assert (printer.name, printer.dpi, printer.white, printer.margins) == ("desk inkjet", 1200, True, (5, 5, 10, 5))


def test_readings_are_asked_for_one_by_one(folder: Path) -> None:
    # "119.6x" is not a reading: the span is asked for again.
    typed = {"across foot": "119.6x\n119,64", "up left": "139.16"}
    answers = "\n".join(typed.get(span, "") for span in SPANS) + "\n"
    said = run("read", "--printer", "printer.yaml", "--film", "white A5", "-o", "new.yaml", *DAY, answers=answers)
    assert "g, rising (asked 140.00)" in said
    assert load_printer("new.yaml").scale_x == pytest.approx(1 / 0.997, abs=1e-6)


def test_a_print_fitted_to_the_page_is_recognised(folder: Path) -> None:
    Path("r.txt").write_text("across foot: 111.43\nup left: 130.0\n", encoding="utf-8")
    said = run("read", "r.txt", "--printer", "printer.yaml", "--film", "white A5", "-o", "new.yaml", *DAY)
    # Margins of 5, 5, 10 and 5 mm on A5: the smaller of 138/148 and 195/210 is 0.9286.
    assert "fitted to the printable area" in said and "warning scaled" in said and "print at 100 %" in said


def test_an_old_calibration_is_never_overwritten(folder: Path) -> None:
    Path("r.txt").write_text("across foot: 119.6\nup left: 139.2\n", encoding="utf-8")
    with pytest.raises(OutputError, match="already exists"):
        run("read", "r.txt", "--printer", "printer.yaml", "--film", "white A5", "-o", "printer.yaml", *DAY)
    assert Path("printer.yaml").read_text(encoding="utf-8") == PRINTER


def test_a_film_for_another_process_is_refused(folder: Path) -> None:
    with pytest.raises(FilmError, match="is laser film"):
        run("print", "--printer", "printer.yaml", "--film", "white A5 laser")


@pytest.mark.parametrize(
    ("text", "error", "says"),
    [
        ("across foot: 119,620\n", CalibrationError, "may be one reading or two"),
        ("across foot: -119.6\n", CalibrationError, "is negative"),
        ("# only\nacros foot: 119.6\n", CalibrationError, "did you mean 'across foot'"),
        ("across foot 119.6\n", CalibrationError, "no colon after a span"),
        ("across foot: 4.70 in\n", CalibrationError, "too coarse"),
        ("across foot: 119.6 km\n", CalibrationError, "'km' is not a reading"),
    ],
)
def test_mistakes_in_a_file_of_readings_have_their_line(
    folder: Path, text: str, error: type[DecalgenError], says: str
) -> None:
    Path("r.txt").write_text(text, encoding="utf-8")
    with pytest.raises(error) as caught:
        read_readings(Path("r.txt"))
    assert says in str(caught.value)
    assert str(caught.value).startswith(f"r.txt:{text.count('#') + 1}:1: ")


def test_files_that_cannot_be_read_as_readings(folder: Path) -> None:
    with pytest.raises(InputError, match="no file"):
        read_readings(Path("none.txt"))
    with pytest.raises(InputError, match="is a folder"):
        read_readings(folder)
    Path("big.txt").write_bytes(b"#" * 200_000)
    with pytest.raises(InputError, match="too large"):
        read_readings(Path("big.txt"))
    Path("latin.txt").write_bytes(b"across foot: 1 # \xff\n")
    with pytest.raises(InputError, match="not UTF-8 text"):
        read_readings(Path("latin.txt"))


def test_decimal_commas_and_inches_are_taken(folder: Path) -> None:
    Path("r.txt").write_text("across foot: 119,64 119,66 mm\nup left: 5.4785 in\n", encoding="utf-8")
    assert read_readings(Path("r.txt")) == {
        "across foot": [119.64, 119.66],
        "up left": [pytest.approx(139.1539, abs=1e-4)],
    }


# ------------------------------------------------------------------------------------------------ typed span by span
TYPED = ("read", "--printer", "printer.yaml", "--film", "white A5", "-o", "new.yaml")
RIGHT = {
    "across foot": "119.64 119,66", "across middle": "119.65 119.63", "across head": "119.64 119.64",
    "up left": "139.16 139.17", "up middle": "139.15 139.16", "up right": "139.16 139.16",
    "rising": "139.31 139.30", "falling": "139.30 139.31",
}  # fmt: skip
KEPT = Path("new.readings.txt")


def typed(answers: dict[str, str], *words: str) -> str:
    """The answers in the order of the spans; those missing end the input there, as a closed terminal does."""
    lines = []
    for span in SPANS:
        if span not in answers:
            break
        lines.append(answers[span])
    result = CliRunner().invoke(CALIBRATE, [*TYPED, *(words or DAY)], input="".join(f"{n}\n" for n in lines))
    return result.output + (str(result.exception) if result.exception else "")


def test_what_is_typed_outlives_a_closed_terminal_and_is_taken_up_again(folder: Path) -> None:
    first = dict(list(RIGHT.items())[:5])
    typed(first)
    assert not Path("new.yaml").exists()
    assert read_readings(KEPT)["across foot"] == [119.64, 119.66] and len(read_readings(KEPT)) == 5
    rest = "".join(f"{RIGHT[span]}\n" for span in SPANS[5:])
    said = run(*TYPED, *DAY, answers=rest)
    assert "Taken up again: 5 of 8 spans" in said and "across foot (asked" not in said
    assert load_printer("new.yaml").scale_x == pytest.approx(120 / 119.643, abs=1e-5)
    # It has been used: nothing is left to take up.
    assert not KEPT.exists()


def test_the_paper_type_is_asked_for_and_kept(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("DECALGEN_DATA", str(folder / "data"))
    monkeypatch.setattr("decalgen.cli.terminal.at_hand", lambda: True)
    words = ("read", "--printer", "printer.yaml", "--film", "white A5", "--keep", "desk")
    lines = [RIGHT[span] for span in SPANS]
    # What is too long for a printer's word is asked for again.
    said = run(*words, *DAY, answers="\n".join([*lines, "x" * 61, "transparency", ""]))
    assert "cannot name a paper type" in said and "paper type, which --to asks for: transparency" in said
    (profile,) = Path("data/printers").glob("*.yaml")
    history = load_printer(profile).history
    assert history is not None and history.setting is not None and history.setting.paper_type == "transparency"
    # Another calibration keeps it where nothing is typed, and takes another word where one is.
    said = run(*words, "--date", "2026-11-26", answers="\n".join([*lines, "", ""]))
    assert "paper type [transparency]" in said and "asks for: transparency" in said
    run(*words, "--date", "2026-11-27", "--paper-type", "photo", answers="\n".join([*lines, ""]))
    kept = load_printer(profile).history
    assert kept is not None and kept.setting is not None and kept.setting.paper_type == "photo"
    assert len(kept.calibrations) == 3


def test_what_is_typed_is_the_same_file_that_read_takes(folder: Path) -> None:
    typed(dict(list(RIGHT.items())[:6]))
    run("read", str(KEPT), *TYPED[1:], *DAY)
    by_file = Path("new.yaml").read_bytes()
    Path("new.yaml").unlink()
    run(*TYPED, *DAY, answers="\n\n")
    assert Path("new.yaml").read_bytes() == by_file


@pytest.mark.parametrize(
    ("span", "wrong", "says"),
    [
        ("across foot", "11964", "decimal point"),
        ("across foot", "4.810 in 119.6", "do not agree"),
        ("across foot", "139.2", "swapped"),
        ("across head", "119.64 120.64 119.65", "off the others"),
        ("across head", "121.5", "off the other spans across"),
        ("up right", "129.16", "off the other spans up"),
        ("falling", "139.3o", "is not a reading"),
        ("falling", "5.48 in", "too coarse"),
        ("falling", "60", "no printer is off"),
    ],
)
def test_a_mistake_is_told_at_its_span_and_costs_nothing(folder: Path, span: str, wrong: str, says: str) -> None:
    said = typed(RIGHT | {span: f"{wrong}\n{RIGHT[span]}"})
    assert says in said and f"{span}" in said
    assert load_printer("new.yaml").scale_x == pytest.approx(120 / 119.643, abs=1e-5)


def test_back_goes_to_the_span_before_and_a_dash_drops_one(folder: Path) -> None:
    answers = RIGHT | {"across head": "back\n-\n119.64 119.64"}
    said = typed(answers)
    assert "[119.65 119.63]" in said
    assert "only 1 of" not in said and ": warning" not in said
    assert load_printer("new.yaml").history.newest.readings == 14  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ((), "the day of this calibration is missing"),
        (("--date", "yesterday"), "is not a date"),
        (("--with", "sextant", *DAY), "no instrument"),
        (("--film", "white A5 laser", *DAY), "is laser film"),
        (("-o", "printer.yaml", *DAY), "already exists"),
    ],
)
def test_what_is_wrong_besides_the_readings_is_said_before_one_is_typed(
    folder: Path, words: tuple[str, ...], says: str
) -> None:
    said = typed(RIGHT, *(words or ("--feed", "long edge first")))
    assert says in said and "across foot (asked" not in said


def test_readings_refused_as_a_whole_are_kept_and_can_be_mended(folder: Path) -> None:
    # Each span by itself could be: the sides contradict each other.
    off = RIGHT | {span: " ".join(f"{float(v) * 0.91:.2f}" for v in RIGHT[span].split()) for span in SPANS[3:6]}
    said = typed(off)
    assert "no printer stretches so differently" in said and "new.readings.txt" in said and KEPT.exists()
    again = [*("" for _ in SPANS[:3]), *(RIGHT[span] for span in SPANS[3:6]), "", ""]
    said = run(*TYPED, *DAY, answers="".join(f"{n}\n" for n in again))
    assert "Taken up again: 8 of 8" in said
    assert load_printer("new.yaml").scale_y == pytest.approx(140 / 139.16, abs=1e-4)


def test_readings_of_another_target_are_not_taken_up(folder: Path) -> None:
    typed({"across foot": "119.64 119.66"})
    before = KEPT.read_bytes()
    said = typed(RIGHT, *DAY, "--with", "ruler")
    assert "holds readings of another target" in said and KEPT.read_bytes() == before


def test_an_instrument_is_kept_by_its_own_name(folder: Path) -> None:
    rows = [f"across {where}: 119.5 119.7\n" for where in ("foot", "middle", "head")]
    rows += [f"up {where}: 179.5 179.7\n" for where in ("left", "middle", "right")]
    Path("r.txt").write_text("".join(rows), encoding="utf-8")
    run("read", "r.txt", *TYPED[1:], *DAY, "--with", "Ruler")
    assert "by: steel rule" in Path("new.yaml").read_text(encoding="utf-8")


def test_a_rule_may_measure_the_target_printed_for_a_caliper(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """And keeps its own uncertainty; a caliper that does not reach the target for a rule is told so."""
    long = run("print", "--film", "white Letter", "--with", "steel rule", "-o", "long.pdf", "-v")
    assert "across foot: asked 170.00 mm" in long
    short = run("print", "--film", "white Letter", "-o", "short.pdf", "-v")
    assert "across foot: asked 120.00 mm" in short and "up left: asked 140.00 mm" in short
    Path("short.txt").write_text("across foot: 119.5 119.5\nup left: 139.5 13.95 cm\n", encoding="utf-8")
    Path("long.txt").write_text("across foot: 169.5 169.5\nup left: 239.5 239.5\n", encoding="utf-8")
    words = ("--film", "white Letter", *DAY)
    said = run("read", "short.txt", *words, "--with", "ruler", "-o", "rule.yaml")
    assert "read as the target printed for a caliper, of 120 \N{MULTIPLICATION SIGN} 140 mm" in said
    with pytest.raises(CalibrationError) as caught:
        run("read", "long.txt", *words, "-o", "wrong.yaml")
    assert '--with "steel rule"' in (caught.value.fix or "") and not Path("wrong.yaml").exists()
    monkeypatch.setenv("DECALGEN_DATA", str(folder / "data"))
    kept = run("read", "short.txt", *words, "--with", "ruler", "--keep", "desk")
    assert "read as the target printed for a caliper" in kept


@pytest.mark.parametrize(("tray", "good"), [("r" * 60, True), ("r" * 61, False), ("rear, left", False)])
def test_a_tray_has_a_name_of_up_to_sixty_letters(
    folder: Path, monkeypatch: pytest.MonkeyPatch, tray: str, good: bool
) -> None:
    monkeypatch.setenv("DECALGEN_DATA", str(folder / "data"))
    Path("r.txt").write_text("across foot: 119.64\nup left: 139.16\n", encoding="utf-8")
    words = ("read", "r.txt", "--printer", "printer.yaml", "--film", "white A5", "--keep", "Kitchen", "--tray", tray)
    if good:
        assert "up left" in run(*words, *DAY, "-v")
    else:
        with pytest.raises(CalibrationError, match="cannot name a tray"):
            run(*words, *DAY)
