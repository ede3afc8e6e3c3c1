"""Inks, paints and a printer's colours as files say them: every way to write one, and every mistake with its fix."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from PIL import ImageCms

import decalgen.colour
from decalgen.colour.inks import WHITE_INK
from decalgen.colour.typed import parse
from decalgen.core.errors import JobError
from decalgen.job.colours import body_of, ink_of, printer_colour
from decalgen.job.films import load_printer
from decalgen.job.model import Printer
from decalgen.job.swatches import swatch_rows

from .conftest import HEAD

SHIPPED = Path(decalgen.colour.__file__).with_name("coated_tr006.icc")


def test_lab_and_inks_in_percent_are_kept_exact(load):
    job = load(HEAD + 'inks: {a: "lab(60 -70 -30)", b: {colour: cmyk(0 70 100 0)}, c: ferry blue, d: "#fa0"}\n')
    a, b, c, d = (job.ink(name) for name in "abcd")
    # Outside sRGB: six figures cannot say it, the colour side still gets it as read.
    assert ink_of(a).colour.lab == pytest.approx((60, -70, -30), abs=1e-9)
    assert a.colour == parse("lab(60 -70 -30)").hex
    assert (b.colour, b.exact) == (parse("cmyk(0 70 100 0)").hex, "cmyk(0 70 100 0)")
    assert [(ink.colour, ink.exact) for ink in (c, d)] == [("#1f55a5", ""), ("#ffaa00", "")]


def test_white_has_an_opacity_and_a_colour_of_its_own(load):
    job = load(HEAD + "inks: {white: {kind: white, opacity: 0.62}, ivory: {kind: white, colour: ivory}}\n")
    assert (job.ink("white").opacity, ink_of(job.ink("white")).colour) == (0.62, WHITE_INK)
    assert ink_of(job.ink("ivory")).colour == parse("ivory")


def test_bare_metal_needs_no_colour_and_has_two_looks(load, mistakes):
    job = load("job: x\nbody: raw\npaints: {raw: {finish: bare metal}, lacquer: lab(40 20 10)}\n")
    raw = body_of(job.paint("raw"))
    assert len(raw.looks) == 2
    assert job.paint("raw").colour == raw.colour.hex
    assert body_of(job.paint("lacquer")).colour.lab == pytest.approx((40, 20, 10), abs=1e-9)
    (problem,) = mistakes("job: x\nbody: raw\npaints: {raw: {finish: matt}}\n")
    assert (problem.message, problem.fix) == ("the paint 'raw' has no 'colour'", 'add colour: "#1d2b4a"')


@pytest.mark.parametrize(
    ("inks", "column", "message", "fix"),
    [
        (
            "w: {kind: white, opacity: 0}",
            27,
            "a white of opacity 0 is out of range",
            "white of opacity 0 prints nothing",
        ),
        ("w: {kind: white, opacity: 2}", 27, "a white of opacity 2 is out of range", "from 0.05 to 0.995"),
        ("w: {kind: white, opacity: 55}", 27, "a white of opacity 55 is out of range", "55 % is 0.55"),
        ('o: {colour: "#e8641b", opacity: 0.5}', 33, "ink 'o' is process; an opacity belongs to white ink", "leave"),
        ("o: {colour: lab(140 0 0)}", 13, "L* 140 is out of range", "L* is 54.9"),
        ("o: lab(50 200 0)", 4, "a* 200 is out of range", "between -128 and 128"),
        ("o: cmyk(0 170 100 0)", 4, "magenta 170 % is out of range", "between 0 and 100"),
        ("o: rgb(300 0 0)", 4, "'rgb(300 0 0)' is out of range", "between 0 and 255"),
        ("o: ferry bleu", 4, "'ferry bleu' is not a colour", "did you mean 'ferry blue'?"),
    ],
)
def test_a_colour_out_of_range_is_told_where_it_stands(mistakes, inks, column, message, fix):
    (problem,) = mistakes(f"{HEAD}inks:\n  {inks}\n")
    assert (problem.place.line, problem.place.column) == (4, column + 2)
    assert problem.message.startswith(message)
    assert fix in problem.fix


def test_an_ink_named_twice_in_one_file(mistakes):
    (problem,) = mistakes(HEAD + 'inks:\n  a: {kind: spot, colour: "#e8641b"}\n  a: {kind: spot, colour: "#1d2b4a"}\n')
    assert (problem.place.line, "a" in problem.message, bool(problem.fix)) == (5, True, True)


# ---------------------------------------------------------------------------------------------------- printer files
PRINTER = """\
printer: two-pass laser
process: laser
white: yes
misregister: 0.2 mm
colour:
  profile: mine.icc
  opacity: 0.6
  passes: 3
  darkest: lab(9 0 0)
  smallest line: 0.12 mm
  smallest caps: 0.8 mm
  inks: {lifebuoy orange: lab(58 52 60)}
"""


@pytest.fixture
def printer_file(tmp_path: Path) -> Path:
    shutil.copyfile(SHIPPED, tmp_path / "mine.icc")
    path = tmp_path / "printer.yaml"
    path.write_text(PRINTER, encoding="utf-8")
    return path


def test_a_printer_brings_its_colours(printer_file):
    known = printer_colour(load_printer(printer_file))
    assert (known.name, known.white, known.misregister) == ("two-pass laser", True, 0.2)
    assert (known.opacity, known.passes, known.smallest_line, known.smallest_caps) == (0.6, 3, 0.12, 0.8)
    # CIE 15: L* 9 is Y = ((9 + 16) / 116)^3.
    assert known.floor == pytest.approx((25 / 116) ** 3, abs=1e-6)
    assert known.measured("lifebuoy orange") == parse("lab(58 52 60)")
    assert known.profile is not None


def test_what_is_written_back_reads_the_same(printer_file):
    printer = load_printer(printer_file)
    assert printer.swatches is not None
    text = PRINTER[: PRINTER.index("colour:")] + "\n".join(swatch_rows(printer.swatches, printer.profile)) + "\n"
    printer_file.write_text(text, encoding="utf-8")
    again = load_printer(printer_file).swatches
    assert again is not None
    assert (again.opacity, again.passes, again.smallest_caps) == (0.6, 3, 0.8)
    assert again.floor == pytest.approx(printer.swatches.floor, abs=1e-5)
    assert dict(again.patches)["lifebuoy orange"].lab == pytest.approx((58, 52, 60), abs=1e-3)


def test_a_printer_that_says_nothing_of_colour_has_the_defaults():
    known = printer_colour(Printer(misregister=5.0))
    assert (known.profile, known.white, known.misregister) == (None, False, 2.0)


@pytest.mark.parametrize(
    ("was", "now", "message", "fix"),
    [
        ("mine.icc", "screen.icc", "screen.icc is a display profile (RGB), not a printer profile", "class 'prtr'"),
        ("mine.icc", "picture.icc", "picture.icc is a JPEG picture, not an ICC profile", "class 'prtr'"),
        ("mine.icc", "none.icc", "there is no file", "copy the profile beside"),
        ("mine.icc", "../mine.icc", "'../mine.icc' is outside the printer file's folder", "copy the profile beside"),
        ("opacity: 0.6", "opacity: 0", "a white of opacity 0 is out of range", "leave it out"),
        ("lab(9 0 0)", "lab(140 0 0)", "L* 140 is out of range", "54.9"),
        ("lab(9 0 0)", "lab(80 0 0)", "the darkest patch reads Y = 0.56", "from 0 to below 0.5"),
        ("lab(58 52 60)", "oranje", "'oranje' is not a colour", "did you mean 'orange'?"),
        ("passes: 3", "passes: 9", "9", "3"),
    ],
)
def test_mistakes_in_a_printers_colours(printer_file, was, now, message, fix):
    screen = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    (printer_file.parent / "screen.icc").write_bytes(screen)
    (printer_file.parent / "picture.icc").write_bytes(b"\xff\xd8\xff\xe0" + bytes(200))
    printer_file.write_text(PRINTER.replace(was, now), encoding="utf-8")
    with pytest.raises(JobError) as caught:
        load_printer(printer_file)
    (problem,) = caught.value.problems
    assert message in problem.message
    assert fix in problem.fix
    assert problem.place is not None and problem.place.file == str(printer_file)
