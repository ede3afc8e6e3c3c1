"""A printer's stretch and lean from readings: exact and simulated ones, slips, and readings of something else."""

from __future__ import annotations

import math
import random

import numpy as np
import pytest
from scipy import stats

from decalgen.core.instruments import CALIPER, RULE
from decalgen.printer import spread
from decalgen.printer.calibration import calibrate
from decalgen.printer.target import SPANS, CalibrationError, Target, span_label, span_named, target
from tests.helpers.prints import FAULTS, SHEETS, TOOLS, tally

ASKED = Target(130.0, 140.0)


def spans(x: float, y: float, lean: float = 0.0, asked: Target = ASKED) -> dict[str, float]:
    """The true spans of a target printed with these ratios; verticals lean by ``lean`` mm a mm of printed height."""
    w, h = x * asked.width, y * asked.height
    off = lean * asked.height
    found = {span: w if span.startswith("across") else math.hypot(h, off) for span in SPANS}
    wide, high = x * asked.diagonal[0], y * asked.diagonal[1]
    off = lean * asked.diagonal[1]
    found["rising"], found["falling"] = math.hypot(wide + off, high), math.hypot(wide - off, high)
    return found


def test_exact_readings_give_the_ratios_and_the_lean_back() -> None:
    found = calibrate({span: [value] * 3 for span, value in spans(0.9972, 1.0031, 0.0015).items()}, ASKED)
    assert found.x.value == pytest.approx(0.9972, abs=1e-9)
    assert found.y.value == pytest.approx(1.0031, abs=1e-9)
    assert found.lean is not None and found.lean.value == pytest.approx(0.0015, abs=1e-9)
    assert (found.bend_x, found.bend_y) == pytest.approx((0, 0), abs=1e-9)
    sx, sy, back = found.correction
    assert sx * found.x.value == pytest.approx(1) and sy * found.y.value == pytest.approx(1)
    # What the correction moves to the right, the printer moves back: x·back + lean·sy = 0.
    assert found.x.value * back + found.lean.value * sy == pytest.approx(0, abs=1e-12)
    assert found.findings == () and found.readings == 24


def test_the_uncertainty_of_three_readings_a_span() -> None:
    """180 × 250 mm, nine readings a way, a caliper of ±0.03: 10 µm in x and 7 µm in y on a decal of 40 mm, k = 2.

    By JCGM 100:2008 from u = 0.03/√3 (shared) and 0.041/√9: √(0.0173² + 0.0137²)·40/180·2 = 9.8 µm.
    """
    asked = Target(180.0, 250.0)
    found = calibrate({span: [value] * 3 for span, value in spans(1, 1, 0, asked).items()}, asked)
    assert 2 * 40 * found.x.u == pytest.approx(0.0098, abs=1e-4)
    assert 2 * 40 * found.y.u == pytest.approx(0.0071, abs=1e-4)
    assert found.size_error(40) == 2 * 40 * found.x.u


RUNS = 500
"""Of each case here; `tests/benchmarks/calibration.py` makes 2000 of each."""


@pytest.mark.parametrize("tool", TOOLS)
@pytest.mark.parametrize("sheet", SHEETS)
def test_the_stated_uncertainty_covers_clean_prints(sheet: str, tool: str) -> None:
    """93 to 98 %, a band three standard deviations of the count wide round it; hardly ever is a fault told."""
    for fault in (FAULTS["clean"], FAULTS["two readings"]):
        one = tally(20261126, sheet, TOOLS[tool], fault, RUNS)
        for share in (one.x, one.y, one.lean, one.decal):
            assert 0.93 <= share <= 0.98 + 3 * math.sqrt(0.98 * 0.02 / RUNS), one
        assert one.told <= 0.02


@pytest.mark.parametrize("tool", TOOLS)
@pytest.mark.parametrize("label", [label for label in FAULTS if label not in ("clean", "two readings")])
def test_what_is_not_covered_is_told(label: str, tool: str) -> None:
    """Bent prints, trapezoids, slips, a span misread, a lean of 2°: at least 93 % are covered, or a warning tells."""
    one = tally(20261126, "A4", TOOLS[tool], FAULTS[label], RUNS)
    assert min(one.told_or) >= 0.93, one


def test_half_the_difference_of_spans_joins_the_uncertainty() -> None:
    for bow in (0.1, 0.3, 0.6):
        readings = {span: [value] * 3 for span, value in spans(1, 1).items()}
        clean = calibrate(readings, ASKED)
        readings["across middle"] = [130.0 + bow] * 3
        found = calibrate(readings, ASKED)
        if bow > 0.1:
            assert found.x.expanded * 130 == pytest.approx(clean.x.expanded * 130 + bow / 2, abs=1e-6)
            assert abs(found.x.value * 130 - (130 + bow / 2)) < 1e-6
            (told,) = found.findings
            assert (told.code, told.subject, told.severity) == ("spans-differ", "across", "warning")
            assert "bent, or b, across middle, was misread" in told.message and told.measured == pytest.approx(bow)
        else:
            assert clean.x.expanded < found.x.expanded


def test_a_trapezoid_is_called_one_and_names_no_span() -> None:
    readings = {span: [value] * 3 for span, value in spans(1, 1).items()}
    readings["up left"], readings["up right"] = [139.8] * 3, [140.2] * 3
    found = calibrate(readings, ASKED)
    (told,) = found.findings
    assert told.subject == "up" and "trapezoid" in told.message and "misread" not in told.message
    assert found.y.value == pytest.approx(1.0) and found.y.expanded * 140 > 0.2


def test_a_misread_diagonal_is_told_and_widens_the_lean() -> None:
    readings = {span: [value] * 3 for span, value in spans(1, 1, 0.001).items()}
    clean = calibrate(readings, ASKED)
    readings["rising"] = [value + 0.7 for value in readings["rising"]]
    found = calibrate(readings, ASKED)
    assert [f.subject for f in found.findings] == ["diagonals"] and "0.70 mm" in found.findings[0].fix
    assert clean.lean is not None and found.lean is not None
    assert abs(found.lean.value - 0.001) <= found.lean.expanded
    assert clean.findings == () and clean.lean.expanded < 0.3 * found.lean.expanded


def test_a_lean_of_two_degrees_is_kept_told_and_corrected() -> None:
    lean = math.tan(math.radians(2.0))
    found = calibrate({span: [value] * 3 for span, value in spans(0.998, 1.001, lean).items()}, ASKED)
    assert found.lean is not None and found.lean.value == pytest.approx(lean, abs=1e-9)
    assert (found.x.value, found.y.value) == pytest.approx((0.998, 1.001), abs=1e-9)
    (told,) = found.findings
    assert told.code == "leans" and "2.0°" in told.message and "to the right" in told.message


def test_spans_read_once_are_less_sure_and_said_to_be() -> None:
    exactly = spans(1, 1)
    once = calibrate({span: [value] for span, value in exactly.items()}, ASKED)
    twice = calibrate({span: [value] * 2 for span, value in exactly.items()}, ASKED)
    assert [f.code for f in once.findings] == ["read-once"] and once.findings[0].severity == "note"
    assert twice.findings == ()
    # Nine tenths of a micrometre apart would be the square root of two alone: placing counts twice for one reading.
    shared = CALIPER.systematic(130.0)
    assert once.x.u * 130 == pytest.approx(math.hypot(shared, 2 * CALIPER.placing / math.sqrt(3)))
    assert twice.x.u * 130 == pytest.approx(math.hypot(shared, CALIPER.placing / math.sqrt(6)))


def test_two_readings_that_differ_too_much_are_told() -> None:
    readings = {span: [value] * 2 for span, value in spans(1, 1).items()} | {"up left": [139.8, 140.2]}
    found = calibrate(readings, ASKED)
    assert ("slip", "d, up left") in {(f.code, f.subject) for f in found.findings}


def test_readings_that_scatter_more_than_the_instrument_count_as_they_scatter() -> None:
    rng = random.Random(7)
    readings = {span: [value + rng.gauss(0, 0.09) for _ in range(3)] for span, value in spans(1, 1).items()}
    found = calibrate(readings, ASKED)
    assert "readings-scatter" in {f.code for f in found.findings}
    assert found.x.u * 130 > math.hypot(CALIPER.systematic(130.0), 0.06 / 3)


def test_the_limits_of_chance_are_those_of_the_tables() -> None:
    """The studentized range with infinitely many degrees of freedom, and the normal distribution, by scipy."""
    for count in (2, 3):
        low, high = stats.studentized_range.ppf([0.6, 0.999], count, np.inf)
        assert (spread.USUAL[count], spread.RARE[count]) == pytest.approx((low, high), abs=0.01)
    assert pytest.approx(stats.norm.ppf([0.7, 0.9975]), abs=0.01) == (spread.USUAL_OFF, spread.RARE_OFF)


@pytest.mark.parametrize(
    ("span", "value", "why"),
    [
        ("across foot", 130 / 25.4, "inches"),
        ("up left", 14.0, "decimal point"),
        ("across middle", 1300.0, "decimal point"),
        ("rising", 60.0, "no printer is off"),
    ],
)
def test_readings_that_cannot_be_of_this_target_are_refused(span: str, value: float, why: str) -> None:
    readings = {name: [length] for name, length in spans(1, 1).items()}
    readings[span] = [value]
    with pytest.raises(CalibrationError, match=why):
        calibrate(readings, ASKED)


@pytest.mark.parametrize("tool", TOOLS)
@pytest.mark.parametrize("size", [*SHEETS.values(), (297.0, 210.0), (200.0, 200.0), (100.0, 100.0), (420.0, 300.0)])
@pytest.mark.parametrize("stretch", [(0.9, 1.1), (1.0, 1.0), (1.1, 0.9), (1.03, 0.97)])
def test_swapped_axes_are_noticed_on_every_target(
    size: tuple[float, float], stretch: tuple[float, float], tool: str
) -> None:
    asked = target(size[0] - 10, size[1] - 10, TOOLS[tool])
    assert max(asked.width, asked.height) / min(asked.width, asked.height) >= 1.15
    readings = {name: [length] * 2 for name, length in spans(*stretch, 0, asked).items()}
    swap = {"across": "up", "up": "across", "foot": "left", "head": "right", "left": "foot", "right": "head"}
    turned = {" ".join(swap.get(word, word) for word in name.split()): values for name, values in readings.items()}
    with pytest.raises(CalibrationError, match=r"swapped|no printer"):
        calibrate(turned, asked, TOOLS[tool])


def test_swapped_axes_are_called_swapped() -> None:
    asked = target(200.0, 287.0)
    readings = {name: [length] * 2 for name, length in spans(1, 1, 0, asked).items()}
    readings["across foot"], readings["up left"] = readings["up left"], readings["across foot"]
    with pytest.raises(CalibrationError, match="swapped") as caught:
        calibrate(readings, asked)
    assert "FOOT" in caught.value.fix


def test_swapped_axes_of_a_target_whose_sides_differ_by_ten_are_not_called_ten_out() -> None:
    asked = target(76.0, 86.0)
    assert (asked.width, asked.height) == (60.0, 70.0)
    readings = {name: [length] * 2 for name, length in spans(1, 1, 0, Target(70.0, 60.0, asked.inner)).items()}
    with pytest.raises(CalibrationError, match="swapped"):
        calibrate(readings, asked)
    slipped = {name: [length] * 2 for name, length in spans(1, 1, 0, asked).items()} | {"across foot": [70.0, 70.0]}
    with pytest.raises(CalibrationError, match="10 mm out"):
        calibrate(slipped, asked)


def test_a_square_target_of_an_earlier_version_is_recognised() -> None:
    readings = {name: [length] * 2 for name, length in spans(1, 1, 0, Target(140.0, 140.0, (84.0, 112.0))).items()}
    with pytest.raises(CalibrationError, match="every side reads about 140 mm") as caught:
        calibrate(readings, target(200.0, 287.0))
    assert "earlier version" in caught.value.fix


@pytest.mark.parametrize(
    ("text", "span"),
    [
        ("rising", "rising"), ("A-C", "rising"), ("c to a", "rising"), ("diagonal AC", "rising"), ("B–D", "falling"),
        ("Falling, B to D", "falling"), ("DB", "falling"), (" Across  Foot ", "across foot"),
    ],
)  # fmt: skip
def test_diagonals_are_named_by_their_corners(text: str, span: str) -> None:
    assert span_named(text) == span


@pytest.mark.parametrize("span", SPANS)
def test_a_span_is_named_by_its_letter_its_words_or_both(span: str) -> None:
    letter, _, words = span_label(span).partition(", ")
    assert letter == "abcdefgh"[SPANS.index(span)] and words == span
    for text in (letter, letter.upper(), f"span {letter}", span, f"{letter} {span}", span_label(span)):
        assert span_named(text) == span


def test_a_letter_that_does_not_go_with_its_words_is_refused() -> None:
    with pytest.raises(CalibrationError, match="a is across foot, and up left is d"):
        span_named("a, up left")


@pytest.mark.parametrize("text", ["A-B", "rising, B to D", "AA", "sideways", "", "i", "a across"])
def test_what_names_no_span_is_refused(text: str) -> None:
    with pytest.raises(CalibrationError, match="there is no span"):
        span_named(text)


def exact(asked: Target = ASKED) -> dict[str, list[float]]:
    return {span: [value] * 3 for span, value in spans(0.998, 1.001, 0.001, asked).items()}


@pytest.mark.parametrize("span", SPANS[:6])
@pytest.mark.parametrize("off", [10.0, -10.0])
def test_a_span_read_ten_millimetres_out_in_all_its_readings_is_left_out(span: str, off: float) -> None:
    readings = exact()
    readings[span] = [value + off for value in readings[span]]
    found = calibrate(readings, ASKED)
    (slip,) = found.findings
    assert slip.subject == span_label(span) and "10.00 mm off" in slip.message and "10 mm out" in slip.fix
    assert (found.x.value, found.y.value) == pytest.approx((0.998, 1.001), abs=1e-9)


def test_one_of_two_spans_ten_out_is_refused() -> None:
    readings = {"across foot": [129.7], "across head": [119.7], "up left": [140.1]}
    with pytest.raises(
        CalibrationError, match=r"the spans do not agree: a, across foot, 129\.70 mm; c, across head, 119\.70 mm"
    ):
        calibrate(readings, ASKED)


@pytest.mark.parametrize("span", ["rising", "falling"])
def test_a_diagonal_ten_out_is_left_out_with_the_other(span: str) -> None:
    readings = exact()
    readings[span] = [value + 10 for value in readings[span]]
    found = calibrate(readings, ASKED)
    assert {f.subject for f in found.findings} == {"g, rising", "h, falling"} and found.lean is None
    assert found.correction[2] == 0


@pytest.mark.parametrize(("span", "value"), [("across foot", 119.8), ("up left", 150.2)])
def test_a_lone_span_ten_out_is_refused(span: str, value: float) -> None:
    readings = {"across foot": [129.8], "up left": [140.2]} | {span: [value]}
    with pytest.raises(CalibrationError, match="looks 10 mm out"):
        calibrate(readings, ASKED)


def test_a_rule_is_allowed_its_coarser_readings() -> None:
    readings = {"across foot": [130.0, 130.5, 129.5], "up left": [140.0]}
    slips = [[f.code for f in calibrate(readings, ASKED, tool).findings].count("slip") for tool in (RULE, CALIPER)]
    assert slips == [0, 2]


def test_readings_that_do_not_agree_or_are_no_lengths_are_refused() -> None:
    for values, why in (([129.0, 131.0], "do not agree"), ([-1.0], "is not a length"), ([math.nan], "is not a length")):
        readings = {name: [length] for name, length in spans(1, 1).items()} | {"across foot": values}
        with pytest.raises(CalibrationError, match=why):
            calibrate(readings, ASKED)
    with pytest.raises(CalibrationError, match="spans are missing"):
        calibrate({"across foot": [130.0]}, ASKED)
    with pytest.raises(CalibrationError, match="no span 'sideways'"):
        calibrate({"sideways": [1.0]}, ASKED)


def test_the_target_fits_the_sheet_and_the_instrument() -> None:
    assert target(138.0, 195.0) == Target(120.0, 140.0, (84.0, 112.0))  # A5, a caliper of 150 mm
    assert target(200.0, 287.0) == Target(120.0, 140.0, (84.0, 112.0))
    assert target(287.0, 200.0) == Target(140.0, 120.0, (112.0, 84.0))
    assert target(200.0, 287.0, RULE) == Target(180.0, 270.0, (174.0, 232.0))
    assert target(98.0, 70.0) == Target(80.0, 50.0)
    for size in ((138.0, 195.0), (195.0, 138.0), (200.0, 287.0), (287.0, 410.0), (90.0, 300.0), (60.0, 70.0)):
        for tool in (CALIPER, RULE):
            made = target(*size, tool)
            # Every span can be reached with 10 mm to spare, and stays inside the sheet.
            assert max(made.asked(span) for span in SPANS) <= tool.reach - 10
            assert made.diagonal[0] <= made.width <= size[0] and made.diagonal[1] <= made.height <= size[1]
    with pytest.raises(CalibrationError, match="too small"):
        target(50.0, 80.0)
