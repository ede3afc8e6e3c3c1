"""Reading what a user names: ordinary files, to a bound, and nothing that could be waited for."""

from __future__ import annotations

import hashlib
import os
import socket
import stat
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from decalgen.core import small_files
from decalgen.core.errors import InputError
from decalgen.core.small_files import Wanted, is_ordinary, read_small, read_small_text, sha256_of

posix = pytest.mark.skipif(os.name != "posix", reason="pipes, sockets and devices with names are POSIX's")


def said(path: Path, most: int = 100, wanted: Wanted | None = None) -> tuple[str, str]:
    """Message and fix of what is refused."""
    with pytest.raises(InputError) as told:
        read_small(path, most, wanted)
    return told.value.message, told.value.fix


def test_an_ordinary_file_up_to_its_bound(tmp_path: Path) -> None:
    file = tmp_path / "a.txt"
    file.write_bytes(b"x" * 100)
    assert read_small(file, 100) == b"x" * 100
    assert said(file, 99)[0] == f"'{file}' is too large: 100 bytes, at most 99 bytes are read"
    file.write_bytes(b"")
    assert read_small(file, 0) == b""


def test_more_than_one_portion(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(small_files, "CHUNK_BYTES", 7)
    file = tmp_path / "a"
    file.write_bytes(bytes(range(100)))
    assert read_small(file, 100) == bytes(range(100))
    assert sha256_of(file, 100) == hashlib.sha256(bytes(range(100))).hexdigest()


@posix
def test_a_link_stands_for_what_it_leads_to(tmp_path: Path) -> None:
    (tmp_path / "far").write_bytes(b"far")
    (tmp_path / "link").symlink_to("far")
    (tmp_path / "lost").symlink_to("nowhere")
    (tmp_path / "round").symlink_to("round")
    os.mkfifo(tmp_path / "pipe")
    (tmp_path / "to pipe").symlink_to("pipe")
    assert read_small(tmp_path / "link", 10) == b"far"
    assert "there is no file" in said(tmp_path / "lost")[0]
    assert "cannot be read: too many levels of symbolic links" in said(tmp_path / "round")[0]
    assert "is a device or a pipe" in said(tmp_path / "to pipe")[0]


@posix
def test_pipes_sockets_devices_and_folders_are_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    os.mkfifo("pipe")
    with socket.socket(socket.AF_UNIX) as plug:
        plug.bind("socket")
        opened: list[object] = []
        monkeypatch.setattr(small_files.os, "open", lambda *given: opened.append(given))
        for name in ("pipe", "socket", "/dev/zero", "/dev/null", "/dev/tty"):
            assert said(Path(name), wanted=Wanted("name a job")) == (
                f"'{name}' is a device or a pipe, not a file",
                "name a job",
            )
            assert not is_ordinary(Path(name))
        assert said(tmp_path)[0] == f"'{tmp_path}' is a folder"
        assert not opened, "opening a device can do something"


@posix
def test_what_turns_into_a_pipe_while_it_is_opened_is_not_waited_for(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "a"
    file.write_bytes(b"x")
    real = os.open

    def swapped(path: Path, flags: int) -> int:
        file.unlink()
        os.mkfifo(file)
        assert flags & os.O_NONBLOCK, "without it this very call would wait for ever"
        return real(path, flags)

    monkeypatch.setattr(small_files.os, "open", swapped)
    assert "is a device or a pipe" in said(file)[0]


def test_what_grows_while_it_is_read_is_left(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = tmp_path / "a"
    file.write_bytes(b"x")
    asked: list[int] = []

    def endless(handle: int, count: int) -> bytes:
        asked.append(count)
        assert len(asked) < 10, "it reads on"
        return b"x" * count

    monkeypatch.setattr(small_files.os, "read", endless)
    assert "is too large: it has no end" in said(file, 3_000_000)[0]
    assert len(asked) <= 4


@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="no such files on this system")
def test_a_file_of_the_system_that_gives_no_size_is_read(tmp_path: Path) -> None:
    state = Path("/proc/self/status").stat()
    assert state.st_size == 0 and stat.S_ISREG(state.st_mode)
    assert read_small(Path("/proc/self/status"), 100_000).startswith(b"Name:")
    assert "too large" in said(Path("/proc/self/status"), 10)[0]


def test_a_name_that_no_file_can_have() -> None:
    assert "cannot be read" in said(Path("a\0b"))[0]
    assert not is_ordinary(Path("a\0b"))


def test_a_missing_file_names_the_nearest(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    Path("gannet.json").write_bytes(b"")
    Path("ganet.txt").write_bytes(b"")
    assert said(Path("ganet.json"), wanted=Wanted(endings=(".json",)))[1] == "did you mean 'gannet.json'?"
    assert said(Path("ganet.json"))[1] == "check its name and folder"
    assert said(Path("no/ganet.json"))[1] == "the folder no does not exist either"


def test_a_file_that_lies_in_another_folder_is_found_by_its_name(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "jobs" / "old").mkdir(parents=True)
    monkeypatch.chdir(tmp_path / "jobs")
    Path("gannet.yaml").write_bytes(b"")
    Path("../ganet.yaml").write_bytes(b"")
    Path("../skua.yaml").write_bytes(b"")
    wanted = Wanted(endings=(".yaml",))
    # The very name here, or one folder up, says more than a name like it there.
    assert said(Path("../gannet.yaml"), wanted=wanted)[1] == "did you mean 'gannet.yaml'?"
    assert said(Path("no/gannet.yaml"), wanted=wanted)[1] == "did you mean 'gannet.yaml'?"
    assert said(Path("skua.yaml"), wanted=wanted)[1] == f"did you mean '{Path('../skua.yaml')}'?"
    assert said(Path("old/tern.yaml"), wanted=wanted)[1] == "check its name and folder"


@pytest.mark.parametrize(
    ("data", "says"),
    [
        ("x: é\n".encode("latin-1"), "is not UTF-8 text: see line 1"),
        (b"a\nb\n\xff", "is not UTF-8 text: see line 3"),
        ("x".encode("utf-16"), "is UTF-16, not UTF-8"),
        (b"x\0", "is not a text file"),
    ],
)
def test_what_is_no_text(tmp_path: Path, data: bytes, says: str) -> None:
    (tmp_path / "a").write_bytes(data)
    with pytest.raises(InputError, match=says):
        read_small_text(tmp_path / "a", 100)


def test_a_text_has_its_mark_taken_off_and_one_kind_of_line_end(tmp_path: Path) -> None:
    (tmp_path / "a").write_bytes(b"\xef\xbb\xbfa\r\nb\rc\n")
    assert read_small_text(tmp_path / "a", 100) == "a\nb\nc\n"


# ------------------------------------------------------------------------------------------------------- every command
READERS = {
    "check": ("check", "X"),
    "check with a film": ("check", "tug.yaml", "--film", "X.yaml"),
    "check with a printer": ("check", "tug.yaml", "--printer", "X.yaml"),
    "a cutter": ("sheet", "tug.yaml", "--film", "white A5", "--cut", "c.svg", "--cutter", "X", "--without-proof", "no"),
    "fonts": ("fonts", "--like", "ROW", "--cap", "1.6mm", "--traced", "X"),
    "film import": ("film", "import", "X"),
    "film use": ("film", "use", "1", "X"),
    "again": ("sheet", "--again", "X"),
    "proof passed": ("proof", "passed", "X.positions.json", "--x", "100"),
    "readings": ("calibrate", "read", "X", "-o", "p.yaml", "--film", "white A5"),
}


def pipe(path: Path) -> None:
    os.mkfifo(path)


def endless(path: Path) -> None:
    path.symlink_to("/dev/zero")


@posix
@pytest.mark.parametrize("kind", [pipe, endless])
@pytest.mark.parametrize("reader", READERS)
def test_no_command_hangs_on_what_is_no_file(tmp_path: Path, kind: Callable[[Path], None], reader: str) -> None:
    job = "job: tug\nbody: grey\npanels: {door: {width: 9 mm, height: 9 mm}}\ndecals: {a: {panel: door, artwork: []}}\n"
    (tmp_path / "tug.yaml").write_text(job, encoding="utf-8")
    kind(tmp_path / "X")
    for ending in (".yaml", ".positions.json"):
        kind(tmp_path / f"X{ending}")
    words = [sys.executable, "-m", "decalgen", *READERS[reader]]
    environment = {**os.environ, "DECALGEN_DATA": str(tmp_path / "data")}
    subprocess.run([*words[:3], "film", "add", "white A5"], cwd=tmp_path, env=environment, check=True)
    # Ten minutes are no measure of speed: what waits for a pipe waits for ever.
    done = subprocess.run(words, cwd=tmp_path, env=environment, capture_output=True, text=True, timeout=600)
    assert "is a device or a pipe, not a file" in done.stderr + done.stdout, done
    assert done.returncode in (2, 3) and "fix: " in done.stderr + done.stdout
