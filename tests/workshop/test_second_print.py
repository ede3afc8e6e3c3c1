"""A second print on a sheet of the drawer: where the first one's registration marks lie, and how it is set right."""

from __future__ import annotations

import json
import sqlite3
from dataclasses import replace
from pathlib import Path

import numpy as np
import pdfplumber
import pytest
from pypdfium2 import PdfDocument
from shapely.geometry import Point, Polygon
from shapely.ops import unary_union

from decalgen.core import style
from decalgen.workshop.drawer import Drawer, DrawerEntry, DrawerError, OwnedSheet, drawer_file, part
from decalgen.workshop.drawer.model import PrintedMark, shifted
from decalgen.workshop.drawer.plain import read_plain, write_plain
from decalgen.workshop.drawer.rows import VERSION
from decalgen.workshop.drawer.store import TABLES
from tests.helpers.commands import Run, Said, folder, runner
from tests.helpers.tug import ONE_BAND as JOB

DRAWER = ("--film", "drawer", "--effort", "quick")
# A5 is 148 × 210 mm, a printer that is not known leaves 10 mm on each side.


def crosses(name: str = "one-proof.pdf") -> set[tuple[float, float]]:
    """Where the middles of the crosses of 4 mm stand on a sheet, read off its proof, mm."""
    with pdfplumber.open(name) as pdf:
        page = pdf.pages[0]
        lines = [[float(line[key]) * 25.4 / 72 for key in ("x0", "x1", "y0", "y1")] for line in page.lines]
    level = {(round((a + b) / 2, 2), round(c, 2)) for a, b, c, d in lines if abs(b - a - 4) < 1e-3 and d - c < 1e-3}
    upright = {(round(a, 2), round((c + d) / 2, 2)) for a, b, c, d in lines if abs(d - c - 4) < 1e-3 and b - a < 1e-3}
    return level & upright


A5 = DrawerEntry("white A5 1", "white", "inkjet", 148.0, 210.0)


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Runs a command in a folder with the job `tug.yaml`, with a drawer of its own that holds a sheet of white A5."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("DECALGEN_DATA", str(tmp_path / "data"))
    Path("tug.yaml").write_text(JOB, encoding="utf-8")
    run = runner(capsys)
    good(run("film", "add", "white A5"))
    return run


def good(said: Said) -> str:
    assert said.code == 0, said.err
    return said.out


def print_once(run: Run, name: str = "one") -> None:
    good(run("proof", "tug.yaml", "-o", f"{name}-proof.pdf", *DRAWER))
    good(run("film", "use", "1", f"{name}.positions.json"))


class Paper:
    """The first page of a file as dots."""

    def __init__(self, name: str) -> None:
        self.dots = np.asarray(PdfDocument(name)[0].render(scale=600 / 72).to_pil().convert("RGB"), dtype=int)

    def petrol(self, x: float, y: float, reach: float = 0.4) -> bool:
        """Whether it shows the accent colour nearer to a point than ``reach``, mm."""
        scale = 600 / 25.4
        row, column, size = (
            round(len(self.dots) - (y + reach) * scale),
            round((x - reach) * scale),
            round(2 * reach * scale),
        )
        near = self.dots[row : row + size, column : column + size]
        wanted = [int(style.ACCENT[n : n + 2], 16) for n in (1, 3, 5)]
        return bool((np.abs(near - wanted).max(axis=2) < 40).any())


def test_the_next_proof_repeats_the_marks_of_the_first_print(run: Run) -> None:
    print_once(run)
    printed = crosses()
    assert len(printed) == 3
    new = Paper("one-proof.pdf")
    assert not any(new.petrol(x - 2.9, y + 1.0) for x, y in printed), "a new sheet has no marks yet"
    assert {(m.x, m.y) for m in Drawer().sheet("1").marks} == printed
    good(run("proof", "tug.yaml", "-o", "two-proof.pdf", *DRAWER))
    paper = Paper("two-proof.pdf")
    for x, y in printed:
        # The left side of the box round the mark, and the mark's circle of 2 mm.
        assert paper.petrol(x - 2.9, y + 1.0) and paper.petrol(x - 1.0, y)
    assert not paper.petrol(74.0, 150.0)
    assert PdfDocument("two-proof.pdf")[0].get_width() * 25.4 / 72 == pytest.approx(148, abs=0.01), (
        "so its edges lie flush on the film's"
    )
    out = good(run("sheet", "tug.yaml", "-o", "two-sheet.pdf", *DRAWER))
    assert "has been printed on before" in out
    second = Paper("two-sheet.pdf")
    assert not any(second.petrol(x - 2.9, y + 1.0) for x, y in printed), "nothing of it is printed on the film"


def test_a_shift_moves_the_last_print_only_and_the_next_keeps_clear_of_it(run: Run) -> None:
    print_once(run)
    print_once(run, "two")
    before = Drawer().sheet("1")
    good(run("proof", "tug.yaml", "-o", "three-proof.pdf", *DRAWER))
    out = good(run("film", "shift", "1", "--x", "1.5mm", "--y", "-0.5mm"))
    assert "+1.50 mm across and -0.50 mm up" in out and "--x -1.5mm --y 0.5mm" in out
    after = Drawer().sheet("1")
    assert [p for p in after.parts if p.step == 1] == [p for p in before.parts if p.step == 1]
    for was, now in zip(before.marks, after.marks, strict=True):
        moved = (1.5, -0.5) if was.step == 2 else (0.0, 0.0)
        assert (now.x - was.x, now.y - was.y) == pytest.approx(moved)
    areas = [unary_union([p.polygon for p in s.parts if p.step == 2]) for s in (before, after)]
    assert areas[1].centroid.x - areas[0].centroid.x == pytest.approx(1.5, abs=1e-3)
    assert areas[1].area == pytest.approx(areas[0].area)

    said = run("sheet", "tug.yaml", "-o", "three-sheet.pdf", *DRAWER)
    assert said.code == 1 and "never proven" in said.err, "the proof lay beside where the print was thought to be"
    good(run("proof", "tug.yaml", "-o", "three-proof.pdf", *DRAWER))
    taken = json.loads(Path("three.positions.json").read_text(encoding="utf-8"))["taken from the drawer"]
    new = unary_union([Polygon(ring) for ring in taken[0]["parts"]])
    assert new.intersection(after.gone).area < 1e-6

    good(run("film", "shift", "1", "--x", "-1.5mm", "--y", "0.5mm"))
    back = Drawer().sheet("1")
    assert back.marks == before.marks
    assert back.gone.symmetric_difference(before.gone).area < 0.1
    good(run("film", "back", "1"))
    good(run("film", "back", "1"))
    assert Drawer().sheet("1").marks == () and Drawer().sheet("1").parts == ()


def test_the_marks_of_a_sheet_that_is_fed_turned(run: Run) -> None:
    good(run("film", "cut-off", "1", "--edge", "top 40"))
    print_once(run)
    sheet = Drawer().sheet("1")
    # Fed with its bottom edge first: what is printed lower left lies upper right on the sheet.
    turned = {(round(148 - x, 2), round(210 - y, 2)) for x, y in crosses()}
    assert {(m.x, m.y) for m in sheet.marks} == turned and len(turned) == 3
    assert all(10 < m.y < 170 for m in sheet.marks)
    good(run("proof", "tug.yaml", "-o", "two-proof.pdf", *DRAWER))
    paper = Paper("two-proof.pdf")
    assert all(paper.petrol(148 - m.x - 2.9, 210 - m.y + 1.0) for m in sheet.marks)


def test_a_mark_that_was_cut_off_is_not_looked_for(run: Run) -> None:
    print_once(run)
    printed = crosses()
    (gone,) = (spot for spot in printed if max(spot) < 20)
    good(run("film", "cut-off", "1", "--corner", "lower left 20x20"))
    sheet = Drawer().sheet("1")
    assert {(x, y) for x, y, _ in sheet.marks_left} == printed - {gone}
    assert {(x, y) for x, y, _ in sheet.film().marks} == printed - {gone}


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--x", "9mm"), "not a slip of a printer's feed"),
        (("--x", "4mm", "--y", "4mm"), "not a slip of a printer's feed"),
        ((), "changes nothing"),
        (("--x", "wide"), "--x: "),
        (("--y", "nan mm"), "--y: "),
    ],
)
def test_a_shift_that_is_none(run: Run, words: tuple[str, ...], says: str) -> None:
    print_once(run)
    before, files = Drawer().sheets(), folder()
    said = run("film", "shift", "1", *words)
    assert said.code == 1 and says in said.err and "fix: " in said.err
    assert Drawer().sheets() == before and folder() == files


def test_a_shift_of_what_was_never_printed(run: Run) -> None:
    good(run("film", "cut-off", "1", "--edge", "top 40"))
    said = run("film", "shift", "1", "--x", "1mm")
    assert said.code == 1 and "nothing was printed on 'white A5 1' yet" in said.err
    said = run("film", "shift", "9", "--x", "1mm")
    assert said.code == 1 and "no sheet '9'" in said.err


def test_a_print_at_the_edge_is_trimmed_and_cannot_be_shifted_away() -> None:
    ring = ((0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0))
    sheet = OwnedSheet(1, A5, (part(A5, ring, "printed", 1),), (PrintedMark(1, 3.0, 3.0),))
    step, parts, marks = shifted(sheet, -2.0, 0.0)
    assert step == 1 and unary_union([p.polygon for p in parts]).bounds == (0, 0, 8, 10) and marks[0].x == 1.0
    for _ in range(2):
        sheet = replace(sheet, parts=parts, marks=marks)
        _, parts, marks = shifted(sheet, -2.9, 0.0)
    with pytest.raises(DrawerError, match="off 'white A5 1'"):
        shifted(replace(sheet, parts=parts, marks=marks), -4.0, 0.0)


# ------------------------------------------------------------------------------------------------- drawers from before


def test_a_drawer_from_before_marks_and_prices_is_read_and_then_brought_up_to_date(run: Run) -> None:
    drawer_file().unlink()
    base = sqlite3.connect(drawer_file())
    for table in TABLES:
        base.execute(table)
    base.execute(f"PRAGMA application_id = {0x44474644}")
    base.execute("PRAGMA user_version = 1")
    base.execute(
        "INSERT INTO sheet (name, kind, process, width, height, adhesive, bought, leads, note) "
        "VALUES ('old one', 'white', 'inkjet', 148, 210, 0, 'long ago', 'top', 'curls')"
    )
    base.execute("INSERT INTO part VALUES (1, 1, 'cut off', '', '', '[[0, 0], [148, 0], [148, 60], [0, 60]]')")
    base.commit()
    base.close()
    bytes_before = drawer_file().read_bytes()
    out = good(run("film", "list"))
    assert "old one" in out and "bought long ago; curls" in out
    assert drawer_file().read_bytes() == bytes_before, "looking changes nothing"
    old = Drawer().sheet("1")
    print_once(run)
    new = Drawer().sheet("1")
    assert new.entry == old.entry and new.parts[: len(old.parts)] == old.parts and len(new.marks) == 3
    with sqlite3.connect(drawer_file()) as base:
        assert base.execute("PRAGMA user_version").fetchone()[0] == VERSION


def test_an_export_keeps_marks_and_price_and_one_from_before_is_read(run: Run) -> None:
    good(run("film", "add", "clear A5", "--price", "4.50 EUR"))
    print_once(run)
    sheets = Drawer().sheets()
    assert read_plain(write_plain(sheets), "x") == sheets and sheets[1].entry.price == "4.50 EUR"
    old = json.loads(write_plain(sheets))
    old["form"] = "decalgen film drawer 1"
    for sheet in old["sheets"]:
        del sheet["marks"], sheet["price"]
    found = read_plain(json.dumps(old).encode(), "x")
    assert [s.parts for s in found] == [s.parts for s in sheets] and not any(s.marks for s in found)
    for wrong in ([[1, "a", 2]], [[0, 1, 2]], [[1, 1e9, 2]], [[1, 2]], 7):
        spoilt = json.loads(write_plain(sheets))
        spoilt["sheets"][0]["marks"] = wrong
        Path("spoilt.json").write_text(json.dumps(spoilt), encoding="utf-8")
        said = run("film", "import", "spoilt.json")
        assert said.code == 3 and "not an exported film drawer" in said.err
    assert Drawer().sheets() == sheets


def test_marks_lie_where_the_print_used_the_film(run: Run) -> None:
    print_once(run)
    sheet = Drawer().sheet("1")
    assert all(sheet.gone.buffer(1e-6).contains(Point(m.x, m.y).buffer(2.0)) for m in sheet.marks)
