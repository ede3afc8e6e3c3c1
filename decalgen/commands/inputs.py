"""What commands read: job files, film, printers, the film drawer. Each by its words; nothing is kept here."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from decalgen.commands.options import Options, from_drawer, of_drawer, sheets_named
from decalgen.core.errors import DecalgenError, FilmError, InputError, JobError, Problem

if TYPE_CHECKING:
    from decalgen.colour.inks import FilmKind
    from decalgen.job.model import Film, Job, Printer
    from decalgen.sheet.positions import Saved
    from decalgen.workshop.drawer import OwnedSheet


def load_jobs(paths: Sequence[Path], variant: str | None = None) -> tuple[Job, ...]:
    """All jobs; the mistakes of all files are reported together. Raises JobError, InputError."""
    from decalgen.job.loader import load_job

    jobs: list[Job] = []
    problems: list[Problem] = []
    for path in paths:
        try:
            jobs.append(load_job(path, variant))
        except JobError as error:
            problems += error.problems
    if problems:
        raise JobError(problems)
    names: dict[str, str] = {}
    for job, path in zip(jobs, paths, strict=True):
        if job.name in names:
            raise DecalgenError(
                f"two jobs are called '{job.name}': {names[job.name]} and {path}",
                fix="give one of them another name after `job:`",
            )
        names[job.name] = str(path)
    return tuple(jobs)


def jobs_of(paths: Sequence[Path], options: Options) -> tuple[Job, ...]:
    """`load_jobs`, each with the measured colours of the films asked for: of two of a kind, the first that has one; of
    the drawer's sheets the darkest, as which of them serve is not known yet, and no warning must be lost.

    Raises also what `load_film` and `Drawer.sheets` raise.
    """
    return on_films(load_jobs(paths, options.variant), options)


def on_films(jobs: tuple[Job, ...], options: Options) -> tuple[Job, ...]:
    """Jobs with the measured colours and opacity of the films asked for, as `jobs_of`; it raises the same."""
    from decalgen.job.films import load_film

    films = [load_film(words) for words in options.films if not of_drawer(words)]
    colours = {film.kind: film.colour for film in reversed(films) if film.colour}
    covering = next((film.opacity for film in films if film.opacity is not None), None)
    if from_drawer(options.films):
        owned = drawer_sheets(options)
        colours |= _drawer_colours(owned)
        # As with colours, the sheet that shows most of the body: no warning must be lost.
        known = [one.entry.opacity for one in owned if one.entry.opacity is not None and not one.free.is_empty]
        covering = min(known, default=covering)
    if not colours and covering is None:
        return jobs
    return tuple(replace(job, film_colours=tuple(sorted(colours.items())), film_opacity=covering) for job in jobs)


def _drawer_colours(sheets: Sequence[OwnedSheet]) -> dict[FilmKind, str]:
    """The darkest measured colour of each kind of film that is left in sheets of the drawer."""
    from decalgen.colour.typed import parse

    left = [one.entry for one in sheets if one.entry.colour and not one.free.is_empty]
    # The last of a kind stands: sorted so that it is the darkest.
    ordered = sorted(left, key=lambda entry: -parse(entry.colour).lab[0])
    return {entry.kind: entry.colour for entry in ordered}


def printer_in(jobs: Sequence[Job]) -> str | None:
    """The kept profile that jobs name; None where none does. A job comes from a stranger, so it names no file.

    Raises InputError for a file, and for jobs that name different printers.
    """
    from decalgen.workshop.profiles import is_file

    named = list(dict.fromkeys(job.printer for job in jobs if job.printer))
    for name in named:
        if is_file(name):
            raise InputError(
                f"the job's printer '{name}' is a file",
                fix="name a kept profile in the job; a file goes after --printer",
            )
    if len(named) > 1:
        said = " and ".join(f"'{name}'" for name in named[:2])
        raise InputError(f"the jobs name different printers: {said}", fix="say which, with --printer")
    return named[0] if named else None


def printer_of(options: Options) -> Printer:
    """The printer asked for by file or by words, or one that suits any printer when in doubt.

    By words it is the printer with any of its films: `printers_of` has its correction for each.
    """
    from decalgen.job.model import Printer
    from decalgen.workshop.profiles import printer_named

    return printer_named(options.printer) if options.printer else Printer()


def shops(printer: Printer) -> Printer:
    """The printer of a print shop that prints with the colours and margins of this one."""
    from decalgen.job.model import Printer

    name = "print shop" if printer.name == Printer.name else printer.name
    return replace(printer, name=name, scale_x=1.0, scale_y=1.0, lean=0.0, history=None, shop=True)


def printers_of(options: Options, films: Sequence[Film]) -> dict[str, Printer]:
    """The printer as its profiles correct it for each film, by the film's name; a print shop's is not corrected.

    Raises FilmError where a profile is for another film, or several profiles hold, or where they differ in margins.
    """
    from decalgen.job.model import Printer
    from decalgen.workshop.profiles import printer_for

    if options.press:
        # Its colours and margins count, whichever film it was calibrated for.
        return dict.fromkeys((film.name for film in films), shops(printer_of(options)))
    found = {film.name: printer_for(options.printer, film) if options.printer else Printer() for film in films}
    margins = {printer.margins for printer in found.values()}
    if len(margins) > 1:
        raise FilmError(
            f"the profiles of '{options.printer}' for these films differ in their margins",
            fix="write the same margins into all of them, or print one film at a time",
        )
    return found


def films_of(options: Options, jobs: Sequence[Job], printer: Printer, saved: Saved | None = None) -> tuple[Film, ...]:
    """The films asked for, in order; the word 'drawer': what serves of the film drawer, of those
    of its sheets that are named, or what ``saved`` lies on.

    Raises FilmError for words that name none.
    """
    from decalgen.artwork.backing import films_for
    from decalgen.job.films import load_film

    given = other_films(options, printer)
    if from_drawer(options.films):
        given = (*_from_drawer(options, jobs, printer, saved, given), *given)
    twice = {film.name for film in given if sum(other.name == film.name for other in given) > 1}
    if twice:
        raise FilmError(f"the film '{min(twice)}' is given twice", fix="name each film once")
    if given or from_drawer(options.films):
        return given
    kinds = dict.fromkeys(film for job in jobs for decal in job.decals for film in films_for(decal, job))
    return tuple(load_film(f"{kind} A5", printer.process) for kind in kinds)


def other_films(options: Options, printer: Printer) -> tuple[Film, ...]:
    """The films asked for that are not of the drawer. Raises FilmError for words that name none."""
    from decalgen.job.films import load_film

    return tuple(load_film(words, printer.process) for words in options.films if not of_drawer(words))


def _from_drawer(
    options: Options, jobs: Sequence[Job], printer: Printer, saved: Saved | None, beside: tuple[Film, ...]
) -> tuple[Film, ...]:
    """The sheets of the drawer; ``beside``: the other films asked for."""
    from decalgen.sheet.plan import GAP
    from decalgen.workshop.drawer_for_jobs import pick, picked_again

    sheets = drawer_sheets(options)
    named = bool(sheets_named(options.films))
    if saved:
        other = {film.name for film in beside}
        on_drawer = tuple(one for one in saved.positions if one.film not in other)
        picked = picked_again(sheets, replace(saved, positions=on_drawer), printer, named)
    else:
        gap, seed = GAP if options.gap is None else options.gap, seed_of(options, jobs)
        kinds = {film.kind for film in beside}
        picked = pick(jobs, sheets, printer, gap=gap, seed=seed, hands=options.hands, named=named, beside=kinds)
    return tuple(one.film for one in picked)


def drawer_sheets(options: Options) -> tuple[OwnedSheet, ...]:
    """The sheets of the drawer that may be printed on: those that are named, or all. Raises FilmError where other film
    is asked for beside all, DrawerError for a sheet that is not there."""
    from decalgen.workshop.drawer import Drawer
    from decalgen.workshop.drawer.store import find

    named = sheets_named(options.films)
    if not named and not all(map(of_drawer, options.films)):
        raise FilmError(
            "`--film drawer` cannot go with another film",
            fix="name either the drawer or films, or sheets of the drawer such as 'drawer white A5 1' beside films",
        )
    if sum(map(of_drawer, options.films)) > max(1, len(named)):
        raise FilmError("'drawer' alone means any sheet of it", fix="name the sheets, or the drawer alone")
    sheets = Drawer().sheets()
    found = tuple(find(sheets, which) for which in named)
    twice = next((one for n, one in enumerate(found) if one in found[:n]), None)
    if twice is not None:
        raise FilmError(f"the sheet '{twice.name}' is named twice", fix="name each sheet once")
    return found if named else sheets


def seed_of(options: Options, jobs: Sequence[Job]) -> int:
    """The seed asked for, or the first job's."""
    return options.seed if options.seed is not None else jobs[0].seed or 1
