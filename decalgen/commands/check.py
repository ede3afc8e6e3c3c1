"""What `check` does: everything that can be found before film is spent."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from decalgen.commands.options import Made

if TYPE_CHECKING:
    from decalgen.artwork.build import Artwork
    from decalgen.commands.run import Run
    from decalgen.job.model import Job
    from decalgen.preflight import Fitting
    from decalgen.preflight.checks import Examined


def check(run: Run) -> Made:
    """Everything that can be found before printing. Raises JobError for files that cannot be read as jobs."""
    return Made({}, run.examined.findings, tuple(_summary(run.jobs, run.examined)))


def _summary(jobs: Sequence[Job], found: Examined) -> list[str]:
    """Each job in a line, under it how each decal fits its panel."""
    rows = []
    for job in jobs:
        count = pieces_of(job, found.fits[job.name], found.artworks[job.name])
        things = ((len(job.panels), "panel"), (len(job.decals), "decal"), (count, "piece"))
        counted = ", ".join(f"{number} {what}{'' if number == 1 else 's'}" for number, what in things)
        rows.append(f"{job.title}: {counted}")
        rows += [row for one in found.fits[job.name] for row in one.lines()]
    if any(job.decals for job in jobs):
        rows.append("\N{PLUS-MINUS SIGN} is the expanded uncertainty (k = 2); a negative clearance overhangs")
    return rows


def pieces_of(job: Job, fits: Sequence[Fitting], drawn: Sequence[Artwork]) -> int:
    """How many pieces a job puts on film, spares and backings of white film counted."""
    from decalgen.artwork.backing import backings
    from decalgen.artwork.build import hands

    under = sum(len(backings(art)) * (art.decal.copies + art.decal.spares) for art in drawn)
    count = sum(len(hands(d)) * (d.copies + d.spares) for d in job.decals)
    return under + count + sum((one.parts - 1) * (one.decal.copies + one.decal.spares) for one in fits)
