"""The keys of a curve through measured points, which several shapes have, and the curve that they tell."""

from __future__ import annotations

import math
from functools import lru_cache
from typing import TYPE_CHECKING, Annotated, Protocol

from decalgen.core import keys
from decalgen.core.geometry import Point
from decalgen.shapes.base import ShapeError
from decalgen.shapes.pieces import EDGE

if TYPE_CHECKING:
    from decalgen.core.curves.course import Course
    from decalgen.core.curves.curve import Curve

ASLANT = 0.02
"""A line that meets a side at a smaller angle, radians, does not run on over it."""
_POINT = keys.Count(most=500)

POINTS = keys.Many(
    "the points it runs through in order, each as x, y",
    of=keys.Two("x, y", of=keys.Length()),
    least=2,
    most=500,
    example=(("0 mm", "0 mm"), ("6 mm", "2 mm"), ("12 mm", "0 mm"), ("6 mm", "-3 mm")),
)
CurveCorners = Annotated[
    tuple[int, ...], keys.Many("numbers of the points where it may turn sharply", of=_POINT, example=("2",))
]
CurveDirections = Annotated[
    tuple[tuple[float, float], ...],
    keys.Many(
        "its direction at points, each as number of the point, degrees anticlockwise from the right",
        of=keys.Two("point, degrees", of=keys.Number(least=-360, most=500, angle=True)),
        example=(("1", "-45"),),
    ),
]
CurveStraights = Annotated[
    tuple[int, ...],
    keys.Many("numbers of the points from which it runs straight to the next", of=_POINT, example=("1",)),
]
CurveArcs = Annotated[
    tuple[int, ...],
    keys.Many(
        "numbers of the points from which it is an arc, through the next point to the one after",
        of=_POINT,
        example=("1",),
    ),
]
CurveWithin = Annotated[
    float | None,
    keys.Size(
        "± of the points: each is moved by no more, so that the curve bends evenly; if left out, none is moved",
        most=5.0,
        spread=True,
    ),
]


class Coursed(Protocol):
    """A shape that has these keys."""

    @property
    def points(self) -> tuple[Point, ...]:
        """The points it runs through."""
        ...

    @property
    def corners(self) -> tuple[int, ...]:
        """Points where it may turn sharply."""
        ...

    @property
    def directions(self) -> tuple[tuple[float, float], ...]:
        """Its direction at points."""
        ...

    @property
    def straights(self) -> tuple[int, ...]:
        """Points from which it runs straight."""
        ...

    @property
    def arcs(self) -> tuple[int, ...]:
        """Points from which it is an arc."""
        ...

    @property
    def within(self) -> float | None:
        """± of the points."""
        ...

    @property
    def is_closed(self) -> bool:
        """Whether it returns to its first point."""
        ...


def curve_of(drawn: Coursed) -> Curve:
    """The curve in the coordinates of its points. Raises `ShapeError`."""
    return _found(course_of(drawn), drawn.within)[0]


def moves_of(drawn: Coursed) -> tuple[float, ...]:
    """How far each of its points was moved, mm, to the left as it runs. Raises `ShapeError`."""
    return _found(course_of(drawn), drawn.within)[1]


def course_of(drawn: Coursed) -> Course:
    """Its points and what is known of the curve there. Raises `ShapeError`."""
    from decalgen.core.curves.course import Course

    for number, _ in drawn.directions:
        if number != int(number):
            raise ShapeError(f"{number:g} is not the number of a point", "write the number of the point, then degrees")
    known = tuple((int(number), degrees) for number, degrees in drawn.directions)
    return Course(drawn.points, drawn.is_closed, drawn.corners, known, drawn.straights, drawn.arcs)


@lru_cache(maxsize=64)
def _found(course: Course, within: float | None) -> tuple[Curve, tuple[float, ...]]:
    """The curve, and how far its points were moved."""
    from decalgen.core.curves.course import CurveError, curve_through

    try:
        if within is None:
            return curve_through(course), ()
        from decalgen.core.curves.within import smoothed_curve

        smooth = smoothed_curve(course, within)
        return smooth.curve, smooth.moved
    except CurveError as error:
        raise ShapeError(error.message, error.fix) from None


def outward_ends(curve: Curve, width: float, height: float) -> tuple[bool, bool]:
    """Whether its start and its end lie on a side of a box from the origin and it runs out over it there."""
    start, end = curve.pieces[0], curve.pieces[-1]
    return (
        _leaves((start.x, start.y), start.direction + math.pi, width, height),
        _leaves(curve.end, end.direction + end.turn, width, height),
    )


def _leaves(at: Point, way: float, width: float, height: float) -> bool:
    (x, y), dx, dy = at, math.cos(way), math.sin(way)
    inside = -EDGE <= x <= width + EDGE and -EDGE <= y <= height + EDGE
    over = (
        (x <= EDGE and dx < -ASLANT)
        or (x >= width - EDGE and dx > ASLANT)
        or (y <= EDGE and dy < -ASLANT)
        or (y >= height - EDGE and dy > ASLANT)
    )
    return inside and over
