"""That something is being made just now, and nothing else can be done to it meanwhile."""

from __future__ import annotations

from decalgen.job.edits import EditError


class BusyError(EditError):
    """Refused because of what is at work just now: it is no longer so once that is done."""

    def __init__(self, busy: str) -> None:
        super().__init__(f"decalgen is {busy}", fix="wait until it is done")
