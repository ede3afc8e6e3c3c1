"""Cut lines: exact offsets that keep their arcs, free outlines with corner radii, refusals."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import MultiPolygon, Polygon

from decalgen.artwork.build import build
from decalgen.artwork.cut_line import base_outline, ellipse, rounded_polygon, with_margin
from decalgen.core.errors import FitError
from decalgen.core.geometry import rounded
from decalgen.job.model import Cut
from decalgen.shapes.base import At, Box
from tests.helpers import jobs


@given(st.floats(2, 60), st.floats(2, 40), st.floats(0, 1), st.floats(0.05, 3))
def test_a_margin_is_the_exact_offset(width: float, height: float, radius: float, margin: float) -> None:
    """Area and perimeter of an offset: Steiner's formula, A + P·d + π·d² (Steiner 1840, for convex outlines)."""
    base = rounded(width, height, (radius,) * 4)
    grown = with_margin(base, margin)
    true_area = width * height - (4 - math.pi) * radius**2
    true_edge = 2 * (width + height) - (8 - 2 * math.pi) * radius
    wanted = true_area + true_edge * margin + math.pi * margin**2
    # Flattening from within takes at most tolerance × arc length away.
    assert grown.polygon.area == pytest.approx(wanted, abs=0.001 * 2 * math.pi * (radius + margin) + 1e-9)
    assert grown.polygon.bounds == pytest.approx((-margin, -margin, width + margin, height + margin), abs=1e-9)
    assert any(s.centre for s in grown.segments)
    assert grown.polygon.is_valid


def test_a_circle_with_a_margin_is_four_arcs() -> None:
    grown = with_margin(ellipse(10, 10), 0.5)
    assert len(grown.segments) == 4
    assert {s.centre for s in grown.segments} == {(5.0, 5.0)}
    assert grown.polygon.area == pytest.approx(math.pi * 5.5**2, rel=3e-4)


def test_an_outline_that_bends_in_grows_too() -> None:
    notch = rounded_polygon([(0, 0), (10, 0), (10, 6), (5, 3), (0, 6)], [0, 0, 0, 0, 0])
    grown = with_margin(notch, 0.5).polygon
    assert grown.contains(notch.polygon)
    assert grown.exterior.distance(notch.polygon) == pytest.approx(0.5, abs=2e-3)


def test_corner_radii_are_tangent_arcs_either_way_round() -> None:
    square = [(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)]
    for points in (square, square[::-1]):
        outline = rounded_polygon(points, [2.0] * 4)
        assert outline.polygon.area == pytest.approx(100 - (4 - math.pi) * 4, abs=0.01)
        assert outline.polygon.exterior.is_ccw
    inner = rounded_polygon([(0, 0), (10, 0), (10, 4), (4, 4), (4, 10), (0, 10)], [0, 0, 0, 1.0, 0, 0])
    # The re-entrant corner is filled by a square less a quarter disc.
    assert inner.polygon.area == pytest.approx(64 + (1 - math.pi / 4), abs=2e-3)


def test_too_large_radii_are_reduced_to_what_the_sides_allow() -> None:
    outline = rounded_polygon([(0, 0), (4, 0), (4, 4), (0, 4)], [99.0] * 4)
    assert outline.polygon.area == pytest.approx(math.pi * 4, rel=2e-3)


def test_a_cut_to_the_panel_lies_where_the_decal_lies() -> None:
    one = jobs.decal("d", 40.0, 30.0, at=At("bottom left", 5.0, 4.0), cut=Cut("panel"))
    cut = base_outline(one, jobs.job(one), Box(40.0, 30.0), MultiPolygon())
    assert cut.polygon.bounds == pytest.approx((-5.0, -4.0, 55.0, 36.0))


def test_a_free_outline_that_crosses_itself_is_refused() -> None:
    one = jobs.decal("d", 10.0, 10.0, cut=Cut("outline", points=((0, 0), (10, 10), (10, 0), (0, 10))))
    with pytest.raises(FitError, match="crosses itself"):
        base_outline(one, jobs.job(one), Box(10.0, 10.0), MultiPolygon())


def test_a_cut_along_nothing_is_refused() -> None:
    one = jobs.decal("d", 10.0, 10.0, cut=Cut("artwork"))
    with pytest.raises(FitError, match="draws nothing"):
        base_outline(one, jobs.job(one), Box(10.0, 10.0), MultiPolygon())


def test_an_ellipse_has_the_area_of_one() -> None:
    shape = ellipse(12.0, 6.0).polygon
    assert isinstance(shape, Polygon)
    assert shape.area == pytest.approx(math.pi * 18, rel=3e-4)
    assert shape.bounds == pytest.approx((0, 0, 12, 6), abs=1e-9)


@pytest.mark.parametrize(("width", "height"), [(20.0, 1.0), (10.0, 10.0)])
def test_a_cut_line_along_a_rectangle_is_no_circle(width: float, height: float) -> None:
    """The corners of a rectangle lie on one circle; the film must not become that disc."""
    one = jobs.decal("d", width, height, cut=Cut("artwork"))
    drawn = MultiPolygon([Polygon([(0, 0), (width, 0), (width, height), (0, height)])])
    outline = base_outline(one, jobs.job(one), Box(width, height), drawn)
    assert outline.polygon.area == pytest.approx(width * height)
    assert outline.polygon.bounds == pytest.approx((0, 0, width, height))


def test_a_cut_line_along_a_disc_keeps_its_arcs() -> None:
    one = jobs.decal("d", 10.0, 10.0, cut=Cut("artwork"))
    outline = base_outline(one, jobs.job(one), Box(10.0, 10.0), MultiPolygon([ellipse(10, 10).polygon]))
    assert len(outline.segments) == 4 and all(one.centre for one in outline.segments)


@pytest.mark.parametrize(
    ("margin", "apart", "one"), [(None, 0.9, True), (None, 1.1, False), (0.2, 0.3, True), (0.2, 0.5, False)]
)
def test_parts_of_an_artwork_nearer_than_twice_the_margin_share_a_cut_line(
    margin: float | None, apart: float, one: bool
) -> None:
    """Half a millimetre where no margin is given; farther apart, the film would fall apart."""
    bars = [jobs.element("field", At("left", x, 0.0), ink="orange", width=4.0) for x in (2.0, 6.0 + apart)]
    decal = jobs.decal("d", 20.0, 5.0, *bars, margin=margin, cut=Cut("artwork"))
    if not one:
        with pytest.raises(FitError, match="falls apart into 2 pieces"):
            build(jobs.job(decal), decal)
        return
    cut = build(jobs.job(decal), decal).cut_polygon
    assert cut.area >= (8.0 + apart) * 5.0 - 0.5 and cut.bounds[2] - cut.bounds[0] >= 8.0 + apart - 1e-3
