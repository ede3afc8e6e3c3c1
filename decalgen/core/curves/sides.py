"""Sides of an outline that are one smooth curve through its points, as arcs. Pure; mm."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace

from decalgen.core.curves.arcs import segments
from decalgen.core.curves.course import Course, CurveError, sharp_turns, uncrossed_curve
from decalgen.core.curves.curve import Curve
from decalgen.core.errors import Finding
from decalgen.core.geometry import TOLERANCE, Point, Segment

APART = "measure another point beside it, or end the curve there"
"""A corner of curved sides is where one of them is left out."""


def sharp_points(points: Sequence[Point], sides: Collection[int], joins: Collection[int] = ()) -> list[Finding]:
    """Points between two of these sides that look like corners; nothing where there is no such curve, which is told
    when it is drawn."""
    try:
        turns = sharp_turns(_course(points, sides, joins)) if sides else []
    except CurveError:
        return []
    what = "point {} of the curved sides turns by {:.0f} degrees: is it a corner?"
    return [
        Finding("warning", "sharp-turn", "", what.format(number, turn), APART, None, turn, 120.0, "degrees")
        for number, turn in turns
    ]


def _course(points: Sequence[Point], sides: Collection[int], joins: Collection[int]) -> Course:
    n = len(points)
    for number in sides:
        if not 1 <= number <= n:
            raise CurveError(f"there is no side {number}: the outline has {n} sides", fix=f"use 1 to {n}")
    straight = tuple(number for number in range(1, n + 1) if number not in sides)
    # Where a curved side meets one that is not, both have a direction of their own.
    ends = [number for number in range(1, n + 1) if number in straight or (number - 2) % n + 1 in straight]
    meeting = [number for number in ends if (number in straight) != ((number - 2) % n + 1 in straight)]
    for number in joins:
        if number not in meeting:
            there = ", ".join(map(str, meeting)) or "none"
            raise CurveError(
                f"at point {number} no curved side meets a straight one",
                fix=f"points where one does: {there}; inside a curve it runs on smoothly by itself",
            )
    corners = tuple(number for number in ends if number not in joins)
    return Course(tuple(points), closed=True, corners=corners, straights=straight)


def smooth_sides(
    points: Sequence[Point], sides: Collection[int], joins: Collection[int] = (), tolerance: float = TOLERANCE
) -> dict[int, tuple[Segment, ...]]:
    """Each of these sides (by number, from 1; side n runs from point n to the next) as arcs within ``tolerance`` mm of
    the smooth curve through the points of all that follow each other; where they end the curve has a corner, or at
    ``joins`` (by number of the point) the direction of the straight side beside it.

    Raises `CurveError`, with the points' numbers, where there is no such curve.
    """
    try:
        curve = uncrossed_curve(_course(points, sides, joins))
    except CurveError as error:
        fix = error.fix if "`corners`" not in error.fix else APART
        raise CurveError(f"the curved sides: {error.message}", fix=fix) from None
    found = {}
    for number in sorted(set(sides)):
        arcs = list(segments(Curve((curve.pieces[number - 1],)), tolerance))
        arcs[0] = replace(arcs[0], start=points[number - 1])
        arcs[-1] = replace(arcs[-1], end=points[number % len(points)])
        found[number] = tuple(arcs)
    return found
