"""What is to be known of the curved sides of an outline: points moved, what they lie on, corners in doubt. Pure; mm."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from decalgen.core.curves.course import Course, CurveError, sharp_turns
from decalgen.core.curves.curved import CurvedSides
from decalgen.core.curves.likeness import LikeRun, like_runs, likeness
from decalgen.core.curves.sides import APART, course_of_sides, drawn_sides
from decalgen.core.errors import Finding
from decalgen.core.geometry import Point, signed_area


def side_findings(points: Sequence[Point], rises: Sequence[float], curved: CurvedSides | None) -> list[Finding]:
    """What is to be known of them; nothing where there is no such curve, which is told when it is drawn."""
    if curved is None or not curved.sides:
        return []
    try:
        course = course_of_sides(points, rises, curved)
        moved = drawn_sides(course, curved.within).moved
        return [*moved_finding(moved, "outline"), *_likeness(course, curved), *_sharp(course)]
    except CurveError:
        return []


def moved_finding(moved: Sequence[float], what: str) -> Iterator[Finding]:
    """How far each point was moved, mm, to the left of a curve or an outline; nothing where none was."""
    if not any(moved):
        return
    furthest = max(range(len(moved)), key=lambda i: abs(moved[i]))
    message = f"point {furthest + 1} of the {what} is moved furthest to make it even, by {abs(moved[furthest]):.3f} mm"
    each = ", ".join(f"{number}: {move:.3f}" for number, move in enumerate(moved, 1))
    message += f"; all points, in mm to the left as the {what} runs: {each}"
    yield Finding("note", "curve-moved", "", message, "")


def _sharp(course: Course) -> Iterator[Finding]:
    """Points between two curved sides that look like corners."""
    for number, turn in sharp_turns(course):
        what = f"point {number} of the curved sides turns by {turn:.0f} degrees: is it a corner?"
        yield Finding("warning", "sharp-turn", "", what, APART, None, turn, 120.0, "degrees")


def _likeness(course: Course, curved: CurvedSides) -> Iterator[Finding]:
    """What the points of sides that follow each other lie on, within the ± that is given."""
    if curved.within is None:
        return
    n = len(course.points)
    sides = set(curved.sides)
    ends = {*course.corners, *(number for number, _ in course.directions)}
    if len(sides) == n and not ends:
        if found := likeness(course.points, curved.within, True):
            yield Finding("note", "curve-likeness", "", found.words, "")
        return
    starts = [i for i in sorted(sides) if i in ends or (i - 2) % n + 1 not in sides]
    for first in starts:
        last = first
        while (last - 1) % n + 1 in sides and (last == first or (last - 1) % n + 1 not in starts):
            last += 1
        run = [course.at(i - 1) for i in range(first, last + 1)]
        whole = likeness(tuple(run), curved.within, False)
        # No side can be made part of an ellipse.
        alike = whole is not None and whole.kind != "ellipse"
        runs = [LikeRun(0, len(run) - 1, whole)] if whole and alike else like_runs(run, curved.within)
        for one in runs:
            yield _told(course, first, one)


def _told(course: Course, first: int, run: LikeRun) -> Finding:
    """That some points, counted from the ``first`` of a run, lie on a straight or an arc, and the side to make of
    it."""
    n = len(course.points)
    a, b = ((first + i - 1) % n + 1 for i in (run.first, run.last))
    fix = f"surer: of these keep points {a} and {b} and leave the side between them out of `curves`"
    if run.found.kind == "circle":
        fix += f", with a rise of {_rise(course, a, b, run):.2f} mm"
    fix += "; the points and sides after them get other numbers" if b != 1 else ""
    return Finding("note", "curve-likeness", "", run.found.words_of(f"points {a} to {b}"), fix)


def _rise(course: Course, a: int, b: int, run: LikeRun) -> float:
    """How far the middle of the arc stands out of the chord from point a to point b, inward: negative."""
    n = len(course.points)
    start, end, through = course.at(a - 1), course.at(b - 1), course.at(a - 1 + (b - a) % n // 2)
    (cx, cy), radius = run.found.centre, run.found.radii[0]
    chord = math.dist(start, end)
    nx, ny = (end[1] - start[1]) / chord, (start[0] - end[0]) / chord  # to the right of the chord
    side = math.copysign(1.0, (through[0] - start[0]) * nx + (through[1] - start[1]) * ny)
    rise = (cx - start[0]) * nx + (cy - start[1]) * ny + side * radius
    return math.copysign(1.0, signed_area(course.points)) * rise
