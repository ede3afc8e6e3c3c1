"""The command `guide`: where each decal goes on its model. Thin."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from decalgen.cli.jobs import FILES, options_of
from decalgen.cli.progress import ProgressBar
from decalgen.cli.terminal import tell
from decalgen.core.names import of_variant

if TYPE_CHECKING:
    from decalgen.commands.options import Options


@click.command()
@FILES
@click.option(
    "-o",
    "--output",
    "outputs",
    multiple=True,
    type=click.Path(path_type=Path),
    help="The guide (.pdf, .html). Repeatable; if left out, named after the first job.",
)
@click.option(
    "--paper", metavar="[A4|A5|Letter]", default="A4", show_default=True, help="The paper that it is printed on."
)
@click.option("--only", metavar="NAME", help="The guide of one of these jobs alone, with the numbers that all have.")
@options_of
def guide(jobs: tuple[Path, ...], outputs: tuple[Path, ...], paper: str, only: str | None, options: Options) -> None:
    """Print where each decal goes: distances, order, cards to push the decals against.

    Name the same jobs as for the sheet, in the same order: then its numbers are those on the film.

    \b
    Example:
      decalgen guide gannet.yaml -o gannet-guide.pdf --paper A5
    """
    from decalgen.commands.guide import make_guide
    from decalgen.commands.run import Run

    targets = outputs or (Path(f"{of_variant(jobs[0].stem, options.variant)}-guide.pdf"),)
    with ProgressBar("reading the jobs") as bar:
        result = make_guide(Run(jobs, options, stage=bar.stage), targets, paper, only).write()
    tell(result)
