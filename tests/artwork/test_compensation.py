"""Inks that make up for the body: what is printed, how it looks there, and when it is not claimed.

The oracle is the model's own rule, tested against its formula in tests/colour/test_model.py: a colour can be reached
without white if and only if F(target) <= F(body) in every channel.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from decalgen.artwork.build import build
from decalgen.artwork.over_body import as_planned, as_printed, compensations
from decalgen.colour.advice import wanted_look
from decalgen.colour.difference import GOOD, delta_e
from decalgen.colour.model import attainable, look
from decalgen.colour.printer import PrinterColour
from decalgen.colour.typed import parse
from decalgen.job.colours import ink_of
from decalgen.job.model import InkSpec, Job, Paint
from decalgen.nesting.model import QUICK
from decalgen.pages.film import final
from decalgen.pages.plates import separated
from decalgen.sheet.arrange import arrange
from decalgen.sheet.plan import Plan
from tests.helpers import jobs
from tests.helpers.checks import check_jobs
from tests.helpers.commands import runner

RED = "#b3261e"
BEIGE, BROWN = "#e6d9bd", "#5b3a21"


def job(body: str, film: str = "clear", compensate: bool = True, name: str = "gannet") -> Job:
    one = jobs.job(jobs.decal("band", 20.0, 6.0, jobs.element("field", ink="red")), film=film, name=name)
    inks = (*one.inks, InkSpec("red", "process", RED, compensate=compensate))
    return replace(one, paints=(Paint("navy", body),), inks=inks)


def colours(*some: Job) -> list[str]:
    layout = arrange(some, Plan([jobs.film("clear"), jobs.film("white")], jobs.PRINTER, effort=QUICK))
    symbols = {
        item.symbol for page in final(layout, "t", None).pages for layer in page.layers for item in layer.items
        if hasattr(item, "symbol")
    }  # fmt: skip
    return sorted(fill.colour for symbol in symbols for fill in symbol.items)


def test_the_file_holds_the_ink_that_makes_up_for_the_body() -> None:
    (printed,) = colours(job(BEIGE))
    assert printed != RED
    # Over beige it looks like red on paper, nearer than red itself does.
    floor, k2 = PrinterColour().floor, PrinterColour().k2
    paper, beige = parse("#ffffff").xyz, parse(BEIGE).xyz
    wanted = wanted_look(ink_of(InkSpec("red", "process", RED)), PrinterColour())

    def miss(ink: str) -> float:
        seen = look(parse(ink).xyz, paper, beige, floor, k2)
        return delta_e(replace(wanted, xyz=seen), wanted)

    assert miss(printed) < miss(RED) and miss(printed) <= GOOD


def test_it_is_off_unless_asked_for_and_off_on_white_film() -> None:
    assert colours(job(BEIGE, compensate=False)) == [RED]
    assert colours(job(BEIGE, film="white")) == [RED]


@pytest.mark.parametrize("body", [BROWN, "#000000", "#1d2b4a"])
def test_what_cannot_be_reached_is_printed_as_given_and_said(body: str) -> None:
    dark = job(body)
    wanted = wanted_look(ink_of(dark.ink("red")), PrinterColour())
    assert not attainable(wanted.xyz, parse(body).xyz, PrinterColour().floor, PrinterColour().k2)
    assert compensations(build(dark, dark.decals[0]), dark, jobs.PRINTER) == {}
    assert colours(dark) == [RED]
    codes = {finding.code for finding in check_jobs([dark], jobs.PRINTER)}
    assert "colour-not-compensated" in codes and "colour-compensated" not in codes


def test_the_check_tells_which_ink_is_printed_and_no_longer_warns() -> None:
    found = {finding.code: finding for finding in check_jobs([job(BEIGE)], jobs.PRINTER)}
    (printed,) = colours(job(BEIGE))
    assert printed in found["colour-compensated"].message
    assert "from press data, not film on paint; print a swatch" in found["colour-compensated"].message
    assert "has no ICC profile of its own" in found["colour-compensated"].message
    assert "colour-film" not in found
    assert "colour-film" in {finding.code for finding in check_jobs([job(BEIGE, compensate=False)], jobs.PRINTER)}


def test_a_picture_of_it_goes_by_the_ink_that_is_printed() -> None:
    one = job(BEIGE)
    option = as_planned(build(one, one.decals[0]), one, jobs.PRINTER).options[0][1]
    assert option.way == "compensated" and option.delta_e <= GOOD


def test_one_ink_on_both_films_is_two_inks_for_the_plates() -> None:
    both = [job(BEIGE), job(BEIGE, film="white", name="petrel")]
    layout = arrange(both, Plan([jobs.film("clear"), jobs.film("white")], jobs.PRINTER, effort=QUICK))
    words = " ".join(file.name for file in separated(layout, both, "t", None).files)
    assert "red" in words and "over" in words


def test_a_printed_decal_is_not_made_up_for_twice() -> None:
    one = job(BEIGE)
    printed = as_printed(build(one, one.decals[0]), one, jobs.PRINTER)
    assert as_printed(printed, one, jobs.PRINTER) == printed


def test_one_name_in_two_jobs_keeps_both_colours() -> None:
    other = replace(job(BEIGE, "white", False, "petrel"), inks=(*jobs.INKS, InkSpec("red", "process", "#ff0000")))
    assert colours(job(BEIGE, "white", False), other) == sorted([RED, "#ff0000"])


def test_only_process_ink_can_be_mixed(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "tug.yaml").write_text(
        'job: tug\nbody: "#e6d9bd"\ninks: {red: {kind: spot, colour: "#b3261e", compensate: yes}}\n'
        "panels: {funnel: {width: 40 mm, height: 22 mm}}\n"
        "decals: {band: {panel: funnel, width: 30 mm, height: 8 mm, artwork: [field: {ink: red}]}}\n",
        encoding="utf-8",
    )
    said = runner(capsys)("check", str(tmp_path / "tug.yaml"))
    assert said.code != 0 and "tug.yaml:3:8" in said.err and "kind: process" in said.err


def test_an_ink_over_white_says_that_there_is_nothing_to_make_up_for() -> None:
    on_film = job(BEIGE, film="white")
    plain = job(BEIGE)
    on_backing = replace(plain, decals=tuple(replace(one, backing="white") for one in plain.decals))
    under = replace(plain, decals=tuple(replace(one, underlay="all") for one in plain.decals))
    white = replace(jobs.PRINTER, white=True)
    cases = (
        (on_film, jobs.PRINTER, "white film"),
        (on_backing, jobs.PRINTER, "backing of white"),
        (under, white, "white ink"),
    )
    for one, printer, words in cases:
        (note,) = [f for f in check_jobs([one], printer) if f.code == "colour-not-compensated"]
        assert note.severity == "note" and words in note.message
        asked_not = replace(one, inks=tuple(replace(ink, compensate=False) for ink in one.inks))
        assert "colour-not-compensated" not in {f.code for f in check_jobs([asked_not], printer)}
