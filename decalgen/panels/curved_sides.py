"""Sides of an outline that are one smooth curve through its points, as arcs. Pure; mm."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace

from decalgen.core.geometry import TOLERANCE, Point, Segment
from decalgen.panels.base import PanelError


def curved_sides(points: Sequence[Point], sides: Collection[int]) -> dict[int, tuple[Segment, ...]]:
    """Each of these sides (by number, from 1) as arcs within a micrometre of the smooth curve through the points of all
    that follow each other; where they end the curve has a corner.

    Raises `PanelError`, with the points' numbers, where there is no such curve.
    """
    from decalgen.core.curves.arcs import segments
    from decalgen.core.curves.course import Course, CurveError, uncrossed_curve
    from decalgen.core.curves.curve import Curve

    n = len(points)
    straight = tuple(number for number in range(1, n + 1) if number not in sides)
    # Where a curved side meets one that is not, both have a direction of their own.
    ends = tuple(number for number in range(1, n + 1) if (number in straight) or ((number - 2) % n + 1 in straight))
    try:
        curve = uncrossed_curve(Course(tuple(points), closed=True, corners=ends, straights=straight))
    except CurveError as error:
        raise PanelError(f"the curved sides: {error.message}", fix=_fix(error.fix)) from None
    found = {}
    for number in sorted(sides):
        arcs = segments(Curve((curve.pieces[number - 1],)), TOLERANCE)
        start, end = points[number - 1], points[number % n]
        found[number] = (*arcs[:-1], replace(arcs[-1], end=end)) if len(arcs) > 1 else (replace(arcs[0], end=end),)
        found[number] = (replace(found[number][0], start=start), *found[number][1:])
    return found


def _fix(fix: str) -> str:
    """A corner of curved sides is where one of them is left out."""
    return fix if "`corners`" not in fix else "measure another point beside it, or end the curve there with two points"
