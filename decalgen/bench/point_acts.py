"""What is done with the points of a curve on Draw: moved by hand, added where the drawing is clicked, deleted."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any

from shapely.geometry import LineString
from shapely.geometry import Point as Spot

from decalgen.artwork.build import hands
from decalgen.bench.blanks import asked_path
from decalgen.bench.come_to import is_plain
from decalgen.bench.desk import Edit, StaleError, value_at
from decalgen.bench.edge_sides import follow_side
from decalgen.bench.own_shapes import SHAPE_DEPTH
from decalgen.bench.readable import readable_job
from decalgen.bench.snapping import STEP_MM
from decalgen.bench.traced import SeenFrom, TracedShape, own_shift, traced_shapes
from decalgen.core.geometry import Point
from decalgen.job.curve_points import with_point, without_point
from decalgen.job.edits import EditError, set_value, values
from decalgen.job.key_order import added
from decalgen.job.model import Decal
from decalgen.shapes.coursed import curve_of

if TYPE_CHECKING:
    from decalgen.bench.workplace import Workplace

FARTHEST_MM = 10_000.0


def move_point(place: Workplace, asked: Mapping[str, Any]) -> None:
    """Moves a point: ``at``: the list; ``number`` from 0; ``hand``, ``dx`` and ``dy``, mm as seen on that hand;
    ``was``: its two texts as they were seen. What it is not moved in stays as it is written. Raises StaleError where it
    is another by now, EditError, DecalgenError."""
    one = _traced(place, asked)
    number = _number(one, asked)
    steps = _length(asked, "dx") * _framed(one).way, _length(asked, "dy")
    there, point = one.raw[number], one.course.points[number]
    seen = asked.get("was", there)
    edits = [
        Edit("set", (*one.at, number, way), _mm(point[way] + step), there[way])
        for way, step in enumerate(steps)
        if abs(step) >= STEP_MM / 2
    ]
    label = f"point {number + 1} of {one.at[1]}"
    if seen != there:
        way = next((way for way in (0, 1) if not isinstance(seen, list) or seen[way : way + 1] != [there[way]]), 0)
        mine = next((edit for edit in edits if edit.at[-1] == way), None)
        if mine is None:
            raise EditError(f"point {number + 1} was moved meanwhile", fix="look at it, then move it again")
        was = seen[way] if isinstance(seen, list) and len(seen) > way else None
        raise StaleError(Edit("set", mine.at, mine.to, was), there[way], edits, label)
    if edits:
        place.desk.edit(place.desk.version, edits, label, str(asked.get("key", ""))[:200])


def add_point(place: Workplace, asked: Mapping[str, Any]) -> None:
    """One more point: ``at``: the list; ``hand``, ``x`` and ``y``, mm on the panel as seen on that hand: between two
    points where it is nearest to the curve between them, or beyond an end; or ``after`` a point, from 0, midway to
    the next. ``was``: the list as it was seen. Raises EditError, DecalgenError."""
    one = _unchanged(place, asked)
    if asked.get("after") is not None:
        number = _number(one, asked, "after")
        spot, where = _midway(one, number), number + 1
    else:
        spot = _framed(one).own((_length(asked, "x"), _length(asked, "y")))
        where = _between(one, spot)
    new, at, closed = (_mm(spot[0]), _mm(spot[1])), one.at, one.course.is_closed
    make = _on(one, lambda text: with_point(text, at, where, new, closed))
    place.desk.remake(f"new point {where + 1} of {at[1]}", make)


def delete_point(place: Workplace, asked: Mapping[str, Any]) -> None:
    """Takes a point away: ``at``: the list; ``number`` from 0; ``was``: the list as it was seen. Raises EditError,
    DecalgenError."""
    one = _unchanged(place, asked)
    number = _number(one, asked)
    at, closed = one.at, one.course.is_closed
    make = _on(one, lambda text: without_point(text, at, number, closed))
    place.desk.remake(f"point {number + 1} of {at[1]} deleted", make)


def lay_by_points(place: Workplace, asked: Mapping[str, Any]) -> None:
    """Lays a shape by its points, measured from the lower left corner of the decal, where it lies now; so none moves
    while another is moved. Raises EditError, DecalgenError."""
    one = _unchanged(place, asked)
    if not one.placed_by_size:
        return
    name, shift = str(one.at[1]), own_shift(_decal(place, one.at[1]), one.element)
    body = one.at[:SHAPE_DEPTH]

    def make(text: str) -> str:
        there = value_at(values(text), body)
        for number, pair in enumerate(one.raw):
            for way in (0, 1):
                to = _shifted(pair[way], one.course.points[number][way], shift[way])
                if to != pair[way]:
                    text = set_value(text, (*one.at, number, way), to)
        key = (*body, "in place")
        return set_value(text, key, "yes") if "in place" in there else added(text, key, "yes")

    place.desk.remake(f"{one.at[4]} of {name} laid by its points", _on(one, make))


POINT_ACTS = {
    "move_point": move_point,
    "add_point": add_point,
    "delete_point": delete_point,
    "lay_by_points": lay_by_points,
    "follow_side": follow_side,
}
"""What is done with points and sides, by name."""


# ------------------------------------------------------------------------------------------------------ what is meant
def _traced(place: Workplace, asked: Mapping[str, Any]) -> TracedShape:
    """The shape whose points are meant, as it is seen on the hand that is meant. Raises EditError where it is gone."""
    at = asked_path(asked.get("at"))
    decal = _decal(place, at[1] if len(at) > 1 else "")
    group, hand = value_at(place.desk.values, at[:2]), str(asked.get("hand", ""))
    here = next((one for one in hands(decal) if one == hand), hands(decal)[0])
    found = traced_shapes(readable_job(place), decal, group, here) if isinstance(group, dict) else ()
    one = next((one for one in found if one.at == at), None)
    if one is None:
        raise EditError("those points are not there any more", fix="look at the page again")
    return one


def _unchanged(place: Workplace, asked: Mapping[str, Any]) -> TracedShape:
    """The same, where its points are still those that were seen. Raises EditError where they are not."""
    one = _traced(place, asked)
    _check_same(one, asked.get("was", one.raw))
    return one


def _check_same(one: TracedShape, points: object) -> None:
    if points != one.raw:
        raise EditError("the points were changed meanwhile", fix="look at them, then do it again")


def _on(one: TracedShape, make: Callable[[str], str]) -> Callable[[str], str]:
    """A change of a text that has the points that were seen; an editor may have changed all else."""

    def made(text: str) -> str:
        _check_same(one, value_at(values(text), one.at))
        return make(text)

    return made


def _decal(place: Workplace, name: Any) -> Decal:
    found = next((one for one in readable_job(place).decals if one.name == name), None)
    if found is None:
        raise EditError(f"there is no decal '{name}'", fix="look at the page again")
    return found


def _number(one: TracedShape, asked: Mapping[str, Any], key: str = "number") -> int:
    """Which of the points is meant, from 0. Raises EditError where there are not so many."""
    found = asked.get(key)
    if not isinstance(found, int) or isinstance(found, bool) or found < 0:
        raise EditError("that cannot be read", fix="load the page again")
    if found >= len(one.raw):
        raise EditError(f"there is no point {found + 1} any more", fix="look at the page again")
    return found


def _length(asked: Mapping[str, Any], key: str) -> float:
    found = asked.get(key)
    if not isinstance(found, int | float) or not math.isfinite(found):
        raise EditError("that cannot be read", fix="load the page again")
    if abs(found) > FARTHEST_MM:
        raise EditError("that is too far", fix="stay on the panel")
    return float(found)


# ---------------------------------------------------------------------------------------------------- where points lie
def _framed(one: TracedShape) -> SeenFrom:
    if one.frame is None:
        raise EditError("these points are not on the drawing", fix="type them beside it")
    return one.frame


def _along(one: TracedShape) -> tuple[LineString, list[float]]:
    """The curve, and how far along it each of its points lies."""
    line = LineString(curve_of(one.course).points())
    found = [line.project(Spot(point)) for point in one.course.points]
    return line, [0.0, *found[1:]] if one.course.is_closed else found


def _between(one: TracedShape, spot: Point) -> int:
    """The place from 0 of a new point: after those that the curve runs through before it comes nearest to the spot."""
    line, along = _along(one)
    there = float(line.project(Spot(spot)))
    if not one.course.is_closed and not 0 < there < line.length:
        return 0 if there <= 0 else len(along)
    return max(1, sum(one <= there for one in along))


def _midway(one: TracedShape, number: int) -> Point:
    """Midway along the curve from a point to the next; beyond the last of an open curve, half as far as to that
    before it."""
    points = one.course.points
    if number == len(points) - 1 and not one.course.is_closed:
        (x0, y0), (x1, y1) = points[-2:]
        return x1 + (x1 - x0) / 2, y1 + (y1 - y0) / 2
    line, along = _along(one)
    along.append(line.length)
    middle = line.interpolate((along[number] + along[number + 1]) / 2)
    return middle.x, middle.y


def _shifted(text: str, value: float, by: float) -> str:
    """A length that is so much more, to a step: an expression stays one."""
    if is_plain(text.strip()):
        return _mm(value + by) if abs(by) >= STEP_MM / 2 else text
    rounded = round(by / STEP_MM) * STEP_MM
    if abs(rounded) < STEP_MM / 2:
        return text
    if text.strip().startswith("<"):
        raise EditError(f"`{text}` stands for a value", fix="write its name in the point, without < and >")
    return f"{text} {'+' if by > 0 else '-'} {_mm(abs(rounded))}"


def _mm(value: float) -> str:
    return f"{round(value / STEP_MM) * STEP_MM + 0.0:.2f} mm"
