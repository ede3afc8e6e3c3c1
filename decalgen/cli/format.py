"""The command `format`: files laid out evenly. Thin."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from decalgen.cli.patterns import spread
from decalgen.cli.terminal import tell
from decalgen.core.errors import EXIT_FINDINGS, Severity


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
    from dataclasses import replace

    from decalgen.commands.format_files import format_files
    from decalgen.commands.options import Result
    from decalgen.core.command_line import typed

    made = format_files(files, short=short)
    if not check:
        tell(made.write())
        return
    count = len(made.files)
    counted: tuple[Severity, ...] = tuple("error" for _ in made.files)
    answer = replace(
        made.answer,
        done=f"looked at {len(files)} file{'' if len(files) == 1 else 's'}, {count} would be laid out differently",
        next=typed(["decalgen", "format", *made.files]) if count else made.answer.next,
        groups=(),
        also=counted,
    )
    rows = (*made.lines, *(f"{path}: would be laid out differently" for path in made.files))
    tell(Result((), lines=rows, answer=answer))
    if made.files:
        sys.exit(EXIT_FINDINGS)
