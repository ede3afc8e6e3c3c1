"""Writing results so that nothing is ever half-written and an old result survives a failed run."""

from __future__ import annotations

import os
import stat
from collections.abc import Callable, Mapping
from contextlib import suppress
from pathlib import Path

from decalgen.core.errors import OutputError
from decalgen.core.unfinished import Unfinished, settle


def write_files(results: Mapping[Path, bytes], check: Callable[[], None] | None = None) -> tuple[Path, ...]:
    """Writes all of them or none: under hidden names in the same folders, flushed to disk, then renamed one by one.

    Where a rename fails, or is interrupted, those before it are undone. What stood there before stays until its
    successor is complete. A run that is killed leaves every file whole, the earlier or the new one; a set that it was
    renaming, and its hidden files, are settled by the next run in that folder (see `core.unfinished`). Results are
    files: a pipe or a device is refused, never written into or replaced. ``check`` is called when all is on the disk,
    before the first rename: what it raises leaves everything as it was. Raises OutputError with the file named.
    """
    for path in results:
        _check(path)
    folders = tuple(dict.fromkeys(make_folder(path.parent) for path in results))
    for folder in folders:
        settle(folder)
    run = _begun(folders, [*results])
    try:
        _write_set(results, run, check)
    finally:
        run.end()
    return tuple(results)


def write_first(path: Path, data: bytes) -> bool:
    """Writes a file where there is none, whole from the moment it has its name.

    False where one is there already, which stays: of two programs that write at once one comes first. Raises
    OutputError with the file named.
    """
    _check(path)
    folder = make_folder(path.parent)
    settle(folder)
    run = _begun((folder,), [path])
    waiting = run.waiting(0, path)
    try:
        _write(waiting, path, data)
        try:
            os.link(waiting, path)
        except FileExistsError:
            return False
        except OSError:
            # A disk where a file has one name only.
            if path.exists():
                return False
            _rename(waiting, path)
        return True
    finally:
        waiting.unlink(missing_ok=True)
        run.end()


def _write_set(results: Mapping[Path, bytes], run: Unfinished, check: Callable[[], None] | None) -> None:
    ready = [(run.waiting(number, path), path) for number, path in enumerate(results)]
    kept: dict[Path, Path | None] = {}
    begun: list[Path] = []
    try:
        for (temporary, path), data in zip(ready, results.values(), strict=True):
            _write(temporary, path, data)
        # One rename alone happens or does not: nothing has to be undone.
        if len(ready) > 1:
            for number, (_, path) in enumerate(ready):
                kept[path] = None
                kept[path] = _second_name(path, run.kept(number, path))
            _note(run, [*results])
        if check is not None:
            check()
        # Nothing else is done in between: a kill hardly ever finds a set half renamed.
        for temporary, path in ready:
            begun.append(path)
            _rename(temporary, path)
    except BaseException:
        # The last of them may not have been renamed: then it still waits.
        waiting = {path for temporary, path in ready if temporary.exists()}
        if len(begun) > 1:
            with suppress(OSError):
                run.undoing()
        lost = [said for path in reversed(begun) if path not in waiting and (said := _undo(path, kept.get(path)))]
        for number, (temporary, path) in enumerate(ready):
            temporary.unlink(missing_ok=True)
            if not lost:
                run.kept(number, path).unlink(missing_ok=True)
        if lost:
            raise OutputError("; ".join(lost), fix="rename it by hand, then try again") from None
        raise
    for earlier in kept.values():
        if earlier is not None:
            with suppress(OSError):
                earlier.unlink()


def make_folder(folder: Path) -> Path:
    """The folder, made if missing. Raises OutputError."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except FileExistsError:
        raise OutputError(f"'{folder}' is a file, so nothing can be put into it", fix="name another folder") from None
    except (OSError, ValueError) as error:
        raise OutputError(f"the folder '{folder}' cannot be made: {_why(error)}", fix="name another folder") from None
    return folder


def _check(path: Path) -> None:
    """Raises OutputError for what can be no result: a folder, a device, a pipe."""
    try:
        mode = path.stat().st_mode
    except (OSError, ValueError):
        return  # nothing there; or the writing tells
    if stat.S_ISDIR(mode):
        raise OutputError(f"'{path}' is a folder, so it cannot be written as a file", fix="name a file, like sheet.pdf")
    if not stat.S_ISREG(mode):
        raise OutputError(
            f"'{path}' is a device or a pipe; results are written as files",
            fix="name a file, like sheet.pdf, and pass it on from there",
        )


def _begun(folders: tuple[Path, ...], paths: list[Path]) -> Unfinished:
    try:
        return Unfinished(folders)
    except (OSError, ValueError) as error:
        named = Path(getattr(error, "filename", None) or next(iter(paths), Path())).parent
        raise OutputError(f"nothing can be written into '{named}': {_why(error)}", fix=_fix(error, paths)) from None


def _note(run: Unfinished, paths: list[Path]) -> None:
    try:
        run.ready(paths)
    except OSError as error:
        raise OutputError(f"'{paths[0]}' cannot be written: {_why(error)}", fix=_fix(error, paths)) from None


def _write(temporary: Path, path: Path, data: bytes) -> None:
    try:
        handle = os.open(temporary, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), 0o666)
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        # What stood there before may be read and written by the same people.
        with suppress(OSError):
            temporary.chmod(stat.S_IMODE(path.stat().st_mode) & 0o777)
    except (OSError, ValueError) as error:
        raise OutputError(f"'{path}' cannot be written: {_why(error)}", fix=_fix(error, [path])) from None


def _second_name(path: Path, kept: Path) -> Path | None:
    """A second name, in the same folder, for what stands at a path; None where nothing does."""
    if not (path.is_symlink() or path.exists()):
        return None
    try:
        try:
            os.link(path, kept, follow_symlinks=os.link not in os.supports_follow_symlinks)
        except OSError:
            import shutil

            # A file system without links, or a file of someone else's.
            shutil.copy2(path, kept, follow_symlinks=False)
    except OSError as error:
        said = f"'{path}' cannot be kept while it is replaced: {_why(error)}"
        raise OutputError(said, fix=_fix(error, [path])) from None
    return kept


def _undo(path: Path, earlier: Path | None) -> str:
    """Puts back what stood at a path; where that fails, says what is kept where."""
    try:
        if earlier is None:
            path.unlink(missing_ok=True)
        else:
            earlier.replace(path)
    except OSError as error:
        return f"'{path}' cannot be put back: {_why(error)}" + (f"; it is kept as '{earlier}'" if earlier else "")
    return ""


def _rename(temporary: Path, path: Path) -> None:
    try:
        temporary.replace(path)
    except (OSError, ValueError) as error:
        raise OutputError(
            f"'{path}' cannot be replaced: {_why(error)}", fix="close the program that has it open, then try again"
        ) from None


def _why(error: Exception) -> str:
    return (getattr(error, "strerror", None) or str(error)).lower()


def _fix(error: Exception, paths: list[Path]) -> str:
    import errno

    still = "; the earlier result is still there" if any(map(_stands, paths)) else ""
    if getattr(error, "errno", None) in (errno.ENOSPC, errno.EDQUOT):
        return f"make room on the disk{still}"
    return f"choose a folder you may write to with -o{still}"


def _stands(path: Path) -> bool:
    try:
        return path.exists()
    except (OSError, ValueError):
        return False
