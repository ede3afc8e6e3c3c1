"""The command `format`: files laid out evenly. Thin."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from decalgen.cli.patterns import spread
from decalgen.cli.terminal import put, tell
from decalgen.core.errors import EXIT_FINDINGS
from decalgen.core.visible import visible


@click.command("format")
@click.argument("files", nargs=-1, required=True, type=click.Path(path_type=Path), metavar="FILE...", callback=spread)
@click.option("--short", is_flag=True, help="Put in brackets what fits on one line; left out, one key to a line.")
@click.option("--check", is_flag=True, help="Write nothing; say whether a file would change (exit code 7).")
def format_(files: tuple[Path, ...], short: bool, check: bool) -> None:
    """Lay out job files evenly: one key to a line and no brackets, or short, in brackets.

    All values and comments stay. Film, printer, cutter and ink files can be laid out too.

    \b
    Example:
      decalgen format gannet.yaml
    """
    from decalgen.commands.format_files import format_files

    made = format_files(files, short=short)
    if not check:
        tell(made.write())
        return
    for line in made.lines:
        put(visible(line))
    for path in made.files:
        put(visible(f"{path}: would be laid out differently"))
    if made.files:
        sys.exit(EXIT_FINDINGS)
