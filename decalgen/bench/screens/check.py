"""Check: everything that can be found before film is spent, errors first, each with where it is."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from decalgen.bench.desk import Desk
from decalgen.bench.standing import StepStanding, counted
from decalgen.core.errors import Finding

if TYPE_CHECKING:
    from decalgen.bench.workplace import Workplace

NAME = "Check"
ABOUT = "what to correct before film is spent"


def standing(place: Workplace) -> StepStanding:
    """How many errors there are; a file that cannot be read is the first of them."""
    desk, findings = place.desk, place.findings
    if desk.problems:
        return StepStanding(False, f"{counted(len(desk.problems), 'mistake')} in the file")
    if findings is None:
        return StepStanding(False, "looking ...")
    if desk.job is not None and not desk.job.decals:
        return StepStanding(False, "no decal yet")
    count = [sum(one.severity == severity for one in findings) for severity in ("error", "warning")]
    if count[0]:
        return StepStanding(False, f"{count[0]} to correct")
    return StepStanding(True, f"no errors, {counted(count[1], 'warning')}" if count[1] else "nothing to correct")


def state(place: Workplace, view: Mapping[str, str]) -> dict[str, Any]:
    """The findings, in words that the commands use too, with the version of the text they are of."""
    desk, findings, version = place.desk, place.findings, place.findings_of
    if findings is None:
        return {"opening": "Looking at every decal ...", "findings": [], "fits": [], "of": version}
    rows = [finding_data(desk, one) for one in findings]
    counts = [(sum(one.severity == word for one in findings), word) for word in ("error", "warning", "note")]
    said = ", ".join(counted(count, word) for count, word in counts if count)
    opening = f"{said[:1].upper()}{said[1:]}." if said else "Nothing to correct."
    if version != desk.version:
        opening += " As of a moment ago."
    return {"opening": opening, "findings": rows, "fits": _fits(desk, place.fits), "of": version}


def _fits(desk: Desk, lines: Sequence[str]) -> list[dict[str, Any]]:
    """The lines of decals that nothing is found on, each with the decal it is about."""
    decals = {decal.name: decal.panel for decal in desk.job.decals} if desk.job else {}
    found = []
    for line in lines:
        name = max((name for name in decals if line.startswith(f"{name},")), key=len, default="")
        found.append({"text": line, "decal": name, "panel": decals.get(name, "")})
    return found


def finding_data(desk: Desk, one: Finding) -> dict[str, Any]:
    """A finding for the page, with the decal it is about, if it is one."""
    decals = {decal.name: decal.panel for decal in desk.job.decals} if desk.job else {}
    name = next((name for name in decals if one.subject == name or one.subject.startswith(f"{name},")), "")
    return {
        "severity": one.severity,
        "subject": one.subject,
        "message": one.message,
        "fix": one.fix,
        "decal": name,
        "panel": decals.get(name, ""),
        "line": one.place.line if one.place else 0,
        "areas": [list(area) for area in one.areas],
    }
