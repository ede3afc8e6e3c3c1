"""Colour as a person meets it at the commands: what is said, what is written, what a mistake costs (nothing)."""

from __future__ import annotations

from pathlib import Path

import pytest
from PIL import ImageCms

from decalgen.colour.model import SOURCE_NOTE
from decalgen.core.errors import EXIT_FINDINGS, EXIT_USAGE, DecalgenError, JobError, OutputError
from tests.helpers.commands import Run, edited, folder, runner

JOB = """\
job: tug
title: Harbour tug
date: "2026-11-25"
body: "#1d2b4a"
film: clear
inks:
  lifebuoy orange: {colour: "#e8641b"}
panels: {door: {width: 22.40 mm ± 0.05, height: 11.60 mm ± 0.05}}
decals:
  band:
    panel: door
    width: 18 mm
    height: 4 mm
    artwork:
      - field: {ink: lifebuoy orange}
"""
WHITE = "printer: two-pass\nwhite: yes\nmisregister: 0.2 mm\ncolour: {opacity: 0.9}\n"
FILM = ("--film", "clear A5", "--effort", "quick")


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Runs a command in a folder that holds the job `tug.yaml` and the printer `white.yaml`."""
    monkeypatch.chdir(tmp_path)
    Path("tug.yaml").write_text(JOB, encoding="utf-8")
    Path("white.yaml").write_text(WHITE, encoding="utf-8")
    return runner(capsys)


# ------------------------------------------------------------------------------------------------------ all is well
def test_a_check_says_what_orange_does_over_navy_and_what_helps(run: Run) -> None:
    said = run("check", "tug.yaml", "-v")
    assert said.code == 0
    assert "warning colour-film: lifebuoy orange on #1d2b4a" in said.out
    assert SOURCE_NOTE in said.out
    assert "fix: white waterslide film" in said.out
    assert "colour-film" not in run("check", "tug.yaml", "--printer", "white.yaml").out


def test_draw_writes_the_colours_of_each_decal(run: Run) -> None:
    assert run("draw", "tug.yaml", "-o", "pictures", "--as", "png").code == 0
    assert Path("pictures/tug-band-colours.png").read_bytes().startswith(b"\x89PNG")


def test_plates_are_written_beside_the_sheet(run: Run) -> None:
    words = ("sheet", "tug.yaml", "--printer", "white.yaml", *FILM)
    plain = run(*words, "-o", "plain.pdf")
    assert "add --plates for a file of the white" in plain.out
    said = run(*words, "-o", "tug.pdf", "--plates")
    assert said.code == 0
    made = {path.name for path in Path().glob("tug*.pdf")}
    assert made == {"tug.pdf", "tug-plate-1-white.pdf", "tug-plate-2-lifebuoy-orange.pdf", "tug-artwork.pdf"}
    assert "plate 1 of 2: White, 2 passes, before everything else" in said.out
    # The home file knows nothing of plates.
    assert Path("tug.pdf").read_bytes() == Path("plain.pdf").read_bytes()
    for name in made:
        assert b"/Separation" not in Path(name).read_bytes()


def test_plates_without_white_are_the_inks_alone(run: Run) -> None:
    said = run("sheet", "tug.yaml", *FILM, "-o", "tug.pdf", "--plates")
    assert said.code == 0
    assert {path.name for path in Path().glob("tug*.pdf")} == {"tug.pdf", "tug-plate-1-lifebuoy-orange.pdf"}


# ------------------------------------------------------------------------------------------------------- mistakes
@pytest.mark.parametrize(
    ("colour", "message", "fix"),
    [
        ('"lab(140 0 0)"', "L* 140 is out of range", "L* is 54.9"),
        ('"rgb(300 0 0)"', "'rgb(300 0 0)' is out of range", "between 0 and 255"),
        ('"cmyk(0 170 0 0)"', "magenta 170 % is out of range", "between 0 and 100"),
        ('"#e8641b", kind: white, opacity: 0', "a white of opacity 0 is out of range", "leave it out"),
        ('"#e8641b", kind: white, opacity: 2', "a white of opacity 2 is out of range", "from 0.05 to 0.995"),
    ],
)
def test_a_colour_out_of_range(run: Run, colour: str, message: str, fix: str) -> None:
    edited('"#e8641b"', colour)
    before = folder()
    for words in (("check", "tug.yaml"), ("draw", "tug.yaml", "-o", "out"), ("sheet", "tug.yaml", *FILM)):
        said = run(*words)
        assert said.code == JobError.exit_code
        assert "tug.yaml:7:" in said.err and message in said.err and fix in said.err
    assert folder() == before


def test_white_asked_for_on_a_printer_without_white(run: Run) -> None:
    edited("    height: 4 mm\n", "    height: 4 mm\n    underlay: all\n")
    said = run("check", "tug.yaml")
    assert said.code == EXIT_FINDINGS
    assert (
        "error colour-no-white: band" in said.out
        and "prints no white" in said.out
        and "fix: write `film: white`, or `backing: white`" in said.out
    )
    before = folder()
    assert run("sheet", "tug.yaml", *FILM, "-o", "tug.pdf", "--plates").code == EXIT_FINDINGS
    assert folder() == before
    assert run("check", "tug.yaml", "--printer", "white.yaml").code == 0


def test_a_spot_ink_that_two_jobs_see_in_two_colours(run: Run) -> None:
    edited('{colour: "#e8641b"}', '{kind: spot, colour: "#e8641b"}')
    other = Path("tug.yaml").read_text(encoding="utf-8").replace("job: tug", "job: ferry").replace("#e8641b", "#d2501b")
    Path("ferry.yaml").write_text(other, encoding="utf-8")
    said = run("check", "tug.yaml", "ferry.yaml")
    assert said.code == EXIT_FINDINGS
    assert "error ink-twice: lifebuoy orange: named twice with two colours" in said.out and "fix: keep one" in said.out
    before = folder()
    assert run("sheet", "tug.yaml", "ferry.yaml", *FILM, "-o", "both.pdf").code == EXIT_FINDINGS
    assert folder() == before


def test_a_process_ink_of_two_colours_prints_at_home_and_has_no_plate(run: Run) -> None:
    other = Path("tug.yaml").read_text(encoding="utf-8").replace("job: tug", "job: ferry").replace("#e8641b", "#d2501b")
    Path("ferry.yaml").write_text(other, encoding="utf-8")
    words = ("sheet", "tug.yaml", "ferry.yaml", *FILM, "-o", "both.pdf")
    assert run(*words).code == 0
    before = folder()
    said = run(*words, "--plates")
    assert said.code == DecalgenError.exit_code
    assert "a plate has one ink" in said.err and "fix: give one of them another name" in said.err
    assert folder() == before


def test_a_display_profile_for_a_printer(run: Run) -> None:
    screen = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    Path("screen.icc").write_bytes(screen)
    edited("colour: {opacity: 0.9}", "colour: {profile: screen.icc}", "white.yaml")
    said = run("check", "tug.yaml", "--printer", "white.yaml")
    assert said.code == JobError.exit_code
    assert "white.yaml:4:" in said.err and "screen.icc is a display profile (RGB), not a printer profile" in said.err
    assert "fix: give a CMYK profile of class 'prtr'" in said.err


def test_two_inks_whose_plates_would_have_one_name(run: Run) -> None:
    edited("  lifebuoy orange:", '  "rot!": "#ff0000"\n  "rot?": "#ff0000"\n  lifebuoy orange:')
    edited("      - field: {ink: lifebuoy orange}\n", '      - field: {ink: "rot!"}\n      - star: {ink: "rot?"}\n')
    said = run("sheet", "tug.yaml", *FILM, "-o", "tug.pdf", "--plates")
    # The plates are numbered, so even these have names of their own.
    assert said.code == 0 and len(list(Path().glob("tug-plate-*.pdf"))) == 2


def test_a_plate_never_takes_the_place_of_another_result(run: Run) -> None:
    before = folder()
    words = ("-o", "tug.pdf", "-o", "tug-plate-1-lifebuoy-orange.pdf", "--plates")
    said = run("sheet", "tug.yaml", *FILM, *words)
    assert said.code == OutputError.exit_code and "'tug-plate-1-lifebuoy-orange.pdf' is named twice" in said.err
    assert folder() == before


# ------------------------------------------------------------------------------------------------------ print shops
def test_a_file_for_a_print_shop(run: Run) -> None:
    said = run("sheet", "tug.yaml", "--printer", "white.yaml", *FILM, "--for", "press")
    assert said.code == 0 and ": tug-press.pdf" in said.out and "PDF/X-4" in said.out
    data = Path("tug-press.pdf").read_bytes()
    assert b"/Separation /White" in data and b"/Separation /Cutting" in data and b"GTS_PDFXVersion" in data


def test_a_print_shops_file_is_a_pdf_without_plates(run: Run) -> None:
    before = folder()
    words = ("sheet", "tug.yaml", *FILM, "--for", "press")
    assert run(*words, "-o", "tug.svg").code == OutputError.exit_code
    said = run(*words, "--plates")
    assert said.code == EXIT_USAGE and "leave out --plates" in said.err
    edited('date: "2026-11-25"\n', "")
    said = run(*words)
    assert said.code == DecalgenError.exit_code and "write title and date in the job" in said.err
    edited("title: Harbour tug\n", 'title: Harbour tug\ndate: "2026-11-25"\n')
    assert folder() == before


@pytest.mark.parametrize("darkest", ["lab(80 0 0)", "lab(140 0 0)", "no colour"])
def test_a_bad_darkest_patch_hides_no_bad_opacity(run: Run, darkest: str) -> None:
    text = f"printer: p\nwhite: yes\ncolour:\n  opacity: 2\n  darkest: {darkest}\n"
    Path("p.yaml").write_text(text, encoding="utf-8")
    said = run("check", "tug.yaml", "--printer", "p.yaml")
    assert said.code != 0
    assert said.err.count("opacity 2 is out of range") == 1 and "p.yaml:4:" in said.err and "p.yaml:5:" in said.err
