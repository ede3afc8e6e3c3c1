"""Edges of bands beside a curve, against Steiner's formula, dense places of the curve, and another library."""

from __future__ import annotations

import math

import numpy as np
import pyclipper
import pytest
import shapely
from scipy.spatial import cKDTree
from shapely.geometry import MultiPolygon, Polygon

from decalgen.core.curves.band import Lanes, stripes
from decalgen.core.curves.course import Course, CurveError, curve_through
from decalgen.core.curves.curve import Curve
from decalgen.core.curves.widths import Widths
from decalgen.core.geometry import Point
from tests.core.curves.sets import dense, drawn, on_circle, on_ellipse, random_courses

GRID = 1_000_000
"""pyclipper counts in whole numbers: nanometres."""


def beside(curve: Curve, near: float, width: float) -> MultiPolygon:
    """A stripe that begins at a distance to the left of a curve (negative: to the right)."""
    (area,) = stripes(curve, Lanes(curve.length, Widths((0.0,), (width,)), near=near))
    return area


@pytest.mark.parametrize("out", [0.5, 2.0, 9.0])
@pytest.mark.parametrize("course", [on_ellipse(), on_circle(6.0), Course(on_circle(6.0).points[::-1], True)])
def test_steiners_formula(course: Course, out: float) -> None:
    """Outside of a closed convex curve of length P a band of width d has the area P d + π d² (J. Steiner, 1840)."""
    curve = curve_through(course)
    x, y = dense(curve, 20_000).T
    side = -1.0 if float(np.sum(x * np.roll(y, -1) - y * np.roll(x, -1))) > 0 else 1.0
    area = beside(curve, math.copysign(0.0, side), out)
    longest = curve.length + 2 * math.pi * out
    assert area.area == pytest.approx(curve.length * out + math.pi * out**2, abs=0.001 * longest)
    assert area.geoms[0].exterior.length == pytest.approx(longest, abs=0.002)


def test_every_place_of_an_edge_has_its_distance() -> None:
    """Against the nearest of many places on the curve, either side, closed and open but for the ends."""
    for curve in drawn(seed=21, count=14):
        near = cKDTree(dense(curve, 30_000))
        ends = curve.places(np.array([0.0, curve.length]))
        for distance in (0.7, -2.5):
            points = shapely.get_coordinates(beside(curve, distance, 0.6))
            away = near.query(points)[0]
            off = np.minimum(np.abs(away - abs(distance)), np.abs(away - abs(distance) - 0.6))
            if not curve.closed:
                to_ends = np.min(np.hypot(*(points[:, None] - ends[None]).transpose(2, 0, 1)), axis=1)
                off = off[to_ends > abs(distance) + 0.7]
            assert off.max(initial=0.0) < 0.002


def test_edges_agree_with_another_library() -> None:
    """Areas grown and shrunk by pyclipper from places of the curve ten times as fine as what is compared."""
    for course in list(random_courses(31, 60))[::2]:
        try:
            curve = curve_through(course)
        except CurveError:
            continue
        for distance in (0.6, -1.7):
            assert apart(curve, distance) < 0.002


def apart(curve: Curve, distance: float) -> float:
    """How far the outer edge of a band on the curve and pyclipper's lie apart, mm."""
    offset = pyclipper.PyclipperOffset(arc_tolerance=50.0)
    places = curve.points(0.0001)[:-1]
    offset.AddPath(np.round(places * GRID).astype(np.int64).tolist(), pyclipper.JT_ROUND, pyclipper.ET_CLOSEDPOLYGON)
    paths = offset.Execute(-distance * GRID)
    other = shapely.unary_union([Polygon(np.array(one) / GRID) for one in paths])
    band = beside(curve, math.copysign(0.0, distance), abs(distance))
    loop = Polygon(places)
    ours = loop.difference(band) if distance > 0 else shapely.union_all([loop, band]).buffer(1e-4).buffer(-1e-4)
    # Specks of less than the tolerance across may be in one alone.
    wide, narrow = ours.buffer(0.002), ours.buffer(-0.002)
    return 0.0 if wide.covers(other) and other.buffer(1e-6).covers(narrow) else math.inf


def test_past_the_tightest_bend_an_edge_is_cleaned() -> None:
    """The ellipse of 20 × 8 bends round b²/a = 3.2 mm at its ends, and is 8 mm high on either side."""
    curve = curve_through(on_ellipse(60))
    area = beside(curve, 4.0, 1.0)
    assert len(area.geoms) == 1 and area.is_valid and len(area.geoms[0].interiors) == 1
    away = cKDTree(dense(curve, 30_000)).query(shapely.get_coordinates(area))[0]
    assert np.minimum(np.abs(away - 4.0), np.abs(away - 5.0)).max() < 0.002
    assert beside(curve, 0.0, 12.0).area == pytest.approx(Polygon(curve.points()[:-1]).area, abs=0.1)
    assert beside(curve, 9.0, 1.0).is_empty and not beside(curve, -9.0, 1.0).is_empty


def test_a_waist_parts_a_band() -> None:
    points: tuple[Point, ...] = tuple(
        ((8 + 3.2 * math.cos(2 * t)) * math.cos(t), (5 - 3.5 * math.cos(2 * t + math.pi)) * math.sin(t) * 0.3)
        for t in np.arange(16) / 16 * 2 * math.pi
    )
    waist: list[Point] = [(x, y * (0.25 + 0.75 * min(1.0, abs(x) / 5))) for x, y in points]
    found = beside(curve_through(Course(tuple(waist), closed=True)), 0.55, 0.05)
    assert len(found.geoms) == 2


def test_round_a_square_corners_are_sharp() -> None:
    """A square of 10 mm, 2 mm grown and shrunk: 14² and 6²."""
    square: tuple[Point, ...] = ((0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0))
    curve = curve_through(Course(square, closed=True, straights=(1, 2, 3, 4)))
    assert beside(curve, -0.0, 2.0).area == pytest.approx(196 - 100)
    assert beside(curve, 0.0, 2.0).area == pytest.approx(100 - 36)
    assert beside(curve, 1.0, 1.0).area == pytest.approx(64 - 36)


@pytest.mark.parametrize("degrees", [30.0, 60.0, 80.0, 120.0])
@pytest.mark.parametrize(("near", "far"), [(0.8, 1.3), (0.0, 0.5)])
def test_inside_of_a_sharp_corner_nothing_lies_beyond_its_other_leg(degrees: float, near: float, far: float) -> None:
    """Between legs of 10 mm the line at a distance d is d / tan(half the angle) shorter at each: the area between two
    distances is the sum of 2 (10 - d / tan) over them."""
    half = math.radians(degrees) / 2
    tip = (10 * math.cos(2 * half), 10 * math.sin(2 * half))
    curve = curve_through(Course(((10.0, 0.0), (0.0, 0.0), tip), corners=(2,), straights=(1, 2)))
    area = beside(curve, -near, far - near)
    assert area.area == pytest.approx(20 * (far - near) - (far**2 - near**2) / math.tan(half), abs=1e-4)
    between = Polygon([(0.0, 0.0), (30.0, 0.0), (30 * math.cos(half), 30 * math.sin(half)), (3 * tip[0], 3 * tip[1])])
    assert area.difference(between.buffer(1e-5)).area < 1e-6


def test_inside_of_a_hairpin_no_parallel_lies_behind_it() -> None:
    """Two legs 0.6 mm apart, joined by a half circle: 0.1 mm inside lies a line, 0.8 mm inside none."""
    points: tuple[Point, ...] = ((10.0, 0.0), (0.0, 0.0), (-0.3, 0.3), (0.0, 0.6), (10.0, 0.6))
    curve = curve_through(Course(points, straights=(1, 4), arcs=(2,)))
    assert beside(curve, -0.1, 0.1).area == pytest.approx(2 + math.pi * (0.2**2 - 0.1**2) / 2, abs=1e-4)
    assert beside(curve, -0.8, 0.5).is_empty


def test_where_both_ends_of_a_band_meet_they_keep_their_distances() -> None:
    """A line all but round a square of 10 mm, whose ends cross: the second stripe stays 1 mm from it, by GEOS."""
    points: tuple[Point, ...] = ((-1.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0), (0.0, 0.5))
    curve = curve_through(Course(points, corners=(2, 3, 4), straights=(1, 2, 3, 4)))
    for slants in ((0.0, 0.0), (30.0, -30.0)):
        lanes = Lanes(curve.length, Widths((0.0,), (2.0,)), shares=((0.0, 0.5), (0.5, 1.0)), near=0.0)
        first, second = stripes(curve, lanes, slants, beyond=(0.0, 3.0))
        assert first.intersection(second).area < 1e-5
        inside = shapely.box(0.0, 0.0, 10.0, 10.0)
        line = shapely.LineString(points)
        assert second.intersection(inside).distance(line) == pytest.approx(1.0, abs=1e-5)
