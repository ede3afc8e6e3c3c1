"""What has to be done before anything is printed, and on which screen."""

from __future__ import annotations

from typing import TYPE_CHECKING

from decalgen.bench.standing import counted, open_readings

if TYPE_CHECKING:
    from decalgen.bench.workplace import Workplace

SCREENS = {"measure": "Measure", "draw": "Draw", "check": "Check", "proof": "Proof"}


def waits_for(place: Workplace) -> list[str]:
    """What has to be done before anything is printed."""
    return [words for _, words in open_ends(place)]


def open_ends(place: Workplace) -> list[tuple[str, str]]:
    """The same, each with the screen where it is done; '' where that is no screen of this job."""
    desk = place.desk
    mates = [("", one) for one in place.mates.waits(place.sheet_jobs()[1:])]
    found = [("", f"{counted(len(desk.problems), 'mistake')} in the file")] if desk.problems else []
    if desk.job is None or not desk.job.decals:
        return [*found, ("draw", "a decal"), *mates]
    left = open_readings(desk.job)
    if left:
        found.append(("measure", counted(left, "reading")))
    errors = sum(one.severity == "error" for one in place.findings or ())
    if errors and place.examined_now:
        found.append(("check", f"{counted(errors, 'error')} on Check"))
    return found + mates


def leads(ends: list[tuple[str, str]]) -> list[dict[str, str]]:
    """The screens where one goes on, each once."""
    return [{"screen": key, "name": SCREENS[key]} for key in dict(ends) if key]
