"""Writing results so that nothing is ever half-written and an old result survives a failed run."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Mapping
from pathlib import Path

from decalgen.errors import OutputError


def write_files(results: Mapping[Path, bytes]) -> tuple[Path, ...]:
    """Writes all of them or none: temporary files in the same folders, flushed to disk, then renamed one by one.

    Raises OutputError with the file named. What stood there before stays until its successor is complete.
    """
    ready: list[tuple[Path, Path]] = []
    try:
        for path, data in results.items():
            ready.append((_temporary(path, data), path))
        for temporary, path in ready:
            _rename(temporary, path)
    except BaseException:
        for temporary, _ in ready:
            temporary.unlink(missing_ok=True)
        raise
    return tuple(results)


def make_folder(folder: Path) -> Path:
    """The folder, made if missing. Raises OutputError."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except FileExistsError:
        raise OutputError(f"'{folder}' is a file, so nothing can be put into it", fix="name another folder") from None
    except OSError as error:
        raise OutputError(f"the folder '{folder}' cannot be made: {_why(error)}", fix="name another folder") from None
    return folder


def _temporary(path: Path, data: bytes) -> Path:
    if path.is_dir():
        raise OutputError(f"'{path}' is a folder, so it cannot be written as a file", fix="name a file, like sheet.pdf")
    make_folder(path.parent)
    name = ""
    try:
        handle, name = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        # mkstemp makes files for the owner alone; a result is as readable as any other new file.
        Path(name).chmod(0o666 & ~_umask())
    except OSError as error:
        if name:
            Path(name).unlink(missing_ok=True)
        raise OutputError(f"'{path}' cannot be written: {_why(error)}", fix=_fix(error)) from None
    except BaseException:
        if name:
            Path(name).unlink(missing_ok=True)
        raise
    return Path(name)


def _rename(temporary: Path, path: Path) -> None:
    try:
        temporary.replace(path)
    except OSError as error:
        raise OutputError(
            f"'{path}' cannot be replaced: {_why(error)}", fix="close the program that has it open, then try again"
        ) from None


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


def _why(error: OSError) -> str:
    return (error.strerror or str(error)).lower()


def _fix(error: OSError) -> str:
    import errno

    if error.errno in (errno.ENOSPC, errno.EDQUOT):
        return "make room on the disk; the earlier result is still there"
    return "choose a folder you may write to with -o; the earlier result is still there"
