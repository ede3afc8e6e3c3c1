"""The command line: thin. Each command calls one function of `build` and says what came of it."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import click

from decalgen import __version__
from decalgen.cli.calibrate_colour import calibrate
from decalgen.cli.film import film as film_drawer
from decalgen.cli.jobs import check, draw, proof, proof_passed, sheet
from decalgen.cli.terminal import tell
from decalgen.core.errors import EXIT_USAGE, DecalgenError, Interrupted, did_you_mean


class Commands(click.Group):
    """Lists commands in the order of the work, and guesses at a mistyped one."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(self.commands)

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        two = " ".join(args[:2])
        if two in self.commands:
            return two, self.commands[two], args[2:]
        name = args[0]
        if self.get_command(ctx, name) is None and not name.startswith("-"):
            raise click.UsageError(f"there is no command '{name}'; {did_you_mean(name, list(self.commands))}", ctx)
        return super().resolve_command(ctx, args)


def main(argv: Sequence[str] | None = None) -> None:
    """Runs a command and leaves with its exit code; a mistake gives a message, never a traceback."""
    _utf8_output()
    arguments = list(sys.argv[1:] if argv is None else argv)
    debug = "--debug" in arguments
    try:
        code = cli.main([a for a in arguments if a != "--debug"], prog_name="decalgen", standalone_mode=False)
    except click.exceptions.Exit as stop:
        code = stop.exit_code
    except click.UsageError as error:
        _complain(error.format_message(), f"`{_command(error)} --help` shows an example")
        code = EXIT_USAGE
    except (click.exceptions.Abort, KeyboardInterrupt):
        _complain("stopped; nothing half-written is left", "")
        code = Interrupted.exit_code
    except DecalgenError as error:
        if debug:
            raise
        click.echo(str(error), err=True)
        code = error.exit_code
    except BrokenPipeError:
        code = 0
    except Exception as error:
        if debug:
            raise
        _complain(
            f"decalgen has a fault of its own here ({type(error).__name__}: {error}); your files are as they were",
            "run the command again with --debug and report what it prints",
        )
        code = 1
    sys.exit(code if isinstance(code, int) else 0)


@click.group(
    cls=Commands,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
    epilog="Every command takes --help. --debug shows where a fault of the program itself comes from.",
)
@click.version_option(__version__, prog_name="decalgen")
def cli() -> None:
    """Decals for restored die-cast toys: from measured panels to a print at true scale."""


OLD_BENT = "decalgen.bent"


def _old_bent(context: click.Context, _: click.Parameter, values: tuple[str, ...]) -> None:
    """The option by its old word: taken, and noted."""
    if values:
        click.echo("note: --bowed is called --bent now; the old word still works", err=True)
        context.meta[OLD_BENT] = values


@cli.command()
@click.argument("job", type=click.Path(path_type=Path), metavar="JOB")
@click.option("--panel", "panels", multiple=True, metavar="NAME=W×H", help="A panel: 'door=22.4x11.6'. Repeatable.")
@click.option(
    "--bent",
    multiple=True,
    metavar="NAME=C/R/L",
    help="A bent panel, as chord, rise and length: 'bonnet=24.2/1.1/19.5'. Repeatable.",
)
@click.option("--bowed", multiple=True, hidden=True, expose_value=False, callback=_old_bent)
@click.option("--layout", "layouts", multiple=True, help="A ready layout to start from (see `decalgen layouts`).")
@click.option("--title", help="What the job is called on paper.")
@click.option("--scale", default="1:43", show_default=True, help="The model's scale.")
@click.option("--body", default="grey", show_default=True, help="Colour of the body: a CSS name or '#rrggbb'.")
@click.option("--yes", is_flag=True, help="Ask nothing; take what the options say.")
def new(
    job: Path,
    panels: tuple[str, ...],
    bent: tuple[str, ...],
    layouts: tuple[str, ...],
    title: str | None,
    scale: str,
    body: str,
    yes: bool,
) -> None:
    """Start a job: a commented job file and a measuring card to print.

    Asks for the panels one by one, unless they are given.

    \b
    Example:
      decalgen new gannet.yaml --panel door=22.4x11.6 --layout checker-band
    """
    from decalgen.commands.new import Answers, new_job

    bent = (*bent, *click.get_current_context().meta.get(OLD_BENT, ()))
    answers = Answers(job, panels, bent, layouts, title, scale, body)
    if not (yes or panels or bent):
        answers = _ask(answers)
    tell(new_job(answers))


for command in (check, draw, proof, proof_passed, sheet):
    cli.add_command(command)


@cli.command()
@click.option("-o", "--output", type=click.Path(path_type=Path), help="Write a picture of them all (.svg, .png, .pdf).")
def layouts(output: Path | None) -> None:
    """List the ready layouts, or draw them all.

    \b
    Example:
      decalgen layouts -o layouts.png
    """
    from decalgen.commands.lists import layouts as run

    tell(run(output))


@cli.command()
@click.argument("name", required=False)
@click.option("-o", "--output", type=click.Path(path_type=Path), help="Write a picture of them all (.svg, .png, .pdf).")
def shapes(name: str | None, output: Path | None) -> None:
    """List the shapes, explain one, or draw them all.

    \b
    Example:
      decalgen shapes checks
    """
    from decalgen.commands.lists import shapes as run

    tell(run(name, output))


@cli.command()
@click.option(
    "-o", "--output", type=click.Path(path_type=Path), help="Write a specimen of them all (.svg, .png, .pdf)."
)
@click.option("--text", default="Harbour Rescue 147", show_default=True, help="The words of the specimen.")
@click.option("--like", metavar="WORD", help="Rank the faces by likeness to this word as measured.")
@click.option("--cap", help="With --like: its cap height, such as 1.6mm.")
@click.option("--length", help="With --like: its length.")
@click.option("--stem", help="With --like: thickness of its upright strokes.")
@click.option("--crossbar", help="With --like: thickness of its level strokes.")
@click.option("--traced", type=click.Path(path_type=Path), help="With --like: text file of its outlines, x y in mm.")
def fonts(
    output: Path | None,
    text: str,
    like: str | None,
    cap: str | None,
    length: str | None,
    stem: str | None,
    crossbar: str | None,
    traced: Path | None,
) -> None:
    """List the faces for lettering, draw a specimen, or rank them by likeness to an original.

    \b
    Example:
      decalgen fonts -o fonts.png --text "Bergpost 14"
      decalgen fonts --like HARBOUR --cap 1.6mm --length 14.2mm --stem 0.26mm -o like.png
      decalgen fonts --like HARBOUR --cap 1.6mm --traced outline.txt -o like.pdf
    """
    if like is not None:
        from decalgen.commands.fonts import like as ranked

        sizes = {"cap height": cap, "length": length, "stem": stem, "crossbar": crossbar}
        tell(ranked(like, sizes, traced, output))
        return
    if cap or length or stem or crossbar or traced:
        raise click.UsageError("measures need the word they were read off: add --like WORD")
    from decalgen.commands.fonts import fonts as run

    tell(run(output, text))


@cli.command()
@click.option("--of-check", is_flag=True, help="Of what `check --json` prints instead.")
def schema(of_check: bool) -> None:
    """Print the JSON Schema of a job file, for editors that help while typing.

    \b
    Example:
      decalgen schema > job.schema.json
    """
    import json

    if of_check:
        from decalgen.commands.check_json import check_schema as made
    else:
        from decalgen.job.schema import job_schema as made

    click.echo(json.dumps(made(), indent=2, ensure_ascii=False))


cli.add_command(calibrate)
cli.add_command(film_drawer)


def _complain(message: str, fix: str) -> None:
    click.echo(f"{message}\nfix: {fix}" if fix else message, err=True)


def _command(error: click.UsageError) -> str:
    return error.ctx.command_path if error.ctx else "decalgen"


def _ask(answers: Any) -> Any:
    from dataclasses import replace

    title = answers.title or click.prompt("What is the model called", default=answers.job.stem)
    scale = click.prompt("Its scale", default=answers.scale)
    body = click.prompt("Colour of the body (a CSS name or #rrggbb)", default=answers.body)
    panels: list[str] = []
    bent: list[str] = []
    click.echo("Now the panels, one by one; an empty name ends. Sizes in mm, such as 22.4; leave out to measure later.")
    while name := click.prompt("Panel", default="", show_default=False).strip():
        if click.confirm("  is it bent", default=False):
            sizes = [_size_or_later(key) for key in ("chord", "rise", "length")]
            bent.append(f"{name}={'/'.join(sizes)}")
        else:
            sizes = [_size_or_later(key) for key in ("width", "height")]
            panels.append(f"{name}={'x'.join(sizes)}")
    return replace(answers, title=title, scale=scale, body=body, panels=tuple(panels), bent=tuple(bent))


def _size_or_later(key: str) -> str:
    return str(click.prompt(f"  {key}", default="", show_default=False)).strip() or "?"


def _utf8_output() -> None:
    """Windows consoles and pipes are not always UTF-8; a size with × in it must not end a run."""
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(encoding="utf-8", errors="replace")
