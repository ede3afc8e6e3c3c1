"""How a curve goes through its points, and the curve that does. Pure; mm.

Between points it is a clothoid spline, unless a piece is said to be straight or part of a circle. Such pieces, given
directions and corners cut the spline into chains; a chain takes the direction of a straight or an arc that it meets.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

import numpy as np

from decalgen.core.curves.clothoid import Clothoid, arc, straight
from decalgen.core.curves.crossings import first_crossing
from decalgen.core.curves.curve import Curve
from decalgen.core.curves.spline import Chain, Solved, pieces_of, settle, wrapped
from decalgen.core.errors import DecalgenError
from decalgen.core.geometry import Point, segment_radius
from decalgen.core.values import dataclass

SAME_MM = 1e-6
"""Points this near to each other are one."""
MOST_TURN = 135.0
"""A point at which the chords turn further is a corner, or lacks a neighbour, degrees: no curve is drawn."""
SHARP_TURN = 120.0 + 1e-6
"""A point at which they turn further may be one: it is asked about. The hair more lets a circle through three even
points pass, which turns by just 120 degrees at each."""
OFF_STRAIGHT = 0.1
"""A given direction may differ so much from the straight or the arc beside it, degrees."""


class CurveError(DecalgenError):
    """Points that no curve can be drawn through: what is wrong, with the point's number, and what to do about it."""

    exit_code = 2


@dataclass(frozen=True)
class Course:
    """The points of a curve and what is known of it there. Points are told by their numbers, from 1.

    ``corners``: where it may turn sharply; ``directions``: degrees by point; ``straights``: points from which it runs
    straight to the next; ``arcs``: points from which it runs along a circle, through the next, to the one after;
    ``bows``: points from which it runs along a circle to the next, and how far the middle of that piece lies to the
    right of its chord, mm.
    """

    points: tuple[Point, ...]
    closed: bool = False
    corners: tuple[int, ...] = ()
    directions: tuple[tuple[int, float], ...] = ()
    straights: tuple[int, ...] = ()
    arcs: tuple[int, ...] = ()
    bows: tuple[tuple[int, float], ...] = ()

    @property
    def spans(self) -> int:
        """How many pieces lie between its points."""
        return len(self.points) if self.closed else len(self.points) - 1

    def at(self, index: int) -> Point:
        """A point by its index from 0, round and round."""
        return self.points[index % len(self.points)]


def curve_through(course: Course) -> Curve:
    """The curve; its piece i goes from point i + 1 to the next.

    Raises `CurveError` for points that are the same, pieces that are two things at once, three points of an arc on a
    line, sharp turns that are not said to be corners, and a curve that crosses itself.
    """
    curve = uncrossed_curve(course)
    crossing = first_crossing(curve)
    if crossing:
        x, y = crossing.at
        one, other = (f"{i + 1} and {(i + 1) % len(course.points) + 1}" for i in (crossing.one, crossing.other))
        where = f"between points {one}" + (f" and between points {other}" if one != other else "")
        raise CurveError(
            f"the curve crosses or touches itself at ({x:.4g}, {y:.4g}), {where}",
            fix="list its points in order, or measure more points there",
        )
    return curve


def uncrossed_curve(course: Course) -> Curve:
    """The curve, whether it crosses itself or not. Raises `CurveError` as `curve_through` does."""
    _check_points(course)
    pieces = told_pieces(course)
    for run in runs_of(course, pieces):
        settled = settled_run(course, run)
        for i, piece in enumerate(pieces_of(run.chain, settled)):
            _check_piece(course, run.first + i, piece)
            pieces[(run.first + i) % len(course.points)] = piece
    return Curve(tuple(pieces[i] for i in range(course.spans)), course.closed)


class SplineRun(NamedTuple):
    """A chain of spline between two cuts: its points, and by their indices where it starts and ends (the last perhaps
    beyond the end of the list)."""

    chain: Chain
    first: int
    last: int


def _check_points(course: Course) -> None:
    n = len(course.points)
    least = 3 if course.closed else 2
    if n < least:
        kind = "a closed curve" if course.closed else "a curve"
        raise CurveError(f"{kind} needs at least {'three' if least == 3 else 'two'} points", fix="give more points")
    for i in range(course.spans):
        if math.dist(course.at(i), course.at(i + 1)) < SAME_MM:
            if i + 1 == n:
                fix = f"remove point {n}: a closed curve returns to its first point by itself"
                raise CurveError(f"points 1 and {n} are the same", fix=fix)
            raise CurveError(f"points {i + 1} and {i + 2} are the same", fix="remove one of them")
    named = [*course.corners, *course.straights, *course.arcs, *(number for number, _ in course.directions)]
    for number in named:
        if not 1 <= number <= n:
            raise CurveError(f"there is no point {number}: the curve has {n} points", fix=f"use 1 to {n}")


def told_pieces(course: Course) -> dict[int, Clothoid]:
    """Straights and arcs by the index of the piece."""
    found: dict[int, Clothoid] = {}

    def put(number: int, piece: int, made: Clothoid) -> None:
        index = piece % len(course.points)
        if index in found:
            raise CurveError(
                f"the piece from point {index + 1} to point {(index + 1) % len(course.points) + 1} is named twice",
                fix=f"let it be either straight or part of one arc: see point {number}",
            )
        found[index] = made

    for number in course.straights:
        _check_reach(course, number, 1, "straight")
        put(number, number - 1, straight(course.at(number - 1), course.at(number)))
    for number in course.arcs:
        _check_reach(course, number, 2, "arc")
        start, through, end = (course.at(number - 1 + i) for i in range(3))
        centre = circle_through(start, through, end)
        if centre is None:
            names = ", ".join(str((number - 1 + i) % len(course.points) + 1) for i in range(3))
            raise CurveError(
                f"points {names} lie on a line, so no arc goes through them",
                fix=f"move point {number % len(course.points) + 1}, or name {number} under `straights`",
            )
        left = _cross(start, through, end) > 0
        put(number, number - 1, arc(start, through, centre, left))
        put(number, number, arc(through, end, centre, left))
    for number, rise in course.bows:
        put(number, number - 1, _bow(course.at(number - 1), course.at(number), rise))
    return found


def _bow(start: Point, end: Point, rise: float) -> Clothoid:
    """The arc over a chord whose middle lies ``rise`` mm to the right of it."""
    chord = math.dist(start, end)
    away = segment_radius(chord, rise) - rise  # from the chord to the centre, to its left
    ux, uy = (end[0] - start[0]) / chord, (end[1] - start[1]) / chord
    centre = (start[0] + end[0]) / 2 - uy * away, (start[1] + end[1]) / 2 + ux * away
    return arc(start, end, centre, rise > 0)


def _check_reach(course: Course, number: int, pieces: int, kind: str) -> None:
    if not course.closed and number + pieces > len(course.points):
        last = len(course.points) - pieces
        raise CurveError(
            f"no {kind} can start at point {number}: the curve ends at point {len(course.points)}",
            fix=f"start it at point {last} or before" if last >= 1 else "give more points",
        )


def _cross(a: Point, b: Point, c: Point) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def circle_through(a: Point, b: Point, c: Point) -> Point | None:
    """The middle of the circle through three points; None where they lie on a line, to 1 nm in the middle of it."""
    twice = 2 * _cross(a, b, c)
    if abs(twice) < 2e-6 * math.dist(a, c) or abs(twice) < 1e-12:
        return None
    bx, by, cx, cy = b[0] - a[0], b[1] - a[1], c[0] - a[0], c[1] - a[1]
    square_b, square_c = bx * bx + by * by, cx * cx + cy * cy
    return a[0] + (cy * square_b - by * square_c) / twice, a[1] + (bx * square_c - cx * square_b) / twice


def _directions(course: Course, pieces: dict[int, Clothoid]) -> dict[tuple[int, bool], float]:
    """The direction, radians, with which the curve comes to a point (index, False) and goes on from it (index, True),
    where it is known."""
    found: dict[tuple[int, bool], float] = {}
    n = len(course.points)
    for index, piece in pieces.items():
        found[index, True] = piece.direction
        found[(index + 1) % n, False] = piece.direction + piece.turn
    corners = {number - 1 for number in course.corners}
    for index in range(n):
        if index not in corners:
            for side in (True, False):
                if (index, side) in found and (index, not side) not in found:
                    found[index, not side] = found[index, side]
    for number, degrees in course.directions:
        known_there = [side for side in (True, False) if (number - 1, side) in found]
        # Beside a straight or an arc the direction at a corner is that of the smooth piece.
        if number - 1 in corners and len(known_there) == 1:
            found[number - 1, not known_there[0]] = math.radians(degrees)
            continue
        if number - 1 in corners:
            raise CurveError(
                f"point {number} has a direction and is a corner", fix="remove one: a corner has two directions"
            )
        for side in (True, False):
            known = found.get((number - 1, side))
            if known is not None and abs(math.degrees(wrapped(known - math.radians(degrees)))) > OFF_STRAIGHT:
                raise CurveError(
                    f"the direction of point {number} is {degrees:g} degrees, but the piece beside it runs at "
                    f"{math.degrees(wrapped(known)):.4g} degrees",
                    fix="remove the direction: the curve takes that of a straight or an arc beside it",
                )
            found.setdefault((number - 1, side), math.radians(degrees))
    return found


def runs_of(course: Course, pieces: dict[int, Clothoid]) -> list[SplineRun]:
    """What is spline between straights, arcs, corners and given directions."""
    n = len(course.points)
    given = _directions(course, pieces)
    cuts = sorted({number - 1 for number in course.corners} | {index for index, _ in given})
    if course.closed and not cuts:
        return [SplineRun(Chain(np.array(course.points), closed=True), 0, n)]
    cuts = [*cuts, cuts[0] + n] if course.closed else sorted({0, n - 1, *cuts})
    found = []
    for a, b in pairwise(cuts):
        if a % n not in pieces:
            points = np.array([course.at(i) for i in range(a, b + 1)])
            found.append(SplineRun(Chain(points, False, given.get((a % n, True)), given.get((b % n, False))), a, b))
    return found


def settled_run(course: Course, run: SplineRun) -> Solved:
    """The spline of a run at rest. Raises `CurveError`."""
    _check_turns(course, run)
    found = settle(run.chain)
    if isinstance(found, int):
        number = (run.first + found) % len(course.points) + 1
        raise CurveError(
            f"no smooth curve was found through point {number}",
            fix=f"measure another point beside it, or add {number} to `corners`",
        )
    return found


def _check_turns(course: Course, run: SplineRun) -> None:
    """Raises `CurveError` where the chords turn too far for a smooth curve."""
    index, turn = _sharpest(course, run)
    if abs(math.degrees(turn)) <= MOST_TURN:
        return
    number = index % len(course.points) + 1
    degrees = dict(course.directions).get(number)
    if degrees is not None:
        back = math.degrees(wrapped(math.radians(degrees) + math.pi))
        raise CurveError(
            f"the direction of point {number}, {degrees:g} degrees, turns {abs(math.degrees(turn)):.0f} degrees away "
            "from the next point",
            fix=f"directions point along the curve, from point 1 on: did you mean {back:g} degrees?",
        )
    raise CurveError(
        f"point {number} turns by {abs(math.degrees(turn)):.0f} degrees: is it a corner?",
        fix=f"add {number} to `corners`, or measure another point beside it",
    )


def sharp_turns(course: Course) -> list[tuple[int, float]]:
    """Points that are no corners at which the chords turn further than `SHARP_TURN`: number, degrees."""
    found = []
    for run in runs_of(course, told_pieces(course)):
        index, turn = _sharpest(course, run)
        number = index % len(course.points) + 1
        if abs(math.degrees(turn)) > SHARP_TURN and number not in dict(course.directions):
            found.append((number, abs(math.degrees(turn))))
    return found


def _sharpest(course: Course, run: SplineRun) -> tuple[int, float]:
    """The index of the point of a run at which the chords turn furthest, and by how much, radians."""
    (_, closed, first, last), a, b = run
    ways = [_way(course.at(i), course.at(i + 1)) for i in range(a, b)]
    turns = [(a + i + 1, wrapped(after - before)) for i, (before, after) in enumerate(pairwise(ways))]
    if closed:
        turns.append((a, wrapped(ways[0] - ways[-1])))
    if first is not None:
        turns.append((a, wrapped(ways[0] - first)))
    if last is not None:
        turns.append((b, wrapped(last - ways[-1])))
    return max(turns, key=lambda one: abs(one[1]), default=(0, 0.0))


def _way(a: Point, b: Point) -> float:
    return math.atan2(b[1] - a[1], b[0] - a[0])


def _check_piece(course: Course, index: int, piece: Clothoid) -> None:
    """Raises `CurveError` for a piece that strays further from its chord than the chord is long."""
    start, end = course.at(index), course.at(index + 1)
    chord = math.dist(start, end)
    points: Sequence[Sequence[float]] = Curve((piece,)).points(chord / 100).tolist()
    if max(abs(_cross(start, end, (x, y))) / chord for x, y in points) > chord:
        one, other = index % len(course.points) + 1, (index + 1) % len(course.points) + 1
        raise CurveError(
            f"between points {one} and {other} the curve strays further than they are apart",
            fix="measure another point between them",
        )
