"""How many rows and columns a torn pattern had, where the room that it filled is known: whole numbers of cells, ranked
by how far each misses that room. Pure; mm."""

from __future__ import annotations

import itertools
import math

from decalgen.core.values import dataclass
from decalgen.scan.remains import PatternFit

MOST_TOLD = 3
AROUND = 1
"""So many counts to each side of the nearest are looked at."""
COVER = 2.0
"""Of the expanded uncertainty."""


@dataclass(frozen=True)
class FilledSize:
    """What the whole pattern filled: width and height with their standard uncertainties, mm."""

    size: tuple[float, float]
    u: tuple[float, float]


@dataclass(frozen=True)
class LikelyCount:
    """So many columns and rows, which would be larger than the room by ``off`` (across, up), mm, give or take ``u``
    (standard). ``fits``: both are within k = 2."""

    columns: int
    rows: int
    off: tuple[float, float]
    u: tuple[float, float]

    @property
    def fits(self) -> bool:
        """Whether it can be told from the room in neither way."""
        return all(abs(off) <= COVER * u for off, u in zip(self.off, self.u, strict=True))

    @property
    def miss(self) -> float:
        """How far it misses, in standard uncertainties, both ways together."""
        return math.hypot(*(off / u for off, u in zip(self.off, self.u, strict=True)))


def likely_counts(fit: PatternFit, room: FilledSize) -> tuple[LikelyCount, ...]:
    """The likeliest counts of checks, the best first; no fewer than were seen, and only those where no edge is torn
    off."""
    values = {one.name: one for one in fit.values}
    axes = []
    for n, (count, cell) in enumerate((("columns", "cell width"), ("rows", "cell height"))):
        seen, pitch = values[count], values[cell]
        least = int(seen.value)
        nearest = max(least, round(room.size[n] / pitch.value))
        tried = range(max(least, nearest - AROUND), nearest + AROUND + 1) if seen.least else (least,)
        axes.append([(k, k * pitch.value - room.size[n], math.hypot(k * pitch.u, room.u[n])) for k in tried])
    found = [
        LikelyCount(across[0], up[0], (across[1], up[1]), (across[2], up[2])) for across, up in itertools.product(*axes)
    ]
    return tuple(sorted(found, key=lambda one: one.miss)[:MOST_TOLD])
