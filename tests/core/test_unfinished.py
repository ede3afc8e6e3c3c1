"""Killed runs: whatever the moment, the next run finds a whole set, the earlier or the new, and nothing hidden."""

from __future__ import annotations

import json
import os
import shutil
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from decalgen.core import files as writing
from decalgen.core import unfinished
from decalgen.core.errors import InputError, OutputError
from decalgen.core.files import write_files
from decalgen.core.unfinished import PREFIX, Unfinished, settle
from decalgen.sheet.positions import read_positions

posix = pytest.mark.skipif(os.name != "posix", reason="SIGKILL, pipes and devices are POSIX's")

NAMES = ("a.pdf", "b.svg", "far/c.json", "d.txt")
KILLED = """
import os, signal, sys
from pathlib import Path
from decalgen.core import files

folder, number, fault = Path(sys.argv[1]), int(sys.argv[2]), sys.argv[3] == "fault"
count = 0

def struck(event, of):
    # Every change of a folder or a file: opened, linked, renamed, removed, locked.
    global count
    if event in ("open", "os.link", "os.rename", "os.remove", "fcntl.flock") and ".decalgen-" in str(of) + event:
        count += 1
        if count == number:
            os.kill(os.getpid(), signal.SIGKILL)

sys.addaudithook(struck)
if fault:
    real, calls = Path.replace, []
    def replace(self, target):
        calls.append(1)
        if len(calls) == 3:
            raise PermissionError(13, "Permission denied")
        return real(self, target)
    Path.replace = replace
files.write_files({folder / name: b"new " + name.encode() for name in %r})
""" % (NAMES,)  # noqa: UP031 - the text is full of braces


def old() -> dict[str, bytes]:
    """What stands there before: one of the four is new."""
    return {name: b"old " + name.encode() for name in NAMES[:3]}


def new() -> dict[str, bytes]:
    """What the run makes."""
    return {name: b"new " + name.encode() for name in NAMES}


def everything(folder: Path) -> dict[str, bytes]:
    """All files below a folder, hidden ones too."""
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


@pytest.fixture
def before(tmp_path: Path) -> Path:
    """A folder with the earlier results."""
    (tmp_path / "far").mkdir()
    for name, data in old().items():
        (tmp_path / name).write_bytes(data)
    return tmp_path


def killed(folder: Path, number: int, fault: bool = False) -> int:
    """Runs until that change; how it ended."""
    words = [sys.executable, "-c", KILLED, str(folder), str(number), "fault" if fault else ""]
    return subprocess.run(words, check=False, capture_output=True).returncode


@posix
@pytest.mark.parametrize("fault", [False, True])
@pytest.mark.parametrize("first", ["", "far"])
def test_a_kill_at_any_change_is_settled(before: Path, fault: bool, first: str) -> None:
    seen: set[str] = set()
    mixed = 0
    for number in range(1, 100):
        work = before.with_name(f"{before.name} {number}")
        shutil.copytree(before, work)
        code = killed(work, number, fault)
        if code != -signal.SIGKILL:
            break
        at_once = {name: data for name, data in everything(work).items() if PREFIX not in name}
        assert all(data in (old().get(name), new()[name]) for name, data in at_once.items()), "a file that is not whole"
        mixed += at_once not in (old(), new())
        for folder in ((work / first), work, work / "far"):
            settle(folder)
        left = everything(work)
        assert left in (old(), new()), (number, left)
        seen.add("old" if left == old() else "new")
        shutil.rmtree(work)
    assert number > 20 and code == (1 if fault else 0), (number, code)
    assert mixed, "no kill fell between two renames"
    assert "old" in seen and ("new" in seen or fault)


@posix
def test_the_next_run_sweeps_before_it_writes(before: Path) -> None:
    assert killed(before, 8) == -signal.SIGKILL
    assert any(PREFIX in name for name in everything(before))
    write_files({before / "z.pdf": b"z", before / "far" / "z.pdf": b"z"})
    assert everything(before) == {**old(), "z.pdf": b"z", "far/z.pdf": b"z"}


@posix
def test_what_belongs_to_a_living_run_stays(tmp_path: Path) -> None:
    run = Unfinished((tmp_path,))
    run.waiting(0, tmp_path / "a").write_bytes(b"on its way")
    code = (
        "import sys; from pathlib import Path; from decalgen.core.unfinished import settle; settle(Path(sys.argv[1]))"
    )
    subprocess.run([sys.executable, "-c", code, str(tmp_path)], check=True)
    settle(tmp_path)
    assert len(everything(tmp_path)) == 2
    run.end()
    assert len(everything(tmp_path)) == 1, "only the journal goes with the run"


@posix
def test_files_of_others_stay(tmp_path: Path) -> None:
    names = (
        ".decalgen",
        ".decalgen-notes",
        ".decalgen-0123456789abcde",
        ".a.pdf.x1y2z3",
        ".decalgen-0123456789abcdef-x",
    )
    for name in names:
        (tmp_path / name).write_bytes(b"mine")
    (tmp_path / ".decalgen-0123456789abcdef").mkdir()
    os.mkfifo(tmp_path / ".decalgen-1123456789abcdef")
    settle(tmp_path)
    assert set(everything(tmp_path)) == set(names)


def between_renames(folder: Path) -> None:
    """A run killed after its first rename."""
    for number in range(1, 100):
        if killed(folder, number) != -signal.SIGKILL:
            raise AssertionError("no kill fell between two renames")
        if (folder / "a.pdf").read_bytes() != old()["a.pdf"]:
            return
        settle(folder)


@posix
def test_what_was_changed_since_is_never_written_over(before: Path) -> None:
    between_renames(before)
    (before / "b.svg").write_bytes(b"drawn anew by hand")
    settle(before)
    assert everything(before)["b.svg"] == b"drawn anew by hand"


@posix
def test_a_copy_of_a_folder_moves_nothing(before: Path) -> None:
    between_renames(before)
    copy = before.with_name("copy")
    shutil.copytree(before, copy, copy_function=shutil.copy2)
    was = {name: data for name, data in everything(copy).items() if PREFIX not in name}
    settle(copy)
    settle(copy / "far")
    assert everything(copy) == was, "swept, and nothing else"


@posix
@pytest.mark.parametrize("steps", ["3", "[[0]]", "[]", "{", "[" * 5000, '[[0, "../x", null]]', '[[0, "..", null]]'])
@pytest.mark.parametrize("ruling", ['{"ready": [3, "/"]}', '{"ready": 3}', '{"undoing": true}', "[]", "{"])
@pytest.mark.parametrize("copied", [False, True])
def test_a_strangers_journal_does_no_harm(tmp_path: Path, steps: str, ruling: str, copied: bool) -> None:
    """Even one that knows what it is on this very disk moves nothing out of its folder."""
    (tmp_path / "x").write_bytes(b"mine")
    here = tmp_path / "here"
    here.mkdir()
    (here / "job.yaml").write_bytes(b"mine")
    token = f"{PREFIX}0123456789abcdef"
    journal = here / token
    journal.write_bytes(b"")
    known = [0, 0] if copied else [journal.stat().st_dev, journal.stat().st_ino]
    steps = '[[0, "job.yaml", null], [1, "job.yaml", [4, 0, 0]]]' if copied else steps
    text = f'{{"home": {json.dumps(str(journal))}, "itself": {known}, "steps": {steps}}}\n{ruling}\n'
    journal.write_text(text, encoding="utf-8")
    (here / f"{token}-1n").write_bytes(b"evil")
    settle(here)
    assert (tmp_path / "x").read_bytes() == b"mine" and (here / "job.yaml").read_bytes() == b"mine"


@posix
def test_a_result_is_a_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    os.mkfifo("pipe.pdf")
    Path("device.pdf").symlink_to("/dev/null")
    Path("out.pdf").symlink_to("/dev/stdout")
    for name in ("pipe.pdf", "device.pdf", "/dev/null", "/dev/zero"):
        with pytest.raises(OutputError, match="is a device or a pipe; results are written as files"):
            write_files({Path(name): b"x", Path("other"): b"x"})
    assert sorted(path.name for path in tmp_path.iterdir()) == ["device.pdf", "out.pdf", "pipe.pdf"]
    assert not Path("/dev/null").is_file()


def test_a_name_that_no_file_can_have(tmp_path: Path) -> None:
    for name in ("a\0b", "x" * 300):
        with pytest.raises(OutputError):
            write_files({tmp_path / name: b"x"})
    assert everything(tmp_path) == {}


def test_a_long_name_is_written_all_the_same(tmp_path: Path) -> None:
    write_files({tmp_path / ("x" * 250): b"x"})
    assert list(everything(tmp_path)) == ["x" * 250]


@posix
def test_a_sheet_settles_what_its_killed_proof_left(before: Path) -> None:
    between_renames(before)
    with pytest.raises(InputError, match="is not a file of positions"):
        read_positions(before / "b.svg")
    assert everything(before) == new()


def test_without_locks_nothing_is_swept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(unfinished, "_lock", lambda handle, wait=False: False)
    (tmp_path / f"{PREFIX}0123456789abcdef").write_bytes(b"")
    (tmp_path / f"{PREFIX}0123456789abcdef-0n").write_bytes(b"x")
    write_files({tmp_path / "a": b"a", tmp_path / "b": b"b"})
    assert len(everything(tmp_path)) == 4


def test_nothing_is_done_between_two_renames(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """So that a kill hardly ever falls there: second names are made, and all is noted, before the first."""
    done: list[str] = []
    for name in ("link", "fsync", "open"):
        real = getattr(writing.os, name)
        monkeypatch.setattr(writing.os, name, lambda *a, _r=real, _n=name, **k: (done.append(_n), _r(*a, **k))[1])
    real_replace = Path.replace
    monkeypatch.setattr(Path, "replace", lambda self, to: (done.append("replace"), real_replace(self, to))[1])
    for name in ("a", "b", "c"):
        (tmp_path / name).write_bytes(b"old")
    write_files({tmp_path / name: b"new" for name in ("a", "b", "c")})
    first = done.index("replace")
    assert done[first : first + 3] == ["replace"] * 3 and done.count("replace") == 3 and done.count("link") == 3
