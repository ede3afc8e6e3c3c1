"""Where a step of the job stands, as the card beside the page tells it."""

from __future__ import annotations

from decalgen.core.values import dataclass


@dataclass(frozen=True)
class StepStanding:
    """``done``: nothing is open there; ``words``: in a line, where it stands."""

    done: bool
    words: str


def counted(count: int, what: str, several: str = "") -> str:
    """'1 reading', '2 readings'."""
    return f"{count} {what if count == 1 else several or what + 's'}"
