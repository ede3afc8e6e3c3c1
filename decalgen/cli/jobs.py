"""The commands that read jobs: check, draw and proof, with the options that `sheet` shares. Thin."""

from __future__ import annotations

import sys
from collections.abc import Callable
from functools import update_wrapper
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from decalgen.cli.ctrl_c import Stopping
from decalgen.cli.detail import report_file, reported
from decalgen.cli.patterns import spread
from decalgen.cli.printers import sending
from decalgen.cli.progress import ProgressBar
from decalgen.cli.scan import PAGE_BESIDE, PAGE_SCAN, scan_typed
from decalgen.cli.terminal import put, tell
from decalgen.core.errors import EXIT_FINDINGS
from decalgen.core.names import of_variant

if TYPE_CHECKING:
    from decalgen.commands.options import Options
    from decalgen.commands.print_to import PrintTo
    from decalgen.nesting import Remnant

DPI = click.option("--dpi", type=float, default=300.0, show_default=True, help="PNG resolution, dots per inch.")
FILES = click.argument(
    "jobs", nargs=-1, required=True, type=click.Path(path_type=Path), metavar="JOB...", callback=spread
)


def options_of(command: Callable[..., None]) -> Callable[..., None]:
    """The options that all printing commands share, gathered into `build.Options`."""

    def gathered(
        *args: Any,
        film: tuple[str, ...],
        printer: str | None,
        variant: str | None,
        hands: str,
        gap: str | None,
        effort: str,
        seed: int | None,
        leave: Remnant,
        **rest: Any,
    ) -> None:
        from decalgen.commands.options import Options

        wide = None if gap is None else _length(gap, "--gap")
        command(*args, options=Options(film, printer, variant, hands, wide, effort, seed, leave), **rest)

    update_wrapper(gathered, command)
    for option in (
        click.option(
            "--leave",
            type=click.Choice(["rectangle", "strip"]),
            default="rectangle",
            show_default=True,
            help="Keep the unused film as one large rectangle or a straight strip.",
        ),
        click.option("--seed", type=int, help="The same number gives the same arrangement."),
        click.option(
            "--effort",
            default="normal",
            show_default=True,
            help="How hard to nest: quick, normal, thorough, or a time such as '60 s'.",
        ),
        click.option("--gap", help="Distance between cut lines, such as '3 mm'."),
        click.option(
            "--hands",
            type=click.Choice(["both", "left", "right"]),
            default="both",
            help="Only the left- or right-hand decals.",
        ),
        click.option("--variant", help="Variant of the livery, by its name in the job."),
        click.option("--printer", help="Printer file (.yaml), or the name of a kept profile."),
        click.option(
            "--film",
            multiple=True,
            help="Film file, or words such as 'white A5'; or: drawer, or a sheet of it such as 'drawer white A5 1'. "
            "Repeatable.",
        ),
    ):
        gathered = option(gathered)
    return gathered


@click.command()
@FILES
@click.option("--json", "as_json", is_flag=True, help="For other programs: findings and fits as JSON.")
@reported
@options_of
def check(jobs: tuple[Path, ...], as_json: bool, options: Options) -> None:
    """Find mistakes before you use film: fit, smallest features, colour, white.

    \b
    Example:
      decalgen check gannet.yaml
    """
    from decalgen.commands.run import Run

    if as_json:
        from decalgen.commands.check_json import check_json

        if report_file() is not None:
            raise click.UsageError("--json is written to the screen: leave out -o, and add > check.json")

        text, code = check_json(Run(jobs, options))
        put(text)
        sys.exit(code)
    from decalgen.commands.check import check as run

    with ProgressBar("checking") as bar:
        result = run(Run(jobs, options, stage=bar.stage)).write()
    tell(result)
    if any(finding.severity == "error" for finding in result.findings):
        sys.exit(EXIT_FINDINGS)


@click.command()
@FILES
@click.option(
    "-o",
    "--output",
    type=click.Path(path_type=Path),
    default=Path("drawings"),
    show_default=True,
    help="Folder for the pictures.",
)
@click.option(
    "--as", "endings", multiple=True, default=("svg",), show_default=True, help="svg, png or pdf. Repeatable."
)
@DPI
@click.option("--findings", is_flag=True, help="Also each decal with what a check finds on it, marked and numbered.")
@options_of
def draw(
    jobs: tuple[Path, ...], output: Path, endings: tuple[str, ...], dpi: float, findings: bool, options: Options
) -> None:
    """Draw each decal, alone and on its panel over the body colour, and how its inks will look there.

    \b
    Example:
      decalgen draw gannet.yaml -o pictures --as png
    """
    from decalgen.commands.draw import draw as run
    from decalgen.commands.run import Run

    forms = ["." + e.lstrip(".") for e in endings]
    with ProgressBar("drawing") as bar:
        result = run(Run(jobs, options, stage=bar.stage), output, forms, dpi, findings).write()
    tell(result)


@click.command()
@FILES
@click.option(
    "-o", "--output", type=click.Path(path_type=Path), help="The PDF; if left out, named after the first job."
)
@click.option(
    "--positions",
    type=click.Path(path_type=Path),
    help="Do not nest: lay the pieces as this file of positions says, such as that of an earlier proof.",
)
@sending
@options_of
def proof(
    jobs: tuple[Path, ...],
    output: Path | None,
    positions: Path | None,
    to: Callable[[], PrintTo] | None,
    options: Options,
) -> None:
    """Print the same sheet on plain paper first: sizes, key, panels to cut out.

    Its positions are kept beside it; `decalgen sheet` prints those.

    \b
    Example:
      decalgen proof gannet.yaml h9.yaml -o harbour-proof.pdf --film "white A5"
    """
    from dataclasses import replace

    from decalgen.commands.proof import make_proof
    from decalgen.commands.run import Run

    target = output or Path(f"{of_variant(jobs[0].stem, options.variant)}-proof.pdf")
    # A printer that cannot be reached is told before anything is nested.
    printer = to() if to else None
    with ProgressBar("reading the jobs") as bar, Stopping(bar.show) as watch:
        made = make_proof(Run(jobs, options, watch, bar.stage), target, positions, printer is not None)
    if printer is None:
        tell(made.write())
        return
    from decalgen.commands.print_to import print_proof

    with ProgressBar(f"printing on {printer.place.name}") as bar:
        result = print_proof(made, replace(printer, hears=bar.stage))
    tell(result)


@click.command("proof passed")
@click.argument("shown", type=click.Path(path_type=Path), metavar="PROOF")
@click.option("--x", "across", multiple=True, help="Measured length of the horizontal check bar, mm. Repeatable.")
@click.option("--y", "up", multiple=True, help="Measured length of the vertical check bar, mm. Repeatable.")
@click.option(
    "--with",
    "tool",
    default="caliper",
    show_default=True,
    help="Instrument: caliper, steel rule …",
)
@click.option(
    "--sheet", "number", type=int, default=1, show_default=True, help="The sheet of the proof that was measured."
)
@click.option("--code", help="The five letters printed on the sheet that you measured.")
@PAGE_SCAN
@PAGE_BESIDE
@reported
def proof_passed(shown: Path, code: str | None, scan: Path | None, beside: str | None, **typed: Any) -> None:
    """Enter the check-bar readings; film prints once they pass.

    PROOF is the proof's file, or its positions. A scan of the sheet with a card beside it is read in place of --x and
    --y: it refuses what is surely wrong, and passes only what is well within the limits.

    \b
    Example:
      decalgen proof passed harbour-proof.pdf --code _____ --x ____ --y ____
      decalgen proof passed harbour-proof.pdf --code _____ --scan proof.png --beside card
    """
    from decalgen.commands.proof_passed import pass_proof

    readings = (typed["across"], typed["up"], typed["tool"], typed["number"])
    with ProgressBar("reading the scan" if scan else "reading the proof"):
        made, verdict = pass_proof(shown, *readings, code, scan_typed(scan, beside))
    tell(made.write())
    if verdict.word not in ("passed", "in part"):
        sys.exit(EXIT_FINDINGS)


def _length(text: str, option: str) -> float:
    from decalgen.core.lengths import length

    try:
        return length(text).value
    except ValueError as error:
        raise click.UsageError(f"{option}: {error}") from None
