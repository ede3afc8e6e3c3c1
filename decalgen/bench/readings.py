"""Readings as they come from the boxes of the page: one to each, and the instrument chosen beside them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from decalgen.bench.desk import Desk, Edit, TextJudge
from decalgen.bench.job_read import JobRead
from decalgen.commands.question_values import checked
from decalgen.commands.questions import Slot, all_slots
from decalgen.commands.reading_verdict import Typed, reading_verdict
from decalgen.commands.readings_typed import typed_boxes
from decalgen.core.errors import DecalgenError
from decalgen.core.instruments import instruments
from decalgen.job.edits import Path
from decalgen.panels.readings import split_instrument

MOST_BOXES = 20
MOST_LETTERS = 200


def reading_edit(desk: Desk, at: Path, asked: Mapping[str, Any]) -> Edit:
    """The change that puts readings into the file: ``to``, one or a list, ``by``: the instrument."""
    slot = _slot_at(desk, at)
    typed = _typed(asked)
    return Edit("set", at, typed_boxes(typed.boxes, typed.by, angle=bool(slot and slot.angle)), asked.get("was"))


def reading_judge(desk: Desk, edits: Sequence[Edit], asked: Mapping[str, Any]) -> TextJudge | None:
    """What refuses readings as `decalgen measure` does; None where none are among the changes."""
    readings = [edit for edit, one in zip(edits, asked["edits"], strict=True) if one["do"] == "reading"]
    if not readings:
        return None

    def judge(text: str, read: JobRead) -> None:
        for edit in readings:
            checked(text, desk.path, edit.at, desk.text, read.job)

    return judge


def verdict_on(desk: Desk, asked: Mapping[str, Any]) -> dict[str, Any]:
    """What is said of a reading that is being typed: ``at``, ``to``, ``by``, and ``writing``, the number of the box
    where the caret is, or nothing. Nothing is changed by it, and half a number is never called wrong."""
    at = asked.get("at")
    slot = _slot_at(desk, tuple(at) if isinstance(at, list) else ())
    if slot is None:
        return {}
    found = reading_verdict(desk.text, desk.path, slot, _typed(asked))
    return {"made": found.made, "sizes": list(found.sizes), "wrong": found.wrong, "doubts": list(found.doubts)}


def tool_names() -> dict[str, list[str]]:
    """The instruments to choose from: for lengths, and for angles."""
    return {key: [one.name for one in instruments() if one.angle == (key == "angle")] for key in ("length", "angle")}


def instrument_words(desk: Desk, slot: Slot) -> dict[str, Any]:
    """The readings of a slot as they stand in their boxes; ``by``: the instrument they name, where all name the same;
    ``else``: the one that counts where none is named, and is not the usual one; ``kind``, where it is no plain length.
    What is usual is not sent: the first screen is to be small."""
    several = slot.value if isinstance(slot.value, list) else [slot.value]
    texts = ["" if one in (None, "?") else str(one) for one in several]
    split = [split_instrument(text) for text in texts]
    tools = {tool for _, tool in split}
    one_tool = tools.pop() if len(tools) == 1 else ""
    unit = "" if slot.angle else " mm"
    bare = [value for value, _ in split] if one_tool else texts
    found: dict[str, Any] = {"readings": [text.replace(unit, "", 1) if unit else text for text in bare]}
    usual = "" if slot.angle else _of_panel(desk, slot)
    more = {"by": one_tool, "else": usual, "kind": "angle" if slot.angle else "depth" if slot.depth else ""}
    return found | {key: word for key, word in more.items() if word}


def _of_panel(desk: Desk, slot: Slot) -> str:
    """The instrument that a panel names for all its readings."""
    try:
        group = desk.values[slot.path[0]][slot.path[1]]
        return str(group.get("instrument") or "")
    except (DecalgenError, KeyError, TypeError, AttributeError):
        return ""


def _typed(asked: Mapping[str, Any]) -> Typed:
    boxes = asked.get("to", "")
    several = boxes if isinstance(boxes, list) else [boxes]
    by = " ".join(str(asked.get("by") or "").split())
    writing = asked.get("writing")
    boxed = tuple(str(one)[:MOST_LETTERS] for one in several[:MOST_BOXES])
    return Typed(boxed, by[:MOST_LETTERS], writing if isinstance(writing, int) else None)


def _slot_at(desk: Desk, at: Path) -> Slot | None:
    return next((slot for slot in all_slots(desk.values) if slot.path == at), None)
