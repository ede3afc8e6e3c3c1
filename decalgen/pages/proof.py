"""The proof: the very same sheet for plain paper, with its key, the panels to cut out, and what to measure. Pure."""

from __future__ import annotations

from collections.abc import Sequence

from decalgen.core.document import Document
from decalgen.job.model import Job
from decalgen.pages.key import key_pages
from decalgen.pages.proof_bars import ProofWords
from decalgen.pages.proof_sheet import sheet_pages
from decalgen.sheet.arrange import Arrangement


def proof(
    arrangement: Arrangement,
    jobs: Sequence[Job],
    title: str,
    date: str | None,
    share: float | None = None,
    code: str = "",
) -> Document:
    """The proof of an arrangement: a page a sheet at the film's size, then the key, readings, panels and cautions.

    ``share``: how far a size may be off, as a part of it; None: that is not said. ``code``: what stands on each sheet,
    to be typed with its readings; empty: nothing."""
    titles = {job.name: job.title for job in jobs}
    letters = {one.piece.letter: titles[one.piece.artwork.job] for s in arrangement.sheets for one in s.placed}
    told = ProofWords(share, code, dict(sorted((letter, title) for letter, title in letters.items() if letter)))
    pages = [page for sheet in arrangement.sheets for page in sheet_pages(sheet, told)]
    pages += key_pages(arrangement, jobs)
    printer = arrangement.sheets[0].printer
    return Document(
        tuple(pages),
        title=f"{title}: proof",
        subject="proof on plain paper: print at 100 %, without fitting",
        keywords=(f"arrangement {arrangement.digest[:16]}",),
        date=date,
        scale=(printer.scale_x, printer.scale_y),
        lean=printer.lean,
    )
