"""What a shape is made to say: several of its keys at once, as one step."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from decalgen.bench.blanks import typed_value
from decalgen.bench.desk import Edit, path_words, value_at
from decalgen.bench.own_shapes import SHAPE_DEPTH
from decalgen.core.errors import DecalgenError, JobError
from decalgen.job.edits import EditError, Path

if TYPE_CHECKING:
    from decalgen.bench.workplace import Workplace


def say(place: Workplace, asked: Mapping[str, Any]) -> None:
    """Fills in, changes and empties keys of one shape: ``at``: where it is; ``keys``: each with its ``at``, ``to`` as
    it was typed, '' to leave it out, and ``was``. Raises EditError, DecalgenError."""
    try:
        base: Path = tuple(asked["at"])
        wanted = [(tuple(one["at"]), str(one["to"]).strip(), one.get("was")) for one in asked["keys"]]
    except (KeyError, TypeError):
        raise EditError("that cannot be read", fix="load the page again") from None
    fine = len(base) == SHAPE_DEPTH and base[0] == "decals" and base[2] == "artwork"
    if not fine or not wanted or any(at[:SHAPE_DEPTH] != base or len(at) <= SHAPE_DEPTH for at, _, _ in wanted):
        raise EditError("that is not a key of a shape", fix="load the page again")
    try:
        edits = _edits(place, wanted)
    except JobError as error:
        first = error.problems[0]
        raise DecalgenError(first.message, fix=first.fix) from None
    place.desk.edit(place.desk.version, edits, f"{base[4]} of {base[1]}")


def _edits(place: Workplace, wanted: list[tuple[Path, str, Any]]) -> list[Edit]:
    """What is to be changed, a group that is new as a whole; what is added comes first, so that none gets empty."""
    whole = place.desk.values
    added: dict[Path, Any] = {}
    found: list[Edit] = []
    for at, typed, was in wanted:
        there = value_at(whole, at)
        if there != was:
            raise EditError(f"{path_words(at)} was changed meanwhile", fix="look at it, then send it again")
        if not typed:
            if there is not None:
                found.append(Edit("remove", at, None, was))
            continue
        to = typed_value(typed)
        if there is not None:
            found.append(Edit("set", at, to, was))
        elif len(at) == SHAPE_DEPTH + 1 or value_at(whole, at[:-1]) is not None:
            added[at] = to
        else:
            added.setdefault(at[:-1], {})[at[-1]] = to
    return [*(Edit("add", at, to) for at, to in added.items()), *found]
