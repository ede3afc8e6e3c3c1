"""`decalgen calibrate`: print the target on the film, read it, keep the printer's correction."""

from __future__ import annotations

from pathlib import Path

import click

PRINTER = click.option("--printer", help="Printer file (.yaml) to start from.")
FILM = click.option("--film", default="white A4", show_default=True, help="Film file, or words such as 'white A5'.")
TOOL = click.option("--with", "tool", default="caliper", show_default=True, help="Instrument: caliper or steel rule.")


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
    from decalgen.calibrating import print_target
    from decalgen.telling import tell

    tell(print_target(printer, film, tool, output))


@calibrate.command("read")
@click.argument("readings", required=False, type=click.Path(path_type=Path))
@click.option("-o", "--output", type=click.Path(path_type=Path), required=True, help="The corrected printer file.")
@click.option("--date", default="", help="The day of the calibration, as 2026-11-25.")
@PRINTER
@FILM
@TOOL
def read(readings: Path | None, output: Path, date: str, printer: str | None, film: str, tool: str) -> None:
    """Turn readings into a corrected printer file.

    READINGS is a text file, a span a line (`across foot: 119.62 119.58 119.60`); left out, you are asked span by
    span. A span longer than the instrument may be left out.

    \b
    Example:
      decalgen calibrate read readings.txt --printer printer.yaml --film "white A5" -o printer-corrected.yaml
    """
    from decalgen.calibrating import read_readings, read_target
    from decalgen.telling import tell

    found = read_readings(readings) if readings else _ask(printer, film, tool)
    tell(read_target(found, printer, film, tool, date, output))


def _ask(printer: str | None, film: str, tool: str) -> dict[str, list[float]]:
    from decalgen.calibrating import asked_spans, numbers
    from decalgen.calibration import SPANS

    asked = asked_spans(printer, film, tool)
    click.echo("Three readings a span in mm, with blanks between; an empty line leaves the span out.")
    found: dict[str, list[float]] = {}
    for span in SPANS:
        words = click.prompt(f"{span} (asked {asked.asked(span):.2f})", default="", show_default=False)
        values = numbers(words)
        if values:
            found[span] = values
    return found
