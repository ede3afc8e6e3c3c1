"""Arcs in pieces of less than a turn, as drawings and cutting files need them."""

from __future__ import annotations

import math

from decalgen.core.geometry import Point, Segment


def sweep_of(segment: Segment) -> tuple[float, Point]:
    """Angle an arc turns by (radians, anticlockwise positive; a full turn if it ends at its start), and its
    middle.
    """
    cx, cy = segment.centre or (0.0, 0.0)
    radius = math.dist(segment.start, (cx, cy))
    a = math.atan2(segment.start[1] - cy, segment.start[0] - cx)
    b = math.atan2(segment.end[1] - cy, segment.end[0] - cx)
    if segment.anticlockwise and b <= a + 1e-12:
        b += 2 * math.pi
    if not segment.anticlockwise and b >= a - 1e-12:
        b -= 2 * math.pi
    middle = (a + b) / 2
    return b - a, (cx + radius * math.cos(middle), cy + radius * math.sin(middle))


def half_turns(segment: Segment) -> tuple[Segment, ...]:
    """The arc, or its two halves if it turns by a half turn or more: no reader can take one for the other way
    round.
    """
    sweep, middle = sweep_of(segment)
    if abs(sweep) < math.pi * 0.999:
        return (segment,)
    return (
        Segment(segment.start, middle, segment.centre, segment.anticlockwise),
        Segment(middle, segment.end, segment.centre, segment.anticlockwise),
    )


def bulge(segment: Segment) -> float:
    """A quarter of the angle's tangent, as DXF says how far a side of a polyline bends out to its right."""
    return 0.0 if segment.centre is None else math.tan(sweep_of(segment)[0] / 4)
