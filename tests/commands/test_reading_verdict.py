"""What is said of a reading while it is typed, held against what `decalgen measure` says once it is taken."""

from __future__ import annotations

from pathlib import Path

import pytest

from decalgen.commands.measure import Measuring
from decalgen.commands.questions import Slot, all_slots
from decalgen.commands.reading_verdict import ReadingVerdict, Typed, reading_verdict
from decalgen.commands.readings_typed import typed_boxes
from decalgen.core.errors import DecalgenError
from decalgen.core.instruments import instruments
from decalgen.job.edits import values

JOB = """\
job: tug
title: Tug
scale: "1:43"
film: white
body: white
panels:
  door:
    width: ?
    height: 11.60 mm
    obstacles:
      handle:
        rectangle: [3.0 mm, 0.8 mm]
        at: [16.5 mm, 8.2 mm]
  bonnet:
    chord: 24.20 mm
    rise: ?
    length: 19.50 mm
decals:
  mark:
    panel: door
    width: 3 mm
    height: 3 mm
    artwork:
      - field: {ink: black}
inks:
  black: "#000000"
"""
WIDTH, RISE = ("panels", "door", "width"), ("panels", "bonnet", "rise")


@pytest.fixture
def path(tmp_path: Path) -> Path:
    found = tmp_path / "tug.yaml"
    found.write_text(JOB, encoding="utf-8")
    return found


def slot(at: tuple[str, ...]) -> Slot:
    return next(one for one in all_slots(values(JOB)) if one.path == at)


def said(
    path: Path, *boxes: str, at: tuple[str, ...] = WIDTH, by: str = "", writing: int | None = None
) -> ReadingVerdict:
    return reading_verdict(JOB, path, slot(at), Typed(boxes, by, writing))


@pytest.mark.parametrize(
    ("at", "typed"),
    [
        (WIDTH, "22.4"),
        (WIDTH, "22,40 22,42 22,38 ± 0,05"),
        (WIDTH, "0.88"),
        (WIDTH, "22.4 in"),
        (WIDTH, "22.40 22.42 32.41"),
        (WIDTH, "22.40 24.20"),
        (WIDTH, "1000000"),
        (WIDTH, "22.4.5"),
        (WIDTH, "a lot"),
        (WIDTH, "22.4 by hammer"),
        (WIDTH, "22.4 by steel rule"),
        (WIDTH, "7/8"),
        (WIDTH, "7/8 in"),
        (RISE, "14"),
        (RISE, "1.1"),
        (RISE, "1.1 ± 2"),
    ],
)
def test_it_is_what_the_command_says_on_enter(path: Path, at: tuple[str, ...], typed: str) -> None:
    measuring = Measuring(path)
    question = measuring.question()
    while question is not None and question.path != at:
        measuring.answer(question, "")
        question = measuring.question()
    assert question is not None
    found = said(path, typed, at=at)
    try:
        doubts = measuring.answer(question, typed)
    except DecalgenError as error:
        assert found.wrong == f"{error.message}: {error.fix}" and not found.doubts
        assert path.read_text(encoding="utf-8") == JOB
        return
    assert not found.wrong and len(doubts) == len(found.doubts)
    for one, other in zip(doubts, found.doubts, strict=True):
        message, _, fix = one.partition("\nfix: ")
        fix = fix.removesuffix("; 'back' asks for it again")
        assert other == f"{message.removeprefix('look again: door: ')}: {fix}"


@pytest.mark.parametrize("word", ["11.6", "22.40", "1.10", "22.4 mm", "7/8 in", "22.4 mm ± 0.05", "22.4 by steel rule"])
def test_nothing_is_called_wrong_on_the_way_to_a_good_reading(path: Path, word: str) -> None:
    at = RISE if word == "1.10" else WIDTH
    if word == "11.6":
        # Beside a handle that far to the right no panel of 11.6 mm can be: so on the one that has none.
        at = RISE
        word = "1.16"
    assert said(path, word, at=at).made
    for length in range(1, len(word)):
        found = said(path, word[:length], at=at, writing=0)
        assert not found.wrong and not found.doubts, word[:length]


def test_nothing_is_called_odd_on_the_way_to_the_third_reading(path: Path) -> None:
    for length in range(1, 6):
        assert not said(path, "22.40", "22.42", "22.38"[:length], writing=2).doubts


@pytest.mark.parametrize("typed", ["22.4.5", "224000", "22.4 x", "0.88", "22.4 by hammer"])
def test_what_more_keys_cannot_mend_is_said_while_typing(path: Path, typed: str) -> None:
    assert said(path, typed, writing=0).wrong


def test_the_odd_one_of_three_is_said_while_the_caret_is_in_it(path: Path) -> None:
    (doubt,) = said(path, "22.40", "22.42", "24.20", writing=2).doubts
    assert "two digits of 24.20 look swapped: measure it again" in doubt


def test_a_begun_number_is_wrong_once_it_is_left(path: Path) -> None:
    assert not said(path, "1", writing=0).wrong
    assert "lies outside" in said(path, "1").wrong


def test_the_instrument_beside_the_boxes_is_the_one_that_is_reckoned_with(path: Path) -> None:
    """A steel rule: ±0.46 mm (k = 2) for one reading; a caliper of DIN 862 up to 100 mm: 0.02 mm/√3, k = 2."""
    assert said(path, "22.4", by="steel rule").made == "22.40 ± 0.46 mm"
    assert said(path, "22.4").made == said(path, "22.4", by="caliper").made == "22.40 ± 0.02 mm"
    assert said(path, "22.4 by steel rule", by="caliper").made == "22.40 ± 0.46 mm"


def test_the_sizes_are_those_that_the_panel_would_have(path: Path) -> None:
    found = said(path, "1.1", at=RISE, by="depth gauge")
    assert any(one.startswith("length 19.50 ±") for one in found.sizes)
    # Across the bend: the skin is longer than the chord of 24.20 mm by 8 r²/3 c, r the rise.
    (arc,) = (one for one in found.sizes if one.startswith("arc "))
    assert float(arc.split()[1]) == pytest.approx(24.20 + 8 * 1.1**2 / (3 * 24.20), abs=0.01)
    assert any(one.startswith("angle ") and one.endswith(" degrees") for one in found.sizes)


def test_nothing_typed_says_nothing(path: Path) -> None:
    assert said(path, "", " ", "") == said(path, "?") == ReadingVerdict()


# ----------------------------------------------------------------------------------------------------------- the boxes
@pytest.mark.parametrize(
    ("boxes", "by", "written"),
    [
        (("22.4",), "steel rule", "22.4 mm by steel rule"),
        (("22,40", "22,42", ""), "vernier", ["22.40 mm by vernier", "22.42 mm by vernier"]),
        (("22.40", "22.42 ± 0.05"), "", ["22.40 mm ± 0.05", "22.42 mm ± 0.05"]),
        (("22.4 by tape", "22.42"), "caliper", ["22.4 mm by tape", "22.42 mm by caliper"]),
        (("22.4 by tape", "22.42 by tape"), "", ["22.4 mm by tape", "22.42 mm by tape"]),
        (("7/8 in",), "caliper", "7/8 in by caliper"),
        (("door.height * 2",), "caliper", "door.height * 2"),
        (("<gap>",), "caliper", "<gap>"),
        (("22.4 mm - 0.2 mm",), "caliper", "22.4 mm - 0.2 mm"),
        (("", "?"), "caliper", "?"),
        (("",), "caliper", "?"),
    ],
)
def test_boxes_are_written_as_the_command_writes_an_answer(boxes: tuple[str, ...], by: str, written: object) -> None:
    assert typed_boxes(boxes, by) == written


@pytest.mark.parametrize("tool", [one.name for one in instruments() if not one.angle])
def test_every_instrument_of_the_table_can_be_kept_with_a_reading(path: Path, tool: str) -> None:
    assert said(path, "22.4", by=tool).wrong == ""
