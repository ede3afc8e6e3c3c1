"""Opening the files of a job: only ordinary ones, only small ones, only text. The one place that opens any."""

from __future__ import annotations

import os
import stat
from difflib import get_close_matches
from pathlib import Path

from decalgen.core.errors import InputError
from decalgen.job.nodes import Source

MOST_BYTES = 1_000_000


def read_source(path: Path, shown: str | None = None) -> Source:
    """A text file by lines. Raises `InputError` for whatever is not a small UTF-8 text file.

    Devices and pipes are never opened: opening one can hang or do something.
    """
    name = shown if shown is not None else str(path)
    data = _bytes(path, name)
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        raise InputError(f"{name} is UTF-16, not UTF-8", fix="save it as UTF-8 in your editor")
    if b"\x00" in data:
        raise InputError(f"{name} is not a text file", fix="name the job file, a text ending in .yaml")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise InputError(f"{name} is not UTF-8 text: see line {line}", fix="save it as UTF-8 in your editor") from None
    return Source(name, tuple(text.replace("\r\n", "\n").replace("\r", "\n").split("\n")))


def _bytes(path: Path, name: str) -> bytes:
    try:
        state = path.stat()
    except (FileNotFoundError, NotADirectoryError):
        raise InputError(f"there is no file {name}", fix=_near(path)) from None
    except (OSError, ValueError) as error:
        raise InputError(f"{name} cannot be read: {_why(error)}", fix="check its name and who may read it") from None
    if stat.S_ISDIR(state.st_mode):
        raise InputError(f"{name} is a folder", fix=_inside(path))
    if not stat.S_ISREG(state.st_mode):
        raise InputError(f"{name} is a device or a pipe, not a file", fix="name a job file")
    if state.st_size > MOST_BYTES:
        size = state.st_size / 1e6
        raise InputError(f"{name} is too large: {size:.1f} MB, at most 1 MB is read", fix="is it a job file?")
    try:
        with path.open("rb") as file:
            return file.read(MOST_BYTES + 1)
    except OSError as error:
        raise InputError(f"{name} cannot be read: {_why(error)}", fix="check who may read it") from None


def _why(error: Exception) -> str:
    return (getattr(error, "strerror", None) or str(error)).lower()


def _names(folder: Path) -> list[str]:
    """The job files of a folder, as far as they can be seen."""
    try:
        with os.scandir(folder) as entries:
            return sorted(
                e.name for _, e in zip(range(2000), entries, strict=False) if e.name.endswith((".yaml", ".yml"))
            )
    except OSError:
        return []


def _near(path: Path) -> str:
    folder = path.parent
    if not folder.is_dir():
        return f"there is no folder {folder} either"
    near = get_close_matches(path.name, _names(folder), n=1, cutoff=0.5)
    return f"did you mean '{folder / near[0]}'?" if near else "check its name and folder"


def _inside(path: Path) -> str:
    names = _names(path)
    return f"name a file in it, such as {path / names[0]}" if names else "name a job file"
