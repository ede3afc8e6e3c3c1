"""What `check` does: everything that can be found before film is spent."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from decalgen.commands.decal_lines import decal_lines
from decalgen.commands.next_step import after, measured_first
from decalgen.commands.options import Answer, Made, from_drawer
from decalgen.commands.summary import in_order
from decalgen.core.errors import DecalgenError, InputError, JobError

if TYPE_CHECKING:
    from decalgen.artwork.build import Artwork
    from decalgen.commands.run import Run
    from decalgen.core.errors import Finding
    from decalgen.job.model import Job
    from decalgen.preflight import Fitting
    from decalgen.preflight.checks import Examined


def check(run: Run) -> Made:
    """Everything that can be found before printing; a line a decal, and all clearances in the whole answer.

    Raises JobError for files that cannot be read as jobs."""
    found = findings_of(run)
    lines, brief = decal_lines(run.jobs, run.examined, found)
    decals = sum(len(job.decals) for job in run.jobs)
    pieces = sum(pieces_of(job, run.examined.fits[job.name], run.examined.artworks[job.name]) for job in run.jobs)
    done = f"checked {_count(len(run.jobs), 'job')}, {_count(decals, 'decal')}, {_count(pieces, 'piece')}"
    answer = Answer(done, _next(run, found), whole=tuple(_all_fits(run.jobs, run.examined)), brief=brief)
    return Made({}, found, lines, answer)


def _next(run: Run, found: Sequence[Finding]) -> str:
    errors = [one for one in found if one.severity == "error"]
    then = after("proof", run)
    if errors:
        then = f"correct the error{'s' * (len(errors) > 1)}, then run: {after('check', run)}"
    return measured_first(run, then)


def _count(number: int, what: str) -> str:
    return f"{number} {what}{'' if number == 1 else 's'}"


def findings_of(run: Run) -> tuple[Finding, ...]:
    """What the rules find, and what `sheet` would refuse with these options; errors first."""
    # What was arranged already is not tried again.
    found = [] if run.arranged or _surely_printed(run) else _refused(run)
    return tuple(in_order((*run.examined.findings, *found)))


def _refused(run: Run) -> list[Finding]:
    from decalgen.preflight.printing import cannot_plan, refused

    try:
        return refused(run.jobs, run.plan(), run.examined.artworks)
    except (JobError, InputError):
        raise
    except DecalgenError as error:
        return [cannot_plan(error)]


def _surely_printed(run: Run) -> bool:
    """Whether nothing can be refused, as far as that is seen at a glance; the rest is looked into."""
    from decalgen.commands.inputs import films_of, printers_of
    from decalgen.preflight.surely_printed import surely_printed

    options = run.options
    asks = (
        from_drawer(options.films) or options.effort not in ("quick", "normal", "thorough") or options.gap is not None
    )
    together = any(job.keep_together or not job.decals for job in run.jobs)
    if asks or together:
        return False
    try:
        films = films_of(options, run.jobs, run.printer)
        printers = printers_of(options, films)
    except (JobError, InputError):
        raise
    except DecalgenError:
        return False
    printer = next(iter(printers.values()), run.printer)
    return surely_printed([art for some in run.examined.artworks.values() for art in some], films, printer)


def _all_fits(jobs: Sequence[Job], found: Examined) -> list[str]:
    """Each job in a line, under it how each decal fits its panel."""
    rows = []
    for job in jobs:
        count = pieces_of(job, found.fits[job.name], found.artworks[job.name])
        things = ((len(job.panels), "panel"), (len(job.decals), "decal"), (count, "piece"))
        counted = ", ".join(_count(number, what) for number, what in things)
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
