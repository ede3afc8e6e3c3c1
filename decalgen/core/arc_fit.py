"""Arcs found again in flattened curves: an outline of many short sides → one of few sides and arcs. Pure; mm.

Where geometry was cut, joined or grown, a curve comes out as its chords. A cutting machine follows arcs more smoothly
than chords, and its programs choke on thousands of them. A run of chords becomes one arc where all its corners lie on
a circle and no chord bulges away from it by more than a flattened curve may (`geometry.TOLERANCE`), with a fifth to
spare for where two curves were cut with each other. Corners stay where they are.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from decalgen.core.arrays import FloatArray
from decalgen.core.geometry import TOLERANCE, Outline, Point, Segment

OFF_MM = 1.2 * TOLERANCE
"""How far a corner, or the middle of a chord, may lie from the arc."""
LEAST_CHORDS = 3
"""Fewer chords are left as they are: any three points lie on a circle."""
HALF_TURN = math.pi * 1.000001
"""No arc turns further, so that none can be taken for the other way round."""


def with_arcs(outline: Outline) -> Outline:
    """The outline with runs of chords made arcs again; what is an arc already is kept as it is."""
    return Outline(tuple(chords_to_arcs(_from_a_corner(outline.segments))))


def chords_to_arcs(segments: Sequence[Segment]) -> list[Segment]:
    """Segments that follow each other with runs of chords made arcs again; what is an arc already is kept as it is."""
    found: list[Segment] = []
    at = 0
    while at < len(segments):
        if segments[at].centre is not None:
            found.append(segments[at])
            at += 1
            continue
        end = at
        while end < len(segments) and segments[end].centre is None:
            end += 1
        found += _arcs_along([segments[at].start, *(one.end for one in segments[at:end])])
        at = end
    return found


def _from_a_corner(segments: Sequence[Segment]) -> list[Segment]:
    """Begun behind the longest side, so that no arc is cut in two by where the list happens to begin."""
    longest = max(range(len(segments)), key=lambda i: math.dist(segments[i].start, segments[i].end))
    return [*segments[longest + 1 :], *segments[: longest + 1]]


def _arcs_along(points: list[Point]) -> list[Segment]:
    """Arcs, and chords where there are none, along an open run of chords."""
    array = np.asarray(points, dtype=np.float64)
    found: list[Segment] = []
    at = 0
    while at < len(points) - 1:
        end, arc = _longest_arc(array, points, at)
        if arc is None:
            found.append(Segment(points[at], points[at + 1]))
            at += 1
        else:
            found.append(arc)
            at = end
    return found


def _longest_arc(array: FloatArray, points: list[Point], start: int) -> tuple[int, Segment | None]:
    """Where the longest arc from a corner ends, and the arc; None where there is none."""
    end = start + LEAST_CHORDS
    best: tuple[int, Segment | None] = (start, None)
    centre: Point | None = None
    while end < len(points):
        part = array[start : end + 1]
        # The circle found so far bears where one curve was cut with another; a new one follows the curve on.
        fitting = next((one for one in (centre, _circle(part)) if one is not None and _lies_on(part, one)), None)
        if fitting is None:
            break
        centre = fitting
        best = (end, _arc(points[start], points[end], centre, part))
        end += 1
    return best


def _circle(part: FloatArray) -> Point | None:
    """The middle of the circle through the first, middle and last corner; None where they lie in line."""
    (ax, ay), (bx, by), (cx, cy) = part[0], part[len(part) // 2], part[-1]
    bx, by, cx, cy = bx - ax, by - ay, cx - ax, cy - ay
    twice = 2.0 * (bx * cy - by * cx)
    if abs(twice) < 1e-12:
        return None
    b, c = bx * bx + by * by, cx * cx + cy * cy
    return float(ax + (cy * b - by * c) / twice), float(ay + (bx * c - cx * b) / twice)


def _lies_on(part: FloatArray, centre: Point) -> bool:
    """Whether corners and middles of chords lie on the arc round a middle that is as far from both ends, and whether it
    runs one way and no further than half round."""
    away = part - np.asarray(_between(part, centre))
    radius = math.hypot(*away[0])
    middles = (away[1:] + away[:-1]) / 2
    off = max(
        float(np.abs(np.hypot(away[:, 0], away[:, 1]) - radius).max()),
        float(np.abs(np.hypot(middles[:, 0], middles[:, 1]) - radius).max()),
    )
    if off > OFF_MM:
        return False
    turns = np.arctan2(away[:-1, 0] * away[1:, 1] - away[:-1, 1] * away[1:, 0], (away[:-1] * away[1:]).sum(axis=1))
    return bool((turns > 0).all() or (turns < 0).all()) and abs(float(turns.sum())) <= HALF_TURN


def _between(part: FloatArray, centre: Point) -> Point:
    """A middle moved to where it is as far from the first corner as from the last."""
    (ax, ay), (bx, by) = part[0], part[-1]
    wide, high = bx - ax, by - ay
    square = wide * wide + high * high
    if square < 1e-18:
        return centre
    over = ((centre[0] - (ax + bx) / 2) * wide + (centre[1] - (ay + by) / 2) * high) / square
    return float(centre[0] - over * wide), float(centre[1] - over * high)


def _arc(start: Point, end: Point, centre: Point, part: FloatArray) -> Segment:
    x, y = _between(part, centre)
    first, second = part[0] - (x, y), part[1] - (x, y)
    return Segment(start, end, (x, y), bool(first[0] * second[1] - first[1] * second[0] > 0))
