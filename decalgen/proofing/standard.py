"""What a proof of some sheets has to reach: which bars are measured, and how far their size may be off. Pure; mm."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from decalgen.core.values import dataclass
from decalgen.job.model import Printer
from decalgen.preflight import Fitting
from decalgen.proofing.fingerprint import Fingerprint, fingerprint, way_printed
from decalgen.sheet.arrange import Arrangement, Sheet
from decalgen.sheet.check_bars import BAR_WORDS, BarAxis

MOST = 0.003
"""A size off by more than this share is never passed: 0.12 mm on a decal of 40 mm."""

CROSS_WORDS: dict[BarAxis, str] = {
    "x": "distance between the crosses of the lower marks",
    "y": "distance between the crosses of the left marks",
}
"""On proofs of earlier versions, of a sheet without room for a bar that way: what is measured instead."""


@dataclass(frozen=True)
class Asked:
    """A check bar as it is asked for: on which sheet (from 1), which way ('x' or 'y'), how long. ``page``: in words
    what that sheet stands for, ``width`` and ``height`` in mm. A print dialog that fits pages scales each size of sheet
    by itself, and each film has its own correction: so one sheet of every size and correction is measured."""

    sheet: int
    axis: BarAxis
    length: float
    page: str = ""
    width: float = 210.0
    height: float = 297.0
    crosses: bool = False
    """Whether there is no bar, and the distance of two registration marks is measured instead: on proofs of earlier
    versions alone."""
    at: tuple[float, float] | None = None
    """Where the bar lies on its page, as `CheckBar` has it, mm; None: an earlier version did not note it."""

    @property
    def words(self) -> str:
        """What is measured."""
        return (CROSS_WORDS if self.crosses else BAR_WORDS)[self.axis]


@dataclass(frozen=True)
class Bare:
    """What no proof can tell: the first sheet of a size and correction on none of whose sheets anything is measured."""

    sheet: int
    page: str


@dataclass(frozen=True)
class Standard:
    """What a proof has to reach. ``share``: how far a size may be off, as a part of it; ``why``: what decides that;
    ``margins``: what the printer leaves bare, None where none was named; ``bare``: what nothing printed can tell."""

    fingerprint: Fingerprint
    bars: tuple[Asked, ...]
    share: float
    why: str
    margins: tuple[float, float, float, float] | None = None
    bare: tuple[Bare, ...] = ()

    def page_of(self, sheet: int) -> str:
        """The size of a sheet, in words; empty where it has no bar."""
        return next((bar.page for bar in self.bars if bar.sheet == sheet), "")

    def one_way(self) -> dict[str, BarAxis]:
        """The sizes and corrections that are measured one way only, each with the way that nothing tells: the other is
        less than 20 mm, too low or narrow for a bar."""
        told: dict[str, set[BarAxis]] = {}
        for bar in self.bars:
            told.setdefault(bar.page, set()).add(bar.axis)
        return {page: axis for page, its in told.items() for axis in BAR_WORDS if axis not in its}

    def unmeasured(self, sheets: Iterable[int]) -> dict[str, int]:
        """The sizes and corrections that the measured ``sheets`` do not tell both ways, each with the first sheet to
        measure of it."""
        done = set(sheets)
        told = {(bar.page, bar.axis) for bar in self.bars if bar.sheet in done}
        return {bar.page: bar.sheet for bar in reversed(self.bars) if (bar.page, bar.axis) not in told}


def standard(arrangement: Arrangement, fits: Mapping[str, Sequence[Fitting]]) -> Standard:
    """What a proof of this arrangement has to reach, by how tightly its decals fit their panels."""
    pages = _pages(arrangement.sheets)
    bars = tuple(
        Asked(
            sheet.index,
            bar.axis,
            bar.length,
            page,
            sheet.film.width,
            sheet.film.height,
            at=(bar.x, bar.y),
        )
        for sheet, page in zip(arrangement.sheets, pages, strict=True)
        for bar in sheet.bars.bars
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
    return Standard(fingerprint(arrangement), bars, share, why, margins, _bare(arrangement.sheets, pages, bars))


def _pages(sheets: Sequence[Sheet]) -> list[str]:
    """What each sheet stands for, in words: its size, and its films where others of that size are corrected
    otherwise."""
    kinds = [(f"{sheet.film.width:g} × {sheet.film.height:g} mm", way_printed(sheet.printer)) for sheet in sheets]
    films: dict[tuple[str, str], dict[str, None]] = {}
    for kind, sheet in zip(kinds, sheets, strict=True):
        films.setdefault(kind, {})[sheet.film.name] = None
    sizes = [size for size, _ in films]
    names = {kind: " and ".join(f"'{name}'" for name in its) for kind, its in films.items()}
    return [kind[0] if sizes.count(kind[0]) == 1 else f"{kind[0]} of {names[kind]}" for kind in kinds]


def _bare(sheets: Sequence[Sheet], pages: Sequence[str], bars: Sequence[Asked]) -> tuple[Bare, ...]:
    told = {bar.page for bar in bars}
    first: dict[str, int] = {}
    for sheet, page in zip(sheets, pages, strict=True):
        first.setdefault(page, sheet.index)
    return tuple(Bare(n, page) for page, n in first.items() if page not in told)
