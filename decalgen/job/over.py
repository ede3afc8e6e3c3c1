"""Which decals are laid over which: every name is known, none lies over itself, and the order to apply them in."""

from __future__ import annotations

from collections.abc import Mapping as Dict
from collections.abc import Sequence

from decalgen.core.errors import Place, did_you_mean
from decalgen.job.examples import shown
from decalgen.job.model import Decal
from decalgen.job.nodes import Listing, Mapping, Scalar
from decalgen.job.problems import Problems
from decalgen.job.uses import NameUse


def check_over(group: Mapping, decals: Sequence[Decal], problems: Problems) -> None:
    """Notes what cannot stand after `over:`: an unknown decal, one of another panel, a round of decals of which each
    lies over the next. ``decals``: those of ``group`` that could be read; of the others there is a note already."""
    names = [key.text for key, _ in group.entries]
    known = {decal.name: decal for decal in decals}
    sound = True
    for decal in decals:
        _note_uses(group, decal, problems)
        for name in decal.over:
            place = _place(group, decal)
            if name not in names:
                rest = [one for one in names if one != decal.name]
                problems.add(f"there is no decal '{shown(name)}' to lie over", place, did_you_mean(name, rest))
                sound = False
            elif name in known and known[name].panel != decal.panel:
                problems.add(
                    f"'{shown(name)}' is on panel '{known[name].panel}', '{shown(decal.name)}' on '{decal.panel}': "
                    "neither lies over the other",
                    place,
                    "leave it out of `over`, or put both on one panel",
                )
                sound = False
    if sound and (ring := _ring({decal.name: decal.over for decal in decals})):
        words = " over ".join(f"'{shown(name)}'" for name in ring)
        problems.add(
            f"decals cannot be applied in a ring: {words}",
            _place(group, known[ring[0]]),
            "remove one of them from `over`",
        )


def below(decals: Sequence[Decal]) -> dict[str, frozenset[str]]:
    """By its name all decals that a decal lies over, directly or by way of others."""
    direct = {decal.name: decal.over for decal in decals}
    found: dict[str, frozenset[str]] = {}
    for name in direct:
        seen: set[str] = set()
        todo = list(direct[name])
        while todo:
            one = todo.pop()
            if one not in seen:
                seen.add(one)
                todo += direct.get(one, ())
        found[name] = frozenset(seen)
    return found


def application_order(decals: Sequence[Decal]) -> tuple[Decal, ...]:
    """The decals as they are applied: each after those it lies over, else as the job lists them."""
    under = below(decals)
    left = list(decals)
    found: list[Decal] = []
    while left:
        waiting = {decal.name for decal in left}
        first = next(decal for decal in left if not under[decal.name] & waiting)
        left.remove(first)
        found.append(first)
    return tuple(found)


def application_turns(decals: Sequence[Decal]) -> dict[str, int]:
    """By its name when each decal is applied, from 0."""
    return {decal.name: turn for turn, decal in enumerate(application_order(decals))}


def _ring(over: Dict[str, Sequence[str]]) -> list[str]:
    """A way from a decal back to itself, it at both ends; none: []."""
    for start in over:
        ways = [[start]]
        seen: set[str] = set()
        while ways:
            way = ways.pop(0)
            for name in over.get(way[-1], ()):
                if name == start:
                    return [*way, start]
                if name not in seen:
                    seen.add(name)
                    ways.append([*way, name])
    return []


def _note_uses(group: Mapping, decal: Decal, problems: Problems) -> None:
    """Notes where the names after `over:` are, where that is asked for."""
    node = group.get(decal.name)
    value = node.get("over") if isinstance(node, Mapping) else None
    if problems.uses is not None and value is not None:
        items = value.items if isinstance(value, Listing) else (value,)
        named = [one for one in items if isinstance(one, Scalar) and one.text in decal.over]
        problems.uses += [NameUse("decal", "", one.text, one) for one in named]


def _place(group: Mapping, decal: Decal) -> Place | None:
    """Where `over` stands in a decal."""
    node = group.get(decal.name)
    value = node.get("over") if isinstance(node, Mapping) else None
    return value.place if value is not None else decal.place
