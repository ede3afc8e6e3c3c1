"""What goes wrong on the way to a print shop's file: one clear message, and what was there is untouched."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path

import pytest
from PIL import Image, ImageCms

from decalgen.colour.icc import shipped
from tests.helpers.commands import Run, folder, runner

JOB = """job: tug
title: Harbour tug
date: 2026-11-25
body: navy
film: white
paints: {navy: "#1d2b4a"}
inks: {lifebuoy orange: {colour: "#e8641b"}}
panels: {door: {width: 22.4 mm, height: 11.6 mm}}
decals: {band: {panel: door, width: 20 mm, height: 5 mm, artwork: [field: {ink: lifebuoy orange}]}}
"""
PRINTER = """printer: shop
process: inkjet
margins: [5 mm, 5 mm, 10 mm, 5 mm]
colour:
  profile: mine.icc
"""
PRESS = ("sheet", "tug.yaml", "--for", "press", "--printer", "shop.yaml", "-o", "tug-press.pdf")


def picture() -> bytes:
    """A whole JPEG file."""
    made = BytesIO()
    Image.new("RGB", (40, 30), (200, 90, 30)).save(made, "JPEG")
    return made.getvalue()


def screen() -> bytes:
    return ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    monkeypatch.chdir(tmp_path)
    Path("tug.yaml").write_text(JOB, encoding="utf-8")
    Path("shop.yaml").write_text(PRINTER, encoding="utf-8")
    Path("mine.icc").write_bytes(shipped().data)
    Path("tug-press.pdf").write_bytes(b"an older result")
    return runner(capsys)


def test_a_sound_profile_goes_into_the_file(run: Run) -> None:
    """What the mistakes below are mistakes beside."""
    said = run(*PRESS)
    assert said.code == 0, said.text
    assert Path("tug-press.pdf").read_bytes().startswith(b"%PDF-1.6")


@pytest.mark.parametrize("words", [PRESS, ("check", "tug.yaml", "--printer", "shop.yaml")])
@pytest.mark.parametrize(
    ("profile", "message"),
    [
        (picture(), "mine.icc is a JPEG picture, not an ICC profile"),
        (screen(), "mine.icc is a display profile (RGB), not a printer profile"),
        (shipped().data[:2000], "mine.icc"),
        (b"", "mine.icc is not an ICC profile"),
    ],
    ids=["jpeg", "screen", "cut short", "empty"],
)
def test_a_profile_that_is_none(run: Run, words: tuple[str, ...], profile: bytes, message: str) -> None:
    Path("mine.icc").write_bytes(profile)
    before = folder()
    said = run(*words)
    assert (said.code, said.out) == (2, "")
    assert message in said.err
    assert "shop.yaml:5:12" in said.err and "fix: " in said.err
    assert folder() == before


def test_a_job_without_a_date_leaves_the_older_file(run: Run) -> None:
    text = Path("tug.yaml").read_text(encoding="utf-8")
    Path("tug.yaml").write_text(text.replace("date: 2026-11-25\n", ""), encoding="utf-8")
    before = folder()
    said = run(*PRESS)
    assert said.code == 1
    assert "title and a date" in said.err
    assert folder() == before


def test_another_ending_than_pdf(run: Run) -> None:
    before = folder()
    said = run(*PRESS[:-1], "tug.svg")
    assert said.code == 4
    assert "'tug.svg' is not a PDF" in said.err
    assert folder() == before


def test_a_print_shop_takes_laser_film(run: Run) -> None:
    """What printer stands at home says nothing of the shop's."""
    Path("shop.yaml").write_text(PRINTER.replace("process: inkjet", "process: laser"), encoding="utf-8")
    said = run(*PRESS, "--film", "white A5 inkjet")
    assert said.code == 0, said.err
    home = run(*PRESS[:2], *PRESS[4:6], "--film", "white A5 inkjet", "-o", "tug-sheet.pdf")
    assert home.code != 0 and "hot fuser" in home.err
