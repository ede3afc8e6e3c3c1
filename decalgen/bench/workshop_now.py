"""What the user owns, as it is now: the film drawer, the printer profiles, and the prints in a folder.

Read again only where a file changed: the card asks for it with every answer of the page.
"""

from __future__ import annotations

from contextlib import suppress
from functools import lru_cache
from pathlib import Path

from decalgen.core.errors import DecalgenError
from decalgen.core.small_files import is_ordinary
from decalgen.sheet.positions import Saved, read_positions
from decalgen.workshop.drawer import Drawer, OwnedSheet, drawer_file
from decalgen.workshop.profiles import Kept, folder, kept

Mark = tuple[int, ...] | None
COUNTER = slice(24, 28)
"""The file change counter of a database ("Database File Format", sqlite.org, 1.3.7): it counts every change, whatever
the clock of the drive can tell apart."""
HEAD = 28
MOST_PRINTS = 200
"""Of so many files of positions in a folder a sheet is looked for."""


def sheets_now() -> tuple[OwnedSheet, ...]:
    """All sheets of the drawer. Raises what `Drawer.sheets` raises."""
    path = drawer_file()
    return _sheets(path, mark(path), _counter(path))


def profiles_now() -> tuple[Kept, ...]:
    """All kept profiles. Raises what `profiles.kept` raises."""
    here = folder()
    try:
        files = tuple((path.name, mark(path)) for path in sorted(here.glob("*.yaml")))
    except OSError:
        files = ()
    return _profiles(here, files)


def prints_now(beside: Path) -> tuple[Saved, ...]:
    """The positions of every proof in a folder, by file name; what is none, or is damaged, is left out."""
    found: list[Saved] = []
    with suppress(OSError):
        for path in sorted(beside.glob("*.positions.json"))[:MOST_PRINTS]:
            with suppress(DecalgenError):
                found.append(_print(path, mark(path)))
    return tuple(found)


@lru_cache(maxsize=2)
def _sheets(path: Path, mark: Mark, counter: bytes) -> tuple[OwnedSheet, ...]:
    return Drawer(path).sheets()


@lru_cache(maxsize=2)
def _profiles(here: Path, files: tuple[tuple[str, Mark], ...]) -> tuple[Kept, ...]:
    return kept()


@lru_cache(maxsize=MOST_PRINTS)
def _print(path: Path, mark: Mark) -> Saved:
    return read_positions(path)


def mark(path: Path) -> Mark:
    """What changes with a file; None where there is none."""
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_mtime_ns, found.st_size, found.st_ino


def _counter(path: Path) -> bytes:
    if not is_ordinary(path):
        return b""
    try:
        with path.open("rb") as file:
            return file.read(HEAD)[COUNTER]
    except OSError:
        return b""
