"""How a command's result is said on the terminal: the same everywhere."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from decalgen.core.errors import Finding

if TYPE_CHECKING:
    from decalgen.commands.options import Result


def tell(result: Result) -> None:
    """Findings, then lines, then the files made."""
    for finding in result.findings:
        say(finding)
    for line in result.lines:
        click.echo(line)
    for path in result.files:
        click.echo(f"wrote {path}")


def say(finding: Finding) -> None:
    """One finding, its head in the colour of its severity (the word says it too)."""
    colour = {"error": "red", "warning": "yellow", "note": "cyan"}[finding.severity]
    text = str(finding)
    head, _, rest = text.partition("\n")
    click.secho(head, fg=colour)
    if rest:
        click.echo(rest)
