"""A smooth curve through measured points as a shape."""

from __future__ import annotations

import math

import pytest
import shapely

from decalgen.core.geometry import rectangle
from decalgen.shapes.base import Box, ShapeError
from decalgen.shapes.curve import DrawnCurve

CIRCLE = tuple((6 + 5 * math.cos(a), 6 + 5 * math.sin(a)) for a in (0.0, 0.9, 2.5, 3.3, 5.0))


def test_uneven_points_of_a_circle_fill_the_circle() -> None:
    (area,) = DrawnCurve("navy", CIRCLE).draw(Box(10, 10))
    assert area.region.area == pytest.approx(25 * math.pi, abs=0.05)
    assert DrawnCurve("navy", CIRCLE).extent(Box(30, 30)) == pytest.approx((10, 10), abs=0.002)


def test_a_line_round_a_circle_is_a_ring() -> None:
    (area,) = DrawnCurve("navy", CIRCLE, 1.0, closed=True).draw(Box(11, 11))
    assert area.region.area == pytest.approx(10 * math.pi, abs=0.05)
    assert len(area.region.geoms[0].interiors) == 1


def test_a_line_in_place_runs_on_over_the_sides_it_ends_on() -> None:
    """A sweep from the left side to the right: beyond both, straight ahead and as wide; with round ends it stops."""
    points = ((0.0, 2.0), (6.0, 2.6), (14.0, 6.4), (20.0, 7.0))
    size = Box(20, 10)
    sweep = DrawnCurve("navy", points, 1.2, directions=((1, 0.0), (4, 0.0)), in_place=True)
    (plain,), (running,) = sweep.draw(size), sweep.draw(size, 1.0)
    grown = running.region.difference(plain.region)
    expected = shapely.union_all([rectangle(-1, 1.4, 0, 2.6), rectangle(20, 6.4, 21, 7.6)])
    assert grown.symmetric_difference(expected).area < 1e-3
    ended = DrawnCurve("navy", points, 1.2, ends="round", in_place=True)
    assert ended.draw(size, 1.0)[0].region.bounds[0] == pytest.approx(-0.6, abs=0.01)


def test_a_slanted_end_on_a_side_fills_the_side_as_wide_as_it_meets_it() -> None:
    """A straight line of 1 mm at 45 degrees covers √2 mm of the side, though its square end covers less of it."""
    line = DrawnCurve("navy", ((0.0, 2.0), (6.0, 8.0)), 1.0, straights=(1,), in_place=True)
    rim = line.draw(Box(20, 20))[0].region.intersection(rectangle(0, 0, 1e-6, 20))
    assert rim.bounds[3] - rim.bounds[1] == pytest.approx(math.sqrt(2), abs=1e-3)


@pytest.mark.parametrize("turned", [False, True])
def test_a_line_runs_on_over_the_lower_and_the_upper_side(turned: bool) -> None:
    points = ((3.0, 0.0), (3.5, 5.0), (4.0, 10.0))
    line = DrawnCurve("navy", points[::-1] if turned else points, 1.0, in_place=True)
    assert line.draw(Box(8, 10), 1.0)[0].region.bounds[1::2] == pytest.approx((-1, 11))


def test_a_line_that_ends_along_a_side_does_not_run_on() -> None:
    line = DrawnCurve("navy", ((4.0, 0.0), (9.0, 0.0)), 1.0, straights=(1,), in_place=True)
    assert line.draw(Box(20, 10), 2.0)[0].region.bounds == pytest.approx((4, -0.5, 9, 0.5))


def test_pointed_ends() -> None:
    points = ((0.0, 0.0), (10.0, 2.0), (20.0, 0.0))
    usual = DrawnCurve("navy", points, 1.0, ends="pointed")
    long = DrawnCurve("navy", points, 1.0, ends="pointed", point_length=6.0)
    (a,), (b,) = usual.draw(Box(20, 3)), long.draw(Box(20, 3))
    assert a.region.area - b.region.area == pytest.approx(4.0, abs=0.01)


@pytest.mark.parametrize(
    ("given", "message", "fix"),
    [
        ({"closed": False}, "an open curve has no area", "line width"),
        ({"ends": "round"}, "a filled curve has no ends", "line width"),
        ({"line_width": 1.0, "closed": True, "ends": "round"}, "a closed line has no ends", "remove"),
        ({"line_width": 1.0, "point_length": 1.0}, "`point length` is for pointed ends", "ends: pointed"),
        ({"line_width": 1.0, "ends": "pointed", "point_length": 99.0}, "two pointed ends of 99 mm", "point length: "),
        ({"directions": ((1.5, 0.0),)}, "1.5 is not the number of a point", "number of the point"),
        ({"corners": (9,)}, "there is no point 9: the curve has 5 points", "use 1 to 5"),
    ],
    ids=lambda v: v if isinstance(v, str) else "",
)
def test_a_mistake_is_told_with_a_fix(given: dict[str, object], message: str, fix: str) -> None:
    with pytest.raises(ShapeError) as error:
        DrawnCurve("navy", CIRCLE, **given)
    assert message in error.value.message and fix in error.value.fix


def test_a_curve_outside_of_its_box_is_told() -> None:
    with pytest.raises(ShapeError, match=r"from \(1, 1\) to \(11, 11\) mm"):
        DrawnCurve("navy", CIRCLE, in_place=True).draw(Box(0.9, 0.9))


def test_points_on_one_line_fill_nothing() -> None:
    with pytest.raises(ShapeError) as error:
        DrawnCurve("navy", ((0.0, 0.0), (4.0, 0.0), (9.0, 0.0)), corners=(1, 3))
    assert error.value.fix
