"""How much a command says: the options -v and -q of every command, and -o where the answer itself can be kept."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any, Literal

import click

Detail = Literal["short", "whole", "errors"]
"""What is said: the short answer, all there is (-v), or errors and the summary line alone (-q)."""
SHARED_DETAIL = ("verbose", "quiet")
"""The names of the options that every command has."""
_DETAIL = "decalgen.detail"
_REPORT = "decalgen.report"


def _kept(detail: Detail) -> Callable[[click.Context, click.Parameter, bool], None]:
    def keep(context: click.Context, _: click.Parameter, asked: bool) -> None:
        if not asked:
            return
        if context.meta.setdefault(_DETAIL, detail) != detail:
            raise click.UsageError("-v says all and -q only errors: use one of them", context)

    return keep


def with_detail(command: click.Command) -> click.Command:
    """Gives a command, and every command of a group, the options -v and -q; what it says goes by them (`detail`)."""
    if isinstance(command, click.Group):
        for one in command.commands.values():
            with_detail(one)
        return command
    if not any("-v" in one.opts for one in command.params):
        command.params += [
            click.Option(
                ["-v", "--verbose"],
                is_flag=True,
                expose_value=False,
                callback=_kept("whole"),
                help="Show everything: all notes, sizes, clearances and files.",
            ),
            click.Option(
                ["-q", "--quiet"],
                is_flag=True,
                expose_value=False,
                callback=_kept("errors"),
                help="Show only errors and the summary line.",
            ),
        ]
    return command


def detail() -> Detail:
    """How much the command that runs is to say."""
    context = click.get_current_context(silent=True)
    found: Detail = "short" if context is None else context.meta.get(_DETAIL, "short")
    return found


def _report(context: click.Context, parameter: click.Parameter, path: Path | None) -> None:
    if path is None:
        return
    if path.suffix.lower() != ".txt":
        raise click.BadParameter(f"'{path}' is not a text file: let its name end in .txt", context, parameter)
    context.meta[_REPORT] = path


def reported(command: Callable[..., Any]) -> Callable[..., Any]:
    """The option -o of a command whose answer is worth keeping: all of it goes to a text file, too."""
    return click.option(
        "-o",
        "--output",
        type=click.Path(path_type=Path),
        expose_value=False,
        callback=_report,
        help="Write the whole answer to a text file (.txt), too.",
    )(command)


def report_file() -> Path | None:
    """Where the whole answer goes, too."""
    context = click.get_current_context(silent=True)
    return None if context is None else context.meta.get(_REPORT)
