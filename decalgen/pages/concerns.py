"""What of jobs and their film calls for the cautions that paperwork prints. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from decalgen.artwork.build import Artwork
from decalgen.core.cautions import Concern
from decalgen.job.model import Film, Job, Printer
from decalgen.preflight.emblems import emblems
from decalgen.sheet.arrange import Arrangement


def sheet_concerns(arrangement: Arrangement, jobs: Sequence[Job]) -> set[Concern]:
    """What of the jobs on some sheets calls for a caution."""
    arts = {id(one.piece.artwork): one.piece.artwork for sheet in arrangement.sheets for one in sheet.placed}
    films = [sheet.film for sheet in arrangement.sheets]
    return job_concerns(arts.values(), jobs, arrangement.sheets[0].printer) | film_concerns(films)


def film_concerns(films: Iterable[Film]) -> set[Concern]:
    """What of the film calls for a caution."""
    found: set[Concern] = set()
    for film in films:
        if film.process == "laser":
            found.add("laser")
        elif not film.adhesive:
            # An inkjet print on waterslide film has to be sealed before it is wetted.
            found.add("lacquer")
        if not film.adhesive:
            found.add("waterslide")
    return found


def job_concerns(arts: Iterable[Artwork], jobs: Sequence[Job], printer: Printer) -> set[Concern]:
    """What of the models and what is printed for them calls for a caution."""
    found: set[Concern] = set()
    by_name = {job.name: job for job in jobs}
    for art in arts:
        job = by_name[art.job]
        if job.paint(job.body).finish != "bare metal":
            found.add("paint")
        if "emblem" not in found and emblems(art, art.decal, job, printer):
            found.add("emblem")
    return found
