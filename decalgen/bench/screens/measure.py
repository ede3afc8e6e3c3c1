"""Measure: the readings of every panel, the open ones first, with the drawing of what is asked."""

from __future__ import annotations

from typing import Any

from decalgen.bench.desk import Desk
from decalgen.bench.pictures import panel_data
from decalgen.bench.standing import StepStanding, counted
from decalgen.commands.questions import Slot, panel_slots, reading_question, shown_value
from decalgen.core.errors import JobError
from decalgen.panels.base import PanelError
from decalgen.panels.uncertainty import expanded

NAME = "Measure"
ABOUT = "the readings of every panel"


def standing(desk: Desk) -> StepStanding:
    """How many readings are open."""
    found = slots(desk)
    left = sum(slot.open for slot in found)
    if left:
        return StepStanding(False, f"{left} open")
    return StepStanding(bool(found), f"{counted(len(found), 'reading')} taken" if found else "no panel yet")


def state(desk: Desk) -> dict[str, Any]:
    """Every panel with its readings, and the one to ask first."""
    groups = [_panel(desk, name) for name in _names(desk)]
    slots = [one for group in groups for one in group["slots"]]
    left = [one for one in slots if one["open"]]
    taken = f"{len(slots) - len(left)} of {counted(len(slots), 'reading')} taken."
    opening = taken + (f" Still open: {_listed([one['name'] for one in left])}." if left else "")
    return {"opening": opening, "panels": groups, "ask": left[0]["at"] if left else None}


def _names(desk: Desk) -> list[str]:
    try:
        return list(desk.values.get("panels") or {})
    except JobError:
        return []


def slots(desk: Desk) -> list[Slot]:
    """Every reading of the job, panel by panel."""
    return [slot for name in _names(desk) for slot in _slots(desk, name)]


def _slots(desk: Desk, name: str) -> list[Slot]:
    try:
        return panel_slots(desk.values, name)
    except (PanelError, JobError, KeyError, TypeError, AttributeError):
        # Written in words of before, or half written: the file's own mistake is told on every screen.
        return []


def _panel(desk: Desk, name: str) -> dict[str, Any]:
    panel = next((one for one in desk.job.panels if one.name == name), None) if desk.job else None
    found: dict[str, Any] = {"name": name, "slots": [_slot(slot) for slot in _slots(desk, name)]}
    if panel is not None:
        sizes = [f"{label} {size.value:.2f} ± {expanded(size):.2f} mm" for label, size in panel.sizes]
        found |= {"picture": panel_data(panel), "kind": panel.kind, "sizes": sizes}
        found["waits"] = [decal.name for decal in desk.job.decals if decal.panel == name] if desk.job else []
        found["unmeasured"] = list(panel.unmeasured)
    return found


def _slot(slot: Slot) -> dict[str, Any]:
    question = reading_question(slot, tuple(map(str, slot.path)))
    several = slot.value if isinstance(slot.value, list) else [slot.value]
    subject, _, name = slot.name.partition(": ")
    unit = "" if slot.angle else " mm"
    return {
        "at": list(slot.path),
        "name": name or subject,
        "of": subject.partition(", ")[2],
        "about": question.about,
        "unit": "degrees" if slot.angle else "mm",
        "open": slot.open,
        "shown": "" if slot.open else shown_value(slot.value).replace(unit, ""),
        "raw": slot.value,
        "readings": ["" if one in (None, "?") else str(one).replace(unit, "", 1) for one in several],
    }


def _listed(names: list[str]) -> str:
    return ", ".join(names[:4]) + (f" and {len(names) - 4} more" if len(names) > 4 else "")
