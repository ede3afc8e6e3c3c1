"""What the drawer's database holds, read back: nothing in it is trusted, whatever wrote it."""

from __future__ import annotations

import json
import sqlite3
from pathlib import Path

from decalgen.core.errors import InputError, OutputError
from decalgen.workshop.drawer.model import (
    DrawerEntry,
    DrawerError,
    OwnedSheet,
    PrintedMark,
    UsedPart,
    checked,
    on_sheet,
    part,
)

VERSION = 4
"""Of the file. A file of a higher version is refused; what it holds is not understood here."""
APPLICATION = 0x44474644
"""Marks the file as a film drawer ("DGFD"), in SQLite's own field for that."""
MOST_STEPS = 1_000_000


def version_of(base: sqlite3.Connection) -> int:
    """The form of a database; 0 for an empty one."""
    return int(base.execute("PRAGMA user_version").fetchone()[0])


def check_known(base: sqlite3.Connection, path: Path) -> None:
    """Raises InputError for a file that is no drawer, newer, or damaged. A database without tables is new."""
    version = version_of(base)
    application = int(base.execute("PRAGMA application_id").fetchone()[0])
    tables = int(base.execute("SELECT count(*) FROM sqlite_master").fetchone()[0])
    if (tables or version) and application != APPLICATION:
        raise InputError(f"'{path}' is a database, but not a film drawer", fix="move the file aside")
    if version > VERSION:
        raise InputError(
            f"the film drawer '{path}' was written by a newer decalgen (form {version}; this one knows {VERSION})",
            fix="install the newer decalgen; nothing was changed",
        )
    if base.execute("PRAGMA quick_check(1)").fetchone()[0] != "ok":
        raise damaged(path)


def read_sheets(base: sqlite3.Connection, path: Path) -> tuple[OwnedSheet, ...]:
    """All sheets, in the order they came in. Raises InputError for what cannot be a drawer's."""
    version = version_of(base)
    if not version:
        return ()
    price = "price" if version >= 2 else "''"
    shade = "colour" if version >= 3 else "''"
    covers = "opacity" if version >= 4 else "NULL"
    try:
        rows = base.execute(
            f"SELECT number, name, kind, process, width, height, adhesive, bought, leads, note, {price}, {shade}, "
            f"{covers} FROM sheet ORDER BY number"
        ).fetchall()
        parts: dict[int, list[UsedPart]] = {}
        for number, step, why, about, layout, points in base.execute(
            "SELECT sheet, step, why, about, layout, points FROM part ORDER BY sheet, step, rowid"
        ):
            ring = tuple((float(x), float(y)) for x, y in json.loads(_text(points)))
            parts.setdefault(number, []).append(UsedPart(ring, why, _step(step), _text(about), _text(layout)))
        marks: dict[int, list[PrintedMark]] = {}
        if version >= 2:
            for number, step, x, y in base.execute("SELECT sheet, step, x, y FROM mark ORDER BY sheet, step, rowid"):
                marks.setdefault(number, []).append(PrintedMark(_step(step), float(x), float(y)))
        found = []
        for number, name, kind, process, width, height, adhesive, *texts, opacity in rows:
            for one in (name, kind, process, *texts):
                _text(one)
            bought, leads, note, cost, colour = texts
            size = (float(width), float(height))
            covering = None if opacity is None else float(opacity)
            entry = DrawerEntry(name, kind, process, *size, bool(adhesive), bought, leads, note, cost, colour, covering)
            found.append(OwnedSheet(number, checked(entry), tuple(parts.get(number, ())), tuple(marks.get(number, ()))))
        for sheet in found:
            for one in sheet.parts:
                if one.why not in ("printed", "cut off"):
                    raise ValueError("a part is none")
                part(sheet.entry, one.points, one.why, one.step)
            if not all(on_sheet(sheet.entry, one) for one in sheet.marks):
                raise ValueError("a mark is none")
    except (ValueError, TypeError, OverflowError, RecursionError, DrawerError):
        raise damaged(path) from None
    return tuple(found)


def _text(value: object) -> str:
    """A text out of the database, which keeps whatever it is given. Raises TypeError for anything else."""
    if not isinstance(value, str):
        raise TypeError("a text is none")
    return value


def _step(value: object) -> int:
    """A step out of the database. Raises ValueError for what is none."""
    if not isinstance(value, int) or not 1 <= value <= MOST_STEPS:
        raise ValueError("a step is none")
    return value


def damaged(path: Path) -> InputError:
    """What is said of a drawer that cannot be read."""
    return InputError(
        f"the film drawer '{path}' is damaged",
        fix="move the file aside and bring the last export back with `decalgen film import FILE`",
    )


def emptied(path: Path) -> InputError:
    """What is said of a file of 0 bytes: a new drawer appears with its tables in it, so something was lost."""
    return InputError(
        f"the film drawer '{path}' is damaged: the file is empty (0 bytes)",
        fix="move the file aside and bring the last export back with `decalgen film import FILE`; if you never put a "
        "sheet in, a first run was stopped half-way: delete the file",
    )


def told(error: sqlite3.Error, path: Path) -> InputError | OutputError | DrawerError:
    """What a fault of the database means to the user: by its code, since its words may quote the file."""
    code = getattr(error, "sqlite_errorcode", sqlite3.SQLITE_CORRUPT) & 0xFF
    if code in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
        return DrawerError(
            "another program is writing to the film drawer",
            fix="wait until it is done, then try again; nothing is lost",
        )
    if code in (sqlite3.SQLITE_READONLY, sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_PERM):
        return OutputError(
            f"the film drawer '{path}' cannot be written or opened",
            fix="make its folder writable, or name another in the variable DECALGEN_DATA",
        )
    if code in (sqlite3.SQLITE_FULL, sqlite3.SQLITE_IOERR):
        why = str(error).lower()
        return OutputError(f"the film drawer '{path}' cannot be written: {why}", fix="make room on the disk")
    return damaged(path)
