"""The command `sheet`: what does not go together is refused, and what is given no name is named after the job."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.helpers.commands import Run, folder, runner

JOB = """\
job: tug
title: Harbour tug
date: 2026-11-25
body: "#d9d2c0"
film: white
inks: {teal: {colour: "#1f7f86"}}
panels: {funnel: {width: 40 mm, height: 22 mm}}
decals: {band: {panel: funnel, width: 30 mm, height: 8 mm, artwork: [field: {ink: teal}]}}
"""


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    monkeypatch.chdir(tmp_path)
    Path("tug.yaml").write_text(JOB, encoding="utf-8")
    return runner(capsys)


def test_a_print_shop_makes_its_own_plates(run: Run) -> None:
    said = run("sheet", "tug.yaml", "--plates", "--for", "press")
    assert said.code == 64 and "makes its own plates" in said.err and set(folder()) == {"tug.yaml"}


def test_files_without_a_name_are_named_after_the_job_and_what_they_are_for(run: Run) -> None:
    assert run("sheet", "tug.yaml", "--without-proof", "a trial", "--plates").code == 0
    assert "tug-sheet.pdf" in folder()
    assert run("sheet", "tug.yaml", "--for", "press").code == 0
    assert "tug-press.pdf" in folder()
