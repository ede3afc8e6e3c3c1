"""The starter that the set-up leaves beside the README: a double-click opens a terminal in which `decalgen` works."""

from __future__ import annotations

import os
import stat
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from tests.house.test_start import REPOSITORY, World, bootstrap

NAMES = {"win32": "start-decalgen.cmd", "darwin": "start-decalgen.command", "linux": "start-decalgen.sh"}
POSIX = pytest.mark.skipif(os.name != "posix", reason="needs a shell of POSIX")


@pytest.fixture
def world(tmp_path: Path) -> World:
    root = tmp_path / "a place with ü & spaces"
    root.mkdir()
    return World(root)


def ready(world: World) -> Any:
    """A project that is set up, with a command that says where it was started."""
    setup = world.setup()
    setup.prepare("")
    command = world.root / ".venv" / "bin" / "decalgen"
    command.write_text('#!/bin/sh\necho "decalgen $* in $(pwd)"\n', encoding="utf-8")
    command.chmod(0o755)
    return setup


@pytest.mark.parametrize("system", NAMES)
def test_each_system_has_its_starter_and_no_path_is_written_into_it(system: str) -> None:
    name, text = bootstrap.starter(system)
    assert name == NAMES[system] and text.isascii()
    assert str(REPOSITORY) not in text and "NAME" not in text and "FOLDER" not in text
    assert (text.count("\r\n") == text.count("\n")) is (system == "win32")
    assert text.startswith("@echo off" if system == "win32" else "#!/bin/sh\n")


def test_on_windows_it_finds_the_command_beside_itself_and_keeps_the_window_open() -> None:
    """%~dp0 is the folder of the file, with its backslash; cmd /k goes on after the commands (Microsoft, "cmd")."""
    lines = bootstrap.starter("win32")[1].split("\r\n")
    assert 'set "PATH=%~dp0.venv\\Scripts;%PATH%"' in lines
    assert 'cd /d "%USERPROFILE%\\decals"' in lines and lines[-2:] == ["cmd /k", ""]


@pytest.mark.needs("git")
@pytest.mark.parametrize("name", NAMES.values())
def test_it_is_never_kept_with_the_project(name: str) -> None:
    done = subprocess.run(["git", "check-ignore", "-q", name], cwd=REPOSITORY, check=False)
    assert done.returncode == 0


@POSIX
def test_it_is_written_once_may_be_run_and_is_made_again_where_it_is_gone_or_old(world: World) -> None:
    setup = world.setup()
    assert setup.leave_starter("linux") == "start-decalgen.sh"
    path = world.root / "start-decalgen.sh"
    assert path.stat().st_mode & stat.S_IXUSR
    os.utime(path, (1, 1))
    setup.leave_starter("linux")
    assert path.stat().st_mtime == 1
    path.write_text("of an earlier version", encoding="utf-8")
    setup.leave_starter("linux")
    assert path.read_text(encoding="utf-8") == bootstrap.starter("linux")[1]


def test_where_it_cannot_be_written_the_whole_path_is_still_said(world: World) -> None:
    (world.root / bootstrap.starter(sys.platform)[0]).mkdir()
    setup = world.setup()
    assert setup.leave_starter() == ""
    lines = setup.how_to_call()
    assert "double-click" not in lines[0] and setup.command() in lines[-1]


@POSIX
@pytest.mark.parametrize("name", ["linux", "darwin"])
def test_decalgen_works_in_the_shell_that_it_opens(world: World, name: str, tmp_path: Path) -> None:
    setup = ready(world)
    home = tmp_path / "home"
    home.mkdir()
    shell = tmp_path / "shell"
    shell.write_text("#!/bin/sh\ndecalgen check van.yaml\n", encoding="utf-8")
    shell.chmod(0o755)
    starter = world.root / setup.leave_starter(name)
    environment = {"PATH": "/usr/bin:/bin", "HOME": str(home), "SHELL": str(shell)}
    done = subprocess.run(
        [str(starter), "in a terminal"], capture_output=True, text=True, env=environment, check=True, cwd="/"
    )
    assert done.stdout.splitlines()[-1] == f"decalgen check van.yaml in {home / 'decals'}"
    assert str(home / "decals") in done.stdout.splitlines()[1]


@POSIX
@pytest.mark.parametrize(
    ("terminal", "before"), [("xterm", "-e"), ("gnome-terminal", "--"), ("xfce4-terminal", "-x"), ("konsole", "-e")]
)
def test_without_a_terminal_it_opens_one_once(world: World, tmp_path: Path, terminal: str, before: str) -> None:
    setup = ready(world)
    tools = tmp_path / "tools"
    tools.mkdir()
    (tools / terminal).write_text('#!/bin/sh\nprintf "%s\\n" "$@"\n', encoding="utf-8")
    (tools / terminal).chmod(0o755)
    (tools / "dirname").symlink_to("/usr/bin/dirname")
    starter = world.root / setup.leave_starter("linux")
    done = subprocess.run(
        ["/bin/sh", str(starter)],
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        env={"PATH": str(tools), "HOME": str(tmp_path)},
        check=True,
    )
    assert done.stdout.splitlines() == [before, "/bin/sh", str(starter), "in a terminal"]


@POSIX
def test_a_starter_whose_project_is_gone_says_what_to_do(world: World, tmp_path: Path) -> None:
    starter = world.root / world.setup().leave_starter("linux")
    done = subprocess.run(
        ["/bin/sh", str(starter), "in a terminal"],
        capture_output=True,
        text=True,
        env={"PATH": "/usr/bin:/bin", "HOME": str(tmp_path)},
        check=False,
    )
    assert done.returncode == 1 and "demo/run.py" in done.stdout
    assert not (tmp_path / "decals").exists()


class Inside:
    """A set-up that is ready and inside its own Python."""

    def __init__(self, setup: Any) -> None:
        self.setup = setup

    def prepare(self, extra: str) -> None:
        pass

    def inside(self) -> bool:
        return True

    def how_to_call(self) -> list[str]:
        return list(self.setup.how_to_call())


def leaves(code: object) -> Any:
    def inner(arguments: list[str]) -> int:
        raise SystemExit(code)

    return inner


@pytest.mark.parametrize("inner", [lambda arguments: 0, leaves(0), leaves(None)])
def test_after_the_demo_one_is_told_how_to_call_the_command(
    world: World, capsys: pytest.CaptureFixture[str], inner: Any
) -> None:
    setup = world.setup()
    assert not bootstrap.start("demo/run.py", "", inner, Inside(setup))
    first, shortcut, _, last = capsys.readouterr().err.splitlines()
    assert bootstrap.starter(sys.platform)[0] in first and "desktop" in shortcut and "--shortcut" in shortcut
    # A path that has spaces is typed between quotation marks; the last line opens the page.
    assert last == f'  "{setup.command()}" bench'


def test_a_demo_that_failed_ends_with_its_own_words(world: World, capsys: pytest.CaptureFixture[str]) -> None:
    assert bootstrap.start("demo/run.py", "", leaves(3), Inside(world.setup())) == 3
    assert capsys.readouterr().err == ""
