"""Points of a curve that come and go in the text of a job file, with the numbers by which other keys name them. Pure:
from text to text, every other byte as it is.

Points are told by their numbers, the first is 1; a place in their list counts from 0. All raise EditError, with the
fix, for what cannot be done, and JobError for a text that cannot be read.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

from decalgen.job.blocks import inserted, moved
from decalgen.job.edits import add_value, remove_value, set_value
from decalgen.job.splices import BY_HAND, EditError, Path, inside, values
from decalgen.job.written import ShortList, YamlValue

STRAIGHTS = "straights"
ARCS = "arcs"
_LISTS = ("corners", STRAIGHTS, ARCS)
_DIRECTIONS = "directions"
_LEAST = 2


class _Named(NamedTuple):
    """The number of a point where a key names it; ``entry``: what goes when the point does."""

    number: int
    path: Path
    entry: Path


def with_point(text: str, at: Path, place: int, point: tuple[str, str], closed: bool) -> str:
    """The text with one more point in the list at a path, at a ``place`` from 0; ``closed``: the curve returns to its
    first point. A point on a straight piece makes two straights of it."""
    body, count = _body(text, at)
    named = _named(body, at[:-1])
    before = place if place or not closed else count
    arcs = [one.number for one in named[ARCS]]
    if any(before in (first, _after(first, count, closed)) for first in arcs):
        raise EditError(f"the piece after point {before} is an arc through three points", fix=_first_arc(arcs, before))
    for one in (one for found in named.values() for one in found if one.number > place):
        text = set_value(text, one.path, str(one.number + 1))
    straights = named[STRAIGHTS]
    between = closed or 0 < place < count
    if between and any(one.number == before for one in straights):
        text = _listed(text, (*at[:-1], STRAIGHTS), str(before + 1))
    new = ShortList(point)
    if place:
        return inserted(text, (*at, count), new, place - 1)
    return moved(inserted(text, (*at, count), new, 0), (*at, 1), -1)


def without_point(text: str, at: Path, place: int, closed: bool) -> str:
    """The text without a point of the list at a path, and without what is said of that point alone."""
    (body, count), number = _body(text, at), place + 1
    if count <= _LEAST:
        raise EditError("a curve has two points at least", fix="delete the shape instead")
    named = _named(body, at[:-1])
    arcs = [one.number for one in named[ARCS]]
    for first in arcs:
        second = _after(first, count, closed)
        if number in (first, second, _after(second, count, closed)):
            raise EditError(f"point {number} is one of the three of an arc", fix=_first_arc(arcs, first))
    before = number - 1 or (count if closed else 0)
    straights = {one.number for one in named[STRAIGHTS]}
    # Two straights become one.
    ends = {number} if {before, number} <= straights else {before, number}
    gone = [
        one for key, found in named.items() for one in found if one.number in (ends if key == STRAIGHTS else {number})
    ]
    for one in (one for found in named.values() for one in found if one.number > number and one not in gone):
        text = set_value(text, one.path, str(one.number - 1))
    for one in reversed(gone):
        text = remove_value(text, one.entry)
    return remove_value(text, (*at, place))


def _body(text: str, at: Path) -> tuple[Mapping[str, Any], int]:
    """What has the list of points, and how many these are."""
    found = inside(values(text), at[:-1])
    return found, len(found[at[-1]])


def _named(body: Mapping[str, Any], path: Path) -> dict[str, list[_Named]]:
    """The numbers of points in each key that names some."""
    found = {key: list(_numbers(body.get(key), (*path, key), key)) for key in _LISTS}
    pairs = body.get(_DIRECTIONS) or []
    if not isinstance(pairs, list) or any(not isinstance(pair, list) for pair in pairs):
        raise _unreadable(_DIRECTIONS)
    at = (*path, _DIRECTIONS)
    found[_DIRECTIONS] = [
        _Named(_number(pair[0], _DIRECTIONS), (*at, n, 0), (*at, n)) for n, pair in enumerate(pairs) if pair
    ]
    return found


def _numbers(raw: Any, path: Path, key: str) -> Iterator[_Named]:
    if isinstance(raw, list):
        yield from (_Named(_number(one, key), (*path, n), (*path, n)) for n, one in enumerate(raw))
    elif raw is not None:
        yield _Named(_number(raw, key), path, path)


def _number(raw: Any, key: str) -> int:
    if not isinstance(raw, str) or not raw.strip().isdecimal():
        raise _unreadable(key)
    return int(raw)


def _unreadable(key: str) -> EditError:
    return EditError(f"`{key}` names points by more than their numbers", fix=BY_HAND)


def _after(number: int, count: int, closed: bool) -> int:
    """The number of the point after one."""
    return number % count + 1 if closed else number + 1


def _first_arc(arcs: list[int], near: int) -> str:
    first = near if near in arcs else near - 1
    return f"take {first if first in arcs else arcs[-1]} out of `arcs` first"


def _listed(text: str, path: Path, new: YamlValue) -> str:
    """The text with one more value in a list, which may be one value without brackets."""
    there = inside(values(text), path)
    if isinstance(there, list):
        return add_value(text, (*path, len(there)), new)
    return set_value(text, path, ShortList([there, new]))
