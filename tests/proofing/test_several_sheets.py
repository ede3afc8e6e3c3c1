"""What has to be measured of a proof: each size of sheet and each correction, both ways; and reprints after it."""

from __future__ import annotations

from pathlib import Path

import pytest

from decalgen.sheet.check_bars import proof_bars
from tests.helpers.commands import Run, edited, runner

JOB = """\
job: tug
scale: "1:43"
body: navy
inks: {lifebuoy orange: {colour: "#e8641b"}}
panels:
  door: {width: 22.4 mm ± 0.05, height: 11.6 mm ± 0.05}
decals:
  band:
    panel: door
    film: white
    width: 20.4 mm
    height: 5 mm
    artwork: [{field: {ink: lifebuoy orange}}]
    copies: 1
  lid:
    panel: door
    film: clear
    width: 8 mm
    height: 4 mm
    artwork: [{field: {ink: lifebuoy orange}}]
"""
FILM = "film: {name}\nkind: {kind}\nprocess: inkjet\nwidth: {width:g} mm\nheight: {height:g} mm\n"
WORDS = ("tug.yaml", "--film", "white.yaml", "--film", "clear.yaml", "--effort", "quick", "--printer")
GOOD = ("--x", "99.9 99.9 100.0", "--y", "100.1 100.0 100.1")


def film(kind: str, width: float, height: float) -> None:
    text = FILM.format(name={"white": "stock", "clear": "glass"}[kind], kind=kind, width=width, height=height)
    Path(f"{kind}.yaml").write_text(text, encoding="utf-8")


def profile(kind: str, x: float, y: float, tray: str = "", width: float = 148, height: float = 210) -> None:
    """A kept profile of the printer 'desk'."""
    name = {"white": "stock", "clear": "glass"}[kind]
    path = Path(f"data/printers/{kind}{tray}.yaml")
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(
        f"printer: desk\nprocess: inkjet\nmargins: [3 mm, 3 mm, 3 mm, 3 mm]\nscale x: {x}\nscale y: {y}\n"
        f'for: {{film: {name}, kind: {kind}, width: {width:g} mm, height: {height:g} mm, tray: "{tray}"}}\n',
        encoding="utf-8",
    )


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("DECALGEN_DATA", str(tmp_path / "data"))
    Path("tug.yaml").write_text(JOB, encoding="utf-8")
    Path("printer.yaml").write_text("printer: desk\nmargins: [3 mm, 3 mm, 3 mm, 3 mm]\n", encoding="utf-8")
    film("white", 148, 210)
    film("clear", 148, 210)
    return runner(capsys, gated=True)


def passed(run: Run, *words: str) -> int:
    return run("proof", "passed", "tug-proof.pdf", *words).code


def test_one_measurement_does_for_two_films_of_one_size_and_correction(run: Run) -> None:
    assert run("proof", *WORDS, "printer.yaml").code == 0
    assert passed(run, *GOOD) == 0
    assert run("sheet", *WORDS, "printer.yaml").code == 0


def test_each_correction_is_measured_even_where_the_sheets_are_of_one_size(run: Run) -> None:
    profile("white", 1.002, 0.999)
    profile("clear", 0.99, 1.01)
    said = run("proof", *WORDS, "desk")
    assert said.code == 0 and "enter the readings of --sheet 2 as well" in said.out
    said = run("proof", "passed", "tug-proof.pdf", *GOOD)
    assert "still to measure: sheet 2, of 148 × 210 mm of 'glass': --sheet 2" in said.out
    said = run("sheet", *WORDS, "desk")
    assert said.code != 0 and "sheets of another size or correction" in said.err
    assert not Path("tug-sheet.pdf").exists()
    assert passed(run, *GOOD, "--sheet", "2") == 0
    assert run("sheet", *WORDS, "desk").code == 0


def test_a_sheet_that_was_off_is_not_made_good_by_another(run: Run) -> None:
    edited("copies: 1", "copies: 260")
    words = (*WORDS, "printer.yaml")
    assert run("proof", *words).code == 0
    assert passed(run, "--x", "97", "--y", "97") != 0
    said = run("proof", "passed", "tug-proof.pdf", *GOOD, "--sheet", "2")
    assert said.code != 0 and "sheet 1, of 148 × 210 mm: refused before; measure it again" in said.out
    assert run("sheet", *words).code != 0 and not Path("tug-sheet.pdf").exists()
    assert passed(run, *GOOD) == 0
    assert run("sheet", *words).code == 0


def test_a_low_sheet_has_its_bars_on_the_page_after_it(run: Run) -> None:
    film("clear", 148, 38)  # 32 mm can be printed on
    words = (*WORDS, "printer.yaml")
    assert "sheet 2 has no room for check bars: they are on the page after it" in run("proof", *words).out
    assert "no film is printed yet" in run("proof", "passed", "tug-proof.pdf", *GOOD).out
    assert run("sheet", *words).code != 0 and not Path("tug-sheet.pdf").exists()
    # One bar alone does not do: nothing tells how high it comes out.
    assert passed(run, "--x", "100 100 100", "--sheet", "2") != 0
    # 38 mm less margins of 3 mm twice, 3 mm at both ends and the other bar: 20 mm.
    assert passed(run, "--x", "100 100 100", "--y", "20.6 20.6 20.6", "--sheet", "2") != 0
    assert passed(run, "--x", "100 100 100", "--y", "20 20 20", "--sheet", "2") == 0
    assert run("sheet", *words).code == 0


def test_a_sheet_that_nothing_tells_the_size_of_is_not_printed(run: Run) -> None:
    film("clear", 23, 23)  # 17 mm can be printed on: no bar
    words = (*WORDS, "printer.yaml")
    said = run("proof", *words)
    assert said.code == 0 and "nothing on sheet 2, of 23 × 23 mm, can be measured" in said.out
    assert "no film is printed yet" in run("proof", "passed", "tug-proof.pdf", *GOOD).out
    said = run("sheet", *words)
    assert said.code != 0 and "can be measured" in said.err and "larger sheet" in said.err
    assert not Path("tug-sheet.pdf").exists()
    assert run("sheet", *words, "--without-proof", "a test strip").code == 0


def test_a_sheet_of_one_bar_is_measured_by_that_and_the_rest_is_said(run: Run) -> None:
    film("clear", 148, 22)  # 16 mm can be printed on
    words = (*WORDS, "printer.yaml")
    assert "no bar shows the height of the small sheets, 148 × 22 mm" in run("proof", *words).out
    assert passed(run, *GOOD) == 0
    assert run("sheet", *words).code != 0
    assert passed(run, "--x", "100 100 100", "--sheet", "2") == 0
    assert run("sheet", *words).code == 0


def test_used_film_is_told_by_another_sheet_of_its_size_and_correction(run: Run) -> None:
    film("clear", 148, 210)
    with Path("clear.yaml").open("a", encoding="utf-8") as file:
        file.write("used: [{at: [0 mm, 20 mm], size: [148 mm, 190 mm]}]\n")
    words = (*WORDS, "printer.yaml")
    assert run("proof", *words).code == 0
    assert passed(run, *GOOD) == 0
    assert run("sheet", *words).code == 0


@pytest.mark.parametrize(
    ("width", "height", "told"),
    [
        # 3 mm at both ends of a bar, and 6 or 7 mm for the other beside it, in whole tens up to 100 mm.
        (148, 210, {"x": 100, "y": 100}),
        (105, 148, {"x": 90, "y": 100}),
        (148, 38, {"x": 100, "y": 30}),
        (33, 33, {"x": 20, "y": 20}),
        # So little room is shared, half a millimetre off the ends.
        (148, 22, {"x": 100, "y": 20}),
        (21, 21, {"x": 20, "y": 20}),
        (148, 15, {"x": 100}),
        (15, 15, {}),
    ],
)
def test_bars_on_a_page_of_their_own_are_as_long_as_there_is_room(
    width: float, height: float, told: dict[str, float]
) -> None:
    found = proof_bars(None, (0, 0, width, height))
    assert found.own_page and {one.axis: one.length for one in found.bars} == told
    for one in found.bars:
        x1, y1 = (one.x + one.length, one.y) if one.axis == "x" else (one.x, one.y + one.length)
        assert 0.5 <= one.x <= x1 <= width - 0.5 and 0.5 <= one.y <= y1 <= height - 0.5


@pytest.mark.parametrize(
    ("rest", "own"), [((80.0, 86.0), False), ((79.9, 86.0), True), ((80.0, 85.9), True), ((120.0, 70.0), False)]
)
def test_bars_stand_on_the_sheet_where_enough_of_it_stays_blank(rest: tuple[float, float], own: bool) -> None:
    found = proof_bars((20.0, 30.0, 20.0 + rest[0], 30.0 + rest[1]), (5, 10, 143, 205))
    assert found.own_page == own
    assert min(one.length for one in found.bars) >= (100 if own else 50)


def test_another_tray_pulls_paper_in_its_own_way(run: Run) -> None:
    for tray in ("rear", "front"):
        profile("white", 1.002, 0.999, tray)
        profile("clear", 1.002, 0.999, tray)
    assert run("proof", *WORDS, "desk, rear").code == 0
    assert passed(run, *GOOD) == 0
    said = run("sheet", *WORDS, "desk, front")
    assert said.code != 0 and "the printer changed since" in said.err
    assert run("sheet", *WORDS, "desk, rear").code == 0


# ------------------------------------------------------------------------------------------------------- reprints
def printed(run: Run, printer: str) -> str:
    """The record of a print whose files are gone."""
    assert run("proof", *WORDS, printer).code == 0
    assert passed(run, *GOOD) == 0
    assert run("sheet", *WORDS, printer).code == 0
    Path("tug-sheet.pdf").unlink()
    (record,) = Path().glob("*.record.json")
    return str(record)


def test_a_record_is_printed_again(run: Run) -> None:
    profile("white", 1.002, 0.999)
    profile("clear", 1.002, 0.999)
    record = printed(run, "desk")
    assert run("sheet", "--again", record).code == 0 and Path("tug-sheet.pdf").exists()


def test_a_record_is_not_printed_again_once_its_proof_was_refused(run: Run) -> None:
    record = printed(run, "printer.yaml")
    assert passed(run, "--x", "97", "--y", "97") != 0
    said = run("sheet", "--again", record)
    assert said.code != 0 and "measured again since, and did not pass" in said.err and "fix: " in said.err
    assert not Path("tug-sheet.pdf").exists()
    said = run("sheet", "--again", record, "--without-proof", "a test strip")
    assert said.code == 0 and "printed without a proof: a test strip" in said.text
    assert passed(run, *GOOD) == 0
    assert run("sheet", "--again", record).code == 0


def test_nor_are_its_files_that_are_still_there_offered(run: Run) -> None:
    assert run("proof", *WORDS, "printer.yaml").code == 0
    assert passed(run, *GOOD) == 0
    assert run("sheet", *WORDS, "printer.yaml").code == 0
    (record,) = Path().glob("*.record.json")
    assert "still here unchanged" in run("sheet", "--again", str(record)).out
    assert passed(run, "--x", "97", "--y", "97") != 0
    assert run("sheet", "--again", str(record)).code != 0


def test_a_record_is_not_printed_again_after_its_printer_was_calibrated_anew(run: Run) -> None:
    profile("white", 1.002, 0.999)
    profile("clear", 1.002, 0.999)
    record = printed(run, "desk")
    profile("clear", 1.006, 0.999)
    said = run("sheet", "--again", record)
    assert said.code != 0 and "calibrated again for 'glass'" in said.err
    profile("clear", 1.002, 0.999)
    assert run("sheet", "--again", record).code == 0
