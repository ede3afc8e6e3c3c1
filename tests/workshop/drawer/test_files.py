"""Damaged and foreign drawers, folders, and the plain file."""

from __future__ import annotations

import contextlib
import json
import os
import sqlite3
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from decalgen.core.errors import InputError, OutputError
from decalgen.core.visible import visible
from decalgen.workshop.drawer import (
    Drawer,
    DrawerEntry,
    DrawerError,
    OwnedSheet,
    UsedPart,
    data_folder,
    part,
    rectangle,
)
from decalgen.workshop.drawer.plain import read_plain, write_plain
from tests.helpers.drawers import A5, BOTTOM, HOLE, spoil


@pytest.fixture
def drawer(tmp_path: Path) -> Drawer:
    return Drawer(tmp_path / "data" / "film-drawer.sqlite", patience=0.2)


# ---------------------------------------------------------------------------------------------------------- bad files


def test_a_drawer_of_a_newer_version_is_refused_and_untouched(drawer: Drawer) -> None:
    drawer.add([A5])
    spoil(drawer.path, "PRAGMA user_version = 5")
    before = drawer.path.read_bytes()
    for act in (drawer.sheets, lambda: drawer.add([replace(A5, name="n")]), lambda: drawer.back("1")):
        with pytest.raises(InputError, match="written by a newer decalgen") as caught:
            act()
        assert "install the newer decalgen" in caught.value.fix
    assert drawer.path.read_bytes() == before


SPOILT = [
    "UPDATE sheet SET name = x'00ff'",
    "UPDATE sheet SET name = CAST(x'ff' AS TEXT)",
    "UPDATE sheet SET name = char(27) || ']0;owned'",
    "UPDATE sheet SET bought = x'37'",
    "UPDATE sheet SET note = x'1b'",
    "UPDATE sheet SET price = 3.5",
    "UPDATE sheet SET colour = x'00'",
    "UPDATE sheet SET leads = 3",
    "UPDATE sheet SET width = 'wide'",
    "UPDATE sheet SET width = 9e999",
    "UPDATE sheet SET height = x'00'",
    "UPDATE part SET points = 3",
    "UPDATE part SET points = x'5b5d'",
    "UPDATE part SET points = '[[1e999, 2], [3, 4], [5, 6]]'",
    "UPDATE part SET points = replace(hex(zeroblob(50000)), '0', '[')",
    "UPDATE part SET step = 'one'",
    f"UPDATE part SET points = '[[1{'0' * 400}, 2], [3, 4], [5, 6]]'",
    "UPDATE part SET step = 9e999",
    "UPDATE part SET step = 0",
    "UPDATE part SET why = 'eaten'",
    "UPDATE part SET about = x'00'",
    "ALTER TABLE part DROP COLUMN points",
    "DROP TABLE part",
    "ALTER TABLE sheet RENAME COLUMN name TO busy",
    "PRAGMA writable_schema = 1; UPDATE sqlite_master SET sql = 'CREATE TABLE full (locked readonly)'",
    "DROP TABLE mark; CREATE VIEW mark AS WITH RECURSIVE n(x) AS (SELECT 1 UNION ALL SELECT 1 FROM n) "
    "SELECT x sheet, x step, x, x y FROM n WHERE x > 1",
]


@pytest.mark.parametrize("statement", SPOILT)
def test_whatever_stands_in_a_drawer_it_is_told_as_damaged(drawer: Drawer, statement: str) -> None:
    drawer.add([A5], [[BOTTOM]])
    base = sqlite3.connect(drawer.path)
    base.executescript(statement)
    base.close()
    with pytest.raises(InputError, match="is damaged") as caught:
        drawer.sheets()
    assert "film import" in caught.value.fix


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes")
def test_a_pipe_is_no_drawer(drawer: Drawer) -> None:
    drawer.path.parent.mkdir()
    os.mkfifo(drawer.path)
    for act in (drawer.sheets, lambda: drawer.add([A5])):
        with pytest.raises(InputError, match="is a device or a pipe"):
            act()


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
    with pytest.raises(InputError, match="not a film drawer"):
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


# ----------------------------------------------------------------------------------------------------- folders, files


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
    # What cannot be seen is refused where a text is typed, and here: never in a drawer.
    text = st.text(st.characters(codec="utf-8"), max_size=20).filter(lambda typed: visible(typed) == typed)
    found = []
    for number in range(1, draw(st.integers(0, 4)) + 1):
        kind, process = draw(st.sampled_from(["clear", "white"])), draw(st.sampled_from(["inkjet", "laser"]))
        entry = DrawerEntry(f"sheet no. {number}", kind, process, 148.0, 210.0, draw(st.booleans()), draw(text),
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
    with pytest.raises(DrawerError, match="'white A5 1' is in the drawer already, and is not the same"):
        drawer.merge(others)
    assert [s.name for s in drawer.sheets()] == ["white A5 1"]


def exported(**changes: object) -> str:
    tree = json.loads(write_plain((OwnedSheet(1, A5, (UsedPart(tuple(HOLE), "cut off", 1),)),)))
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
        ('{"form": "decalgen film drawer 5", "sheets": []}', "written by a newer version of decalgen"),
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
