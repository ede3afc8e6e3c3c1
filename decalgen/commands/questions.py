"""The questions that make a job, as values: where an answer goes in the job file, what is asked, and how it is read.

They follow from the keys of panels and obstacles, so a new kind is asked for without a word here. A terminal asks them
one by one; anything else that can ask may do so too.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from decalgen.core import keys
from decalgen.core.values import dataclass
from decalgen.job.edits import Path
from decalgen.panels.base import PanelError
from decalgen.panels.registry import kind_for, obstacle_for
from decalgen.panels.unmeasured import SIGN, ways

QuestionName = tuple[str, ...]
"""Which question it is, among all of an interview."""


@dataclass(frozen=True)
class Question:
    """One question. ``at`` names it among all of them, ``path`` is where its answer goes (empty: it opens others),
    ``about`` explains it in a line, ``choices`` are the answers there are (empty: any), with a line on each;
    ``default`` is what an empty answer means. ``reading``: it is answered by readings, in degrees if ``angle``."""

    at: QuestionName
    asked: str
    path: Path = ()
    about: str = ""
    default: str = ""
    choices: tuple[tuple[str, str], ...] = ()
    reading: bool = False
    angle: bool = False


@dataclass(frozen=True)
class Slot:
    """A reading in a job file: where it is, what it is called, what it means, what stands there."""

    path: Path
    name: str
    about: str
    angle: bool
    value: Any

    @property
    def open(self) -> bool:
        """Whether it is still to be taken."""
        several = self.value if isinstance(self.value, list) else [self.value]
        return all(one is None or one == SIGN for one in several)


def panel_slots(whole: Any, panel: str) -> list[Slot]:
    """The readings of a panel, then those of its obstacles, in the order of the measuring card. Raises PanelError for
    keys that make no panel."""
    group = whole["panels"][panel]
    kind = kind_for(group, group.get("kind"))
    found = list(_slots(group, kind, ("panels", panel), panel))
    for label in group.get("obstacles") or {}:
        found += obstacle_slots(whole, panel, label)
    return found


def own_slots(whole: Any, panel: str) -> list[Slot]:
    """The readings of a panel without those of its obstacles."""
    return [slot for slot in panel_slots(whole, panel) if slot.path[2] != "obstacles"]


def obstacle_slots(whole: Any, panel: str, label: str) -> list[Slot]:
    """The readings of one obstacle."""
    item = whole["panels"][panel]["obstacles"][label]
    path = ("panels", panel, "obstacles", label)
    return list(_slots(item, obstacle_for(item), path, f"{panel}, {label}"))


def all_slots(whole: Any) -> list[Slot]:
    """All readings of a job; of a panel that is written in words of before, those that are open."""
    found: list[Slot] = []
    for panel, group in (whole.get("panels") or {}).items():
        try:
            found += panel_slots(whole, panel)
        except PanelError:
            found += _signs(group, ("panels", panel))
    return found


def _signs(value: Any, path: Path) -> Iterator[Slot]:
    """Every ? below a path."""
    inside = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, item in inside:
        yield from _signs(item, (*path, key))
    if value == SIGN:
        parts = [str(part + 1) if isinstance(part, int) else part for part in path[2:]]
        yield Slot(path, f"{path[1]}: {' '.join(parts)}", "", False, value)


def reading_question(slot: Slot, at: QuestionName) -> Question:
    """The question for a reading."""
    unit = "degrees" if slot.angle else "mm"
    default = "" if slot.open else shown_value(slot.value)
    about = "" if slot.name.endswith(slot.about) else slot.about
    return Question(at, f"{slot.name}, {unit}", slot.path, about=about, default=default, reading=True, angle=slot.angle)


def shown_value(value: Any) -> str:
    """A value of a file in one line, as it may be typed."""
    return "  ".join(value) if isinstance(value, list) else str(value or "")


def _slots(group: Any, cls: Any, path: Path, name: str) -> Iterator[Slot]:
    for spec in keys.specs(cls):
        if spec.key in group:
            yield from _walk(spec.kind, group[spec.key], (*path, spec.key), (name, spec.key))


def _walk(kind: keys.Key, value: Any, path: Path, name: tuple[str, str]) -> Iterator[Slot]:
    subject, key = name
    if isinstance(kind, keys.Readings):
        yield Slot(path, f"{subject}: {key}", kind.about, kind.angle, value)
    elif isinstance(kind, keys.Two) and isinstance(kind.of, keys.Readings) and isinstance(value, list):
        for n, (way, item) in enumerate(zip(ways(key.split()[0]), value, strict=False)):
            words = way if key in ("rectangle", "slot") else f"{key} {way}"
            yield from _pair(kind.of, item, (*path, n), (subject, words), _place_words(key, way))
    elif isinstance(kind, keys.Many) and isinstance(kind.of, keys.Two) and isinstance(value, list):
        for n, item in enumerate(value):
            for k, (way, one) in enumerate(zip(("x", "y"), item if isinstance(item, list) else (), strict=False)):
                words = f"point {n + 1} {way}"
                yield from _pair(kind.of.of, one, (*path, n, k), (subject, words), _place_words("at", way))
    elif isinstance(kind, keys.Many) and isinstance(kind.of, keys.Readings) and isinstance(value, list):
        for n, item in enumerate(value):
            yield Slot((*path, n), f"{subject}: {key} {n + 1}", kind.about, kind.of.angle, item)


def _pair(kind: Any, value: Any, path: Path, name: tuple[str, str], about: str) -> Iterator[Slot]:
    yield Slot(path, f"{name[0]}: {name[1]}", about, kind.angle, value)


def _place_words(key: str, way: str) -> str:
    if key in ("rectangle", "slot"):
        return "from side to side" if way == "width" else "from bottom to top"
    side = "left edge, to the right" if way == "x" else "lower edge, upward"
    return f"from the panel's {side}"
