"""The swatch sheet of some jobs' inks: what it is printed with, its pages, and the file."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from decalgen.colour.inks import Ink
from decalgen.colour.readings import SIZE_LETTERS
from decalgen.commands.inputs import load_jobs
from decalgen.commands.options import Answer, FileGroup, Result
from decalgen.core.command_line import typed as command
from decalgen.core.document import Document
from decalgen.core.files import write_files
from decalgen.export import render
from decalgen.job.colours import ink_of, printer_colour
from decalgen.job.films import load_film
from decalgen.job.model import Film, Printer
from decalgen.pages.swatches import swatch_pages
from decalgen.sheet.film_area import check_film, printable
from decalgen.workshop.profiles import printer_for, printer_named


def print_swatches(jobs: Sequence[Path], printer_file: str | None, film: str, output: Path) -> Result:
    """Writes the swatch sheet for a film and a printer; white in files of its own. Raises FilmError, FitError."""
    inks = job_inks(jobs)
    printer, _ = swatch_setting(printer_file, film)
    files = {}
    for name, document in swatch_documents(jobs, printer_file, film):
        here = output.with_name(f"{output.stem}-{name}{output.suffix}") if name else output
        files[here] = render(document, str(output))[0]
    lines = [
        "read each patch on white card, and type one reading per line: `lifebuoy orange: lab(58 52 60)`",
        "also: paper, darkest" + (", white over black, white over white" if printer.white else ""),
        "and in mm, by letter or name: "
        + ", ".join(f"{letter} {name}" for name, letter in SIZE_LETTERS.items() if name != "choke" or printer.white),
    ]
    written = write_files(files)
    words = ["decalgen", "calibrate", "swatches", "readings.txt", *jobs]
    words += ["--printer", printer_file] if printer_file else []
    follow = f"print it, read its patches into readings.txt, then run: {command([*words, '-o', 'printer-colour.yaml'])}"
    answer = Answer(f"made the swatches of {len(inks)} inks", follow, (FileGroup("print on film at 100 %", written),))
    return Result(written, lines=tuple(lines), answer=answer)


def swatch_documents(jobs: Sequence[Path], printer_file: str | None, film: str) -> list[tuple[str, Document]]:
    """The swatches, and the white under them where the printer has it, each with what its file's name gets."""
    printer, sheet = swatch_setting(printer_file, film)
    return list(swatch_pages(job_inks(jobs), printer_colour(printer), printer, sheet, printable(sheet, printer)))


def swatch_setting(printer_file: str | None, film: str) -> tuple[Printer, Film]:
    """The printer and film that swatches are printed with. Raises FilmError, InputError."""
    printer = swatch_printer(printer_file)
    sheet = load_film(film, printer.process)
    printer = printer_for(printer_file, sheet) if printer_file else printer
    check_film(sheet, printer)
    return printer, sheet


def swatch_printer(file: str | None) -> Printer:
    """The printer that is named, or one of which nothing is known."""
    return printer_named(file) if file else Printer()


def job_inks(jobs: Sequence[Path]) -> tuple[Ink, ...]:
    """The jobs' own inks, each name once; white and black where no job declares them are left out. Inks of one name and
    several colours each bear the name of their job: 'black (gannet)'."""
    own = [(job.name, ink_of(spec)) for job in load_jobs(jobs) for spec in job.inks if spec.place is not None]
    looks: dict[str, set[str]] = {}
    for _, one in own:
        looks.setdefault(one.name, set()).add(f"{one.kind} {one.colour.xyz}")
    found: dict[str, Ink] = {}
    for job, one in own:
        name = one.name if len(looks[one.name]) == 1 else f"{one.name} ({job})"
        found.setdefault(name, replace(one, name=name))
    return tuple(found.values())
