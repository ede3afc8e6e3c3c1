"""Arcs instead of clothoids, for cutting files."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

import numpy as np
import pytest

from decalgen.core.curves.arcs import segments
from decalgen.core.curves.clothoid import straight
from decalgen.core.curves.course import Course, curve_through
from decalgen.core.curves.curve import Curve
from decalgen.core.geometry import Outline, Segment
from tests.core.curves.sets import dense, drawn, on_circle, on_ellipse, wheel_arch


def off_the_arcs(curve: Curve, found: Sequence[Segment]) -> float:
    """How far places of the curve lie from the nearest segment, each taken as the true arc that it is."""
    places = dense(curve, 4000)
    nearest = np.full(len(places), np.inf)
    for one in found:
        start, end = np.array(one.start), np.array(one.end)
        away = np.minimum(np.hypot(*(places - start).T), np.hypot(*(places - end).T))
        if one.centre is None:
            way = end - start
            share = np.clip((places - start) @ way / (way @ way), 0, 1)[:, None]
            away = np.hypot(*(places - start - share * way).T)
        else:
            lead = places - one.centre
            first = math.atan2(*(start - one.centre)[::-1])
            sweep = math.atan2(*(end - one.centre)[::-1]) - first
            sign = 1 if one.anticlockwise else -1
            turned = (sign * (np.arctan2(lead[:, 1], lead[:, 0]) - first)) % (2 * math.pi)
            within = turned <= (sign * sweep) % (2 * math.pi)
            radial = np.abs(np.hypot(*lead.T) - math.dist(one.start, one.centre))
            away = np.where(within, np.minimum(radial, away), away)
        nearest = np.minimum(nearest, away)
    return float(nearest.max())


def directions(one: Segment) -> tuple[float, float]:
    """With which it starts and ends."""
    if one.centre is None:
        way = math.atan2(one.end[1] - one.start[1], one.end[0] - one.start[0])
        return way, way
    side = math.pi / 2 if one.anticlockwise else -math.pi / 2
    a, b = (math.atan2(p[1] - one.centre[1], p[0] - one.centre[0]) for p in (one.start, one.end))
    return a + side, b + side


@pytest.mark.parametrize("tolerance", [0.002, 0.01])
def test_arcs_keep_within_the_tolerance_and_meet_smoothly(tolerance: float) -> None:
    for curve in [*drawn(seed=8, count=20), curve_through(on_ellipse())]:
        found = segments(curve, tolerance)
        assert off_the_arcs(curve, found) <= tolerance
        for one, other in pairwise([*found, found[0]] if curve.closed else found):
            assert one.end == other.start
            assert abs(math.remainder(directions(other)[0] - directions(one)[1], 2 * math.pi)) < 2e-3
        for one in found:
            if one.centre is not None:
                assert math.dist(one.start, one.centre) == pytest.approx(math.dist(one.end, one.centre), abs=1e-6)


def test_few_arcs_are_enough() -> None:
    """The ellipse of 20 × 8 at 2 µm; a circle through five points is two half circles; an arch keeps its parts."""
    assert len(segments(curve_through(on_ellipse()))) <= 60
    circle = segments(curve_through(on_circle(10.0)))
    assert len(circle) == 2 and Outline(circle).polygon.area == pytest.approx(100 * math.pi, rel=1e-3)
    assert [one.centre is None for one in segments(curve_through(wheel_arch()))] == [True, False, True]
    assert len(segments(curve_through(on_circle(7.0, (0.0, 0.4, 1.0), closed=False)))) == 1


def test_an_arc_through_the_first_point_of_a_closed_curve_is_one() -> None:
    """A half disc whose list starts in the middle of its arc."""
    half = curve_through(Course(((5.0, 0.0), (0.0, 5.0), (0.0, -5.0)), closed=True, arcs=(3,), straights=(2,)))
    assert sorted(one.centre is None for one in segments(half)) == [False, True]


def test_a_circle_drawn_clockwise_stays_so() -> None:
    course = Course(on_circle(10.0).points[::-1], closed=True)
    assert {one.anticlockwise for one in segments(curve_through(course))} == {False}


def test_straights_in_line_are_one_and_a_fold_in_them_is_kept() -> None:
    line = Curve((straight((0.0, 0.0), (3.0, 0.0)), straight((3.0, 0.0), (5.0, 0.0)), straight((5.0, 0.0), (5.0, 4.0))))
    assert [one.end for one in segments(line)] == [(5.0, 0.0), pytest.approx((5.0, 4.0))]


def test_the_outline_of_arcs_has_the_area_of_the_curve() -> None:
    curve = curve_through(on_ellipse())
    x, y = dense(curve, 200_000).T
    area = abs(float(np.sum(x * np.roll(y, -1) - y * np.roll(x, -1)))) / 2
    assert Outline(segments(curve)).polygon.area == pytest.approx(area, abs=curve.length * 0.002)
