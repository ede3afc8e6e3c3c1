"""Readings whose doubt decides a verdict: a decal fits or does not by less than their uncertainty. These, and no
others, are worth taking again. Pure."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

from decalgen.commands.questions import Question, QuestionName, Slot, all_slots, reading_question, shown_value
from decalgen.core.errors import DecalgenError
from decalgen.core.values import dataclass
from decalgen.job.edits import set_value, values
from decalgen.job.written import YamlValue

ENOUGH = 3
"""So many readings of one size, and nobody is asked again."""
_REST = re.compile(r"(?: (?:±|by) .*)?$")
_SAID = re.compile(r"±| by |\+/?-")


@dataclass(frozen=True)
class Deciding:
    """A reading that decides whether a decal fits: ``left`` says by how much."""

    slot: Slot
    decal: str
    left: str

    def question(self, at: QuestionName) -> Question:
        """What is asked: readings to be put beside those that are there."""
        asked = reading_question(self.slot, at)
        there = len(self.slot.value) if isinstance(self.slot.value, list) else 1
        wanted = "two more readings" if there == 1 else "one more reading"
        about = (
            f"{self.left}: this decides whether '{self.decal}' fits; so far {shown_value(self.slot.value)}; "
            f"{wanted} in one line, or Enter to leave it"
        )
        return Question(at, asked.asked + " again", asked.path, about, reading=True, angle=asked.angle, more=True)


def deciding(text: str, path: Path) -> list[Deciding]:
    """The readings of a job that decide a verdict and were taken fewer than three times, in the order of the measuring
    card. Nothing where the job cannot be read or drawn."""
    from decalgen.artwork.drawn import draw_decals
    from decalgen.job.loader import job_as_written
    from decalgen.job.model import Printer
    from decalgen.preflight import examine

    try:
        job = job_as_written(text, path)
        found = examine([job], Printer(), {job.name: draw_decals(job)}, rules=())
    except DecalgenError:
        return []
    wanted: dict[str, tuple[str, str]] = {}
    for one in found.fits[job.name]:
        fit = one.fit
        if fit.verdict == "not known" and fit.repeat and not fit.waits and not fit.prototype:
            wanted.setdefault(fit.repeat, (one.title, f"{fit.tightest.label} {fit.tightest.figures}"))
    slots = [slot for slot in all_slots(values(text)) if reading_name(slot) in wanted and _taken(slot) < ENOUGH]
    return [Deciding(slot, *wanted[reading_name(slot)]) for slot in slots]


def reading_name(slot: Slot) -> str:
    """What a reading is called where uncertainties are told: 'door.width', 'door.handle at x'."""
    whole: Any = slot.path
    panel, key = whole[1], slot.key
    if whole[0] != "panels":
        return ""
    if whole[2] == "obstacles":
        return f"{panel}.{whole[3]} {'diameter' if key == 'circle' else key}"
    return f"{panel}.{key.replace('arcs ', 'arc ').replace('arc rises ', 'rise ')}"


def with_more(text: str, path: tuple[str | int, ...], more: YamlValue) -> str:
    """The text with readings beside those at a path. Those that say neither ± nor an instrument take what the first
    one says: they were taken by the same hand."""
    there: Any = values(text)
    for part in path:
        there = there[part]
    old = there if isinstance(there, list) else [there]
    said = _REST.search(old[0])
    rest = said[0] if said else ""
    new = [str(one) for one in ([more] if isinstance(more, str) else more)]
    return set_value(text, path, [*old, *(one if _SAID.search(one) else f"{one}{rest}" for one in new)])


def _taken(slot: Slot) -> int:
    return len(slot.value) if isinstance(slot.value, list) else 1
