"""The smallest features by resolution: trade practice (print trade figures and one measured laser; common practice, no
source that binds). What held on a printer's own swatch sheet replaces them."""

from __future__ import annotations

from dataclasses import dataclass

from decalgen.job.model import Printer


@dataclass(frozen=True)
class Smallest:
    """The smallest line, gap and cap height, mm, that hold at a resolution."""

    dpi: int
    line: float
    gap: float
    caps: float


SMALLEST = (Smallest(600, 0.15, 0.20, 1.0), Smallest(1200, 0.10, 0.15, 0.8), Smallest(2400, 0.08, 0.12, 0.7))


def smallest(dpi: int) -> Smallest:
    """The limits of the finest resolution that the printer reaches."""
    return next((row for row in reversed(SMALLEST) if row.dpi <= dpi), SMALLEST[0])


def limits(printer: Printer) -> Smallest:
    """The limits of a printer: as read off its swatch sheet, else as its resolution lets expect."""
    usual, read = smallest(printer.dpi), printer.swatches
    if read is None:
        return usual
    return Smallest(
        usual.dpi, read.smallest_line or usual.line, read.smallest_gap or usual.gap, read.smallest_caps or usual.caps
    )
