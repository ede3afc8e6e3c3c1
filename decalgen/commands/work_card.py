"""The work card that `sheet` leaves for the bench, where it is asked for."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from decalgen.commands.card import PAPERS
from decalgen.core.errors import InputError, OutputError, did_you_mean

if TYPE_CHECKING:
    from decalgen.commands.options import Made, SheetFiles
    from decalgen.commands.run import Run
    from decalgen.job.model import Job
    from decalgen.sheet.arrange import Arrangement


def check_card(wanted: SheetFiles) -> None:
    """Raises OutputError for a card that is to be anything but a PDF."""
    if wanted.work_card is not None and wanted.work_card.suffix.lower() != ".pdf":
        raise OutputError(
            f"'{wanted.work_card.name}' is not a PDF", fix="name a file .pdf after --work-card, like sheet-card.pdf"
        )


def work_card_files(run: Run, wanted: SheetFiles, arrangement: Arrangement) -> dict[Path, bytes]:
    """The cards of all sheets as one file, on Letter where the film is that wide and else on A4; none unless asked."""
    if wanted.work_card is None:
        return {}
    letter = abs(arrangement.sheets[0].film.width - PAPERS["Letter"][0]) < 0.5
    return {wanted.work_card: _printed(arrangement, run.jobs, "Letter" if letter else "A4")}


def make_work_card(arrangement: Arrangement, jobs: Sequence[Job], output: Path, paper: str) -> Made:
    """The cards of some sheets as one PDF, on that paper. Raises InputError for another paper."""
    from decalgen.commands.options import Answer, FileGroup, Made

    if paper not in PAPERS:
        raise InputError(f"the card is not printed on '{paper}'", fix=did_you_mean(paper, list(PAPERS)))
    answer = Answer("made the work card", "print it", (FileGroup("work card, for the bench", (output,)),))
    return Made({output: _printed(arrangement, jobs, paper)}, answer=answer)


def _printed(arrangement: Arrangement, jobs: Sequence[Job], paper: str) -> bytes:
    from decalgen.commands.rendering import date_of
    from decalgen.export import render
    from decalgen.pages.work_card import work_cards

    return render(work_cards(arrangement, jobs, *PAPERS[paper], date_of(jobs)), ".pdf")[0]
