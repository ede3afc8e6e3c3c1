"""The verdict on the fit: clearances, their uncertainty, correlation, and how often it is wrong."""

from __future__ import annotations

import math
import re

import numpy as np
import pytest
from shapely.geometry import Polygon, box

from decalgen.core.geometry import circle, rectangle
from decalgen.core.lengths import Quantity
from decalgen.panels.base import Panel
from decalgen.panels.clearance import dimension_line
from decalgen.panels.cylinder import Cylinder
from decalgen.panels.fit import Fit, fit
from decalgen.panels.flat import Flat, Tapered
from decalgen.panels.free import FreeOutline
from decalgen.panels.full_size import FullSize
from decalgen.panels.hands import mirrored
from decalgen.panels.obstacles import CircleObstacle, LineObstacle, RectangleObstacle
from decalgen.panels.prototype import Prototype
from decalgen.panels.variation import shifted_panel


def q(value: float, limit: float, name: str) -> Quantity:
    return Quantity(value, 1, ((name, limit / math.sqrt(3)),) if limit else ())


def door(handle: bool = True) -> Panel:
    obstacles = {
        "handle": RectangleObstacle(
            rectangle=(q(3.0, 0.05, "a"), q(0.8, 0.05, "b")), at=(q(16.5, 0.1, "c"), q(8.2, 0.1, "d")), clearance=0.3
        )
    }
    kind = Flat(width=q(22.40, 0.05, "door.width"), height=q(11.60, 0.05, "door.height"))
    return kind.build("door", obstacles if handle else {})


def amounts(found: Fit) -> dict[str, float]:
    return {item.to: item.amount.value for item in found.clearances}


def expanded(found: Fit) -> dict[str, float]:
    return {item.to: item.expanded for item in found.clearances}


def test_clearances_of_a_rectangle_are_plain_differences() -> None:
    cut = rectangle(1.0, 2.0, 20.0, 7.0)
    found = fit(cut, (Quantity(19.0), Quantity(5.0)), door())
    seen = amounts(found)
    assert seen["left"] == pytest.approx(1.0) and seen["right"] == pytest.approx(2.4)
    assert seen["bottom"] == pytest.approx(2.0) and seen["top"] == pytest.approx(4.6)
    assert seen["handle"] == pytest.approx(8.2 - 7.0 - 0.3)
    assert seen["spare width"] == pytest.approx(3.4)
    assert found.verdict == "fits"
    assert found.findings("band") == ()


def test_the_line_of_a_clearance_in_a_drawing() -> None:
    panel, cut = door(), rectangle(1.0, 2.0, 20.0, 7.0)
    line = dimension_line(cut, panel, "right")
    assert line is not None and math.dist(*line) == pytest.approx(2.4)
    assert {line[0][0], line[1][0]} == {20.0, 22.4}
    handle = dimension_line(cut, panel, "handle")
    assert handle is not None and math.dist(*handle) == pytest.approx(1.2), "to the handle itself, not its clearance"
    assert dimension_line(cut, panel, "spare width") is None


def test_reach_beyond_an_edge_is_negative_and_square_to_it() -> None:
    cut = rectangle(10.0, 5.0, 22.7, 13.6)
    seen = amounts(fit(cut, (Quantity(12.7), Quantity(8.6)), door(False)))
    assert seen["right"] == pytest.approx(-0.3)
    assert seen["top"] == pytest.approx(-2.0)
    assert seen["left"] == pytest.approx(10.0)


def test_overlap_with_an_obstacle_is_negative() -> None:
    cut = rectangle(1.0, 2.0, 20.0, 8.35)
    seen = amounts(fit(cut, (Quantity(19.0), Quantity(6.35)), door()))
    assert seen["handle"] == pytest.approx(-0.15 - 0.3)
    around = fit(cut, (Quantity(19.0), Quantity(6.35)), door(), cut_around=["handle"])
    assert "handle" not in amounts(around) and around.verdict == "fits"


def test_a_wheel_arch_that_reaches_into_the_decal() -> None:
    """A hollow arc that rises 7.5 over 15 mm is half a circle; a cut line at 7 mm meets its top by 0.5 mm."""
    points = ((0.0, 0.0), (20.0, 0.0), (35.0, 0.0), (61.0, 0.0), (61.0, 12.6), (0.0, 12.6))
    side = FreeOutline(outline=points, arc_rises=(0.0, -7.5, 0.0, 0.0, 0.0, 0.0)).build("side")
    found = fit(rectangle(5.0, 7.0, 55.0, 12.0), (Quantity(50.0), Quantity(5.0)), side)
    assert amounts(found)["side 2"] == pytest.approx(-0.5, abs=0.01)
    assert found.verdict == "too big"
    clear = fit(rectangle(5.0, 8.0, 55.0, 12.0), (Quantity(50.0), Quantity(4.0)), side)
    assert amounts(clear)["side 2"] == pytest.approx(0.5, abs=0.002)


# ------------------------------------------------------------------------------------------------------ uncertainty
def test_uncertainty_of_a_clearance_follows_from_the_readings() -> None:
    panel = door()
    cut = rectangle(1.2, 2.0, 21.2, 7.0)
    found = fit(cut, (Quantity(20.0), Quantity(5.0)), panel)
    # centred: each side takes half of the width's uncertainty; the handle its own and half the panel's height
    assert expanded(found)["left"] == pytest.approx(2 * 0.5 * 0.05 / math.sqrt(3), rel=1e-6)
    assert expanded(found)["spare width"] == pytest.approx(2 * 0.05 / math.sqrt(3), rel=1e-6)
    handle = math.hypot(0.1 / math.sqrt(3), 0.5 * 0.05 / math.sqrt(3))
    assert expanded(found)["handle"] == pytest.approx(2 * handle, rel=1e-6)
    held = fit(cut, (Quantity(20.0), Quantity(5.0)), panel, anchor=(0.0, 0.0))
    assert expanded(held)["left"] == 0.0
    assert expanded(held)["right"] == pytest.approx(2 * 0.05 / math.sqrt(3), rel=1e-6)
    assert expanded(held)["handle"] == pytest.approx(2 * 0.1 / math.sqrt(3), rel=1e-6)


@pytest.mark.parametrize(("limit", "verdict"), [(0.05, "fits"), (0.5, "fits"), (3.0, "not known")])
def test_a_decal_worked_out_from_its_panel_is_as_doubtful_as_its_panel(limit: float, verdict: str) -> None:
    """It is printed as worked out, and does not shrink with a panel that turns out smaller: the room is W - (w - 2)
    with w the reading, a number by then, so u is that of W alone (JCGM 100:2008, 5.1.2)."""
    panel = Flat(width=q(22.40, limit, "door.width"), height=q(11.60, limit, "door.height")).build("door")
    found = fit(rectangle(1.0, 1.0, 21.4, 10.6), (panel.width - Quantity(2.0), panel.height - Quantity(2.0)), panel)
    assert found.verdict == verdict
    assert expanded(found)["spare width"] == pytest.approx(2 * limit / math.sqrt(3))
    assert found.width.u == pytest.approx(limit / math.sqrt(3)), "its size is told with its doubt all the same"


def test_a_badly_read_rise_is_asked_for_again_also_where_the_decal_is_worked_out_from_it() -> None:
    """Two tenths of a millimetre of room in all, and a rise that is known within 0.4 mm."""
    panel = Cylinder(
        chord=q(20.80, 0.05, "b.chord"), rise=q(2.05, 0.40, "b.rise"), length=q(40.0, 0.1, "b.length")
    ).build("b")
    cut = rectangle(0.1, 10.0, panel.width.value - 0.1, 20.0)
    found = fit(cut, (panel.width - Quantity(0.2), Quantity(10.0)), panel)
    assert found.verdict == "not known" and found.repeat == "b.rise"


def test_panels_read_wrong_seldom_get_a_false_fits_from_a_decal_worked_out_from_them() -> None:
    """Truth drawn about the reading (normal, seeded): the verdict is right as often as k = 2 promises."""
    rng = np.random.default_rng(5)
    u, wrong = 0.05, 0
    for left in rng.uniform(0.0, 3 * u, 500):
        read = 22.40
        panel = Flat(width=Quantity(read, 1, (("p.width", u),)), height=Quantity(12.0)).build("p")
        width = panel.width - Quantity(left)
        cut = rectangle(left / 2, 2.0, read - left / 2, 4.0)
        fits = fit(cut, (width, Quantity(2.0)), panel).verdict == "fits"
        truth = rng.normal(read, u)
        wrong += fits and truth < width.value
    assert wrong / 500 <= 0.025


def test_it_names_the_reading_that_contributes_most() -> None:
    panel = Cylinder(
        chord=q(20.80, 0.02, "b.chord"), rise=q(2.05, 0.25, "b.rise"), length=q(40.0, 0.1, "b.length")
    ).build("b")
    cut = rectangle(0.02, 10.0, panel.width.value - 0.02, 20.0)
    found = fit(cut, (Quantity(panel.width.value - 0.04), Quantity(10.0)), panel)
    assert found.verdict == "not known"
    assert found.repeat == "b.rise" and found.portion > 0.9
    finding = found.findings("sun strip")[0]
    assert (finding.severity, finding.code, finding.subject) == ("warning", "fit-not-known", "sun strip")
    assert "measure rise of b again" in finding.fix
    assert any(
        line.startswith("not known (expanded uncertainty, k = 2); measure rise of b again") for line in found.lines()
    )


def test_a_decal_too_big_is_an_error_with_the_size_to_take_off() -> None:
    found = fit(rectangle(-0.5, 1.0, 22.9, 8.0), (Quantity(23.4), Quantity(7.0)), door(False))
    assert found.verdict == "too big"
    finding = found.findings("band")[0]
    assert finding.severity == "error" and "spare width -1.00" in finding.message
    assert "make it 1.06 mm narrower" in finding.fix


@pytest.mark.parametrize(("offset", "more"), [(0.0, ""), (2.0, "right"), (-2.0, "left"), (6.0, "right")])
def test_a_decal_too_wide_and_out_of_the_middle_must_move_as_well(offset: float, more: str) -> None:
    """30 mm on 22.4 mm, worked by hand: 7.60 mm and the doubt less fits, but only in the middle."""
    panel = door(False)
    width = panel.width.value
    found = fit(rectangle(-3.8 + offset, 1.0, width + 3.8 + offset, 8.0), (Quantity(width + 7.6), Quantity(7.0)), panel)
    fix = found.findings("band")[0].fix
    assert "make it 7.66 mm narrower" in fix
    assert ("move it away from" in fix) is bool(more) and (not more or f"from the {more} edge" in fix)


@pytest.mark.parametrize("width", [31.0, 28.0, 27.0])
@pytest.mark.parametrize("narrow_end", ["top", "bottom"])
def test_a_decal_over_both_slanted_sides_is_made_narrower_not_moved_off_both(width: float, narrow_end: str) -> None:
    """At the narrow end of a panel of 30 to 25 mm over 20 mm, 12 mm high: 25 mm is the widest, worked by hand."""
    ends = (30.0, 25.0) if narrow_end == "top" else (25.0, 30.0)
    panel = Tapered(bottom_width=ends[0], top_width=ends[1], height=20.0).build("bonnet")
    foot = 8.0 if narrow_end == "top" else 0.0

    def fitted(wide: float) -> Fit:
        cut = rectangle(15.0 - wide / 2, foot, 15.0 + wide / 2, foot + 12.0)
        return fit(cut, (Quantity(wide), Quantity(12.0)), panel)

    fix = fitted(width).findings("band")[0].fix
    found = re.search(r"make it at least ([0-9.]+) mm narrower, or move it where the panel is wider", fix)
    assert found and "away from" not in fix, fix
    # Sides lean by 2.5 in 20: square to them it is 0.992 of what it is level.
    assert float(found.group(1)) == pytest.approx(0.9923 * (width - 25.0), abs=0.08)
    edges = {item.to: item.verdict for item in fitted(width - float(found.group(1)) / 0.99).clearances}
    assert (edges["left"], edges["right"]) == ("fits", "fits")


def test_over_two_sides_of_an_outline_it_is_made_smaller_at_each() -> None:
    panel = FreeOutline(outline=((0.0, 0.0), (40.0, 0.0), (20.0, 30.0))).build("fin")
    (finding,) = fit(rectangle(17.5, 26, 22.5, 30), (Quantity(5.0), Quantity(4.0)), panel).findings("badge")
    assert finding.fix.startswith("move it 2.10 mm away from the side 2 edge and the side 3 edge, or make it")
    assert "that much smaller at each" in finding.fix


def test_a_decal_across_a_gap_says_so() -> None:
    gap = LineObstacle(line=((8.0, 0.0), (8.0, 11.6)), width=0.4)
    panel = Flat(width=22.4, height=11.6).build("side", {"door gap": gap})
    found = fit(rectangle(2.0, 2.0, 20.0, 8.0), (Quantity(18.0), Quantity(6.0)), panel)
    assert found.verdict == "too big"
    assert "`split at: [door gap]`" in found.findings("band")[0].fix
    assert next(item for item in found.clearances if item.to == "door gap").towards == "gap"


def test_nothing_is_said_to_fit_a_prototype() -> None:
    panel = Prototype(prototype=FullSize(width=960.0, height=500.0)).build("door", scale=43.0)
    found = fit(rectangle(9.0, 4.0, 11.0, 6.0), (Quantity(2.0), Quantity(2.0)), panel)
    assert found.verdict == "not known"
    assert "never measured" in found.findings("star")[0].message


def test_the_other_side_gets_the_same_verdict() -> None:
    left = door()
    cut = rectangle(1.0, 2.0, 20.0, 7.0)
    right = mirrored(left)
    assert right.hand == "right"
    there = fit(rectangle(2.4, 2.0, 21.4, 7.0), (Quantity(19.0), Quantity(5.0)), right)
    here = fit(cut, (Quantity(19.0), Quantity(5.0)), left)
    swapped = {"left": "right", "right": "left"}
    assert {swapped.get(k, k): v for k, v in amounts(here).items()} == pytest.approx(amounts(there))
    assert {swapped.get(k, k): v for k, v in expanded(here).items()} == pytest.approx(expanded(there))


def test_a_panel_put_together_by_hand_works_too() -> None:
    from decalgen.core.geometry import Outline

    panel = Panel("p", "flat", Outline.from_polygon(box(0, 0, 20, 10)), q(20, 0.1, "p.width"), Quantity(10.0))
    found = fit(rectangle(1, 1, 19, 9), (Quantity(18.0), Quantity(8.0)), panel)
    assert expanded(found)["spare width"] == pytest.approx(2 * 0.1 / math.sqrt(3))
    assert expanded(found)["edge"] == pytest.approx(0.1 / math.sqrt(3), rel=1e-6)


def test_a_decal_cut_to_the_panel_itself_fits() -> None:
    panel = Cylinder(
        chord=q(20.8, 0.05, "b.chord"), rise=q(2.05, 0.1, "b.rise"), length=q(40.0, 0.1, "b.length")
    ).build("b")
    assert fit(panel.outline.polygon, (panel.width, panel.height), panel, grown=0.0).verdict == "fits"
    assert fit(panel.outline.polygon, (panel.width, panel.height), panel).verdict == "not known"
    margin = panel.outline.polygon.buffer(0.3)
    assert fit(margin, (panel.width, panel.height), panel, grown=0.3).verdict == "too big"


# -------------------------------------------------------------------------------------------- how often it is wrong
def _flat(rng: np.random.Generator, u: float, target: float, measured: bool, seed: int) -> tuple[Panel, Polygon, float]:
    """A centred decal between both sides of a flat panel."""
    width, height = rng.uniform(10, 60), rng.uniform(6, 20)
    error = rng.normal(0, u, 2) if measured else np.zeros(2)
    kind = Flat(
        width=Quantity(width + error[0], 1, (("p.width", u),)),
        height=Quantity(height + error[1], 1, (("p.height", u),)),
    )
    decal = width - target
    middle = (width + error[0]) / 2
    return kind.build("p"), rectangle(middle - decal / 2, 2.0, middle + decal / 2, 4.0), decal


def _bent(rng: np.random.Generator, u: float, target: float, measured: bool, seed: int) -> tuple[Panel, Polygon, float]:
    """The same on a panel known by chord and rise."""
    chord, rise = rng.uniform(15, 40), rng.uniform(1.5, 5)
    error = rng.normal(0, 1, 2) * (u, 2 * u) if measured else np.zeros(2)
    kind = Cylinder(
        chord=Quantity(chord + error[0], 1, (("p.chord", u),)),
        rise=Quantity(rise + error[1], 1, (("p.rise", 2 * u),)),
        length=Quantity(20.0, 1, (("p.length", u),)),
    )
    radius = chord**2 / 8 / rise + rise / 2
    decal = 2 * radius * math.asin(chord / 2 / radius) - target
    panel = kind.build("p")
    middle = panel.width.value / 2
    return panel, rectangle(middle - decal / 2, 2.0, middle + decal / 2, 12.0), decal


def _beside_a_rivet(
    rng: np.random.Generator, u: float, target: float, measured: bool, seed: int
) -> tuple[Panel, Polygon, float]:
    """A decal held to the left edge, ending before a rivet."""
    x, diameter = rng.uniform(12, 30), rng.uniform(1, 3)
    error = rng.normal(0, u, 3) if measured else np.zeros(3)
    rivet = CircleObstacle(
        circle=Quantity(diameter + error[0], 1, (("r", u),)),
        at=(Quantity(x + error[1], 1, (("x", u),)), Quantity(5.0 + error[2], 1, (("y", u),))),
        clearance=0.2,
    )
    panel = Flat(width=Quantity(40.0, 1, (("p.width", u),)), height=Quantity(10.0, 1, (("p.height", u),))).build(
        "p", {"rivet": rivet}
    )
    end = x - diameter / 2 - 0.2 - target
    return panel, rectangle(1.0, 2.0, end, 8.0), end - 1.0


def _slanted(
    rng: np.random.Generator, u: float, target: float, measured: bool, seed: int
) -> tuple[Panel, Polygon, float]:
    """A corner of the decal near the slanting side of a tapered panel; held to the lower left corner."""
    bottom, top, height = rng.uniform(28, 34), rng.uniform(20, 26), rng.uniform(6, 9)
    error = rng.normal(0, u, 3) if measured else np.zeros(3)
    kind = Tapered(
        bottom_width=Quantity(bottom + error[0], 1, (("p.bottom width", u),)),
        top_width=Quantity(top + error[1], 1, (("p.top width", u),)),
        height=Quantity(height + error[2], 1, (("p.height", u),)),
        left_inset=Quantity(0.5),
    )
    # the right side runs from (bottom, 0) to (top + 0.5, height)
    run = bottom - top - 0.5
    at = 4.0
    end = bottom - run * at / height - target * math.hypot(run, height) / height
    return kind.build("p"), rectangle(3.0, 1.0, end, at), end - 3.0


def _simulate(count: int) -> tuple[int, int, int, int]:
    rng = np.random.default_rng(4711)
    makers = (_flat, _bent, _beside_a_rivet, _slanted)
    false_fits = false_big = open_far = far = 0
    for i in range(count):
        make = makers[i % len(makers)]
        u = float(rng.choice([0.02, 0.03, 0.06]))
        anchor = (0.5, 0.5) if make in (_flat, _bent) else (0.0, 0.0)
        # U of the clearance that decides, from the same panel without errors
        state = rng.bit_generator.state
        panel, cut, decal = make(rng, u, 0.0, False, i)
        verdict = fit(cut, (Quantity(decal), Quantity(cut.bounds[3] - cut.bounds[1])), panel, anchor=anchor)
        big_u = verdict.tightest.expanded
        rng.bit_generator.state = state
        truth = float(rng.uniform(-3, 3)) * big_u
        panel, cut, decal = make(rng, u, truth, True, i)
        found = fit(cut, (Quantity(decal), Quantity(cut.bounds[3] - cut.bounds[1])), panel, anchor=anchor).verdict
        false_fits += found == "fits" and truth < 0
        false_big += found == "too big" and truth >= 0
        if abs(truth) > 2 * big_u:
            far += 1
            open_far += found == "not known"
    return false_fits, false_big, open_far, far


def test_verdicts_on_a_thousand_simulated_panels() -> None:
    """True clearances within ±3 U of zero; readings drawn with their stated uncertainty (normal, seeded)."""
    false_fits, false_big, open_far, far = _simulate(1000)
    assert false_fits <= 25
    assert false_big <= 25
    assert far > 200
    assert open_far <= 0.10 * far


def test_the_simulation_can_fail() -> None:
    """With uncertainties understated eightfold the same simulation must show more false verdicts than are allowed."""
    rng = np.random.default_rng(1)
    wrong = 0
    for _ in range(300):
        width = float(rng.uniform(10, 60))
        truth = float(rng.uniform(-0.1, 0.1))
        seen = Quantity(width + float(rng.normal(0, 0.08)), 1, (("p.width", 0.01),))
        panel = Flat(width=seen, height=Quantity(10.0)).build("p")
        decal = width - truth
        middle = seen.value / 2
        cut = rectangle(middle - decal / 2, 2.0, middle + decal / 2, 4.0)
        wrong += fit(cut, (Quantity(decal), Quantity(2.0)), panel).verdict == "fits" and truth < 0
    assert wrong > 0.025 * 300


def test_a_round_decal_near_an_edge() -> None:
    found = fit(circle((5.0, 5.0), 4.0), (Quantity(8.0), Quantity(8.0)), door(False), anchor=(0.0, 0.0))
    assert amounts(found)["left"] == pytest.approx(1.0, abs=1e-3)
    assert amounts(found)["bottom"] == pytest.approx(1.0, abs=1e-3)


def test_a_panel_is_shifted_once_by_each_reading() -> None:
    panel = door()
    for name, _ in panel.readings:
        for z in (-2.0, 2.0):
            once = shifted_panel(panel, name, z)
            assert panel.shifted is not None and once == panel.shifted({name: z})
            assert shifted_panel(panel, name, z) is once
