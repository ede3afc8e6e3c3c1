"""Points to draw curves through, and what tests ask of a curve."""

from __future__ import annotations

import math
from collections.abc import Iterator
from contextlib import suppress
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from decalgen.core.curves.course import Course, CurveError, curve_through
from decalgen.core.curves.curve import Curve
from decalgen.core.geometry import Point

UNEVEN = (0.0, 0.9, 2.5, 3.3, 5.0)
"""Angles of five uneven points of a circle."""


def on_circle(radius: float, angles: tuple[float, ...] = UNEVEN, closed: bool = True) -> Course:
    return Course(tuple((radius * math.cos(a), radius * math.sin(a)) for a in angles), closed)


def on_ellipse(count: int = 12, a: float = 20.0, b: float = 8.0) -> Course:
    at = [2 * math.pi * i / count for i in range(count)]
    return Course(tuple((a * math.cos(t), b * math.sin(t)) for t in at), closed=True)


def wheel_arch() -> Course:
    """Two uprights and a half circle of 10 mm between them, the uprights told as straight."""
    arch: list[Point] = [(-10.0 * math.cos(a), 10.0 * math.sin(a)) for a in np.radians([0, 30, 60, 90, 120, 150, 180])]
    return Course(((-10.0, -8.0), *arch, (10.0, -8.0)), straights=(1, 8))


def random_courses(seed: int, count: int) -> Iterator[Course]:
    """Closed and open in turn, as one measures them: 5 to 14 points round a middle at uneven angles and distances, or 4
    to 14 along a way that turns by no more than 70 degrees at each.

    Round a form 0.6 times as high as wide four even points turn by 118 degrees at its ends, so uneven ones are asked
    about (`test_four_points_round_a_long_form_are_asked_about`): they say too little of it.
    """
    rng = np.random.default_rng(seed)
    for number in range(count):
        n = int(rng.integers(4 if number % 2 else 5, 15))
        if number % 2:
            ways = rng.uniform(-1.2, 1.2, n).cumsum() * 0.6
            long = rng.uniform(1.0, 6.0, n)
            points = np.column_stack((long * np.cos(ways), long * np.sin(ways))).cumsum(axis=0)
        else:
            at = (np.arange(n) + rng.uniform(-0.3, 0.3, n)) * 2 * math.pi / n
            away = rng.uniform(7.0, 10.0, n)
            points = np.column_stack((away * np.cos(at), 0.6 * away * np.sin(at)))
        yield Course(tuple((float(x), float(y)) for x, y in points), closed=not number % 2)


def drawn(seed: int, count: int) -> list[Curve]:
    """The curves through such sets, without those few of which a sharp turn is told."""
    found = []
    for course in random_courses(seed, count):
        with suppress(CurveError):
            found.append(curve_through(course))
    assert len(found) >= 0.9 * count
    return found


def extrema(curve: Curve) -> int:
    """How often curvature turns from growing to falling or back, along the curve."""
    change = [p.end_curvature - p.start_curvature for p in curve.pieces]
    signs = [math.copysign(1, c) for c in change if abs(c) > 1e-9]
    if curve.closed:
        signs += signs[:1]
    return sum(a != b for a, b in pairwise(signs))


def dense(curve: Curve, count: int = 20_000) -> NDArray[np.float64]:
    """Points along a curve, evenly."""
    return curve.places(np.linspace(0.0, curve.length, count, endpoint=not curve.closed))
