"""Areas along curves."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from shapely.geometry import LineString, Point, Polygon, box

from decalgen.core.curves.band import band
from decalgen.core.curves.clothoid import Clothoid
from decalgen.core.curves.course import Course, curve_through
from decalgen.core.curves.curve import Curve
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
