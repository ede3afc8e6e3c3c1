"""Areas along curves."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from shapely.geometry import LineString, Point, Polygon, box

from decalgen.core.curves.band import Lanes, band, stripes
from decalgen.core.curves.clothoid import Clothoid
from decalgen.core.curves.course import Course, curve_through
from decalgen.core.curves.curve import Curve
from decalgen.core.curves.widths import Widths
from decalgen.core.geometry import Point as Place
from tests.core.curves.sets import dense, drawn, on_circle

ELBOW: tuple[Place, ...] = ((0.0, 0.0), (10.0, 0.0), (10.0, 10.0))


def test_the_area_of_a_band_is_width_by_length() -> None:
    """Exactly, whatever it bends, while half the width is less than the least radius (Pappus). To half a µm an edge."""
    tried = 0
    for curve in drawn(seed=8, count=30):
        width = 1.2
        if min(curve.least_radius(True)[0], curve.least_radius(False)[0]) < width / 2:
            continue
        tried += 1
        area = band(curve, width)
        assert area.is_valid and len(area.geoms) == 1
        assert area.area == pytest.approx(width * curve.length, abs=0.001 * curve.length)
    assert tried > 20


def test_a_band_reaches_half_its_width_to_either_side() -> None:
    """Every place within half the width of a dense curve, and none beyond it, but for the square ends."""
    for curve in drawn(seed=14, count=6):
        area = band(curve, 1.0, "round")
        points = dense(curve, 5_000)
        line = LineString(np.vstack((points, points[:1])) if curve.closed else points)
        disc = line.buffer(0.5, quad_segs=200)
        assert disc.buffer(0.001).covers(area) and area.buffer(0.001).covers(disc.buffer(-0.0005))


def test_square_ends_stand_square_across_the_curve() -> None:
    arc = curve_through(on_circle(10.0, (0.0, 0.4, 1.0), closed=False))
    corners = [(r * math.cos(a), r * math.sin(a)) for r in (9.0, 11.0) for a in (0.0, 1.0)]
    edge = band(arc, 2.0).boundary
    assert max(edge.distance(Point(c)) for c in corners) < 1e-6
    points = shapely.get_coordinates(edge)
    assert (np.arctan2(points[:, 1], points[:, 0]) > -1e-9).all()


def test_round_and_pointed_ends() -> None:
    """On a straight of 20: a round end adds a half disc, a pointed one takes half of what it narrows over."""
    line = curve_through(Course(((0.0, 0.0), (20.0, 0.0)), straights=(1,)))
    assert band(line, 2.0).area == pytest.approx(40.0)
    assert band(line, 2.0, "round").area == pytest.approx(40 + math.pi, abs=0.01)
    pointed = band(line, 2.0, "pointed", 5.0)
    expected = Polygon([(0, 0), (5, -1), (15, -1), (20, 0), (15, 1), (5, 1)])
    assert pointed.symmetric_difference(expected).area < 1e-6


def test_a_pointed_end_of_a_curve_keeps_its_middle() -> None:
    """The area narrows evenly: width by length less the point."""
    arc = curve_through(on_circle(10.0, (0.0, 0.4, 1.0, 2.0), closed=False))
    assert band(arc, 1.5, "pointed", 4.0).area == pytest.approx(1.5 * (20.0 - 4.0), abs=0.02)


def test_sharp_corners_up_to_a_limit() -> None:
    """A right angle gets its tip; one of 15 degrees would reach 7.7 half widths and is cut straight across."""
    curve = curve_through(Course(ELBOW, straights=(1, 2)))
    assert (
        band(curve, 2.0).symmetric_difference(Polygon([(0, -1), (11, -1), (11, 10), (9, 10), (9, 1), (0, 1)])).area
        < 1e-6
    )
    spike: tuple[Place, ...] = ((0.0, 0.0), (10.0, 0.0), (0.0, 10 * math.tan(math.radians(15))))
    area = band(curve_through(Course(spike, straights=(1, 2))), 2.0)
    assert area.bounds[2] == pytest.approx(10 + math.sin(math.radians(15)), abs=0.001)


def test_closed_bands_with_and_without_corners() -> None:
    """A ring of 2 on a circle of 5; a frame of 2 round a square of 10, at whichever corner it starts."""
    ring = band(curve_through(on_circle(5.0)), 2.0)
    assert ring.area == pytest.approx(20 * math.pi, abs=0.03) and len(ring.geoms[0].interiors) == 1
    square: tuple[Place, ...] = ((0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0))
    frame = band(curve_through(Course(square, closed=True, straights=(1, 2, 3, 4))), 2.0)
    assert frame.area == pytest.approx(144 - 64, abs=1e-6)
    drop = curve_through(Course(((0.0, 0.0), (3.0, -1.5), (5.0, 0.0), (3.0, 1.5)), closed=True, corners=(1,)))
    assert len(band(drop, 0.4).geoms[0].interiors) == 1


def test_a_bend_tighter_than_half_the_width_is_filled() -> None:
    """A hairpin round 0.5 mm with a band of 2: as discs along it, without their halves beyond both ends."""
    curve = Curve((Clothoid(0.0, 0.0, 0.0, 0.0, 0.0, 6.0), Clothoid(6.0, 0.0, 0.0, 2.0, 2.0, math.pi / 2)))
    area = band(curve, 2.0)
    assert area.is_valid and len(area.geoms) == 1
    discs = LineString(dense(curve, 2000)).buffer(1.0, quad_segs=64)
    assert area.symmetric_difference(discs - box(-2, -2, 0, 2) - box(4, 1, 6, 3)).area < 0.01
    bow = Curve((Clothoid(0.0, 0.0, 0.0, 2.0, 2.0, math.pi / 2),))
    assert band(bow, 2.0).area == pytest.approx(math.pi / 2 * (1.5**2 + 0.5**2), abs=0.02)
    loop = Curve((Clothoid(0.0, 0.0, 0.0, 2.0, 2.0, math.pi),), closed=True)
    assert band(loop, 2.0).area == pytest.approx(math.pi * 1.5**2, abs=0.01)


def test_edges_are_those_of_a_reference_library() -> None:
    """Beside 60 random curves, within and beyond their bends: within 2 µm of GEOS's own buffers and offsets
    of the line divided ten times finer. (By hand over 500: within 0.7 µm.)"""
    rng = np.random.default_rng(5)
    for curve in drawn(seed=21, count=60):
        near, width = float(rng.uniform(0.05, 3.0)), float(rng.uniform(0.1, 2.0))
        side = float(rng.choice([-1.0, 1.0]))
        (found,) = stripes(curve, Lanes(curve.length, Widths((0.0,), (width,)), near=side * near))
        points = curve.points(0.0001)
        if curve.closed:
            loop = Polygon(points[:-1])
            out = -side if loop.exterior.is_ccw else side
            a, b = (loop.buffer(out * far, quad_segs=400) for far in (near, near + width))
            expected = a.difference(b) if out < 0 else b.difference(a)
            assert found.is_empty == expected.is_empty
            assert found.is_empty or shapely.hausdorff_distance(found.boundary, expected.boundary) < 0.002
            continue
        ends, ways = (f(np.array([0.0, curve.length])) for f in (curve.places, curve.directions))
        across = np.column_stack((-np.sin(ways), np.cos(ways)))
        for far in (near, near + width):
            line = shapely.offset_curve(LineString(points), side * far, quad_segs=400)
            expected = shapely.get_coordinates(line)
            # The reference ends square to its last chord, not to the curve.
            at_ends = shapely.multipoints(ends + side * far * across)
            inner = [p for p in shapely.points(expected) if p.distance(at_ends) > 0.15]
            assert shapely.distance(inner, found.boundary).max(initial=0.0) < 0.002


def test_the_area_of_a_band_that_changes_its_width_is_the_sum_of_its_widths() -> None:
    """Measured square across the middle it is the integral of the width, whatever the middle bends: against a fine
    sum."""
    tried = 0
    for curve in drawn(seed=31, count=40):
        if curve.closed or min(curve.least_radius(True)[0], curve.least_radius(False)[0]) < 1.0:
            continue
        tried += 1
        at = np.linspace(0.0, curve.length, 4)
        widths = Widths(tuple(at.tolist()), (0.4, 1.6, 0.7, 1.2), smooth=True)
        (area,) = stripes(curve, Lanes(curve.length, widths))
        fine = np.linspace(0.0, curve.length, 100_000)
        assert area.area == pytest.approx(np.trapezoid(widths.at(fine), fine), abs=0.001 * curve.length)
    assert tried > 5


def test_stripes_that_meet_share_their_points_to_the_last_bit() -> None:
    for curve in drawn(seed=41, count=10):
        lanes = Lanes(curve.length, Widths((0.0,), (0.9,)), ((0.0, 1 / 3), (1 / 3, 1.0)))
        one, other = stripes(curve, lanes)
        assert one.intersection(other).area == 0
        whole = shapely.coverage_union_all([one, other])
        assert len(shapely.get_parts(whole)) == 1 and not shapely.coverage_invalid_edges([one, other]).any()


def test_round_corners_of_its_line_a_band_beside_it_has_sharp_ones() -> None:
    """Outside and inside of an elbow, 1 to 2 mm off."""
    elbow = curve_through(Course(ELBOW, straights=(1, 2)))
    for near, expected in (
        (-1.0, Polygon([(0, -1), (11, -1), (11, 10), (12, 10), (12, -2), (0, -2)])),
        (1.0, Polygon([(0, 1), (9, 1), (9, 10), (8, 10), (8, 2), (0, 2)])),
    ):
        (area,) = stripes(elbow, Lanes(elbow.length, Widths((0.0,), (1.0,)), near=near))
        assert area.symmetric_difference(expected).area < 1e-6
