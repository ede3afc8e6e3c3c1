"""A closed outline by its corners: rounded off, its sides bent into arcs or into smooth curves. Pure; mm."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

from decalgen.core.errors import DecalgenError
from decalgen.core.geometry import Outline, Point, Segment, segment_radius, signed_area

if TYPE_CHECKING:
    from decalgen.core.curves.curved import CurvedSides

SAME_MM = 1e-6
"""What is shorter or nearer is nothing."""


class RingError(DecalgenError):
    """Corners that no outline can be drawn through: what is wrong, and what to do about it."""

    exit_code = 2

    def __init__(self, message: str, fix: str) -> None:
        super().__init__(message, fix=fix)


def closed_ring(
    points: Sequence[Point],
    radii: Sequence[float] = (),
    rises: Sequence[float] = (),
    curved: CurvedSides | None = None,
) -> Outline:
    """A closed outline, anticlockwise, with its arcs. Raises `RingError`.

    ``radii``: one for each corner or one for all; ``rises``: one for each side (from its corner to the next) or one
    for all, mm, positive outward. Points given clockwise are turned round.
    """
    pts = [(float(x), float(y)) for x, y in points]
    n = len(pts)
    round_off, bent = each_of(radii, n, "radii", "corner"), each_of(rises, n, "rises", "side")
    if n < 2 or (n == 2 and not any(bent)):
        raise RingError("an outline needs at least three points", "give more points, or two and a rise")
    if any(math.dist(a, b) < SAME_MM for a, b in pairwise([*pts, pts[0]])):
        raise RingError("two points of the outline that follow each other are the same", "remove one of them")
    smooth = _smooth(pts, bent, curved) if curved else {}
    if signed_area(pts) < 0:
        pts, round_off = pts[::-1], round_off[::-1]
        bent = [*bent[-2::-1], bent[-1]]
        smooth = {(n - 2 - i) % n: [s.turned_round() for s in reversed(arcs)] for i, arcs in smooth.items()}
    straight = [not rise and i not in smooth for i, rise in enumerate(bent)]
    corners = [
        _corner(pts[i - 1], pts[i], pts[(i + 1) % n], round_off[i], straight[i - 1] and straight[i]) for i in range(n)
    ]
    segments: list[Segment] = []
    for i, (start, end, centre, left) in enumerate(corners):
        if centre is not None:
            segments.append(Segment(start, end, centre, left))
        after = corners[(i + 1) % n][0]
        along = (after[0] - end[0]) * (pts[(i + 1) % n][0] - pts[i][0]) + (after[1] - end[1]) * (
            pts[(i + 1) % n][1] - pts[i][1]
        )
        if along < -SAME_MM:
            raise RingError(
                f"the radii at two corners do not fit the side of {math.dist(pts[i], pts[(i + 1) % n]):g} mm between",
                "make the radii smaller",
            )
        if i in smooth:
            segments += smooth[i]
        elif math.dist(end, after) > 1e-9:
            segments.append(_side(end, after, bent[i]))
    return Outline(tuple(segments))


def _smooth(points: Sequence[Point], bent: Sequence[float], curved: CurvedSides) -> dict[int, Sequence[Segment]]:
    """The arcs of sides that bend smoothly, by the index of the side."""
    from decalgen.core.curves.course import CurveError
    from decalgen.core.curves.sides import smooth_sides

    for number in curved.sides:
        if number <= len(points) and bent[number - 1]:
            raise RingError(
                f"side {number} has a rise and is a curve", f"set its rise to 0, or remove {number} from `curves`"
            )
    try:
        found = smooth_sides(points, bent, curved)
    except CurveError as error:
        raise RingError(error.message, error.fix) from None
    return {number - 1: arcs for number, arcs in found.items()}


def each_of(values: Sequence[float], n: int, name: str, what: str) -> list[float]:
    """One value a corner or side, of which there are ``n``, where all have one or none is given. Raises `RingError`."""
    if len(values) == n:
        return list(values)
    if len(values) <= 1:
        return [*values, 0.0][:1] * n
    raise RingError(
        f"the outline has {n} {what}s but {len(values)} {name}", f"give one for each {what}, or one for all"
    )


def _side(start: Point, end: Point, rise: float) -> Segment:
    """A straight side, or the arc over it."""
    if abs(rise) < SAME_MM:
        return Segment(start, end)
    chord = math.dist(start, end)
    out = ((end[1] - start[1]) / chord, -(end[0] - start[0]) / chord)
    away = rise - segment_radius(chord, rise)
    centre = ((start[0] + end[0]) / 2 + out[0] * away, (start[1] + end[1]) / 2 + out[1] * away)
    return Segment(start, end, centre, rise > 0)


def _corner(
    before: Point, here: Point, after: Point, radius: float, straight: bool
) -> tuple[Point, Point, Point | None, bool]:
    """Where a rounded corner starts and ends, its centre, and whether it turns left."""
    if radius <= SAME_MM:
        return here, here, None, True
    if not straight:
        raise RingError("a corner beside a bent side cannot have a radius", "give that corner the radius 0")
    a, b = math.dist(before, here), math.dist(here, after)
    u = ((before[0] - here[0]) / a, (before[1] - here[1]) / a)
    v = ((after[0] - here[0]) / b, (after[1] - here[1]) / b)
    half = math.acos(max(-1.0, min(1.0, u[0] * v[0] + u[1] * v[1]))) / 2
    if half < 1e-6:
        raise RingError("the outline runs back on itself at a rounded corner", "give that corner the radius 0")
    if math.pi / 2 - half < 1e-9:
        return here, here, None, True
    reach, away = radius / math.tan(half), radius / math.sin(half)
    if reach > min(a, b) + SAME_MM:
        raise RingError(
            f"a corner radius of {radius:g} mm does not fit a side of {min(a, b):g} mm", "make the radius smaller"
        )
    middle = (u[0] + v[0], u[1] + v[1])
    size = math.hypot(*middle)
    start = (here[0] + u[0] * reach, here[1] + u[1] * reach)
    end = (here[0] + v[0] * reach, here[1] + v[1] * reach)
    centre = (here[0] + middle[0] / size * away, here[1] + middle[1] / size * away)
    return start, end, centre, u[0] * v[1] - u[1] * v[0] < 0
