"""Readings moved within their ±."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from decalgen.core.curves.course import Course, curve_through
from decalgen.core.curves.curve import Curve
from decalgen.core.curves.evenness import unevenness
from decalgen.core.curves.likeness import like_runs, likeness
from decalgen.core.curves.spline import Chain, Solved, settle
from decalgen.core.curves.within import balanced, smoothed_curve
from decalgen.core.geometry import Point
from tests.core.curves.sets import dense, extrema, on_circle, on_ellipse, random_courses, wheel_arch

TWELVE = tuple(2 * math.pi * i / 12 for i in range(12))


def read(course: Course, seed: int, within: float = 0.05) -> Course:
    """The same as it is read, each coordinate off by at most ``within`` mm."""
    off = np.random.default_rng(seed).uniform(-within, within, (len(course.points), 2))
    points = np.array(course.points) + off
    return replace(course, points=tuple((float(x), float(y)) for x, y in points))


def spread(curve: Curve) -> float:
    """Between its least and its greatest radius, mm."""
    return float(np.ptp(1 / curve.curvatures(np.linspace(0, curve.length, 4000))))


def test_readings_of_a_circle_give_a_rounder_one() -> None:
    """Six sets of twelve readings ± 0.05 mm on a circle of 10: the radius ranges over more than a millimetre through
    the readings themselves, over less than a third as moved, and the curve comes nearer to the circle in the mean."""
    before, after = [], []
    for seed in range(6):
        course = read(on_circle(10.0, TWELVE), seed)
        plain, smooth = curve_through(course), smoothed_curve(course, 0.05)
        assert spread(plain) > 1.0
        assert spread(smooth.curve) < 0.3
        assert extrema(smooth.curve) <= 6 < extrema(plain)
        before.append(np.abs(np.hypot(*dense(plain).T) - 10).max())
        after.append(np.abs(np.hypot(*dense(smooth.curve).T) - 10).max())
    assert np.mean(after) < 0.6 * np.mean(before)


def test_no_point_moves_further_than_its_reading_may_be_off() -> None:
    for seed, course in enumerate([on_ellipse(24), *random_courses(seed=6, count=8)]):
        measured = read(course, seed, 0.04)
        found = smoothed_curve(measured, 0.05)
        moved = np.abs(found.moved)
        assert moved.max() <= 0.05 + 1e-12
        assert math.sqrt(float((moved * moved).mean())) <= 0.05 / math.sqrt(3) + 1e-6
        away = np.hypot(*(found.curve.places(found.curve.starts[: len(moved)]) - np.array(measured.points)).T)
        assert away == pytest.approx(moved, abs=1e-9)
        assert found.furthest[0] == moved.max() and moved[found.furthest[1] - 1] == moved.max()


def test_points_of_a_circle_stay() -> None:
    assert np.abs(smoothed_curve(on_circle(10.0, TWELVE), 0.05).moved).max() < 1e-6


def test_moves_are_to_the_left_of_the_curve() -> None:
    """A reading 0.04 too far out on a circle drawn anticlockwise is moved in: to its left."""
    points = [(10 * math.cos(a), 10 * math.sin(a)) for a in TWELVE]
    points[3] = (0.0, 10.04)
    assert smoothed_curve(Course(tuple(points), closed=True), 0.05).moved[3] > 0.01


def test_corners_and_the_ends_of_straights_stay() -> None:
    found = smoothed_curve(read(wheel_arch(), 3), 0.05)
    assert [found.moved[i] for i in (0, 1, 7, 8)] == [0, 0, 0, 0]
    assert any(found.moved[2:7])
    lens = read(on_circle(10.0, TWELVE), 4)
    assert smoothed_curve(replace(lens, corners=(2, 8)), 0.05).moved[1::6] == (0, 0)


def test_a_bare_end_moves_and_a_given_direction_does_not() -> None:
    arc = read(on_circle(10.0, (0.0, 0.3, 0.7, 1.2, 1.5), closed=False), 8)
    free = smoothed_curve(arc, 0.05).moved
    assert free[0] and free[-1]
    held = smoothed_curve(replace(arc, directions=((1, 90.0),)), 0.05).moved
    assert held[0] == 0 and held[-1]


@pytest.mark.parametrize("closed", [False, True])
def test_changes_with_the_points_against_differences(closed: bool) -> None:
    """The derivatives of the changes of curvature, against moving each point by 1 nm to either side."""
    course = next(c for c in random_courses(seed=3, count=20) if c.closed == closed and len(c.points) > 6)
    chain = Chain(np.array(course.points), closed)
    found = settle(chain)
    assert isinstance(found, Solved)
    across = np.column_stack((-np.sin(found.directions), np.cos(found.directions)))
    told = unevenness(chain, found, across).by_points
    for at in range(len(course.points)):
        both = []
        for step in (1e-6, -1e-6):
            moved = chain.points.copy()
            moved[at] += step * across[at]
            other = settle(chain._replace(points=moved))
            assert isinstance(other, Solved)
            both.append(unevenness(chain._replace(points=moved), other, across).each)
        assert np.abs((both[0] - both[1]) / 2e-6 - told[:, at]).max() < 1e-7


def test_the_balance_keeps_its_bound() -> None:
    """Two wishes of which one is far beyond: it is held, and the other follows by itself."""
    found = balanced(np.eye(4), np.array([-9.0, -0.01, 0.0, 0.0]), 0.05)
    assert found[0] == 0.05 and 0 < found[1] < 0.01


def on_line(count: int) -> tuple[Point, ...]:
    return tuple((3.0 * i, 1.0 + 1.5 * i) for i in range(count))


def test_points_on_a_line_a_circle_or_an_ellipse_are_noticed() -> None:
    line = likeness(read(Course(on_line(5)), 1).points, 0.1, closed=False)
    assert line is not None and line.kind == "line"
    assert line.words.startswith("these 5 points lie on a straight line, none further off than 0.0")
    circle = likeness(read(on_circle(10.0, TWELVE), 2).points, 0.08, closed=True)
    assert circle is not None and circle.kind == "circle"
    assert circle.radii[0] == pytest.approx(10.0, abs=0.04) and "a circle of radius 10.0" in circle.words
    assert circle.centre == pytest.approx((0, 0), abs=0.05)
    turned = [(x * 0.8 - y * 0.6 + 3, x * 0.6 + y * 0.8 - 2) for x, y in on_ellipse().points]
    ellipse = likeness(read(Course(tuple(turned)), 3).points, 0.1, closed=True)
    assert ellipse is not None and ellipse.kind == "ellipse"
    assert sorted(ellipse.radii) == pytest.approx([8, 20], abs=0.1)
    assert ellipse.centre == pytest.approx((3, -2), abs=0.05)


def test_exact_points_are_off_by_nothing() -> None:
    """Any three lie on a circle and any five on an ellipse, so those say nothing."""
    ellipse = likeness(on_ellipse(9).points, 1e-6, closed=True)
    assert ellipse is not None and ellipse.off < 1e-9 and sorted(ellipse.radii) == pytest.approx([8, 20])
    assert likeness(on_circle(5.0, (0.0, 1.0, 2.5), closed=False).points, 0.01, closed=False) is None
    assert likeness(on_ellipse(5).points, 0.01, closed=True) is None


def test_other_points_are_not_taken_for_one() -> None:
    wavy = tuple((2.0 * i, math.sin(2.0 * i)) for i in range(12))
    assert likeness(wavy, 0.05, closed=False) is None
    assert likeness(wheel_arch().points, 0.05, closed=False) is None
    flat = tuple((float(x), 0.0012 * x * x) for x in range(9))
    assert likeness(flat, 0.005, closed=False) is None
    bent = likeness(tuple((x, 5 * y) for x, y in flat), 0.005, closed=False)
    assert bent is not None and bent.radii[0] == pytest.approx(1 / 0.012, rel=0.02)
    bow = tuple((x, 0.02 * math.sin(x)) for x in range(8))
    assert likeness(bow, 0.05, closed=False).kind == "line"  # type: ignore[union-attr]


def test_a_run_of_a_smooth_curve_is_no_arc() -> None:
    """A spiral lies within ± 0.05 mm of a circle over eight points, but ends on none clearly; an arc of 30 degrees may
    be any bow; one of 90 degrees that runs on straight is one."""
    spiral = tuple(((5 + 0.15 * i) * math.cos(i / 3), (5 + 0.15 * i) * math.sin(i / 3)) for i in range(14))
    assert like_runs(spiral, 0.05) == []

    def bow(degrees: float) -> list[Point]:
        at = [math.radians(degrees) * i / 5 for i in range(6)]
        return [(20 * math.sin(a), 20 - 20 * math.cos(a)) for a in at]

    x, y = bow(30)[-1]
    assert like_runs([*bow(30), (x + 1.5, y + 2.2), (x + 2, y + 5)], 0.03) == []
    (found,) = like_runs([*bow(90), (20.0, 25.0), (20.0, 30.0)], 0.03)
    assert (found.first, found.last) == (0, 5) and found.found.radii[0] == pytest.approx(20)
