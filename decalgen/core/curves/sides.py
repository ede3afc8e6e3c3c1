"""Sides of an outline that are one smooth curve through its points, as arcs. Pure; mm."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache

from decalgen.core.curves.arcs import segments
from decalgen.core.curves.course import Course, CurveError, uncrossed_curve
from decalgen.core.curves.curve import Curve
from decalgen.core.curves.curved import CurvedSides
from decalgen.core.curves.within import Smoothed, smoothed_curve
from decalgen.core.geometry import TOLERANCE, Point, Segment, signed_area

APART = "measure another point beside it, or end the curve there"
"""A corner of curved sides is where one of them is left out."""


def smooth_sides(
    points: Sequence[Point], rises: Sequence[float], curved: CurvedSides, tolerance: float = TOLERANCE
) -> dict[int, tuple[Segment, ...]]:
    """Each of these sides (by number, from 1) as arcs within ``tolerance`` mm of the smooth curve through the points of
    all that follow each other. Where they end the curve has a corner, or at a join the direction of the straight or the
    arc beside it. ``rises``: how far the middle of each side stands out of its chord, 0 where it is straight.

    Raises `CurveError`, with the points' numbers, where there is no such curve.
    """
    course = course_of_sides(points, rises, curved)
    try:
        drawn = drawn_sides(course, curved.within)
    except CurveError as error:
        fix = error.fix if "`corners`" not in error.fix else APART
        raise CurveError(f"the curved sides: {error.message}", fix=fix) from None
    found = {}
    for number in sorted(set(curved.sides)):
        arcs = list(segments(Curve((drawn.curve.pieces[number - 1],)), tolerance))
        arcs[0] = replace(arcs[0], start=drawn.points[number - 1])
        arcs[-1] = replace(arcs[-1], end=drawn.points[number % len(points)])
        found[number] = tuple(arcs)
    return found


@lru_cache(maxsize=64)
def drawn_sides(course: Course, within: float | None) -> Smoothed:
    """The curve all round, and how far its points were moved. Whether it crosses itself is asked of the whole outline.
    Raises `CurveError`."""
    if within is None:
        return Smoothed(uncrossed_curve(course), (0.0,) * len(course.points), course.points)
    return smoothed_curve(course, within, uncrossed_curve)


def course_of_sides(points: Sequence[Point], rises: Sequence[float], curved: CurvedSides) -> Course:
    """The outline as a closed curve, whose other sides are straights and arcs. Raises `CurveError` for numbers of
    sides and points that there are not, or at which no curve is."""
    n = len(points)
    for number in curved.sides:
        if not 1 <= number <= n:
            raise CurveError(f"there is no side {number}: the outline has {n} sides", fix=f"use 1 to {n}")
    other = [number for number in range(1, n + 1) if number not in curved.sides]
    # Where a curved side meets one that is not, both have a direction of their own.
    ends = [number for number in range(1, n + 1) if number in other or (number - 2) % n + 1 in other]
    meeting = [number for number in ends if (number in other) != ((number - 2) % n + 1 in other)]
    there = ", ".join(map(str, meeting)) or "none"
    for number in curved.joins:
        if number not in meeting:
            raise CurveError(
                f"at point {number} no curved side meets a straight one or an arc",
                fix=f"points where one does: {there}; inside a curve it runs on smoothly by itself",
            )
    on_curve = sorted({*curved.sides, *(number % n + 1 for number in curved.sides)})
    for told, _ in curved.directions:
        if told not in on_curve:
            raise CurveError(
                f"there is a direction for point {told:g}, at which no curved side is",
                fix=f"points of curved sides: {', '.join(map(str, on_curve)) or 'none'}",
            )
    outward = 1.0 if signed_area(points) > 0 else -1.0
    return Course(
        tuple(points),
        closed=True,
        corners=tuple(number for number in ends if number not in curved.joins),
        directions=tuple((int(number), degrees) for number, degrees in curved.directions),
        straights=tuple(number for number in other if not rises[number - 1]),
        bows=tuple((number, outward * rises[number - 1]) for number in other if rises[number - 1]),
    )
