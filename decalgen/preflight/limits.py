"""The smallest features by resolution: trade practice (print trade figures and one measured laser; common practice, no
source that binds). A user's own printed wedge replaces them."""

from __future__ import annotations

from dataclasses import dataclass


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
