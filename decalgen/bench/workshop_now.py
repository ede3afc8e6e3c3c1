"""What the user owns, as it is now: the film drawer, and the prints in a folder.

Read again only where a file changed: the card asks for it with every answer of the page.
"""

from __future__ import annotations

from contextlib import suppress
from functools import lru_cache
from pathlib import Path

from decalgen.core.errors import DecalgenError
from decalgen.core.small_files import signature
from decalgen.sheet.positions import Saved, read_positions
from decalgen.workshop.drawer import Drawer, OwnedSheet, drawer_file
from decalgen.workshop.profiles import folder

Mark = tuple[int, int, int] | None
MOST_PRINTS = 200
"""Of so many files of positions in a folder a sheet is looked for."""


def sheets_now() -> tuple[OwnedSheet, ...]:
    """All sheets of the drawer. Raises what `Drawer.sheets` raises."""
    path = drawer_file()
    return _sheets(path, signature(path))


def workshop_signature() -> tuple[Mark, Mark]:
    """What changes with the drawer, and with the folder of profiles: each change renames a file there."""
    return signature(drawer_file()), signature(folder())


def drawer_changed() -> None:
    """Has the drawer read again whatever its file's time says: some drives tell no two changes of a second apart."""
    _sheets.cache_clear()


def prints_now(beside: Path) -> tuple[Saved, ...]:
    """The positions of every proof in a folder, by file name; what is none, or is damaged, is left out."""
    found: list[Saved] = []
    with suppress(OSError):
        for path in sorted(beside.glob("*.positions.json"))[:MOST_PRINTS]:
            with suppress(DecalgenError):
                found.append(_print(path, signature(path)))
    return tuple(found)


@lru_cache(maxsize=2)
def _sheets(path: Path, mark: Mark) -> tuple[OwnedSheet, ...]:
    return Drawer(path).sheets()


@lru_cache(maxsize=MOST_PRINTS)
def _print(path: Path, mark: Mark) -> Saved:
    return read_positions(path)
