"""`decalgen printers`, and the options of `proof` and `sheet` that send a print to one. Thin."""

from __future__ import annotations

from collections.abc import Callable
from functools import update_wrapper
from typing import TYPE_CHECKING, Any

import click

from decalgen.cli.detail import reported

if TYPE_CHECKING:
    from decalgen.commands.print_to import PrintTo


def sending(command: Callable[..., None]) -> Callable[..., None]:
    """The options that say which printer gets the print, gathered into `to`: what finds it, once it is needed, or
    None."""

    def gathered(*args: Any, to: str | None, tray: str | None, paper_type: str | None, **rest: Any) -> None:
        if to is None and (tray or paper_type):
            raise click.UsageError("--tray and --paper-type are for a printer: add --to PRINTER")
        command(*args, to=None if to is None else _finding(to, tray or "", paper_type or ""), **rest)

    update_wrapper(gathered, command)
    for option in (
        click.option(
            "--paper-type", metavar="TYPE", help="With --to: the paper type to ask for, by the printer's word."
        ),
        click.option("--tray", help="With --to: the tray to feed from; if left out, that of the kept profile."),
        click.option(
            "--to", metavar="PRINTER", help="Also print it, at 100 %: a printer's name or ipp:// address, or: dialog."
        ),
    ):
        gathered = option(gathered)
    return gathered


def _finding(to: str, tray: str, paper: str) -> Callable[[], PrintTo]:
    def find() -> PrintTo:
        from decalgen.commands.print_to import PrintTo
        from decalgen.workshop.printers.places import place_of

        return PrintTo(place_of(to), to, tray, paper)

    return find


@click.command()
@click.argument("printer", required=False)
@reported
def printers(printer: str | None) -> None:
    """List where a sheet can be sent at 100 %, or what one printer takes: sheets, trays, paper types.

    PRINTER is a name in the list, the first letters of its identity, or an ipp:// address.

    \b
    Example:
      decalgen printers
      decalgen printers ipp://192.168.1.40/ipp/print
    """
    from decalgen.cli.progress import ProgressBar
    from decalgen.cli.terminal import tell
    from decalgen.commands.printers import listed, shown

    with ProgressBar("asking for printers"):
        result = listed() if printer is None else shown(printer)
    tell(result)
