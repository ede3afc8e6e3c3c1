"""The options of commands that read a printed page from a scan. Thin."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from decalgen.commands.page_scans import PageScan

SCAN = click.option(
    "--scan", type=click.Path(path_type=Path, dir_okay=False), help="Read it from this scan instead, 300 dpi or more."
)
BESIDE = click.option(
    "--beside", metavar="SIZE", help="With --scan: the card beside the page: 'card' (ID-1), or its measured size."
)


def scan_typed(scan: Path | None, beside: str | None) -> PageScan | None:
    """The scan that is named, read; None where none is."""
    if scan is None:
        if beside is not None:
            raise click.UsageError("--beside goes with --scan: name the picture that the card is in")
        return None
    from decalgen.commands.page_scans import page_scan

    return page_scan(scan, beside)
