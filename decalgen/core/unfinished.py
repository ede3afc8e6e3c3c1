"""Sets of results on their way, and what killed runs left of theirs.

A run keeps a hidden journal in every folder it writes into, locked while it lives; its new files, and second names of
what they replace, wait beside it under hidden names with the same token. All new files are on the disk before the
journals say what goes where, and that is there before the first is renamed. No file system renames several files at
once: a run killed in the midst of it leaves new beside old until the next that writes, or reads results, in the folder
finishes the set, or, where it was being undone, undoes the rest. A journal only ever moves files of its own folder,
and never over what was changed since; a copied one moves nothing. Where a file system knows no locks, nothing is swept.
"""

from __future__ import annotations

import json
import os
import re
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from stat import S_ISREG
from typing import Any

PREFIX = ".decalgen-"
_HIDDEN = re.compile(r"\.decalgen-([0-9a-f]{16})(-\d{1,6}[no]|\.born)?")
LARGEST_JOURNAL = 4_000_000
FAR = 1 << 30
"""The byte that is locked, beyond all that is written: on Windows nobody could read a locked one."""


class Unfinished:
    """The journals of one run. ``folders``: where its results go; the first one's journal says whether all is ready."""

    def __init__(self, folders: Sequence[Path]) -> None:
        self.token = os.urandom(8).hex()
        self.folders = tuple(folders)
        self.journals: list[tuple[Path, int]] = []
        try:
            for folder in folders:
                self.journals.append(_made(folder / f"{PREFIX}{self.token}"))
        except BaseException:
            self.end()
            raise

    def waiting(self, number: int, path: Path) -> Path:
        """The hidden name under which the result of that number waits."""
        return path.with_name(f"{PREFIX}{self.token}-{number}n")

    def kept(self, number: int, path: Path) -> Path:
        """The hidden second name of what it replaces."""
        return path.with_name(f"{PREFIX}{self.token}-{number}o")

    def ready(self, paths: Sequence[Path]) -> None:
        """Notes what goes where; from here on the set is finished by whoever finds it."""
        home = str(self.journals[0][0].resolve())
        for folder, (_, handle) in zip(self.folders, self.journals, strict=True):
            steps = [(n, path.name, _state(path)) for n, path in enumerate(paths) if path.parent == folder]
            _append(handle, {"home": home, "itself": _itself(os.fstat(handle)), "steps": steps})
        _append(self.journals[0][1], {"ready": [str(folder.resolve()) for folder in self.folders]})

    def undoing(self) -> None:
        """Notes that the set is taken back."""
        if self.journals:
            _append(self.journals[0][1], {"undoing": True})

    def end(self) -> None:
        """Takes the journals away: the set is done, or undone."""
        for path, handle in self.journals:
            with suppress(OSError):
                if os.name != "nt":
                    path.unlink()
            with suppress(OSError):
                os.close(handle)
            if os.name == "nt":
                with suppress(OSError):
                    path.unlink()
        self.journals = []


def _made(path: Path) -> tuple[Path, int]:
    """A journal, locked; it gets its name only then, so that nobody takes it for one that was left."""
    # Windows renames no open file; there the name comes first.
    born = path if os.name == "nt" else path.with_name(f"{path.name}.born")
    handle = os.open(born, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o600)
    try:
        _lock(handle, wait=True)
        if born != path:
            try:
                born.rename(path)
            except FileNotFoundError:
                # Someone took it, just made and not yet locked, for one that was left.
                os.close(handle)
                return _made(path)
    except BaseException:
        os.close(handle)
        born.unlink(missing_ok=True)
        raise
    return path, handle


def settle(folder: Path) -> None:
    """Finishes or undoes what killed runs left in a folder, and sweeps their hidden files. Never raises an error: what
    cannot be settled now waits for the next time."""
    tokens = set()
    with suppress(OSError), os.scandir(folder) as entries:
        tokens = {found[1] for entry in entries if (found := _HIDDEN.fullmatch(entry.name))}
    for token in sorted(tokens):
        # Whatever a journal holds, it stands in nobody's way.
        with suppress(OSError, ValueError, TypeError, AttributeError):
            _settle(folder, token)


def _settle(folder: Path, token: str) -> None:
    born = folder / f"{PREFIX}{token}.born"
    with _stale(born) as lines:
        if lines is not None:
            born.unlink(missing_ok=True)
    with _stale(folder / f"{PREFIX}{token}") as lines:
        if lines is None:
            return
        home = Path(str(lines[0].get("home", ""))) if lines else None
        if home is None or home.parent == folder.resolve():
            _settle_set(folder, token, lines)
            return
        with _stale(home) as ruling:
            # The home journal goes last: without it the set is done, or was never ready.
            if ruling is None:
                if not home.exists():
                    _sweep(folder, token)
                return
            _settle_set(home.parent, token, ruling, {folder: lines})


def _settle_set(home: Path, token: str, ruling: list[dict[str, Any]], open_ones: dict[Path, Any] | None = None) -> None:
    """All folders of a set, by the journal that rules it. ``open_ones``: journals that are locked here already."""
    undo = any("undoing" in line for line in ruling)
    named: list[Any] = next((line["ready"] for line in ruling if "ready" in line), [])
    others = [Path(one) for one in named if isinstance(one, str) and Path(one) != home.resolve()]
    known = {key.resolve(): value for key, value in (open_ones or {}).items()}
    move: Callable[[Path, str, list[dict[str, Any]]], None] = _undo if undo else _finish
    for other in others if named else known:
        if other in known:
            if named:
                move(other, token, known[other])
            _sweep(other, token)
            continue
        with _stale(other / f"{PREFIX}{token}") as lines:
            # Only a folder that says itself that it belongs to this set.
            if lines and lines[0].get("home") == str((home / f"{PREFIX}{token}").resolve()):
                move(other, token, lines)
                _sweep(other, token)
    if named:
        move(home, token, ruling)
    _sweep(home, token)


def _finish(folder: Path, token: str, lines: list[dict[str, Any]]) -> None:
    rest = [(new, path, before) for new, _, path, before in _steps(folder, token, lines) if _ordinary(new)]
    if all(_state(path) == before for _, path, before in rest):
        for new, path, _ in rest:
            new.replace(path)


def _undo(folder: Path, token: str, lines: list[dict[str, Any]]) -> None:
    for new, old, path, before in _steps(folder, token, lines):
        if new.exists():
            continue  # it was never renamed
        if before is None:
            path.unlink(missing_ok=True)
        elif old.exists() or old.is_symlink():
            old.replace(path)


def _steps(folder: Path, token: str, lines: list[dict[str, Any]]) -> Iterator[tuple[Path, Path, Path, Any]]:
    """What goes where in a folder: nothing leaves it, whatever the journal says."""
    for number, name, before in lines[0].get("steps", []) if lines else []:
        if isinstance(number, int) and isinstance(name, str) and name == Path(name).name and name.strip("."):
            hidden = folder / f"{PREFIX}{token}-{number}"
            yield hidden.with_name(hidden.name + "n"), hidden.with_name(hidden.name + "o"), folder / name, before


def _sweep(folder: Path, token: str) -> None:
    """Deletes the hidden files of a token, the journal last."""
    journal = f"{PREFIX}{token}"
    for path in sorted(folder.glob(f"{journal}-*")):
        if _HIDDEN.fullmatch(path.name):
            path.unlink(missing_ok=True)
    with suppress(OSError):
        (folder / journal).unlink(missing_ok=True)


@contextmanager
def _stale(journal: Path) -> Iterator[list[dict[str, Any]] | None]:
    """What a journal says, while nobody else can have it; None where its run lives, or it is missing."""
    try:
        # Not to wait for a pipe of that name.
        handle = os.open(journal, os.O_RDWR | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_NOFOLLOW", 0))
    except OSError:
        yield None
        return
    try:
        state = os.fstat(handle)
        if not S_ISREG(state.st_mode) or state.st_size > LARGEST_JOURNAL or not _lock(handle):
            yield None
            return
        lines = _lines(os.read(handle, LARGEST_JOURNAL))
        yield lines if lines and lines[0].get("itself") == _itself(state) else []
    finally:
        os.close(handle)
    if os.name == "nt":
        with suppress(OSError):
            journal.unlink()


def _itself(state: os.stat_result) -> list[int]:
    """What a journal was when it was written, and no copy of it is, nor one that came with a stranger's files."""
    return [state.st_dev, state.st_ino]


def _lines(data: bytes) -> list[dict[str, Any]]:
    """The whole lines of a journal; one that was cut short says nothing."""
    found = []
    for row in data.split(b"\n")[:-1]:
        try:
            line = json.loads(row)
        except (ValueError, RecursionError):
            break
        if not isinstance(line, dict):
            break
        found.append(line)
    return found


def _append(handle: int, line: dict[str, Any]) -> None:
    data = json.dumps(line).encode("ascii") + b"\n"
    os.lseek(handle, 0, os.SEEK_END)
    while data:
        data = data[os.write(handle, data) :]
    os.fsync(handle)


def _state(path: Path) -> list[int] | None:
    """What tells whether a file is still the same; None where there is none."""
    try:
        state = path.lstat()
    except (OSError, ValueError):
        return None
    return [state.st_size, state.st_mtime_ns, state.st_ino]


def _ordinary(path: Path) -> bool:
    try:
        return S_ISREG(path.lstat().st_mode)
    except OSError:
        return False


def _lock(handle: int, wait: bool = False) -> bool:
    """Takes an open file for this process; False where another has it, or nobody can. A kill gives it back."""
    try:
        _take(handle, wait)
    except OSError:
        return False
    return True


@contextmanager
def alone(path: Path) -> Iterator[bool]:
    """Whether this process alone has the file of that name, while the context lasts; it is made where it is not there.
    Where no such file can be made, or no file locked, nobody is kept out."""
    try:
        handle = os.open(path, os.O_RDWR | os.O_CREAT, 0o600)
    except OSError:
        yield True
        return
    try:
        yield not _taken(handle)
    finally:
        os.close(handle)


def _taken(handle: int) -> bool:
    try:
        _take(handle, wait=False)
    except (BlockingIOError, PermissionError):
        return True
    except OSError:
        return False
    return False


def _take(handle: int, wait: bool) -> None:
    """Raises OSError: BlockingIOError, on Windows PermissionError, where another process has it."""
    if sys.platform == "win32":
        import msvcrt

        os.lseek(handle, FAR, os.SEEK_SET)
        msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        os.lseek(handle, 0, os.SEEK_SET)
    else:
        import fcntl

        fcntl.flock(handle, fcntl.LOCK_EX | (0 if wait else fcntl.LOCK_NB))
