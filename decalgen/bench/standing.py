"""Where a step of the job stands, as the card beside the page tells it."""

from __future__ import annotations

from pathlib import Path

from decalgen.core.errors import DecalgenError
from decalgen.core.values import dataclass


@dataclass(frozen=True)
class StepStanding:
    """``done``: nothing is open there; ``words``: in a line, where it stands."""

    done: bool
    words: str


def counted(count: int, what: str, several: str = "") -> str:
    """'1 reading', '2 readings'."""
    return f"{count} {what if count == 1 else several or what + 's'}"


def error_words(error: DecalgenError) -> str:
    """What was wrong, where, and what to do, in a line."""
    where = f"{Path(error.place.file).name}, line {error.place.line}: " if error.place else ""
    return f"{where}{error.message}: {error.fix}" if error.fix else f"{where}{error.message}"
