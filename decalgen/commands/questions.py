"""The questions that make a job, as values: where an answer goes in the job file, what is asked, and how it is read.

They follow from the keys of panels, obstacles and lettering, so a new kind is asked for without a word here. A terminal
asks them one by one; the measuring card has a box for each, with the same letter; anything else that can ask may do so.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any

from decalgen.core import keys
from decalgen.core.values import dataclass
from decalgen.job.edits import Path
from decalgen.panels.base import PanelError
from decalgen.panels.registry import kind_for, obstacle_for
from decalgen.panels.unmeasured import SIGN, ways

QuestionName = tuple[str, ...]
"""Which question it is, among all of an interview."""
LETTERS = "abcdefghjkmnpqrstuvwxyz"
"""What readings are lettered with; i, l and o are left out, as they are read as figures."""


@dataclass(frozen=True)
class Question:
    """One question. ``at`` names it among all of them, ``path`` is where its answer goes (empty: it opens others),
    ``about`` explains it in a line, ``choices`` are the answers there are (empty: any), with a line on each;
    ``default`` is what an empty answer means. ``reading``: it is answered by readings, in degrees if ``angle``.
    ``more``: the readings are added to those that are there."""

    at: QuestionName
    asked: str
    path: Path = ()
    about: str = ""
    default: str = ""
    choices: tuple[tuple[str, str], ...] = ()
    reading: bool = False
    angle: bool = False
    more: bool = False


@dataclass(frozen=True)
class Slot:
    """A reading in a job file: where it is, of what (a panel, with its obstacle if it is of one, or lettering), what it
    is called, what it means, what stands there. ``letter`` is its own on the measuring card and in questions, but the x
    and y of a point share one. ``depth``: it is taken after all that the jaws of a caliper take."""

    path: Path
    subject: str
    key: str
    about: str
    angle: bool
    value: Any
    depth: bool = False
    letter: str = ""

    @property
    def name(self) -> str:
        """What it is called in full."""
        return f"{self.subject}: {self.key}"

    @property
    def open(self) -> bool:
        """Whether it is still to be taken."""
        several = self.value if isinstance(self.value, list) else [self.value]
        return all(one is None or one == SIGN for one in several)


def panel_slots(whole: Any, panel: str) -> list[Slot]:
    """The readings of a panel in the order of the measuring card: its outside sizes, its obstacles, then what is read
    by depth, gauge or angle; with their letters. Raises PanelError for keys that make no panel."""
    group = whole["panels"][panel]
    own = list(_slots(group, kind_for(group, group.get("kind")), ("panels", panel), panel))
    found = [slot for slot in own if not slot.depth]
    for label in group.get("obstacles") or {}:
        item = group["obstacles"][label]
        path = ("panels", panel, "obstacles", label)
        found += _slots(item, obstacle_for(item), path, f"{panel}, {label}")
    return _lettered([*found, *(slot for slot in own if slot.depth)])


def outside_slots(whole: Any, panel: str) -> list[Slot]:
    """The outside sizes of a panel."""
    return [slot for slot in panel_slots(whole, panel) if slot.path[2] != "obstacles" and not slot.depth]


def depth_slots(whole: Any, panel: str) -> list[Slot]:
    """What of a panel is read after its obstacles."""
    return [slot for slot in panel_slots(whole, panel) if slot.path[2] != "obstacles" and slot.depth]


def obstacle_slots(whole: Any, panel: str, label: str) -> list[Slot]:
    """The readings of one obstacle."""
    return [slot for slot in panel_slots(whole, panel) if slot.path[2:4] == ("obstacles", label)]


def lettering_slots(whole: Any, decal: str) -> list[Slot]:
    """The readings of the lettering that a decal is to match; each lettering has letters of its own."""
    found: list[Slot] = []
    for path, body in _letterings(whole["decals"][decal].get("artwork"), ("decals", decal, "artwork")):
        text = body.get("text")
        words = " ".join(text) if isinstance(text, list) else str(text)
        found += _lettered(list(_measures(body["match"], (*path, "match"), f"'{words}'")))
    return found


def all_slots(whole: Any) -> list[Slot]:
    """All readings of a job, panels first; of a panel that is written in words of before, those that are open."""
    found: list[Slot] = []
    for panel, group in (whole.get("panels") or {}).items():
        try:
            found += panel_slots(whole, panel)
        except PanelError:
            found += _signs(group, ("panels", panel))
    for decal, group in (whole.get("decals") or {}).items():
        if isinstance(group, dict):
            found += lettering_slots(whole, decal)
    return found


def reading_question(slot: Slot, at: QuestionName) -> Question:
    """The question for a reading."""
    unit = "degrees" if slot.angle else "mm"
    default = "" if slot.open else shown_value(slot.value)
    about = "" if slot.key.endswith(slot.about) else slot.about
    letter = f"({slot.letter}) " if slot.letter else ""
    asked = f"{letter}{slot.name}, {unit}"
    return Question(at, asked, slot.path, about=about, default=default, reading=True, angle=slot.angle)


def shown_value(value: Any) -> str:
    """A value of a file in one line, as it may be typed."""
    return "  ".join(value) if isinstance(value, list) else str(value or "")


def _lettered(slots: Sequence[Slot]) -> list[Slot]:
    """The readings with their letters, in order."""
    found: list[Slot] = []
    letters: dict[Path, str] = {}
    for slot in slots:
        # The two numbers of a point end in its number and 0 or 1.
        point = slot.path[:-1] if isinstance(slot.path[-2], int) else slot.path
        letters.setdefault(point, _letter(len(letters)))
        found.append(replace(slot, letter=letters[point]))
    return found


def _letter(number: int) -> str:
    """a to z, then aa, ab …"""
    more, last = divmod(number, len(LETTERS))
    return (LETTERS[more - 1] if more else "") + LETTERS[last]


def _signs(value: Any, path: Path) -> Iterator[Slot]:
    """Every ? below a path."""
    inside = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, item in inside:
        yield from _signs(item, (*path, key))
    if value == SIGN:
        parts = [str(part + 1) if isinstance(part, int) else part for part in path[2:]]
        yield Slot(path, str(path[1]), " ".join(parts), "", False, value)


def _letterings(artwork: Any, path: Path) -> Iterator[tuple[Path, Any]]:
    """Every lettering to be matched among some shapes, those of groups too, with its path."""
    # One shape alone may stand without its list.
    alone = isinstance(artwork, dict)
    for n, item in enumerate(artwork if isinstance(artwork, list) else [artwork]):
        here = path if alone else (*path, n)
        for shape, body in item.items() if isinstance(item, dict) else ():
            if not isinstance(body, dict):
                continue
            if shape == "lettering" and isinstance(body.get("match"), dict):
                yield (*here, shape), body
            for key, inner in body.items():
                if isinstance(inner, list):
                    yield from _letterings(inner, (*here, shape, key))


def _measures(match: Any, path: Path, subject: str) -> Iterator[Slot]:
    from decalgen.shapes.lettering_groups import Match

    for spec in keys.specs(_plain(Match)):
        if isinstance(spec.kind, keys.Taken) and spec.key in match:
            yield Slot((*path, spec.key), subject, spec.key, spec.kind.about, False, match[spec.key])


def _plain(cls: Any) -> Any:
    return cls


def _slots(group: Any, cls: Any, path: Path, subject: str) -> Iterator[Slot]:
    for spec in keys.specs(cls):
        if spec.key in group:
            yield from _walk(spec.kind, group[spec.key], (*path, spec.key), subject)


def _walk(kind: keys.Key, value: Any, path: Path, subject: str) -> Iterator[Slot]:
    key = str(path[-1])
    if isinstance(kind, keys.Readings):
        yield Slot(path, subject, key, kind.about, kind.angle, value, kind.depth or kind.angle)
    elif isinstance(kind, keys.Two) and isinstance(kind.of, keys.Readings) and isinstance(value, list):
        size = key in ("rectangle", "slot")
        for n, (way, item) in enumerate(zip(ways(key), value, strict=False)):
            words = way if size else f"{key} {way}"
            yield Slot((*path, n), subject, words, _place_words(size, way), False, item)
    elif isinstance(kind, keys.Many) and isinstance(kind.of, keys.Two) and isinstance(value, list):
        for n, item in enumerate(value):
            for k, (way, one) in enumerate(zip(("x", "y"), item if isinstance(item, list) else (), strict=False)):
                yield Slot((*path, n, k), subject, f"point {n + 1} {way}", _place_words(False, way), False, one)
    elif isinstance(kind, keys.Many) and isinstance(kind.of, keys.Readings) and isinstance(value, list):
        for n, item in enumerate(value):
            yield Slot((*path, n), subject, f"{key} {n + 1}", kind.about, kind.of.angle, item, kind.of.depth)


def _place_words(size: bool, way: str) -> str:
    if size:
        return "from side to side" if way == "width" else "from bottom to top"
    side = "left edge, to the right" if way == "x" else "lower edge, upward"
    return f"from the panel's {side}"
