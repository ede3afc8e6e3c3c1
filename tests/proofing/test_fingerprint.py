"""The fingerprint of what would be printed and the code that follows from it: what counts, and what does not."""

from __future__ import annotations

import itertools
import random
from dataclasses import fields, replace
from pathlib import Path
from typing import Any

import pytest

from decalgen.core.document import Line
from decalgen.job.films import load_film
from decalgen.job.loader import load_job
from decalgen.job.model import Film, Printer, UsedArea
from decalgen.nesting.model import QUICK
from decalgen.printer.history import FEEDS, History, Setting
from decalgen.proofing.fingerprint import (
    LENGTH,
    LETTERS,
    NOT_PRINTED_OF_FILM,
    NOT_SIZE,
    Fingerprint,
    code_of,
    fingerprint,
    typed_code,
    way_printed,
)
from decalgen.sheet.arrange import Arrangement, arrange
from decalgen.sheet.digest import NOT_NESTED, arrangement_digest, arrangement_parts
from decalgen.sheet.pieces import pieces
from decalgen.sheet.plan import Plan
from tests.helpers.jobs import PRINTER

JOB = """\
job: tug
scale: "1:43"
body: navy
inks: {lifebuoy orange: {colour: "#e8641b"}, spare: {colour: "#101010"}}
panels:
  door: {width: 22.4 mm ± 0.05, height: 11.6 mm ± 0.05}
decals:
  band:
    panel: door
    film: white
    width: panel.width - 2 mm
    height: 5 mm
    artwork: [{field: {ink: lifebuoy orange}}]
    copies: 4
variants:
  night: {inks: {lifebuoy orange: {colour: "#223344"}}}
  same: {title: The same again}
"""
OTHERS: dict[str, Any] = {
    "cut_off": (0,),
    "name": "other",
    "kind": "clear",
    "process": "laser",
    "width": 149.0,
    "height": 211.0,
    "used": (UsedArea(1.0, 2.0, 3.0, 4.0),),
    "sheets": 7,
    "adhesive": True,
    "used_polygons": (((0.0, 0.0), (1.0, 0.0), (1.0, 1.0)),),
    "marks": ((1.0, 2.0, 1),),
    "turned": True,
    "price": "1.00 EUR",
    "colour": "#eeeeee",
    "opacity": 0.5,
    "margins": (5.0, 6.0, 7.0, 8.0),
    "scale_x": 1.001,
    "scale_y": 1.001,
    "lean": 0.001,
    "dpi": 720,
    "shortest_sheet": 100.0,
}


def arranged(tmp_path: Path, text: str = JOB, variant: str | None = None) -> Arrangement:
    path = tmp_path / "tug.yaml"
    path.write_text(text, encoding="utf-8")
    return arrange([load_job(path, variant)], Plan((load_film("white A5"),), PRINTER, effort=QUICK))


def changed(before: Arrangement, **more: Any) -> list[str]:
    (sheet,) = before.sheets
    after = replace(before, sheets=(replace(sheet, **more),))
    return fingerprint(before).changed(fingerprint(after))


@pytest.mark.parametrize("name", [one.name for one in fields(Film)])
def test_each_value_of_the_film_counts_but_those_that_print_nothing(tmp_path: Path, name: str) -> None:
    before = arranged(tmp_path)
    film = replace(before.sheets[0].film, **{name: OTHERS[name]})
    assert changed(before, film=film) == ([] if name in NOT_PRINTED_OF_FILM else ["the film"])


@pytest.mark.parametrize("name", [one.name for one in fields(Printer) if one.name not in NOT_SIZE])
def test_each_value_of_the_printer_counts_that_decides_a_size(tmp_path: Path, name: str) -> None:
    before = arranged(tmp_path)
    assert changed(before, printer=replace(PRINTER, **{name: OTHERS[name]})) == ["the printer"]


def test_what_of_the_printer_decides_no_size_does_not(tmp_path: Path) -> None:
    assert changed(arranged(tmp_path), printer=replace(PRINTER, misregister=0.4)) == []


def test_pieces_places_and_marks_count(tmp_path: Path) -> None:
    before = arranged(tmp_path)
    (sheet,) = before.sheets
    assert changed(before, placed=sheet.placed[1:]) == ["the decals"]
    moved = replace(before, positions=(replace(before.positions[0], x=20.0), *before.positions[1:]))
    assert fingerprint(before).changed(fingerprint(moved)) == ["their positions"]
    first = before.positions[0]
    for one in (replace(first, turn=first.turn + 180), replace(first, y=first.y + 1.0), replace(first, sheet=2)):
        other = replace(before, positions=(one, *before.positions[1:]))
        assert fingerprint(before).changed(fingerprint(other)) == ["their positions"]
    tick = replace(sheet.ticks[0], points=((0.0, 0.0), (1.0, 1.0)))
    assert isinstance(tick, Line)
    assert changed(before, ticks=(tick, *sheet.ticks[1:])) == ["the marks beside them"]
    assert changed(before, leaders=(tick,)) == ["the marks beside them"]
    assert changed(before, labels=sheet.labels[1:]) == ["the marks beside them"]
    (x, y), *others = sheet.furniture.registration
    marks = replace(sheet.furniture, registration=((x + 0.5, y), *others))
    assert changed(before, furniture=marks) == ["the marks beside them"]
    # The bars stand on the proof alone, but a proof is measured by them.
    assert sheet.rest is not None and not sheet.bars.own_page
    assert changed(before, rest=tuple(value + 0.5 for value in sheet.rest)) == ["the marks beside them"]


def test_colours_and_variants_count_and_words_do_not(tmp_path: Path) -> None:
    before = fingerprint(arranged(tmp_path))
    recoloured = JOB.replace("#e8641b", "#e8641c")
    assert before.changed(fingerprint(arranged(tmp_path, recoloured))) == ["the decals"]
    assert before.changed(fingerprint(arranged(tmp_path, variant="night"))) == ["the decals"]
    # What is printed is the same: a title, a comment, an ink that is not used.
    for text, variant in (
        (JOB, "same"),
        (JOB + "# a remark\n", None),
        (JOB.replace("#101010", "#202020"), None),
        (JOB.replace("± 0.05", "± 0.06"), None),
    ):
        after = fingerprint(arranged(tmp_path, text, variant))
        assert after == before and code_of(after) == code_of(before)


def test_each_part_of_a_fingerprint_changes_the_code() -> None:
    one = Fingerprint("a", "b", "c", "d", "e")
    codes = {code_of(one), *(code_of(replace(one, **{part.name: "x"})) for part in fields(one))}
    assert len(codes) == 6


def test_codes_are_letters_that_cannot_be_mistaken_for_a_word() -> None:
    for n in range(500):
        code = code_of(Fingerprint(str(n), "", "", "", ""))
        assert len(code) == LENGTH and set(code) <= set(LETTERS)
        assert typed_code(code) == typed_code(f" {code[:2].lower()} {code[2:]}-") == code
    assert not set(LETTERS) & set("AEIOUQY") and len(LETTERS) == 19


def test_every_single_wrong_letter_and_every_swap_is_found() -> None:
    """What a check letter is for: a code with one letter mistyped, or two neighbours swapped, is none."""
    draw = random.Random(3)
    for _ in range(100):
        code = code_of(Fingerprint(str(draw.random()), "", "", "", ""))
        for place, letter in itertools.product(range(LENGTH), LETTERS):
            wrong = code[:place] + letter + code[place + 1 :]
            assert typed_code(wrong) == (code if wrong == code else "")
        for place in range(LENGTH - 1):
            wrong = code[:place] + code[place + 1] + code[place] + code[place + 2 :]
            assert typed_code(wrong) == (code if wrong == code else "")
        assert typed_code(code[:-1]) == typed_code(code + "B") == typed_code("") == ""


# ------------------------------------------------------------------------------------------ the arrangement's digest
def test_each_thing_that_decides_a_nest_changes_its_digest_and_its_own_part(tmp_path: Path) -> None:
    path = tmp_path / "tug.yaml"
    path.write_text(JOB, encoding="utf-8")
    everything = pieces([load_job(path)], PRINTER)
    plan = Plan((load_film("white A5"),), PRINTER)
    other = {
        "gap": replace(plan, gap=plan.gap + 0.5),
        "film": replace(plan, films=(replace(plan.films[0], adhesive=True),)),
        "printer": replace(plan, printer=replace(PRINTER, margins=(5.0, 6.0, 7.0, 8.0))),
    }
    for part, its in other.items():
        assert arrangement_digest(everything, its) != arrangement_digest(everything, plan), part
        parts, before = arrangement_parts(everything, its), arrangement_parts(everything, plan)
        assert [name for name in parts if parts[name] != before[name]] == [part]
    for more in ({"copy": 9}, {"turn": False}, {"group": "x"}):
        spoilt = (replace(everything[0], **more), *everything[1:])  # type: ignore[arg-type]
        assert arrangement_digest(spoilt, plan) != arrangement_digest(everything, plan), more
    for one in fields(Film):
        film = replace(plan.films[0], **{one.name: OTHERS[one.name]})
        same = arrangement_digest(everything, replace(plan, films=(film,))) == arrangement_digest(everything, plan)
        assert same == (one.name in NOT_NESTED), one.name


def test_codes_that_stand_on_printed_proofs_stay_valid() -> None:
    """Worked out by hand: the places of the letters, two, three, four and five times, summed, modulo 19."""
    assert LETTERS == "BCDFGHJKLMNPRSTVWXZ"
    for code in ("BBBBB", "CBBBD", "BCBBF", "BBCBG", "BBBCH", "CDFGD"):
        assert typed_code(code) == code


def test_another_way_of_feeding_is_another_way_of_printing() -> None:
    """A printer pulls paper in its own way along each path, so a proof of one path tells nothing of another."""
    usual = Setting("white A5", "white", 148.0, 210.0)
    ways = [
        usual,
        replace(usual, feed=FEEDS[1]),
        replace(usual, tray="rear"),
        replace(usual, tray="rear", feed=FEEDS[1]),
    ]
    told = [way_printed(replace(PRINTER, history=History(one, (), ()))) for one in ways]
    assert len(set(told)) == len(ways)
    assert told[0] == way_printed(PRINTER)
