"""What the page is told of the job and of the screen that is shown, and what it may ask a screen to do."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from decalgen.bench.busy import BusyError
from decalgen.bench.left_texts import copy_file
from decalgen.bench.page_words import on_page
from decalgen.bench.registry import BESIDE, SCREENS, STEPS, PageStep
from decalgen.bench.two_sides import clash_words
from decalgen.bench.workplace import Workplace
from decalgen.core.errors import DecalgenError, Problem
from decalgen.job.edits import EditError


def page_state(place: Workplace, screen: str, view: Mapping[str, str]) -> dict[str, Any]:
    """What a screen needs, and the card beside it."""
    desk = place.desk
    job = desk.job
    shown = screen if screen in SCREENS else next(iter(STEPS))
    found = {
        **place.news(),
        "job": place.key,
        "busy": place.busy,
        "clash": clash_words(place.clash),
        "restore": restore(place),
        "file": desk.path.name,
        "title": job.title if job else desk.path.stem,
        "scale": job.scale if job else "",
        "steps": [_on_card(place, key, step) for key, step in STEPS.items()],
        "beside": [_on_card(place, key, step) for key, step in BESIDE.items()],
        "undo": desk.history.done[-1].label if desk.history.done else "",
        "redo": desk.history.undone[-1].label if desk.history.undone else "",
        "problems": [_problem(one, str(desk.path)) for one in desk.problems],
        "shown": shown,
    }
    return found | {"screen": SCREENS[shown].state(place, view)}


def _on_card(place: Workplace, key: str, step: PageStep) -> dict[str, Any]:
    at = step.standing(place)
    return {"key": key, "name": step.NAME, "done": at.done, "words": at.words}


def restore(place: Workplace) -> dict[str, str]:
    """What is wrong with the file itself, and the name to suggest for a copy; nothing where it is as it should be."""
    desk = place.desk
    name = f"{desk.path.stem}-2{desk.path.suffix}"
    if place.left:
        said = f"'{desk.path.name}' could not be written when decalgen ended last. What you had changed is in "
        return {"kind": "left", "words": f"{said}'{copy_file(desk.path)}'.", "name": name}
    if desk.gone:
        said = f"'{desk.path.name}' is no longer in its folder: it was deleted or renamed. All of it is still here."
        return {"kind": "gone", "words": said, "name": name}
    if desk.locked:
        said = f"'{desk.path.name}' is read-only: all of it can be read, but nothing you change is kept."
        return {"kind": "locked", "words": said, "name": name}
    return {"kind": "", "words": "", "name": ""}


def do(place: Workplace, screen: str, act: str, asked: Mapping[str, Any]) -> Mapping[str, str]:
    """Does what a screen offers; gives what is to be looked at then, such as a decal that is new. Raises EditError for
    what it does not, and what the act raises."""
    acts = getattr(SCREENS.get(screen), "ACTS", {})
    if act not in acts:
        raise EditError("there is nothing of that name to do", fix="load the page again")
    return acts[act](place, asked) or {}


def refusal(error: DecalgenError, asked: Mapping[str, Any]) -> dict[str, Any]:
    """Why a change was refused; ``spot``: where in what was typed the mistake is, from its first character, and how
    long it is; left out where that cannot be told; ``busy``: it is so only until what is at work is done."""
    found: dict[str, Any] = {"message": on_page(error.message), "fix": on_page(error.fix)}
    if isinstance(error, BusyError):
        found["busy"] = True
    place = error.place
    edits = asked.get("edits")
    typed = str(edits[0].get("to", "")) if isinstance(edits, list) and edits and isinstance(edits[0], dict) else ""
    if place is not None and typed.strip():
        start = place.column - 1 - place.text.find(typed.strip())
        if typed.strip() in place.text and 0 <= start <= len(typed.strip()):
            found["spot"] = [start, max(1, min(place.length, len(typed.strip()) - start))]
    return found


def answer_of(place: Workplace, screen: str, what: str, asked: Mapping[str, Any]) -> dict[str, Any]:
    """Answers what a screen asks while one works on it, such as whether a piece may lie where it is dragged. Raises
    EditError for what it never asks, and what the answer raises."""
    asks = getattr(SCREENS.get(screen), "ASKS", {})
    if what not in asks:
        raise EditError("there is nothing of that name to ask", fix="load the page again")
    found: dict[str, Any] = asks[what](place, asked)
    return found


def _problem(one: Problem, own: str) -> dict[str, Any]:
    """``file``: its name, where that is not the job's ``own`` but one that it includes, to be corrected there."""
    place = one.place
    found = {"message": one.message, "fix": one.fix, "line": 0, "column": 0, "text": "", "length": 1, "file": ""}
    if place is not None:
        found["file"] = "" if place.file == own else Path(place.file).name
        found |= {"line": place.line, "column": place.column, "text": place.text, "length": place.length}
    return found
