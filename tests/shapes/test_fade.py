"""Fades: the tone at each place, what the smallest line and gap leave of it, and where dots turn into holes."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
import shapely
from shapely.geometry import MultiPolygon

from decalgen.core.geometry import rectangle
from decalgen.preflight.features import thin
from decalgen.shapes.base import Box, Inked, ShapeError
from decalgen.shapes.fade import Fade
from decalgen.shapes.fade_marks import MarkNet

BOX = Box(40.0, 10.0)


def drawn(size: Box = BOX, run_on: float = 0.0, **keys: object) -> MultiPolygon:
    """The marks of a fade in navy."""
    areas = Fade("navy", **keys).draw(size, run_on)
    return next(one.region for one in areas if one.ink == "navy")


def tones(region: MultiPolygon, wide: float, size: Box = BOX) -> list[float]:
    """What is covered of each upright strip, from the left."""
    edges = np.arange(0, size.width + 1e-9, wide)
    strips = [rectangle(a, 0, b, size.height) for a, b in pairwise(edges)]
    return [region.intersection(strip).area / strip.area for strip in strips]


def course(*given: float, parts: int = 40) -> list[float]:
    """The tone in the middle of each part, the given ones at even distances."""
    middles = (np.arange(parts) + 0.5) / parts
    return [float(tone) / 100 for tone in np.interp(middles, np.linspace(0, 1, len(given)), given)]


def test_lines_along_a_fade_have_the_tone_of_each_place() -> None:
    found = tones(drawn(tones=(80.0, 15.0)), 1.0)
    assert found == pytest.approx(course(80, 15), abs=1e-9)


def test_lines_at_an_angle_and_across_have_it_too() -> None:
    """Over whole repeats: lines at 45 degrees repeat every root of 2 times the pitch."""
    slanted = drawn(tones=(70.0, 30.0), angle=45.0, pitch=math.sqrt(0.5))
    assert tones(slanted, 1.0)[1:-1] == pytest.approx(course(70, 30)[1:-1], abs=0.004)
    upright = drawn(tones=(70.0, 30.0), angle=90.0)
    assert tones(upright, 1.0)[1:-1] == pytest.approx(course(70, 30)[1:-1], abs=1e-9)


@pytest.mark.parametrize("given", [(80.0, 15.0), (90.0, 5.0), (10.0, 90.0), (50.0, 50.0)])
def test_dots_have_the_tone_of_each_place(given: tuple[float, float]) -> None:
    """In rows of one pitch; what strips add where dots turn into holes, the holes beside them give back."""
    found = tones(drawn(tones=given, marks="dots", angle=0.0), 1.0)
    off = np.abs(np.array(found) - course(*given))
    assert off.max() < 0.012
    # Over the rows on both sides of where they turn.
    assert np.convolve(np.array(found) - course(*given), np.ones(3) / 3, "valid") == pytest.approx(0, abs=0.004)


@pytest.mark.parametrize("direction", [90.0, 180.0, 270.0])
def test_dots_have_it_whichever_way_they_turn_into_holes(direction: float) -> None:
    size = BOX if direction == 180 else Box(10.0, 40.0)
    area = drawn(size, tones=(80.0, 15.0), marks="dots", angle=0.0, direction=direction)
    if direction != 180:
        area = shapely.transform(area, lambda xy: np.column_stack((xy[:, 1], xy[:, 0])))
    off = np.array(tones(area, 1.0)) - (course(80, 15) if direction == 90 else course(15, 80))
    assert np.abs(off).max() < 0.012
    assert np.convolve(off, np.ones(3) / 3, "valid") == pytest.approx(0, abs=0.004)


def test_a_course_of_several_tones_and_a_direction() -> None:
    found = tones(drawn(tones=(20.0, 70.0, 20.0, 45.0)), 0.5)
    assert found == pytest.approx(course(20, 70, 20, 45, parts=80), abs=0.0025)
    up = drawn(Box(10.0, 40.0), tones=(80.0, 15.0), direction=90.0)
    turned = shapely.transform(up, lambda xy: np.column_stack((xy[:, 1], xy[:, 0])))
    assert tones(turned, 1.0) == pytest.approx(course(80, 15), abs=1e-9)
    back = tones(drawn(tones=(80.0, 15.0), direction=180.0), 1.0)
    assert back == pytest.approx(course(15, 80), abs=1e-9)


def test_ends_are_bare_and_solid_where_no_line_and_no_gap_hold() -> None:
    """0.15 mm of a pitch of 1 mm are 15 %, a gap of 0.2 mm leaves 80 %: from 100 to 0 these lie 8 and 34 mm along."""
    region = drawn(tones=(100.0, 0.0))
    assert tones(region, 1.0)[:8] == pytest.approx([1.0] * 8, abs=1e-9)
    assert region.bounds[2] == pytest.approx(34.0, abs=1e-9)
    assert MarkNet(False, 1.0, 0.15, 0.2).held == pytest.approx((0.15, 0.8))


@pytest.mark.parametrize("marks", ["lines", "dots"])
@pytest.mark.parametrize("angle", [0.0, 30.0, 45.0, 77.0, 90.0])
@pytest.mark.parametrize("ground", [None, "white"])
def test_no_mark_and_no_gap_is_thinner_than_the_printer_holds(marks: str, angle: float, ground: str | None) -> None:
    fade = Fade("navy", ground=ground, tones=(100.0, 0.0), marks=marks, angle=angle)
    region = drawn(tones=(100.0, 0.0), marks=marks, angle=angle, ground=ground)
    assert thin(region, 0.15) is None
    bare = rectangle(0, 0, *BOX).difference(region)
    inside = shapely.multipolygons(shapely.get_parts(bare))
    # Towards the edge a gap goes on beyond it.
    gaps = thin(inside.union(rectangle(-3, -3, 43, 13).difference(rectangle(0, 0, *BOX))), 0.2)
    assert gaps is None, gaps.areas
    if ground:
        assert thin(MultiPolygon(shapely.get_parts(bare).tolist()), 0.15) is None
    assert fade.screen.least_pitch <= 1.0


def test_a_pitch_too_fine_names_the_one_that_holds() -> None:
    with pytest.raises(ShapeError, match=r"lines at a pitch of 0\.3 mm") as caught:
        Fade("navy", pitch=0.3)
    assert "at least 0.35 mm" in caught.value.fix
    Fade("navy", pitch=0.35)
    with pytest.raises(ShapeError, match="dots at a pitch") as caught:
        Fade("navy", pitch=0.8, marks="dots")
    assert "at least 0.87 mm" in caught.value.fix
    Fade("navy", pitch=0.87, marks="dots")


def test_dots_turn_where_discs_a_gap_apart_cover_as_much_as_holes_a_line_apart_leave() -> None:
    """Worked out by hand: at a pitch p discs p - 0.2 wide cover as much as a ground with holes p - 0.15 wide, where
    (p - 0.2)² + (p - 0.15)² is 4/π of p²."""
    p = MarkNet(True, 1.0, 0.15, 0.2).least_pitch
    assert (p - 0.2) ** 2 + (p - 0.15) ** 2 == pytest.approx(4 / math.pi * p * p, rel=1e-12)


def test_too_many_marks_are_told() -> None:
    for marks in ("lines", "dots"):
        fade = Fade("navy", pitch=0.01, smallest_line=0.001, smallest_gap=0.001, marks=marks)
        with pytest.raises(ShapeError, match="too many") as caught:
            fade.draw(Box(900.0, 900.0))
        assert caught.value.fix


def test_it_goes_over_an_outline_and_along_all_of_it() -> None:
    """A triangle: the course runs from its left corner to its right side, and nothing is drawn beyond it."""
    points = ((0.0, 5.0), (40.0, 0.0), (40.0, 10.0))
    fade = Fade("navy", points=points, tones=(20.0, 70.0), pitch=1.0)
    size = fade.extent(Box(50.0, 20.0))
    assert size == pytest.approx((40.0, 10.0))
    (one,) = fade.draw(size)
    triangle = shapely.Polygon(points)
    assert one.region.difference(triangle.buffer(1e-9)).area == 0
    right = rectangle(30, 0, 40, 10).intersection(triangle)
    # The tone at x is 20 % and 1.25 % more for each mm; the triangle is x/4 high.
    wanted = sum((0.2 + 0.0125 * x) * x / 4 * 0.01 for x in np.arange(30.005, 40, 0.01))
    assert one.region.intersection(right).area == pytest.approx(wanted, rel=0.03)


def test_the_size_is_given_once() -> None:
    with pytest.raises(ShapeError, match="given twice"):
        Fade("navy", points=((0, 0), (4, 0), (4, 4)), width=3.0)
    with pytest.raises(ShapeError, match="no `points`"):
        Fade("navy", radii=(1.0,))


def test_it_runs_on_with_the_tone_it_ends_on() -> None:
    """Beyond either end lines go on as wide as they are there, and beyond the sides the rows go on."""
    region = drawn(run_on=0.5, tones=(60.0, 30.0))
    for x0, x1, tone in ((-0.5, 0.0, 0.6), (40.0, 40.5, 0.3)):
        assert region.intersection(rectangle(x0, 0, x1, 10)).area == pytest.approx(tone * 5, abs=1e-9)


def test_the_ground_lies_under_all_of_it() -> None:
    ground, ink = Fade("navy", ground="white", tones=(70.0, 20.0)).draw(BOX, 0.5)
    assert isinstance(ground, Inked) and (ground.ink, ink.ink) == ("white", "navy")
    assert ground.region.area == pytest.approx(41 * 11)
    assert ground.region.buffer(1e-9).contains(ink.region)


@pytest.mark.parametrize("given", [(70.0, 0.0), (20.0, 48.0), (100.0, 15.0), (0.0, 60.0, 0.0, 90.0)])
@pytest.mark.parametrize("gap", [0.2, 0.02])
def test_dots_are_apart_and_none_is_lost(given: tuple[float, ...], gap: float) -> None:
    """No two areas cover the same place, and where the tone holds a dot, the corners of a net laid out by hand lie in
    one."""
    region = drawn(tones=given, marks="dots", angle=0.0, smallest_gap=gap)
    assert region.is_valid
    assert shapely.union_all(list(region.geoms)).area == pytest.approx(region.area, abs=1e-9)
    least = math.pi / 4 * 0.15**2
    # 40 and 10 mm at a pitch of 1 mm: corners lie half a pitch from the sides.
    for x in np.arange(0.5, 40):
        tone = float(np.interp(x / 40, np.linspace(0, 1, len(given)), given)) / 100
        beside = [float(np.interp((x + d) / 40, np.linspace(0, 1, len(given)), given)) / 100 for d in (-0.5, 0.5)]
        middles = shapely.points(x, np.arange(0.5, 10))
        if tone >= least:
            assert shapely.covers(region, middles).all()
        elif max(beside) < least:
            assert not shapely.covers(region, middles).any()
