"""What is found about lettering on arcs and along curves."""

from __future__ import annotations

import pytest

from decalgen.core.errors import Finding
from decalgen.preflight.features import broken
from decalgen.shapes.lettering import Lettering
from decalgen.shapes.lettering_groups import Along, Arc
from tests.helpers.checks import check_jobs
from tests.helpers.jobs import PRINTER, decal, element, job


def found_in(**keys: object) -> dict[str, Finding]:
    """The findings about one lettering in a group, by code."""
    lettering = element("lettering", **{"ink": "navy", "cap_height": 2.0, **keys})
    group = element("group", elements=(lettering,), width=40.0, height=24.0)
    return {one.code: one for one in check_jobs([job(decal("sign", 40.0, 24.0, group))], PRINTER)}


@pytest.mark.parametrize(("radius", "tight"), [(7.9, True), (8.1, False)])
def test_turned_letters_in_a_tight_hollow_bend_are_told_and_a_fan_is_offered(radius: float, tight: bool) -> None:
    """Four cap heights of 2 mm are 8 mm."""
    found = found_in(text=("HARBOUR",), arc=Arc(radius, side="inside"))
    assert ("tight-baseline" in found) == tight
    assert "tight-baseline" not in found_in(text=("HARBOUR",), arc=Arc(radius))
    if tight:
        one = found["tight-baseline"]
        assert (one.severity, one.measured, one.limit) == ("note", pytest.approx(radius), 8.0)
        assert "`bend: fan`" in one.fix
        assert "tight-baseline" not in found_in(text=("HARBOUR",), arc=Arc(radius, side="inside"), bend="fan")


def test_only_the_bend_under_the_word_counts() -> None:
    """A hook at the end of a baseline, past the word."""
    hook = Along(((1.0, 8.0), (10.0, 8.0), (20.0, 8.0), (27.0, 10.0), (29.0, 14.0)), straights=(1, 2))
    assert "tight-baseline" not in found_in(text=("BAY",), along=hook, align="left")
    assert "tight-baseline" in found_in(text=("BAY",), along=hook, align="right")


def test_pairs_that_were_opened_are_named() -> None:
    """In Anton neighbours stand 0.13 mm apart: heads that lean together are opened to that."""
    found = found_in(text=("HARBOUR",), face="Anton", arc=Arc(5.0))["opened-pairs"]
    assert found.severity == "note" and "'HA' by 0." in found.message
    assert "opened-pairs" not in found_in(text=("HARBOUR",), face="Anton", arc=Arc(5.0), bend="fan")


def test_strokes_are_judged_as_they_are_once_bent() -> None:
    """A level bar on a foot that climbs at 70 degrees has cos 70 = a third of its thickness: the E at the end breaks,
    the E in the middle does not."""
    keys: dict[str, object] = {"text": ("EHHHE",), "axes": ("wght 400",), "tracking": 0.3}
    for flat in ({}, {"arc": Arc(rise=1.0), "bend": "upright"}):
        assert not {"letters-break", "thin-line"} & set(found_in(**keys, **flat))
    found = found_in(**keys, arc=Arc(rise=3.3), bend="upright")["thin-line"]
    assert found.measured is not None and found.measured < 0.15
    ends, middle = (
        Lettering((text,), "navy", 2.0, axes=("wght 400",), tracking=0.3, arc=Arc(rise=3.3), bend="upright")
        for text in ("EHEHH", "HHEHH")
    )
    # Each E is another letter here, the one that breaks the first of them.
    lost = broken(ends, 0.2)
    assert lost is not None and "E" in lost.letters
    kept = broken(middle, 0.2)
    assert kept is None or "E" not in kept.letters


def test_points_moved_within_their_readings_are_told() -> None:
    points = ((1.0, 4.02), (9.0, 6.0), (18.0, 6.43), (27.0, 6.0), (37.0, 4.0))
    found = found_in(text=("BAY",), along=Along(points, within=0.05))
    assert "point" in found["curve-moved"].message


@pytest.mark.parametrize(("far", "offered"), [(7.6, False), (30.0, True)])
def test_larger_capitals_are_offered_only_where_they_go_on_the_curve(far: float, offered: bool) -> None:
    """An A of 1.3 mm in Oswald closes up; the word is 6.9 mm long, and at 1.9 mm 9.5."""
    baseline = Along(((0.5, 4.0), (far / 2, 4.3), (far, 4.0)))
    found = found_in(text=("HAULAGE",), face="Oswald", axes=("wght 560",), cap_height=1.3, tracking=0.2, along=baseline)
    assert ("make capitals" in found["letters-close"].fix) == offered
