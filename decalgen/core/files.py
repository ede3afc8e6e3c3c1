"""Writing results so that nothing is ever half-written and an old result survives a failed run."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path

from decalgen.core.errors import OutputError


def write_files(results: Mapping[Path, bytes]) -> tuple[Path, ...]:
    """Writes all of them or none: temporary files in the same folders, flushed to disk, then renamed one by one.

    Where a rename fails, or is interrupted, those before it are undone. What stood there before stays until its
    successor is complete. Should the computer itself stop between two renames, every file is whole, the earlier or
    the new one, and hidden copies may be left beside them. Raises OutputError with the file named.
    """
    ready: list[tuple[Path, Path]] = []
    renamed: list[tuple[Path, Path | None]] = []
    try:
        for path, data in results.items():
            ready.append((_temporary(path, data), path))
        for temporary, path in ready:
            # One rename alone happens or does not: nothing has to be undone.
            renamed.append((path, _earlier(path) if len(ready) > 1 else None))
            _rename(temporary, path)
    except BaseException:
        # The last of them may not have been renamed: then its temporary file is still there.
        waiting = {path for temporary, path in ready if temporary.exists()}
        lost = [said for path, earlier in reversed(renamed) if (said := _undo(path, earlier, path in waiting))]
        for temporary, _ in ready:
            temporary.unlink(missing_ok=True)
        if lost:
            raise OutputError("; ".join(lost), fix="rename it by hand, then try again") from None
        raise
    for _, earlier in renamed:
        if earlier is not None:
            with suppress(OSError):
                earlier.unlink()
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


def _earlier(path: Path) -> Path | None:
    """A second name, in the same folder, for what stands at a path; None where nothing does."""
    if not (path.is_symlink() or path.exists()):
        return None
    handle, name = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
    os.close(handle)
    kept = Path(name)
    try:
        kept.unlink()
        try:
            os.link(path, kept, follow_symlinks=os.link not in os.supports_follow_symlinks)
        except OSError:
            # A file system without links, or a file of someone else's.
            shutil.copy2(path, kept, follow_symlinks=False)
    except OSError as error:
        kept.unlink(missing_ok=True)
        raise OutputError(f"'{path}' cannot be kept while it is replaced: {_why(error)}", fix=_fix(error)) from None
    return kept


def _undo(path: Path, earlier: Path | None, waiting: bool) -> str:
    """Puts back what stood at a path; where that fails, says what is kept where. ``waiting``: it was not replaced."""
    try:
        if waiting:
            if earlier is not None:
                earlier.unlink()
        elif earlier is None:
            path.unlink(missing_ok=True)
        else:
            earlier.replace(path)
    except OSError as error:
        return f"'{path}' cannot be put back: {_why(error)}" + (f"; it is kept as '{earlier}'" if earlier else "")
    return ""


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
