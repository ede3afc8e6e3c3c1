"""What each command does: the only module that reads jobs and writes results. Everything below it is pure."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from decalgen.errors import DecalgenError, FilmError, Finding, JobError, OutputError, Problem, did_you_mean
from decalgen.positions import read_positions, write_positions
from decalgen.writing import make_folder, write_files

if TYPE_CHECKING:
    from decalgen.artwork import Artwork
    from decalgen.job.model import Film, Job, Printer
    from decalgen.nesting import Progress
    from decalgen.picture import Document
    from decalgen.positions import Saved
    from decalgen.preflight import Fitting
    from decalgen.remnants import Picked
    from decalgen.sheet import Layout

DRAWER = "drawer"
"""The word that asks for film out of the drawer."""
Watch = Callable[["Progress"], "bool | None"]


@dataclass(frozen=True)
class Options:
    """What the commands share. ``films``: files or words such as 'white A5', or 'drawer'; none: A5 of each kind."""

    films: tuple[str, ...] = ()
    printer: str | None = None
    variant: str | None = None
    hands: str = "both"
    gap: float | None = None
    effort: str = "normal"
    seed: int | None = None


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


def printer_of(options: Options) -> Printer:
    """The printer profile asked for, or one that suits any printer when in doubt."""
    from decalgen.job.loader import load_printer
    from decalgen.job.model import Printer

    return load_printer(options.printer) if options.printer else Printer()


def films_of(options: Options, jobs: Sequence[Job], printer: Printer, saved: Saved | None = None) -> tuple[Film, ...]:
    """The films asked for, in order; the word 'drawer': what serves of the film drawer, or what ``saved`` lies on.

    Raises FilmError for words that name none.
    """
    from decalgen.artwork import film_of
    from decalgen.job.loader import load_film

    if DRAWER in options.films:
        return _from_drawer(options, jobs, printer, saved)
    given = tuple(load_film(words, printer.process) for words in options.films)
    twice = {film.name for film in given if sum(other.name == film.name for other in given) > 1}
    if twice:
        raise FilmError(f"the film '{min(twice)}' is given twice", fix="name each film once")
    if given:
        return given
    kinds = dict.fromkeys(film_of(decal, job) for job in jobs for decal in job.decals)
    return tuple(load_film(f"{kind} A5", printer.process) for kind in kinds)


def _from_drawer(options: Options, jobs: Sequence[Job], printer: Printer, saved: Saved | None) -> tuple[Film, ...]:
    from decalgen.drawer import Drawer
    from decalgen.remnants import pick, picked_again
    from decalgen.sheet import GAP

    if len(options.films) > 1:
        raise FilmError("the drawer is given beside another film", fix="name either `--film drawer` or films")
    sheets = Drawer().sheets()
    if saved:
        picked = picked_again(sheets, saved, printer)
    else:
        gap = GAP if options.gap is None else options.gap
        picked = pick(jobs, sheets, printer, gap=gap, seed=_seed(options, jobs), hands=options.hands)
    return tuple(one.film for one in picked)


def _seed(options: Options, jobs: Sequence[Job]) -> int:
    return options.seed if options.seed is not None else jobs[0].seed or 1


def _picked(options: Options, layout: Layout) -> tuple[Picked, ...]:
    """The sheets of the drawer that a layout lies on; none where it lies on other film."""
    if DRAWER not in options.films:
        return ()
    from decalgen.drawer import Drawer
    from decalgen.remnants import picked_for

    return picked_for(layout, Drawer().sheets(), printer_of(options))


def _positions(layout: Layout, jobs: Sequence[Job], picked: Sequence[Picked]) -> bytes:
    from decalgen.remnants import taken_off

    complete = all(n.complete for n in layout.nests)
    return write_positions(layout.digest, layout.positions, jobs, complete, taken_off(layout, picked))


def check(paths: Sequence[Path], options: Options) -> Result:
    """Everything that can be found before printing. Raises JobError for files that cannot be read as jobs."""
    from decalgen.preflight import examine

    jobs = load_jobs(paths, options.variant)
    printer = printer_of(options)
    found = examine(jobs, printer)
    return Result((), found.findings, tuple(_summary(jobs, found.fits)))


def _summary(jobs: Sequence[Job], fits: Mapping[str, Sequence[Fitting]]) -> list[str]:
    """Each job in a line, under it how each decal fits its panel."""
    from decalgen.artwork import hands

    rows = []
    for job in jobs:
        count = sum(len(hands(d)) * (d.copies + d.spares) for d in job.decals)
        count += sum((one.parts - 1) * (one.decal.copies + one.decal.spares) for one in fits[job.name])
        rows.append(f"{job.title}: {len(job.panels)} panels, {len(job.decals)} decals, {count} pieces")
        rows += [row for one in fits[job.name] for row in one.lines()]
    if any(job.decals for job in jobs):
        rows.append("\N{PLUS-MINUS SIGN} is U with k = 2; a clearance below nothing reaches beyond")
    return rows


def layout_of(
    jobs: Sequence[Job],
    options: Options,
    watch: Watch | None = None,
    positions: Path | None = None,
    made: Mapping[str, Sequence[Artwork]] | None = None,
) -> Layout:
    """The sheets of some jobs, nested anew, or from saved positions. Raises FilmError, FitError, InputError.

    ``made``: the jobs' artworks by the job's name, where a check has drawn them already.
    """
    from decalgen.nesting.model import EFFORTS
    from decalgen.sheet import GAP, arrange

    printer = printer_of(options)
    saved = read_positions(positions) if positions else None
    films = films_of(options, jobs, printer, saved)
    if options.effort not in EFFORTS:
        raise DecalgenError(f"there is no effort '{options.effort}'", fix=did_you_mean(options.effort, list(EFFORTS)))
    layout = arrange(
        jobs,
        films,
        printer,
        gap=GAP if options.gap is None else options.gap,
        seed=_seed(options, jobs),
        effort=EFFORTS[options.effort],
        hands=options.hands,
        saved=saved,
        progress=watch,
        made=made,
    )
    return layout


def make_proof(paths: Sequence[Path], output: Path, options: Options, watch: Watch | None = None) -> Result:
    """Nests, writes the proof and, beside it, the positions that ``make_sheet`` prints."""
    from decalgen.proof import proof

    _keep_inputs(paths, (output,), options)
    jobs = load_jobs(paths, options.variant)
    drawn = _sound_artworks(jobs, options)
    layout = layout_of(jobs, options, watch, made=drawn)
    document = proof(layout, jobs, _title(jobs), _date(jobs))
    files = _rendered(document, output)
    files[positions_file(output)] = _positions(layout, jobs, _picked(options, layout))
    return Result(write_files(files), layout.findings, tuple(_used(layout)))


def make_sheet(
    paths: Sequence[Path],
    outputs: Sequence[Path],
    options: Options,
    watch: Watch | None = None,
    again: bool = False,
    plates: bool = False,
    press: bool = False,
) -> Result:
    """Writes the final print from the proof's positions; nests where there is no proof, or anew if asked. ``plates``:
    and each ink alone beside it, white and artwork apart where the printer has white. ``press``: for a print shop.

    Raises DecalgenError where the proof is of another geometry: film is not spent on what was never proven.
    """
    from decalgen.finals import final

    _keep_inputs(paths, outputs, options)
    jobs = load_jobs(paths, options.variant)
    drawn = _sound_artworks(jobs, options)
    saved = positions_file(outputs[0])
    from_proof = saved.is_file() and not again
    layout = layout_of(jobs, options, watch, saved if from_proof else None, drawn)
    files: dict[Path, bytes] = {}
    lines = _used(layout)
    found = layout.findings
    if press:
        files, condition = _press_files(layout, jobs, outputs)
        lines.append(f"for a print shop, in true millimetres: PDF/X-4, {condition}")
    else:
        document = final(layout, _title(jobs), _date(jobs))
        for output in outputs:
            files.update(_rendered(document, output))
    if plates:
        from decalgen.plates import separated

        made = separated(layout, jobs, _title(jobs), _date(jobs))
        found += made.findings
        for plate in made.files:
            for output in outputs:
                here = output.with_name(f"{output.stem}-{_slug(plate.name)}{output.suffix}")
                if here in files:
                    raise OutputError(f"'{here}' is asked for twice", fix="name the results otherwise after -o")
                files.update(_rendered(plate.document, here))
            lines.append(plate.words)
    elif layout.sheets[0].printer.white and not press:
        lines.append("white is not in this file: add --plates for a file of the white and one of what goes over it")
    if from_proof:
        lines.append(f"positions: as on the proof ({saved})")
    else:
        lines.append("positions: nested now; print a proof first if the size is not proven yet")
    picked = _picked(options, layout)
    if picked:
        from decalgen.drawer.store import quoted
        from decalgen.remnants import advice

        if not from_proof:
            saved = saved.with_name(saved.name.replace(".positions.json", "-printed.positions.json"))
            files[saved] = _positions(layout, jobs, picked)
        lines += advice(picked)
        lines += [f"when it is printed: decalgen film use {quoted(one.sheet.name)} {saved}" for one in picked]
    return Result(write_files(files), found, tuple(lines))


def _press_files(layout: Layout, jobs: Sequence[Job], outputs: Sequence[Path]) -> tuple[dict[Path, bytes], str]:
    """A print shop's file under each name, and its printing condition. Raises OutputError for another ending."""
    from decalgen.press_pages import press_file

    for output in outputs:
        if output.suffix.lower() != ".pdf":
            raise OutputError(f"'{output}' is no PDF, and a print shop's file is one", fix="let its name end in .pdf")
    data, condition = press_file(layout, jobs, _title(jobs), _date(jobs))
    return dict.fromkeys(outputs, data), condition


def _keep_inputs(paths: Sequence[Path], outputs: Sequence[Path], options: Options) -> None:
    """Raises OutputError where a result would take the place of what it is made from, or of another result."""
    given = {
        path.resolve() for path in (*paths, *map(Path, options.films), *map(Path, filter(None, [options.printer])))
    }
    seen: set[Path] = set()
    for output in outputs:
        here = output.resolve()
        if here in given:
            raise OutputError(
                f"'{output}' is read here, so it is not written over", fix="name another file after -o, like sheet.pdf"
            )
        if here in seen:
            raise OutputError(f"'{output}' is asked for twice", fix="name each result once")
        seen.add(here)


def positions_file(output: Path) -> Path:
    """Where a proof keeps its positions: beside the output, named after it without '-proof', '-sheet' or '-press'."""
    stem = output.stem
    for ending in ("-proof", "-sheet", "-press"):
        stem = stem.removesuffix(ending)
    return output.with_name(f"{stem}.positions.json")


def draw(paths: Sequence[Path], folder: Path, endings: Sequence[str], options: Options) -> Result:
    """Each decal alone, its colours over the body, and each panel with its decals over the body colour."""
    from decalgen.artwork import artworks, build_all, hands
    from decalgen.colour_drawings import colour_picture
    from decalgen.drawings import decal_picture, panel_picture

    jobs = load_jobs(paths, options.variant)
    printer = printer_of(options)
    files: dict[Path, bytes] = {}
    findings: list[Finding] = []
    for job in jobs:
        everything = artworks(job, printer.white)
        findings += [finding for art in everything for finding in art.findings]
        documents = {f"{job.name}-{_slug(art.name)}": decal_picture(art, job, job.date or None) for art in everything}
        for decal in job.decals:
            parts = build_all(job, decal, hands(decal)[0], white_printer=True)
            if any(part.shown for part in parts):
                name = f"{job.name}-{_slug(decal.name)}-colours"
                documents[name] = colour_picture(parts, job, printer, job.date or None)
        panels = {decal.name: decal.panel for decal in job.decals}
        for panel in job.panels:
            mine = [art for art in everything if panels[art.decal] == panel.name]
            for hand in dict.fromkeys(art.hand for art in mine):
                shown = [art for art in mine if art.hand in (hand, None)]
                name = f"{job.name}-on-{_slug(panel.name)}" + (f"-{hand}" if hand else "")
                documents[name] = panel_picture(shown, job, panel, job.date or None)
        for name, document in documents.items():
            for ending in endings:
                files.update(_rendered(document, folder / f"{name}{ending}"))
    make_folder(folder)
    return Result(write_files(files), tuple(findings))


def save(document: Document, output: Path) -> tuple[Path, ...]:
    """Writes a document in the form its ending names."""
    return write_files(_rendered(document, output))


def _rendered(document: Document, output: Path) -> dict[Path, bytes]:
    """The files of a document; a form with one picture a file numbers them when there are several pages."""
    from decalgen.export import render

    pages = render(document, output.suffix)
    if len(pages) == 1:
        return {output: pages[0]}
    return {output.with_name(f"{output.stem}-{n}{output.suffix}"): data for n, data in enumerate(pages, start=1)}


def _sound_artworks(jobs: Sequence[Job], options: Options) -> dict[str, tuple[Artwork, ...]]:
    """The jobs' artworks by name. Raises FindingsError where a check finds an error: no film is spent on it."""
    from decalgen.preflight import FindingsError, examine

    found = examine(jobs, printer_of(options))
    errors = tuple(f for f in found.findings if f.severity == "error")
    if errors:
        raise FindingsError(errors)
    return found.artworks


def _used(layout: Layout) -> list[str]:
    rows = []
    for sheet in layout.sheets:
        area = sum(p.cut.area for p in sheet.placed) / sheet.area.area
        rows.append(
            f"sheet {sheet.index} of {sheet.of}: {sheet.film.name}, {len(sheet.placed)} pieces, "
            f"{area:.0%} of the printable film"
        )
    return rows


def _title(jobs: Sequence[Job]) -> str:
    if len(jobs) <= 2:
        return " and ".join(job.title for job in jobs)
    return f"{jobs[0].title} and {len(jobs) - 1} more"


def _date(jobs: Sequence[Job]) -> str | None:
    """The latest of the jobs' own dates."""
    dates = sorted(job.date for job in jobs if job.date)
    return dates[-1] if dates else None


def _slug(name: str) -> str:
    kept = "".join(c.lower() if c.isascii() and c.isalnum() else "-" for c in name)
    return "-".join(part for part in kept.split("-") if part) or "decal"
