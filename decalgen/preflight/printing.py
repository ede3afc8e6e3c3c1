"""Rules for film, printer and decals together: whatever `sheet` would refuse, told by a check."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from decalgen.artwork.build import Artwork
from decalgen.core.errors import DecalgenError, Finding, Place
from decalgen.job.model import Job
from decalgen.sheet.plan import Plan
from decalgen.sheet.refusals import Refusal, refusals


def refused(jobs: Sequence[Job], plan: Plan, made: Mapping[str, Sequence[Artwork]]) -> list[Finding]:
    """An error for all that `arrange` would raise, and a warning where there is nothing to print yet."""
    if not any(job.decals for job in jobs):
        return [
            Finding(
                "warning",
                "nothing-to-print",
                "sheet",
                "no job has a decal, so there is nothing to print",
                "add a decal to the job file",
            )
        ]
    return [_finding(one) for one in refusals(jobs, plan, made)]


def cannot_plan(error: DecalgenError) -> Finding:
    """What keeps film and printer from being found at all."""
    return Finding("error", "cannot-print", "sheet", *_told(error, None))


def _finding(one: Refusal) -> Finding:
    told = _told(one.error, one.place)
    if one.kind == "process":
        return Finding("error", "film-process", one.subject, *told)
    if one.kind == "film":
        return Finding("error", "film-unsuited", one.subject, *told)
    if one.kind == "size":
        return Finding("error", "film-too-small", one.subject, *told)
    if one.kind == "pin":
        return Finding("error", "pin-refused", one.subject, *told)
    return Finding("error", "cannot-print", one.subject, *told)


def _told(error: DecalgenError, place: Place | None) -> tuple[str, str, Place | None]:
    return error.message, error.fix, error.place or place
