"""Copies of what was dropped on the page, in the job's folder: no file there is ever written over."""

from __future__ import annotations

import re
from pathlib import Path

from decalgen.core.errors import DecalgenError
from decalgen.core.files import write_first
from decalgen.core.small_files import read_small
from decalgen.job.edits import EditError

MOST_ALIKE = 99
LONGEST_NAME = 80
_UNFIT = re.compile(r"[^\w .()+-]+")
DEVICES = re.compile(r"(con|prn|aux|nul|com\d|lpt\d)(\..*)?", re.IGNORECASE)
"""Names that stand for devices on some systems, whatever their ending."""


def keep_beside(folder: Path, name: str, data: bytes) -> tuple[Path, bool]:
    """The file in a folder, and whether it was made: one of the same name and bytes is that one; where another has its
    name, it gets a number. Raises EditError where there are too many of that name, OutputError."""
    stem, ending = Path(name).stem, Path(name).suffix
    for number in range(1, MOST_ALIKE + 1):
        path = folder / (name if number == 1 else f"{stem}-{number}{ending}")
        if path.is_symlink():
            continue  # Wherever it leads, it is not followed.
        if write_first(path, data):
            return path, True
        try:
            if read_small(path, len(data)) == data:
                return path, False
        except DecalgenError:
            continue  # Larger, or none to be read: another file.
    raise EditError(f"there are {MOST_ALIKE} files like '{name}' here already", fix="give yours another name")


def plain_name(name: str) -> str:
    """A file's name without what leads to a folder, hides a file or is no letter."""
    bare = _UNFIT.sub("-", Path(name.replace("\\", "/")).name).strip(" .-_")
    if DEVICES.fullmatch(bare):
        bare = f"picture-{bare}"
    stem, dot, ending = bare.rpartition(".")
    return f"{stem[: LONGEST_NAME - len(ending)]}{dot}{ending}" if stem else bare[:LONGEST_NAME] or "picture"
