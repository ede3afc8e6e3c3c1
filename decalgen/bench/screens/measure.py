"""Measure: the readings of every panel, the open ones first, with the drawing of what is asked."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from decalgen.bench.desk import Desk, Edit
from decalgen.bench.drawings_of_readings import reading_drawings
from decalgen.bench.included import ReadingElsewhere, open_elsewhere
from decalgen.bench.included_edits import change_in, writable
from decalgen.bench.panel_acts import ACTS as PANEL_ACTS
from decalgen.bench.panel_acts import HAND_WORDS, kinds_of_obstacle, panel_kinds
from decalgen.bench.readings import instrument_words, tool_names, verdict_on
from decalgen.bench.standing import StepStanding, counted, held_up
from decalgen.commands.card import PAPERS, print_card
from decalgen.commands.questions import Slot, all_slots, reading_question, shown_value
from decalgen.commands.reading_verdict import size_words
from decalgen.commands.readings_typed import typed_reading
from decalgen.core.errors import JobError, in_a_sentence
from decalgen.core.names import first_few
from decalgen.job.edits import EditError
from decalgen.panels.base import PanelError
from decalgen.panels.unmeasured import SIGN

if TYPE_CHECKING:
    from decalgen.bench.workplace import Workplace

NAME = "Measure"
ABOUT = "the readings of every panel"
NO_PANEL = "No panel yet. A panel is one surface of the model that carries decals, such as a door: name the first."
NEXT = " Add the next panel, or go on to Draw."


def standing(place: Workplace) -> StepStanding:
    """How many readings are open."""
    found = slots(place.desk)
    left = sum(slot.open for slot in found) + len(elsewhere(place))
    if left:
        return StepStanding(False, f"{left} open")
    return StepStanding(bool(found), f"{counted(len(found), 'reading')} taken" if found else "no panel yet")


def state(place: Workplace, view: Mapping[str, str]) -> dict[str, Any]:
    """Every panel and lettering with its readings, and the one to ask first."""
    desk = place.desk
    found = slots(desk)
    groups: dict[str, list[Slot]] = {}
    for slot in found:
        groups.setdefault(str(slot.path[1]), []).append(slot)
    left = [slot for slot in found if slot.open]
    taken = f"{len(found) - len(left)} of {counted(len(found), 'reading')} taken." if found else NO_PANEL
    opening = taken + (f" Still open: {first_few([slot.name for slot in left])}." if left else "")
    beside = elsewhere(place)
    opening += f" {len(beside)} more open in files that the job includes." if beside else ""
    opening += NEXT if found and not left and desk.job is not None and not desk.job.decals else ""
    held = held_up(desk.job) if desk.job is not None else ""
    opening += f" {held}" if held else ""
    try:
        drawings = reading_drawings(desk.text)
    except JobError:
        drawings = {}
    panels = [_group(desk, name, some, drawings.get(name, [])) for name, some in groups.items()]
    names = _names(desk)
    adding = "panel" if not names and desk.job is not None else view.get("adding", "")
    shown: dict[str, Any] = {
        "opening": opening,
        "panels": panels,
        "names": names,
        "elsewhere": [_elsewhere(desk, one) for one in beside],
        "ask": list(left[0].path) if left else None,
        "tools": tool_names(),
    }
    kinds = panel_kinds() if adding == "panel" else kinds_of_obstacle() if adding == "obstacle" else []
    shown |= {"card": place.results.get("card", {}), "papers": list(PAPERS)}
    return shown | {"adding": adding, "kinds": kinds, "hands": list(HAND_WORDS)}


def slots(desk: Desk) -> list[Slot]:
    """Every reading of the job, in the order of the measuring card; none while the file cannot be read."""
    try:
        return all_slots(desk.values)
    except (PanelError, JobError, KeyError, TypeError, AttributeError):
        # Half written: the file's own mistake is told on every screen.
        return []


def elsewhere(place: Workplace) -> list[ReadingElsewhere]:
    """The open readings of the files that the job includes; none while one of its files cannot be read."""
    desk = place.desk
    return [] if desk.job is None or desk.problems else open_elsewhere(place.drawings, desk.job, desk.values)


def _elsewhere(desk: Desk, one: ReadingElsewhere) -> dict[str, Any]:
    """An open reading of an included file for the page, with its place where it can be typed here."""
    found: dict[str, Any] = {"name": one.name, "said": one.said}
    return found | (
        {"file": one.file, "at": list(one.path), "unit": "°" if one.angle else "mm"} if writable(desk, one.file) else {}
    )


def included(place: Workplace, asked: Mapping[str, Any]) -> None:
    """Takes a reading that is open in a file that the job includes: ``file``, ``at`` and ``to`` as it was typed. Raises
    EditError, and what `change_in` raises."""
    at, file = asked.get("at"), asked.get("file")
    one = next((one for one in elsewhere(place) if list(one.path) == at and one.file == file), None)
    if one is None:
        raise EditError("that reading is taken already", fix="look at it")
    to = typed_reading(str(asked.get("to", "")), angle=one.angle)
    if to == SIGN:
        raise EditError("no reading is typed", fix="type what you measured, such as 22.4")
    base = asked.get("base")
    change_in(place.desk, one.file, Edit("set", one.path, to, one.raw), base if isinstance(base, int) else 0, one.name)


def _group(desk: Desk, name: str, some: list[Slot], drawings: list[dict[str, Any]]) -> dict[str, Any]:
    panel = next((one for one in desk.job.panels if one.name == name), None) if desk.job else None
    found: dict[str, Any] = {"name": name, "slots": [_slot(desk, slot) for slot in some], "drawings": drawings}
    if panel is not None and desk.job is not None:
        found |= {"sizes": list(size_words(panel)), "unmeasured": list(panel.unmeasured)}
        found["doubts"] = [in_a_sentence(one) for one in panel.findings if one.severity == "warning"]
        found["waits"] = [decal.name for decal in desk.job.decals if decal.panel == name]
    return found


def _names(desk: Desk) -> list[dict[str, Any]]:
    """The panels that the file itself has, with their obstacles, by name."""
    try:
        found = desk.values.get("panels") or {}
        return [{"name": name, "obstacles": list(one.get("obstacles") or {})} for name, one in found.items()]
    except (JobError, AttributeError):
        return []


def _slot(desk: Desk, slot: Slot) -> dict[str, Any]:
    question = reading_question(slot, tuple(map(str, slot.path)))
    unit = "" if slot.angle else " mm"
    subject = slot.subject.partition(", ")[2] or (slot.subject if slot.subject != slot.path[1] else "")
    return instrument_words(desk, slot) | {
        "at": list(slot.path),
        "name": slot.key,
        "of": subject,
        "letter": slot.letter,
        "about": question.about,
        "unit": "degrees" if slot.angle else "mm",
        "open": slot.open,
        "shown": "" if slot.open else _shown(slot.value).replace(unit, ""),
        "raw": slot.value,
    }


def _shown(value: Any) -> str:
    """A reading in one line; of several, without what they were taken with."""
    several = [str(one).partition(" by ")[0] for one in value] if isinstance(value, list) else []
    return ", ".join(several) if several else shown_value(value)


def card(place: Workplace, asked: Mapping[str, Any]) -> None:
    """Writes the measuring card beside the job, on the ``paper`` asked for. Raises EditError for a paper it is not
    printed on."""
    path, paper = place.desk.path, str(asked.get("paper", ""))
    if paper not in PAPERS:
        raise EditError(f"the card is not printed on '{paper}'", fix=f"choose one of {', '.join(PAPERS)}")
    place.desk.keep()

    def work() -> dict[str, Any]:
        made = print_card(path, path.with_name(f"{path.stem}-card.pdf"), paper)
        groups = [{"what": one.purpose, "files": [file.name for file in one.paths]} for one in made.answer.groups]
        return {"files": [file.name for file in made.files], "groups": groups, "lines": list(made.lines)}

    place.start("card", "drawing the card", work)


ACTS = {**PANEL_ACTS, "card": card, "included": included}
"""What can be done here beside readings."""


def reading(place: Workplace, asked: Mapping[str, Any]) -> dict[str, Any]:
    """What is said of a reading that is being typed."""
    return verdict_on(place.desk, asked)


ASKS = {"reading": reading}
"""What is asked while one types."""
