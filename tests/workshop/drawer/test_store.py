"""The drawer's file: what goes in comes out, and a kill or a second program costs nothing."""

from __future__ import annotations

import contextlib
import subprocess
import sys
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from threading import Timer

import pytest

from decalgen.core.errors import InputError
from decalgen.workshop.drawer import Drawer, DrawerError, rectangle
from tests.helpers.drawers import A5, BOTTOM, HOLE, TOP


@pytest.fixture
def drawer(tmp_path: Path) -> Drawer:
    return Drawer(tmp_path / "data" / "film-drawer.sqlite", patience=0.2)


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


@pytest.mark.parametrize(
    ("count", "which", "fix"),
    [
        (3, "white A5", "say which: 'white A5 1', 'white A5 2', 'white A5 3'"),
        (3, "whit A5 2", "did you mean 'white A5 2'?"),
        (3, "Kiste", "use one of: white A5 1, white A5 2, white A5 3"),
        (40, "white A5", "`decalgen film list` shows their names and numbers; either will do"),
        (40, "Kiste", "`decalgen film list` shows their names and numbers; either will do"),
        (40, "whit A5 2", "did you mean 'white A5 2'?"),
        (3, " ", "use one of: white A5 1, white A5 2, white A5 3"),
    ],
)
def test_a_name_that_is_none_is_answered_with_those_there_are(drawer: Drawer, count: int, which: str, fix: str) -> None:
    drawer.add([replace(A5, name=f"white A5 {n}") for n in range(1, count + 1)])
    with pytest.raises(DrawerError, match="there is no sheet") as caught:
        drawer.sheet(which)
    assert caught.value.fix == fix


def test_sheets_go_in_all_or_none(drawer: Drawer) -> None:
    drawer.add([A5])
    with pytest.raises(DrawerError, match="'WHITE a5 1' is in the drawer already"):
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
from decalgen.core.errors import InputError
from decalgen.workshop.drawer import Drawer, DrawerEntry as Entry, rectangle
from decalgen.workshop.drawer.store import _insert_parts
from decalgen.workshop.drawer import part
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


def test_a_new_drawer_is_never_an_empty_file(drawer: Drawer) -> None:
    """Stopped before anything is kept, there is no file or a drawer with its tables: 0 bytes always mean a loss."""
    drawer.path.parent.mkdir(parents=True)
    with other_program("hold", drawer.path):
        assert drawer.path.stat().st_size > 0
    with pytest.raises(DrawerError):
        Drawer(drawer.path.with_name("other.sqlite")).add([A5, A5])
    assert drawer.path.with_name("other.sqlite").stat().st_size > 0
    assert {one.name for one in drawer.path.parent.iterdir()} <= {
        "film-drawer.sqlite",
        "film-drawer.sqlite-journal",
        "other.sqlite",
    }


@pytest.mark.parametrize("action", ["look", "add", "take", "merge"])
def test_a_drawer_cut_to_nothing_is_told_as_damaged_and_left_alone(drawer: Drawer, action: str) -> None:
    drawer.add([A5], [[BOTTOM]])
    sheets = drawer.sheets()
    drawer.path.write_bytes(b"")
    # What SQLite would need to bring the sheets back, and deletes beside a file it takes for a new one.
    journal = drawer.path.with_name(drawer.path.name + "-journal")
    journal.write_bytes(b"what is left")
    actions: dict[str, Callable[[], object]] = {
        "look": drawer.sheets,
        "add": lambda: drawer.add([A5]),
        "take": lambda: drawer.take("1", [HOLE], "cut off"),
        "merge": lambda: drawer.merge(sheets),
    }
    with pytest.raises(InputError, match=r"damaged: the file is empty \(0 bytes\)") as caught:
        actions[action]()
    assert "move the file aside" in caught.value.fix and "`decalgen film import FILE`" in caught.value.fix
    assert "if you never put a sheet in" in caught.value.fix and "delete the file" in caught.value.fix
    assert (drawer.path.read_bytes(), journal.read_bytes()) == (b"", b"what is left")
    drawer.path.unlink()
    journal.unlink()
    assert drawer.sheets() == ()
    assert drawer.merge(sheets) and drawer.sheets() == sheets


@pytest.mark.parametrize("kept", [1, 15, 16, 99, 100, 511, 512, 4095, 4096, 8192, 12288, -4096, -1])
def test_a_drawer_cut_short_anywhere_is_told_as_damaged(drawer: Drawer, kept: int) -> None:
    drawer.add([replace(A5, name=f"sheet {n}", note="x" * 200) for n in range(60)])
    data = drawer.path.read_bytes()
    assert len(data) > 5 * 4096
    drawer.path.write_bytes(data[:kept])
    with pytest.raises(InputError, match="is damaged"):
        drawer.sheets()
    drawer.path.write_bytes(bytes(4096))
    with pytest.raises(InputError, match="is damaged"):
        drawer.add([A5])


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
