"""Film, printer and sheet files."""

from __future__ import annotations

import pytest

from decalgen.core.errors import InputError, JobError
from decalgen.job.films import load_cutter, load_film, load_printer, sheet_sizes
from decalgen.job.model import Cutter, Film, Printer, UsedArea


def test_sheet_sizes_are_those_of_the_standards():
    sizes = {size.name: (size.width, size.height) for size in sheet_sizes()}
    # ISO 216 and ANSI/ASME Y14.1.
    assert sizes["A4"] == (210.0, 297.0)
    assert sizes["A5"] == (148.0, 210.0)
    assert sizes["Letter"] == (215.9, 279.4)
    assert all(size.source for size in sheet_sizes())


def test_a_film_from_words():
    assert load_film("white A5") == Film("white A5", "white", "inkjet", 148.0, 210.0)
    assert load_film("a4 laser clear") == Film("clear A4", "clear", "laser", 210.0, 297.0)
    assert load_film("clear letter", "laser").process == "laser"


@pytest.mark.parametrize(
    "words",
    ["white self-adhesive A5", "a5 Self-Adhesive white", "white self adhesive A5", "white selfadhesive A5",
     "white self\u2011adhesive A5", "white adhesive A5"],
)  # fmt: skip
def test_words_for_self_adhesive_film(words):
    assert load_film(words) == Film("white self-adhesive A5", "white", "inkjet", 148.0, 210.0, adhesive=True)


def test_words_may_say_waterslide_and_not_both():
    assert load_film("clear waterslide A4") == load_film("clear A4")
    assert load_film("clear self-adhesive laser 210 × 100 mm").adhesive
    with pytest.raises(InputError, match="says both self-adhesive and waterslide") as caught:
        load_film("white self-adhesive waterslide A5")
    assert caught.value.fix == "leave out self-adhesive or waterslide"
    with pytest.raises(InputError, match="is not a film"):
        load_film("white nonadhesive A5")


@pytest.mark.parametrize(
    ("words", "fix"),
    [
        ("A5", "say clear or white, and the size, as in 'white A5'; or name a film file ending in .yaml"),
        (
            "white",
            "use one of: A2, A3, A4, A5, A6, A7, B4, B5, Half Letter, Legal, Letter, Tabloid, or a size such as "
            "210 × 100 mm; or name a film file ending in .yaml",
        ),
        ("white Leter", "did you mean 'Letter'?; or name a film file ending in .yaml"),
    ],
)
def test_words_that_name_no_film(words, fix):
    with pytest.raises(InputError) as caught:
        load_film(words)
    assert caught.value.message == f"'{words}' is not a film"
    assert caught.value.fix == fix


def test_a_film_from_a_file(folder):
    (folder / "film.yaml").write_text(
        "film: drawer 1\nkind: white\nprocess: laser\nsheet: a5\nsheets: 2\nadhesive: yes\n"
        "used:\n  - {at: [0 mm, 18 cm], size: [148 mm, 30 mm]}\n",
        encoding="utf-8",
    )
    used = (UsedArea(0.0, 180.0, 148.0, 30.0),)
    assert load_film("film.yaml") == Film("drawer 1", "white", "laser", 148.0, 210.0, used, 2, True)
    (folder / "own.yaml").write_text(
        "film: strip\nkind: clear\nprocess: inkjet\nwidth: 4 in\nheight: 200 mm\nused: []\n", encoding="utf-8"
    )
    assert load_film("own.yaml") == Film("strip", "clear", "inkjet", 101.6, 200.0)


@pytest.mark.parametrize(
    ("text", "messages"),
    [
        ("", ["the film has no 'film'", "the film has no 'kind'", "the film has no 'process'"]),
        ("film: x\nkind: grey\nprocess: inkjet\nsheet: A5\n", ["'grey' is not one of clear, white"]),
        ("film: x\nkind: white\nprocess: inkjet\n", ["the film has no size"]),
        ("film: x\nkind: white\nprocess: inkjet\nsheet: A9\n", ["there is no format 'A9'"]),
        ("film: x\nkind: white\nprocess: inkjet\nsheet: A5\nwidth: 9 mm\n", ["the size is given twice"]),
        ("film: x\nkind: white\nprocess: inkjet\nsheet: A5\nused: {at: [1, 0 mm]}\n",
         ["this group has no 'size'", "this needs a unit, such as 2 mm"]),
    ],
)  # fmt: skip
def test_mistakes_in_a_film(folder, text, messages):
    (folder / "film.yaml").write_text(text or "{}\n", encoding="utf-8")
    with pytest.raises(JobError) as caught:
        load_film("film.yaml")
    assert [problem.message for problem in caught.value.problems] == messages


def test_a_missing_film_file(folder):
    with pytest.raises(InputError, match=r"there is no file drawer\.yaml"):
        load_film("drawer.yaml")


def test_a_printer(folder):
    (folder / "printer.yaml").write_text(
        "printer: desk\nprocess: laser\nmargins: [4 mm, 5 mm, 17 mm, 6 mm]\nscale x: 1.0031\nscale y: 0.9987\n"
        "dpi: 1200\nwhite: yes\nmisregister: 0.2 mm\n",
        encoding="utf-8",
    )
    expected = Printer("desk", "laser", (4.0, 5.0, 17.0, 6.0), 1.0031, 0.9987, 1200, True, 0.2)
    assert load_printer("printer.yaml") == expected
    (folder / "plain.yaml").write_text("printer: any printer\n", encoding="utf-8")
    assert load_printer("plain.yaml") == Printer()


def test_mistakes_in_a_printer(folder):
    (folder / "printer.yaml").write_text(
        "printer: x\nmargins: [1 mm, 2 mm]\nscale x: 1.5\nscal y: 1\n", encoding="utf-8"
    )
    with pytest.raises(JobError) as caught:
        load_printer("printer.yaml")
    assert [(p.message, p.fix) for p in caught.value.problems] == [
        ("2 given, 4 needed", "write a list: [first, second]"),
        ("1.5 is out of range", "at most 1.25"),
        ("'scal y' is not known here", "did you mean 'scale y'?"),
    ]


@pytest.mark.parametrize("words", ["white clear A5", "clear A5 WHITE", "white laser inkjet A5"])
def test_words_that_contradict_each_other_name_no_film(words: str) -> None:
    with pytest.raises(InputError, match="says both"):
        load_film(words)


def test_a_printer_file_holds_500_calibrations_and_no_more(folder):
    row = '  - {date: "2026-11-25", x: 1.001, u x: 0.0002, y: 0.999, u y: 0.0002}\n'
    (folder / "full.yaml").write_text("printer: desk\ncalibrations:\n" + 500 * row, encoding="utf-8")
    assert len(load_printer("full.yaml").history.calibrations) == 500
    (folder / "over.yaml").write_text("printer: desk\ncalibrations:\n" + 501 * row, encoding="utf-8")
    with pytest.raises(JobError) as caught:
        load_printer("over.yaml")
    assert [(p.message, p.fix) for p in caught.value.problems] == [
        ("501 calibrations are given", "keep the last 500"),
    ]


def test_a_cutter(folder):
    (folder / "blade.yaml").write_text(
        "cutter: blade plotter\nscale x: 1.002\nscale y: 0.997\nwaste frame: 2 mm\n", encoding="utf-8"
    )
    assert load_cutter("blade.yaml") == Cutter("blade plotter", 1.002, 0.997, 2.0)
    (folder / "plain.yaml").write_text("cutter: any plotter\n", encoding="utf-8")
    assert load_cutter("plain.yaml").waste_frame == 0.0
