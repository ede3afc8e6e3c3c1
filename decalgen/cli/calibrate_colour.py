"""`decalgen calibrate colour` and `calibrate swatches`: swatches printed on the film, and what was read off them."""

from __future__ import annotations

from pathlib import Path

import click

from decalgen.cli.calibrate import PRINTER, calibrate
from decalgen.cli.progress import ProgressBar

__all__ = ["calibrate"]

JOBS = click.argument("jobs", nargs=-1, required=True, type=click.Path(path_type=Path), metavar="JOB...")


@calibrate.command("colour")
@JOBS
@click.option("-o", "--output", type=click.Path(path_type=Path), default=Path("swatches.pdf"), show_default=True,
              help="The swatch sheet.")  # fmt: skip
@click.option("--film", default="clear A5", show_default=True, help="Film file, or words such as 'white A5'.")
@PRINTER
def colour(jobs: tuple[Path, ...], output: Path, film: str, printer: str | None) -> None:
    """Write a swatch sheet of the jobs' inks to print on the film itself.

    Patches, the darkest patch, a wedge of lines, gaps and capitals; with a white printer, white pass by pass.

    \b
    Example:
      decalgen calibrate colour gannet.yaml --printer printer.yaml --film "clear A5"
    """
    from decalgen.cli.terminal import tell
    from decalgen.commands.calibrate_colour import print_swatches

    with ProgressBar("drawing the swatches"):
        result = print_swatches(jobs, printer, film, output)
    tell(result)


@calibrate.command("swatches")
@click.argument("readings", type=click.Path(path_type=Path))
@JOBS
@click.option("-o", "--output", type=click.Path(path_type=Path), required=True, help="The new printer file.")
@click.option("--date", default="", help="The day of the reading, as 2026-11-25.")
@PRINTER
def swatches(readings: Path, jobs: tuple[Path, ...], output: Path, date: str, printer: str | None) -> None:
    """Write the swatch readings into the printer file; checks and pictures then use them.

    READINGS is a text file, one reading per line: `lifebuoy orange: lab(58 52 60)`, `darkest: #1b1a1c`,
    `line: 0.12 mm`.

    \b
    Example:
      decalgen calibrate swatches readings.txt gannet.yaml --printer printer.yaml -o printer-colour.yaml
    """
    from decalgen.cli.terminal import tell
    from decalgen.commands.calibrate_colour import read_swatches

    with ProgressBar("reading the swatches"):
        result = read_swatches(readings, jobs, printer, date, output)
    tell(result)
