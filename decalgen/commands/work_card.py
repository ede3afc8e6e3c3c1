"""The work card that `sheet` leaves for the bench, where it is asked for."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from decalgen.commands.card import PAPERS
from decalgen.core.errors import OutputError

if TYPE_CHECKING:
    from decalgen.commands.options import SheetFiles
    from decalgen.commands.run import Run
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
    from decalgen.export import render
    from decalgen.pages.work_card import work_cards

    letter = abs(arrangement.sheets[0].film.width - PAPERS["Letter"][0]) < 0.5
    size = PAPERS["Letter" if letter else "A4"]
    return {wanted.work_card: render(work_cards(arrangement, run.jobs, *size, run.date), ".pdf")[0]}
