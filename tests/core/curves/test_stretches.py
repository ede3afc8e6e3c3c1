"""Stretches of curves and what is added to them."""

from __future__ import annotations

import math

import numpy as np
import pytest

from decalgen.core.curves.course import curve_through
from decalgen.core.curves.stretches import along_segments, extended, led_in, stretch
from decalgen.core.geometry import Segment
from tests.core.curves.sets import drawn, on_circle, on_ellipse


def test_a_stretch_is_the_same_line() -> None:
    for curve in drawn(seed=3, count=20):
        a, b = 0.21 * curve.length, 0.83 * curve.length
        part = stretch(curve, a, b)
        at = np.linspace(0.0, part.length, 60)
        assert part.length == pytest.approx(b - a)
        assert np.abs(part.places(at) - curve.places(at + a)).max() < 1e-9
        assert np.abs(part.curvatures(at[1:-1]) - curve.curvatures(at[1:-1] + a)).max() < 1e-7


def test_a_stretch_of_a_loop_goes_on_over_its_start() -> None:
    loop = curve_through(on_ellipse())
    part = stretch(loop, 0.9 * loop.length, 0.2 * loop.length)
    assert part.length == pytest.approx(0.3 * loop.length) and not part.closed
    at = np.linspace(0.0, part.length, 50)
    assert np.abs(part.places(at) - loop.places(at + 0.9 * loop.length)).max() < 1e-9


def test_a_lead_in_is_a_clothoid_from_straight() -> None:
    """Transition curves of roads and railways: over a length L to the radius R the direction turns by L / 2R, and the
    end lies about L² / 6R beside the first tangent (first terms of Fresnel's series)."""
    arc = curve_through(on_circle(10.0, (0.0, 0.4, 1.0), closed=False))
    led = led_in(arc, 2.0, 1.0)
    first, last = led.pieces[0], led.pieces[-1]
    assert led.length == pytest.approx(arc.length + 3.0)
    assert first.start_curvature == 0 and last.end_curvature == 0
    assert arc.pieces[0].direction - first.direction == pytest.approx(2.0 / 20)
    assert np.abs(led.places(np.array([2.0])) - arc.pieces[0][:2]).max() < 1e-9
    dx, dy = (arc.pieces[0][i] - first[i] for i in (0, 1))
    beside = -dx * math.sin(first.direction) + dy * math.cos(first.direction)
    assert beside == pytest.approx(4.0 / 60, rel=0.001)


def test_ends_go_on_straight() -> None:
    arc = curve_through(on_circle(10.0, (0.0, 0.4, 1.0), closed=False))
    long = extended(arc, 3.0, 0.0)
    assert (long.pieces[0].x, long.pieces[0].y) == pytest.approx((10.0, -3.0))
    assert long.end == pytest.approx(arc.end)


def test_segments_become_a_curve_with_straights_in_a_line_as_one() -> None:
    line = [Segment((0, 0), (3, 0)), Segment((3, 0), (8, 0)), Segment((8, 0), (10, 2), (8, 2))]
    curve = along_segments(line)
    assert len(curve.pieces) == 2 and curve.length == pytest.approx(8 + math.pi)
