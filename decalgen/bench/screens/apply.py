"""Apply: decal by decal onto the model, by the values of the placement guide; ticks, and a clock for what dries."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from decalgen.bench.applied import PutOn, seconds_of
from decalgen.bench.applying import LaidGuide, OtherJobError
from decalgen.bench.laying_acts import LAYING_ACTS
from decalgen.bench.laying_papers import PAPER_ACTS, papers_made
from decalgen.bench.laying_picture import side_picture, sides_named
from decalgen.bench.laying_steps import (
    AFTER,
    BEFORE,
    LayingStep,
    cautions_of,
    clock_rows,
    count_of,
    count_on,
    dry_first,
    film_of_step,
    gone,
    laying_steps,
    laying_words,
    other_sides,
    since,
    stage_steps,
)
from decalgen.bench.page_words import on_page
from decalgen.bench.standing import StepStanding, counted
from decalgen.commands.card import PAPERS
from decalgen.core.cautions import WorkStage
from decalgen.core.errors import InputError
from decalgen.pages.guide import side_name, side_notes
from decalgen.pages.guide_sides import LOOK
from decalgen.pages.work_card import TIMES

if TYPE_CHECKING:
    from decalgen.bench.workplace import Workplace

NAME = "Apply"
ABOUT = "decal by decal onto the model"


def standing(place: Workplace) -> StepStanding:
    """How many decals are on."""
    job = place.desk.job
    if job is None or not job.decals:
        return StepStanding(False, "waits for a decal")
    try:
        found = place.apply.now(job.name)
    except InputError:
        return StepStanding(False, "its ticks cannot be read")
    guide = place.apply.guide
    steps = laying_steps(guide) if guide else ()
    on, of = (count_on(steps, found), count_of(steps)) if steps else (len(found.ticks), found.pieces)
    if not on:
        return StepStanding(False, "nothing is on yet")
    if any(since(one, tick) for one in steps for tick in one.ticks(found)):
        return StepStanding(False, f"{on} of {of} on, changed since")
    return StepStanding(on >= of, f"all {of} are on" if on >= of else f"{on} of {of} are on")


def state(place: Workplace, view: Mapping[str, str]) -> dict[str, Any]:
    """The step that is worked on, all steps with their ticks, and the clock."""
    shelf, job = place.apply, place.desk.job
    found, wrong = _ticked(place)
    trouble = _trouble(place)
    shown: dict[str, Any] = {
        "opening": "No decal is drawn yet: Draw comes first.",
        "busy": place.busy,
        "wrong": wrong,
        "trouble": trouble,
        "unkept": shelf.unkept,
        "undo": shelf.last,
        "steps": [],
        "making": shelf.making,
        "papers": list(PAPERS),
        "made": papers_made(place),
        "carded": place.saved_proof() is not None,
        "since": place.changed_since_proof(),
    }
    if job is None:
        return shown | {"opening": "The file cannot be read: correct its mistakes first."}
    if not job.decals:
        return shown
    if shelf.guide is None:
        said = "The guide could not be made." if trouble else "The guide is being worked out ..."
        return shown | {"opening": said}
    return shown | _laying(shelf.guide, found, view.get("applying", ""))


def _ticked(place: Workplace) -> tuple[PutOn, dict[str, Any]]:
    """What is ticked, and why it cannot be read; ``other``: the job whose ticks they are."""
    job = place.desk.job
    try:
        return place.apply.now(job.name if job else ""), {}
    except InputError as error:
        other = error.job if isinstance(error, OtherJobError) else ""
        return PutOn(), {"message": error.message, "fix": error.fix, "other": other}


def _trouble(place: Workplace) -> dict[str, str]:
    """Why there is no guide of the job as it is now."""
    error = place.apply.trouble
    if error is None or place.desk.problems:
        return {}
    return {"message": on_page(error.message.partition("\n")[0]), "fix": on_page(error.fix)}


def _laying(guide: LaidGuide, found: PutOn, asked: str) -> dict[str, Any]:
    steps = laying_steps(guide)
    keys = [BEFORE, *(one.key for one in steps), AFTER]
    at = asked if asked in keys else _first_open(guide, steps, found)
    turn = keys.index(at)
    on, of = count_on(steps, found), count_of(steps)
    return {
        "opening": _opening(steps, found, on, of),
        "on": on,
        "of": of,
        "at": at,
        "before": keys[turn - 1] if turn else "",
        "next": keys[turn + 1] if turn + 1 < len(keys) else "",
        "turn": turn,
        "steps": [_row(one, found) for one in steps],
        "gone": [{"called": one.decal, "hand": one.hand, "tick": one.key} for one in gone(steps, found)],
        "clock": clock_rows(guide, steps, found),
        "times": TIMES,
        "shown": _shown(guide, steps, turn, found),
    }


def _shown(guide: LaidGuide, steps: Sequence[LayingStep], turn: int, found: PutOn) -> dict[str, Any]:
    """What is worked on; ``turn``: 0 before any piece, then the pieces from 1, at last what comes after them."""
    if turn == 0:
        return _stage(guide, found, BEFORE)
    return _piece(guide, steps, steps[turn - 1], found) if turn <= len(steps) else _stage(guide, found, AFTER)


def _first_open(guide: LaidGuide, steps: Sequence[LayingStep], found: PutOn) -> str:
    """Where one goes on: before any piece is on with what is done before, else with the first that is not on."""
    left = any(key not in found.steps for key, _ in stage_steps(guide, BEFORE))
    if left and not found.ticks:
        return BEFORE
    return next((one.key for one in steps if _is_open(one, found)), AFTER)


def _is_open(step: LayingStep, found: PutOn) -> bool:
    """Whether a copy is still to be put on; a piece for either side is on wherever it went."""
    return len(step.ticks(found)) < (1 if step.either else len(step.copies))


def _opening(steps: Sequence[LayingStep], found: PutOn, on: int, of: int) -> str:
    """How far one is, and what is open."""
    left = next((one for one in steps if _is_open(one, found)), None)
    waiting = sum(len(one.side.panel.unmeasured) for one in steps if one.item is one.side.items[0])
    blank = f" {counted(waiting, 'reading')} still open: distances that need them are blank." if waiting else ""
    if not on:
        return f"{counted(of, 'piece')} to put on, one at a time, in this order.{blank}"
    if left is None:
        return f"All {of} are on. The clear coat waits until the last one is dry.{blank}"
    return f"{on} of {of} are on. Next in order: {left.called}.{blank}"


def _row(step: LayingStep, found: PutOn) -> dict[str, Any]:
    return {
        "key": step.key,
        "called": step.called,
        "side": side_name(step.side),
        "of": len(step.copies),
        "on": len(step.ticks(found)),
        "changed": any(since(step, tick) for tick in step.ticks(found)),
    }


def _stage(guide: LaidGuide, found: PutOn, at: WorkStage) -> dict[str, Any]:
    """What is done before any piece is on, or once all are."""
    steps = [
        {"key": key, "name": one.name, "text": one.text, "done": key in found.steps}
        for key, one in stage_steps(guide, at)
    ]
    name = "Before the first decal" if at == BEFORE else "After the last decal"
    return {"kind": at, "name": name, "steps": steps, "cautions": cautions_of(guide, at)}


def _piece(guide: LaidGuide, steps: Sequence[LayingStep], step: LayingStep, found: PutOn) -> dict[str, Any]:
    """A piece: where it goes, what has to be dry first, its copies with their ticks."""
    item, side, decal = step.item, step.side, step.item.artwork.decal
    film = film_of_step(guide, step)
    skin = "; distances run along the skin" if side.bent else ""
    return {
        "kind": "piece",
        "name": step.called,
        "side": side_name(side),
        "look": f"{LOOK[side.view]}{skin}",
        "rows": [
            {"letter": row.letter, "words": row.words, "figure": row.figure, "sureness": row.sureness}
            for row in item.rows
        ],
        "notes": [*item.notes, *side_notes(side), *_notes(step)],
        "spares": decal.spares,
        "copies": [_copy(guide, steps, step, number, found) for number in range(len(step.copies))],
        "turned": [] if _begun(step, steps, found) else other_sides(guide, step, steps, found),
        "picture": side_picture(step, steps, found),
        "sides": sides_named(step),
        "how": laying_words(film),
        "cautions": cautions_of(guide, "laying"),
    }


def _begun(step: LayingStep, steps: Sequence[LayingStep], found: PutOn) -> bool:
    """Whether something is on that side already, so that the model lies as it has to."""
    return any(one.ticks(found) for one in steps if one.side is step.side)


def _notes(step: LayingStep) -> list[str]:
    return ["there is one piece for both sides: it goes on this one or on the other"] if step.either else []


def _copy(guide: LaidGuide, steps: Sequence[LayingStep], step: LayingStep, number: int, found: PutOn) -> dict[str, Any]:
    copy = step.copies[number]
    tick = found.tick(step.piece, copy)
    label = f"copy {number + 1} of {len(step.copies)}" if len(step.copies) > 1 else ""
    row = {"copy": copy, "label": label, "first": dry_first(guide, step, steps, number, found)}
    if tick is None:
        return row | {"begun": None, "changed": ""}
    return row | {"begun": seconds_of(tick.begun), "changed": since(step, tick)}


ACTS = {**LAYING_ACTS, **PAPER_ACTS}
"""What can be done here."""
