"""What `guide` does: a placement guide for each model, with the numbers that film bears."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from decalgen.commands.card import PAPERS
from decalgen.commands.next_step import measured_first, open_readings
from decalgen.commands.options import Answer, FileGroup, Made
from decalgen.commands.proof import keep_inputs
from decalgen.core.command_line import quoted
from decalgen.core.errors import InputError, OutputError, did_you_mean

if TYPE_CHECKING:
    from collections.abc import Sequence

    from decalgen.commands.run import Run
    from decalgen.job.model import Film
    from decalgen.pages.guide import GuideMade

ENDINGS = (".pdf", ".html")


def make_guide(run: Run, outputs: Sequence[Path], paper: str = "A4", only: str | None = None) -> Made:
    """A guide for all jobs of a run, or for the one of that name ``only``, as PDF on that paper or as HTML.

    Raises OutputError for another ending, InputError for another paper and for jobs without decals, DecalgenError for
    a decal that cannot be drawn or lies nowhere on its panel."""
    keep_inputs(run, outputs)
    size = _paper(paper)
    made = guides(run, only)
    files = {}
    for output in outputs:
        if output.suffix.lower() not in ENDINGS:
            raise OutputError(f"'{output.name}' is neither PDF nor HTML", fix="name a file .pdf or .html")
        files[output] = _pdf(run, made, size) if output.suffix.lower() == ".pdf" else _html(run, made)
    waiting = open_readings(run)
    count = sum(len(side.items) for one in made for side in one.sides)
    done = f"made the placement guide, {count} piece{'' if count == 1 else 's'} to place"
    if waiting:
        done += f"; {waiting} reading{' is' if waiting == 1 else 's are'} open, so those distances are blank"
    first = quoted(str(outputs[0]))
    step = (
        f"print {first} at 100 % and check its 50 mm line" if outputs[0].suffix.lower() == ".pdf" else f"open {first}"
    )
    paged = tuple(path for path in files if path.suffix.lower() == ".pdf")
    groups = (
        FileGroup(f"print on {paper} at 100 %, for the bench", paged),
        FileGroup("read on a screen, or print at 100 %", tuple(path for path in files if path not in paged)),
    )
    return Made(files, answer=Answer(done, measured_first(run, step), tuple(one for one in groups if one.paths)))


def guides(run: Run, only: str | None = None) -> list[GuideMade]:
    """One guide a job, as values; ``only``: that of one job, with the numbers that it has among all."""
    from decalgen.core.cautions import cautions_for
    from decalgen.pages.concerns import film_concerns, job_concerns
    from decalgen.pages.guide import GuideMade
    from decalgen.pages.guide_sides import guide_sides
    from decalgen.sheet.pieces import pieces

    wanted = [job for job in run.jobs if only in (None, job.name)]
    if not wanted:
        names = [job.name for job in run.jobs]
        raise InputError(f"none of these jobs is called '{only}'", fix=did_you_mean(str(only), names))
    for job in wanted:
        if not job.decals:
            raise InputError(
                f"job '{job.name}' has no decals, so there is nothing to place",
                fix="add one below 'decals:'; `decalgen layouts` lists ready ones",
            )
    found = pieces(run.jobs, run.printer, run.options.hands, {job.name: run.artworks(job) for job in run.jobs})
    together = ", ".join(job.name for job in run.jobs) if len(run.jobs) > 1 else ""
    made = []
    for job in wanted:
        mine = [piece for piece in found if piece.artwork.job == job.name]
        drawn = list({id(one.artwork): one.artwork for one in mine if not one.artwork.backing}.values())
        concerns = job_concerns(drawn, [job], run.printer) | film_concerns(films_laid(run))
        made.append(GuideMade(job.title, guide_sides(job, mine), cautions_for(concerns, bench=True), together))
    return made


def films_laid(run: Run) -> tuple[Film, ...]:
    """The film that pieces are laid from: what the options name; of the drawer every kind that serves, used up or not,
    as pieces are laid after they were printed; where none is named, film for the printer's process."""
    from decalgen.artwork.backing import films_for
    from decalgen.commands.inputs import drawer_sheets, films_of, other_films
    from decalgen.commands.options import from_drawer
    from decalgen.job.films import load_film

    if not from_drawer(run.options.films):
        return films_of(run.options, run.jobs, run.printer)
    kinds = dict.fromkeys(film for job in run.jobs for decal in job.decals for film in films_for(decal, job))
    process, owned = run.printer.process, [one.entry for one in drawer_sheets(run.options)]
    found = list(other_films(run.options, run.printer))
    for kind in kinds:
        if any(film.kind == kind for film in found):
            continue
        glued = [one.adhesive for one in owned if (one.kind, one.process) == (kind, process)]
        like = load_film(f"{kind} A5", process)
        found += [replace(like, adhesive=one) for one in dict.fromkeys(glued or (False,))]
    return tuple(found)


def _paper(name: str) -> tuple[float, float]:
    for paper, size in PAPERS.items():
        if paper.casefold() == name.strip().casefold():
            return size
    raise InputError(f"the guide is not made for '{name}'", fix=did_you_mean(name, list(PAPERS)))


def _html(run: Run, made: Sequence[GuideMade]) -> bytes:
    from decalgen.pages.guide_html import guide_html

    return guide_html(made, f"{run.title}: placement guide")


def _pdf(run: Run, made: Sequence[GuideMade], size: tuple[float, float]) -> bytes:
    from decalgen.core.document import Document
    from decalgen.export import render
    from decalgen.pages.guide import guide_pages

    documents = [guide_pages(one, *size) for one in made]
    whole = Document(
        tuple(page for one in documents for page in one.pages), f"{run.title}: placement guide", date=run.date
    )
    return render(whole, ".pdf")[0]
