"""What the page and another tab, or an editor, changed both, for the page."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from decalgen.bench.blanks import as_text
from decalgen.bench.desk import ClashError, StaleError, path_words, value_words


def stale_words(error: StaleError) -> dict[str, Any]:
    """Both sides of a change that was made twice: in words, and the value there as it is compared; and how it is made
    all the same, where it was not asked as a change of a value."""
    found = {
        "message": error.message,
        "fix": error.fix,
        "of": path_words(error.edit.at),
        "at": list(error.edit.at),
        "mine": value_words(error.edit.to),
        "theirs": value_words(error.theirs),
        "raw": error.theirs,
    }
    if error.instead:
        found["label"] = error.label
        found["edits"] = [
            {"do": one.do, "at": list(one.at), "was": one.was, "to": as_text(one.to)} for one in error.instead
        ]
    return found


def clash_words(error: ClashError | None) -> dict[str, Any] | None:
    """What the page and an editor changed both, for the page."""
    if error is None:
        return None
    return {
        "of": error.of,
        "message": error.message,
        "fix": error.fix,
        "places": [asdict(one) for one in error.clashes],
    }
