"""The proof gate: what a proof has to reach, the verdicts, what voids one."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from pathlib import Path

import pytest

from decalgen.core.instruments import CALIPER, RULE, Instrument, instrument
from decalgen.job.films import load_film
from decalgen.job.loader import load_job
from decalgen.nesting.model import QUICK
from decalgen.preflight import examine
from decalgen.printer.calibration import CAUSES
from decalgen.proofing.judge import (
    MOST,
    Asked,
    Fingerprint,
    GateError,
    Standard,
    check_proven,
    fingerprint,
    judge,
    reading,
)
from decalgen.proofing.judge import standard as standard_for
from decalgen.sheet.arrange import Arrangement, arrange
from decalgen.sheet.plan import Plan
from tests.helpers.jobs import PRINTER

PRINT = Fingerprint("a", "b", "c", "d")
BARS = (Asked(1, "x", 100.0), Asked(1, "y", 80.0))
STANDARD = Standard(PRINT, BARS, MOST, "0.3 % at most")
JOB = """\
job: tug
title: Harbour tug
scale: "1:43"
body: navy
date: "2026-11-25"
inks: {lifebuoy orange: {colour: "#e8641b"}}
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
"""


# ------------------------------------------------------------------------------------------------------ verdicts
def test_u_of_a_reading_by_hand() -> None:
    # JCGM 100:2008, 5.1.2: the scale's limit 0.02/sqrt 3 is common to all readings, placing 0.041 shrinks with their
    # number; k = 2.
    one = reading(BARS, "x", [99.9, 100.0, 99.8, 99.9], 1, CALIPER)
    assert one.read == pytest.approx(99.9)
    assert one.expanded * 100 == pytest.approx(2 * math.hypot(0.02 / math.sqrt(3), 0.041 / 2))


@pytest.mark.parametrize(
    ("value", "word"),
    [
        (100.0, "passed"),
        # Tolerance 0.3 mm in 100, widened by U = 2 sqrt(0.0173^2 + 0.041^2) = 0.089 mm.
        (100.38, "passed"),
        (99.62, "passed"),
        (100.40, "refused"),
        (99.60, "refused"),
        (97.0, "refused"),
    ],
)
def test_tolerance_is_widened_by_u(value: float, word: str) -> None:
    verdict = judge(STANDARD, [reading(BARS, "x", [value], 1, CALIPER)], CALIPER)
    assert verdict.word == word


def test_a_rule_cannot_tell_a_small_error_but_refuses_a_large_one() -> None:
    assert judge(STANDARD, [reading(BARS, "x", [100.0], 1, RULE)], RULE).word == "cannot tell"
    assert judge(STANDARD, [reading(BARS, "x", [97.0], 1, RULE)], RULE).word == "refused"


@pytest.mark.parametrize(
    ("asked", "share", "tool", "told"),
    [
        # n readings are enough once (share * asked / 2)^2 >= systematic^2 + placing^2 / n, worked out by hand.
        (100.0, MOST, RULE, "a steel rule is fine enough: measure each bar 5 times (--with 'steel rule')"),
        (50.0, MOST, RULE, "a caliper is fine enough: measure each bar once (--with caliper)"),
        (20.0, MOST, CALIPER, "a caliper is fine enough: measure each bar 3 times (--with caliper)"),
        (100.0, 0.0005, CALIPER, "a caliper is fine enough: measure each bar 4 times (--with caliper)"),
        (100.0, 0.0003, CALIPER, "not even a caliper can measure that finely"),
    ],
)
def test_what_would_tell_is_said_and_does(asked: float, share: float, tool: Instrument, told: str) -> None:
    bars = [Asked(1, "x", asked)]
    verdict = judge(replace(STANDARD, share=share), [reading(bars, "x", [asked], 1, tool)], tool)
    assert verdict.word == "cannot tell"
    assert any(told in line for line in verdict.lines), verdict.lines
    how = re.search(r"a (.*) is fine enough: measure each bar (\d+|once)", told)
    if how:
        times = 1 if how[2] == "once" else int(how[2])
        better = instrument(how[1])
        assert reading(bars, "x", [asked] * times, 1, better).word(share) == "passed"
        if times > 1:
            assert reading(bars, "x", [asked] * (times - 1), 1, better).word(share) == "cannot tell"


def test_one_bad_bar_refuses_both() -> None:
    good, bad = reading(BARS, "x", [100.0], 1, CALIPER), reading(BARS, "y", [78.0], 1, CALIPER)
    assert judge(STANDARD, [good, bad], CALIPER).word == "refused"


@pytest.mark.parametrize(("x", "y", "cause", "cure"), CAUSES)
def test_usual_causes_are_named(x: float, y: float, cause: str, cure: str) -> None:
    # 97 x 96 %: fitted; 97 and 94 %: shrunk; 103 %: borderless; 25.4/26.46: units (common practice, no source).
    found = [reading(BARS, "x", [100 * x], 1, CALIPER), reading(BARS, "y", [80 * y], 1, CALIPER)]
    verdict = judge(STANDARD, found, CALIPER)
    assert verdict.word == "refused"
    assert any(cause in line and cure in line for line in verdict.lines)


def test_an_unusual_error_asks_for_a_calibration() -> None:
    verdict = judge(STANDARD, [reading(BARS, "x", [99.0], 1, CALIPER)], CALIPER)
    assert any("calibrate" in line for line in verdict.lines)


@pytest.mark.parametrize(
    ("axis", "values", "sheet", "told"),
    [
        ("x", [9.98], 1, "cannot be the (?:horizontal|vertical) check bar"),
        ("x", [-99.8], 1, "cannot be the (?:horizontal|vertical) check bar"),
        ("x", [3.93], 1, "cannot be the (?:horizontal|vertical) check bar.*it looks like inches"),
        ("x", [26.46], 1, "took millimetres for pixels"),
        ("x", [109.9], 1, "looks 10 mm out"),
        ("y", [70.1], 1, "looks 10 mm out"),
        ("x", [99.9, float("nan")], 1, "cannot be the (?:horizontal|vertical) check bar"),
        ("x", [100.0], 2, "has no horizontal check bar"),
    ],
)
def test_slips_are_told(axis: str, values: list[float], sheet: int, told: str) -> None:
    with pytest.raises(GateError, match=told):
        reading(BARS, axis, values, sheet, CALIPER)


def test_a_bar_longer_than_the_caliper_is_told() -> None:
    with pytest.raises(GateError, match="does not reach"):
        reading([Asked(1, "x", 180.0)], "x", [180.0], 1, CALIPER)


# --------------------------------------------------------------------------------------------------- the standard
def layout_and_standard(tmp_path: Path, width: str) -> tuple[Arrangement, Standard]:
    path = tmp_path / "tug.yaml"
    path.write_text(JOB.replace("panel.width - 2 mm", width), encoding="utf-8")
    job = load_job(path)
    layout = arrange([job], Plan([load_film("white A5")], PRINTER, effort=QUICK))
    return layout, standard_for(layout, examine([job], PRINTER).fits)


@pytest.mark.parametrize(
    ("width", "share"),
    [
        ("panel.width - 2 mm", MOST),  # 1 mm of 20.4 mm is far more than 0.3 %
        ("panel.width - 0.08 mm", 0.04 / 22.32),
        ("panel.width - 0.01 mm", 0.005 / 22.39),
    ],
)
def test_the_tightest_clearance_decides(tmp_path: Path, width: str, share: float) -> None:
    needed = layout_and_standard(tmp_path, width)[1]
    assert needed.share == pytest.approx(share, rel=1e-3)
    assert {(bar.axis, bar.length, bar.page) for bar in needed.bars} == {
        ("x", 100.0, "148 × 210 mm"),
        ("y", 100.0, "148 × 210 mm"),
    }


def test_anything_that_counts_changes_the_fingerprint(tmp_path: Path) -> None:
    layout, needed = layout_and_standard(tmp_path, "panel.width - 2 mm")
    assert fingerprint(layout) == needed.fingerprint
    (sheet,) = layout.sheets

    def changed(**more: object) -> list[str]:
        other = replace(layout, sheets=(replace(sheet, **more),))  # type: ignore[arg-type]
        return needed.fingerprint.changed(fingerprint(other))

    assert changed(printer=replace(PRINTER, scale_x=1.001)) == ["the printer"]
    assert changed(printer=replace(PRINTER, misregister=0.4)) == []
    assert changed(film=replace(sheet.film, width=149.0)) == ["the film"]
    assert changed(placed=sheet.placed[1:]) == ["the decals"]
    moved = replace(layout, positions=(replace(layout.positions[0], x=20.0), *layout.positions[1:]))
    assert needed.fingerprint.changed(fingerprint(moved)) == ["their positions"]


def test_only_a_passed_proof_of_the_very_same_lets_film_be_printed() -> None:
    check_proven(PRINT, PRINT, "passed", "again")
    for word in ("refused", "cannot tell", "in part"):
        with pytest.raises(GateError, match=r"the proof of this sheet|another size of this proof"):
            check_proven(PRINT, PRINT, word, "again")  # type: ignore[arg-type]
    with pytest.raises(GateError, match="has no passed proof yet"):
        check_proven(PRINT, None, None, "again")
    with pytest.raises(GateError, match="the film changed since"):
        check_proven(replace(PRINT, film="other"), PRINT, "passed", "again")


def test_a_bar_that_is_not_there_is_left_out() -> None:
    with pytest.raises(GateError) as told:
        reading([Asked(1, "x", 20.0)], "y", [20.0], 1, CALIPER)
    assert told.value.fix == "leave out --y: the sheet is too small for it"


@pytest.mark.parametrize("value", [40.0, 20.0])
def test_a_reading_10_mm_out_on_a_short_bar_is_told(value: float) -> None:
    """Bars of 30 mm, as a small film has: a third too long, and still it is the scale that was misread."""
    with pytest.raises(GateError, match="looks 10 mm out"):
        reading((Asked(1, "x", 30.0),), "x", [value], 1, CALIPER)
