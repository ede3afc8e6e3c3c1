"""Places along a curve, and its chords."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.spatial import cKDTree

from decalgen.core.curves.clothoid import Clothoid, straight
from decalgen.core.curves.course import curve_through
from decalgen.core.curves.curve import Curve
from tests.core.curves.sets import dense, drawn, on_circle, on_ellipse, wheel_arch


def off_the_chords(curve: Curve, tolerance: float) -> float:
    """How far the curve strays from its chords: places of the curve by their distance from the chord they belong to."""
    points, along = curve.points_and_stations(tolerance)
    shares = np.linspace(0.02, 0.98, 49)
    at = along[:-1, None] + np.diff(along)[:, None] * shares
    true = curve.places(at.ravel()).reshape(*at.shape, 2)
    way = np.diff(points, axis=0)
    lead = true - points[:-1, None]
    across = np.abs(lead[..., 0] * way[:, None, 1] - lead[..., 1] * way[:, None, 0])
    return float((across / np.hypot(*way.T)[:, None]).max())


@pytest.mark.parametrize("tolerance", [0.001, 0.0001, 0.02])
def test_chords_keep_within_the_tolerance(tolerance: float) -> None:
    curves = drawn(seed=9, count=20)
    bends = Curve((Clothoid(0.0, 0.0, 0.0, 0.0, 2.0, 3.0),)), Curve((Clothoid(0.0, 0.0, 1.0, -1.0, 0.4, 9.0),))
    for curve in [*curves, *bends, curve_through(on_ellipse()), curve_through(wheel_arch())]:
        off = off_the_chords(curve, tolerance)
        assert off <= tolerance
        assert off > tolerance / 4, "more chords than are needed"


def test_few_chords_are_enough() -> None:
    """The root of curvature over the length gives 248 chords for the ellipse of 20 × 8 at 1 µm; a step more for each
    piece, and a tenth (the root of 1.2) for where curvature changes its sign."""
    assert 240 <= len(curve_through(on_ellipse()).points()) - 1 <= 290
    line = Curve((straight((0.0, 0.0), (30.0, 0.0)),))
    assert line.points().tolist() == [[0.0, 0.0], [30.0, 0.0]]


def test_measured_points_are_ends_of_chords() -> None:
    course = on_ellipse()
    assert cKDTree(curve_through(course).points()).query(np.array(course.points))[0].max() < 1e-12


def test_a_small_bend_keeps_its_turn() -> None:
    """A loop smaller than the tolerance still turns by no more than an eighth a chord."""
    tiny = Curve((Clothoid(0.0, 0.0, 0.0, 2000.0, 2000.0, math.pi / 2000),))
    assert len(tiny.points()) == 5


def test_place_direction_and_curvature_by_length() -> None:
    curve = curve_through(on_circle(10.0))
    along = np.array([0.0, 10.0, 20.0, 20 * math.pi + 10.0, -5.0])
    angles = along / 10.0
    assert np.abs(curve.places(along) - 10 * np.column_stack((np.cos(angles), np.sin(angles)))).max() < 1e-9
    turned = (curve.directions(along) - angles - math.pi / 2) / (2 * math.pi)
    assert np.abs(turned - np.round(turned)).max() < 1e-9
    assert np.abs(curve.curvatures(along) - 0.1).max() < 1e-12
    arc = curve_through(on_circle(10.0, (0.0, 0.4, 1.0), closed=False))
    assert np.abs(arc.places(np.array([-3.0, 99.0])) - arc.points()[[0, -1]]).max() < 1e-12
    assert arc.end == pytest.approx((10 * math.cos(1), 10 * math.sin(1)))


def test_length_is_that_of_many_chords() -> None:
    for curve in drawn(seed=4, count=6):
        points = dense(curve, 100_000)
        points = np.vstack((points, points[:1])) if curve.closed else points
        assert np.hypot(*np.diff(points, axis=0).T).sum() == pytest.approx(curve.length, abs=1e-6)


def test_the_least_radius_and_where_it_is() -> None:
    """The ellipse's tightest bends, b²/a = 3.2 mm, lie at the ends of its long axis, all to one side."""
    curve = curve_through(on_ellipse(60))
    radius, where = curve.least_radius(left=True)
    assert radius == pytest.approx(3.2, abs=0.1)
    assert abs(curve.places(np.array([where]))[0, 0]) == pytest.approx(20.0, abs=1e-6)
    assert curve.least_radius(left=False)[0] == math.inf
    assert curve_through(on_circle(4.0)).least_radius(left=True)[0] == pytest.approx(4.0)
