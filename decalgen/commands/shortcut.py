"""A starter on the desktop: double-clicked, it opens the page with the jobs of a folder.

Windows: a command file in the folder that the system names as the desktop (Known Folders, FOLDERID_Desktop). macOS: a
.command file in ~/Desktop. Elsewhere: a .desktop file (Desktop Entry Specification 1.5) in the folder that
user-dirs.dirs names (xdg-user-dirs), else ~/Desktop.
"""

from __future__ import annotations

import os
import re
import shlex
import subprocess
import sys
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from pathlib import Path

from decalgen.commands.options import Answer, FileGroup, Result
from decalgen.core.command_line import typed
from decalgen.core.errors import DecalgenError, InputError, OutputError
from decalgen.core.files import make_folder, write_first
from decalgen.core.small_files import read_small
from decalgen.core.values import dataclass

MOST_BYTES = 100_000
_DESKTOP_DIR = re.compile(r'^XDG_DESKTOP_DIR="(.*)"\s*$', re.MULTILINE)
_FOLDERID_DESKTOP = "{B4BFCC3A-DB2C-424C-B029-7FE99A87C641}"

WINDOWS = """@echo off
rem Opens decalgen's page in the browser. Delete this file if you do not want it.
chcp 65001 >nul
title decalgen
if not exist FOLDER mkdir FOLDER
cd /d FOLDER
COMMAND bench
if errorlevel 1 pause
"""
MAC = """#!/bin/sh
# Opens decalgen's page in the browser. Delete this file if you do not want it.
mkdir -p FOLDER
cd FOLDER || exit 1
exec COMMAND bench
"""
LINUX = """[Desktop Entry]
Type=Application
Version=1.5
Name=decalgen
Comment=Decals for small die-cast toy vehicles
Exec=COMMAND bench FOLDER
Terminal=true
Categories=Graphics;
"""


@dataclass(frozen=True)
class Machine:
    """Where a starter is put: the system as `sys.platform` names it, its variables, the command that starts decalgen,
    and what asks Windows for the desktop."""

    system: str
    environment: Mapping[str, str]
    command: Sequence[str]
    known_folder: Callable[[], str]


def this_machine() -> Machine:
    """The machine that decalgen runs on."""
    return Machine(sys.platform, os.environ, _command(), _known_folder)


def put_shortcut(folder: Path, machine: Machine | None = None) -> Result:
    """Puts the starter for the jobs of a folder on the desktop. Raises OutputError where another file of its name is
    there, or the desktop cannot be written; InputError for what is no folder, or where no desktop is known."""
    machine = machine or this_machine()
    folder = folder.resolve()
    if not folder.is_dir():
        raise InputError(f"'{folder}' is not a folder", fix="name the folder that your job files are in")
    path = desktop(machine) / f"decalgen.{_ending(machine)}"
    data = starter(machine, folder).encode("utf-8")
    if not write_first(path, data) and read_small(path, MOST_BYTES) != data:
        raise OutputError(
            f"'{path}' is there already, and is another file", fix="rename it or delete it, then type this again"
        )
    if machine.system != "win32":
        path.chmod(0o755)
    lines = [f"it opens the page with the jobs in '{folder}'"]
    if _ending(machine) == "desktop" and not _trusted(path):
        lines.append("if your desktop asks, right-click it and choose Allow Launching")
    done = Answer("put a starter on the desktop", typed(["decalgen", "bench"]), (FileGroup("double-click", (path,)),))
    return Result((path,), (), tuple(lines), done)


def desktop(machine: Machine) -> Path:
    """The folder of the desktop. Raises InputError where there is none."""
    known = machine.environment
    home = Path(known.get("HOME") or known.get("USERPROFILE") or Path.home())
    if machine.system == "win32":
        return _there(Path(machine.known_folder() or home / "Desktop"))
    if machine.system == "darwin":
        return _there(home / "Desktop")
    config = known.get("XDG_CONFIG_HOME", "")
    rows = (Path(config) if config.startswith("/") else home / ".config") / "user-dirs.dirs"
    named = ""
    with suppress(InputError):
        found = _DESKTOP_DIR.findall(read_small(rows, MOST_BYTES).decode("utf-8", "replace"))
        named = re.sub(r"\\(.)", r"\1", found[-1]) if found else ""
    if named.startswith("$HOME"):
        path = home / named.removeprefix("$HOME").lstrip("/")
    else:
        path = Path(named) if named.startswith("/") else home / "Desktop"
    if path == home:
        # So the specification says that there is no such folder.
        raise _no_desktop(rows)
    return _there(path)


def starter(machine: Machine, folder: Path) -> str:
    """The text of the starter."""
    if machine.system == "win32":
        command = " ".join(_of_cmd(one) for one in machine.command)
        text = WINDOWS.replace("COMMAND", command).replace("FOLDER", _of_cmd(str(folder)))
        return text.replace("\n", "\r\n")
    if machine.system == "darwin":
        return MAC.replace("COMMAND", shlex.join(machine.command)).replace("FOLDER", shlex.quote(str(folder)))
    command = " ".join(_of_entry(one) for one in machine.command)
    return LINUX.replace("COMMAND", command).replace("FOLDER", _of_entry(str(folder)))


def _ending(machine: Machine) -> str:
    return {"win32": "cmd", "darwin": "command"}.get(machine.system, "desktop")


def _there(path: Path) -> Path:
    if not path.is_dir():
        raise _no_desktop(path)
    return make_folder(path)


def _no_desktop(path: Path) -> DecalgenError:
    return InputError(
        f"there is no desktop to put it on (looked at '{path}')", fix="open the page by typing `decalgen bench`"
    )


def _of_cmd(word: str) -> str:
    """A word between quotation marks, as cmd reads it in a file: a percent sign is written twice."""
    return f'"{word.replace("%", "%%")}"'


def _of_entry(word: str) -> str:
    """An argument of Exec (Desktop Entry Specification 1.5, "The Exec key"): quoted, a field's percent sign twice; and
    each backslash twice once more, as the value is a string."""
    quoted = re.sub(r'(["`$\\])', r"\\\1", word).replace("%", "%%")
    return '"' + quoted.replace("\\", "\\\\") + '"'


def _command() -> Sequence[str]:
    """What starts decalgen again, as it was started: its own command beside Python, or Python with the package."""
    beside = Path(sys.executable).with_name("decalgen.exe" if os.name == "nt" else "decalgen")
    return [str(beside)] if beside.is_file() else [sys.executable, "-m", "decalgen"]


def _trusted(path: Path) -> bool:
    """Tells the desktop that the user put the file there, where it can be told so."""
    try:
        done = subprocess.run(
            ["gio", "set", str(path), "metadata::trusted", "true"], capture_output=True, check=False, timeout=5
        )
    except (OSError, subprocess.SubprocessError):
        return False
    return done.returncode == 0


def _known_folder() -> str:
    """The desktop as Windows names it, which may have moved it to another drive or to a cloud; '' where it does not
    say (SHGetKnownFolderPath, shlobj_core.h)."""
    import ctypes
    from uuid import UUID

    windll = getattr(ctypes, "windll", None)
    if windll is None:
        return ""
    asked = (ctypes.c_byte * 16).from_buffer_copy(UUID(_FOLDERID_DESKTOP).bytes_le)
    found = ctypes.c_wchar_p()
    if windll.shell32.SHGetKnownFolderPath(ctypes.byref(asked), 0, None, ctypes.byref(found)):
        return ""
    named = found.value or ""
    windll.ole32.CoTaskMemFree(found)
    return named
