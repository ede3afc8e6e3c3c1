"""The film drawer: parts of sheets, feeding rules, the choice of remnants, and a file that nothing can spoil."""

from __future__ import annotations

import contextlib
import itertools
import json
import os
import sqlite3
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from threading import Timer

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon, box
from shapely.ops import unary_union

from decalgen.drawer import (
    Drawer,
    DrawerError,
    Entry,
    OwnedSheet,
    Part,
    choose,
    corner,
    data_folder,
    edge,
    feeding,
    part,
    rectangle,
)
from decalgen.drawer.age import bought_on
from decalgen.drawer.feeding import whole_edges
from decalgen.drawer.plain import read_plain, write_plain
from decalgen.errors import FilmError, FitError, InputError, OutputError
from decalgen.film_area import CLEARANCE, printable
from decalgen.film_page import largest_free, sheet_page
from decalgen.nesting.model import QUICK
from decalgen.pieces import pieces
from decalgen.remnants import Picked, pick, taken_off, used_up
from decalgen.sheet import arrange, layout_digest
from tests import jobs

A5 = Entry("white A5 1", "white", "inkjet", 148.0, 210.0, bought="spring, at the fair")


def owned(*rings: Sequence[tuple[float, float]], why: str = "cut off", **more: object) -> OwnedSheet:
    entry = replace(A5, **more)  # type: ignore[arg-type]
    parts = tuple(part(entry, ring, why, n) for n, ring in enumerate(rings, start=1))  # type: ignore[arg-type]
    return OwnedSheet(1, entry, parts)


@pytest.fixture
def drawer(tmp_path: Path) -> Drawer:
    return Drawer(tmp_path / "data" / "film-drawer.sqlite", patience=0.2)


# -------------------------------------------------------------------------------------------------------------- parts


@pytest.mark.parametrize(
    ("points", "says"),
    [
        ([(0, 0), (20, 20), (20, 0), (0, 20)], r"crosses or touches itself at \(10\.00, 10\.00\) mm"),
        ([(0, 0), (20, 0)], "2 points are no area"),
        ([(0, 0), (20, 0), (40, 0)], "no area|touches itself"),
        ([(0, 0), (20, 0), (20, float("nan"))], "no number"),
        ([(0, 0), (149, 0), (149, 5)], r"off the sheet of 148 × 210 mm"),
        ([(0, 0), (20, 0), (20, -1)], "off the sheet"),
        ([(0.0, 0.0)] * 3, "no area|touches itself"),
        ([(x, x % 2) for x in range(2001)], "too many"),
    ],
)
def test_a_part_that_is_none_is_refused_with_its_fix(points: list[tuple[float, float]], says: str) -> None:
    with pytest.raises(DrawerError, match=says) as caught:
        part(A5, points, "cut off", 1)
    assert caught.value.fix


def test_a_part_is_trimmed_to_the_sheet_and_closed_once() -> None:
    one = part(A5, [(-0.04, 0), (148.03, 0), (148.03, 30), (-0.04, 30), (-0.04, 0)], "cut off", 1)
    assert one.points == ((0, 0), (148, 0), (148, 30), (0, 30))


def test_corners_and_edges_lie_where_they_say() -> None:
    assert Polygon(corner(A5, "upper right", 40, 30)).bounds == (108, 180, 148, 210)
    assert Polygon(corner(A5, "lower left", 40, 30)).bounds == (0, 0, 40, 30)
    assert Polygon(edge(A5, "right", 8)).bounds == (140, 0, 148, 210)
    assert Polygon(edge(A5, "top", 60)).bounds == (0, 150, 148, 210)
    with pytest.raises(DrawerError, match="no corner 'middle'"):
        corner(A5, "middle", 1, 1)


def test_overlapping_parts_are_counted_once() -> None:
    sheet = owned(edge(A5, "bottom", 60), rectangle(0, 30, 20, 60))
    assert sheet.free.area == pytest.approx(148 * 150 - 20 * 30)


# ------------------------------------------------------------------------------------------------------------ feeding

# Common practice, no source: see the head of decalgen/drawer/feeding.py.
NOTCH = corner(A5, "upper left", 40, 30)
HOLE = rectangle(50, 80, 20, 20)
BOTTOM, TOP, LEFT = edge(A5, "bottom", 60), edge(A5, "top", 60), edge(A5, "left", 20)


@pytest.mark.parametrize(
    ("sheet", "shortest", "way", "leads"),
    [
        (owned(), 0, "straight", "top"),
        (owned(BOTTOM), 0, "straight", "top"),
        (owned(BOTTOM), 150, "straight", "top"),
        (owned(BOTTOM), 151, "carrier", "top"),
        (owned(NOTCH), 0, "turned", "bottom"),
        (owned(TOP), 0, "turned", "bottom"),
        (owned(TOP, leads="bottom"), 0, "straight", "bottom"),
        (owned(TOP, BOTTOM), 0, "carrier", "top"),
        (owned(LEFT), 0, "carrier", "top"),
        (owned(HOLE, why="printed"), 0, "straight", "top"),
        (owned(BOTTOM, process="laser"), 0, "straight", "top"),
        (owned(TOP, process="laser"), 0, "turned", "bottom"),
        (owned(BOTTOM, process="laser"), 151, "never", "top"),
        (owned(HOLE, process="laser", why="printed"), 0, "never", "top"),
        (owned(HOLE, process="laser"), 0, "never", "top"),
        (owned(NOTCH, process="laser"), 0, "never", "top"),
        (owned(TOP, BOTTOM, process="laser"), 0, "never", "top"),
        (owned(rectangle(0, 0, 148, 210)), 0, "never", "top"),
    ],
)
def test_how_a_part_used_sheet_is_fed(sheet: OwnedSheet, shortest: float, way: str, leads: str) -> None:
    how = feeding(sheet, shortest)
    assert (how.way, how.leads) == (way, leads)
    assert bool(how.reason) == (way != "straight")


def test_a_laser_sheet_printed_and_then_cut_off_straight_is_whole_again() -> None:
    entry = replace(A5, process="laser")
    printed = part(entry, rectangle(10, 10, 100, 40), "printed", 1)
    sheet = OwnedSheet(1, entry, (printed,))
    assert feeding(sheet).way == "never" and "bare backing" in feeding(sheet).reason
    assert feeding(replace(sheet, parts=(printed, part(entry, BOTTOM, "cut off", 2)))).way == "straight"


def test_whole_edges() -> None:
    assert set(whole_edges(owned(NOTCH))) == {"bottom", "right"}
    assert set(whole_edges(owned(HOLE))) == {"top", "bottom", "left", "right"}


# ------------------------------------------------------------------------------------------------------------- choice


@settings(max_examples=60)
@given(st.lists(st.integers(1, 12), min_size=1, max_size=6), st.integers(1, 40))
def test_the_fewest_then_the_smallest_then_the_oldest(depths: list[int], needed: int) -> None:
    """Against trying every choice there is; sheets differ by whole strips, and what fits is a matter of area."""
    strip = 10.0
    sheets = []
    for number, depth in enumerate(depths, start=1):
        entry = replace(A5, name=f"s{number}", width=100.0, height=130.0)
        cut = part(entry, edge(entry, "top", 130.0 - depth * strip), "cut off", 1)
        sheets.append(OwnedSheet(number, entry, (cut,)))

    def serves(chosen: Sequence[OwnedSheet]) -> bool:
        return sum(s.free.area for s in chosen) >= needed * strip * 100 - 1e-6

    every = [c for n in range(1, len(sheets) + 1) for c in itertools.combinations(sheets, n) if serves(c)]
    best = min(every, key=lambda c: (len(c), round(sum(s.free.area for s in c)), [s.number for s in c]), default=None)
    assert choose(sheets, needed * strip * 100 - 1e-6, serves, tries=10_000) == best


def test_a_choice_that_would_take_too_many_tries_still_serves() -> None:
    sheets = [OwnedSheet(n, replace(A5, name=f"s{n}"), ()) for n in range(1, 8)]
    tried: list[int] = []

    def serves(chosen: Sequence[OwnedSheet]) -> bool:
        tried.append(len(chosen))
        return len(chosen) == 7

    chosen = choose(sheets, 1.0, serves, tries=5)
    assert chosen is not None and [s.number for s in chosen] == [1, 2, 3, 4, 5, 6, 7]
    assert len(tried) <= 5 + 7


def field(width: float, height: float, **more: object) -> object:
    return jobs.decal("band", width, height, jobs.element("field", ink="navy"), **more)


def test_the_smallest_remnant_that_holds_the_decals_is_picked() -> None:
    job = jobs.job(field(100, 40))  # type: ignore[arg-type]
    whole = OwnedSheet(1, replace(A5, name="whole"), ())
    half = OwnedSheet(2, replace(A5, name="half"), (part(A5, edge(A5, "bottom", 90), "cut off", 1),))
    tiny = OwnedSheet(3, replace(A5, name="tiny"), (part(A5, edge(A5, "bottom", 180), "cut off", 1),))
    laser = OwnedSheet(4, replace(A5, name="laser", process="laser"), ())
    picked = pick([job], [whole, half, tiny, laser], jobs.PRINTER)
    assert [one.sheet.name for one in picked] == ["half"]
    twins = [replace(half, number=n, entry=replace(A5, name=f"twin {n}")) for n in (7, 5)]
    assert [one.sheet.number for one in pick([job], [whole, *twins], jobs.PRINTER)] == [5]
    with pytest.raises(FitError, match=r"the white film in the drawer \(1 of its sheets"):
        pick([job], [tiny], jobs.PRINTER)
    with pytest.raises(FilmError, match="no white inkjet film in the drawer"):
        pick([job], [laser], jobs.PRINTER)


def test_a_laser_remnant_with_openings_is_not_picked_even_when_it_is_the_last() -> None:
    job = jobs.job(field(20, 10))  # type: ignore[arg-type]
    entry = replace(A5, process="laser")
    sheet = OwnedSheet(1, entry, (part(entry, HOLE, "printed", 1),))
    with pytest.raises(FilmError, match="openings or bare backing"):
        pick([job], [sheet], replace(jobs.PRINTER, process="laser"))


# -------------------------------------------------------------------------------------------- used outlines on sheets


def test_nothing_is_printed_on_used_outlines() -> None:
    triangle = ((20.0, 20.0), (120.0, 40.0), (40.0, 150.0))
    where_marks_would_lie = rectangle(0, 8, 60, 22)
    film = jobs.film(used_polygons=(triangle, where_marks_would_lie))
    job = jobs.job(field(18, 9, copies=40))  # type: ignore[arg-type]
    layout = arrange([job], [film], jobs.PRINTER, effort=QUICK)
    gone = unary_union([Polygon(triangle), Polygon(where_marks_would_lie)])
    assert len(layout.sheets[0].furniture.registration) == 3
    for sheet in layout.sheets:
        for placed in sheet.placed:
            bleed = placed.piece.artwork.bleed
            assert bleed > 0 and placed.cut.distance(gone) >= CLEARANCE + bleed - 1e-6
        assert all(out.distance(gone) >= CLEARANCE - 1e-6 for out in sheet.furniture.keep_outs)
        assert not any(label.region.intersects(gone) for label in sheet.labels)


def test_used_outlines_count_in_the_digest_and_crossing_ones_are_refused() -> None:
    job = jobs.job(field(18, 9))  # type: ignore[arg-type]
    plain, used = jobs.film(), jobs.film(used_polygons=(HOLE,))
    found = pieces([job], jobs.PRINTER)
    assert layout_digest(found, [plain], jobs.PRINTER, 2.5) != layout_digest(found, [used], jobs.PRINTER, 2.5)
    crossing = jobs.film(used_polygons=(((0, 0), (20, 20), (20, 0), (0, 20)),))
    with pytest.raises(FilmError, match="used part 1 of the film 'white 148' crosses itself"):
        arrange([job], [crossing], jobs.PRINTER)


def test_a_strip_given_as_an_outline_shrinks_the_printable_area() -> None:
    assert printable(jobs.film(used_polygons=(BOTTOM,)), jobs.PRINTER).bounds == (5, 60, 143, 205)
    with pytest.raises(FilmError, match="nothing of the film"):
        printable(jobs.film(used_polygons=(rectangle(0, 0, 148, 204.5),)), jobs.PRINTER)


@settings(max_examples=8)
@given(st.lists(st.tuples(st.integers(4, 60), st.integers(3, 40)), min_size=1, max_size=6), st.integers(1, 4))
def test_what_is_taken_off_covers_all_that_was_printed_and_not_much_more(
    sizes: list[tuple[int, int]], copies: int
) -> None:
    decals = [
        jobs.decal(f"d{n}", w, h, jobs.element("field", ink="navy"), copies=copies) for n, (w, h) in enumerate(sizes)
    ]
    for sheet in arrange([jobs.job(*decals)], [jobs.film()], jobs.PRINTER, effort=QUICK).sheets:
        rings = used_up(sheet)
        parts = [part(A5, ring, "printed", 1).polygon for ring in rings]
        gone = unary_union(parts)
        printed = [p.outer for p in sheet.placed] + list(sheet.furniture.keep_outs)
        printed += [label.region for label in sheet.labels]
        for thing in printed:
            assert thing.difference(gone.buffer(0.005)).area < 1e-6
        assert gone.difference(unary_union(printed).buffer(4)).area < 1e-6
        for a, b in itertools.combinations(parts, 2):
            assert a.intersection(b).area < 1e-6


def test_what_a_turned_sheet_loses_is_told_in_its_own_coordinates() -> None:
    sheet = owned(TOP)
    picked = Picked(sheet, feeding(sheet))
    assert picked.feeding.turned
    job = jobs.job(field(30, 10))  # type: ignore[arg-type]
    layout = arrange([job], [picked.film], jobs.PRINTER, effort=QUICK)
    ((taken),) = taken_off(layout, [picked])
    (placed,) = layout.sheets[0].placed
    x0, y0, x1, y1 = placed.outer.bounds
    there = box(148 - x1, 210 - y1, 148 - x0, 210 - y0)
    gone = unary_union([part(A5, ring, "printed", 2).polygon for ring in taken.parts])
    assert there.difference(gone.buffer(0.005)).area < 1e-6
    assert gone.intersection(Polygon(TOP)).area < 1e-6


# -------------------------------------------------------------------------------------------------------------- store


def test_a_drawer_that_is_not_there_is_empty_and_is_not_made_by_looking(drawer: Drawer) -> None:
    assert drawer.sheets() == ()
    with pytest.raises(DrawerError, match="the film drawer is empty"):
        drawer.back("1")
    assert not drawer.path.parent.exists()


def test_what_is_put_in_comes_out(drawer: Drawer) -> None:
    clear = replace(A5, name="Klarfilm Größe A5", kind="clear", adhesive=True, note="rollt sich", leads="left")
    drawer.add([A5, clear], [[], [BOTTOM]])
    first, second = drawer.sheets()
    assert (first.number, first.entry, first.parts) == (1, A5, ())
    assert (second.entry, second.parts[0].points, second.parts[0].why) == (clear, tuple(BOTTOM), "cut off")
    assert drawer.sheet("KLARFILM größe a5") == second == drawer.sheet("2")
    with pytest.raises(DrawerError, match="no sheet 'white A5 2'") as caught:
        drawer.sheet("white A5 2")
    assert "did you mean 'white A5 1'?" in caught.value.fix


def test_sheets_go_in_all_or_none(drawer: Drawer) -> None:
    drawer.add([A5])
    with pytest.raises(DrawerError, match="'WHITE a5 1' lies in the drawer already"):
        drawer.add([replace(A5, name="another"), replace(A5, name="WHITE a5 1")])
    assert [sheet.name for sheet in drawer.sheets()] == ["white A5 1"]


@pytest.mark.parametrize(
    "wrong",
    [{"name": ""}, {"name": "7"}, {"name": "x" * 61}, {"name": "a\nb"}, {"width": float("nan")}, {"width": 0.0},
     {"height": 1e9}, {"note": "x" * 401}, {"kind": "grey"}, {"leads": "up"}],
)  # fmt: skip
def test_a_sheet_that_is_none_is_not_put_in(drawer: Drawer, wrong: dict[str, object]) -> None:
    with pytest.raises(DrawerError) as caught:
        drawer.add([replace(A5, **wrong)])  # type: ignore[arg-type]
    assert caught.value.fix and drawer.sheets() == ()


def test_back_undoes_step_by_step(drawer: Drawer) -> None:
    drawer.add([A5])
    drawer.take("1", [HOLE, rectangle(0, 0, 5, 5)], "printed", about="a.positions.json", layout="abc")
    drawer.take("1", [TOP], "cut off")
    with pytest.raises(DrawerError, match="already taken off"):
        drawer.take("1", [rectangle(100, 10, 5, 5)], "printed", layout="abc")
    assert [p.step for p in drawer.sheet("1").parts] == [1, 1, 2]
    sheet, parts = drawer.back("1")
    assert [p.why for p in parts] == ["cut off"] and sheet == drawer.sheet("1")
    drawer.back("1")
    assert drawer.sheet("1").parts == ()
    with pytest.raises(DrawerError, match="nothing was taken off"):
        drawer.back("1")


def test_a_print_over_what_is_used_is_refused(drawer: Drawer) -> None:
    drawer.add([A5])
    drawer.take("1", [BOTTOM], "cut off")
    with pytest.raises(DrawerError, match=r"100 mm² of this print lie where 'white A5 1' is used already"):
        drawer.take("1", [rectangle(10, 50, 10, 20)], "printed", layout="abc")
    assert len(drawer.sheet("1").parts) == 1


def test_a_part_that_is_none_leaves_the_drawer_as_it_was(drawer: Drawer) -> None:
    drawer.add([A5])
    with pytest.raises(DrawerError, match="crosses"):
        drawer.take("1", [HOLE, [(0, 0), (20, 20), (20, 0), (0, 20)]], "cut off")
    assert drawer.sheet("1").parts == ()


CHILD = """
import sys, time
from pathlib import Path
from decalgen.drawer import Drawer, Entry, rectangle
from decalgen.drawer.store import _insert_parts
from decalgen.drawer import part
what, path = sys.argv[1], Path(sys.argv[2])
drawer = Drawer(path)
if what == "add":
    for n in range(5):
        drawer.add([Entry(f"sheet {sys.argv[3]} {n}", "white", "inkjet", 148.0, 210.0)])
else:
    with drawer._change() as base:
        if what == "spill":
            # A cache of a page: what is changed goes to the file at once, long before the end of the step.
            base.execute("PRAGMA cache_size = 1")
            entry = Entry("x", "white", "inkjet", 148.0, 210.0)
            one = part(entry, rectangle(10, 10, 20, 20), "cut off", 9)
            base.execute("UPDATE sheet SET note = 'half done'")
            base.execute("DELETE FROM part")
            _insert_parts(base, 1, [one] * 3000)
        print("ready", flush=True)
        time.sleep(600)
"""


@contextlib.contextmanager
def other_program(what: str, path: Path) -> Iterator[subprocess.Popen[str]]:
    """Another process in the middle of a change; killed at the end (SIGKILL, or its like on Windows)."""
    child = subprocess.Popen([sys.executable, "-c", CHILD, what, str(path)], stdout=subprocess.PIPE, text=True)
    try:
        assert child.stdout is not None and child.stdout.readline() == "ready\n"
        yield child
    finally:
        child.kill()
        child.wait()
        assert child.stdout is not None
        child.stdout.close()


def test_a_program_killed_in_the_middle_of_a_change_costs_nothing(drawer: Drawer) -> None:
    drawer.add([A5], [[BOTTOM]])
    before = drawer.sheets()
    size = drawer.path.stat().st_size
    with other_program("spill", drawer.path):
        pass
    journal = drawer.path.with_name(drawer.path.name + "-journal")
    assert drawer.path.stat().st_size > size + 50_000 and journal.exists(), "the change never reached the file"
    assert drawer.sheets() == before
    drawer.take("1", [HOLE], "cut off")
    assert len(drawer.sheet("1").parts) == 2


def test_a_program_killed_in_the_middle_of_the_first_change_leaves_an_empty_drawer(drawer: Drawer) -> None:
    drawer.path.parent.mkdir(parents=True)
    with other_program("hold", drawer.path):
        pass
    assert drawer.sheets() == ()
    drawer.add([A5])
    assert len(drawer.sheets()) == 1


def test_two_programs_at_once_the_later_is_told_and_may_look(drawer: Drawer) -> None:
    drawer.add([A5])
    with other_program("hold", drawer.path):
        assert len(drawer.sheets()) == 1
        with pytest.raises(DrawerError, match="another program is writing to the film drawer") as caught:
            drawer.take("1", [HOLE], "cut off")
        assert "try again" in caught.value.fix
    drawer.take("1", [HOLE], "cut off")


def test_the_later_program_waits_for_the_first(drawer: Drawer) -> None:
    drawer.add([A5])
    with other_program("hold", drawer.path) as child:
        Timer(0.5, child.kill).start()
        Drawer(drawer.path, patience=120.0).take("1", [HOLE], "cut off")
    assert len(drawer.sheet("1").parts) == 1


def test_programs_that_write_at_the_same_time_wait_for_each_other(drawer: Drawer) -> None:
    command = [sys.executable, "-c", CHILD, "add", str(drawer.path)]
    children = [subprocess.Popen([*command, str(n)]) for n in range(3)]
    assert [child.wait() for child in children] == [0, 0, 0]
    assert {s.name for s in drawer.sheets()} == {f"sheet {a} {b}" for a in range(3) for b in range(5)}


# ---------------------------------------------------------------------------------------------------------- bad files


def spoil(path: Path, statement: str) -> None:
    base = sqlite3.connect(path)
    base.execute(statement)
    base.commit()
    base.close()


def test_a_drawer_of_a_newer_version_is_refused_and_untouched(drawer: Drawer) -> None:
    drawer.add([A5])
    spoil(drawer.path, "PRAGMA user_version = 4")
    before = drawer.path.read_bytes()
    for act in (drawer.sheets, lambda: drawer.add([replace(A5, name="n")]), lambda: drawer.back("1")):
        with pytest.raises(InputError, match="written by a newer decalgen") as caught:
            act()
        assert "install the newer decalgen" in caught.value.fix
    assert drawer.path.read_bytes() == before


@pytest.mark.parametrize("how", ["text", "cut short", "overwritten", "index", "points", "kind", "crossing"])
def test_a_damaged_drawer_is_told_with_the_way_out_and_left_alone(drawer: Drawer, how: str) -> None:
    drawer.add([A5, *(replace(A5, name=f"sheet no. {n}", note="x" * 300) for n in range(60))], [[BOTTOM]] * 61)
    data = drawer.path.read_bytes()
    crossing = json.dumps([[0, 0], [20, 20], [20, 0], [0, 20]])
    match how:
        case "text":
            drawer.path.write_bytes(b"not a database at all, but a letter to my aunt " * 40)
        case "cut short":
            drawer.path.write_bytes(data[: len(data) // 2])
        case "overwritten":
            drawer.path.write_bytes(data[:4096] + b"\xa5" * 8192 + data[12288:])
        case "index":
            base = sqlite3.connect(drawer.path)
            (page,) = base.execute("SELECT rootpage FROM sqlite_master WHERE type = 'index'").fetchone()
            base.close()
            start = (page - 1) * 4096
            drawer.path.write_bytes(data[:start] + b"\xa5" * 4096 + data[start + 4096 :])
        case "points":
            spoil(drawer.path, "UPDATE part SET points = '[[1, 2], [3'")
        case "kind":
            spoil(drawer.path, "UPDATE sheet SET kind = 'grey'")
        case "crossing":
            spoil(drawer.path, f"UPDATE part SET points = '{crossing}'")
    before = drawer.path.read_bytes()
    for act in (drawer.sheets, lambda: drawer.add([replace(A5, name="new")])):
        with pytest.raises(InputError, match="is damaged") as caught:
            act()
        assert "film import" in caught.value.fix
    assert drawer.path.read_bytes() == before


def test_another_programs_database_and_a_folder_are_no_drawer(drawer: Drawer) -> None:
    drawer.path.parent.mkdir()
    spoil(drawer.path, "CREATE TABLE recipe (name TEXT)")
    with pytest.raises(InputError, match="no film drawer"):
        drawer.add([A5])
    drawer.path.unlink()
    drawer.path.mkdir()
    with pytest.raises(InputError, match="is a folder"):
        drawer.sheets()


def test_a_file_where_the_folder_should_be(tmp_path: Path) -> None:
    (tmp_path / "data").write_text("x", encoding="utf-8")
    drawer = Drawer(tmp_path / "data" / "film-drawer.sqlite")
    with pytest.raises(OutputError, match="is a file") as caught:
        drawer.add([A5])
    assert "DECALGEN_DATA" in caught.value.fix


@contextlib.contextmanager
def as_nobody() -> Iterator[None]:
    """As a user without special rights, who cannot write into another's folder; root could."""
    if os.geteuid() != 0:
        yield
        return
    os.seteuid(65534)
    try:
        yield
    finally:
        os.seteuid(0)


@pytest.mark.skipif(sys.platform == "win32", reason="folders have no such mode there")
def test_a_read_only_folder_can_be_looked_at_and_says_why_it_cannot_be_changed() -> None:
    with tempfile.TemporaryDirectory() as name:
        path = Path(name) / "film-drawer.sqlite"
        Drawer(path).add([A5])
        before = path.read_bytes()
        path.chmod(0o444)
        Path(name).chmod(0o555)
        try:
            with as_nobody():
                assert [s.name for s in Drawer(path).sheets()] == ["white A5 1"]
                with pytest.raises(OutputError, match="cannot be written") as caught:
                    Drawer(path).take("1", [HOLE], "cut off")
                with pytest.raises(OutputError, match="cannot be made"):
                    Drawer(Path(name) / "deeper" / "film-drawer.sqlite").add([A5])
            assert "DECALGEN_DATA" in caught.value.fix and path.read_bytes() == before
            Path(name).chmod(0o000)
            with as_nobody(), pytest.raises(InputError, match="cannot be reached"):
                Drawer(path).sheets()
        finally:
            Path(name).chmod(0o755)


# ------------------------------------------------------------------------------------------------------ folders, files


def test_the_data_folder_is_where_the_system_wants_it() -> None:
    # XDG Base Directory Specification 0.8; Apple's and Microsoft's folders for a user's application data (from memory).
    home = {"HOME": "/home/ada"}
    assert data_folder(home, "linux") == Path("/home/ada/.local/share/decalgen")
    assert data_folder({**home, "XDG_DATA_HOME": "/srv/data"}, "linux") == Path("/srv/data/decalgen")
    assert data_folder({**home, "XDG_DATA_HOME": "not/absolute"}, "linux") == Path("/home/ada/.local/share/decalgen")
    assert data_folder(home, "darwin") == Path("/home/ada/Library/Application Support/decalgen")
    assert data_folder({**home, "APPDATA": "/users/ada/roaming"}, "win32") == Path("/users/ada/roaming/decalgen")
    assert data_folder({**home, "DECALGEN_DATA": "/x"}, "win32") == Path("/x")


@st.composite
def sheets(draw: st.DrawFn) -> tuple[OwnedSheet, ...]:
    text = st.text(st.characters(codec="utf-8", exclude_categories=["Cc", "Cs"]), max_size=20)
    found = []
    for number in range(1, draw(st.integers(0, 4)) + 1):
        kind, process = draw(st.sampled_from(["clear", "white"])), draw(st.sampled_from(["inkjet", "laser"]))
        entry = Entry(f"sheet no. {number}", kind, process, 148.0, 210.0, draw(st.booleans()), draw(text),
                      draw(st.sampled_from(["top", "left"])), draw(text))  # fmt: skip
        parts = []
        for step in range(1, draw(st.integers(0, 3)) + 1):
            x, y = draw(st.floats(0, 100)), draw(st.floats(0, 150))
            size = draw(st.floats(1, 40))
            parts.append(part(entry, rectangle(x, y, size, size), draw(st.sampled_from(["printed", "cut off"])), step,
                              about=draw(text), layout=draw(text)))  # fmt: skip
        found.append(OwnedSheet(number, entry, tuple(parts)))
    return tuple(found)


@settings(max_examples=40)
@given(sheets())
def test_export_and_import_keep_everything(found: tuple[OwnedSheet, ...]) -> None:
    data = write_plain(found)
    assert read_plain(data, "drawer.json") == found
    with tempfile.TemporaryDirectory() as name:
        drawer = Drawer(Path(name) / "film-drawer.sqlite")
        assert drawer.merge(found) == found
        assert drawer.sheets() == found
        assert drawer.merge(found) == ()
        assert write_plain(drawer.sheets()) == data


def test_import_does_not_touch_a_sheet_that_is_different(drawer: Drawer) -> None:
    drawer.add([A5])
    others = (OwnedSheet(1, replace(A5, name="new"), ()), OwnedSheet(2, replace(A5, note="other"), ()))
    with pytest.raises(DrawerError, match="'white A5 1' lies in the drawer already, and is not the same"):
        drawer.merge(others)
    assert [s.name for s in drawer.sheets()] == ["white A5 1"]


def exported(**changes: object) -> str:
    tree = json.loads(write_plain((OwnedSheet(1, A5, (Part(tuple(HOLE), "cut off", 1),)),)))
    tree["sheets"][0].update({k: v for k, v in changes.items() if k != "used"})
    tree["sheets"][0]["used"][0].update(changes.get("used", {}))
    return json.dumps(tree)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "is not an exported film drawer"),
        ("[1]", "is not an exported film drawer"),
        ("[" * 100_000, "is not an exported film drawer"),
        ('{"form": "decalgen positions 1", "sheets": []}', "is not an exported film drawer"),
        ('{"form": "decalgen film drawer 4", "sheets": []}', "exported by a newer decalgen"),
        (
            exported(used={"points": [[0, 0], [20, 20], [20, 0], [0, 20]]}),
            "sheet 'white A5 1': the outline of the part",
        ),
        (exported(used={"points": [[0, 0], [900, 0], [900, 5]]}), "off the sheet"),
        (exported(used={"why": "eaten"}), "is not an exported film drawer"),
        (exported(used={"step": 0}), "is not an exported film drawer"),
        (exported(width=float("nan")), "nan mm long"),
        (exported(name=7), "is not an exported film drawer"),
        (exported(name="7"), "is a number, not a name"),
    ],
)
def test_a_file_that_is_no_export_is_said_so(text: str, says: str) -> None:
    with pytest.raises(InputError, match=says) as caught:
        read_plain(text.encode(), "drawer.json")
    assert caught.value.fix


# ------------------------------------------------------------------------------------------------------------ picture


def test_the_largest_free_rectangle_and_the_picture_at_true_size() -> None:
    sheet = owned(BOTTOM, NOTCH)
    assert largest_free(sheet) == pytest.approx((0, 60, 148, 180))
    (page,) = sheet_page(sheet).pages
    assert page.width == 148 + 40 and page.height > 210


# ------------------------------------------------------------------------------------------------------------- age


@pytest.mark.parametrize(
    ("words", "date"),
    [
        ("March 2026", (2026, 3, 0)),
        ("14 March 2026", (2026, 3, 14)),
        ("Mar 3rd, 2026", (2026, 3, 3)),
        ("2026-03-14", (2026, 3, 14)),
        ("2026-03", (2026, 3, 0)),
        ("3/2026", (2026, 3, 0)),
        ("14.3.2026", (2026, 0, 0)),
        ("2025, at the fair", (2025, 0, 0)),
        ("2026-13", (2026, 0, 0)),
        ("maybe 2024", (2024, 0, 0)),
        ("spring, at the fair", None),
        ("2024 or 2025", None),
        ("packet 120263", None),
        ("", None),
    ],
)
def test_when_a_sheet_was_bought_is_read_from_its_owners_words(words: str, date: tuple[int, int, int] | None) -> None:
    assert bought_on(words) == date


def test_of_sheets_alike_the_one_bought_first_is_taken_whenever_it_was_put_in() -> None:
    words = ["March 2026", "no idea", "2024-11", "5 March 2026", "2024-11"]
    sheets = [OwnedSheet(n, replace(A5, name=f"white {n}", bought=bought)) for n, bought in enumerate(words, start=1)]
    taken = []
    while sheets:
        chosen = choose(sheets, 1.0, lambda _: True)
        assert chosen is not None
        taken.append(chosen[0].number)
        sheets.remove(chosen[0])
    assert taken == [3, 5, 1, 4, 2]
