"""Where a step of the job stands, as the card beside the page tells it."""

from __future__ import annotations

from pathlib import Path

from decalgen.bench.page_words import on_page
from decalgen.core.errors import DecalgenError, in_a_sentence
from decalgen.core.names import first_few
from decalgen.core.values import dataclass
from decalgen.job.model import Job


@dataclass(frozen=True)
class StepStanding:
    """``done``: nothing is open there; ``words``: in a line, where it stands; ``looking``: it is not known yet."""

    done: bool
    words: str
    looking: bool = False


def counted(count: int, what: str, several: str = "") -> str:
    """'1 reading', '2 readings'."""
    return f"{count} {what if count == 1 else several or what + 's'}"


def error_words(error: DecalgenError) -> str:
    """What was wrong, where, and what to do, in a line."""
    where = f"{Path(error.place.file).name}, line {error.place.line}: " if error.place else ""
    return where + on_page(in_a_sentence(error))


def open_readings(job: Job) -> int:
    """How many readings of the panels that decals lie on, and of the decals, are still to be taken."""
    used = {decal.panel for decal in job.decals}
    left = sum(len(panel.unmeasured) for panel in job.panels if panel.name in used)
    return left + sum(len(decal.unmeasured) for decal in job.decals)


def held_up(job: Job) -> str:
    """'2 readings open hold up 3 decals: roof, door, bonnet.'; '' where no decal waits."""
    waits = [one.name for one in job.decals if job.panel(one.panel).unmeasured or one.unmeasured]
    left = open_readings(job)
    if not waits:
        return ""
    hold = "holds" if left == 1 else "hold"
    return f"{counted(left, 'reading')} open {hold} up {counted(len(waits), 'decal')}: {first_few(waits)}."
