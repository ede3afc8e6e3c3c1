"""The starter on the desktop, as each system wants it; every system is played here.

Windows: cmd reads %% in a file as %, and a command file in UTF-8 after `chcp 65001` (Microsoft, "cmd" and "chcp").
Linux: Desktop Entry Specification 1.5, "The Exec key"; xdg-user-dirs(5) for the folder.
"""

from __future__ import annotations

import os
import stat
import subprocess
import sys
from pathlib import Path

import pytest

from decalgen.cli.main import cli
from decalgen.commands import shortcut
from decalgen.commands.shortcut import Machine, desktop, put_shortcut, starter
from decalgen.core.errors import InputError, OutputError

ODD = 'my models, 50% "new" $HOME `x` it\'s ü'
POSIX = pytest.mark.skipif(os.name != "posix", reason="needs a shell of POSIX, and names that Windows has not")


@pytest.fixture
def home(tmp_path: Path) -> Path:
    made = tmp_path / "home"
    (made / "Desktop").mkdir(parents=True)
    return made


@pytest.fixture(autouse=True)
def no_gio(monkeypatch: pytest.MonkeyPatch) -> None:
    """No test tells the desktop of this machine anything."""
    monkeypatch.setattr(shortcut, "_trusted", lambda _: False)


def machine(system: str, home: Path, known_folder: str = "", **more: str) -> Machine:
    command = ("/opt/a b/decalgen",) if system != "win32" else ("C:\\a b\\decalgen.exe",)
    return Machine(system, {"HOME": str(home), **more}, command, lambda: known_folder)


def dirs(home: Path, text: str) -> None:
    (home / ".config").mkdir(exist_ok=True)
    (home / ".config" / "user-dirs.dirs").write_text(text, encoding="utf-8")


@pytest.mark.parametrize(
    ("system", "name"), [("win32", "decalgen.cmd"), ("darwin", "decalgen.command"), ("linux", "decalgen.desktop")]
)
def test_each_system_gets_its_starter_on_the_desktop_and_again_changes_nothing(
    system: str, name: str, home: Path, tmp_path: Path
) -> None:
    made = put_shortcut(tmp_path, machine(system, home))
    path = home / "Desktop" / name
    assert made.files == (path,) and [*(home / "Desktop").iterdir()] == [path]
    if system != "win32" and os.name == "posix":
        assert stat.S_IMODE(path.stat().st_mode) == 0o755
    before = path.read_bytes()
    os.utime(path, (1, 1))
    put_shortcut(tmp_path, machine(system, home))
    assert path.read_bytes() == before and path.stat().st_mtime == 1


@pytest.mark.parametrize("system", ["win32", "darwin", "linux"])
def test_another_file_of_that_name_is_never_replaced(system: str, home: Path, tmp_path: Path) -> None:
    put_shortcut(tmp_path, machine(system, home))
    (path,) = (home / "Desktop").iterdir()
    path.write_bytes(b"something of mine")
    with pytest.raises(OutputError, match="is there already") as caught:
        put_shortcut(tmp_path, machine(system, home))
    assert path.read_bytes() == b"something of mine" and caught.value.fix


def test_windows_says_itself_where_its_desktop_is(home: Path, tmp_path: Path) -> None:
    other = tmp_path / "OneDrive" / "Desktop"
    other.mkdir(parents=True)
    assert desktop(machine("win32", home, str(other))) == other
    assert desktop(machine("win32", home)) == home / "Desktop"


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ('XDG_DESKTOP_DIR="$HOME/Schreibtisch"\n', "Schreibtisch"),
        ('# a note\nXDG_DESKTOP_DIR="$HOME/Old"\nXDG_DESKTOP_DIR="$HOME/Bureau \\"x\\""\n', 'Bureau "x"'),
        ('XDG_MUSIC_DIR="$HOME/Music"\n', "Desktop"),
        ("XDG_DESKTOP_DIR=relative\n", "Desktop"),
    ],
)
@POSIX
def test_linux_has_it_in_user_dirs(home: Path, text: str, name: str) -> None:
    (home / name).mkdir(exist_ok=True)
    dirs(home, text)
    assert desktop(machine("linux", home)) == home / name


def test_linux_may_have_it_elsewhere_or_not_at_all(home: Path, tmp_path: Path) -> None:
    elsewhere = tmp_path / "wide"
    elsewhere.mkdir()
    dirs(home, f'XDG_DESKTOP_DIR="{elsewhere.as_posix()}"\n')
    if os.name == "posix":
        assert desktop(machine("linux", home)) == elsewhere
    dirs(home, 'XDG_DESKTOP_DIR="$HOME/"\n')
    with pytest.raises(InputError, match="no desktop"):
        desktop(machine("linux", home))
    dirs(home, 'XDG_DESKTOP_DIR="$HOME/none"\n')
    with pytest.raises(InputError, match="no desktop"):
        put_shortcut(tmp_path, machine("linux", home))
    config = tmp_path / "config"
    config.mkdir()
    (home / "Other").mkdir()
    (config / "user-dirs.dirs").write_text('XDG_DESKTOP_DIR="$HOME/Other"\n', encoding="utf-8")
    if os.name == "posix":
        assert desktop(machine("linux", home, XDG_CONFIG_HOME=str(config))) == home / "Other"


def test_on_windows_percent_signs_and_letters_of_any_script_are_meant_as_they_are(home: Path) -> None:
    rows = starter(machine("win32", home), Path("/models 100% ü")).split("\r\n")
    assert rows[0] == "@echo off" and "chcp 65001 >nul" in rows
    assert '"C:\\a b\\decalgen.exe" bench' in rows
    assert any(row.startswith("cd /d ") and row.endswith('models 100%% ü"') for row in rows)


@POSIX
def test_on_a_mac_any_name_of_a_folder_reaches_the_command(home: Path, tmp_path: Path) -> None:
    folder = tmp_path / ODD
    folder.mkdir()
    spy = tmp_path / "a command"
    spy.write_text('#!/bin/sh\npwd; echo "$@"\n', encoding="utf-8")
    spy.chmod(0o755)
    put_shortcut(folder, Machine("darwin", {"HOME": str(home)}, (str(spy),), str))
    done = subprocess.run([str(home / "Desktop" / "decalgen.command")], capture_output=True, text=True, check=True)
    assert done.stdout.splitlines() == [str(folder), "bench"]


@POSIX
def test_on_linux_the_exec_line_means_the_very_folder(home: Path, tmp_path: Path) -> None:
    """Read back as the specification says: first the escapes of a string, then the quoting, then %% as %."""
    folder = tmp_path / (ODD + " \\ end")
    folder.mkdir()
    text = starter(machine("linux", home), folder)
    (line,) = [row for row in text.splitlines() if row.startswith("Exec=")]
    string = line.removeprefix("Exec=").replace("\\\\", "\x00").replace("\x00", "\\")
    # A shell reads such quotes as the specification does.
    done = subprocess.run(["/bin/sh", "-c", f"printf '%s\\n' {string}"], capture_output=True, text=True, check=True)
    words = [one.replace("%%", "%") for one in done.stdout.splitlines()]
    assert words == ["/opt/a b/decalgen", "bench", str(folder)]
    assert "Terminal=true" in text and text.startswith("[Desktop Entry]\nType=Application\n")


def test_the_command_takes_the_present_folder_and_starts_this_very_decalgen(
    home: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "models"
    folder.mkdir()
    monkeypatch.chdir(folder)
    monkeypatch.setattr(shortcut.sys, "platform", "linux")
    monkeypatch.setenv("HOME", str(home))
    monkeypatch.delenv("XDG_CONFIG_HOME", raising=False)
    cli.main(["bench", "--shortcut"], standalone_mode=False)
    text = (home / "Desktop" / "decalgen.desktop").read_text(encoding="utf-8")
    assert str(folder) in text and str(Path(sys.executable).parent) in text
    said = capsys.readouterr().out
    assert "Allow Launching" in said and "double-click" in said


def test_a_folder_that_is_none_is_refused(home: Path, tmp_path: Path) -> None:
    with pytest.raises(InputError, match="is not a folder"):
        put_shortcut(tmp_path / "none", machine("linux", home))
    assert not [*(home / "Desktop").iterdir()]
