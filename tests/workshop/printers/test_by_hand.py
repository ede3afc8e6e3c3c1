"""The way through the dialog: the file is opened by what the system has for that, and what to set is listed. What opens
is a stand-in on every system."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import pytest

from decalgen.workshop.printers import by_hand as module
from decalgen.workshop.printers.by_hand import by_hand, dialog_settings, opened
from decalgen.workshop.printers.settings import PageSetup

PAGE = PageSetup(148.0, 210.0, "rear", "transparency")


def test_on_windows_the_file_is_opened_and_the_settings_are_listed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shown: list[Path] = []
    monkeypatch.setattr(module.sys, "platform", "win32")
    monkeypatch.setattr(module.os, "startfile", shown.append, raising=False)
    path = tmp_path / "my sheet.pdf"
    rows = by_hand(path, PAGE, film=True)
    assert shown == [path] and rows[0] == f"opened {path}: print it with these settings:"
    assert rows[1:] == [f"  {row}" for row in dialog_settings("148 × 210 mm", True, "rear", "transparency")]
    assert "  scale: 100 %, or actual size; nothing that fits, fills, shrinks or centres" in rows
    assert "  mirror: off, and no paper type for transfers, which may mirror by itself" in rows
    assert "  quality: best; paper type: transparency" in rows and "  tray: rear" in rows
    # A proof is measured before film is spent.
    assert by_hand(path, PAGE, film=False)[-1] == "then measure the bars, before any film is printed"


def test_where_nothing_opens_pdf_files_on_windows_the_settings_are_listed_all_the_same(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails(path: Path) -> None:
        raise OSError("no application is associated with the file")

    monkeypatch.setattr(module.sys, "platform", "win32")
    monkeypatch.setattr(module.os, "startfile", fails, raising=False)
    rows = by_hand(tmp_path / "s.pdf", PAGE, film=True)
    assert rows[0] == f"open {tmp_path / 's.pdf'}, and print it with these settings:" and len(rows) == 7


@pytest.mark.skipif(sys.platform == "win32", reason="a script of a shell stands in for the opening program")
@pytest.mark.parametrize(("platform", "program"), [("darwin", "open"), ("linux", "xdg-open")])
def test_elsewhere_the_systems_own_program_opens_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, platform: str, program: str
) -> None:
    script, told = tmp_path / program, tmp_path / "told"
    os.mkfifo(told)
    script.write_text(f'#!/bin/sh\nprintf "%s" "$1" > "{told}"\n', encoding="utf-8")
    script.chmod(0o755)
    monkeypatch.setattr(module.sys, "platform", platform)
    monkeypatch.setenv("PATH", f"{tmp_path}{os.pathsep}{os.environ['PATH']}")
    monkeypatch.setenv("DISPLAY", ":0")
    assert opened(tmp_path / "my sheet.pdf")
    # Read once the program has written: it runs by itself.
    assert told.read_text(encoding="utf-8") == str(tmp_path / "my sheet.pdf")


def test_without_a_screen_nothing_is_opened(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module.sys, "platform", "linux")
    monkeypatch.delenv("DISPLAY", raising=False)
    monkeypatch.delenv("WAYLAND_DISPLAY", raising=False)
    assert not opened(tmp_path / "s.pdf")
