"""The commands that explain: `keys`, `colours` and `help`. Thin."""

from __future__ import annotations

from pathlib import Path

import click

from decalgen.cli.terminal import tell


@click.command()
@click.argument("words", nargs=-1, metavar="[TOPIC or KEY]")
@click.option("-o", "--output", type=click.Path(path_type=Path), help="Draw a topic's page (.pdf, .svg, .png).")
def keys(words: tuple[str, ...], output: Path | None) -> None:
    """Explain the keys of a file, of a part of it, or of a shape; or say where a key may stand.

    \b
    Example:
      decalgen keys arc
      decalgen keys panel -o panel.pdf
      decalgen keys cap height
    """
    from decalgen.commands.keys import explain_keys

    tell(explain_keys(" ".join(words) or None, output))


@click.command()
@click.argument("job", required=False, type=click.Path(path_type=Path))
@click.option("-o", "--output", type=click.Path(path_type=Path), help="Draw a chart of them all (.png, .pdf, .svg).")
@click.option("--variant", help="Variant of the job, for its body.")
def colours(job: Path | None, output: Path | None, variant: str | None) -> None:
    """List the colours that have a name, or draw them, on white and over the body of a job.

    \b
    Example:
      decalgen colours gannet.yaml -o chart.png
    """
    from decalgen.commands.colours import show_colours

    tell(show_colours(job, output, variant))
