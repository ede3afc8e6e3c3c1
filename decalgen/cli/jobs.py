"""The commands that read jobs: check, draw, proof, sheet, with the options they share. Thin."""

from __future__ import annotations

import sys
from collections.abc import Callable
from functools import update_wrapper
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from decalgen.cli.ctrl_c import Stopping
from decalgen.cli.patterns import spread
from decalgen.cli.terminal import over, put, tell, watched
from decalgen.core.errors import EXIT_FINDINGS

if TYPE_CHECKING:
    from decalgen.commands.options import Options
    from decalgen.nesting import Remnant

DPI = click.option("--dpi", type=float, default=300.0, show_default=True, help="Of .png: dots to the inch.")
JOBS = click.argument("jobs", nargs=-1, type=click.Path(path_type=Path), metavar="JOB...", callback=spread)
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
            help="What to keep of the film: one large rectangle, or a straight strip.",
        ),
        click.option("--seed", type=int, help="Another seed gives another nest."),
        click.option(
            "--effort",
            default="normal",
            show_default=True,
            help="How hard to nest: quick, normal, thorough, or a time such as '60 s'.",
        ),
        click.option("--gap", help="Between cut lines, such as '3 mm'."),
        click.option("--hands", type=click.Choice(["both", "left", "right"]), default="both", help="Which hand."),
        click.option("--variant", help="Another version of the livery, by its name in the job."),
        click.option("--printer", help="Printer file (.yaml), or the name of a kept profile."),
        click.option("--film", multiple=True, help="Film file, or words such as 'white A5'; or: drawer. Repeatable."),
    ):
        gathered = option(gathered)
    return gathered


@click.command()
@FILES
@click.option("--json", "as_json", is_flag=True, help="For other programs: findings and fits as JSON.")
@options_of
def check(jobs: tuple[Path, ...], as_json: bool, options: Options) -> None:
    """Find mistakes before film is spent: fit, smallest features, colour, white.

    \b
    Example:
      decalgen check gannet.yaml
    """
    from decalgen.commands.run import Run

    if as_json:
        from decalgen.commands.check_json import check_json

        text, code = check_json(Run(jobs, options))
        put(text)
        sys.exit(code)
    from decalgen.commands.check import check as run

    result = run(Run(jobs, options)).write()
    tell(result)
    errors = sum(f.severity == "error" for f in result.findings)
    warnings = sum(f.severity == "warning" for f in result.findings)
    put(f"{errors} errors, {warnings} warnings")
    if errors:
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

    tell(run(Run(jobs, options), output, ["." + e.lstrip(".") for e in endings], dpi, findings).write())


@click.command()
@FILES
@click.option("-o", "--output", type=click.Path(path_type=Path), help="The PDF; left out: named after the first job.")
@options_of
def proof(jobs: tuple[Path, ...], output: Path | None, options: Options) -> None:
    """Print the same sheet on plain paper first: sizes, key, panels to cut out.

    Its positions are kept beside it; `decalgen sheet` prints those.

    \b
    Example:
      decalgen proof gannet.yaml h9.yaml -o harbour-proof.pdf --film "white A5"
    """
    from decalgen.commands.proof import make_proof
    from decalgen.commands.run import Run

    target = output or Path(f"{jobs[0].stem}-proof.pdf")
    with _ProgressBar() as watch:
        result = make_proof(Run(jobs, options, watch), target).write()
    tell(result)


@click.command("proof passed")
@click.argument("shown", type=click.Path(path_type=Path), metavar="PROOF")
@click.option("--x", "across", multiple=True, help="What the check bar across measures, in mm. Repeatable.")
@click.option("--y", "up", multiple=True, help="What the check bar up measures, in mm. Repeatable.")
@click.option(
    "--with",
    "tool",
    default="caliper",
    show_default=True,
    help="Instrument: caliper, steel rule …",
)
@click.option("--sheet", "number", type=int, default=1, show_default=True, help="On which sheet of the proof.")
def proof_passed(shown: Path, across: tuple[str, ...], up: tuple[str, ...], tool: str, number: int) -> None:
    """Say what the proof's check bars measure; only then is film printed.

    PROOF is the proof's file, or its positions.

    \b
    Example:
      decalgen proof passed harbour-proof.pdf --x 99.8 --y 100.1
    """
    from decalgen.commands.proof_passed import pass_proof

    made, verdict = pass_proof(shown, across, up, tool, number)
    tell(made.write())
    if verdict.word not in ("passed", "in part"):
        sys.exit(EXIT_FINDINGS)


@click.command()
@JOBS
@click.option(
    "-o",
    "--output",
    "outputs",
    multiple=True,
    type=click.Path(path_type=Path),
    help="The print file (.pdf, .svg, .png). Repeatable; left out: named after the first job.",
)
@click.option("--nest-again", is_flag=True, help="Do not take the positions of the proof.")
@click.option("--again", type=click.Path(path_type=Path), metavar="RECORD", help="Print a sheet once more.")
@click.option("--without-proof", metavar="WHY", help="Print on film although the size is not proven; say why.")
@click.option("--plates", is_flag=True, help="Also each ink alone; with a white printer, white and artwork apart.")
@click.option(
    "--cut",
    multiple=True,
    type=click.Path(path_type=Path),
    help="Also a file for a cutting machine (.dxf, .svg). Repeatable.",
)
@click.option(
    "--cutter", type=click.Path(path_type=Path), help="Cutter file (.yaml): the cutting machine's correction."
)
@DPI
@click.option("--for", "where", type=click.Choice(["home", "press"]), default="home", help="press: for a print shop.")
@options_of
def sheet(
    jobs: tuple[Path, ...],
    outputs: tuple[Path, ...],
    nest_again: bool,
    again: Path | None,
    without_proof: str | None,
    plates: bool,
    cut: tuple[Path, ...],
    cutter: Path | None,
    dpi: float,
    where: str,
    options: Options,
) -> None:
    """Nest the decals onto film and write the print file at true scale.

    \b
    Example:
      decalgen sheet gannet.yaml h9.yaml -o harbour-sheet.pdf --film "white A5"
    """
    from decalgen.commands.options import SheetFiles
    from decalgen.commands.run import Run
    from decalgen.commands.sheet import make_sheet

    if plates and where == "press":
        raise click.UsageError("a print shop makes its own plates: leave out --plates, or --for press")
    if without_proof is not None and not without_proof.strip():
        raise click.UsageError("--without-proof needs a reason, such as 'only a test strip'")
    if cutter and not cut:
        raise click.UsageError("--cutter corrects a cutting file: name one with --cut, such as --cut cut.dxf")
    if again:
        _only_again(jobs, nest_again or plates or without_proof is not None or where == "press")
        from decalgen.commands.again import print_again

        tell(print_again(again, SheetFiles(outputs, dpi=dpi) if outputs else None, cut, cutter))
        return
    if not jobs:
        raise click.UsageError("name at least one job: decalgen sheet gannet.yaml; or a record after --again")
    targets = outputs or (Path(f"{jobs[0].stem}-{'press' if where == 'press' else 'sheet'}.pdf"),)
    with _ProgressBar() as watch:
        wanted = SheetFiles(targets, nest_again, plates, where == "press", cut, cutter, dpi, without_proof)
        result = make_sheet(Run(jobs, options, watch), wanted).write()
    tell(result)


def _only_again(jobs: tuple[Path, ...], more: bool) -> None:
    """Raises UsageError where a record is to be printed, and something else too."""
    if jobs:
        raise click.UsageError("a record holds its jobs: leave out the jobs beside --again")
    if more:
        raise click.UsageError("a record is printed as it was: beside --again only -o, --cut, --cutter and --dpi go")


class _ProgressBar:
    """A line of progress with the best arrangement so far, on the error stream, only where a person watches it."""

    def __init__(self) -> None:
        self.shown = watched()
        self.any = False
        self.stopping = Stopping(self.show)

    def show(self, progress: Any) -> None:
        """Draws the line anew."""
        if self.shown:
            self.any = True
            sheets = f"{progress.sheets} sheet{'' if progress.sheets == 1 else 's'}"
            text = (
                f"nesting [{'#' * round(6 * progress.part):<6}] {progress.placed}/{progress.pieces} on {sheets}, "
                f"{progress.used_length:.0f} mm, {progress.remnant / 100:.0f} cm² left; Ctrl-C keeps it"
            )
            over(f"{text[:78]:<78}")

    def __enter__(self) -> Stopping:
        return self.stopping.__enter__()

    def __exit__(self, *of: object) -> None:
        self.stopping.__exit__(*of)
        if self.any:
            over(" " * 78)
            over("")


def _length(text: str, option: str) -> float:
    from decalgen.core.lengths import length

    try:
        return length(text).value
    except ValueError as error:
        raise click.UsageError(f"{option}: {error}") from None
