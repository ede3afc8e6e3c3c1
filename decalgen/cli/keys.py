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


@click.command("help")
@click.argument("words", nargs=-1, metavar="[TOPIC]")
@click.pass_context
def help_on(context: click.Context, words: tuple[str, ...]) -> None:
    """Show a chapter of the handbook, a section of one, or the keys of a topic; or how a command is called.

    \b
    Example:
      decalgen help lettering
    """
    from decalgen.cli.handbook import entries
    from decalgen.commands.help import explain
    from decalgen.commands.options import Answer, Result
    from decalgen.pages.handbook import chapters

    root = context.find_root()
    assert isinstance(root.command, click.Group)
    name = " ".join(words)
    found = _command(root.command, words)
    if found is not None and name.casefold() not in {one.name for one in chapters()}:
        with click.Context(found, info_name=name, parent=root) as of:
            lines = tuple(found.get_help(of).split("\n"))
        tell(Result((), lines=lines, answer=Answer(f"explained the command '{name}'", "decalgen help")))
        return
    tell(explain(name, tuple(entries(root.command))))


def _command(group: click.Group, words: tuple[str, ...]) -> click.Command | None:
    """The command of these words, if there is one."""
    name = " ".join(words)
    if name in group.commands:
        return group.commands[name]
    first = group.commands.get(words[0]) if words else None
    return _command(first, words[1:]) if isinstance(first, click.Group) else None
