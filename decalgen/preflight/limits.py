"""The smallest features by resolution: trade practice (print trade figures and one measured laser; common practice, no
source that binds). What held on a printer's own swatch sheet replaces them."""

from __future__ import annotations

from decalgen.core.values import dataclass
from decalgen.job.model import Printer


@dataclass(frozen=True)
class Smallest:
    """The smallest line, gap and cap height, mm, that hold at a resolution. ``caps_reversed``: of letters left bare in
    a printed ground, which ink creeps into."""

    dpi: int
    line: float
    gap: float
    caps: float
    caps_reversed: float


SMALLEST = (
    Smallest(600, 0.15, 0.20, 1.0, 1.0),
    Smallest(1200, 0.10, 0.15, 0.8, 0.8),
    Smallest(2400, 0.08, 0.12, 0.7, 0.7),
)


def smallest(dpi: int) -> Smallest:
    """The limits of the finest resolution that the printer reaches."""
    return next((row for row in reversed(SMALLEST) if row.dpi <= dpi), SMALLEST[0])


def limits(printer: Printer) -> Smallest:
    """The limits of a printer: as read off its swatch sheet, else as its resolution lets expect."""
    usual, read = smallest(printer.dpi), printer.swatches
    if read is None:
        return usual
    caps = read.smallest_caps or usual.caps
    return Smallest(
        usual.dpi,
        read.smallest_line or usual.line,
        read.smallest_gap or usual.gap,
        caps,
        read.smallest_caps_reversed or max(caps, usual.caps_reversed),
    )


def held(printer: Printer, feature: str) -> str:
    """Where the limit of a feature ('line', 'gap', 'caps', 'caps_reversed') comes from, for a message."""
    read = printer.swatches
    if read is not None and getattr(read, f"smallest_{feature}"):
        return f"held on the swatch sheet of '{printer.name}'"
    return f"{printer.dpi} dpi holds"
