"""The papers for the bench, made from Apply: the placement guide as PDF or HTML, and the work card."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from decalgen.bench.print_files import written
from decalgen.bench.readable import last_job
from decalgen.commands.card import PAPERS
from decalgen.job.edits import EditError
from decalgen.sheet.record import RECORD_ENDING

if TYPE_CHECKING:
    from decalgen.bench.workplace import Workplace

GUIDE, CARD = "guide", "work card"


def papers_made(place: Workplace) -> list[dict[str, Any]]:
    """What came of making them, while the page is open."""
    return [place.results[name] for name in (GUIDE, CARD) if place.results.get(name)]


def guide(place: Workplace, asked: Mapping[str, Any]) -> None:
    """Writes the placement guide of this job beside it, as PDF on the ``paper`` asked for, with its numbers among all
    jobs of the sheet, and as one HTML file. Raises EditError for a paper there is not, BusyError."""
    paper, path, name = _paper(asked), place.desk.path, last_job(place).name
    paths, options = place.sheet_jobs(), place.options()
    place.desk.keep()

    def work() -> dict[str, Any]:
        from decalgen.commands.guide import make_guide
        from decalgen.commands.run import Run

        outputs = [path.with_name(f"{path.stem}-guide{ending}") for ending in (".pdf", ".html")]
        return written(make_guide(Run(paths, options), outputs, paper, name))

    place.start(GUIDE, "making the guide", work)


def work_card(place: Workplace, asked: Mapping[str, Any]) -> None:
    """Writes the work card of the sheet beside the job: of what was printed, where its record is there, else of the
    proof. Raises EditError where there is neither, or for a paper there is not, BusyError."""
    paper, path, saved = _paper(asked), place.desk.path, place.saved_proof()
    record = _record(place)
    if saved is None and record is None:
        raise EditError("the work card is of a sheet, and none is proven yet", fix="make the proof first")
    paths, options = place.sheet_jobs(), place.options()
    place.desk.keep()

    def work() -> dict[str, Any]:
        from decalgen.commands.again import recorded_sheets
        from decalgen.commands.run import Run
        from decalgen.commands.work_card import make_work_card

        if record is not None:
            sheets, jobs = recorded_sheets(record)
        else:
            run = Run(paths, options)
            sheets, jobs = run.arrangement(saved), run.jobs
        return written(make_work_card(sheets, jobs, path.with_name(f"{path.stem}-work-card.pdf"), paper))

    place.start(CARD, "making the work card", work)


def _record(place: Workplace) -> Path | None:
    """The record of the sheet that was made from the proof; None where there is none."""
    names = [name for group in place.proof_on_disk().sheet for name in group.names if name.endswith(RECORD_ENDING)]
    return place.desk.path.with_name(names[0]) if names else None


def _paper(asked: Mapping[str, Any]) -> str:
    paper = str(asked.get("paper", "")) or "A4"
    if paper not in PAPERS:
        raise EditError(f"there is no such paper as '{paper[:40]}'", fix=f"choose one of {', '.join(PAPERS)}")
    return paper


PAPER_ACTS = {"guide": guide, "work_card": work_card}
"""What makes them."""
