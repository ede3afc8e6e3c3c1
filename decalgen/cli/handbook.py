"""`decalgen handbook`, and what the handbook says of commands: read off the command line itself."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING

import click

from decalgen.cli.detail import SHARED_DETAIL
from decalgen.cli.progress import ProgressBar
from decalgen.cli.terminal import tell

if TYPE_CHECKING:
    from collections.abc import Iterator

    from decalgen.commands.handbook_tables import CommandEntry


@click.command()
@click.option(
    "-o",
    "--output",
    type=click.Path(path_type=Path),
    default=Path("handbook.pdf"),
    show_default=True,
    help="The file: .pdf or .html.",
)
@click.option(
    "--paper",
    metavar="[A4|A5|Letter]",
    default="A4",
    show_default=True,
    help="The paper of a PDF.",
)
@click.pass_context
def handbook(ctx: click.Context, output: Path, paper: str) -> None:
    """Print the handbook, as PDF or HTML.

    \b
    Example:
      decalgen handbook -o handbook.pdf --paper A5
    """
    from decalgen.commands.handbook import print_handbook

    root = ctx.find_root().command
    assert isinstance(root, click.Group)
    with ProgressBar("drawing the handbook"):
        result = print_handbook(output, paper, tuple(entries(root)))
    tell(result)


def entries(group: click.Group, words: tuple[str, ...] = ("decalgen",)) -> Iterator[CommandEntry]:
    """Every command below a group as it is typed, in the order of its help; without what every command takes."""
    from decalgen.commands.handbook_tables import CommandEntry, CommandOption

    for name, command in group.commands.items():
        if command.hidden:
            continue
        if isinstance(command, click.Group):
            yield from entries(command, (*words, name))
            continue
        arguments = [_argument(one) for one in command.params if isinstance(one, click.Argument)]
        options = tuple(
            CommandOption(spelled(one), plain_help(one.help or ""))
            for one in command.params
            if isinstance(one, click.Option) and not one.hidden and one.name not in SHARED_DETAIL
        )
        yield CommandEntry(" ".join((*words, name, *arguments)), plain_help(command.get_short_help_str(200)), options)


def spelled(option: click.Option) -> str:
    """An option as tables name it: -o where it has one, its long name else."""
    return "-o" if "-o" in option.opts else option.opts[-1]


def plain_help(text: str) -> str:
    """A line of help as a cell of a table."""
    return re.sub(r"\s+", " ", text).strip()


def _argument(argument: click.Argument) -> str:
    name = (argument.metavar or argument.name or "").upper()
    name = name.strip("[]").removesuffix("...").rstrip(".")
    return f"[{name}]" if not argument.required else f"{name}..." if argument.nargs == -1 else name
