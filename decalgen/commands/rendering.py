"""Documents to the bytes of files, and what they are called after the jobs they are of."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from decalgen.core.files import write_files

if TYPE_CHECKING:
    from decalgen.core.document import Document
    from decalgen.job.model import Job


def rendered(document: Document, output: Path, dpi: float | None = None) -> dict[Path, bytes]:
    """The files of a document; a form with one picture a file numbers them when there are several pages. ``dpi``: for
    a form made of dots."""
    from decalgen.export import exporter, render

    dots = {"dpi": dpi} if dpi is not None and "dpi" in exporter(str(output)).options else {}
    pages = render(document, str(output), **dots)
    if len(pages) == 1:
        return {output: pages[0]}
    return {output.with_name(f"{output.stem}-{n}{output.suffix}"): data for n, data in enumerate(pages, start=1)}


def save(document: Document, output: Path) -> tuple[Path, ...]:
    """Writes a document in the form its ending names."""
    return write_files(rendered(document, output))


def title_of(jobs: Sequence[Job]) -> str:
    """What several jobs are called together."""
    if len(jobs) <= 2:
        return " and ".join(job.title for job in jobs)
    return f"{jobs[0].title} and {len(jobs) - 1} more"


def date_of(jobs: Sequence[Job]) -> str | None:
    """The latest of the jobs' own dates."""
    dates = sorted(job.date for job in jobs if job.date)
    return dates[-1] if dates else None
