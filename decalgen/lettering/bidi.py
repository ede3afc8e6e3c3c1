"""Mixed text: which stretches of a line run which way, and in what order they stand. Pure.

The Unicode bidirectional algorithm (Unicode Standard Annex #9) for one line without embeddings, overrides and isolates,
whose controls lettering does not keep. Round, square and curly brackets are taken for pairs. Text without letters that
run from right to left is passed by at once.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence

from decalgen.core.values import dataclass

BRACKETS = {"(": ")", "[": "]", "{": "}"}

BLANK = ("WS", "S", "B")


@dataclass(frozen=True, slots=True)
class Stretch:
    """Characters from ``start`` up to ``end`` that run one way."""

    start: int
    end: int
    leftward: bool


def is_mixed(text: str) -> bool:
    """Whether anything in it runs from right to left."""
    return not text.isascii() and any(unicodedata.bidirectional(c) in ("R", "AL", "AN") for c in text)


def stretches(text: str) -> tuple[Stretch, ...]:
    """The stretches of a line in the order they stand on paper, from the left (rule L2)."""
    if not is_mixed(text):
        return (Stretch(0, len(text), False),) if text else ()
    level = levels(text)
    runs: list[tuple[int, Stretch]] = []
    start = 0
    for end in range(1, len(text) + 1):
        if end == len(text) or level[end] != level[start]:
            runs.append((level[start], Stretch(start, end, level[start] % 2 == 1)))
            start = end
    for lowest in range(max(level), 0, -1):
        at = 0
        while at < len(runs):
            stop = at
            while stop < len(runs) and runs[stop][0] >= lowest:
                stop += 1
            runs[at:stop] = runs[at:stop][::-1]
            at = stop + 1
    return tuple(run for _, run in runs)


def levels(text: str) -> list[int]:
    """The level of each character: even ones run to the right, odd ones to the left."""
    given = [unicodedata.bidirectional(c) or "L" for c in text]
    strong = next((t for t in given if t in ("L", "R", "AL")), "L")
    base = 0 if strong == "L" else 1
    along = "R" if base else "L"
    types = _weak(given, along)
    _brackets(text, given, types, along)
    _neutral(types, along)
    found = [base + _step(base, t) for t in types]
    # L1: tabs, and blanks before one or at the end, lie along the line.
    blank = True
    for at in range(len(text) - 1, -1, -1):
        blank = given[at] == "S" or (blank and given[at] in BLANK)
        if blank:
            found[at] = base
    return found


def _step(base: int, kind: str) -> int:
    """Rules I1 and I2."""
    if base == 0:
        return {"R": 1, "AN": 2, "EN": 2}.get(kind, 0)
    return 1 if kind in ("L", "AN", "EN") else 0


def _weak(given: Sequence[str], along: str) -> list[str]:
    """Rules W1 to W7."""
    types = list(given)
    for i, t in enumerate(types):  # W1
        if t == "NSM":
            types[i] = types[i - 1] if i else along
    last = along
    for i, t in enumerate(types):  # W2 and W3
        if t in ("L", "R", "AL"):
            last = t
        elif t == "EN" and last == "AL":
            types[i] = "AN"
    types = ["R" if t == "AL" else t for t in types]
    for i in range(1, len(types) - 1):  # W4
        before, after = types[i - 1], types[i + 1]
        if before == after and ((types[i] == "ES" and before == "EN") or (types[i] == "CS" and before in ("EN", "AN"))):
            types[i] = before
    at = 0
    while at < len(types):  # W5
        stop = at
        while stop < len(types) and types[stop] == "ET":
            stop += 1
        if stop > at and "EN" in (types[at - 1] if at else "", types[stop] if stop < len(types) else ""):
            types[at:stop] = ["EN"] * (stop - at)
        at = max(stop, at + 1)
    types = ["ON" if t in ("ES", "ET", "CS") else t for t in types]  # W6
    last = along
    for i, t in enumerate(types):  # W7
        if t in ("L", "R"):
            last = t
        elif t == "EN" and last == "L":
            types[i] = "L"
    return types


def _direction(kind: str) -> str | None:
    """Numbers count as running to the left beside neutrals."""
    return "R" if kind in ("R", "EN", "AN") else "L" if kind == "L" else None


def _brackets(text: str, given: Sequence[str], types: list[str], along: str) -> None:
    """Rule N0."""
    open_: list[tuple[str, int]] = []
    pairs: list[tuple[int, int]] = []
    for i, c in enumerate(text):
        if types[i] != "ON":
            continue
        if c in BRACKETS:
            open_.append((BRACKETS[c], i))
        elif any(c == closing for closing, _ in open_):
            while open_:
                closing, start = open_.pop()
                if closing == c:
                    pairs.append((start, i))
                    break
    for start, end in sorted(pairs):
        inside = {_direction(t) for t in types[start + 1 : end]} - {None}
        if along in inside:
            new = along
        elif inside:
            before = next((d for t in types[start - 1 :: -1] if (d := _direction(t))), along) if start else along
            new = before if before != along else along
        else:
            continue
        for at in (start, end):
            types[at] = new
            # Accents on a bracket go with it.
            while at + 1 < len(types) and given[at + 1] == "NSM":
                at += 1
                types[at] = new


def _neutral(types: list[str], along: str) -> None:
    """Rules N1 and N2."""
    at = 0
    while at < len(types):
        stop = at
        while stop < len(types) and _direction(types[stop]) is None:
            stop += 1
        if stop > at:
            before = _direction(types[at - 1]) if at else along
            after = _direction(types[stop]) if stop < len(types) else along
            types[at:stop] = [before if before == after and before else along] * (stop - at)
        at = max(stop, at + 1)
