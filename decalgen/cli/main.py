"""The command line: thin. Each command calls one function of `build` and says what came of it."""

from __future__ import annotations

import re
import sys
from collections.abc import Sequence
from pathlib import Path

import click

from decalgen import __version__
from decalgen.cli.bench import bench
from decalgen.cli.calibrate_colour import calibrate
from decalgen.cli.detail import with_detail
from decalgen.cli.film import film as film_drawer
from decalgen.cli.format import format_
from decalgen.cli.guide import guide
from decalgen.cli.handbook import handbook
from decalgen.cli.jobs import check, draw, proof, proof_passed
from decalgen.cli.keys import colours, help_on, keys
from decalgen.cli.measure import measure
from decalgen.cli.new import new
from decalgen.cli.printers import printers
from decalgen.cli.progress import ProgressBar
from decalgen.cli.scan import scan
from decalgen.cli.sheet import sheet
from decalgen.cli.terminal import Screen, put, put_error, screens, tell
from decalgen.core.command_line import typed
from decalgen.core.errors import (
    EXIT_FINDINGS,
    EXIT_USAGE,
    DecalgenError,
    Interrupted,
    JobError,
    OutputError,
    did_you_mean,
)
from decalgen.core.visible import visible

NEED_JOBS = ("check", "draw", "proof", "sheet", "guide", "new", "measure", "scan")
"""Commands that can do nothing by their name alone."""


class Commands(click.Group):
    """Lists commands in the order of the work, and guesses at a mistyped one."""

    def add_command(self, cmd: click.Command, name: str | None = None) -> None:
        super().add_command(with_detail(cmd), name)

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(self.commands)

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        if len(args) > 1 or (args and args[0] not in self.commands):
            from decalgen.cli.loose_words import gathered

            below = [name for one in self.commands.values() if isinstance(one, click.Group) for name in one.commands]
            args = gathered(args, {*self.commands, *below})
        return super().parse_args(ctx, args)

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        name, command, rest = self._resolved(ctx, args)
        if command is not None and len(rest) > 1:
            from decalgen.cli.loose_words import check_values

            check_values(click.Context(command, ctx, name), command, rest)
        return name, command, rest

    def _resolved(self, ctx: click.Context, args: list[str]) -> tuple[str | None, click.Command | None, list[str]]:
        two = " ".join(args[:2])
        if two in self.commands:
            return two, self.commands[two], args[2:]
        name = args[0]
        if self.get_command(ctx, name) is None and not name.startswith("-"):
            raise click.UsageError(f"there is no command '{name}'; {did_you_mean(name, list(self.commands))}", ctx)
        return super().resolve_command(ctx, args)


def main(argv: Sequence[str] | None = None) -> None:
    """Runs a command and leaves with its exit code; a mistake gives a message, never a traceback."""
    arguments = list(sys.argv[1:] if argv is None else argv)
    debug = "--debug" in arguments
    with screens() as (out, _):
        code = _run([a for a in arguments if a != "--debug"], debug)
        out.flush()
        code = _lost(out, code)
    sys.exit(code)


def _run(arguments: list[str], debug: bool) -> int:
    """The exit code of a command, whatever came of it."""
    try:
        code = cli.main(arguments, prog_name="decalgen", standalone_mode=False)
    except SystemExit as stop:
        code = stop.code
    except click.ClickException as error:
        _complain(error.format_message(), f"`{_command(error)} --help` shows an example")
        return EXIT_USAGE
    except (click.exceptions.Abort, KeyboardInterrupt, Interrupted):
        _complain("stopped; no half-written file is left", "")
        return Interrupted.exit_code
    except DecalgenError as error:
        if debug:
            put(traceback(), to_errors=True)
        else:
            put_error(str(error))
            put(visible(stopped(error, arguments)), to_errors=True)
        return error.exit_code
    except Exception as error:
        if debug:
            put(traceback(), to_errors=True)
            return 1
        _complain(
            f"decalgen itself failed ({type(error).__name__}: {error}); your files are unchanged",
            "run the command again with --debug and report what it prints",
        )
        return 1
    return code if isinstance(code, int) else 0


def stopped(error: DecalgenError, arguments: Sequence[str]) -> str:
    """The summary line of a command that could not do its work. What to do next is the command that the fix names; for
    mistakes in a file the same command again, once they are corrected; else what the fix says."""
    count = len(getattr(error, "problems", getattr(error, "findings", ("one",))))
    fixes = [one.fix for one in getattr(error, "findings", ())] or [error.fix]
    named = (command for fix in fixes for command in re.findall(r"`(decalgen [^`]+)`", fix))
    command = error.next_step or next((one for one in named if one.removeprefix("decalgen ") not in NEED_JOBS), "")
    if not command and error.exit_code in (JobError.exit_code, EXIT_FINDINGS):
        command = f"correct {'it' if count == 1 else 'them'}, then run: {typed(['decalgen', *arguments])}"
    step = command or ("do what the fix says" if error.fix else "correct it, and run the command again")
    return f"stopped: {count} error{'' if count == 1 else 's'}, 0 warnings; next: {step}"


def traceback() -> str:
    """Where the error that is being handled comes from."""
    import traceback as python

    return python.format_exc().rstrip()


def _lost(out: Screen, code: int) -> int:
    """The exit code where what was to be printed could not be; a pipe whose reader has seen enough is no mistake."""
    if out.fault is None or out.reader_left:
        return code
    why = (out.fault.strerror or str(out.fault)).lower()
    _complain(f"what was to be printed here cannot be: {why}", "make room on the disk, or print to another place")
    return code or OutputError.exit_code


@click.group(
    cls=Commands,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
    epilog="Every command has --help. --debug shows where a fault in decalgen comes from.",
)
@click.version_option(__version__, prog_name="decalgen")
def cli() -> None:
    """Decals for restored die-cast toys: from measured panels to a print at true scale."""


cli.add_command(new)
cli.add_command(measure)
cli.add_command(scan)
cli.add_command(bench)
cli.add_command(format_)
for command in (check, draw, proof, proof_passed, sheet, guide):
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

    with ProgressBar("drawing the layouts"):
        result = run(output)
    tell(result)


@cli.command()
@click.argument("name", required=False)
@click.option(
    "-o", "--output", type=click.Path(path_type=Path), help="Draw them all, or the page of one (.svg, .png, .pdf)."
)
def shapes(name: str | None, output: Path | None) -> None:
    """List the shapes or draw them all; explain the keys of one, as `decalgen keys NAME` does.

    \b
    Example:
      decalgen shapes checks
    """
    from decalgen.commands.lists import shapes as run

    with ProgressBar("drawing the shapes"):
        result = run(name, output)
    tell(result)


@cli.command()
@click.argument("job", required=False, type=click.Path(path_type=Path))
@click.option(
    "-o", "--output", type=click.Path(path_type=Path), help="Write a specimen of them all (.svg, .png, .pdf)."
)
@click.option("--text", default="Harbour Stores 147", show_default=True, help="The words of the specimen.")
@click.option("--like", metavar="WORD", help="Rank the faces by likeness to this word as measured.")
@click.option("--cap", help="With --like: its cap height, such as 1.6mm.")
@click.option("--length", help="With --like: its length.")
@click.option("--stem", help="With --like: thickness of its upright strokes.")
@click.option("--crossbar", help="With --like: thickness of its horizontal strokes.")
@click.option("--traced", type=click.Path(path_type=Path), help="With --like: text file of its outlines, x y in mm.")
def fonts(
    job: Path | None,
    output: Path | None,
    text: str,
    like: str | None,
    traced: Path | None,
    **read: str | None,
) -> None:
    """List the faces for lettering, draw a specimen, or rank them by likeness to an original.

    With JOB, the faces that this job names under 'faces:' come first.

    \b
    Example:
      decalgen fonts -o fonts.png --text "Bergpost 14"
      decalgen fonts --like HARBOUR --cap 1.6mm --length 14.2mm --stem 0.26mm -o like.png
      decalgen fonts --like HARBOUR --cap 1.6mm --traced outline.txt -o like.pdf
    """
    if like is not None:
        from decalgen.commands.fonts import like as ranked

        sizes = {"cap height" if name == "cap" else name: value for name, value in read.items()}
        with ProgressBar("comparing the faces"):
            result = ranked(like, sizes, traced, output, job)
        tell(result)
        return
    if any(read.values()) or traced:
        raise click.UsageError("measures need the word they belong to: add --like WORD")
    from decalgen.commands.fonts import fonts as run

    with ProgressBar("setting the faces"):
        result = run(output, text, job)
    tell(result)


@cli.command()
@click.argument("file", required=False, default="job", metavar="[FILE]")
@click.option("--of-check", is_flag=True, help="Print the schema of `check --json`.")
def schema(file: str, of_check: bool) -> None:
    """Print the JSON Schema of a job, film, printer, cutter, inks or layout file, for editors that help while typing.

    FILE is one of these words; job if left out. A job that `decalgen new` starts has its schema beside it.

    \b
    Example:
      decalgen schema printer > printer.schema.json
    """
    import json

    from decalgen.job.schema import schema_of

    if of_check:
        from decalgen.commands.check_json import check_schema

        made = check_schema()
    else:
        made = schema_of(file)
    from decalgen.commands.options import Answer, Result
    from decalgen.commands.summary import summary

    put(json.dumps(made, indent=2, ensure_ascii=False))
    if getattr(sys.stdout, "fault", None) is not None:
        return
    # The schema alone goes to where it is piped.
    follow = "decalgen check --json JOB" if of_check else f"decalgen schema {file} > {file}.schema.json"
    put(summary(Result((), answer=Answer("printed the schema", follow))), to_errors=True)


cli.add_command(keys)
cli.add_command(colours)
cli.add_command(help_on)
cli.add_command(printers)
cli.add_command(calibrate)
cli.add_command(film_drawer)
cli.add_command(handbook)


def _complain(message: str, fix: str) -> None:
    put_error(f"{visible(message)}\nfix: {visible(fix)}" if fix else visible(message))


def _command(error: click.ClickException) -> str:
    context = getattr(error, "ctx", None)
    return context.command_path if context else "decalgen"
