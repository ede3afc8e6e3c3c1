"""From what was read to one value: several readings, instruments, and readings that disagree."""

from __future__ import annotations

import math
import statistics

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from decalgen.core.errors import Place
from decalgen.core.instruments import InstrumentError, instrument, instruments
from decalgen.core.lengths import Quantity
from decalgen.panels.adjust import adjust
from decalgen.panels.base import PanelError
from decalgen.panels.cylinder import Cylinder, segment_arc
from decalgen.panels.dome import Dome
from decalgen.panels.flat import Flat, Tapered
from decalgen.panels.leaning import Leaning
from decalgen.panels.readings import Reading, settle, split_instrument


def q(value: float, limit: float = 0.0, dimension: int = 1) -> Quantity:
    return Quantity(value, dimension, (("x", limit / math.sqrt(3)),) if limit else ())


def codes(panel_findings: tuple[object, ...]) -> list[str]:
    return [finding.code for finding in panel_findings]  # type: ignore[attr-defined]


def test_one_reading_keeps_its_uncertainty_under_its_own_name() -> None:
    found = settle(q(22.4, 0.05), "door.width")
    assert found.quantity == Quantity(22.4, 1, (("door.width", 0.05 / math.sqrt(3)),))
    assert not found.assumed and not found.findings


def test_several_readings_become_their_mean() -> None:
    """u² = u(instrument)² + s²/n, with s from the standard library."""
    values = [22.38, 22.41, 22.40, 22.43]
    found = settle(tuple(q(v) for v in values), "door.width", by="vernier")
    assert found.quantity.value == pytest.approx(statistics.fmean(values))
    expected = math.hypot(0.05 / math.sqrt(3), statistics.stdev(values) / 2)
    assert found.quantity.u == pytest.approx(expected)
    assert found.quantity.parts[0][0] == "door.width"
    assert not found.findings


def test_scatter_beyond_the_instrument_is_noted() -> None:
    found = settle((q(22.1), q(22.4), q(22.7)), "door.width", by="caliper", subject="door")
    finding = found.findings[0]
    assert (finding.severity, finding.code, finding.subject) == ("note", "readings-scatter", "door")
    assert finding.measured is not None and finding.limit is not None and finding.measured > finding.limit > 0
    assert f"{finding.measured:.3f} mm" in finding.message
    assert "0.300 mm" in finding.message
    assert found.quantity.u > 0.3 / math.sqrt(3)


def test_an_instrument_supplies_the_uncertainty() -> None:
    assert settle(Reading(q(22.4), "steel rule"), "d.w").quantity.u == pytest.approx(
        math.hypot(0.2 / math.sqrt(3), 0.2)
    )
    assert settle(Reading(q(22.4), "Calliper"), "d.w").quantity.u == pytest.approx(0.02 / math.sqrt(3))
    assert settle(q(22.4), "d.w", by="vernier").quantity.u == pytest.approx(0.05 / math.sqrt(3))
    typed = settle(Reading(q(22.4, 0.3), "caliper"), "d.w")
    assert typed.quantity.u == pytest.approx(0.3 / math.sqrt(3)), "what is typed counts"


def test_a_scan_depends_on_its_resolution() -> None:
    fine, coarse = (instrument(f"scan {dpi} dpi").u(5.0) for dpi in (1200, 300))
    assert coarse / fine == pytest.approx(4, rel=0.3)
    assert instrument("scan at 600dpi").name == "scan 600 dpi"


def test_without_anything_a_caliper_is_assumed_and_said() -> None:
    panel = Flat(width=q(22.4), height=q(11.6, 0.05)).build("door")
    assert panel.width.u == pytest.approx(0.02 / math.sqrt(3))
    assert codes(panel.findings) == ["uncertainty-assumed"]
    assert panel.findings[0].message.startswith("width without")
    assert not Flat(width=q(22.4), height=q(11.6), instrument="caliper").build("door").findings


def test_unknown_instruments_are_refused() -> None:
    with pytest.raises(InstrumentError, match="no instrument 'calibre'") as caught:
        instrument("calibre")
    assert "caliper" in caught.value.fix
    with pytest.raises(InstrumentError, match="how fine the scan"):
        instrument("scan")
    with pytest.raises(PanelError, match="panel 'door': there is no instrument"):
        Flat(width=q(22.4), height=q(11.6), instrument="sextant").build("door")
    assert {"caliper", "vernier", "steel rule", "tape", "scan 600 dpi"} <= {tool.name for tool in instruments()}


def test_text_with_an_instrument() -> None:
    assert split_instrument("22.40 mm by steel rule") == ("22.40 mm", "steel rule")
    assert split_instrument("22.40 mm \N{PLUS-MINUS SIGN} 0.05") == ("22.40 mm \N{PLUS-MINUS SIGN} 0.05", "")


def test_caliper_and_scan_are_weighed_by_their_uncertainty() -> None:
    """The weighted mean with weights 1/u²."""
    found = settle((Reading(q(22.40, 0.05)), Reading(q(22.45, 0.10), "scan 600 dpi")), "door.width")
    assert found.quantity.value == pytest.approx((22.40 * 4 + 22.45) / 5)
    u = [0.05 / math.sqrt(3), 0.10 / math.sqrt(3)]
    assert found.quantity.u == pytest.approx(1 / math.sqrt(sum(1 / x**2 for x in u)))
    assert not found.findings


def test_readings_that_disagree_name_the_suspect_and_cost_certainty() -> None:
    found = settle((Reading(q(22.40, 0.05)), Reading(q(23.10, 0.10), "scan 600 dpi")), "door.width", subject="door")
    finding = found.findings[0]
    assert (finding.severity, finding.code) == ("warning", "readings-disagree")
    assert "width by scan 600 dpi reads 23.10" in finding.message
    assert found.quantity.u > 0.1, "no verdict may lean on readings that contradict each other"


def test_chord_rise_and_tape_agree() -> None:
    arc = segment_arc(20.8, 2.05)
    panel = Cylinder(chord=q(20.8, 0.05), rise=q(2.05, 0.1), tape=q(arc + 0.05, 0.2), length=q(40, 0.1)).build("b")
    assert not panel.findings
    assert arc < panel.width.value < arc + 0.05
    assert {name for name, _ in panel.width.parts} == {"b.chord", "b.rise", "b.tape"}


def test_a_wrong_rise_is_the_suspect() -> None:
    """True rise 2.05, read 1.20 with a coarse gauge: tape and chord say so."""
    panel = Cylinder(
        chord=q(20.8, 0.05), rise=q(1.20, 0.3), tape=q(segment_arc(20.8, 2.05), 0.05), length=q(40, 0.1)
    ).build("b")
    finding = next(f for f in panel.findings if f.code == "readings-disagree")
    assert "rise reads 1.20 mm" in finding.message and "make it 2.0" in finding.message
    assert "measure rise again" in finding.fix


def test_readings_that_cannot_be_told_apart_are_all_named() -> None:
    """One reading too many cannot say which of three is wrong; the one that needs least error comes first."""
    panel = Cylinder(
        chord=q(20.8, 0.05), rise=q(1.60, 0.1), tape=q(segment_arc(20.8, 2.05), 0.05), length=q(40, 0.1)
    ).build("b")
    message = next(f for f in panel.findings if f.code == "readings-disagree").message
    assert "tape reads 21.33 mm" in message and "rise ought to be 2.0" in message and "chord ought to be" in message


def test_with_two_readings_too_many_the_wrong_one_stands_out() -> None:
    arc = segment_arc(20.8, 2.05)
    panel = Cylinder(
        chord=q(20.8, 0.05),
        rise=q(2.75, 0.1),
        tape=q(arc, 0.05),
        radius=q(20.8**2 / 16.4 + 1.025, 0.5),
        length=q(40, 0.1),
    ).build("b")
    finding = next(f for f in panel.findings if f.code == "readings-disagree")
    assert "rise reads 2.75 mm" in finding.message


def test_a_tape_pulled_straight_is_recognised() -> None:
    panel = Cylinder(chord=q(20.8, 0.05), rise=q(2.05, 0.1), tape=q(20.82, 0.1), length=q(40, 0.1)).build("b")
    assert "chord-for-arc" in codes(panel.findings)


def test_both_insets_and_the_top_width_are_compared() -> None:
    good = Tapered(
        bottom_width=q(31, 0.1),
        top_width=q(28.6, 0.1),
        left_inset=q(1.0, 0.1),
        right_inset=q(1.4, 0.1),
        height=q(6.4, 0.1),
    ).build("side")
    assert not good.findings
    bad = Tapered(
        bottom_width=q(31, 0.1),
        top_width=q(26.6, 0.1),
        left_inset=q(1.0, 0.1),
        right_inset=q(1.4, 0.1),
        height=q(6.4, 0.1),
    ).build("side")
    assert "readings-disagree" in codes(bad.findings)


def test_lean_by_angle_and_by_run_are_compared() -> None:
    run = 7.8 * math.tan(math.radians(20))
    good = Leaning(width=q(26, 0.1), height=q(7.8, 0.05), lean=q(20, 1, 0), run=q(run, 0.1)).build("rear")
    assert not good.findings
    alone = Leaning(width=q(26, 0.1), height=q(7.8, 0.05), lean=q(20, 1, 0)).build("rear")
    assert dict(good.sizes)["lean"].u < dict(alone.sizes)["lean"].u
    bad = Leaning(width=q(26, 0.1), height=q(7.8, 0.05), lean=q(30, 1, 0), run=q(run, 0.1)).build("rear")
    assert "readings-disagree" in codes(bad.findings)


def test_radius_and_rise_of_a_cap_are_compared() -> None:
    bad = Dome(
        width=q(20, 0.05), height=q(14, 0.05), radius_across=q(18, 0.5), rise_across=q(5, 0.1), radius_up=q(18, 0.5)
    ).build("lid")
    assert "readings-disagree" in codes(bad.findings)


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.tuples(st.floats(1, 50), st.floats(0.01, 1)), min_size=2, max_size=5),
)
def test_least_squares_of_one_unknown_is_the_weighted_mean(pairs: list[tuple[float, float]]) -> None:
    readings = {f"r{i}": Quantity(v, 1, ((f"r{i}", u),)) for i, (v, u) in enumerate(pairs)}
    found = adjust(readings, lambda x: dict.fromkeys(readings, x[0]), (pairs[0][0],)).unknowns[0]
    weights = [1 / u**2 for _, u in pairs]
    assert found.value == pytest.approx(sum(w * v for w, (v, _) in zip(weights, pairs, strict=True)) / sum(weights))


def test_a_reading_worked_out_from_another_panel_stays_correlated() -> None:
    door = Flat(width=q(22.4, 0.05), height=q(11.6, 0.05)).build("door")
    rear = Flat(width=door.width + Quantity(4.0), height=q(11.6, 0.05)).build("rear door")
    assert (rear.width - door.width).u == 0.0


def test_paint_grows_outside_sizes() -> None:
    bare = Flat(width=q(22.4, 0.05), height=q(11.6, 0.05)).build("door")
    painted = Flat(width=q(22.4, 0.05), height=q(11.6, 0.05), paint=q(0.1, 0.05)).build("door")
    assert painted.width.value == pytest.approx(bare.width.value + 0.2)
    assert dict(painted.width.parts)["door.paint"] == pytest.approx(2 * 0.05 / math.sqrt(3))


def test_findings_carry_the_place_of_their_key() -> None:
    place, own = Place("job.yaml", 3, 5), Place("job.yaml", 5, 7)
    panel = Flat(width=(q(22.1, 0.02), q(22.4, 0.02), q(22.8, 0.02)), height=q(11.6, 0.05)).build(
        "door", place=place, places={"width": own}
    )
    assert panel.findings[0].place == own


# ------------------------------------------------------------------------------------------ readings that are misread
def noticed(values: tuple[float, ...], tool: str = "caliper") -> list[tuple[str, str, str]]:
    found = settle(tuple(Reading(q(value), tool) for value in values), "door.width", subject="door").findings
    return [(f.severity, f.code, f.message) for f in found]


@pytest.mark.parametrize(
    ("values", "named"),
    [
        ((20.0, 25.0, 30.0), "20.00 and 30.00 are 5.00 mm off"),
        ((22.4, 22.41, 24.4), "24.40 is 1.99 mm off"),
        ((32.4, 22.4, 22.41, 22.39), "32.40 is 9.99"),
        ((22.4, 2.24, 22.4), "2.24 is 20.16 mm off"),
        ((22.4, 23.4), "22.40, 23.40 mm, 1.00 mm apart"),
    ],
)
def test_a_misread_reading_is_a_warning_that_names_it(values: tuple[float, ...], named: str) -> None:
    ((severity, code, message),) = noticed(values)
    assert (severity, code) == ("warning", "readings-disagree")
    assert "width" in message and named in message


def test_readings_that_merely_scatter_are_a_note_or_nothing() -> None:
    assert [code for _, code, _ in noticed((22.40, 22.55, 22.35))] == ["readings-scatter"]
    assert noticed((22.40, 22.41, 22.39)) == []
    # A rule read to half a millimetre is allowed more.
    assert noticed((22.2, 22.5, 22.7), "ruler") == []


@pytest.mark.parametrize(
    "more",
    [{}, {"rise": q(2.05, 0.05)}, {"radius": q(27.4, 0.5)}, {"angle": q(44.6, 1.0)}, {"rise": q(2, 0.1), "radius": 27}],
)
def test_a_tape_shorter_than_its_chord_is_an_error_whatever_else_is_given(more: dict[str, object]) -> None:
    with pytest.raises(PanelError, match=r"tape 20\.3 mm is shorter than the chord 20\.8 mm"):
        Cylinder(chord=q(20.8, 0.02), tape=q(20.3, 0.2), length=q(40.0), **more).build("bonnet")  # type: ignore[arg-type]


def test_a_tape_of_a_nearly_flat_panel_may_scatter_below_its_chord() -> None:
    flat = Cylinder(chord=q(20.8, 0.02), rise=q(0.3, 0.05), tape=q(20.75, 0.2), length=q(40.0, 0.02))
    assert flat.build("bonnet").findings == ()


def test_readings_without_an_instrument_are_called_that_beside_those_of_one() -> None:
    found = settle((Reading(Quantity(20.0)), Reading(Quantity(20.5), "ruler")), "door.width")
    (told,) = [one for one in found.findings if one.code == "readings-disagree"]
    assert "width by steel rule reads 20.50" in told.message and "width without an instrument makes" in told.message
