"""A lock on an open file: one process has it at a time, and the death of that process gives it back."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

FAR = 1 << 30
"""The byte that is locked, beyond all that is written: on Windows nobody could read a locked one."""


def lock(handle: int, wait: bool = False) -> bool:
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
    if os.name == "nt":
        import msvcrt

        os.lseek(handle, FAR, os.SEEK_SET)
        msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)  # type: ignore[attr-defined,unused-ignore]
        os.lseek(handle, 0, os.SEEK_SET)
    else:
        import fcntl

        fcntl.flock(handle, fcntl.LOCK_EX | (0 if wait else fcntl.LOCK_NB))
