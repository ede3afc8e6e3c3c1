"""The kinds of panel and of obstacle by name, and which of them the keys in a job file mean."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cache
from typing import Any

from decalgen.core.errors import did_you_mean
from decalgen.core.keys import specs
from decalgen.panels.base import PanelError
from decalgen.panels.kinds import PanelKind
from decalgen.panels.obstacles import OBSTACLES, ObstacleKind

APART = frozenset({"kind", "obstacles", "note", "hand", "hands", "title", "free"})
"""Keys that may stand beside the readings and say nothing about the kind."""


@cache
def kinds() -> dict[str, type[PanelKind]]:
    """All kinds of panel by name."""
    from decalgen.panels.cone import Cone
    from decalgen.panels.cylinder import Cylinder
    from decalgen.panels.dome import Dome
    from decalgen.panels.edge import EdgeWrap
    from decalgen.panels.flat import Flat, Tapered
    from decalgen.panels.free import FreeOutline
    from decalgen.panels.leaning import Leaning
    from decalgen.panels.prototype import Prototype

    found: tuple[type[PanelKind], ...] = (
        Flat,
        Tapered,
        FreeOutline,
        Cylinder,
        Cone,
        EdgeWrap,
        Leaning,
        Dome,
        Prototype,
    )
    return {kind.name: kind for kind in found}


@cache
def obstacle_kinds() -> dict[str, type[ObstacleKind]]:
    """All kinds of obstacle by name, which is also the key that tells them apart."""
    return {kind.name: kind for kind in OBSTACLES}


def find(name: str) -> type[PanelKind]:
    """The kind of that name. Raises `PanelError` with the nearest one."""
    known = kinds()
    if name not in known:
        raise PanelError(f"there is no kind of panel '{name}'", fix=did_you_mean(name, list(known)))
    return known[name]


def kind_for(keys: Iterable[str], kind: str | None = None) -> type[PanelKind]:
    """The kind that these keys of a job file make, or the one named. A misspelt key is read as the nearest one,
    so that the complaint about it can name its place. Raises `PanelError`, with the fix, where no kind or more
    than one answers."""
    if kind is not None:
        return find(kind)
    given = frozenset(keys) - APART
    if not given:
        raise PanelError("the panel has no readings", fix=_ways())
    # The nearest keys only where the keys as they stand make nothing: looking at all of them takes its time.
    for tried in (given if as_is else _spelt(given) for as_is in (True, False)):
        fits = _fitting(tried)
        if len(fits) == 1:
            _refuse_mixture(tried, fits[0])
            return fits[0]
        if fits:
            names = " or ".join(f"'kind: {found.name}'" for found in fits)
            raise PanelError(f"these readings make more than one kind of panel: {_listed(given)}", fix=f"add {names}")
    raise PanelError(f"these readings make no panel: {_listed(given)}", fix=_nearest(_spelt(given)))


def obstacle_for(keys: Iterable[str]) -> type[ObstacleKind]:
    """The kind of obstacle that these keys make. Raises `PanelError`."""
    given = frozenset(keys)
    known = obstacle_kinds()
    named = [known[key] for key in known if key in given]
    if len(named) == 1:
        return named[0]
    if not named:
        from difflib import get_close_matches

        spelt = {near[0] for key in given if (near := get_close_matches(key, list(known), n=1, cutoff=0.7))}
        if len(spelt) == 1:
            return known[spelt.pop()]
    what = f"it has {_listed(given)}" if given else "it is empty"
    raise PanelError(
        f"an obstacle is one of {', '.join(known)}; {what}",
        fix="for example: {rectangle: [3.0 mm, 0.8 mm], at: [16 mm, 8 mm]}",
    )


def _keys(kind: Any) -> frozenset[str]:
    return frozenset(spec.key for spec in specs(kind))


def _fitting(given: frozenset[str]) -> list[type[PanelKind]]:
    """The kinds of which a whole combination is given, least strange keys first; only the best of them."""
    found = [kind for kind in kinds().values() if any(need <= given for need in kind.needs)]
    if len(found) == 1:
        return found
    strange = [len(given - _keys(kind)) for kind in found]
    return [kind for kind, count in zip(found, strange, strict=True) if count == min(strange)]


def _refuse_mixture(given: frozenset[str], kind: type[PanelKind]) -> None:
    """A reading that only other kinds take would be lost: raises `PanelError` rather than guess."""
    strange = given - _keys(kind)
    ways = [(other.name, need) for other in kinds().values() for need in other.needs if need & strange]
    if not ways:
        return
    name, need = max(ways, key=lambda way: (len(way[1] & given), -len(way[1] - given)))
    raise PanelError(
        f"a panel of kind {kind.name} takes no {_listed(strange)}",
        fix=f"leave that out, or give {_listed(need)} for one of kind {name}",
    )


def _spelt(given: frozenset[str]) -> frozenset[str]:
    """The keys, each misspelt one as the nearest known."""
    from difflib import get_close_matches

    known = sorted({key for kind in kinds().values() for key in _keys(kind)})
    spelt = set()
    for key in given:
        near = [key] if key in known else get_close_matches(key, known, n=1, cutoff=0.7)
        spelt.add(near[0] if near else key)
    return frozenset(spelt)


def _nearest(given: frozenset[str]) -> str:
    """What is missing for the kind that most of the keys belong to."""
    ways: Mapping[tuple[str, frozenset[str]], tuple[int, int]] = {
        (kind.name, need): (len(need & given), -len(need - given)) for kind in kinds().values() for need in kind.needs
    }
    (name, need), (shared, _) = max(ways.items(), key=lambda way: way[1])
    if not shared:
        return _ways()
    return f"a panel of kind {name} needs {_listed(need)}; add {_listed(need - given)}"


def _ways() -> str:
    return "give for example " + "; or ".join(
        f"{', '.join(sorted(kind.needs[0]))} ({kind.name})" for kind in kinds().values()
    )


def _listed(keys: Iterable[str]) -> str:
    return ", ".join(sorted(keys)) or "nothing"
