"""A printer as the text of its file, to be read back by `films.load_printer`."""

from __future__ import annotations

import json
from collections.abc import Sequence

from decalgen.job.calibrated import history_rows
from decalgen.job.model import Printer
from decalgen.job.swatches import swatch_rows


def printer_text(printer: Printer, notes: Sequence[str]) -> str:
    """The file; ``notes`` stand at its head."""
    left, right, bottom, top = printer.margins
    rows = [
        *(f"# {note}" for note in notes),
        # A job file's texts are quoted by JSON's rules, which YAML 1.2 shares.
        f"printer: {json.dumps(printer.name, ensure_ascii=False)}",
        f"process: {printer.process}",
        f"margins: [{left:g} mm, {right:g} mm, {bottom:g} mm, {top:g} mm]",
        *(_correction(printer) if not (printer.history and printer.history.calibrations) else []),
        f"dpi: {printer.dpi}",
        f"white: {'yes' if printer.white else 'no'}",
        f"misregister: {printer.misregister:g} mm",
        *([f"shortest sheet: {printer.shortest_sheet:g} mm"] if printer.shortest_sheet else []),
        *(swatch_rows(printer.swatches, printer.profile) if printer.swatches else []),
        *(history_rows(printer.history) if printer.history else []),
        "",
    ]
    return "\n".join(rows)


def _correction(printer: Printer) -> list[str]:
    return [
        f"scale x: {printer.scale_x:.8f}",
        f"scale y: {printer.scale_y:.8f}",
        f"lean: {printer.lean:.8f}",
    ]
