"""Arcs found again in chords, against true circles: how many, how far off, and what must stay a corner."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from shapely import affinity
from shapely.geometry import LinearRing, Polygon, box

from decalgen.artwork.cut_line import ellipse
from decalgen.core.arc_fit import with_arcs
from decalgen.core.geometry import Outline, Segment, arc_steps, circle, rotation, rounded, transform


def again(polygon: Polygon) -> Outline:
    return with_arcs(Outline.from_polygon(polygon))


def arcs(outline: Outline) -> list[Segment]:
    return [one for one in outline.segments if one.centre is not None]


def walked(outline: Outline) -> np.ndarray:
    """Points along the outline, arcs in 400 steps worked out here."""
    found: list[tuple[float, float]] = []
    for one in outline.segments:
        if one.centre is None:
            found += [one.start, one.end]
            continue
        a = complex(*one.start) - complex(*one.centre)
        b = complex(*one.end) - complex(*one.centre)
        sweep = float(np.angle(b / a))
        if one.anticlockwise and sweep <= 0:
            sweep += 2 * math.pi
        if not one.anticlockwise and sweep >= 0:
            sweep -= 2 * math.pi
        points = complex(*one.centre) + a * np.exp(1j * np.linspace(0, sweep, 400))
        found += zip(points.real.tolist(), points.imag.tolist(), strict=True)
    return np.array(found)


def off(outline: Outline, polygon: Polygon) -> float:
    """How far the two courses lie apart, both ways, mm."""
    points = walked(outline)
    there = shapely.distance(polygon.exterior, shapely.points(points)).max()
    back = shapely.distance(LinearRing(points), shapely.points(np.array(polygon.exterior.coords))).max()
    return float(max(there, back))


@pytest.mark.parametrize("radius", [0.1, 0.5, 2.0, 12.0, 95.0])
@pytest.mark.parametrize("turn", [0.0, 33.0])
def test_a_circle_is_two_arcs(radius: float, turn: float) -> None:
    found = again(transform(circle((3.0, 4.0), radius), rotation(turn)))
    assert len(found.segments) == len(arcs(found)) == 2
    x, y = np.array([one.centre for one in found.segments]).mean(axis=0)
    a = math.radians(turn)
    true = (3 * math.cos(a) - 4 * math.sin(a), 3 * math.sin(a) + 4 * math.cos(a))
    assert math.dist((x, y), true) < 1e-6
    assert all(math.dist(one.start, true) == pytest.approx(radius, abs=1e-6) for one in found.segments)


def test_soft_corners_are_an_arc_each_and_sides_stay_straight() -> None:
    made = rounded(30.0, 10.0, (2.0, 1.0, 0.5, 3.0))
    found = again(made.polygon)
    assert len(found.segments) == 8 and len(arcs(found)) == 4
    assert sorted(math.dist(one.start, one.centre or (0, 0)) for one in arcs(found)) == pytest.approx([0.5, 1, 2, 3])
    assert off(found, made.polygon) < 0.0012


def test_wheel_arches_are_arcs_that_run_the_other_way() -> None:
    """Each cut off at the foot, where its end lies on a chord and not on the circle."""
    body = box(0, 0, 60, 20).difference(circle((15.3, 1.1), 7.3)).difference(circle((44.2, -0.7), 6.9))
    found = again(body)
    assert len(found.segments) - len(arcs(found)) == 6
    assert 2 <= len(arcs(found)) <= 3
    assert {one.anticlockwise for one in arcs(found)} == {not body.exterior.is_ccw}
    assert off(found, body) <= 0.0013


def test_a_grown_outline_has_an_arc_at_each_corner() -> None:
    grown = affinity.rotate(box(0, 0, 10, 5), 13).buffer(0.5, quad_segs=arc_steps(0.5, math.pi / 2))
    found = again(grown)
    assert len(found.segments) == 8 and len(arcs(found)) == 4
    assert all(math.dist(one.start, one.centre or (0, 0)) == pytest.approx(0.5, abs=1e-6) for one in arcs(found))


@pytest.mark.parametrize("corners", [3, 4, 6, 12, 36])
def test_a_polygon_with_corners_keeps_them(corners: int) -> None:
    """A chord of a twelfth of 20 mm bulges 0.34 mm away from its circle: these are corners."""
    turns = [2 * math.pi * n / corners for n in range(corners)]
    shape = Polygon([(10 * math.cos(a), 10 * math.sin(a)) for a in turns])
    found = again(shape)
    assert not arcs(found) and len(found.segments) == corners


def test_a_curve_that_is_no_circle_becomes_arcs_as_close_as_it_was_flattened() -> None:
    made = ellipse(20.0, 8.0)
    found = with_arcs(made)
    assert len(found.segments) < len(made.segments) / 5
    assert off(found, made.polygon) <= 0.0013


def test_what_is_an_arc_already_is_kept() -> None:
    made = rounded(30.0, 10.0, (2.0,) * 4)
    found = with_arcs(made)
    assert sorted(map(repr, found.segments)) == sorted(map(repr, made.segments))


def test_the_outline_closes_and_no_arc_turns_beyond_a_half() -> None:
    body = box(0, 0, 60, 40).difference(circle((30, 20), 5)).union(circle((60, 20), 9))
    for ring in (body.exterior, *body.interiors):
        found = again(Polygon(ring))
        for one, other in zip(found.segments, found.segments[1:] + found.segments[:1], strict=True):
            assert one.end == other.start
        for one in arcs(found):
            assert math.dist(one.start, one.centre or (0, 0)) == pytest.approx(math.dist(one.end, one.centre or (0, 0)))
            assert math.dist(one.start, one.end) <= 2 * math.dist(one.start, one.centre or (0, 0)) + 1e-9
        assert off(found, Polygon(ring)) <= 0.0013


def test_two_arcs_that_touch_smoothly_stay_two() -> None:
    made = Outline(
        (
            Segment((0, 0), (20, 0)),
            Segment((20, 0), (25, 5), (20, 5)),
            Segment((25, 5), (15, 15), (15, 5)),
            Segment((15, 15), (0, 15)),
            Segment((0, 15), (0, 0)),
        )
    )
    found = again(made.polygon)
    assert sorted(round(math.dist(one.start, one.centre or (0, 0)), 3) for one in arcs(found)) == [5, 10]
