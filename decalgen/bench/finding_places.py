"""Where on the page one looks after a finding that is about no decal and no reading that is asked. Pure."""

from __future__ import annotations

from decalgen.core.errors import Finding
from decalgen.job.model import Job

_SHEET = frozenset(
    [
        "cannot-print",
        "pin-refused",
        "outside-margin",
        "on-used-film",
        "on-marks",
        "pieces-overlap",
        "sheet-wasted",
        "no-room-for-number",
        "no-registration",
        "tick-left-out",
        "film-process",
        "film-unsuited",
        "film-too-small",
    ]
)
"""Findings on the film and on what lies on it."""
_PRINTER = frozenset(("drift", "leans", "one-span", "spans-differ", "slip", "scaled", "not-to-scale"))
"""Findings on how a printer prints."""


def where_to(one: Finding, job: Job | None) -> dict[str, str]:
    """The screen where it can be seen to, and what is to be unfolded there."""
    if one.code in _SHEET or one.subject == "sheet":
        return {"screen": "draw" if one.code == "nothing-to-print" else "sheet"}
    if one.code in _PRINTER:
        return {"screen": "printer"}
    if job is not None and any(_is_on(one.subject, panel.name) for panel in job.panels):
        return {"screen": "measure"}
    # An ink, a paint, a value, or what the job says of itself.
    return {"screen": "draw", "names": "open"}


def _is_on(subject: str, panel: str) -> bool:
    return subject == panel or subject.startswith((f"{panel},", f"{panel}:"))
