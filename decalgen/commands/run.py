"""What each command does: the only module that reads jobs and writes results. Everything below it is pure."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING

from decalgen.core.errors import DecalgenError, FilmError, Finding, JobError, Problem, did_you_mean
from decalgen.core.files import make_folder, write_files

if TYPE_CHECKING:
    from decalgen.artwork.build import Artwork
    from decalgen.colour.inks import FilmKind
    from decalgen.core.document import Document
    from decalgen.job.model import Film, Job, Printer
    from decalgen.nesting import Progress, Remnant
    from decalgen.preflight import Fitting
    from decalgen.preflight.checks import Examined
    from decalgen.sheet.arrange import Arrangement
    from decalgen.sheet.positions import Saved

DRAWER = "drawer"
"""The word that asks for film out of the drawer."""
Watch = Callable[["Progress"], "bool | None"]


@dataclass(frozen=True)
class Options:
    """What the commands share. ``films``: files or words such as 'white A5', or 'drawer'; none: A5 of each kind.
    ``leave``: what to keep of the film, 'rectangle' or 'strip'. ``press``: for a print shop."""

    films: tuple[str, ...] = ()
    printer: str | None = None
    variant: str | None = None
    hands: str = "both"
    gap: float | None = None
    effort: str = "normal"
    seed: int | None = None
    leave: Remnant = "rectangle"
    press: bool = False


@dataclass(frozen=True)
class Result:
    """The files made, and what was found on the way."""

    files: tuple[Path, ...]
    findings: tuple[Finding, ...] = ()
    lines: tuple[str, ...] = field(default=())


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
    from decalgen.job.films import load_film

    jobs = load_jobs(paths, options.variant)
    films = [load_film(words) for words in options.films if words != DRAWER]
    colours = {film.kind: film.colour for film in reversed(films) if film.colour}
    if DRAWER in options.films:
        colours |= _drawer_colours()
    return tuple(replace(job, film_colours=tuple(sorted(colours.items()))) for job in jobs) if colours else jobs


def _drawer_colours() -> dict[FilmKind, str]:
    """The darkest measured colour of each kind of film that is left in the drawer."""
    from decalgen.colour.typed import parse
    from decalgen.workshop.drawer import Drawer

    left = [one.entry for one in Drawer().sheets() if one.entry.colour and not one.free.is_empty]
    # The last of a kind stands: sorted so that it is the darkest.
    ordered = sorted(left, key=lambda entry: -parse(entry.colour).lab[0])
    return {entry.kind: entry.colour for entry in ordered}


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
    """The films asked for, in order; the word 'drawer': what serves of the film drawer, or what ``saved`` lies on.

    Raises FilmError for words that name none.
    """
    from decalgen.artwork.backing import films_for
    from decalgen.job.films import load_film

    if DRAWER in options.films:
        return _from_drawer(options, jobs, printer, saved)
    given = tuple(load_film(words, printer.process) for words in options.films)
    twice = {film.name for film in given if sum(other.name == film.name for other in given) > 1}
    if twice:
        raise FilmError(f"the film '{min(twice)}' is given twice", fix="name each film once")
    if given:
        return given
    kinds = dict.fromkeys(film for job in jobs for decal in job.decals for film in films_for(decal, job))
    return tuple(load_film(f"{kind} A5", printer.process) for kind in kinds)


def _from_drawer(options: Options, jobs: Sequence[Job], printer: Printer, saved: Saved | None) -> tuple[Film, ...]:
    from decalgen.sheet.arrange import GAP
    from decalgen.workshop.drawer import Drawer
    from decalgen.workshop.drawer_for_jobs import pick, picked_again

    if len(options.films) > 1:
        raise FilmError("the drawer is given beside another film", fix="name either `--film drawer` or films")
    sheets = Drawer().sheets()
    if saved:
        picked = picked_again(sheets, saved, printer)
    else:
        gap = GAP if options.gap is None else options.gap
        picked = pick(jobs, sheets, printer, gap=gap, seed=seed_of(options, jobs), hands=options.hands)
    return tuple(one.film for one in picked)


def seed_of(options: Options, jobs: Sequence[Job]) -> int:
    return options.seed if options.seed is not None else jobs[0].seed or 1


def check(paths: Sequence[Path], options: Options) -> Result:
    """Everything that can be found before printing. Raises JobError for files that cannot be read as jobs."""
    from decalgen.preflight import examine

    jobs = jobs_of(paths, options)
    printer = printer_of(options)
    found = examine(jobs, printer)
    return Result((), found.findings, tuple(_summary(jobs, found)))


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
        rows.append("\N{PLUS-MINUS SIGN} is U with k = 2; a clearance below nothing reaches beyond")
    return rows


def pieces_of(job: Job, fits: Sequence[Fitting], drawn: Sequence[Artwork]) -> int:
    """How many pieces a job puts on film, spares and backings of white film counted."""
    from decalgen.artwork.backing import backings
    from decalgen.artwork.build import hands

    under = sum(len(backings(art)) * (art.decal.copies + art.decal.spares) for art in drawn)
    count = sum(len(hands(d)) * (d.copies + d.spares) for d in job.decals)
    return under + count + sum((one.parts - 1) * (one.decal.copies + one.decal.spares) for one in fits)


def layout_of(
    jobs: Sequence[Job],
    options: Options,
    watch: Watch | None = None,
    positions: Path | None = None,
    made: Mapping[str, Sequence[Artwork]] | None = None,
) -> Arrangement:
    """The sheets of some jobs, nested anew, or from saved positions. Raises FilmError, FitError, InputError,
    FindingsError for pieces that saved positions put where they cannot be printed.

    ``made``: the jobs' artworks by the job's name, where a check has drawn them already.
    """
    from decalgen.nesting.model import EFFORTS, effort_of
    from decalgen.preflight import FindingsError
    from decalgen.preflight.sheets import check_sheets
    from decalgen.sheet.arrange import GAP, arrange
    from decalgen.sheet.positions import read_positions

    printer = printer_of(options)
    saved = read_positions(positions) if positions else None
    films = films_of(options, jobs, printer, saved)
    printers = printers_of(options, films)
    printer = next(iter(printers.values()), printer)
    effort = effort_of(options.effort)
    if effort is None:
        fix = f"{did_you_mean(options.effort, list(EFFORTS))}, or a time from '1 s' to '60 min'"
        raise DecalgenError(f"there is no effort '{options.effort}'", fix=fix)
    layout = arrange(
        jobs,
        films,
        printer,
        gap=GAP if options.gap is None else options.gap,
        seed=seed_of(options, jobs),
        effort=effort,
        hands=options.hands,
        saved=saved,
        progress=watch,
        made=made,
        remnant=options.leave,
        printers=printers,
    )
    found = check_sheets(layout)
    errors = tuple(finding for finding in found if finding.severity == "error")
    if errors:
        raise FindingsError(errors)
    return replace(layout, findings=(*layout.findings, *found))


def draw(
    paths: Sequence[Path],
    folder: Path,
    endings: Sequence[str],
    options: Options,
    dpi: float | None = None,
    marked: bool = False,
) -> Result:
    """Each decal alone, its colours over the body, its small lettering before and after it is opened, and each panel
    with its decals over the body colour. ``dpi``: of pictures of dots; ``marked``: also each decal with what a check
    finds on it."""
    from decalgen.artwork.backing import backings
    from decalgen.artwork.build import artworks, build_all, hands
    from decalgen.pages.colour_preview import colour_picture
    from decalgen.pages.decal_and_panel import decal_picture, panel_picture
    from decalgen.pages.lettering_preview import letters_picture

    jobs = jobs_of(paths, options)
    printer = printer_of(options)
    files: dict[Path, bytes] = {}
    findings: list[Finding] = []
    for job in jobs:
        everything = artworks(job, printer.white)
        findings += [finding for art in everything for finding in art.findings]
        alone = [one for art in everything for one in (art, *backings(art))]
        documents = {f"{job.name}-{slug(art.name)}": decal_picture(art, job, job.date or None) for art in alone}
        for decal in job.decals:
            bare = build_all(job, replace(decal, backing="none"), hands(decal)[0], white_printer=True)
            parts = [replace(part, decal=decal) for part in bare]
            if any(part.shown for part in parts):
                name = f"{job.name}-{slug(decal.name)}-colours"
                documents[name] = colour_picture(parts, job, printer, job.date or None)
            letters = letters_picture(decal, job, printer, job.date or None)
            if letters:
                documents[f"{job.name}-{slug(decal.name)}-letters"] = letters
        if marked:
            documents |= _marked(job, printer, everything)
        for panel in job.panels:
            mine = [art for art in everything if art.decal.panel == panel.name]
            for hand in dict.fromkeys(art.hand for art in mine):
                shown = [art for art in mine if art.hand in (hand, None)]
                name = f"{job.name}-on-{slug(panel.name)}" + (f"-{hand}" if hand else "")
                documents[name] = panel_picture(shown, job, panel, job.date or None)
        for name, document in documents.items():
            for ending in endings:
                files.update(rendered(document, folder / f"{name}{ending}", dpi))
    make_folder(folder)
    return Result(write_files(files), tuple(dict.fromkeys(findings)))


def _marked(job: Job, printer: Printer, everything: Sequence[Artwork]) -> dict[str, Document]:
    """By its file's name each hand of a decal on which a check finds something, with marks and a key."""
    from decalgen.pages.findings import findings_picture
    from decalgen.preflight import on_decal

    documents = {}
    for name, hand in dict.fromkeys((art.decal.name, art.hand) for art in everything):
        parts = [art for art in everything if (art.decal.name, art.hand) == (name, hand)]
        decal = parts[0].decal
        found = on_decal(parts, decal, job, printer)
        if found:
            file = f"{job.name}-{slug(name)}" + (f"-{hand}" if hand else "") + "-findings"
            documents[file] = findings_picture(parts, found, decal, job, job.date or None)
    return documents


def save(document: Document, output: Path) -> tuple[Path, ...]:
    """Writes a document in the form its ending names."""
    return write_files(rendered(document, output))


def rendered(document: Document, output: Path, dpi: float | None = None) -> dict[Path, bytes]:
    """The files of a document; a form with one picture a file numbers them when there are several pages. ``dpi``: for
    a form made of dots."""
    from decalgen.export import exporter, render

    dots = {"dpi": dpi} if dpi is not None and "dpi" in exporter(output.suffix).options else {}
    pages = render(document, output.suffix, **dots)
    if len(pages) == 1:
        return {output: pages[0]}
    return {output.with_name(f"{output.stem}-{n}{output.suffix}"): data for n, data in enumerate(pages, start=1)}


def title_of(jobs: Sequence[Job]) -> str:
    if len(jobs) <= 2:
        return " and ".join(job.title for job in jobs)
    return f"{jobs[0].title} and {len(jobs) - 1} more"


def date_of(jobs: Sequence[Job]) -> str | None:
    """The latest of the jobs' own dates."""
    dates = sorted(job.date for job in jobs if job.date)
    return dates[-1] if dates else None


def slug(name: str) -> str:
    kept = "".join(c.lower() if c.isascii() and c.isalnum() else "-" for c in name)
    return "-".join(part for part in kept.split("-") if part) or "decal"
