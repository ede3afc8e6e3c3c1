"""The first minute: the jobs of the folder, the finished ones to try, and the questions that begin a job of one's own.

What is asked, checked and written is what `decalgen new` asks, checks and writes.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from decalgen.artwork.build import hands
from decalgen.bench.desk import Desk
from decalgen.bench.left_texts import set_aside
from decalgen.bench.page_state import page_state
from decalgen.bench.pictures import Drawings, decal_data, panel_data
from decalgen.bench.registry import STEPS
from decalgen.bench.shelf import DEMO, JobFile, JobShelf, demo_jobs, demo_text
from decalgen.bench.standing import counted
from decalgen.bench.workplace import Workplace
from decalgen.colour.palette import PALETTE
from decalgen.commands import interview
from decalgen.commands.new import printers
from decalgen.commands.question_order import HEAD
from decalgen.commands.questions import Question
from decalgen.core.errors import DecalgenError
from decalgen.job.edits import EditError
from decalgen.job.model import Job
from decalgen.job.over import application_order

MOST_SHOWN = 24
"""So many jobs are drawn at once; words narrow them down."""
MOST_PANELS = 3
"""So many panels stand for a model."""
_NOTHING: dict[str, Any] = {
    "run": "",
    "version": 0,
    "kept": 0,
    "trouble": "",
    "file": "",
    "title": "",
    "scale": "",
    "undo": "",
    "redo": "",
    "clash": None,
    "job": "",
    "restore": {"kind": ""},
    "steps": [],
    "beside": [],
    "problems": [],
}
_SAID_OF_FINISHED = "This is a finished job. Move something."
_SAID_MORE = "It is a copy: nothing you do to it touches a file of yours."


def whole_state(shelf: JobShelf, view: Mapping[str, str]) -> dict[str, Any]:
    """What the page shows: a screen of a job; or the jobs, or the first question of a new one."""
    place = shelf.place(view.get("job", ""))
    screen = view.get("screen", "")
    found = page_state(place, screen or _first_screen(place), view) if place else dict(_NOTHING)
    found["demo"] = demo_words(place)
    found["spoilt"] = place is not None and is_demo(place) and place.desk.text != demo_text(place.desk.path.name)
    if place is None and screen != "new":
        screen = "jobs"
    if screen == "jobs":
        return found | {"shown": "jobs", "heading": "Jobs", "screen": jobs_state(shelf, view)}
    if screen == "new":
        return found | dict(_NOTHING) | {"shown": "new", "heading": "Begin your own", "screen": first_question()}
    if place is not None and asking(place.desk.text):
        said = {"shown": "begin", "heading": "Begin your own", "steps": [], "beside": []}
        return found | said | {"screen": question_state(place, view)}
    return found


def _first_screen(place: Workplace | None) -> str:
    """A finished job is first seen where its decals can be touched."""
    return "draw" if place is not None and is_demo(place) else ""


def is_demo(place: Workplace) -> bool:
    """Whether it is one of the finished jobs that come with decalgen."""
    return place.key.startswith(f"{DEMO}/")


def demo_words(place: Workplace | None) -> list[str]:
    """What is said above a finished job; nothing above any other."""
    return [_SAID_OF_FINISHED, _SAID_MORE] if place is not None and is_demo(place) else []


def as_it_came(place: Workplace, _: Mapping[str, Any]) -> None:
    """Makes a finished job again what it was when it came with decalgen: a step like any other. Raises EditError for
    any other job."""
    if not is_demo(place):
        raise EditError("this is a job of your own", fix="take steps back with Undo")
    place.desk.rewrite(demo_text(place.desk.path.name), "as it came")


def take_left(place: Workplace, _: Mapping[str, Any]) -> None:
    """Puts what could not be written when decalgen ended last on the desk: a step like any other."""
    if place.left:
        place.desk.rewrite(place.left, "taking over what was not written")
    leave(place, _)


def leave(place: Workplace, _: Mapping[str, Any]) -> None:
    """Leaves that where it is: it is told of no more."""
    if place.left:
        set_aside(place.desk.path)
    place.left = ""


RESTORING = {"original": as_it_came, "left": take_left, "leave": leave}
"""What makes a job file again what it was."""


# ------------------------------------------------------------------------------------------------------------ the jobs
def jobs_state(shelf: JobShelf, view: Mapping[str, str]) -> dict[str, Any]:
    """The jobs of the folder that have the words asked for, and the finished ones; drawings are asked for singly."""
    like = view.get("like", "")[:100]
    here = shelf.found()
    shown = shelf.found(like) if like else here
    folder = f"'{shelf.folder.name or shelf.folder}'"
    opening = f"{counted(len(here), 'job')} in the folder {folder}." if here else f"The folder {folder} has no job yet."
    if len(shown) > MOST_SHOWN:
        opening += f" Shown are the {MOST_SHOWN} that were changed last."
    return {
        "opening": opening,
        "like": like,
        "total": len(here),
        "matching": len(shown),
        "jobs": [_row(one) for one in shown[:MOST_SHOWN]],
        "demo": [_row(one) for one in demo_jobs()],
    }


def _row(one: JobFile) -> dict[str, Any]:
    return {"job": one.key, "name": one.name, "title": one.title, "scale": one.scale}


def glance(path: Path, drawings: Drawings) -> dict[str, Any]:
    """A job at a glance: a few panels of it with their decals, and how far it is. Never fails: what is wrong with the
    file is said instead."""
    try:
        place = Workplace(Desk(path))
    except DecalgenError as error:
        return {"words": error.message, "panels": [], "paint": ""}
    job = place.desk.job
    if job is None:
        return {"words": f"{counted(len(place.desk.problems), 'mistake')} in the file", "panels": [], "paint": ""}
    found = {"words": how_far(place), "title": job.title, "scale": job.scale, "paint": job.paint(job.body).colour}
    return found | {"panels": _panels(job, drawings)}


def how_far(place: Workplace) -> str:
    """The first step that is not done, and where it stands."""
    if asking(place.desk.text):
        return "just begun"
    for step in STEPS.values():
        at = step.standing(place)
        if not at.done and not at.looking:
            return f"{step.NAME}: {at.words}"
    return "all done"


def _panels(job: Job, drawings: Drawings) -> list[dict[str, Any]]:
    order = application_order(job.decals)
    used = [decal.panel for decal in order]
    chosen = sorted(job.panels, key=lambda panel: -used.count(panel.name))[:MOST_PANELS]
    found = []
    for panel in sorted(chosen, key=job.panels.index):
        there = [one for one in order if one.panel == panel.name]
        data = panel_data(panel)
        found.append(data | {"decals": [decal_data(drawings, job, one, hands(one)[0]) for one in there]})
    return found


# ------------------------------------------------------------------------------------------------------- the questions
def asking(text: str) -> bool:
    """Whether a file is one whose first questions are open."""
    now = interview.reached(text)
    if now is None or now.at not in HEAD[:-1]:
        return False
    # Without a kept printer profile there is nothing to choose.
    return now.at != ("printer",) or bool(printers())


def first_question() -> dict[str, Any]:
    """What is asked before there is a file."""
    about = "its maker and type, or what you call it"
    question = {"at": ["title"], "asked": "What is the model called", "about": about, "default": "", "choices": []}
    return {
        "opening": "A few words, then you measure. Each answer is kept at once.",
        "question": question,
        "so_far": [],
    }


def question_state(place: Workplace, view: Mapping[str, str]) -> dict[str, Any]:
    """The question that is open, or the one of the answers that is to be changed; and what was answered."""
    desk = place.desk
    again = (view.get("asking", ""),)
    text = interview.asked_again(desk.text, again) if again in HEAD[:-1] else desk.text
    question = interview.next_question(text, desk.path, printers())
    if question is None or question.at == ("panels",):
        raise EditError("all is answered", fix="go on to Measure")
    opening = f"Each answer is kept in {desk.path.name} at once; stop when you like, and go on from here."
    return {"opening": opening, "question": _question(question), "so_far": _so_far(desk)}


def _question(question: Question) -> dict[str, Any]:
    found: dict[str, Any] = {
        "at": list(question.at),
        "asked": question.asked,
        "about": question.about,
        "default": question.default,
        "choices": [list(one) for one in question.choices],
    }
    if question.at == ("body",):
        found["patches"] = [[name, code] for name, code in PALETTE.items()]
        found["about"] = "a colour below, a plain name such as dark red, or a code such as #1d2b4a"
    return found


def _so_far(desk: Desk) -> list[dict[str, Any]]:
    now, whole = interview.reached(desk.text), desk.values
    before = HEAD[: HEAD.index(now.on)] if now is not None and now.on in HEAD else ()
    return [{"at": name, "shown": whole[name]} for (name,) in before if isinstance(whole.get(name), str)]


def answer(place: Workplace, asked: Mapping[str, Any]) -> None:
    """Takes an answer, ``typed``, to the question at ``at``: the open one, or one that was answered before. Raises
    DecalgenError, with the fix, for what the readers of job files refuse."""
    desk = place.desk
    at = tuple(str(one) for one in asked.get("at", ()))
    if not asking(desk.text) or at not in HEAD[:-1]:
        raise EditError("that is not asked any more", fix="load the page again")
    question = interview.next_question(interview.asked_again(desk.text, at), desk.path, printers())
    assert question is not None
    typed = str(asked.get("typed", ""))
    if " ".join(typed.split()).casefold() == interview.BACK:
        raise EditError(f"'{typed.strip()}' is not an answer here", fix="choose what to change among the answers above")
    text = interview.answered(interview.asked_again(desk.text, at), question, typed, desk.path)
    desk.rewrite(text, at[0])
