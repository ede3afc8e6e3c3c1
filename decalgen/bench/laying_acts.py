"""What is done on Apply: a piece ticked or not, something else that dries begun, a time corrected, the last of these
taken back. All of it is kept beside the job at once; the job file stays as it is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from decalgen.bench.applied import PieceTick, PutOn, text_of
from decalgen.bench.laying_steps import AFTER, BEFORE, LayingStep, clock_rows, count_of, laying_steps, stage_steps
from decalgen.bench.readable import last_job
from decalgen.job.edits import EditError

if TYPE_CHECKING:
    from decalgen.bench.applying import LaidGuide
    from decalgen.bench.workplace import Workplace

OLDEST_DAYS = 366
"""No time is taken that is longer ago."""


def tick(place: Workplace, asked: Mapping[str, Any]) -> None:
    """Ticks a copy of a piece, or unticks it: ``step``, ``copy``, ``on``. Done already, nothing changes. Raises
    EditError for a piece that is not there, and what `ApplyShelf.put` raises."""
    guide, job = _guide(place)
    step, copy = _copy(guide, asked)
    found = place.apply.now(job)
    there = found.tick(step.piece, copy)
    if asked.get("on") is True:
        if there is None:
            made = PieceTick(*step.piece, copy, text_of(place.apply.clock()), step.drawn, step.place)
            _put(place, job, f"{step.called} is on", replace(found, ticks=(*found.ticks, made)))
    elif there is not None:
        _put(place, job, f"{step.called} is not on", found.without(step.piece, copy))


def forget(place: Workplace, asked: Mapping[str, Any]) -> None:
    """Unticks a piece that the job has no more: its ``tick`` as the page was told of it. Raises EditError."""
    _, job = _guide(place)
    found = place.apply.now(job)
    name = asked.get("tick")
    one = next((one for one in found.ticks if one.key == name), None)
    if one is None:
        raise EditError("that tick is not there any more", fix="look at the page again")
    _put(place, job, f"'{one.decal}' is forgotten", found.without(one.piece, one.copy))


def begin(place: Workplace, asked: Mapping[str, Any]) -> None:
    """Begins a row of the clock, ``what``, or takes its beginning back (``on``: no). Raises EditError for a row that
    begins with a tick, or is not there."""
    guide, job = _guide(place)
    found, what = place.apply.now(job), _by_hand(guide, place, asked)
    if asked.get("on") is True:
        if found.started(what) is None:
            _put(place, job, f"{what} begun", found.dries(what, text_of(place.apply.clock())))
    else:
        _put(place, job, f"{what} not begun", found.dries(what, None))


def done(place: Workplace, asked: Mapping[str, Any]) -> None:
    """Ticks a ``step`` of the work before or after laying, or unticks it. Raises EditError for one that is not
    there."""
    guide, job = _guide(place)
    found, key = place.apply.now(job), str(asked.get("step", ""))
    step = dict((*stage_steps(guide, BEFORE), *stage_steps(guide, AFTER))).get(key)
    if step is None:
        raise EditError("that step is not there any more", fix="look at the page again")
    rest = tuple(one for one in found.steps if one != key)
    on = asked.get("on") is True
    _put(place, job, f"{step.name} {'done' if on else 'not done'}", replace(found, steps=(*rest, key) if on else rest))


def correct(place: Workplace, asked: Mapping[str, Any]) -> None:
    """Corrects since when a piece is on (``step``, ``copy``), or something else dries (``what``): ``at``, in seconds
    since 1970. Raises EditError for a time that is still to come, or too long ago."""
    guide, job = _guide(place)
    found, at = place.apply.now(job), asked.get("at")
    now = place.apply.clock()
    if isinstance(at, bool) or not isinstance(at, int | float):
        raise EditError("that is not a time", fix="choose a day, an hour and a minute")
    if not now - OLDEST_DAYS * 86_400 <= at:
        raise EditError("that is more than a year ago", fix="look at the year")
    if at > now + 60:
        raise EditError("that time is still to come", fix="choose when it was put on, not when it will be dry")
    if "what" in asked:
        what = _by_hand(guide, place, asked)
        _put(place, job, f"time of {what}", found.dries(what, text_of(at)))
        return
    step, copy = _copy(guide, asked)
    there = found.tick(step.piece, copy)
    if there is None:
        raise EditError(f"{step.called} is not ticked any more", fix="tick it first")
    rows = tuple(replace(one, begun=text_of(at)) if one is there else one for one in found.ticks)
    _put(place, job, f"time of {step.called}", replace(found, ticks=rows))


def back(place: Workplace, asked: Mapping[str, Any]) -> None:
    """Takes back what was done last, if that is still what the page showed as ``label``. Raises EditError."""
    if asked.get("label") != place.apply.last:
        raise EditError("something else was done meanwhile", fix="look at it, then try again")
    place.apply.back(last_job(place).name)
    _tell(place)


def take_over(place: Workplace, asked: Mapping[str, Any]) -> None:
    """Takes the ticks that are kept as those of this job, whatever it was called."""
    place.apply.take_over(last_job(place).name)
    _tell(place)


def put_aside(place: Workplace, asked: Mapping[str, Any]) -> None:
    """Sets the kept file aside under another name. Raises OutputError."""
    place.apply.begin_again()
    _tell(place)


def _put(place: Workplace, job: str, label: str, found: PutOn) -> None:
    guide, _ = _guide(place)
    place.apply.put(job, label, replace(found, pieces=count_of(laying_steps(guide))))
    _tell(place)


def _tell(place: Workplace) -> None:
    """Other tabs show it too."""
    place.tell(made="applied", version=place.desk.version)


def _guide(place: Workplace) -> tuple[LaidGuide, str]:
    if place.apply.guide is None:
        raise EditError("there is no guide yet", fix="wait until it is worked out")
    return place.apply.guide, last_job(place).name


def _copy(guide: LaidGuide, asked: Mapping[str, Any]) -> tuple[LayingStep, int]:
    """The step that is asked for, and which copy of its piece."""
    key, copy = asked.get("step"), asked.get("copy")
    step = next((one for one in laying_steps(guide) if one.key == key), None)
    if step is None or isinstance(copy, bool) or copy not in step.copies:
        raise EditError("that piece is not there any more", fix="look at the page again")
    return step, step.copies[step.copies.index(copy)]


def _by_hand(guide: LaidGuide, place: Workplace, asked: Mapping[str, Any]) -> str:
    """The row of the clock that is asked for. Raises EditError for one that begins with a tick."""
    what = asked.get("what")
    rows = clock_rows(guide, laying_steps(guide), place.apply.now(last_job(place).name))
    if what not in [one["what"] for one in rows if one["hand"]]:
        raise EditError("that row of the clock begins with a tick, or is not there", fix="look at the page again")
    return str(what)


LAYING_ACTS = {
    "tick": tick,
    "forget": forget,
    "begin": begin,
    "done": done,
    "correct": correct,
    "back": back,
    "take_over": take_over,
    "set_aside": put_aside,
}
"""What can be done on Apply, but for its papers."""
