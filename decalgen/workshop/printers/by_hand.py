"""The last way: a file is opened in whatever shows it, and what has to be set in the print dialog is listed, in general
words, for no two dialogs are alike."""

from __future__ import annotations

import os
import shutil
import sys
from contextlib import suppress
from pathlib import Path

from decalgen.workshop.printers.settings import PageSetup


def by_hand(path: Path, page: PageSetup, film: bool) -> list[str]:
    """Opens a file, where there is a screen, and gives what to set in the dialog. ``film``: it is no proof on plain
    paper."""
    head = f"opened {path}: " if opened(path) else f"open {path}, and "
    settings = dialog_settings(f"{page.width:g} × {page.height:g} mm", film, page.tray, page.paper)
    rows = [f"{head}print it with these settings:", *(f"  {row}" for row in settings)]
    return rows if film else [*rows, "then measure the bars, before any film is printed"]


def dialog_settings(size: str, film: bool, tray: str = "", paper: str = "") -> list[str]:
    """What is set in a print dialog for a page of that ``size``, in words, a line each."""
    paper = paper or ("the one you calibrated with" if film else "plain paper")
    return [
        f"paper: {size}, not turned; where there is no such size, set one up",
        "scale: 100 %, or actual size; nothing that fits, fills, shrinks or centres",
        "borderless: off, for it enlarges; one side of the sheet only",
        # Paper types for iron-on transfers mirror by themselves on some printers (common practice, no source).
        "mirror: off, and no paper type for transfers, which may mirror by itself",
        f"quality: best; paper type: {paper}",
        f"tray: {tray or 'the one you proved'}",
    ]


def opened(path: Path) -> bool:
    """Whether a file was handed to the program that shows such files; never where there is no screen."""
    import subprocess

    with suppress(OSError, ValueError):
        if sys.platform == "win32":
            os.startfile(path)
            return True
        program = shutil.which("open" if sys.platform == "darwin" else "xdg-open")
        screen = sys.platform == "darwin" or os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY")
        if program and screen:
            away = subprocess.DEVNULL
            subprocess.Popen([program, str(path)], stdin=away, stdout=away, stderr=away)
            return True
    return False
