"""Stripes along a curve as a shape."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from shapely.geometry import Polygon

from decalgen.artwork.edge_band import EdgeBand, runs_along
from decalgen.core.geometry import Outline, Segment, rectangle, rounded, union
from decalgen.shapes.band import OVER_MM, DrawnBand
from decalgen.shapes.band_keys import BandChecks, BandChevrons
from decalgen.shapes.base import Box, ShapeError

SIDES = ("bottom", "right", "top", "left")
LINE = ((0.0, 5.0), (20.0, 5.0))
SIZE = Box(20.0, 10.0)


ARCH = Outline(
    (
        Segment((0, 0), (6, 0)),
        Segment((6, 0), (14, 0), (10, 0), anticlockwise=False),
        Segment((14, 0), (20, 0)),
        Segment((20, 0), (20, 10)),
        Segment((20, 10), (0, 10)),
        Segment((0, 10), (0, 0)),
    )
)
"""A sill with a wheel arch, a half circle of 4 mm."""
ARCH_SIDES = tuple(f"side {i}" for i in range(1, 7))


def straight(**given: object) -> DrawnBand:
    """A level band across a box of 20 by 10, in place."""
    more = {"ink": "navy"} if "inks" not in given else {}
    return DrawnBand(points=LINE, straights=(1,), in_place=True, **more, **given)


def arc(**given: object) -> DrawnBand:
    """A half circle of 10 mm, clockwise from left to right over its middle at 12, 3."""
    points = tuple((12 - 10 * math.cos(a), 3 + 10 * math.sin(a)) for a in (0.0, 0.7, 1.5, 2.2, math.pi))
    return DrawnBand("navy", points=points, in_place=True, **given)


def test_widths_that_change_evenly_are_measured_square_across() -> None:
    """By hand: 3 mm to 1 mm over 20 mm of a straight line is a trapezium; round an arc it has the same area."""
    (area,) = straight(widths=((0.0, 3.0), (20.0, 1.0))).draw(SIZE)
    assert area.region.symmetric_difference(Polygon([(0, 3.5), (20, 4.5), (20, 5.5), (0, 6.5)])).area < 1e-6
    long = 10 * math.pi
    (area,) = arc(widths=((0.0, 3.0), (31.4, 1.0))).draw(Box(30, 20))
    assert area.region.area == pytest.approx(2 * 31.4 + (long - 31.4), abs=0.001 * long)


def test_stripes_have_their_widths_gaps_and_inks_from_the_left() -> None:
    drawn = straight(inks=("navy", "rust"), stripe_width=(2.0, 0.5), gap=(0.3,)).draw(SIZE)
    assert [one.ink for one in drawn] == ["navy", "rust"]
    assert drawn[0].region.bounds == pytest.approx((0, 4.4, 20, 6.4))
    assert drawn[1].region.bounds == pytest.approx((0, 3.6, 20, 4.1))


def test_stripes_and_gaps_keep_their_shares_of_a_width_that_changes() -> None:
    given = {"inks": ("navy", "rust"), "stripe_width": (2.0, 1.0), "gap": (1.0,)}
    navy, rust = straight(**given, widths=((0.0, 4.0), (20.0, 2.0))).draw(SIZE)
    right = rectangle(20 - 1e-6, 0, 20, 10)
    assert navy.region.intersection(right).bounds[1::2] == pytest.approx((5, 6), abs=1e-4)
    assert rust.region.intersection(right).bounds[1::2] == pytest.approx((4, 4.5), abs=1e-4)


def test_even_gaps_stay_as_stated_where_the_width_changes() -> None:
    """4 mm narrow to 2 mm about y = 5, with a gap of 1 mm: at the end the stripes share 1 mm two to one; to the left
    of a line they begin at it."""
    given = {"inks": ("navy", "rust"), "stripe_width": (2.0, 1.0), "gap": (1.0,), "even_gaps": True}
    right = rectangle(20 - 1e-6, 0, 20, 10)
    for distance, low in ((None, 4.0), (0.0, 5.0)):
        wide = straight(**given, widths=((0.0, 4.0), (20.0, 2.0)), distance=distance).draw(SIZE)
        navy, rust = (one.region.intersection(right).bounds[1::2] for one in wide)
        upper, lower = (low + 2 - 2 / 3, low + 2), (low, low + 1 / 3)
        if distance == 0.0:
            upper, lower = (low, low + 2 / 3), (low + 5 / 3, low + 2)
        assert navy == pytest.approx(upper, abs=1e-4) and rust == pytest.approx(lower, abs=1e-4)
        # Square to its slanting sides it is the cosine of their slant narrower.
        assert wide[0].region.distance(wide[1].region) == pytest.approx(1.0, abs=3e-3)


def test_where_even_gaps_take_all_of_a_point_there_is_no_stripe() -> None:
    """A point of 10 mm from 4 mm on: at 2.5 mm from its tip a width of 1 mm is all gap, straight on from there."""
    given = {"inks": ("navy", "rust"), "stripe_width": (1.5, 1.5), "gap": (1.0,), "even_gaps": True}
    ends = {"ends": "pointed end", "point_length": 10.0}
    navy, rust = straight(**given, **ends).draw(SIZE)
    assert navy.region.bounds == pytest.approx((0, 5.5, 17.5, 7), abs=1e-4)
    assert rust.region.bounds == pytest.approx((0, 3, 17.5, 4.5), abs=1e-4)
    assert navy.region.area == pytest.approx(10 * 1.5 + 7.5 * 1.5 / 2, abs=1e-4)
    assert navy.region.distance(rust.region) == pytest.approx(1.0, abs=1e-4)


@pytest.mark.parametrize(
    ("given", "message", "fix"),
    [
        ({"gap": ()}, "`even gaps` is for a band with gaps", "add `widths` and a `gap`"),
        ({"widths": ()}, "`even gaps` is for a band with gaps", "add `widths` and a `gap`"),
        ({"gap": (2.5,)}, "the gaps of the band, 2.5 mm together, leave nothing of its 2 mm", "more than 2.5 mm"),
    ],
)
def test_even_gaps_need_gaps_and_room(given: dict[str, object], message: str, fix: str) -> None:
    keys = {"inks": ("navy", "rust"), "stripe_width": (1.0,), "gap": (0.5,), "widths": ((0.0, 2.0), (20.0, 1.0))}
    with pytest.raises(ShapeError) as error:
        straight(**{**keys, **given}, even_gaps=True)
    assert message in error.value.message and fix in error.value.fix


@pytest.mark.parametrize(("distance", "bounds"), [(0.5, (5.5, 7.5)), (0.0, (5.0, 7.0)), (-0.5, (2.5, 4.5))])
def test_a_distance_is_from_the_line_to_the_band(distance: float, bounds: tuple[float, float]) -> None:
    near, far = straight(inks=("navy", "rust"), stripe_width=(1.0,), distance=distance).draw(SIZE)
    both = union((near.region, far.region))
    assert both.bounds[1::2] == pytest.approx(bounds)
    assert near.region.distance(shapely.linestrings(LINE)) < far.region.distance(shapely.linestrings(LINE))


def test_slanted_and_pointed_ends() -> None:
    """As italics: above the line further along; 45 degrees of a band 2 mm wide are 1 mm each way. In place, as a
    stripe's, slanted ends do not run on."""
    (area,) = straight(stripe_width=(2.0,), part=(4.0, 16.0), start_slant=45.0, end_slant=-45.0).draw(SIZE)
    assert area.region.symmetric_difference(Polygon([(3, 4), (17, 4), (15, 6), (5, 6)])).area < 1e-5
    (area,) = straight(stripe_width=(2.0,), ends="pointed end", point_length=5.0).draw(SIZE, 1.0)
    expected = Polygon([(-1, 4), (15, 4), (20, 5), (15, 6), (-1, 6)])
    assert area.region.symmetric_difference(expected).area < 1e-6


def test_a_slanted_end_of_an_arc_is_cut_straight() -> None:
    (area,) = arc(stripe_width=(2.0,), end_slant=30.0).draw(Box(30, 20))
    tip = shapely.get_coordinates(area.region)
    # The end lies on a line through (22, 3), at 30 degrees to the radius there; the band comes down to it.
    lean = math.tan(math.radians(30))
    below = (tip[:, 1] - 3 + lean * (tip[:, 0] - 22)) * (tip[:, 0] > 15)
    assert below.min() == pytest.approx(0, abs=1e-5)
    assert area.region.bounds[1] == pytest.approx(3 - lean, abs=2e-3)


def test_a_lead_in_comes_from_straight() -> None:
    """It adds its length."""
    plain, led = arc(stripe_width=(1.0,)), arc(stripe_width=(1.0,), lead_in=2.5)
    (a,), (b,) = plain.draw(Box(30, 20)), led.draw(Box(30, 20))
    assert b.region.area - a.region.area == pytest.approx(2.5, abs=0.02)


def along(
    edge: tuple[str, ...], outline: Outline | None = None, sides: tuple[str, ...] = SIDES, **given: object
) -> EdgeBand:
    """A band along the edge of a panel of 20 by 10."""
    more = {"ink": "navy"} if "inks" not in given else {}
    band = DrawnBand(edge=edge, **more, **given)
    return EdgeBand(band, runs_along(band, outline or rounded(20.0, 10.0, (0.0,) * 4), sides, "door"))


def test_along_an_edge_it_keeps_its_distance_inward_and_runs_on() -> None:
    """Over the edge and the next sides far enough for any bleed; the decal's outline cuts off what is too much."""
    bleed = rectangle(-1, -1, 21, 11)
    (area,) = along(("top",), stripe_width=(1.0,), distance=0.5).draw(SIZE, 1.0)
    assert area.region.intersection(bleed).bounds == pytest.approx((-1, 8.5, 21, 9.5))
    (area,) = along(("left", "bottom"), stripe_width=(1.0,)).draw(SIZE, 1.0)
    expected = bleed.difference(rectangle(1, 1, 21, 11))
    assert area.region.intersection(bleed).symmetric_difference(expected).area < 1e-6
    assert OVER_MM > 1.0


def test_two_sides_that_do_not_meet_have_a_band_each() -> None:
    (area,) = along(("top", "bottom"), stripe_width=(1.0,), distance=0.5).draw(SIZE)
    assert sorted(part.bounds[1] for part in area.region.geoms) == pytest.approx([0.5, 8.5])


def test_all_round_it_is_a_frame_with_inks_from_the_edge_inward() -> None:
    navy, rust = along(("all",), inks=("navy", "rust"), stripe_width=(1.0, 0.5), gap=(0.5,), distance=0.5).draw(SIZE)
    assert navy.region.area == pytest.approx(19 * 9 - 17 * 7) and rust.region.area == pytest.approx(16 * 6 - 15 * 5)


def test_round_a_wheel_arch_it_is_a_wider_arch() -> None:
    """A half circle of 4 mm in the sill: a band from 1 to 2 mm off lies between circles of 5 and 6 mm, and meets the
    sill's own band in sharp corners."""
    (area,) = along(("side 1", "side 2", "side 3"), ARCH, ARCH_SIDES, stripe_width=(1.0,), distance=1.0).draw(SIZE)
    middle = shapely.Point(10, 0)
    ring = middle.buffer(6, quad_segs=500).difference(middle.buffer(5, quad_segs=500))
    high = rectangle(0, 2, 20, 10)
    assert area.region.intersection(high).symmetric_difference(ring.intersection(high)).area < 0.02
    assert area.region.is_valid and len(area.region.geoms) == 1
    assert area.region.intersection(rectangle(0, 0, 4, 10)).bounds == pytest.approx((0, 1, 4, 2))


@pytest.mark.parametrize(
    "given",
    [
        {},
        {"ends": "pointed", "point_length": 1.0},
        {"inks": ("navy", "rust"), "checks": BandChecks(2.0, 2)},
        {"inks": ("navy", "rust"), "chevrons": BandChevrons(2.0)},
        {"inks": ("navy", "rust"), "chevrons": BandChevrons(2.0, -40.0)},
    ],
)
def test_what_lies_on_a_wheel_arch_runs_on_over_it(given: dict[str, object]) -> None:
    """Stripes, pointed ones, checks and chevrons: 1 mm of bleed under the arch, but for 20 degrees at each end; on the
    panel, between circles of 4 and 5.5 mm, no more of any ink with it than without."""
    band = along(("side 2",), ARCH, ARCH_SIDES, stripe_width=(1.5,), distance=0.0, **given)
    whole = union(area.region for area in band.draw(SIZE, 1.0))
    middle = shapely.Point(10, 0)
    fan = Polygon([(10, 0), *((10 + 9 * math.cos(a), 9 * math.sin(a)) for a in np.linspace(0.35, math.pi - 0.35, 50))])
    bleed = middle.buffer(3.99, quad_segs=200).difference(middle.buffer(3.0, quad_segs=200)).intersection(fan)
    assert bleed.difference(whole).area < 1e-3
    ring = middle.buffer(5.5, quad_segs=500).difference(middle.buffer(4.0, quad_segs=500)).intersection(fan)
    assert ring.difference(whole).area < 0.01
    assert whole.intersection(ARCH.polygon).difference(middle.buffer(5.502, quad_segs=500)).area < 1e-3


def test_chevrons_go_straight_on_over_an_edge() -> None:
    """Along the foot: the same on the panel as those of a band 0.1 µm off it, which does not run on."""
    given = {"inks": ("navy", "rust"), "stripe_width": (2.0,), "chevrons": BandChevrons(4.0)}
    on, off = (along(("bottom",), distance=far, **given).draw(SIZE, 1.0) for far in (0.0, 0.0001))
    panel = rectangle(0, 0, 20, 10)
    for one, other in zip(on, off, strict=True):
        assert one.region.symmetric_difference(other.region).intersection(panel).area < 0.01
        assert one.region.bounds[1] <= -1.0 and other.region.bounds[1] >= 0.0


@pytest.mark.parametrize(
    ("given", "message", "fix"),
    [
        ({}, "the band has no width", "stripe width"),
        ({"stripe_width": (1.0, 1.0)}, "has 1 stripe but 2 widths", "one for all"),
        ({"stripe_width": (1.0,), "gap": (0.2,), "ink": "navy"}, "one stripe has no gap", "remove `gap`"),
        ({"stripe_width": (1.0,), "widths": ((0.0, 1.0),)}, "has two widths", "keep `widths`"),
        ({"widths": ((3.0, 1.0), (2.0, 1.0))}, "out of order: 2 mm along it comes after 3 mm", "in order"),
        ({"widths": ((0.0, 0.0),)}, "all widths of the band are 0", "more than 0 mm"),
        ({"widths": ((0.0, 1.0), (25.0, 2.0))}, "25 mm along the band, which is 20.00 mm long", "write 20 mm or less"),
        ({"stripe_width": (1.0,), "part": (4.0, 30.0)}, "`part` reaches 30 mm along a line of 20.00", "20 mm or less"),
        ({"stripe_width": (1.0,), "part": (9.0, 3.0)}, "from 9 to 3 mm has no length", "where it starts"),
        ({"stripe_width": (1.0,), "ends": "pointed", "point_length": 12.0}, "two pointed ends of 12", "10 mm, or"),
        ({"stripe_width": (1.0,), "ends": "pointed", "start_slant": 9.0}, "has no slant", "remove `start slant`"),
        ({"stripe_width": (1.0,), "point_length": 3.0}, "is for pointed ends", "ends: pointed"),
        ({"stripe_width": (1.0,), "edge": ("top",)}, "either `points` or `edge`", "sides of the panel"),
    ],
    ids=lambda v: v if isinstance(v, str) else "",
)
def test_a_mistake_is_told_with_a_fix(given: dict[str, object], message: str, fix: str) -> None:
    given = {"ink": "navy", "points": LINE, "straights": (1,), **given}
    with pytest.raises(ShapeError) as error:
        DrawnBand(**given)
    assert message in error.value.message and fix in error.value.fix


def test_off_the_edge_of_the_panel_no_band_can_lie() -> None:
    """The fix is a line of the file: with it the band is drawn."""
    with pytest.raises(ShapeError) as error:
        along(("top",), stripe_width=(1.0,), distance=-0.3)
    assert "0.3 mm outside of the panel's edge" in error.value.message
    assert error.value.fix == "inside the edge: distance: 0.3 mm"
    (area,) = along(("top",), stripe_width=(1.0,), distance=0.3).draw(SIZE)
    assert area.region.bounds[1::2] == pytest.approx((8.7, 9.7))


def test_a_loop_with_no_room_for_the_band_is_told() -> None:
    points = tuple((4 * math.cos(a), 4 * math.sin(a)) for a in (0.0, 1.2, 2.7, 4.4))
    with pytest.raises(ShapeError, match="nothing is left of the band") as error:
        DrawnBand("navy", points=points, closed=True, stripe_width=(1.0,), distance=4.5)
    assert "distance" in error.value.fix


def test_a_side_that_is_not_there_is_told_with_those_that_are() -> None:
    with pytest.raises(ShapeError) as error:
        along(("botom",), stripe_width=(1.0,))
    assert error.value.message == "panel 'door' has no side 'botom': its sides are bottom, right, top, left"
    assert "bottom" in error.value.fix and "edge: all" in error.value.fix


def test_along_an_edge_it_needs_a_panel() -> None:
    with pytest.raises(ShapeError, match="cannot lie in a group"):
        DrawnBand("navy", edge=("top",), stripe_width=(1.0,)).draw(SIZE)


def test_checks_along_a_band_take_turns_and_grow_over_the_sides() -> None:
    """5 cells of 4 mm nearest to 3.9, two rows of 1 mm: the first ink at the upper left, as of checks."""
    band = straight(inks=("navy", "rust"), stripe_width=(2.0,), checks=BandChecks(3.9, 2))
    navy, rust = band.draw(SIZE, 1.0)
    assert navy.region.area == pytest.approx(rust.region.area) == pytest.approx(22.0)
    first = navy.region.intersection(rectangle(-2, 5, 4, 6))
    assert first.bounds == pytest.approx((-1, 5, 4, 6))
    alone = straight(stripe_width=(2.0,), checks=BandChecks(3.9, 2)).draw(SIZE)
    assert len(alone) == 1 and alone[0].region.area == pytest.approx(20.0)


def test_chevrons_along_an_edge() -> None:
    """Along the sill, 2 mm wide: each ink has half."""
    band = along(("bottom",), inks=("navy", "rust"), stripe_width=(2.0,), chevrons=BandChevrons(4.0))
    navy, rust = band.draw(SIZE)
    assert navy.region.area + rust.region.area == pytest.approx(40.0)
    assert navy.region.area == pytest.approx(20.0, abs=1.5)


@pytest.mark.parametrize(
    ("given", "message"),
    [
        ({"checks": BandChecks(1.0), "chevrons": BandChevrons(3.0)}, "both checks and chevrons"),
        ({"checks": BandChecks(1.0), "end_slant": 20.0}, "the ends of checks and chevrons are square"),
        ({"chevrons": BandChevrons(3.0, 4.0)}, "arms at 4 degrees are too flat"),
        ({"checks": BandChecks(0.001)}, "cells are too many"),
    ],
)
def test_what_checks_and_chevrons_cannot_have(given: dict[str, object], message: str) -> None:
    with pytest.raises(ShapeError) as error:
        straight(inks=("navy", "rust"), stripe_width=(2.0,), **given)
    assert message in error.value.message and error.value.fix
