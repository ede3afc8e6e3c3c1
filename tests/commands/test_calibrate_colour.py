"""`decalgen calibrate colour` and `calibrate swatches`: the sheet, its readings, and what they change."""

from __future__ import annotations

import shutil
from dataclasses import replace
from pathlib import Path

import pdfplumber
import pytest
from click.testing import CliRunner

import decalgen.colour
from decalgen.cli.calibrate_colour import calibrate
from decalgen.colour.value import ColourError
from decalgen.commands.check import check
from decalgen.commands.options import Options
from decalgen.commands.run import Run
from decalgen.core.document import Fill
from decalgen.core.errors import FilmError, FitError, InputError, OutputError
from decalgen.core.geometry import rectangle
from decalgen.job.colours import ink_of, printer_colour
from decalgen.job.films import load_printer
from decalgen.job.model import InkSpec
from decalgen.pages.swatches import swatch_pages
from decalgen.preflight.limits import limits, smallest
from tests.helpers import jobs
from tests.helpers.page_words import words_of

JOB = """\
job: tug
body: "#1d2b4a"
film: white
inks: {lifebuoy orange: "#e8641b", navy: "#1d2b4a"}
panels: {door: {width: 22.40 mm ± 0.05, height: 11.60 mm ± 0.05}}
decals:
  band: {panel: door, width: 18 mm, height: 4 mm, artwork: [field: {ink: lifebuoy orange, height: 0.13 mm}]}
"""
PRINTER = "printer: two-pass\nmargins: [5 mm, 5 mm, 10 mm, 5 mm]\ndpi: 600\nwhite: yes\n"


def run(*words: str) -> str:
    result = CliRunner().invoke(calibrate, list(words), catch_exceptions=False, standalone_mode=False)
    return result.output


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    Path("tug.yaml").write_text(JOB, encoding="utf-8")
    Path("printer.yaml").write_text(PRINTER, encoding="utf-8")
    return tmp_path


def readings(*rows: str) -> None:
    Path("readings.txt").write_text("\n".join(rows) + "\n", encoding="utf-8")


def take(*words: str) -> str:
    return run("swatches", "readings.txt", "tug.yaml", "--printer", "printer.yaml", "-o", "new.yaml", *words)


# ----------------------------------------------------------------------------------------------------- the sheet
def test_the_patches_are_fourteen_millimetres_in_the_colours_asked_for(folder: Path) -> None:
    said = run("colour", "tug.yaml", "--film", "clear A5", "-o", "swatches.pdf")
    assert ": swatches.pdf" in said and "white over black" not in said
    with pdfplumber.open("swatches.pdf") as pdf:
        page = pdf.pages[0]
        assert (round(page.width * 25.4 / 72), round(page.height * 25.4 / 72)) == (148, 210)
        mm = 25.4 / 72
        things = [*page.rects, *page.curves]
        squares = {
            tuple(round(255 * part) for part in thing["non_stroking_color"])
            for thing in things
            if thing["fill"] and abs((thing["x1"] - thing["x0"]) * mm - 14) < 1e-2
            and abs((thing["bottom"] - thing["top"]) * mm - 14) < 1e-2
        }  # fmt: skip
    # Orange, navy, and the darkest patch; black is no ink of the job's own.
    assert squares == {(0xE8, 0x64, 0x1B), (0x1D, 0x2B, 0x4A), (0, 0, 0)}


def test_a_white_printer_gets_white_pass_by_pass_with_the_same_marks(folder: Path) -> None:
    run("colour", "tug.yaml", "--printer", "printer.yaml", "--film", "clear A5")
    assert {path.name for path in folder.glob("*.pdf")} == {
        "swatches.pdf", "swatches-white-pass-1.pdf", "swatches-white-pass-2.pdf",
    }  # fmt: skip


def test_white_goes_under_the_register_squares_drawn_in_by_what_they_say() -> None:
    printer = replace(jobs.PRINTER, white=True)
    inks = [ink_of(spec) for spec in jobs.INKS]
    area = rectangle(5, 5, 143, 205)
    pages = dict(swatch_pages(inks, printer_colour(printer), printer, jobs.film("clear"), area))
    assert list(pages) == ["", "white-pass-1", "white-pass-2"]

    def squares(name: str) -> list[tuple[float, float, float, float]]:
        return [fill.region.bounds for fill in pages[name].pages[0].layers[0].items if isinstance(fill, Fill)]

    first, second = squares("white-pass-1"), squares("white-pass-2")
    # Patches of one and two passes and seven squares; the second pass prints the patch of two alone.
    assert (len(first), len(second)) == (9, 1)
    assert second[0] in first
    for choke in (0.05, 0.10, 0.15, 0.20, 0.25, 0.30, 0.40):
        inner = [b for b in first if b[2] - b[0] == pytest.approx(6 - 2 * choke, abs=1e-9)]
        assert len(inner) == 1
        grown = (inner[0][0] - choke, inner[0][1] - choke, inner[0][2] + choke, inner[0][3] + choke)
        assert any(b == pytest.approx(grown, abs=1e-9) for b in squares(""))


def test_swatches_that_go_on_no_film(folder: Path) -> None:
    Path("small.yaml").write_text("film: s\nkind: clear\nprocess: inkjet\nwidth: 148 mm\nheight: 60 mm\n", "utf-8")
    with pytest.raises(FitError, match=r"a row of swatches is .* has room for"):
        run("colour", "tug.yaml", "--film", "small.yaml")
    with pytest.raises(FilmError):
        run("colour", "tug.yaml", "--film", "clear A5 laser")
    assert not list(folder.glob("*.pdf"))


# -------------------------------------------------------------------------------------------------------- readings
def test_swatches_go_on_over_as_many_sheets_as_they_need() -> None:
    inks = [ink_of(InkSpec(f"ink {n}", "process", f"#0000{n:02x}")) for n in range(40)]
    printer = replace(jobs.PRINTER, white=True)
    pages = dict(swatch_pages(inks, printer_colour(printer), printer, jobs.film(), rectangle(5, 5, 143, 205)))
    colours = pages[""].pages
    fills = [[f for f in page.layers[0].items if isinstance(f, Fill) and f.ink] for page in colours]
    assert len(colours) > 1 and sum(len(page) for page in fills) == 40
    assert all(f.region.bounds[1] > 5 and f.region.bounds[3] < 205 for page in fills for f in page)
    # A pass of white goes on the sheets that have white, and says which.
    for document in pages.values():
        words = [one.plain for one in words_of(document)]
        told = [one for one in words if f"of{len(colours)}" in one and "sheet" in one]
        assert len(told) == len(document.pages) <= len(colours)


def test_a_size_is_read_by_its_letter_too(folder: Path) -> None:
    readings("a: 0.12 mm", "b gap: 0.15", "C: 0.8")
    take()
    known = printer_colour(load_printer("new.yaml"))
    assert (known.smallest_line, known.smallest_gap, known.smallest_caps) == (0.12, 0.15, 0.8)
    readings("line: 0.12", "a: 0.15")
    with pytest.raises(ColourError, match="'line' is read twice"):
        run("swatches", "readings.txt", "tug.yaml", "-o", "other.yaml")


def test_the_letters_on_the_sheet_are_those_that_are_asked_for(folder: Path) -> None:
    said = run("colour", "tug.yaml", "--printer", "printer.yaml", "--film", "clear A5")
    for letter, name in zip("abcde", ("line", "gap", "caps", "caps reversed", "choke"), strict=True):
        assert f"{letter} {name}" in said


def test_readings_replace_the_defaults_of_the_printer(folder: Path) -> None:
    readings(
        "# read with a hand instrument", "lifebuoy orange: lab(58 52 60)", "darkest: #1b1a1c # after a day",
        "line: 0.12 mm", "gap: 0.15", "caps: 0.8", "choke: 0.2 mm", "white over black: lab(80 0 0)",
        "white over white: lab(95 0 0)",
    )  # fmt: skip
    said = take("--date", "2026-11-25")
    printer = load_printer("new.yaml")
    known = printer_colour(printer)
    # CIE 15: L* 80 is Y = ((80 + 16) / 116)^3, L* 95 likewise; opacity is their ratio.
    assert known.opacity == pytest.approx(((80 + 16) / (95 + 16)) ** 3, abs=1e-3)
    assert (known.smallest_line, known.smallest_gap, known.smallest_caps, printer.misregister) == (0.12, 0.15, 0.8, 0.2)
    assert dict(known.patches)["lifebuoy orange"].lab == pytest.approx((58, 52, 60), abs=1e-3)
    assert (printer.name, printer.margins, printer.white) == ("two-pass", (5, 5, 10, 5), True)
    assert "smallest line: 0.12 mm" in said and "misregister: 0.2 mm, was 0.15 mm" in said
    assert "2026-11-25: 8 readings" in Path("new.yaml").read_text(encoding="utf-8")


def test_a_check_goes_by_the_line_that_held(folder: Path) -> None:
    before = check(Run([Path("tug.yaml")], Options(printer="printer.yaml")))
    assert "thin-line" in [finding.code for finding in before.findings]
    readings("line: 0.12 mm")
    take()
    after = check(Run([Path("tug.yaml")], Options(printer="new.yaml")))
    assert "thin-line" not in [finding.code for finding in after.findings]


def test_a_check_goes_by_the_ink_as_it_was_read(folder: Path) -> None:
    readings("lifebuoy orange: lab(40 30 30)")
    take()
    found = check(Run([Path("tug.yaml")], Options(printer="new.yaml"))).findings
    assert [f.subject for f in found if f.code == "colour-film"] == ["lifebuoy orange on #1d2b4a"]
    assert not [
        f for f in check(Run([Path("tug.yaml")], Options(printer="printer.yaml"))).findings if f.code == "colour-film"
    ]


def test_limits_come_from_the_resolution_where_nothing_was_read() -> None:
    assert limits(jobs.PRINTER) == smallest(600)


def test_a_profile_stays_beside_the_printer_file(folder: Path) -> None:
    shutil.copyfile(Path(decalgen.colour.__file__).with_name("coated_tr006.icc"), "mine.icc")
    Path("printer.yaml").write_text(PRINTER + "colour: {profile: mine.icc}\n", encoding="utf-8")
    readings("line: 0.12")
    take()
    assert load_printer("new.yaml").profile == "mine.icc"
    (folder / "else").mkdir()
    with pytest.raises(OutputError, match="would not be beside"):
        run("swatches", "readings.txt", "tug.yaml", "--printer", "printer.yaml", "-o", "else/new.yaml")


@pytest.mark.parametrize(
    ("row", "message", "fix"),
    [
        ("signal orage: lab(58 52 60)", "'signal orage' is nothing the swatch sheet asks for", "lifebuoy orange"),
        ("darkest: lab(140 0 0)", "darkest: L* 140 is out of range", "54.9"),
        ("darkest: lab(60 0 0)", "the darkest patch reads", "patch called darkest"),
        ("line: thin", "line: 'thin' is not a size", "millimetres"),
        ("line: 0.12\nline: 0.15", "'line' is read twice", "keep one"),
        ("line", "'line' is not a reading", "darkest: lab(9 0 0)"),
        ("white over black: lab(80 0 0)", "'white over white' is missing", "both on black and on white"),
        ("white over black: lab(95 0 0)\nwhite over white: lab(80 0 0)", "lighter over black", "swapped"),
        ("# nothing", "there is no reading in 'readings.txt'", "one reading per line"),
    ],
)
def test_a_reading_that_cannot_be_right(folder: Path, row: str, message: str, fix: str) -> None:
    readings(*row.split("\n"))
    with pytest.raises(ColourError) as caught:
        take()
    assert message in caught.value.message and fix in caught.value.fix
    assert not Path("new.yaml").exists()


def test_a_wrong_reading_is_told_with_its_line(folder: Path) -> None:
    readings("caps: 0.8", "line: thin")
    with pytest.raises(ColourError) as caught:
        take()
    assert str(caught.value.place) == "readings.txt:2:1"


def test_nothing_is_written_over(folder: Path) -> None:
    readings("line: 0.12")
    take()
    before = Path("new.yaml").read_bytes()
    with pytest.raises(OutputError, match="already exists"):
        take()
    assert Path("new.yaml").read_bytes() == before
    with pytest.raises(InputError, match="there is no file"):
        run("swatches", "none.txt", "tug.yaml", "-o", "other.yaml")


def test_more_inks_than_a_sheet_takes() -> None:
    inks = [ink_of(InkSpec(f"ink {n}", "process", f"#0000{n:02x}")) for n in range(61)]
    with pytest.raises(ColourError, match="61 inks"):
        swatch_pages(inks, printer_colour(jobs.PRINTER), jobs.PRINTER, jobs.film(), rectangle(0, 0, 140, 200))
