"""`decalgen calibrate colour` and `calibrate swatches`: swatches printed on the film, and what was read off them."""

from __future__ import annotations

from pathlib import Path
from typing import Any

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
    from decalgen.commands.swatch_sheets import print_swatches

    with ProgressBar("drawing the swatches"):
        result = print_swatches(jobs, printer, film, output)
    tell(result)


@calibrate.command("swatches")
@click.argument("readings", type=click.Path(path_type=Path))
@click.argument("jobs", nargs=-1, type=click.Path(path_type=Path), metavar="JOB...")
@click.option("-o", "--output", type=click.Path(path_type=Path), required=True, help="The new printer file.")
@click.option("--date", default="", help="The day of the reading, as 2026-11-25.")
@click.option(
    "--scan",
    "scans",
    multiple=True,
    type=click.Path(path_type=Path, dir_okay=False),
    help="Read the patches from this scan, 300 dpi or more. Repeatable, for each sheet.",
)
@click.option(
    "--film", default="clear A5", show_default=True, help="With --scan: the film that the swatches were printed on."
)
@PRINTER
def swatches(readings: Path, jobs: tuple[Path, ...], scans: tuple[Path, ...], film: str, **given: Any) -> None:
    """Write the swatch readings into the printer file; checks and pictures then use them.

    READINGS is a text file, one reading per line: `lifebuoy orange: lab(58 52 60)`, `darkest: #1b1a1c`,
    `line: 0.12 mm`. With a scan it may be left out; what it holds goes over what is scanned.

    \b
    Example:
      decalgen calibrate swatches readings.txt gannet.yaml --printer printer.yaml -o printer-colour.yaml
      decalgen calibrate swatches gannet.yaml --scan swatches.png --printer printer.yaml -o printer-colour.yaml
    """
    from decalgen.cli.terminal import tell
    from decalgen.commands.calibrate_colour import SwatchScans, read_swatches

    typed: Path | None = readings
    if scans and readings.suffix != ".txt":
        typed, jobs = None, (readings, *jobs)
    if not jobs:
        raise click.UsageError("name the jobs whose inks were printed")
    seen = SwatchScans(scans, film) if scans else None
    with ProgressBar("reading the scan" if scans else "reading the swatches"):
        result = read_swatches(typed, jobs, given["printer"], given["date"], given["output"], seen)
    tell(result)
