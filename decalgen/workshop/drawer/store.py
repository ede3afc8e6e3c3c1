"""Where the drawer is kept: one SQLite file in the user's data folder. Every change is one transaction.

The rollback journal is left at its default with full synchronisation, so that a program killed half-way leaves the
drawer as it was before; two programs wait for each other, then the later one is told.
"""

from __future__ import annotations

import json
import os
import sqlite3
import sys
from collections.abc import Iterator, Mapping, Sequence
from contextlib import closing, contextmanager
from dataclasses import astuple, replace
from itertools import chain
from pathlib import Path

from decalgen.core.command_line import quoted
from decalgen.core.errors import InputError, OutputError, did_you_mean
from decalgen.core.small_files import is_ordinary
from decalgen.workshop.drawer.model import (
    DrawerEntry,
    DrawerError,
    OwnedSheet,
    PrintedMark,
    Ring,
    UsedPart,
    Why,
    checked,
    part,
    shifted,
)
from decalgen.workshop.drawer.rows import (
    APPLICATION,
    VERSION,
    check_known,
    damaged,
    emptied,
    read_sheets,
    told,
    version_of,
)

PATIENCE = 5.0
"""How long to wait for another program that is writing, s."""
MOST_SHEETS = 2_000
HEADER = 100
"""No database is smaller, bytes ("Database File Format", sqlite.org, 1.3: the header of a database)."""
ROUND = 100_000
MOST_ROUNDS = 2_000
"""So many times so many steps of the database's own machine, a hundred times what a full drawer takes."""
NAMED = 6
"""Of so many sheets or fewer a message names each."""

TABLES = (
    """CREATE TABLE sheet (number INTEGER PRIMARY KEY AUTOINCREMENT, name TEXT NOT NULL UNIQUE COLLATE NOCASE,
    kind TEXT NOT NULL, process TEXT NOT NULL, width REAL NOT NULL, height REAL NOT NULL, adhesive INTEGER NOT NULL,
    bought TEXT NOT NULL, leads TEXT NOT NULL, note TEXT NOT NULL)""",
    """CREATE TABLE part (sheet INTEGER NOT NULL REFERENCES sheet(number), step INTEGER NOT NULL, why TEXT NOT NULL,
    about TEXT NOT NULL, layout TEXT NOT NULL, points TEXT NOT NULL)""",
)
SINCE_2 = (
    "ALTER TABLE sheet ADD COLUMN price TEXT NOT NULL DEFAULT ''",
    "CREATE TABLE mark (sheet INTEGER NOT NULL REFERENCES sheet(number), step INTEGER NOT NULL, x REAL NOT NULL, "
    "y REAL NOT NULL)",
)
SINCE_3 = ("ALTER TABLE sheet ADD COLUMN colour TEXT NOT NULL DEFAULT ''",)
SINCE_4 = ("ALTER TABLE sheet ADD COLUMN opacity REAL",)
STEPS = ((1, TABLES), (2, SINCE_2), (3, SINCE_3), (4, SINCE_4))
"""What makes a database one of a form, from that of the form before."""


def data_folder(environment: Mapping[str, str] | None = None, platform: str = sys.platform) -> Path:
    """The folder for the user's data, as the system wants it; the variable DECALGEN_DATA names another.

    Windows: %APPDATA%. macOS: ~/Library/Application Support. Elsewhere XDG Base Directory Specification 0.8:
    $XDG_DATA_HOME if it is an absolute path, else ~/.local/share.
    """
    known = os.environ if environment is None else environment
    if known.get("DECALGEN_DATA"):
        return Path(known["DECALGEN_DATA"])
    home = Path(known.get("HOME") or known.get("USERPROFILE") or Path.home())
    if platform == "win32":
        return Path(known.get("APPDATA") or home / "AppData" / "Roaming") / "decalgen"
    if platform == "darwin":
        return home / "Library" / "Application Support" / "decalgen"
    named = known.get("XDG_DATA_HOME", "")
    return (Path(named) if named.startswith("/") else home / ".local" / "share") / "decalgen"


def drawer_file() -> Path:
    """The drawer's file in the user's data folder."""
    return data_folder() / "film-drawer.sqlite"


class Drawer:
    """The drawer in a file, which need not exist yet: it is made with the first sheet.

    Every method opens the file, does one thing and closes it. Raises InputError for a file that is damaged, newer or
    no drawer, OutputError where it cannot be written, DrawerError for what is out of range in it.
    """

    def __init__(self, path: Path | None = None, patience: float = PATIENCE) -> None:
        self.path = drawer_file() if path is None else path
        self.patience = patience

    def sheets(self) -> tuple[OwnedSheet, ...]:
        """All sheets, in the order they came in."""
        try:
            if not self.path.exists():
                return ()
        except OSError as error:
            raise InputError(
                f"the film drawer '{self.path}' cannot be reached: {(error.strerror or str(error)).lower()}",
                fix="name a folder of your own in the variable DECALGEN_DATA",
            ) from None
        with self._open() as base:
            # One look at both tables: another program may change them in between.
            base.execute("BEGIN")
            return read_sheets(base, self.path)

    def sheet(self, which: str) -> OwnedSheet:
        """The sheet of that name or number. Raises DrawerError."""
        return find(self.sheets(), which)

    def add(self, entries: Sequence[DrawerEntry], used: Sequence[Sequence[Ring]] = ()) -> tuple[OwnedSheet, ...]:
        """Puts sheets in, all or none, each with the parts already cut off it."""
        with self._change() as base:
            before = len(read_sheets(base, self.path))
            if before + len(entries) > MOST_SHEETS:
                raise DrawerError(f"the drawer would hold {before + len(entries)} sheets", fix=f"keep to {MOST_SHEETS}")
            for n, entry in enumerate(entries):
                rings = used[n] if used else ()
                _insert(base, entry, [part(entry, ring, "cut off", 1, about="before") for ring in rings])
            return read_sheets(base, self.path)[before:]

    def take(
        self,
        which: str,
        rings: Sequence[Ring],
        why: Why,
        *,
        about: str = "",
        layout: str = "",
        marks: Sequence[tuple[float, float]] = (),
    ) -> OwnedSheet:
        """Takes parts off a sheet in one step, and keeps which registration marks were printed. A layout is taken off
        a sheet once."""
        self.sheet(which)  # An unknown sheet makes no new drawer.
        with self._change() as base:
            sheet = find(read_sheets(base, self.path), which)
            if layout and any(one.layout == layout for one in sheet.parts):
                raise DrawerError(
                    f"this print was already taken off '{sheet.name}'",
                    fix=f"if that was a mistake: `decalgen film back {quoted(sheet.name)}`",
                )
            new = [part(sheet.entry, ring, why, sheet.steps + 1, about=about, layout=layout) for ring in rings]
            if why == "printed":
                _not_twice(sheet, new)
            printed = [PrintedMark(sheet.steps + 1, round(x, 4), round(y, 4)) for x, y in marks]
            _insert_parts(base, sheet.number, new)
            _insert_marks(base, sheet.number, printed)
            return replace(sheet, parts=(*sheet.parts, *new), marks=(*sheet.marks, *printed))

    def shift(self, which: str, x: float, y: float) -> OwnedSheet:
        """Moves what was printed last on a sheet to where it really lies, by x, y in mm."""
        self.sheet(which)
        with self._change() as base:
            sheet = find(read_sheets(base, self.path), which)
            step, parts, marks = shifted(sheet, x, y)
            base.execute("DELETE FROM part WHERE sheet = ? AND step = ?", (sheet.number, step))
            base.execute("DELETE FROM mark WHERE sheet = ? AND step = ?", (sheet.number, step))
            _insert_parts(base, sheet.number, parts)
            _insert_marks(base, sheet.number, marks)
            return find(read_sheets(base, self.path), sheet.name)

    def back(self, which: str) -> tuple[OwnedSheet, tuple[UsedPart, ...]]:
        """Undoes the last step on a sheet: the sheet as it is now, and the parts given back."""
        self.sheet(which)  # An unknown sheet makes no new drawer.
        with self._change() as base:
            sheet = find(read_sheets(base, self.path), which)
            if not sheet.parts:
                raise DrawerError(f"nothing was taken off '{sheet.name}'", fix="see `decalgen film list`")
            base.execute("DELETE FROM part WHERE sheet = ? AND step = ?", (sheet.number, sheet.steps))
            base.execute("DELETE FROM mark WHERE sheet = ? AND step = ?", (sheet.number, sheet.steps))
            last = tuple(one for one in sheet.parts if one.step == sheet.steps)
            before = tuple(one for one in sheet.parts if one.step < sheet.steps)
            marks = tuple(one for one in sheet.marks if one.step < sheet.steps)
            return replace(sheet, parts=before, marks=marks), last

    def merge(self, sheets: Sequence[OwnedSheet]) -> tuple[OwnedSheet, ...]:
        """Puts sheets in with all that was done to them, all or none; those that are there just so are left alone.

        Raises DrawerError where a sheet of the same name is different.
        """
        with self._change() as base:
            here = {one.name.casefold(): one for one in read_sheets(base, self.path)}
            new = []
            for sheet in sheets:
                old = here.get(sheet.name.casefold())
                if old is None:
                    _insert(base, sheet.entry, sheet.parts, sheet.marks)
                    new.append(sheet)
                elif (old.entry, old.parts, old.marks) != (sheet.entry, sheet.parts, sheet.marks):
                    raise DrawerError(
                        f"a sheet called '{old.name}' is in the drawer already, and is not the same",
                        fix="give it another name in the file, or move the drawer's file aside to start afresh: "
                        f"'{self.path}'",
                    )
            return tuple(new)

    @contextmanager
    def _open(self) -> Iterator[sqlite3.Connection]:
        try:
            with closing(self._connect()) as base:
                check_known(base, self.path)
                yield base
        except UnicodeDecodeError:
            # What a damaged file is called in the database's own message may be no text at all.
            raise damaged(self.path) from None
        except sqlite3.Error as error:
            raise told(error, self.path) from None

    @contextmanager
    def _change(self) -> Iterator[sqlite3.Connection]:
        """A transaction: all of it is kept, or, after any mistake, nothing."""
        self._make_file()
        with self._open() as base:
            base.execute("BEGIN IMMEDIATE")
            try:
                # Looked at now that nobody else can write: two programs may both have found an older file.
                _bring_up(base)
                yield base
            except BaseException:
                if base.in_transaction:
                    base.execute("ROLLBACK")
                raise
            base.execute("COMMIT")

    def _connect(self) -> sqlite3.Connection:
        if self.path.is_dir():
            raise InputError(f"'{self.path}' is a folder, not a film drawer", fix="move the folder away")
        if self.path.exists() and not is_ordinary(self.path):
            raise InputError(f"'{self.path}' is a device or a pipe, not a film drawer", fix="move it away")
        # Looked at before the database does, which takes a file of no byte or one for a new one, and throws away the
        # journal beside it.
        if self.path.exists() and (size := self.path.stat().st_size) < HEADER:
            raise damaged(self.path) if size else emptied(self.path)
        base = sqlite3.connect(self.path, timeout=self.patience, isolation_level=None)
        # A damaged file may send a search in circles.
        left = iter(range(MOST_ROUNDS))
        base.set_progress_handler(lambda: next(left, None) is None, ROUND)
        base.execute("PRAGMA foreign_keys = ON")
        base.execute("PRAGMA synchronous = FULL")
        return base

    def _make_file(self) -> None:
        """A drawer that is not there yet, with its tables: an empty file is never one, however a run was stopped."""
        from decalgen.core.files import make_folder, write_first

        try:
            make_folder(self.path.parent)
            if not self.path.exists():
                write_first(Path(os.path.realpath(self.path)), _new_file())
        except OutputError as error:
            raise OutputError(
                error.message, fix="name a folder you may write to in the variable DECALGEN_DATA"
            ) from None


def _new_file() -> bytes:
    """The file of a drawer without a sheet."""
    with closing(sqlite3.connect(":memory:", isolation_level=None)) as base:
        _bring_up(base)
        return base.serialize()


def _bring_up(base: sqlite3.Connection) -> None:
    """Makes a database of an earlier form, or an empty one, one of this form."""
    version = version_of(base)
    if version < VERSION:
        for statement in chain.from_iterable(made for form, made in STEPS if version < form):
            base.execute(statement)
        base.execute(f"PRAGMA application_id = {APPLICATION}")
        base.execute(f"PRAGMA user_version = {VERSION}")


def find(sheets: Sequence[OwnedSheet], which: str) -> OwnedSheet:
    """The sheet of that name or number. Raises DrawerError with the nearest name."""
    for sheet in sheets:
        if which.strip().casefold() in (sheet.name.casefold(), str(sheet.number)):
            return sheet
    if not sheets:
        raise DrawerError("the film drawer is empty", fix='put a sheet in: `decalgen film add "white A5"`')
    # A name may be typed without its number, or a drawer be too full for a list of names to be of help.
    names = [s.name for s in sheets]
    alike = [name for name in names if name.casefold().startswith(which.strip().casefold())] if which.strip() else []
    fix = did_you_mean(which, names)
    if alike and len(alike) <= NAMED:
        fix = "say which: " + ", ".join(f"'{name}'" for name in alike)
    elif alike or (len(names) > NAMED and not fix.startswith("did")):
        fix = "`decalgen film list` shows their names and numbers; either will do"
    raise DrawerError(f"there is no sheet '{which}' in the drawer", fix=fix)


def _not_twice(sheet: OwnedSheet, new: Sequence[UsedPart]) -> None:
    over = max((one.polygon.intersection(sheet.gone).area for one in new), default=0.0)
    if over > 1.0:
        raise DrawerError(
            f"{over:.0f} mm² of this print lie where '{sheet.name}' is used already: it was arranged for another "
            "sheet, or before something else was taken off",
            fix=f"look at it with `decalgen film show {quoted(sheet.name)}`",
        )


def _insert(
    base: sqlite3.Connection, entry: DrawerEntry, parts: Sequence[UsedPart], marks: Sequence[PrintedMark] = ()
) -> None:
    values = astuple(checked(entry))
    try:
        done = base.execute(
            "INSERT INTO sheet (name, kind, process, width, height, adhesive, bought, leads, note, price, colour, "
            "opacity) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
            values,
        )
    except sqlite3.IntegrityError:
        raise DrawerError(
            f"a sheet called '{entry.name}' is in the drawer already", fix="choose another with `--name`"
        ) from None
    _insert_parts(base, int(done.lastrowid or 0), parts)
    _insert_marks(base, int(done.lastrowid or 0), marks)


def _insert_marks(base: sqlite3.Connection, number: int, marks: Sequence[PrintedMark]) -> None:
    rows = [(number, one.step, one.x, one.y) for one in marks]
    base.executemany("INSERT INTO mark (sheet, step, x, y) VALUES (?, ?, ?, ?)", rows)


def _insert_parts(base: sqlite3.Connection, number: int, parts: Sequence[UsedPart]) -> None:
    for one in parts:
        row = (number, one.step, one.why, one.about, one.layout, json.dumps(one.points))
        base.execute("INSERT INTO part (sheet, step, why, about, layout, points) VALUES (?, ?, ?, ?, ?, ?)", row)
