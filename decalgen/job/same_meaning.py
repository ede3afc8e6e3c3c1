"""Whether two jobs are the same but for a name that something has: what a change of names is held against. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import fields, is_dataclass
from typing import Any

from decalgen.core import keys
from decalgen.job.model import Job

_NAMES = frozenset(
    {
        ("Panel", "name"), ("Panel", "unmeasured"), ("Panel", "readings"), ("Obstacle", "name"), ("Quantity", "parts"),
        ("Decal", "name"), ("Decal", "panel"), ("Decal", "cut_around"), ("Decal", "split_at"), ("Decal", "slits"),
        ("Decal", "over"), ("Decal", "unmeasured"), ("InkSpec", "name"), ("InkSpec", "stands_for"), ("Paint", "name"),
        ("DrawingText", "inks"), ("Job", "body"), ("Job", "variant"), ("Job", "variants"),
    }
)  # fmt: skip
"""The fields that hold names, by class; and those of shapes that are inks."""
_APART = frozenset({("Job", "digest"), ("Job", "texts"), ("Job", "inks"), ("Panel", "findings")})
"""What tells of the text, not of the job; and the inks, of which a layout may bring more that nothing names."""


def means_the_same(one: Sequence[Job], other: Sequence[Job], old: str, new: str) -> bool:
    """Whether jobs in the same order are equal where the one kind says ``old`` and the other ``new``."""
    pairs = list(zip(one, other, strict=True))
    return all(_same(a, b, (old, new), False) and _has_inks(a, b, (old, new)) for a, b in pairs)


def _has_inks(one: Job, other: Job, names: tuple[str, str]) -> bool:
    """Whether a job has all the inks of another."""
    return all(any(_same(ink, there, names, False) for there in other.inks) for ink in one.inks)


def _same(one: Any, other: Any, names: tuple[str, str], loose: bool) -> bool:
    """``loose``: whether texts in it are names, or hold one."""
    if isinstance(one, str) and isinstance(other, str):
        return one == other or (loose and one.replace(*names) == other)
    if isinstance(one, tuple | list) and type(one) is type(other):
        return len(one) == len(other) and all(_same(a, b, names, loose) for a, b in zip(one, other, strict=True))
    if is_dataclass(one) and not isinstance(one, type):
        kind: Any = type(one)
        if type(other) is not kind:
            return False
        inked = _inked(kind)
        return all(
            _same(getattr(one, f), getattr(other, f), names, f in inked or (kind.__name__, f) in _NAMES)
            for f in _compared(kind)
        )
    return bool(one == other)


def _compared(kind: Any) -> tuple[str, ...]:
    return tuple(f.name for f in fields(kind) if f.compare and (kind.__name__, f.name) not in _APART)


def _inked(kind: Any) -> frozenset[str]:
    """The fields of a shape, or of a part of one, that name inks."""
    try:
        marks = keys.specs(kind)
    except TypeError:
        return frozenset()
    return frozenset(spec.name for spec in marks if _is_ink(spec.kind))


def _is_ink(kind: keys.Key) -> bool:
    return isinstance(kind, keys.InkName | keys.InkTable) or (
        isinstance(kind, keys.Many | keys.Two) and _is_ink(kind.of)
    )
