"""Checks and chevrons along curves."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely

from decalgen.core.curves.band import Lanes, stripes
from decalgen.core.curves.cells import Cell, cell_count, checks_along, chevrons_along, net_along
from decalgen.core.curves.clothoid import Clothoid
from decalgen.core.curves.course import Course, CurveError, curve_through
from decalgen.core.curves.curve import Curve
from decalgen.core.curves.widths import Widths
from tests.core.curves.sets import on_circle, on_ellipse

SWEEP = Course(((0.0, 0.0), (8.0, 1.5), (16.0, 5.0), (24.0, 5.5)))
NOT_BEYOND = (0.0, 0.0)


def even(curve: Curve, width: float = 2.0) -> Lanes:
    return Lanes(curve.length, Widths((0.0,), (width,)))


def both(curve: Curve, kind: str) -> tuple[list[Cell], int]:
    net = net_along(curve, even(curve))
    count = cell_count(curve.length, 1.1, 2 if curve.closed else 1)
    if kind == "checks":
        return list(checks_along(net, 2, count, NOT_BEYOND)), count
    return list(chevrons_along(net, count, 1.0, NOT_BEYOND)), count


@pytest.mark.parametrize("kind", ["checks", "chevrons"])
@pytest.mark.parametrize("course", [SWEEP, on_ellipse()], ids=["open", "closed"])
def test_cells_fill_the_band_and_share_their_points(kind: str, course: Course) -> None:
    """No gap and no overlap between neighbours: a valid coverage by GEOS, as large as the band drawn as a stripe."""
    curve = curve_through(course)
    cells, _ = both(curve, kind)
    areas = np.array([cell.area for cell in cells], dtype=object)
    areas = areas[shapely.area(areas) > 1e-9]
    assert shapely.is_valid(areas).all() and shapely.coverage_is_valid(areas)
    (band,) = stripes(curve, even(curve))
    assert shapely.area(areas).sum() == pytest.approx(band.area, abs=0.002 * curve.length)
    assert shapely.coverage_union_all(areas).symmetric_difference(band).area < 0.002 * curve.length


def test_cells_are_of_equal_length_on_the_middle_line() -> None:
    """The area of a check between s and s + ds is ds (v1 - v0) - (v1² - v0²) / 2 times the turn in it: so a pair of one
    column has the area of its length by the width, wherever it lies."""
    curve = curve_through(SWEEP)
    cells, count = both(curve, "checks")
    columns = [sum(c.area.area for c in cells if c.column == i) for i in range(count)]
    assert columns == pytest.approx([2.0 * curve.length / count] * count, abs=0.002)


@pytest.mark.parametrize(
    ("length", "wished", "among", "count"),
    [(10.0, 2.4, 1, 4), (10.0, 2.1, 1, 5), (10.0, 30.0, 1, 1), (10.0, 2.1, 2, 4), (10.0, 1.6, 2, 6), (9.0, 1.0, 3, 9)],
)
def test_the_count_comes_nearest_to_the_wished_length(length: float, wished: float, among: int, count: int) -> None:
    assert cell_count(length, wished, among) == count
    others = [abs(length / n - wished) for n in range(among, 40 * among, among)]
    assert abs(length / count - wished) == pytest.approx(min(others))


def test_chevrons_fall_back_as_far_as_they_are_told() -> None:
    """At 45 degrees on a straight line, 2 mm wide: 1 mm."""
    line = curve_through(Course(((0.0, 0.0), (12.0, 0.0)), straights=(1,)))
    cells = {cell.column: cell.area for cell in chevrons_along(net_along(line, even(line)), 6, 1.0, NOT_BEYOND)}
    expected = shapely.Polygon([(3, -1), (5, -1), (6, 0), (5, 1), (3, 1), (4, 0)])
    assert cells[2].symmetric_difference(expected).area < 1e-9


def test_cells_beside_a_curve_are_of_equal_length_on_the_middle_of_their_band() -> None:
    """A straight of 10 mm and an arc round 10 mm over 1.2 radians, a band from 2 to 4 mm inside it: its middle is
    10 + 1.2 * 7 mm long, and by Pappus each cell has its length times the width. Beside curves that bend unevenly as
    well."""
    bent = Curve((Clothoid(0.0, 0.0, 0.0, 0.0, 0.0, 10.0), Clothoid(10.0, 0.0, 0.0, 0.1, 0.1, 12.0)))
    spiral = Curve((Clothoid(0.0, 0.0, 0.0, -0.05, 0.15, 20.0),))
    oval = curve_through(Course(((12.0, 0.0), (0.0, 8.0), (-12.0, 0.0), (0.0, -8.0)), closed=True))
    for curve in (bent, spiral, oval):
        net = net_along(curve, Lanes(curve.length, Widths((0.0,), (2.0,)), near=2.0))
        areas = [cell.area.area for cell in checks_along(net, 1, 8, NOT_BEYOND)]
        assert areas == pytest.approx([2.0 * net.length / 8] * 8, rel=1e-3)
        turned = sum(piece.turn for piece in curve.pieces)
        assert net.length == pytest.approx(curve.length - 3.0 * turned, abs=1e-6)
        columns: dict[int, float] = {}
        for cell in chevrons_along(net, 8, 0.5, NOT_BEYOND):
            columns[cell.column] = columns.get(cell.column, 0.0) + cell.area.area
        assert sum(columns.values()) == pytest.approx(2.0 * net.length, rel=1e-3)
        if curve.closed:
            assert len(columns) == 8


def test_a_corner_and_a_bend_too_tight_are_told() -> None:
    elbow = curve_through(Course(((0.0, 0.0), (10.0, 0.0), (10.0, 9.0)), straights=(1, 2)))
    with pytest.raises(CurveError, match=r"the corner of the band at \(10, 0\)"):
        net_along(elbow, even(elbow))
    ring = curve_through(on_circle(3.0, closed=False))
    with pytest.raises(CurveError, match=r"reach 3.50 mm into a bend round 3.00 mm"):
        net_along(ring, even(ring, 7.0))
    assert math.isclose(net_along(ring, even(ring, 5.0)).lanes.furthest, 2.5)
