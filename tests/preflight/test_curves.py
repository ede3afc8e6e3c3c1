"""What is found about curves through measured points."""

from __future__ import annotations

import math
import re

import numpy as np
import pytest
import shapely

from decalgen.core.errors import Finding
from decalgen.job.model import Cut
from decalgen.panels.free import FreeOutline
from decalgen.shapes.base import At
from decalgen.shapes.outline import DrawnOutline, Hole
from tests.helpers.checks import check_jobs
from tests.helpers.jobs import PRINTER, decal, element, job, panel

CIRCLE = [(6 + 5 * math.cos(a), 6 + 5 * math.sin(a)) for a in np.arange(12) * math.pi / 6]
OFF = np.random.default_rng(4).uniform(-0.04, 0.04, (12, 2))
READ = [(x + dx, y + dy) for (x, y), (dx, dy) in zip(CIRCLE, OFF.tolist(), strict=True)]


def found_in(points: list[tuple[float, float]], **keys: object) -> dict[str, Finding]:
    """The findings about one curve in a group, by code."""
    curve = element("curve", ink="navy", points=tuple(points), **keys)
    group = element("group", elements=(curve,), width=40.0, height=20.0)
    findings = check_jobs([job(decal("sweep", 40.0, 20.0, group))], PRINTER)
    return {one.code: one for one in findings if one.code in ("curve-moved", "curve-likeness", "tight-bend")}


def test_what_within_moved_is_told_point_by_point() -> None:
    found = found_in(READ, within=0.05)["curve-moved"]
    assert found.severity == "note"
    each = found.message.partition("as the curve runs: ")[2].split(", ")
    moves = [float(one.partition(": ")[2]) for one in each]
    assert len(moves) == 12 and 0 < max(map(abs, moves)) <= 0.05
    furthest = max(range(12), key=lambda i: abs(moves[i]))
    assert found.message.startswith(f"point {furthest + 1} of the curve is moved furthest to make it even, by 0.0")


def test_of_many_points_each_move_is_told() -> None:
    many = [(1 + i, 9 + 4 * math.sin(i / 6) + 0.04 * (-1) ** i) for i in range(38)]
    message = found_in(many, within=0.05, line_width=0.5)["curve-moved"].message
    assert len(message.partition("as the curve runs: ")[2].split(", ")) == 38


def test_points_of_a_circle_are_told_as_one() -> None:
    found = found_in(READ, within=0.08)["curve-likeness"]
    assert found.message == "these 12 points lie on a circle of radius 4.99 mm, none further off than 0.04 mm"
    assert "a roundel of 9.98 mm" in found.fix
    part = found_in(READ[:5], within=0.08, line_width=0.5)["curve-likeness"]
    assert "an arc is surer" in part.fix


def arch_read() -> list[tuple[float, float]]:
    """An upright, half a circle of 10 mm, an upright, each coordinate off by at most 0.05 mm."""
    bow = [(14 - 10 * math.cos(a), 9 + 10 * math.sin(a)) for a in np.radians([0, 30, 60, 90, 120, 150, 180])]
    points = [(4.0, 1.0), (4.0, 3.5), (4.0, 6.0), *bow, (24.0, 6.5), (24.0, 4.0), (24.0, 1.5)]
    off = np.random.default_rng(8).uniform(-0.05, 0.05, (len(points), 2)).tolist()
    return [(x + dx, y + dy) for (x, y), (dx, dy) in zip(points, off, strict=True)]


def test_straights_and_arcs_among_the_points_are_told_and_the_advice_draws_them() -> None:
    """A wheel arch of which nothing is told: its uprights and its bow, as one would write them."""
    points = arch_read()
    given = {"within": 0.08}
    found = codes_of(points, **given)["curve-likeness"]
    assert [one.message.partition(",")[0] for one in found] == [
        "points 1 to 4 lie on a straight line",
        "points 4 to 10 lie on a circle of radius 10.01 mm",
        "points 10 to 13 lie on a straight line",
    ]
    assert [one.fix for one in found] == [
        "surer: of these keep points 1 and 4, and add 1 to `straights`",
        "surer: of these keep points 4, 7 and 10, and add 4 to `arcs`",
        "surer: of these keep points 10 and 13, and add 10 to `straights`",
    ]
    # The last first, so that the numbers before it stay.
    kept = [points[i - 1] for i in (1, 4, 7, 10, 13)]
    again = codes_of(kept, **given, straights=(1, 4), arcs=(2,))
    assert "curve-likeness" not in again and "sharp-turn" not in again


def test_of_pieces_that_are_told_and_of_smooth_sweeps_nothing_is_suggested() -> None:
    points = arch_read()
    told = codes_of(points, within=0.08, straights=(1, 2, 3, 10, 11, 12), corners=(4, 10))
    assert [one.message.partition(",")[0] for one in told["curve-likeness"]] == [
        "points 4 to 10 lie on a circle of radius 10.01 mm"
    ]
    assert told["curve-likeness"][0].fix.endswith("add 4 to `arcs`; the points after them get other numbers")
    spiral = [(20 + (4 + 0.6 * i) * math.cos(i / 2), 9 + (4 + 0.6 * i) * math.sin(i / 2)) for i in range(10)]
    assert "curve-likeness" not in codes_of(spiral, within=0.05)


def test_nothing_is_said_of_a_curve_without_within() -> None:
    assert found_in(READ, line_width=0.5, closed=True) == {}


@pytest.mark.parametrize(("width", "tight"), [(7.0, False), (9.0, True)])
def test_a_line_too_wide_for_its_bend_is_told(width: float, tight: bool) -> None:
    """Half of 7 mm is less than 0.8 of the radius of 5 mm, half of 9 is more."""
    found = found_in(CIRCLE, line_width=width, closed=True)
    assert ("tight-bend" in found) == tight
    if tight:
        assert f"a line of {width:.2f} mm bends round 5.00 mm" in found["tight-bend"].message


def found_in_band(**keys: object) -> dict[str, Finding]:
    band = element("band", ink="navy", in_place=True, **keys)
    findings = check_jobs([job(decal("sweep", 40.0, 20.0, band))], PRINTER)
    return {one.code: one for one in findings if one.code in ("tight-bend", "band-leaves")}


@pytest.mark.parametrize(
    ("given", "tight"),
    [
        ({"stripe_width": (7.0,)}, False),
        ({"stripe_width": (9.0,)}, True),
        # Outside of the circle, which is given anticlockwise, a band has room; inside it has not.
        ({"stripe_width": (4.5,), "distance": -0.5}, False),
        ({"stripe_width": (4.0,), "distance": 0.5}, True),
    ],
)
def test_a_band_too_wide_for_its_bend_is_told_with_place_and_radius(given: dict[str, object], tight: bool) -> None:
    found = found_in_band(points=tuple(CIRCLE), closed=True, **given)
    assert ("tight-bend" in found) == tight
    if tight:
        assert "into a bend round 5.00 mm, " in found["tight-bend"].message


def test_only_where_it_is_wide_a_band_that_narrows_is_too_wide() -> None:
    """Straight to 10 mm, then a bend of 2 mm, then straight: told at 4 mm, not where it narrows before."""
    points = ((2.0, 5.0), (12.0, 5.0), (14.0, 7.0), (14.0, 17.0))
    course = {"points": points, "straights": (1, 3)}
    wide = found_in_band(widths=((0.0, 4.0), (20.0, 4.0)), **course)
    assert "the band reaches 2.00 mm into a bend round 2.00 mm, 10.0 mm along it" in wide["tight-bend"].message
    assert found_in_band(widths=((0.0, 4.0), (9.5, 1.0)), **course) == {}


def test_a_band_that_leaves_its_decal_and_comes_back_is_told() -> None:
    out = ((0.0, 15.0), (13.0, 19.0), (20.0, 23.0), (27.0, 19.0), (40.0, 15.0))
    message = found_in_band(points=out, stripe_width=(1.0,))["band-leaves"].message
    assert "leaves the decal 14." in message or "leaves the decal 15." in message
    assert found_in_band(points=((0.0, 15.0), (20.0, 17.0), (40.0, 15.0)), stripe_width=(1.0,)) == {}


def test_what_leaves_a_decal_is_told_where_its_cut_line_falls_apart_for_it() -> None:
    out = ((0.0, 10.0), (13.0, 17.0), (20.0, 23.0), (27.0, 17.0), (40.0, 10.0))
    band = element("band", ink="navy", points=out, stripe_width=(1.0,), in_place=True)
    findings = check_jobs([job(decal("sweep", 40.0, 20.0, band, cut=Cut("artwork")))], PRINTER)
    codes = [one.code for one in findings]
    assert codes[:2] == ["cannot-draw", "band-leaves"]


def leaving(*shapes: object, **more: object) -> list[str]:
    findings = check_jobs([job(decal("sweep", 40.0, 20.0, *shapes, **more))], PRINTER)
    return [one.message for one in findings if one.code in ("band-leaves", "curve-leaves")]


def test_ends_whose_shape_is_cut_off_are_told_and_square_ones_run_on() -> None:
    """A level line from the left side to 9 mm beyond the right: cut square it is meant, but no point is left of it."""
    beyond = {"ink": "navy", "points": ((0.0, 10.0), (49.0, 10.0)), "straights": (1,), "in_place": True}
    for kind, width, cut in (
        ("curve", {"line_width": 1.0}, ("pointed", "round")),
        ("band", {"stripe_width": (1.0,)}, ("pointed", "pointed end")),
    ):
        assert leaving(element(kind, **beyond, **width)) == []
        for ends in cut:
            shape = ends.removesuffix(" end")
            message = f"the {shape} end of the {kind} lies 9.00 mm outside of the decal: it is cut off"
            assert leaving(element(kind, ends=ends, **beyond, **width)) == [message]
    slanted = element("band", **beyond, stripe_width=(1.0,), end_slant=20.0)
    assert leaving(slanted) == ["the slanted end of the band lies 9.00 mm outside of the decal: it is cut off"]
    pointed = {**beyond, "points": ((2.0, 10.0), (40.0, 10.0)), "ends": "pointed"}
    assert leaving(element("band", **pointed, stripe_width=(1.0,))) == []


def test_a_line_and_a_closed_band_that_come_back_are_told() -> None:
    out = ((0.0, 15.0), (13.0, 19.0), (20.0, 23.0), (27.0, 19.0), (40.0, 15.0))
    (message,) = leaving(element("curve", ink="navy", points=out, line_width=1.0, in_place=True))
    assert message.startswith("the curve leaves the decal 15.") or message.startswith("the curve leaves the decal 14.")
    high = tuple((x + 10, y + 10) for x, y in CIRCLE)
    for given in ({"distance": -1.0}, {}):
        band = element("band", ink="navy", points=high, closed=True, stripe_width=(0.4,), in_place=True, **given)
        (message,) = leaving(band)
        assert message.startswith("the middle of the band leaves the decal ")
    # Its line leaves, but the band lies within.
    low = tuple((x + 10, y + 9.2) for x, y in CIRCLE)
    band = {"ink": "navy", "points": low, "closed": True, "stripe_width": (0.4,), "in_place": True}
    assert leaving(element("band", **band, distance=0.5)) == []
    # A filled area is its own run-on.
    assert leaving(element("curve", ink="navy", points=high, in_place=True)) == []


def test_along_an_edge_only_what_is_cut_off_is_told() -> None:
    """On the lower half of a panel: a band all round is cut off above; along the foot it is not, however far it runs
    on; a decal 1 mm smaller all round has a band 1.5 mm from the edge."""
    around = element("band", ink="navy", edge=("all",), stripe_width=(1.0,), distance=1.5)
    foot = element("band", ink="navy", edge=("bottom",), stripe_width=(1.0,), distance=1.5)
    door = panel("door", 42.0, 22.0)

    def told(shape: object, height: float, at: str) -> int:
        one = decal("sweep", 40.0, height, shape, at=At(at, 0.0, 0.0))
        findings = check_jobs([job(one, panels=(door,))], PRINTER)
        return sum(finding.code == "band-leaves" for finding in findings)

    assert told(around, 11.0, "bottom") == 1
    assert told(foot, 11.0, "bottom") == 0 and told(around, 20.0, "centre") == 0


@pytest.mark.parametrize("count", [3, 12])
def test_even_points_of_a_circle_are_no_corners(count: int) -> None:
    """Three of them turn by 120 degrees each."""
    points = CIRCLE[:: 12 // count]
    assert found_in(points) == {} and "sharp-turn" not in codes_of(points)


def test_a_turn_of_more_than_120_degrees_is_asked_about() -> None:
    points = [(0.0, 0.0), (8.0, 0.0), (4.0, 5.0), (-3.0, 4.0)]
    (found,) = codes_of(points)["sharp-turn"]
    assert found.severity == "warning" and found.message == "point 2 turns by 129 degrees: is it a corner?"
    assert "sharp-turn" not in codes_of(points, corners=(2,))


def test_a_sharp_turn_between_curved_sides_is_asked_about() -> None:
    """Of an outline, of a hole in one, and of a panel: between sides 2 and 3 the chords turn by 129 degrees."""
    turn = math.radians(129)
    points = ((0.0, 0.0), (8.0, 0.0), (14.0, 0.0), (14 + 6 * math.cos(turn), 6 * math.sin(turn)), (0.0, 5.0))
    around = ((-3.0, -3.0), (20.0, -3.0), (20.0, 12.0), (-3.0, 12.0))
    for given in (
        {"points": points, "curves": (2, 3)},
        {"points": around, "holes": (Hole(points, curves=(2, 3)),)},
    ):
        findings = check_jobs([job(decal("sweep", 40.0, 20.0, element("outline", ink="navy", **given)))], PRINTER)
        (found,) = [one for one in findings if one.code == "sharp-turn"]
        assert found.message == "point 3 of the curved sides turns by 129 degrees: is it a corner?"
    wing = FreeOutline(outline=points, curves=(2, 3)).build("wing")
    (found,) = [one for one in wing.findings if one.code == "sharp-turn"]
    assert found.severity == "warning" and found.subject == "wing" and "end the curve there" in found.fix
    assert "sharp-turn" not in {one.code for one in FreeOutline(outline=points, curves=(2,)).build("wing").findings}


def codes_of(points: list[tuple[float, float]], **keys: object) -> dict[str, list[Finding]]:
    curve = element("curve", ink="navy", points=tuple(points), line_width=0.4, **keys)
    found: dict[str, list[Finding]] = {}
    for one in check_jobs([job(decal("sweep", 40.0, 20.0, curve))], PRINTER):
        found.setdefault(one.code, []).append(one)
    return found


def test_of_the_sides_of_an_outline_the_same_is_told() -> None:
    """An upright, an arch and an upright as they were read, closed by a sill: the outline drawn anew as the fixes say
    has nothing left to tell, and covers what the curve did within the ± along its edge."""
    points = arch_read()
    sides = tuple(range(1, len(points)))

    def told(**given: object) -> list[Finding]:
        findings = check_jobs([job(decal("arch", 40.0, 20.0, element("outline", ink="navy", **given)))], PRINTER)
        return [one for one in findings if one.code in ("curve-likeness", "curve-moved", "sharp-turn")]

    moved, *like = told(points=tuple(points), curves=sides, within=0.08)
    assert moved.code == "curve-moved" and "of the outline is moved furthest" in moved.message
    assert [one.message.partition(",")[0] for one in like] == [
        "points 1 to 4 lie on a straight line",
        "points 4 to 10 lie on a circle of radius 10.01 mm",
        "points 10 to 13 lie on a straight line",
    ]
    rise = re.search(r"keep points 4 and 10 .* with a rise of ([\d.]+) mm", like[1].fix)
    assert rise
    kept = tuple(points[i - 1] for i in (1, 4, 10, 13))
    assert told(points=kept, rises=(0.0, float(rise[1]), 0.0, 0.0), within=0.08) == []
    drawn = DrawnOutline("navy", kept, rises=(0.0, float(rise[1]), 0.0, 0.0)).rings()[0].polygon
    assert max(drawn.exterior.distance(shapely.Point(p)) for p in points) < 0.1
    # Listed the other way round the rise is the same: it is outward.
    again = told(points=tuple(points[::-1]), curves=sides, within=0.08)
    assert f"with a rise of {rise[1]} mm" in " ".join(one.fix for one in again)
