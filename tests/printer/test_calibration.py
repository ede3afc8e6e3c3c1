"""A printer's stretch and lean from readings: exact and simulated ones, slips, and readings of something else."""

from __future__ import annotations

import math
import random

import pytest

from decalgen.core.instruments import CALIPER, RULE, Instrument
from decalgen.printer.calibration import (
    SPANS,
    CalibrationError,
    Target,
    calibrate,
    diagnose,
    target,
)

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


def simulated(
    rng: random.Random, instrument: Instrument, asked: Target
) -> tuple[dict[str, list[float]], tuple[float, float, float], str]:
    """Three noisy readings a span, one of them at least 0.5 mm off; the truth; the span that holds the slip."""
    truth = (rng.uniform(0.96, 1.03), rng.uniform(0.96, 1.03), rng.uniform(-0.003, 0.003))
    shared = rng.uniform(-instrument.limit(140), instrument.limit(140))
    readings = {
        span: [value + shared + rng.gauss(0, instrument.placing) for _ in range(3)]
        for span, value in spans(*truth, asked).items()
    }
    bad = rng.choice(SPANS)
    readings[bad][rng.randrange(3)] += rng.choice([-1, 1]) * rng.uniform(0.5, 3.0)
    return readings, truth, bad


@pytest.mark.parametrize("asked", [ASKED, Target(120.0, 140.0, (84.0, 112.0))], ids=["whole", "inner"])
def test_the_stated_uncertainty_covers_the_truth_and_every_slip_is_reported(asked: Target) -> None:
    rng = random.Random(20261125)
    inside = {"x": 0, "y": 0, "lean": 0}
    runs = 1000
    for _ in range(runs):
        readings, (x, y, lean), bad = simulated(rng, CALIPER, asked)
        found = calibrate(readings, asked)
        assert [f.subject for f in found.findings] == [bad]
        assert found.lean is not None
        inside["x"] += abs(found.x.value - x) <= found.x.expanded
        inside["y"] += abs(found.y.value - y) <= found.y.expanded
        inside["lean"] += abs(found.lean.value - lean) <= found.lean.expanded
    for share in inside.values():
        assert 0.93 <= share / runs <= 0.98, inside


def test_a_bend_is_told_and_not_mixed_with_the_stretch_of_the_edges() -> None:
    readings = {span: [value] for span, value in spans(1, 1).items()}
    readings["across middle"] = [130.3]
    found = calibrate(readings, ASKED)
    assert found.bend_x == pytest.approx(0.3) and found.bend_y == pytest.approx(0)


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


def test_swapped_spans_are_noticed_where_the_sides_differ() -> None:
    asked = Target(100.0, 140.0)
    readings = {name: [length] for name, length in spans(1, 1, 0, asked).items()}
    readings["across foot"], readings["up left"] = readings["up left"], readings["across foot"]
    with pytest.raises(CalibrationError, match="swapped"):
        calibrate(readings, asked)


def exact(asked: Target = ASKED) -> dict[str, list[float]]:
    return {span: [value] * 3 for span, value in spans(0.998, 1.001, 0.001, asked).items()}


@pytest.mark.parametrize("span", SPANS[:6])
@pytest.mark.parametrize("off", [10.0, -10.0])
def test_a_span_read_ten_millimetres_out_in_all_its_readings_is_left_out(span: str, off: float) -> None:
    readings = exact()
    readings[span] = [value + off for value in readings[span]]
    found = calibrate(readings, ASKED)
    (slip,) = found.findings
    assert slip.subject == span and "10.00 mm off" in slip.message and "10 mm out" in slip.fix
    assert (found.x.value, found.y.value) == pytest.approx((0.998, 1.001), abs=1e-9)


def test_one_of_two_spans_ten_out_is_refused() -> None:
    readings = {"across foot": [129.7], "across head": [119.7], "up left": [140.1]}
    with pytest.raises(CalibrationError, match=r"the spans do not agree: across foot 129\.70 mm"):
        calibrate(readings, ASKED)


@pytest.mark.parametrize("span", ["rising", "falling"])
def test_a_diagonal_ten_out_is_left_out_with_the_other(span: str) -> None:
    readings = exact()
    readings[span] = [value + 10 for value in readings[span]]
    found = calibrate(readings, ASKED)
    assert {f.subject for f in found.findings} == {"rising", "falling"} and found.lean is None
    assert found.correction[2] == 0


@pytest.mark.parametrize(("span", "value"), [("across foot", 119.8), ("up left", 150.2)])
def test_a_lone_span_ten_out_is_refused(span: str, value: float) -> None:
    readings = {"across foot": [129.8], "up left": [140.2]} | {span: [value]}
    with pytest.raises(CalibrationError, match="looks 10 mm out"):
        calibrate(readings, ASKED)


def test_a_rule_is_allowed_its_coarser_readings() -> None:
    readings = {"across foot": [130.0, 130.5, 129.5], "up left": [140.0]}
    assert calibrate(readings, ASKED, RULE).findings == ()
    assert len(calibrate(readings, ASKED).findings) == 2


def test_readings_that_do_not_agree_or_are_no_lengths_are_refused() -> None:
    for values, why in (([129.0, 131.0], "do not agree"), ([-1.0], "no length"), ([math.nan], "no length")):
        readings = {name: [length] for name, length in spans(1, 1).items()} | {"across foot": values}
        with pytest.raises(CalibrationError, match=why):
            calibrate(readings, ASKED)
    with pytest.raises(CalibrationError, match="spans are missing"):
        calibrate({"across foot": [130.0]}, ASKED)
    with pytest.raises(CalibrationError, match="no span 'sideways'"):
        calibrate({"sideways": [1.0]}, ASKED)


def test_the_target_fits_the_sheet_and_the_instrument() -> None:
    assert target(138.0, 195.0) == Target(120.0, 140.0, (84.0, 112.0))  # A5, a caliper of 150 mm
    assert target(200.0, 287.0) == Target(140.0, 140.0, (84.0, 112.0))
    assert target(287.0, 200.0) == Target(140.0, 140.0, (84.0, 112.0))
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


def test_usual_causes_are_named() -> None:
    assert "fitted the page" in (diagnose(0.9702, 0.9598) or ("", ""))[0]
    assert "unit" in (diagnose(0.9599, 0.9601) or ("", ""))[0]
    assert "borderless" in (diagnose(1.031, 1.029) or ("", ""))[0]
    assert diagnose(0.9995, 1.0004) is None
    # Drivers enlarge by their own measure, and paper of another size shrinks by any; printers alone do neither so far.
    for ratio in (1.021, 1.04, 1.025, 1.08):
        assert "borderless" in (diagnose(ratio, ratio + 0.001) or ("", ""))[0]
    for ratio in (0.91, 0.95):
        assert "shrank the page" in (diagnose(ratio, ratio - 0.001) or ("", ""))[0]
    for x, y in ((1.01, 1.01), (0.985, 0.985), (1.04, 1.0), (0.95, 1.0), (1.2, 1.2), (0.8, 0.8)):
        assert diagnose(x, y) is None
