"""Which remnants serve: the fewest, of those the smallest, of those the oldest. Pure."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from itertools import combinations

from decalgen.workshop.drawer.age import age
from decalgen.workshop.drawer.model import OwnedSheet

TRIES = 60
"""So many choices are tried by nesting; a drawer that needs more gets a choice that serves, not proven the smallest."""
SAME = 1.0
"""Free areas nearer than this, mm², count as the same, so that age decides."""


def choose(
    sheets: Sequence[OwnedSheet], needed: float, serves: Callable[[Sequence[OwnedSheet]], bool], tries: int = TRIES
) -> tuple[OwnedSheet, ...] | None:
    """The sheets to print on, oldest first; None where nothing in the drawer serves.

    ``needed``: the area of all pieces, mm²: choices with less film than that are not tried. ``serves`` nests on a
    choice and says whether everything found room.
    """
    ordered = sorted(sheets, key=lambda s: (round(s.free.area / SAME), age(s)))
    if sum(s.free.area for s in ordered) < needed or not ordered:
        return None
    left = tries
    for count in range(1, len(ordered) + 1):
        for chosen in _by_size(ordered, count, needed, left):
            left -= 1
            if serves(chosen):
                return _oldest_first(chosen)
        if left <= 0:
            break
    return _largest_first(ordered, serves)


def _by_size(ordered: Sequence[OwnedSheet], count: int, needed: float, most: int) -> Iterator[tuple[OwnedSheet, ...]]:
    """Choices of ``count`` sheets, the least film first, then the oldest; at most ``most`` of them."""
    if sum(s.free.area for s in ordered[-count:]) < needed or most <= 0:
        return
    # All pairs of a hundred sheets are few; beyond pairs only the larger sheets are worth combining.
    pool = ordered if count <= 2 else _largest(ordered)[:12]
    enough = [c for c in combinations(pool, count) if sum(s.free.area for s in c) >= needed]
    enough.sort(key=lambda c: (round(sum(s.free.area for s in c) / SAME), sorted(age(s) for s in c)))
    yield from enough[:most]


def _largest_first(
    ordered: Sequence[OwnedSheet], serves: Callable[[Sequence[OwnedSheet]], bool]
) -> tuple[OwnedSheet, ...] | None:
    chosen: list[OwnedSheet] = []
    for sheet in _largest(ordered):
        chosen.append(sheet)
        if serves(_oldest_first(chosen)):
            return _oldest_first(chosen)
    return None


def _largest(sheets: Sequence[OwnedSheet]) -> list[OwnedSheet]:
    return sorted(sheets, key=lambda s: (-round(s.free.area / SAME), age(s)))


def _oldest_first(sheets: Sequence[OwnedSheet]) -> tuple[OwnedSheet, ...]:
    return tuple(sorted(sheets, key=age))
