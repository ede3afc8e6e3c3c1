"""`decalgen calibrate`: print the target on the film, read it, keep the printer's correction."""

from __future__ import annotations

from collections.abc import Callable
from functools import update_wrapper
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from decalgen.cli.detail import reported
from decalgen.cli.progress import ProgressBar
from decalgen.cli.scan import PAGE_BESIDE, PAGE_SCAN, scan_typed

if TYPE_CHECKING:
    from decalgen.commands.calibrate_printer import CalibrationRequest
    from decalgen.commands.typed_readings import TypedReadings

FEEDS = ("short edge first", "long edge first")
"""As in `history.FEEDS`, which is not imported so that help starts at once."""
PRINTER = click.option("--printer", help="Printer file (.yaml), or the name of a kept profile.")
FILM = click.option("--film", default="white A4", show_default=True, help="Film file, or words such as 'white A5'.")
TOOL = click.option(
    "--with",
    "tool",
    default="caliper",
    show_default=True,
    help="Instrument: caliper, steel rule …",
)


@click.group()
def calibrate() -> None:
    """Measure how the printer stretches, and correct for it.

    \b
    Example:
      decalgen calibrate print --film "white A5" -o target.pdf
    """


@calibrate.command("print")
@click.option("-o", "--output", type=click.Path(path_type=Path), default=Path("target.pdf"), show_default=True,
              help="The target.")  # fmt: skip
@PRINTER
@FILM
@TOOL
def print_(output: Path, printer: str | None, film: str, tool: str) -> None:
    """Write the target to print on the film itself.

    \b
    Example:
      decalgen calibrate print --printer printer.yaml --film "white A5"
    """
    from decalgen.cli.terminal import tell
    from decalgen.commands.calibrate_printer import print_target

    with ProgressBar("drawing the target"):
        result = print_target(printer, film, tool, output)
    tell(result)


def request_of(command: Callable[..., None]) -> Callable[..., None]:
    """The options that say what a calibration is for, gathered into `CalibrationRequest`."""

    def gathered(*args: Any, output: Path | None, keep: str | None, **rest: Any) -> None:
        from decalgen.commands.calibrate_printer import CalibrationRequest

        if (output is None) == (keep is None):
            raise click.UsageError("say where the result goes: --keep with a name, or -o with a file")
        given = {name: rest.pop(name) for name in ("printer", "film", "tool", "date", "tray", "feed", "paper")}
        command(*args, wanted=CalibrationRequest(output=output, keep=keep, **given), **rest)

    update_wrapper(gathered, command)
    options = (
        click.option(
            "-o", "--output", type=click.Path(path_type=Path), help="The corrected printer file; or use --keep."
        ),
        click.option("--keep", metavar="NAME", help="Keep it as a profile under this printer name."),
        click.option("--tray", default="", help="With --keep: the tray the film is fed from, such as rear."),
        click.option(
            "--paper-type", "paper", default="", help="With --keep: the paper type that the printer was set to for it."
        ),
        click.option("--feed", type=click.Choice(FEEDS), default=FEEDS[0], help="Which way round the film is fed."),
        click.option("--date", default="", help="The day of the calibration, as 2026-11-25."),
        PRINTER,
        FILM,
        TOOL,
    )
    for option in reversed(options):
        gathered = option(gathered)
    return gathered


@calibrate.command("read")
@click.argument("readings", required=False, type=click.Path(path_type=Path))
@PAGE_SCAN
@PAGE_BESIDE
@request_of
def read(readings: Path | None, scan: Path | None, beside: str | None, wanted: CalibrationRequest) -> None:
    """Turn readings into a kept profile, or into a corrected printer file.

    READINGS is a text file, one span per line (`across foot: 119.62 119.58 119.60`); left out, you are asked span by
    span, and what you type is kept until it is used. A scan of the target with a card beside it is read as well, but
    less surely than a caliper does. A profile keeps every calibration and corrects by the newest.

    \b
    Example:
      decalgen calibrate read r.txt --printer printer.yaml --film "white A5" --keep "desk inkjet" --date 2026-11-25
      decalgen calibrate read --scan target.png --beside card --film "white A5" --keep "desk inkjet" --date 2026-11-25
    """
    from dataclasses import replace

    from decalgen.cli.terminal import at_hand, tell
    from decalgen.commands.calibrate_printer import read_readings, read_target
    from decalgen.commands.typed_readings import typed_readings
    from decalgen.core.errors import DecalgenError

    if (found := scan_typed(scan, beside)) is not None:
        if readings is not None:
            raise click.UsageError("READINGS and --scan both give the lengths: leave one out")
        from decalgen.commands.scanned_target import read_scanned_target

        with ProgressBar("reading the scan"):
            result = read_scanned_target(found, wanted)
        tell(result)
        return
    if readings:
        with ProgressBar("working out the calibration"):
            result = read_target(read_readings(readings), wanted)
        tell(result)
        return
    kept = typed_readings(wanted)
    typed = _ask(kept)
    if wanted.keep is not None and not wanted.paper and at_hand():
        wanted = replace(wanted, paper=_ask_paper(wanted))
    try:
        result = read_target(typed, wanted)
    except DecalgenError as error:
        go_on = f"what you typed is kept in '{kept.path}': run the same command again and correct it"
        error.fix = f"{error.fix}; {go_on}" if error.fix else go_on
        raise
    kept.used()
    tell(result)


@calibrate.command("history")
@click.argument("printer", required=False)
@reported
def history(printer: str | None) -> None:
    """List the kept profiles: each calibration, how far the printer moved, the check bars read since.

    \b
    Example:
      decalgen calibrate history "desk inkjet"
    """
    from decalgen.cli.terminal import tell
    from decalgen.commands.printer_drift import history as run

    with ProgressBar("reading the profiles"):
        result = run(printer)
    tell(result)


@calibrate.command("bars")
@click.argument("printer")
@click.option("--x", multiple=True, help="Measured on the film across the sheet, cross to cross, mm. Repeatable.")
@click.option("--y", multiple=True, help="Measured on the film up the sheet, cross to cross, mm. Repeatable.")
@click.option("--date", required=True, help="The day of the print, as 2026-11-25.")
@click.option("--film", help="Which film, where the printer has profiles for several.")
@click.option(
    "--record",
    type=click.Path(path_type=Path, dir_okay=False),
    help="Record of the print, which says how far apart its crosses should be.",
)
@click.option("--sheet", default=1, help="Which sheet of that print was measured.", show_default=True)
@click.option("--asked-x", help="How long it should be across, if not 100 mm.")
@click.option("--asked-y", help="How long it should be up the sheet, if not 100 mm.")
@TOOL
@reported
def bars(**typed: Any) -> None:
    """Keep what was measured on a printed film, cross to cross, and see whether the printer has drifted.

    Film of earlier versions carries check bars of 100 mm instead.

    \b
    Example:
      decalgen calibrate bars "desk inkjet" --record tug-1a2b3c4d.record.json --x ____ --y ____ --date 2026-12-01
    """
    from decalgen.cli.terminal import tell
    from decalgen.commands.printer_drift import Read
    from decalgen.commands.printer_drift import bars as run

    tell(run(Read(typed.pop("printer"), **typed)))


def _ask_paper(wanted: CalibrationRequest) -> str:
    """The paper type that the printer was set to; what the profile has already holds where nothing is typed."""
    from decalgen.cli.terminal import ask, put
    from decalgen.commands.calibrate_printer import kept_paper, paper_word
    from decalgen.core.errors import DecalgenError

    put("Which paper type was the printer set to, by its own word, such as transparency? An empty line: not known.")
    while True:
        try:
            return paper_word(ask("paper type", kept_paper(wanted)))
        except DecalgenError as error:
            put(str(error), to_errors=True)


def _ask(kept: TypedReadings) -> dict[str, list[float]]:
    """Three readings a span. Each is checked and kept as it is typed; what cannot be right is asked for again."""
    from decalgen.cli.terminal import ask, put
    from decalgen.core.errors import DecalgenError
    from decalgen.printer.target import SPANS, span_label
    from decalgen.printer.typed_lengths import readings

    typed = kept.taken_up()
    put("Three readings for each span in mm, with spaces between; an empty line skips the span, back goes back.")
    put(f"What you type is kept in '{kept.path}' until it is used.")
    if typed:
        put(f"Taken up again: {len(typed)} of {len(SPANS)} spans. Enter keeps what is in brackets, - drops it.")
    # Where all is typed already, it was refused as a whole: every span is asked for again.
    at = next((n for n, span in enumerate(SPANS) if span not in typed), 0)
    while at < len(SPANS):
        span = SPANS[at]
        before = typed.get(span, "")
        asked = f"{span_label(span)} (asked {kept.target.asked(span):.2f})"
        words = ask(asked, before).strip()
        if words.lower() == "back":
            at = max(0, at - 1)
            continue
        words = "" if words == "-" else words
        try:
            kept.check(span, words, typed)
        except DecalgenError as error:
            put(str(error), to_errors=True)
            continue
        typed[span] = words
        kept.keep(typed)
        at += 1
    return {span: readings(words) for span, words in typed.items() if words}
