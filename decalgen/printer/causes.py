"""Why a print came out at another size: what print dialogs and programs usually do, reckoned for the page. Pure; mm.

Nothing is looked up: a page fitted to an area is scaled by the smaller of the two ratios of its sides, whatever page,
paper and margins. What no usual cause gives has no usual cause.
"""

from __future__ import annotations

from collections.abc import Iterator

from decalgen.core.lengths.units import INCH_MM
from decalgen.core.values import dataclass

Margins = tuple[float, float, float, float]
"""Left, right, bottom, top, mm."""

PAPERS = {
    "A3": (297.0, 420.0),
    "A4": (210.0, 297.0),
    "A5": (148.0, 210.0),
    "A6": (105.0, 148.0),
    "B4": (250.0, 353.0),
    "B5": (176.0, 250.0),
    "Letter": (215.9, 279.4),
    "Legal": (215.9, 355.6),
    "Tabloid": (279.4, 431.8),
    "half Letter": (139.7, 215.9),
}
"""ISO 216:2007; ANSI/ASME Y14.1 (Letter, Tabloid as sizes A and B), the others common practice, no source."""
COMMON_MARGINS = (3.0, 3.175, 3.4, 4.2, 5.0, 5.08, 6.0, 6.35, 10.0, 12.7)
"""What printers leave bare all round where no file tells (common practice, no source): mm; 1/8, 1/6, 1/5, 1/4 and 1/2
inch among them."""
FEW_MARGINS = (3.0, 4.2, 5.0, 6.35)
"""Those of them that are tried with other papers: more, and every size would have a cause."""
PERCENTAGES = (
    *(25.0, 30.0, 33.33, 35.0, 40.0, 45.0, 50.0, 55.0, 60.0, 61.0, 64.0, 65.0, 66.67, 70.0, 70.71, 71.0, 75.0, 77.0),
    *(78.0, 80.0, 81.0, 82.0, 85.0, 86.0, 87.0, 90.0, 94.0, 95.0, 96.0, 97.0, 98.0, 102.0, 103.0),
    *(104.0, 105.0, 110.0, 115.0, 116.0, 120.0, 121.0, 122.0, 125.0, 129.0, 130.0, 133.33, 135.0),
    *(140.0, 141.0, 141.42, 150.0, 160.0, 166.67, 175.0, 180.0, 200.0, 250.0, 300.0, 400.0),
)
"""What people type and copiers offer (common practice, no source). 99 and 101 % are not among them: printers that are
not calibrated stretch by as much."""
DOTS = (
    *((72, 96), (72, 90), (90, 96), (72, 100), (96, 100), (72, 120), (96, 120), (72, 150), (96, 150), (96, 144)),
    *((100, 150), (150, 200), (200, 300), (150, 300), (72, 300), (96, 300), (300, 360), (300, 400), (300, 600)),
    *((360, 600), (360, 720), (600, 720), (72, 144), (240, 300), (600, 1200)),
)
"""Dots to the inch that programs mix up (common practice, no source; 96 is CSS Values and Units Level 3, 5.2, and 72
the point of PostScript and PDF)."""
UNITS = (
    (INCH_MM / 96, "a program took millimetres for pixels"),
    (INCH_MM / 72, "a program took millimetres for points"),
    (10 / INCH_MM, "a program took inches for centimetres"),
    (INCH_MM / 10, "a program took centimetres for inches"),
)
BORDERLESS = (0.6, 6.0)
"""How far borderless printing pushes each side beyond the paper, mm (common practice, no source)."""
WITHIN = 0.0015
"""A ratio agrees with a cause within this, or within its own U where that is more, up to ``WIDEST``."""
WIDEST = 0.005
PLAIN = 0.01
"""Printers themselves stretch by up to this; less has no cause in a dialog."""
WHOLE = range(50, 151)
"""Whole percentages, any of which may have been typed; named only beside another cause, as one in three sizes agrees
with one of them."""
MOST = 5
"""So many causes are named at most."""

AT_SIZE = "print at 100 %, with all fitting and scaling off"


@dataclass(frozen=True)
class PrintedPage:
    """A page as it goes to the printer: its size, and what the printer leaves bare; None: no printer was named."""

    width: float
    height: float
    margins: Margins | None = None


@dataclass(frozen=True)
class Cause:
    """Something that scales a print: printed over asked both ways; in words what happened, and what to do about it.
    ``rank``: what is likelier of two that agree, the lower first."""

    x: float
    y: float
    what: str
    cure: str
    rank: int


def causes(x: float | None, y: float | None, page: PrintedPage, within: float = WITHIN) -> tuple[Cause, ...]:
    """What usually gives these ratios of printed over asked, across and up; the likeliest first, none where nothing
    usual does. ``x`` or ``y`` None: not measured."""
    known = [ratio for ratio in (x, y) if ratio is not None]
    if not known or all(abs(ratio - 1) < PLAIN for ratio in known):
        return ()
    near = min(max(within, WITHIN), WIDEST)

    def off(cause: Cause) -> float:
        pairs = ((x, cause.x), (y, cause.y))
        return max(abs(ratio / its - 1) for ratio, its in pairs if ratio is not None)

    agreeing = [one for one in _usual(page) if off(one) <= near]
    agreeing += _borderless(x, y, page, near)
    if agreeing:
        agreeing += [one for one in map(_typed, WHOLE) if abs(one.x - 1) > PLAIN and off(one) <= near]
    found = sorted(agreeing, key=lambda one: (one.rank, off(one)))
    told: dict[str, Cause] = {}
    for one in found:
        told.setdefault(one.what, one)
    return tuple(told.values())[:MOST]


def told(found: tuple[Cause, ...]) -> tuple[str, str]:
    """The causes in words, such as 'the page was fitted to A4 paper, or it was scaled to 141 %', and what to do."""
    cures = [cure for cure in dict.fromkeys(one.cure for one in found) if cure != AT_SIZE] or [AT_SIZE]
    return ", or ".join(one.what for one in found), "; or ".join(cures)


def _usual(page: PrintedPage) -> Iterator[Cause]:
    yield from _fitted(page)
    yield from _other_paper(page)
    yield from map(_typed, PERCENTAGES)
    mixed: dict[float, list[tuple[int, int]]] = {}
    for few, many in (*DOTS, *((many, few) for few, many in DOTS)):
        mixed.setdefault(round(few / many, 6), []).append((few, many))
    for (few, many), *others in mixed.values():
        more = "".join(f", or {b} for {a}" for a, b in others)
        what = f"a program took {many} dots per inch for {few}{more}"
        yield Cause(few / many, few / many, what, "print the PDF itself, not a picture of it", 3)
    for ratio, what in UNITS:
        yield Cause(ratio, ratio, what, "print the PDF itself, not another file", 1)


def _typed(percent: float) -> Cause:
    return Cause(percent / 100, percent / 100, f"it was scaled to {percent:.4g} %", AT_SIZE, 2)


def _fitted(page: PrintedPage) -> Iterator[Cause]:
    """Fitted to, or stretched over, the printable area of its own paper; several pages on one sheet."""
    every = [(page.margins, 0)] if page.margins else []
    every += [((m, m, m, m), 1) for m in COMMON_MARGINS]
    for margins, rank in every:
        wide, high = _inside(page.width, page.height, margins)
        if min(wide, high) <= 0:
            continue
        said = "" if rank == 0 else f" (with margins of {margins[0]:.3g} mm)"
        ratio = min(wide / page.width, high / page.height)
        yield Cause(ratio, ratio, f"the page was fitted to the printable area{said}", AT_SIZE, rank)
        if rank == 0:
            what = "the page was stretched over the printable area"
            yield Cause(wide / page.width, high / page.height, what, AT_SIZE, 1)
            middle = _ratio(*_inside(page.width, page.height, _even(margins)), page)
            if 0 < middle < ratio - WITHIN:
                what = "the page was fitted to the printable area, in the middle of the sheet"
                yield Cause(middle, middle, what, AT_SIZE, 1)
    for bare in filter(None, ((0.0, 0.0, 0.0, 0.0), page.margins)):
        turned = _inside(page.height, page.width, _turned(bare)[0])
        upright = _inside(page.width, page.height, bare)
        for count, (wide, high) in ((2, (turned[0] / 2, turned[1])), (4, (upright[0] / 2, upright[1] / 2))):
            ratio = _ratio(wide, high, page)
            if ratio <= 0:
                continue
            yield Cause(ratio, ratio, f"{count} pages were put on one sheet", "print one page to a sheet, at 100 %", 2)


def _other_paper(page: PrintedPage) -> Iterator[Cause]:
    """Fitted to another paper or its printable area, upright or lying, as a whole."""
    own = tuple(sorted((round(page.width, 1), round(page.height, 1))))
    cure = f"set the paper in the print dialog to what lies in the tray, and {AT_SIZE}"
    for name, (short, long) in PAPERS.items():
        if (short, long) == own:
            continue
        for wide, high in ((short, long), (long, short)):
            ratio = min(wide / page.width, high / page.height)
            yield Cause(ratio, ratio, f"the page was fitted to {name} paper", cure, 1)
            ratio = max(wide / page.width, high / page.height)
            yield Cause(ratio, ratio, f"the page was made to fill {name} paper", cure, 2)
            every = [page.margins] if page.margins else [(m, m, m, m) for m in FEW_MARGINS]
            if page.margins and wide > high:
                # What leads into the printer keeps its margin, whichever way round the page lies on it.
                every += _turned(page.margins)
            for margins in every:
                w, h = _inside(wide, high, margins)
                ratio = min(w / page.width, h / page.height)
                said = "" if page.margins else f" (with margins of {margins[0]:.3g} mm)"
                if ratio > 0:
                    what = f"the page was fitted to the printable area of {name} paper{said}"
                    yield Cause(ratio, ratio, what, cure, 2 if page.margins else 4)


def _ratio(wide: float, high: float, page: PrintedPage) -> float:
    return min(wide / page.width, high / page.height)


def _turned(margins: Margins) -> list[Margins]:
    """Margins of a sheet that lies on its side, by either side."""
    left, right, bottom, top = margins
    return [(bottom, top, right, left), (top, bottom, left, right)]


def _even(margins: Margins) -> Margins:
    """The margins of what is centred on the sheet: the wider of each two on both sides."""
    left, right, bottom, top = margins
    side, end = max(left, right), max(bottom, top)
    return side, side, end, end


def _inside(width: float, height: float, margins: Margins) -> tuple[float, float]:
    left, right, bottom, top = margins
    return width - left - right, height - bottom - top


def _borderless(x: float | None, y: float | None, page: PrintedPage, near: float) -> list[Cause]:
    """Enlarged a little beyond all edges: both ways alike, or by the same width at each side."""
    sides = [(ratio, length) for ratio, length in ((x, page.width), (y, page.height)) if ratio is not None]
    beyond = [(ratio - 1) * length / 2 for ratio, length in sides]
    ratios = [ratio for ratio, _ in sides]
    alike = max(ratios) - min(ratios) <= near or max(beyond) - min(beyond) <= near * page.height / 2
    if not alike or not all(BORDERLESS[0] <= one <= BORDERLESS[1] for one in beyond):
        return []
    what = "borderless printing enlarged the page"
    return [Cause(ratios[0], ratios[-1], what, "switch borderless printing off, and print at 100 %", 5)]
