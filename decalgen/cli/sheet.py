"""The command `sheet`: the print for film, and everything that goes with it. Thin."""

from __future__ import annotations

from collections.abc import Callable
from functools import update_wrapper
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from decalgen.cli.ctrl_c import Stopping
from decalgen.cli.jobs import DPI, options_of
from decalgen.cli.patterns import spread
from decalgen.cli.printers import sending
from decalgen.cli.progress import ProgressBar
from decalgen.cli.terminal import tell
from decalgen.core.names import of_variant

if TYPE_CHECKING:
    from decalgen.commands.options import Made, Options, SheetFiles
    from decalgen.commands.print_to import PrintTo

FILE = click.Path(path_type=Path)


def files_of(command: Callable[..., None]) -> Callable[..., None]:
    """The options that say which files a sheet is to give, gathered into `SheetFiles`."""

    def gathered(*args: Any, cutter: Path | None, without_proof: str | None, where: str, **rest: Any) -> None:
        from decalgen.commands.options import SheetFiles

        names = ("outputs", "nest_again", "plates", "cut", "cut_alone", "dpi", "work_card")
        given = {name: rest.pop(name) for name in names}
        press = where == "press"
        if given["plates"] and press:
            raise click.UsageError("a print shop makes its own plates: leave out --plates, or --for press")
        if without_proof is not None and not without_proof.strip():
            raise click.UsageError("--without-proof needs a reason, such as 'only a test strip'")
        if cutter and not (given["cut"] or given["cut_alone"]):
            raise click.UsageError("--cutter corrects a cutting file: name one with --cut, such as --cut cut.dxf")
        wanted = SheetFiles(press=press, cutter=cutter, without_proof=without_proof, **given)
        command(*args, wanted=wanted, **rest)

    update_wrapper(gathered, command)
    for option in (
        click.option(
            "--for", "where", type=click.Choice(["home", "press"]), default="home", help="press: for a print shop."
        ),
        DPI,
        click.option("--cutter", type=FILE, help="Cutter file (.yaml): the cutting machine's correction."),
        click.option(
            "--cut", multiple=True, type=FILE, help="Also a file for a cutting machine (.dxf, .svg). Repeatable."
        ),
        click.option(
            "--cut-alone", multiple=True, type=FILE, help="The same with the cut lines alone: no bleed, no marks."
        ),
        click.option(
            "--plates",
            is_flag=True,
            help="Also a file for each ink; for a printer with white, one each for white and artwork.",
        ),
        click.option(
            "--work-card",
            type=FILE,
            help="Also a card for the bench (.pdf): steps, drying clock, order.",
        ),
        click.option("--without-proof", metavar="WHY", help="Print on film without a passed proof; give the reason."),
        click.option("--nest-again", is_flag=True, help="Nest again; ignore the positions of the proof."),
        click.option(
            "-o",
            "--output",
            "outputs",
            multiple=True,
            type=FILE,
            help="The print file (.pdf, .svg, .png). Repeatable; if left out, named after the first job.",
        ),
    ):
        gathered = option(gathered)
    return gathered


@click.command()
@click.argument("jobs", nargs=-1, type=FILE, metavar="JOB...", callback=spread)
@click.option("--again", type=FILE, metavar="RECORD", help="Reprint a sheet from its record.")
@sending
@files_of
@options_of
def sheet(
    jobs: tuple[Path, ...],
    again: Path | None,
    to: Callable[[], PrintTo] | None,
    wanted: SheetFiles,
    options: Options,
) -> None:
    """Nest the decals onto film and write the print file at true scale.

    \b
    Example:
      decalgen sheet gannet.yaml h9.yaml -o harbour-sheet.pdf --film "white A5"
    """
    from dataclasses import replace

    from decalgen.commands.run import Run
    from decalgen.commands.sheet import make_sheet

    if to and wanted.press:
        raise click.UsageError("a print shop gets the file, not a printer of yours: leave out --to, or --for press")
    if again:
        _print_again(again, jobs, wanted, to)
        return
    if not jobs:
        raise click.UsageError("name at least one job: decalgen sheet gannet.yaml; or a record after --again")
    if not wanted.outputs:
        stem = of_variant(jobs[0].stem, options.variant)
        wanted = replace(wanted, outputs=(Path(f"{stem}-{'press' if wanted.press else 'sheet'}.pdf"),))
    # A printer that cannot be reached is told before anything is nested.
    printer = to() if to else None
    wanted = replace(wanted, to_print=printer is not None)
    with ProgressBar("reading the jobs") as bar, Stopping(bar.show) as watch:
        made = make_sheet(Run(jobs, options, watch, bar.stage), wanted)
    _finish(made, printer)


def _finish(made: Made, printer: PrintTo | None, again: bool = False) -> None:
    """Writes the files, and prints them where a printer is named."""
    from dataclasses import replace

    if printer is None:
        tell(made.write())
        return
    from decalgen.commands.print_to import print_film

    with ProgressBar(f"printing on {printer.place.name}") as bar:
        result = print_film(made, replace(printer, hears=bar.stage), again)
    tell(result)


def _print_again(record: Path, jobs: tuple[Path, ...], wanted: SheetFiles, to: Callable[[], PrintTo] | None) -> None:
    """Raises UsageError where a record is to be printed, and something else too."""
    from dataclasses import replace

    from decalgen.commands.again import print_again
    from decalgen.commands.options import SheetFiles

    if jobs:
        raise click.UsageError("a record holds its own jobs: name no job with --again")
    if wanted.nest_again or wanted.plates or wanted.press or wanted.work_card:
        go = "-o, --cut, --cut-alone, --cutter, --dpi and --without-proof"
        raise click.UsageError(f"a record is printed unchanged: with --again use only {go}")
    files = SheetFiles(wanted.outputs, dpi=wanted.dpi) if wanted.outputs else None
    printer = to() if to else None
    with ProgressBar("drawing from the record"):
        made = print_again(record, files, replace(wanted, to_print=printer is not None))
    _finish(made, printer, again=True)
