"""The swatch sheet: what to print on the real film so that its readings replace the program's defaults.

Plain geometry, mm, y up, origin at the lower left corner; who draws the sheet adds ink names, lettering for the
labels and a scale bar. Patches are laid on white card to be read, white passes on white and on black card.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import field, replace
from textwrap import wrap
from typing import Literal

from shapely.geometry import MultiPolygon

from decalgen.colour.inks import Ink
from decalgen.colour.printer import PrinterColour
from decalgen.colour.value import Colour, ColourError
from decalgen.core.geometry import Region, rectangle, union
from decalgen.core.values import dataclass

LINES = (0.05, 0.08, 0.10, 0.12, 0.15, 0.20, 0.25, 0.30, 0.40)
"""Widths of the lines and gaps of the wedges, mm."""

CAPS = (0.6, 0.7, 0.8, 1.0, 1.2, 1.5, 1.8, 2.2)
"""Cap heights of the letters, mm."""

CHOKES = (0.05, 0.10, 0.15, 0.20, 0.25, 0.30, 0.40)
"""How far white is drawn in under the register squares, mm."""

PATCH = 10.0
"""Side of a patch, mm: larger than the 8 mm a hand instrument looks at (common practice, no source)."""

LABEL_CAPS = 1.8
MOST_INKS = 60
_GAP = 2.0
_BLOCK = 6.0
_LETTER = 0.9
"""Room to leave for one letter of a label, in cap heights (wide for any plain face)."""

DARKEST = Colour.from_hex("#000000")
SwatchKind = Literal["patch", "white", "line", "gap", "caps", "caps reversed", "register"]
PlateKind = Literal["art", "white"]


@dataclass(frozen=True)
class SwatchMark:
    """One thing to print. ``plate``: art in ``colour``, or white printed ``passes`` times. ``size``: the width,
    cap height or choke it tests, mm (0 for patches)."""

    kind: SwatchKind
    name: str
    region: MultiPolygon
    colour: Colour
    plate: PlateKind = "art"
    passes: int = 1
    size: float = 0.0
    ink: str | None = None


@dataclass(frozen=True)
class SwatchLabel:
    """Lettering beside a mark: its baseline starts at x, y; ``caps`` is the cap height, mm."""

    text: str
    x: float
    y: float
    caps: float = LABEL_CAPS


@dataclass(frozen=True)
class SwatchSheet:
    """All of it. Width and height in mm."""

    width: float
    height: float
    marks: tuple[SwatchMark, ...]
    labels: tuple[SwatchLabel, ...]

    @property
    def names(self) -> tuple[str, ...]:
        """The marks that can be read, each once."""
        return tuple(dict.fromkeys(mark.name for mark in self.marks))


def letters(caps: float, x: float, y: float) -> MultiPolygon:
    """'H', 'O' and 'E' of straight strokes a sixth as thick as they are high, from the lower left corner x, y."""
    stroke, width, step = caps / 6, caps * 0.65, caps * 0.9

    def bar(x0: float, y0: float, x1: float, y1: float) -> Region:
        return rectangle(x + x0, y + y0, x + x1, y + y1)

    middle = (caps - stroke) / 2
    h = [
        bar(0, 0, stroke, caps),
        bar(width - stroke, 0, width, caps),
        bar(0, middle, width, middle + stroke),
    ]
    o = [
        bar(step, 0, step + stroke, caps),
        bar(step + width - stroke, 0, step + width, caps),
        bar(step, 0, step + width, stroke),
        bar(step, caps - stroke, step + width, caps),
    ]
    at = 2 * step
    e = [bar(at, 0, at + stroke, caps)]
    e += [bar(at, level, at + width, level + stroke) for level in (0, middle, caps - stroke)]
    return union([*h, *o, *e])


@dataclass
class _Flow:
    """Lays marks in rows from the top down."""

    width: float
    y: float = 0.0
    marks: list[SwatchMark] = field(default_factory=list)
    labels: list[SwatchLabel] = field(default_factory=list)

    def heading(self, text: str) -> None:
        self.y -= _GAP
        # A number stays with its name: textwrap does not break at a no-break space.
        for line in wrap(text, int(self.width / (LABEL_CAPS * _LETTER))):
            self.y -= LABEL_CAPS + _GAP / 2
            self.labels.append(SwatchLabel(line.replace("\u00a0", " "), 0.0, self.y))
        self.y -= _GAP

    def patches(self, items: Sequence[tuple[str, Colour, PlateKind, int, str | None, SwatchKind]]) -> None:
        step = PATCH + 2 * _GAP
        columns = max(1, int((self.width + 2 * _GAP) // step))
        for start in range(0, len(items), columns):
            top = self.y
            for i, (name, colour, plate, passes, ink, kind) in enumerate(items[start : start + columns]):
                x = i * step
                box = union([rectangle(x, top - PATCH, x + PATCH, top)])
                self.marks.append(SwatchMark(kind, name, box, colour, plate, passes, 0.0, ink))
            self.y = top - PATCH - _GAP - LABEL_CAPS
            for i in range(len(items[start : start + columns])):
                self.labels.append(SwatchLabel(str(start + i + 1), i * step, self.y))
            self.y -= _GAP


def swatch_sheet(inks: Sequence[Ink], printer: PrinterColour | None = None, width: float = 120.0) -> SwatchSheet:
    """The sheet for a job's inks on one printer; the heading of the patches says which number is which ink.

    Raises ColourError for more than 60 inks or less than 100 mm of width.
    """
    printer = printer or PrinterColour()
    if len(inks) > MOST_INKS:
        raise ColourError(f"{len(inks)} inks on one swatch sheet", fix=f"print at most {MOST_INKS} at a time")
    if not 100 <= width <= 1000:
        raise ColourError(f"a swatch sheet {width:g} mm wide", fix="give it between 100 and 1000 mm")
    flow = _Flow(width)
    art: PlateKind = "art"
    read = [(ink.name, ink.colour, ink.name) for ink in inks if ink.kind != "white"]
    rows: list[tuple[str, Colour, str | None]] = [*read, ("darkest", DARKEST, None)]
    named = ", ".join(f"{i}\u00a0{name}" for i, (name, _, _) in enumerate(rows, 1))
    flow.heading(f"Read on white card, and the bare film beside them: {named}")
    flow.patches([(name, colour, art, 1, ink, "patch") for name, colour, ink in rows])
    if printer.white:
        _white_rows(flow, inks, printer)
    _wedges(flow)
    up = -flow.y
    return SwatchSheet(
        width,
        up,
        tuple(_raised(mark, up) for mark in flow.marks),
        tuple(SwatchLabel(label.text, label.x, label.y + up, label.caps) for label in flow.labels),
    )


def _raised(mark: SwatchMark, by: float) -> SwatchMark:
    from shapely.affinity import translate

    return replace(mark, region=MultiPolygon([translate(part, 0.0, by) for part in mark.region.geoms]))


def _white_rows(flow: _Flow, inks: Sequence[Ink], printer: PrinterColour) -> None:
    from decalgen.colour.inks import WHITE_INK

    white = next((ink.colour for ink in inks if ink.kind == "white"), WHITE_INK)
    flow.heading("White, by the number of passes: read on black card and on white card")
    flow.patches([(f"white {n}", white, "white", n, None, "white") for n in range(1, printer.passes + 1)])
    flow.heading("Register, mm: the first square with no rim of white")
    top, step = flow.y, _BLOCK + 2 * _GAP + 2
    for i, choke in enumerate(CHOKES):
        x = i * step
        name = f"choke {choke:.2f}"
        box = union([rectangle(x, top - _BLOCK, x + _BLOCK, top)])
        inner = union([rectangle(x + choke, top - _BLOCK + choke, x + _BLOCK - choke, top - choke)])
        flow.marks.append(SwatchMark("register", name, inner, white, "white", 1, choke))
        flow.marks.append(SwatchMark("register", name, box, DARKEST, "art", 1, choke))
        flow.labels.append(SwatchLabel(f"{choke:.2f}", x, top - _BLOCK - _GAP - LABEL_CAPS))
    flow.y = top - _BLOCK - 2 * _GAP - LABEL_CAPS


def _wedges(flow: _Flow) -> None:
    step = _BLOCK + 2 * _GAP + 2
    flow.heading("Lines, mm: the thinnest that holds both ways")
    top = flow.y
    for i, size in enumerate(LINES):
        x = i * step
        upright = rectangle(x, top - _BLOCK, x + size, top)
        level = rectangle(x + 1.5, top - _BLOCK / 2 - size / 2, x + _BLOCK, top - _BLOCK / 2 + size / 2)
        flow.marks.append(SwatchMark("line", f"line {size:.2f}", union([upright, level]), DARKEST, size=size))
        flow.labels.append(SwatchLabel(f"{size:.2f}", x, top - _BLOCK - _GAP - LABEL_CAPS))
    flow.y = top - _BLOCK - 2 * _GAP - LABEL_CAPS
    flow.heading("Gaps, mm: the narrowest that stays open both ways")
    top = flow.y
    for i, size in enumerate(LINES):
        x = i * step
        block = rectangle(x, top - _BLOCK, x + _BLOCK, top)
        upright = rectangle(x + 1.5 - size / 2, top - _BLOCK - 1, x + 1.5 + size / 2, top + 1)
        level = rectangle(x + 2.5, top - _BLOCK / 2 - size / 2, x + _BLOCK + 1, top - _BLOCK / 2 + size / 2)
        open_ = union([block.difference(upright).difference(level)])
        flow.marks.append(SwatchMark("gap", f"gap {size:.2f}", open_, DARKEST, size=size))
        flow.labels.append(SwatchLabel(f"{size:.2f}", x, top - _BLOCK - _GAP - LABEL_CAPS))
    flow.y = top - _BLOCK - 2 * _GAP - LABEL_CAPS
    kinds: tuple[SwatchKind, SwatchKind] = ("caps", "caps reversed")
    for kind, heading in zip(kinds, ("Capitals", "Capitals, reversed"), strict=True):
        flow.heading(f"{heading}, mm: the smallest that can be read")
        top = flow.y
        for i, caps in enumerate(CAPS):
            x = i * (step + 1)
            text = letters(caps, x + 1.0, top - _BLOCK / 2 - caps / 2)
            if kind == "caps reversed":
                block = rectangle(x, top - _BLOCK, x + max(_BLOCK, caps * 2.5 + 2.0), top)
                text = union([block.difference(text)])
            flow.marks.append(SwatchMark(kind, f"{kind} {caps:.1f}", text, DARKEST, size=caps))
            flow.labels.append(SwatchLabel(f"{caps:.1f}", x, top - _BLOCK - _GAP - LABEL_CAPS))
        flow.y = top - _BLOCK - 2 * _GAP - LABEL_CAPS
