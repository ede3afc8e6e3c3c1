"""Writing: all results or none, an old one stays until its successor is whole."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from decalgen.errors import OutputError
from decalgen.writing import make_folder, write_files


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
