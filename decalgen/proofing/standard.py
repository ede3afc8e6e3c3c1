"""What a proof of some sheets has to reach: which bars are measured, and how far their size may be off. Pure; mm."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Literal

from decalgen.core.values import dataclass
from decalgen.job.model import Printer
from decalgen.preflight import Fitting
from decalgen.proofing.fingerprint import Fingerprint, fingerprint
from decalgen.sheet.arrange import Arrangement

MOST = 0.003
"""A size off by more than this share is never passed: 0.12 mm on a decal of 40 mm."""

BarAxis = Literal["x", "y"]
BAR_WORDS: dict[BarAxis, str] = {"x": "horizontal bar", "y": "vertical bar"}


@dataclass(frozen=True)
class Asked:
    """A check bar as it is asked for: on which sheet (from 1), which way ('x' or 'y'), how long. ``page``: the size of
    that sheet in words, ``width`` and ``height`` in mm. A print dialog that fits pages scales each size of sheet by
    itself."""

    sheet: int
    axis: BarAxis
    length: float
    page: str = ""
    width: float = 210.0
    height: float = 297.0


@dataclass(frozen=True)
class Standard:
    """What a proof has to reach. ``share``: how far a size may be off, as a part of it; ``why``: what decides that;
    ``margins``: what the printer leaves bare, None where none was named."""

    fingerprint: Fingerprint
    bars: tuple[Asked, ...]
    share: float
    why: str
    margins: tuple[float, float, float, float] | None = None

    def page_of(self, sheet: int) -> str:
        """The size of a sheet, in words; empty where it has no bar."""
        return next((bar.page for bar in self.bars if bar.sheet == sheet), "")

    def unmeasured(self, pages: Iterable[str]) -> dict[str, int]:
        """The sizes of sheet beside ``pages`` that have bars, each with the first sheet of it."""
        done = set(pages)
        return {bar.page: bar.sheet for bar in reversed(self.bars) if bar.page not in done}


def standard(arrangement: Arrangement, fits: Mapping[str, Sequence[Fitting]]) -> Standard:
    """What a proof of this arrangement has to reach, by how tightly its decals fit their panels."""
    bars = tuple(
        Asked(
            sheet.index,
            "x" if bar.axis == "x" else "y",
            bar.length,
            f"{sheet.film.width:g} × {sheet.film.height:g} mm",
            sheet.film.width,
            sheet.film.height,
        )
        for sheet in arrangement.sheets
        for bar in sheet.furniture.bars
    )
    printer = arrangement.sheets[0].printer
    margins = None if printer.name == Printer.name else printer.margins
    share, why = MOST, f"{MOST:.1%} at most"
    for one in (fitting for some in fits.values() for fitting in some):
        length = max(one.fit.width.value, one.fit.height.value)
        # A decal that is cut to its panel has no clearance on purpose.
        clear = [item for item in one.fit.clearances if item.amount.value > 1e-3 and item.towards != "room"]
        if not clear or length <= 0:
            continue
        tight = min(clear, key=lambda item: item.amount.value)
        if tight.amount.value / length < share:
            share = tight.amount.value / length
            why = f"{tight.amount.value:.2f} mm clear at the {tight.label} of '{one.title}', {length:.1f} mm long"
    return Standard(fingerprint(arrangement), bars, share, why, margins)
