"""Check: everything that can be found before film is spent, errors first, each with where it is."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from decalgen.bench.desk import Desk
from decalgen.bench.examining import is_about
from decalgen.bench.finding_places import where_to
from decalgen.bench.page_words import on_page
from decalgen.bench.screens.measure import slots
from decalgen.bench.standing import StepStanding, counted, held_up
from decalgen.core.errors import Finding

if TYPE_CHECKING:
    from decalgen.bench.examining import FitLine
    from decalgen.bench.workplace import Workplace
    from decalgen.commands.questions import Slot

NAME = "Check"
ABOUT = "what to correct before film is spent"
CHECKED = "being checked ..."
"""Where the step stands from a change until every decal was looked at: no verdict of before it stands there."""
MOST_AREAS = 40
"""So many places of one finding are marked."""


def standing(place: Workplace) -> StepStanding:
    """How many errors there are; a file that cannot be read is the first of them."""
    desk, findings = place.desk, place.findings
    if desk.problems:
        return StepStanding(False, f"{counted(len(desk.problems), 'mistake')} in the file")
    if desk.job is not None and not desk.job.decals:
        return StepStanding(False, "no decal yet")
    if findings is None or not place.examined_now:
        return StepStanding(False, CHECKED, looking=True)
    count = [sum(one.severity == severity for one in findings) for severity in ("error", "warning")]
    if count[0]:
        return StepStanding(False, f"{count[0]} to correct")
    return StepStanding(True, f"no errors, {counted(count[1], 'warning')}" if count[1] else "nothing to correct")


def state(place: Workplace, view: Mapping[str, str]) -> dict[str, Any]:
    """The findings, in words that the commands use too, with the version of the text they are of; the decals that
    nothing is found on, and those that wait for readings. While they are looked for anew, those of before the change
    are marked as ``past``."""
    desk, findings, version = place.desk, place.findings, place.findings_of
    if findings is None:
        return {"opening": _opening(place, None), "findings": [], "fits": [], "waiting": [], "of": version}
    read = slots(desk)
    now, first = place.examined_now, place.told_first
    rows = [finding_data(desk, one, read) | {"past": not now and not is_about(one, first)} for one in findings]
    lines = [(_fit(desk, one, read) | {"past": not now}, one.waits) for one in place.fits if one.decal != first]
    found = {"fits": [row for row, waits in lines if not waits], "waiting": [row for row, waits in lines if waits]}
    return {"opening": _opening(place, findings), "findings": rows, **found, "of": version}


def _opening(place: Workplace, findings: Sequence[Finding] | None) -> str:
    """How much there is to correct, and whether Proof and Print wait for it."""
    job, first = place.desk.job, place.told_first
    problems = len(place.desk.problems)
    if problems:
        return f"{counted(problems, 'mistake')} in the file: Proof and Print wait until it can be read."
    if job is not None and not job.decals:
        return "No decal is drawn yet: Proof and Print wait for one."
    if findings is None:
        return "Looking at every decal ..."
    if not place.examined_now:
        opening = f"Being checked ... {first} is done; what" if first else "Being checked ... What"
        return f"{opening} is grey is from before the last change."
    counts = {word: sum(one.severity == word for one in findings) for word in ("error", "warning", "note")}
    said = ", ".join(counted(count, word) for word, count in counts.items() if count) or "nothing to correct"
    opening = f"{said[:1].upper()}{said[1:]}"
    if counts["error"]:
        opening += f": Proof and Print wait until the {'error is' if counts['error'] == 1 else 'errors are'} corrected"
    elif counts["warning"]:
        opening += ", none of which holds up Proof and Print"
    held = held_up(job) if job is not None else ""
    return f"{opening}. {held}" if held else f"{opening}."


def _fit(desk: Desk, one: FitLine, read: Sequence[Slot]) -> dict[str, Any]:
    """The line of a decal that nothing is found on, and the reading that it waits for first."""
    panel = _panels(desk).get(one.decal, "")
    left = [slot for slot in read if slot.open and slot.path[1] in (one.decal, panel)]
    found = {"text": one.text, "decal": one.decal, "panel": panel, "ask": list(left[0].path) if left else None}
    # A reading of an included file is asked nowhere, but Measure says where it is.
    return found | ({"screen": "measure"} if one.waits and not left else {})


def finding_data(desk: Desk, one: Finding, read: Sequence[Slot]) -> dict[str, Any]:
    """A finding for the page, with where it is: the decal, and the hand and the places on it; or the reading of a panel
    to look at; else the screen to ``go`` to; and the line of the file."""
    decals = _panels(desk)
    name = next((name for name in decals if one.subject == name or one.subject.startswith(f"{name},")), "")
    ask = None if name else _reading(one, read)
    return {
        "severity": one.severity,
        "subject": one.subject,
        "message": one.message,
        "fix": on_page(one.fix),
        "decal": name,
        "panel": decals.get(name, ""),
        "hand": "right" if one.subject == f"{name}, right" else "",
        "ask": list(ask.path) if ask else None,
        "go": {} if name or ask else where_to(one, desk.job),
        "line": one.place.line if one.place else 0,
        "where": _where(desk, one),
        "written": one.place.text.strip() if one.place else "",
        "areas": [list(area) for area in one.areas[:MOST_AREAS]],
    }


def _panels(desk: Desk) -> dict[str, str]:
    """The panel of each decal, by the decal's name."""
    return {decal.name: decal.panel for decal in desk.job.decals} if desk.job else {}


def _where(desk: Desk, one: Finding) -> str:
    """'line 12', with the name of the file where it is an included one; '' where no line is known."""
    if one.place is None:
        return ""
    name = Path(one.place.file).name
    return f"line {one.place.line}" if name == desk.path.name else f"{name}, line {one.place.line}"


def _reading(one: Finding, read: Sequence[Slot]) -> Slot | None:
    """The reading that a finding on a panel or an obstacle is about: the one it names, else an open one, else the
    first; None for what is about no panel."""
    there = [slot for slot in read if one.subject in (slot.path[1], slot.subject, slot.name)]
    there = there or [slot for slot in read if one.subject.startswith((f"{slot.path[1]},", f"{slot.path[1]}:"))]
    said = f"{one.subject} {one.message}"
    named = [slot for slot in there if re.search(rf"\b{re.escape(slot.key)}\b", said)]
    return next(iter(named or [slot for slot in there if slot.open] or there), None)
