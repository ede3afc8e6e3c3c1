"""Sheets by words: formats, both ways up, sizes in figures; what the words say is what the page measures."""

from __future__ import annotations

from io import BytesIO

import pikepdf
import pytest

from decalgen.core.errors import InputError, JobError
from decalgen.job.films import load_film, sheet_sizes
from decalgen.job.sheet_words import MOST_MM, SizeProblem, read_sheet
from tests.helpers.commands import runner

INCH = 25.4


@pytest.mark.parametrize(
    ("words", "name", "width", "height"),
    [
        ("a3", "A3", 297, 420),
        ("A6", "A6", 105, 148),
        ("LEGAL", "Legal", 8.5 * INCH, 14 * INCH),
        ("half-letter", "Half Letter", 5.5 * INCH, 8.5 * INCH),
        ("A4 landscape", "A4 landscape", 297, 210),
        ("Landscape letter", "Letter landscape", 11 * INCH, 8.5 * INCH),
        ("A4 portrait", "A4", 210, 297),
        ("210 × 100 mm", "210 × 100 mm", 210, 100),
        ("210x100mm", "210 × 100 mm", 210, 100),
        ("210 X 100 mm", "210 × 100 mm", 210, 100),
        ("210 * 100 mm", "210 × 100 mm", 210, 100),
        ("210 mm x 100", "210 × 100 mm", 210, 100),
        ("21 cm by 100 mm", "210 × 100 mm", 210, 100),
        ("210 × 100 mm portrait", "100 × 210 mm", 100, 210),
        ("100 × 210 mm landscape", "210 × 100 mm", 210, 100),
        ("210 × 100 mm landscape", "210 × 100 mm", 210, 100),
        ("100 × 100 mm portrait", "100 × 100 mm", 100, 100),
        ('8.5" × 11"', "215.9 × 279.4 mm", 8.5 * INCH, 11 * INCH),
        ("8 1/2 x 11 in", "215.9 × 279.4 mm", 8.5 * INCH, 11 * INCH),
        ("8 ½ x 11 inches", "215.9 × 279.4 mm", 8.5 * INCH, 11 * INCH),
        ("10 × 5080 mm", "10 × 5080 mm", 10, 5080),
    ],
)
def test_what_the_words_say(words: str, name: str, width: float, height: float) -> None:
    found = read_sheet(words, sheet_sizes())
    assert found is not None
    assert found.name == name
    assert (found.width, found.height) == pytest.approx((width, height), abs=1e-9)
    # The name says the same again, so that a film kept by its name is found by it.
    again = read_sheet(found.name, sheet_sizes())
    assert again is not None and (again.name, again.width, again.height) == (found.name, found.width, found.height)
    film = load_film(f"clear {words} laser")
    assert (film.name, film.process, film.width, film.height) == (f"clear {name}", "laser", found.width, found.height)


@pytest.mark.parametrize("words", ["", "A9", "letterbox", "landscape", "210", "executive"])
def test_what_names_no_sheet(words: str) -> None:
    assert read_sheet(words, sheet_sizes()) is None


@pytest.mark.parametrize(
    ("words", "message", "fix"),
    [
        ("210 x 100", "needs a unit", "write 210 × 100 mm"),
        ("0 x 100 mm", "a side of 0 mm is out of range", "use 10 mm to 5080 mm a side"),
        (f"100 × {MOST_MM + 1} mm", "out of range", "5080 mm"),
        ("1 × 2 × 3 mm", "is not the size of a sheet", "give width and height"),
        ("-30 × 40 mm", "is not the size of a sheet", "give width and height"),
        ("210 × 100 mm ± 1", "is not the size of a sheet", "give width and height"),
        ("210 × 100 gizmo", "'gizmo' is not a unit", "use one of"),
        ("21,5 × 10 cm", "comma", "21.5"),
        ("A4 landscape portrait", "both landscape and portrait", "keep one"),
    ],
)
def test_a_size_gone_wrong_is_told(words: str, message: str, fix: str) -> None:
    with pytest.raises(SizeProblem) as caught:
        read_sheet(words, sheet_sizes())
    assert message in caught.value.message and fix in caught.value.fix
    with pytest.raises(InputError) as told:
        load_film(f"white {words}")
    assert message in told.value.message and told.value.fix == caught.value.fix


def test_a_film_file_says_it_the_same_way(folder):
    text = "film: strip\nkind: clear\nprocess: inkjet\nsheet: {}\n"
    for words, size in (("A4 landscape", (297.0, 210.0)), ("210 x 100 mm", (210.0, 100.0)), ("Legal", (215.9, 355.6))):
        (folder / "own.yaml").write_text(text.format(words), encoding="utf-8")
        film = load_film("own.yaml")
        assert (film.name, film.width, film.height) == ("strip", *size)
    (folder / "own.yaml").write_text(text.format("210 x 100"), encoding="utf-8")
    with pytest.raises(JobError) as caught:
        load_film("own.yaml")
    (problem,) = caught.value.problems
    assert "needs a unit" in problem.message and problem.place.line == 4 and problem.fix == "write 210 × 100 mm"


def test_a_path_of_folders_is_still_a_file():
    for path in ("films/white.yaml", "films/white", "films\\white"):
        with pytest.raises(InputError, match="no file"):
            load_film(path)


@pytest.mark.parametrize(
    ("film", "width", "height"), [("white 210 x 160 mm", 210, 160), ("white A4 landscape", 297, 210)]
)
def test_the_page_is_as_large_as_the_words_say(film, width, height, folder, capsys):
    run = runner(capsys)
    assert run("calibrate", "print", "--film", film, "-o", "target.pdf").code == 0
    with pikepdf.open(BytesIO((folder / "target.pdf").read_bytes())) as pdf:
        box = [float(value) * INCH / 72 for value in pdf.pages[0].MediaBox]
    assert box == pytest.approx([0, 0, width, height], abs=1e-4)
