"""What two texts that came of the same one make together, line by line, and where both changed the same lines. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from difflib import SequenceMatcher
from typing import Literal

from decalgen.core.values import dataclass

ChosenSide = Literal["", "mine", "theirs"]
"""Whose change holds where both changed the same; '' where nobody chose yet."""
_Change = tuple[int, int, str]
"""The lines that were taken out, from and up to, and the text that came for them."""


@dataclass(frozen=True)
class Clash:
    """A place that both changed. ``of``: what it is, such as 'line 5'; ``mine`` and ``theirs``: what each made of it,
    '' where it was taken out."""

    of: str
    mine: str
    theirs: str


@dataclass(frozen=True)
class Merged:
    """``text``: both changes; ``clashes``: where it holds only the chosen one, or neither."""

    text: str
    clashes: tuple[Clash, ...]


def merge(before: str, mine: str, theirs: str, choice: ChosenSide = "") -> Merged:
    """Both changes of a text. Where they touch the same lines the chosen one holds; without a choice, what was there
    before."""
    lines = before.splitlines(keepends=True)
    ours, others = _changes(lines, mine), _changes(lines, theirs)
    made: list[str] = []
    clashes: list[Clash] = []
    at, moved = 0, 0
    while ours or others:
        start, end, mine_here, theirs_here = _next(ours, others)
        made += lines[at:start]
        one, other = _with(lines, start, end, mine_here), _with(lines, start, end, theirs_here)
        if not mine_here or one == other:
            made.append(other)
        elif not theirs_here:
            made.append(one)
        else:
            clashes.append(Clash(_lines(start + moved + 1, other), one.rstrip("\r\n"), other.rstrip("\r\n")))
            made.append(one if choice == "mine" else other if choice == "theirs" else "".join(lines[start:end]))
        moved += len(other.splitlines()) - (end - start)
        at = end
    return Merged("".join([*made, *lines[at:]]), tuple(clashes))


def _changes(before: Sequence[str], after: str) -> list[_Change]:
    """What was changed, from the top down."""
    lines = after.splitlines(keepends=True)
    head = 0
    while head < min(len(before), len(lines)) and before[head] == lines[head]:
        head += 1
    tail = 0
    while tail < min(len(before), len(lines)) - head and before[-1 - tail] == lines[-1 - tail]:
        tail += 1
    # The words in the middle alone are compared: long texts are changed in few places.
    middle, there = before[head : len(before) - tail], lines[head : len(lines) - tail]
    found = SequenceMatcher(None, middle, there, autojunk=False).get_opcodes()
    return [
        (head + first, head + last, "".join(there[begin:end]))
        for kind, first, last, begin, end in found
        if kind != "equal"
    ]


def _next(ours: list[_Change], others: list[_Change]) -> tuple[int, int, list[_Change], list[_Change]]:
    """The next place that was changed, and all changes of each side that touch it; they are taken out of the lists."""
    sides = (ours, others)
    first = min((side for side in sides if side), key=lambda side: side[0][:2])
    start, end, _ = first[0]
    taken: tuple[list[_Change], list[_Change]] = ([], [])
    grown = True
    while grown:
        grown = False
        for side, mine in zip(sides, taken, strict=True):
            while side and _touch(side[0], start, end, bool(mine) or side is first):
                end = max(end, side[0][1])
                mine.append(side.pop(0))
                grown = True
    return start, end, *taken


def _touch(change: _Change, start: int, end: int, own: bool) -> bool:
    """Whether a change lies in some lines. What is put in between two lines touches both of them."""
    first, last, _ = change
    if first == last or start == end:
        return first <= end and last >= start
    return first < end or (own and first == start)


def _with(lines: Sequence[str], start: int, end: int, changes: Sequence[_Change]) -> str:
    """Some lines with one side's changes."""
    made: list[str] = []
    at = start
    for first, last, text in changes:
        made += [*lines[at:first], text]
        at = last
    return "".join([*made, *lines[at:end]])


def _lines(first: int, text: str) -> str:
    last = first + max(1, len(text.splitlines())) - 1
    return f"line {first}" if last == first else f"lines {first} to {last}"
