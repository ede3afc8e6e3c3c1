"""`decalgen film` and `--film drawer` as a person meets them: from a new sheet to what is left of it, and back."""

from __future__ import annotations

import json
import sqlite3
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest
from PIL import Image
from pypdfium2 import PdfDocument

from decalgen.workshop.drawer import Drawer, drawer_file
from tests.helpers.commands import Run, Said, at_home, resealed

JOB = """\
job: tug
body: "#1d2b4a"
film: white
inks: {lifebuoy orange: {colour: "#e8641b"}}
panels: {door: {width: 22.40 mm ± 0.05, height: 11.60 mm ± 0.05}}
decals:
  band: {panel: door, hands: both, at: bottom, width: 20 mm, height: 4 mm, artwork: [field: {ink: lifebuoy orange}]}
"""
QUICK = ("--film", "drawer", "--effort", "quick")


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Runs a command in a folder that holds the job `tug.yaml`, with a drawer of its own."""
    return at_home(JOB, tmp_path, monkeypatch, capsys)


def good(said: Said) -> str:
    assert said.code == 0, said.err
    return said.out


@pytest.mark.parametrize("word", ["white A5 2", "2", "WHITE a5 2"])
def test_a_sheet_that_is_named_is_printed_on_and_no_other(run: Run, word: str) -> None:
    good(run("film", "add", "white A5", "--count", "3"))
    named = ("--film", f"drawer {word}", "--effort", "quick")
    assert "white A5 2, 2 pieces" in good(run("proof", "tug.yaml", "-o", "tug-proof.pdf", *named))
    other = run("sheet", "tug.yaml", "-o", "tug-sheet.pdf", "--film", "drawer white A5 3", "--effort", "quick")
    assert other.code == 6 and "is for 'white A5 2', which is not among the sheets named" in other.err
    out = good(run("sheet", "tug.yaml", "-o", "tug-sheet.pdf", *named))
    assert "as on the proof" in out and "feed 'white A5 2' with its top edge first" in out


@pytest.mark.parametrize(
    ("films", "said"),
    [
        (("drawer white A5 9",), "there is no sheet 'white A5 9' in the drawer"),
        (("drawer 1", "drawer white A5 1"), "the sheet 'white A5 1' is named twice"),
        (("drawer", "drawer 1"), "'drawer' alone means any sheet of it"),
        (("drawer", "white A5"), "cannot go with another film"),
        (("drawer 2",), "'clear A5 1' is clear film, and these decals go on white film"),
    ],
)
def test_a_sheet_that_cannot_serve_is_told(run: Run, films: tuple[str, ...], said: str) -> None:
    good(run("film", "add", "white A5"))
    good(run("film", "add", "clear A5"))
    given = [word for film in films for word in ("--film", film)]
    found = run("proof", "tug.yaml", "-o", "tug-proof.pdf", *given)
    assert found.code and said in found.err, found.err


def test_from_a_new_sheet_to_what_is_left_and_back(run: Run) -> None:
    assert "the film drawer is empty" in good(run("film", "list"))
    out = good(run("film", "add", "white A5", "--count", "2", "--bought", "spring 2026", "--note", "curls"))
    assert out.count("put in: ") == 2 and "2  white A5 2: white inkjet, 148 × 210 mm, 100% free" in out
    assert "bought spring 2026; curls" in good(run("film", "list"))

    good(run("film", "cut-off", "white A5 2", "--edge", "bottom 120"))
    out = good(run("proof", "tug.yaml", "-o", "tug-proof.pdf", *QUICK))
    assert "white A5 2, 2 pieces" in out, "the smaller remnant serves"
    out = good(run("sheet", "tug.yaml", "-o", "tug-sheet.pdf", *QUICK))
    assert "as on the proof" in out and "feed 'white A5 2' with its top edge first" in out
    assert 'decalgen film use "white A5 2" tug.positions.json' in out

    before = Drawer().sheet("2")
    out = good(run("film", "use", "white A5 2", "tug.positions.json"))
    after = Drawer().sheet("2")
    printed = 2 * 21 * 5  # mm²: two bands of 20 × 4 with 0.5 mm of bleed on each side
    assert before.free.area - after.free.area > printed
    assert {p.about for p in after.parts if p.why == "printed"} == {"tug.positions.json"}

    again = run("film", "use", "2", "tug.positions.json")
    assert again.code == 1 and "already taken off" in again.err and 'film back "white A5 2"' in again.err
    once_more = run("sheet", "tug.yaml", "-o", "tug-sheet.pdf", *QUICK)
    assert once_more.code == 6 and "already taken off" in once_more.err

    assert "restored" in good(run("film", "back", "white A5 2"))
    assert Drawer().sheet("2") == before
    assert "as on the proof" in good(run("sheet", "tug.yaml", "-o", "tug-sheet.pdf", *QUICK))


def test_the_next_print_lies_beside_the_last(run: Run) -> None:
    good(run("film", "add", "white A5"))
    for name in ("one", "two", "three"):
        good(run("proof", "tug.yaml", "-o", f"{name}-proof.pdf", *QUICK, "--seed", str(len(name))))
        good(run("sheet", "tug.yaml", "-o", f"{name}-sheet.pdf", *QUICK, "--seed", str(len(name))))
        good(run("film", "use", "1", f"{name}.positions.json"))
    sheet = Drawer().sheet("1")
    assert sheet.steps == 3
    steps = [[p.polygon for p in sheet.parts if p.step == step] for step in (1, 2, 3)]
    for a in range(3):
        for b in range(a):
            assert all(p.intersection(q).area < 1e-6 for p in steps[a] for q in steps[b])


def test_a_sheet_without_a_proof_keeps_its_positions_for_the_drawer(run: Run) -> None:
    good(run("film", "add", "white A5"))
    out = good(run("sheet", "tug.yaml", "-o", "tug-sheet.pdf", *QUICK))
    assert "nested now" in out and "tug-printed.positions.json" in out
    assert not Path("tug.positions.json").exists()
    good(run("film", "use", "1", "tug-printed.positions.json"))


def test_a_proof_no_longer_counts_when_the_sheet_was_cut_since(run: Run) -> None:
    good(run("film", "add", "white A5"))
    good(run("proof", "tug.yaml", "-o", "tug-proof.pdf", *QUICK))
    good(run("film", "cut-off", "1", "--corner", "lower left 30x30"))
    said = run("sheet", "tug.yaml", "-o", "tug-sheet.pdf", *QUICK)
    assert said.code == 1 and "never proven" in said.err and not Path("tug-sheet.pdf").exists()
    good(run("film", "back", "1"))
    good(run("film", "add", "white A5", "--name", "other"))
    good(run("film", "cut-off", "1", "--all"))
    proof = json.loads(Path("tug.positions.json").read_text(encoding="utf-8"))
    for position in proof["positions"]:
        position["film"] = "gone"
    resealed("tug.positions.json", positions=proof["positions"])
    said = run("sheet", "tug.yaml", "-o", "tug-sheet.pdf", *QUICK)
    assert said.code == 6 and "'gone', which is not in the drawer" in said.err


def test_a_sheet_with_its_leading_edge_cut_is_fed_the_other_way_round(run: Run) -> None:
    good(run("film", "add", "white A5"))
    good(run("film", "cut-off", "1", "--edge", "top 100"))
    out = good(run("sheet", "tug.yaml", "-o", "tug-sheet.pdf", *QUICK))
    assert "turned by 180°, its bottom edge first: its top edge is cut" in out
    good(run("film", "use", "1", "tug-printed.positions.json"))
    sheet = Drawer().sheet("1")
    printed = [p.polygon for p in sheet.parts if p.why == "printed"]
    assert printed and all(p.bounds[3] <= 110 + 1e-6 for p in printed)


def test_an_inkjet_remnant_rides_on_a_carrier_of_the_sheets_own_size(run: Run) -> None:
    good(run("film", "add", "white A5"))
    good(run("film", "cut-off", "1", "--edge", "left 30mm"))
    assert "decalgen film carrier" in good(run("sheet", "tug.yaml", "-o", "tug-sheet.pdf", *QUICK))
    good(run("film", "carrier", "1", "-o", "carrier.pdf"))
    pages = [PdfDocument(name)[0].get_mediabox() for name in ("carrier.pdf", "tug-sheet.pdf")]
    assert pages[0] == pages[1]
    good(run("film", "carrier", "1", "-o", "carrier.png"))
    with Image.open("carrier.png") as picture:
        dots = picture.convert("L")
        scale = dots.width / 148
        row = round(dots.height / 2)
        dark = [x / scale for x in range(dots.width) if dots.getpixel((x, row)) < 160]  # type: ignore[operator]
    assert min(dark) == pytest.approx(30, abs=0.3), "the outline lies where the film was cut"


def test_a_laser_remnant_is_never_offered_again_nor_put_on_a_carrier(run: Run) -> None:
    Path("laser.yaml").write_text("printer: desk laser\nprocess: laser\nmargins: [5 mm, 5 mm, 5 mm, 5 mm]\n", "utf-8")
    good(run("film", "add", "white A5 laser"))
    laser = (*QUICK, "--printer", "laser.yaml")
    good(run("sheet", "tug.yaml", "-o", "tug-sheet.pdf", *laser))
    good(run("film", "use", "1", "tug-printed.positions.json"))
    assert "not fed again: it has openings or bare backing" in good(run("film", "list"))
    said = run("sheet", "tug.yaml", "-o", "more-sheet.pdf", *laser)
    assert said.code == 6 and "openings or bare backing" in said.err and not Path("more-sheet.pdf").exists()
    said = run("film", "carrier", "1")
    assert said.code == 1 and "laser film" in said.err


def test_a_printer_that_feeds_nothing_so_short(run: Run) -> None:
    Path("p.yaml").write_text("printer: desk\nshortest sheet: 120 mm\n", encoding="utf-8")
    good(run("film", "add", "white A5"))
    good(run("film", "cut-off", "1", "--edge", "bottom 100"))
    out = good(run("sheet", "tug.yaml", "-o", "tug-sheet.pdf", *QUICK, "--printer", "p.yaml"))
    assert "carrier sheet: it is 110 mm long, the printer feeds no sheet shorter than 120 mm" in out


def test_a_film_file_brings_what_is_used_of_it(run: Run) -> None:
    Path("f.yaml").write_text(
        "film: opened\nkind: white\nprocess: inkjet\nsheet: A5\nused: [{at: [0 mm, 180 mm], size: [148 mm, 30 mm]}]\n",
        encoding="utf-8",
    )
    good(run("film", "add", "f.yaml", "--name", "the opened one"))
    sheet = Drawer().sheet("the opened one")
    assert sheet.free.area == pytest.approx(148 * 180)


@pytest.mark.parametrize(
    ("option", "words", "bounds"),
    [
        ("--rectangle", "0,180 148x30", (0, 180, 148, 210)),
        ("--rectangle", "0, 180, 148 × 30 mm", (0, 180, 148, 210)),
        ("--corner", "upper left 40x30", (0, 180, 40, 210)),
        ("--corner", "LOWER  Right 40 x 30mm", (108, 0, 148, 30)),
        ("--edge", "bottom 60.5", (0, 0, 148, 60.5)),
        ("--polygon", "0,0 40,0 0,30", (0, 0, 40, 30)),
    ],
)
def test_parts_cut_off_by_hand(run: Run, option: str, words: str, bounds: tuple[float, ...]) -> None:
    good(run("film", "add", "white A5"))
    good(run("film", "cut-off", "1", option, words))
    assert Drawer().sheet("1").gone.bounds == bounds


@pytest.mark.parametrize("ending", ["svg", "png", "pdf"])
def test_the_picture_of_a_sheet(run: Run, ending: str) -> None:
    good(run("film", "add", "white A5", "--note", "a < b & c"))
    good(run("film", "cut-off", "1", "--edge", "bottom 60"))
    good(run("film", "show", "1", "-o", f"left.{ending}"))
    path = Path(f"left.{ending}")
    if ending == "svg":
        root = ET.parse(path).getroot()
        assert root.tag.endswith("svg") and root.get("width", "").startswith("188")
    elif ending == "png":
        with Image.open(path) as picture:
            dots = picture.convert("RGB")
            assert len(dots.getcolors(1_000_000) or []) > 4
    else:
        (page,) = PdfDocument(path)
        assert page.get_width() * 25.4 / 72 == pytest.approx(188, abs=0.01)


def test_export_and_import(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    good(run("film", "add", "clear A5", "--count", "2"))
    good(run("film", "cut-off", "2", "--edge", "top 20"))
    assert "2 sheets" in good(run("film", "export", "drawer.json"))
    here = Drawer().sheets()
    monkeypatch.setenv("DECALGEN_DATA", "elsewhere")
    assert "put in 2 sheets" in good(run("film", "import", "drawer.json"))
    assert Drawer().sheets() == here and drawer_file() == Path("elsewhere/film-drawer.sqlite")
    assert "put in 0 sheets, 2 there already" in good(run("film", "import", "drawer.json"))
    said = run("film", "export", "elsewhere/film-drawer.sqlite")
    assert said.code == 4 and "the drawer itself" in said.err and Drawer().sheets() == here


@pytest.mark.parametrize(
    ("words", "code", "says"),
    [
        (("film", "show", "white A5 7"), 1, "no sheet 'white A5 7'"),
        (("film", "back", "1"), 1, "nothing was taken off"),
        (("film", "add", "purple A5"), 3, "is not a film"),
        (("film", "add", "white A5", "--name", "white A5 1"), 1, "is in the drawer already"),
        (("film", "add", "white A5", "--count", "1000000"), 1, "cannot be put in at once"),
        (("film", "add", "white A5", "--count", "x"), 64, "not a valid integer"),
        (("film", "add", "white A5", "--leads", "tip"), 1, "no edge 'tip'"),
        (("film", "add", "missing.yaml"), 3, "missing.yaml"),
        (("film", "add", "white A5", "--price", "dear"), 1, "'dear' is not a price"),
        (("film", "add", "white A5", "--price", "3 mm"), 1, "'3 mm' is not a price"),
        (("film", "cut-off", "1"), 1, "which part was cut off"),
        (("film", "cut-off", "1", "--edge", "top 10", "--all"), 1, "edge and all are given at once"),
        (("film", "cut-off", "1", "--edge", "middle 10"), 1, "does not name any edge"),
        (("film", "cut-off", "1", "--edge", "top"), 1, "does not name any edge"),
        (("film", "cut-off", "1", "--edge", "top 10 20"), 1, "2 numbers; 1 are needed"),
        (("film", "cut-off", "1", "--edge", "top nan"), 1, "not a number"),
        (("film", "cut-off", "1", "--corner", "left 10x10"), 1, "does not name any corner"),
        (("film", "cut-off", "1", "--rectangle", "0,180 148"), 1, "3 numbers; 4 are needed"),
        (("film", "cut-off", "1", "--rectangle", "a,b cxd"), 1, "not made of numbers"),
        (("film", "cut-off", "1", "--rectangle", "140,0 20x20"), 1, "off the sheet"),
        (("film", "cut-off", "1", "--polygon", "0,0 20,20 20,0 0,20"), 1, "crosses itself at (10, 10)"),
        (("film", "cut-off", "1", "--polygon", "0,0 20,20 20"), 1, "a corner without y"),
        (("film", "use", "1", "missing.positions.json"), 3, "there is no file"),
        (("film", "use", "1", "tug.yaml"), 3, "not a file of positions"),
        (("film", "import", "missing.json"), 3, "there is no file"),
        (("film", "import", "tug.yaml"), 3, "not an exported film drawer"),
        (("film", "export", "data"), 4, "is a folder"),
        (("film", "show", "1", "-o", "x.doc"), 1, "nothing is written as '.doc'"),
        (("film", "lend", "1"), 64, "lend"),
        (("sheet", "tug.yaml", "--film", "drawer", "--film", "white A5"), 6, "cannot go with another film"),
        (("sheet", "tug.yaml", "--film", "drawer", "--printer", "laser.yaml"), 6, "no white laser film in the drawer"),
    ],
)
def test_a_mistake_is_told_and_costs_nothing(run: Run, words: tuple[str, ...], code: int, says: str) -> None:
    good(run("film", "add", "white A5"))
    Path("laser.yaml").write_text("printer: desk laser\nprocess: laser\n", encoding="utf-8")
    before, files = Drawer().sheets(), sorted(Path().rglob("*"))
    said = run(*words)
    assert said.code == code and says in said.err and "fix: " in said.err, said.err
    assert Drawer().sheets() == before and sorted(Path().rglob("*")) == files


def test_decals_the_drawer_cannot_hold(run: Run) -> None:
    assert run("proof", "tug.yaml", *QUICK).code == 6
    good(run("film", "add", "white A5"))
    good(run("film", "cut-off", "1", "--edge", "bottom 202"))
    said = run("proof", "tug.yaml", *QUICK)
    assert said.code == 5 and 'decalgen film add "white A5"' in said.err and not Path("tug-proof.pdf").exists()


def test_positions_for_another_film_are_refused(run: Run) -> None:
    good(run("film", "add", "white A5", "--count", "2"))
    good(run("proof", "tug.yaml", "-o", "tug-proof.pdf", *QUICK))
    said = run("film", "use", "2", "tug.positions.json")
    assert said.code == 1 and "prints nothing on 'white A5 2'" in said.err and "it is for 'white A5 1'" in said.err
    good(run("proof", "tug.yaml", "-o", "tug-proof.pdf", "--film", "white A5", "--effort", "quick"))
    said = run("film", "use", "2", "tug.positions.json")
    assert said.code == 1 and "made for other film" in said.err


def test_positions_under_another_name_are_named(run: Run) -> None:
    good(run("film", "add", "white A5"))
    said = run("film", "use", "1", "tug-proof.positions.json")
    assert said.code == 3 and "make the proof again" in said.err
    good(run("proof", "tug.yaml", "-o", "tug-proof.pdf", *QUICK))
    said = run("film", "use", "1", "tug-proof.positions.json")
    assert said.code == 3 and "the positions that lie there: 'tug.positions.json'" in said.err


def test_a_damaged_and_a_newer_drawer(run: Run) -> None:
    good(run("film", "add", "white A5"))
    base = sqlite3.connect(drawer_file())
    base.execute("PRAGMA user_version = 9")
    base.close()
    for words in (("film", "list"), ("film", "add", "white A5"), ("sheet", "tug.yaml", *QUICK)):
        said = run(*words)
        assert said.code == 3 and "newer decalgen" in said.err and "fix: " in said.err
    drawer_file().write_bytes(b"SQLite format 3\x00" + b"\x7f" * 3000)
    for words in (("film", "list"), ("film", "back", "1"), ("proof", "tug.yaml", *QUICK)):
        said = run(*words)
        assert said.code == 3 and "is damaged" in said.err and "film import" in said.err
