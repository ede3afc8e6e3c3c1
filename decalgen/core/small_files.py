"""Reading the files a user names: ordinary ones only, small ones only. The one place that opens any of them."""

from __future__ import annotations

import os
import stat
from collections.abc import Iterator
from pathlib import Path

from decalgen.core.errors import InputError
from decalgen.core.values import dataclass

Signature = tuple[int, int, int] | None
"""Of a file: when it was changed, its size, its place on the disk; None where there is none."""
CHUNK_BYTES = 1_000_000
MOST_NAMES = 2_000
"""So many names of a folder are looked at for one that was meant."""


@dataclass(frozen=True)
class Wanted:
    """What a reader wants, for its messages: ``fix`` says what to name instead, ``endings`` are those of such files,
    ``shown`` the path as messages show it (left out: the path in quotation marks)."""

    fix: str = ""
    endings: tuple[str, ...] = ()
    shown: str = ""


def read_small(path: Path, most: int, wanted: Wanted | None = None) -> bytes:
    """The bytes of a file, ``most`` of them at most; a link is followed to what it stands for.

    Devices and pipes are never opened: opening one can hang or do something. What becomes one between the look at it
    and the opening, or grows, is not waited for and not read on. Raises InputError for a file that is missing, no
    ordinary one, larger, or unreadable.
    """
    return b"".join(_chunks(path, most, wanted or Wanted()))


def signature(path: Path) -> Signature:
    """What changes with every change of a file, by its time, size and place on the disk; None where there is none."""
    try:
        found = path.stat()
    except (OSError, ValueError):
        return None
    return found.st_mtime_ns, found.st_size, found.st_ino


def sha256_of(path: Path, most: int) -> str:
    """The SHA-256 of such a file, without holding it in memory. Raises InputError as `read_small` does."""
    import hashlib

    total = hashlib.sha256()
    for part in _chunks(path, most, Wanted()):
        total.update(part)
    return total.hexdigest()


def _chunks(path: Path, most: int, wanted: Wanted) -> Iterator[bytes]:
    name = wanted.shown or f"'{path}'"
    try:
        state = path.stat()
    except (FileNotFoundError, NotADirectoryError):
        raise InputError(f"there is no file {name}", fix=_near(path, wanted)) from None
    except (OSError, ValueError) as error:
        raise InputError(f"{name} cannot be read: {_why(error)}", fix="check its name and who may read it") from None
    _check(state, path, most, wanted)
    try:
        # Not to wait is a matter of names that change under us; an ordinary file never waits.
        handle = os.open(path, os.O_RDONLY | _flag("O_NONBLOCK") | _flag("O_NOCTTY") | _flag("O_BINARY"))
    except OSError as error:
        raise InputError(f"{name} cannot be read: {_why(error)}", fix="check who may read it") from None
    try:
        _check(os.fstat(handle), path, most, wanted)
        left = most
        while part := os.read(handle, CHUNK_BYTES):
            left -= len(part)
            if left < 0:
                raise _too_large(name, "it has no end", most, wanted)
            yield part
    except OSError as error:
        raise InputError(f"{name} cannot be read: {_why(error)}", fix="check the disk it lies on") from None
    finally:
        os.close(handle)


def read_small_text(path: Path, most: int, wanted: Wanted | None = None) -> str:
    """The same of a text in UTF-8, its lines ended by ``\\n``. Raises InputError, for what is no such text too."""
    return read_as_written(path, most, wanted).removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n")


def read_as_written(path: Path, most: int, wanted: Wanted | None = None) -> str:
    """The same with its byte order mark and its own line ends, so that it can be written back as it was."""
    wanted = wanted or Wanted()
    name = wanted.shown or f"'{path}'"
    data = read_small(path, most, wanted)
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        raise InputError(f"{name} is UTF-16, not UTF-8", fix="save it as UTF-8 in your editor")
    if b"\x00" in data:
        raise InputError(f"{name} is not a text file", fix=wanted.fix or "check its name")
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise InputError(f"{name} is not UTF-8 text: see line {line}", fix="save it as UTF-8 in your editor") from None


def is_ordinary(path: Path) -> bool:
    """Whether a path is an ordinary file, or a link to one. Never raises."""
    try:
        return path.is_file()
    except (OSError, ValueError):
        return False


def _check(state: os.stat_result, path: Path, most: int, wanted: Wanted) -> None:
    """Raises InputError for whatever is no ordinary file of that size."""
    name = wanted.shown or f"'{path}'"
    if stat.S_ISDIR(state.st_mode):
        raise InputError(f"{name} is a folder", fix=_inside(path, wanted))
    if not stat.S_ISREG(state.st_mode):
        raise InputError(f"{name} is a device or a pipe, not a file", fix=wanted.fix or "name a file")
    if state.st_size > most:
        raise _too_large(name, _amount(state.st_size), most, wanted)


def _too_large(name: str, size: str, most: int, wanted: Wanted) -> InputError:
    return InputError(f"{name} is too large: {size}, at most {_size(most)}", fix=wanted.fix or "is it the right file?")


def _amount(count: int) -> str:
    """How large a file is, never less than it is: a little too much must not read as just enough."""
    if count < 1_000:
        return f"{count} bytes"
    return f"{-(-count // 100_000) / 10:.1f} MB" if count >= 1_000_000 else f"{-(-count // 1_000)} kB"


def _size(count: int) -> str:
    if count < 1_000:
        return f"{count} bytes are read"
    return (f"{count / 1e6:.3g} MB" if count >= 1_000_000 else f"{count / 1e3:.3g} kB") + " is read"


def _flag(name: str) -> int:
    """A flag for opening that not every system has."""
    return int(getattr(os, name, 0))


def _why(error: Exception) -> str:
    return (getattr(error, "strerror", None) or str(error)).lower()


def _names(folder: Path, endings: tuple[str, ...]) -> list[str]:
    """The files of such endings in a folder, as far as they can be seen."""
    if not endings:
        return []
    try:
        with os.scandir(folder) as entries:
            seen = (entry.name for _, entry in zip(range(MOST_NAMES), entries, strict=False))
            return sorted(name for name in seen if name.endswith(endings))
    except OSError:
        return []


def _near(path: Path, wanted: Wanted) -> str:
    folder = path.parent
    if wanted.endings and path.name.endswith(wanted.endings):
        elsewhere = (place / path.name for place in (Path(), folder.parent, Path("..")))
        there = next((one for one in elsewhere if one != path and is_ordinary(one)), None)
        if there is not None:
            return f"did you mean '{there}'?"
    if not folder.is_dir():
        return f"the folder {folder} does not exist either"
    from difflib import get_close_matches

    near = get_close_matches(path.name, _names(folder, wanted.endings), n=1, cutoff=0.5)
    return f"did you mean '{folder / near[0]}'?" if near else (wanted.fix or "check its name and folder")


def _inside(path: Path, wanted: Wanted) -> str:
    names = _names(path, wanted.endings)
    return f"name a file in it, such as {path / names[0]}" if names else (wanted.fix or "name a file")
