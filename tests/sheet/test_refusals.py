"""What `sheet` refuses, `check` says: each case is tried with both, with the same jobs and options."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest

from decalgen.artwork.drawn import artworks
from decalgen.preflight.surely_printed import SET_ASIDE, surely_printed
from decalgen.sheet.plan import Plan
from decalgen.sheet.refusals import refusals
from tests.helpers import jobs
from tests.helpers.commands import Run, runner

run = pytest.fixture(runner)


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)


DECK = "panels:\n  deck: {width: 250 mm, height: 300 mm}\n"
HEAD = f'job: tug\nbody: "#ffffff"\ninks: {{orange: "#e8641b"}}\nfilm: white\n{DECK}'
FIELD = "artwork: [field: {ink: orange}]"


def decal(name: str = "a", size: str = "20 x 8", more: str = "") -> str:
    wide, high = size.split(" x ")
    return f"  {name}: {{panel: deck, width: {wide} mm, height: {high} mm, {more}{', ' if more else ''}{FIELD}}}\n"


LASER = ("--printer", "laser.yaml")
SMALL = ("--film", "small.yaml")
ONE = ("--film", "one.yaml")
USED = ("--film", "used.yaml")
CASES = {
    "inkjet film, laser printer": (decal(), ("--film", "white A5 inkjet", *LASER), "film-process"),
    "clear film for white": (decal(), ("--film", "clear A5"), "film-unsuited"),
    "larger than any A5": (decal(size="200 x 100"), (), "film-too-small"),
    "larger than its film": (decal(size="60 x 30"), SMALL, "film-too-small"),
    "goes on turned only, and may not turn": (
        decal(size="60 x 110", more="turn: no"),
        ("--film", "white A6 landscape"),
        "film-too-small",
    ),
    "film smaller than its margins": (decal(), ("--film", "tiny.yaml"), "film-unsuited"),
    "too many for one sheet": (decal(size="60 x 60", more="copies: 9"), ONE, "film-too-small"),
    "kept together on too small a sheet": (
        decal(size="60 x 60", more="copies: 9, keep together: yes"),
        (),
        "film-too-small",
    ),
    "pinned in the margin": (decal(more="pin: {at: [1 mm, 1 mm]}"), (), "pin-refused"),
    "pinned off the film": (decal(more="pin: {at: [300 mm, 20 mm]}"), (), "pin-refused"),
    "pinned on used film": (decal(more="pin: {at: [30 mm, 130 mm]}"), USED, "pin-refused"),
    "pinned on a sheet that is not there": (decal(more="pin: {at: [30 mm, 30 mm], sheet: 2}"), ONE, "pin-refused"),
    "two pinned onto each other": (
        decal("a", more="pin: {at: [30 mm, 30 mm]}") + decal("b", more="pin: {at: [35 mm, 32 mm]}"),
        (),
        "pin-refused",
    ),
    "a film given twice": (decal(), ("--film", "white A5", "--film", "white A5"), "cannot-print"),
    "a gap that is none": (decal(), ("--gap", "500 mm"), "cannot-print"),
    "an effort that is none": (decal(), ("--effort", "great"), "cannot-print"),
    "an empty drawer": (decal(), ("--film", "drawer"), "cannot-print"),
}
GOOD = {
    "plain": (decal(), ()),
    "as large as an A5 takes": (decal(size="120 x 170"), ()),
    "turned to go on": (decal(size="60 x 110"), ("--film", "white A6 landscape")),
    "several on one sheet": (decal(size="50 x 50", more="copies: 4"), ONE),
    "kept together": (decal(size="40 x 40", more="copies: 4, keep together: yes"), ()),
    "pinned where it may lie": (decal(more="pin: {at: [30 mm, 60 mm]}"), ()),
    "beside what is used": (decal(), USED),
    "laser film, laser printer": (decal(), ("--film", "white A5 laser", *LASER)),
}
FILES = {
    "laser": "printer: laser\nprocess: laser\n",
    "small": "film: small\nkind: white\nprocess: inkjet\nwidth: 50 mm\nheight: 60 mm\n",
    "tiny": "film: tiny\nkind: white\nprocess: inkjet\nwidth: 15 mm\nheight: 15 mm\n",
    "one": "film: one\nkind: white\nprocess: inkjet\nsheet: A5\nsheets: 1\n",
    "used": (
        "film: used\nkind: white\nprocess: inkjet\nsheet: A5\nused: [{at: [20 mm, 120 mm], size: [60 mm, 60 mm]}]\n"
    ),
}


def _write(text: str) -> None:
    Path("tug.yaml").write_text(f"{HEAD}decals:\n{text}", encoding="utf-8")
    for name, content in FILES.items():
        Path(f"{name}.yaml").write_text(content, encoding="utf-8")


def _sheet(run: Run, options: tuple[str, ...]) -> int:
    return run("sheet", "tug.yaml", "-o", "out.pdf", "--without-proof", "a trial", *options).code


@pytest.mark.parametrize("name", CASES)
def test_what_sheet_refuses_check_says(run: Run, name: str) -> None:
    text, options, code = CASES[name]
    _write(text)
    assert _sheet(run, options) in (1, 5, 6), "the sheet is made after all"
    said = run("check", "tug.yaml", *options)
    assert said.code == 7, said.text
    found = json.loads(run("check", "tug.yaml", "--json", *options).out)["findings"]
    errors = [one for one in found if one["severity"] == "error"]
    assert [one["code"] for one in errors] == [code], errors
    assert errors[0]["fix"]
    if code in ("film-too-small", "pin-refused"):
        assert errors[0]["place"]["line"] in (8, 9)


@pytest.mark.parametrize("name", GOOD)
def test_what_sheet_prints_check_lets_pass(run: Run, name: str) -> None:
    text, options = GOOD[name]
    _write(text)
    assert _sheet(run, options) == 0
    assert run("check", "tug.yaml", *options).code == 0


def test_every_decal_that_is_too_large_is_told(run: Run) -> None:
    _write(decal("a", "200 x 100") + decal("b") + decal("c", "150 x 200"))
    found = json.loads(run("check", "tug.yaml", "--json").out)["findings"]
    assert [one["subject"] for one in found if one["code"] == "film-too-small"] == ["a", "c"]


def test_a_job_without_decals_is_no_error(run: Run) -> None:
    Path("tug.yaml").write_text(HEAD, encoding="utf-8")
    said = run("check", "tug.yaml")
    assert said.code == 0
    assert "nothing-to-print" in said.text


@pytest.mark.parametrize("margin", [0.0, 5.0, 12.0])
@pytest.mark.parametrize("size", [(60.0, 60.0), (105.0, 148.0), (148.0, 210.0), (210.0, 297.0), (297.0, 100.0)])
def test_what_is_passed_at_a_glance_is_never_refused(size: tuple[float, float], margin: float) -> None:
    """The largest decal that a glance lets pass goes beside marks and text."""
    wide, high = size[0] - 2 * margin - SET_ASIDE, size[1] - 2 * margin - SET_ASIDE
    if min(wide, high) < 1:
        pytest.skip("nothing is passed at a glance")
    printer = replace(jobs.PRINTER, margins=(margin,) * 4)
    field = jobs.element("field", ink="navy")
    job = jobs.job(jobs.decal("a", wide - 1.0, high - 1.0, field, turn=False, bleed=0.5))
    films = (jobs.film("white", *size),)
    arts = artworks(job)
    assert surely_printed(arts, films, printer)
    assert refusals([job], Plan(films, printer), {job.name: arts}) == []
