"""Lines beside a curve, against Steiner's formula, dense places of the curve, and another library."""

from __future__ import annotations

import math

import numpy as np
import pyclipper
import pytest
import shapely
from scipy.spatial import cKDTree
from shapely.geometry import Polygon

from decalgen.core.curves.course import Course, CurveError, curve_through
from decalgen.core.curves.curve import Curve
from decalgen.core.curves.parallel import Parallel, parallel, tightest
from decalgen.core.geometry import Point
from tests.core.curves.sets import dense, drawn, on_circle, on_ellipse, random_courses

GRID = 1_000_000
"""pyclipper counts in whole numbers: nanometres."""


def enclosed(found: Parallel) -> shapely.MultiPolygon:
    return shapely.unary_union([Polygon(line.coords) for line in found.lines])


@pytest.mark.parametrize("out", [0.5, 2.0, 9.0])
@pytest.mark.parametrize("course", [on_ellipse(), on_circle(6.0), Course(on_circle(6.0).points[::-1], True)])
def test_steiners_formula(course: Course, out: float) -> None:
    """Outside of a closed convex curve of area A, length P: A + P d + π d², P + 2 π d (J. Steiner, 1840)."""
    curve = curve_through(course)
    x, y = dense(curve, 200_000).T
    area = float(np.sum(x * np.roll(y, -1) - y * np.roll(x, -1))) / 2
    (line,) = parallel(curve, -math.copysign(out, area)).lines
    assert Polygon(line.coords).area == pytest.approx(
        abs(area) + curve.length * out + math.pi * out**2, abs=0.001 * line.length
    )
    assert line.length == pytest.approx(curve.length + 2 * math.pi * out, abs=0.002)
    assert line.is_closed and line.is_simple


def test_every_place_of_a_parallel_has_the_distance() -> None:
    """Against the nearest of many places on the curve, either side, open and closed."""
    for curve in drawn(seed=21, count=14):
        near = cKDTree(dense(curve, 30_000))
        for distance in (0.7, -2.5):
            for line in parallel(curve, distance).lines:
                points = shapely.get_coordinates(line)
                places = np.vstack((points, (points[1:] + points[:-1]) / 2))[::3]
                away = near.query(places)[0]
                assert np.abs(away - abs(distance)).max() < 0.002


def test_an_open_parallel_lies_on_its_side() -> None:
    arc = curve_through(on_circle(10.0, (0.0, 0.4, 1.0), closed=False))
    for distance in (3.0, -3.0):
        (line,) = parallel(arc, distance).lines
        assert np.abs(np.hypot(*shapely.get_coordinates(line).T) - 10 + distance).max() < 0.001
        assert line.length == pytest.approx(10 - distance, abs=0.001)


@pytest.mark.parametrize("seed", [31])
def test_parallels_agree_with_another_library(seed: int, count: int = 40) -> None:
    """Areas grown and shrunk by pyclipper from places of the curve ten times as fine as what is compared."""
    for course in list(random_courses(seed, 2 * count))[::2]:
        try:
            curve = curve_through(course)
        except CurveError:
            continue
        for distance in (0.6, -1.7):
            assert apart(curve, distance) < 0.002


def apart(curve: Curve, distance: float) -> float:
    """How far our parallel and pyclipper's lie apart, mm."""
    offset = pyclipper.PyclipperOffset(arc_tolerance=50.0)
    path = np.round(curve.points(0.0001)[:-1] * GRID).astype(np.int64).tolist()
    offset.AddPath(path, pyclipper.JT_ROUND, pyclipper.ET_CLOSEDPOLYGON)
    paths = offset.Execute(-distance * GRID)
    other = shapely.unary_union([Polygon(np.array(one) / GRID) for one in paths])
    ours = enclosed(parallel(curve, distance))
    if ours.is_empty or other.is_empty:
        return 0.0 if ours.is_empty == other.is_empty else math.inf
    # Specks of less than the tolerance across may be in one alone.
    wide, narrow = ours.buffer(0.002), ours.buffer(-0.002)
    return 0.0 if wide.covers(other) and other.buffer(1e-6).covers(narrow) else math.inf


def test_a_parallel_past_the_tightest_bend_is_cleaned_and_told() -> None:
    """The ellipse of 20 × 8 bends round b²/a = 3.2 mm at its ends, and is 8 mm high on either side."""
    curve = curve_through(on_ellipse(60))
    whole = parallel(curve, 3.0)
    assert whole.trouble == "" and len(whole.lines) == 1
    cut = parallel(curve, 4.0)
    assert cut.trouble.startswith("the parallel 4 mm to the left loses a piece: the curve bends round 3.15 mm at ")
    assert len(cut.lines) == 1 and cut.lines[0].is_simple
    away = cKDTree(dense(curve, 30_000)).query(shapely.get_coordinates(cut.lines[0]))[0]
    assert np.abs(away - 4.0).max() < 0.002
    assert parallel(curve, 9.0).lines == () and "nothing left" in parallel(curve, 9.0).trouble
    assert parallel(curve, -9.0).trouble == ""


def test_a_waist_parts_a_parallel() -> None:
    points: tuple[Point, ...] = tuple(
        ((8 + 3.2 * math.cos(2 * t)) * math.cos(t), (5 - 3.5 * math.cos(2 * t + math.pi)) * math.sin(t) * 0.3)
        for t in np.arange(16) / 16 * 2 * math.pi
    )
    waist: list[Point] = [(x, y * (0.25 + 0.75 * min(1.0, abs(x) / 5))) for x, y in points]
    found = parallel(curve_through(Course(tuple(waist), closed=True)), 0.55)
    assert len(found.lines) == 2 and found.trouble


def test_corners_are_rounded_or_sharp() -> None:
    """A square of 10 mm grown by 2: 100 + 80 + 4 π, or 14²."""
    square: tuple[Point, ...] = ((0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0))
    curve = curve_through(Course(square, closed=True, straights=(1, 2, 3, 4)))
    assert enclosed(parallel(curve, -2.0)).area == pytest.approx(180 + 4 * math.pi, abs=0.01)
    assert enclosed(parallel(curve, -2.0, sharp=True)).area == pytest.approx(196)
    assert enclosed(parallel(curve, 2.0)).area == pytest.approx(36)


def test_no_distance_is_no_parallel() -> None:
    with pytest.raises(CurveError, match="0 mm beside"):
        parallel(curve_through(on_circle(5.0)), 0.0)


def test_the_tightest_bend_of_a_side() -> None:
    curve = curve_through(on_circle(5.0))
    assert tightest(curve, left=True).radius == pytest.approx(5.0)
    assert tightest(curve, left=False).radius == math.inf
