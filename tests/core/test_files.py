"""Writing: all results or none, an old one stays until its successor is whole."""

from __future__ import annotations

import errno
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from decalgen.core import files as writing
from decalgen.core.errors import OutputError
from decalgen.core.files import make_folder, write_files
from decalgen.core.unfinished import settle


def files(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir() if path.is_file()}


def test_new_folders_are_made_and_old_files_replaced(tmp_path: Path) -> None:
    path = tmp_path / "a" / "b" / "sheet.pdf"
    assert write_files({path: b"one"}) == (path,)
    write_files({path: b"two"})
    assert files(path.parent) == {"sheet.pdf": b"two"}


def test_one_that_cannot_be_written_stops_them_all(tmp_path: Path) -> None:
    old = tmp_path / "old.pdf"
    old.write_bytes(b"old")
    (tmp_path / "taken.pdf").mkdir()
    with pytest.raises(OutputError, match="is a folder"):
        write_files({old: b"new", tmp_path / "taken.pdf": b"new"})
    assert files(tmp_path) == {"old.pdf": b"old"}


@pytest.mark.parametrize("number", [errno.EACCES, errno.ENOSPC])
def test_an_earlier_result_is_told_of_only_where_there_is_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, number: int
) -> None:
    def refuse(*_: object) -> None:
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(writing, "Unfinished", refuse)
    for there in (False, True):
        if there:
            (tmp_path / "old.pdf").write_bytes(b"old")
        with pytest.raises(OutputError) as told:
            write_files({tmp_path / "new.pdf": b"new", tmp_path / "old.pdf": b"new"})
        assert ("the earlier result is still there" in told.value.fix) == there


@pytest.mark.parametrize("fault", [PermissionError(13, "Permission denied"), KeyboardInterrupt()])
def test_a_rename_that_fails_leaves_no_temporary_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, fault: BaseException
) -> None:
    old = tmp_path / "old.pdf"
    old.write_bytes(b"old")

    def fail(*_: object) -> None:
        raise fault

    monkeypatch.setattr(Path, "replace", fail)
    with pytest.raises((OutputError, KeyboardInterrupt)):
        write_files({old: b"new"})
    assert files(tmp_path) == {"old.pdf": b"old"}


@pytest.mark.skipif(os.name != "posix", reason="file modes are POSIX's")
def test_a_result_is_as_readable_as_any_new_file(tmp_path: Path) -> None:
    plain = tmp_path / "plain"
    plain.write_bytes(b"")
    write_files({tmp_path / "result": b""})
    assert (tmp_path / "result").stat().st_mode == plain.stat().st_mode


def test_a_folder_where_a_file_stands(tmp_path: Path) -> None:
    (tmp_path / "file").write_bytes(b"")
    with pytest.raises(OutputError, match="is a file"):
        make_folder(tmp_path / "file")


# ------------------------------------------------------------------------------------------- several files of one run
NEW = {"a.pdf": b"new a", "b.svg": b"new b", "c.json": b"new c"}
OLD = {"a.pdf": b"old a", "c.json": b"old c"}


@pytest.fixture
def three(tmp_path: Path) -> dict[Path, bytes]:
    """Three results; two of them take the place of earlier ones."""
    for name, data in OLD.items():
        (tmp_path / name).write_bytes(data)
    return {tmp_path / name: data for name, data in NEW.items()}


def failing(number: int, fault: BaseException, after: bool = False) -> Callable[[Path, Path], Path]:
    """In the place of `Path.replace`: the rename of that number fails, just before or just after it is done."""
    real = Path.replace
    count = 0

    def replace(self: Path, target: Path) -> Path:
        nonlocal count
        count += 1
        if count != number:
            return real(self, target)
        if after:
            real(self, target)
        raise fault

    return replace


@pytest.mark.parametrize("number", [1, 2, 3])
@pytest.mark.parametrize("fault", [PermissionError(errno.EACCES, "Permission denied"), KeyboardInterrupt()])
@pytest.mark.parametrize("links", [True, False])
def test_a_rename_that_fails_undoes_those_before_it(
    tmp_path: Path,
    three: dict[Path, bytes],
    monkeypatch: pytest.MonkeyPatch,
    number: int,
    fault: BaseException,
    links: bool,
) -> None:
    monkeypatch.setattr(Path, "replace", failing(number, fault))
    if not links:  # as on a memory stick

        def refuse(*_: object, **__: object) -> None:
            raise OSError(errno.EPERM, "Operation not permitted")

        monkeypatch.setattr(writing.os, "link", refuse)
    with pytest.raises((OutputError, KeyboardInterrupt)):
        write_files(three)
    assert files(tmp_path) == OLD


@pytest.mark.parametrize("number", [1, 2, 3])
def test_an_interrupt_just_after_a_rename_undoes_it_too(
    tmp_path: Path, three: dict[Path, bytes], monkeypatch: pytest.MonkeyPatch, number: int
) -> None:
    monkeypatch.setattr(Path, "replace", failing(number, KeyboardInterrupt(), after=True))
    with pytest.raises(KeyboardInterrupt):
        write_files(three)
    assert files(tmp_path) == OLD


def test_what_cannot_be_put_back_is_kept_and_named(
    tmp_path: Path, three: dict[Path, bytes], monkeypatch: pytest.MonkeyPatch
) -> None:
    real = Path.replace
    tried: list[Path] = []

    def replace(self: Path, target: Path) -> Path:
        tried.append(target)
        if len(tried) > 1:
            raise PermissionError(errno.EACCES, "Permission denied")
        return real(self, target)

    monkeypatch.setattr(Path, "replace", replace)
    with pytest.raises(OutputError, match=r"'.*a\.pdf' cannot be put back: .*it is kept as") as told:
        write_files(three)
    kept = [path for path in tmp_path.iterdir() if path.read_bytes() == b"old a"]
    assert len(kept) == 1 and str(kept[0]) in told.value.message


@pytest.mark.skipif(not hasattr(os, "symlink") or os.name != "posix", reason="links of names are POSIX's")
def test_a_link_of_a_name_is_put_back_as_it_was(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "far").write_bytes(b"far")
    (tmp_path / "a").symlink_to(tmp_path / "far")
    monkeypatch.setattr(Path, "replace", failing(2, KeyboardInterrupt()))
    with pytest.raises(KeyboardInterrupt):
        write_files({tmp_path / "a": b"new", tmp_path / "b": b"new"})
    assert (tmp_path / "a").readlink() == tmp_path / "far" and files(tmp_path) == {"a": b"far", "far": b"far"}


# ----------------------------------------------------------------------------------------------------- a kill, for real
KILLED = """
import os, sys
from pathlib import Path
from decalgen.core import files as writing

spot, number, folder = sys.argv[1], int(sys.argv[2]), Path(sys.argv[3])
count = 0

def killed(real):
    def call(*given, **more):
        global count
        count += 1
        if count == number:
            os._exit(9)        # no handler, no finally: as when the power fails
        return real(*given, **more)
    return call

if spot == "fsync":
    os.fsync = killed(os.fsync)
else:
    Path.replace = killed(Path.replace)
writing.write_files({folder / "a.pdf": b"new a", folder / "b.svg": b"new b", folder / "c.json": b"new c"})
"""


@pytest.mark.parametrize("spot", ["fsync", "replace"])
@pytest.mark.parametrize("number", [1, 2, 3])
def test_a_kill_leaves_every_file_whole(tmp_path: Path, three: dict[Path, bytes], spot: str, number: int) -> None:
    done = subprocess.run([sys.executable, "-c", KILLED, spot, str(number), str(tmp_path)], check=False)
    assert done.returncode == 9
    left = {name: data for name, data in files(tmp_path).items() if not name.startswith(".")}
    if spot == "fsync":
        assert left == OLD, "nothing is renamed before everything is on the disk"
    else:
        renamed = [*NEW][: number - 1]
        assert left == {**OLD, **{name: NEW[name] for name in renamed}}
    # What was being renamed is finished, what was not is gone, and nothing hidden is left.
    settle(tmp_path)
    assert files(tmp_path) == (OLD if spot == "fsync" else NEW)
    # And the next run goes through.
    write_files(three)
    assert {name: data for name, data in files(tmp_path).items() if not name.startswith(".")} == NEW


FULL = """
import resource, sys
from pathlib import Path
from decalgen.core import files as writing

resource.setrlimit(resource.RLIMIT_FSIZE, (5000, 5000))
folder = Path(sys.argv[1])
try:
    writing.write_files({folder / "a.pdf": b"new a", folder / "c.json": bytes(20000)})
except writing.OutputError as error:
    print(error)
"""


@pytest.mark.skipif(os.name != "posix", reason="the system's limit on the size of files is POSIX's")
def test_a_file_that_the_system_will_not_take(tmp_path: Path, three: dict[Path, bytes]) -> None:
    """As on a full disk: the system itself refuses in the middle of a file."""
    done = subprocess.run([sys.executable, "-c", FULL, str(tmp_path)], check=True, capture_output=True, text=True)
    assert "c.json' cannot be written: file too large" in done.stdout and "fix: " in done.stdout
    assert files(tmp_path) == OLD
