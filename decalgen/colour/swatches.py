"""The swatch sheet: what to print on the real film so that its readings replace the program's defaults.

Plain geometry, mm, y up, origin at the lower left corner; who draws the sheet sets the labels and adds a scale bar.
Patches are laid on white card to be read, white passes on white and on black card. It comes in blocks, which may go on
several sheets of film: a row of patches with their names above and a box for the reading under each, or a wedge.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import field, replace
from textwrap import wrap
from typing import Literal

from shapely.geometry import MultiPolygon

from decalgen.colour.inks import WHITE_INK, Ink
from decalgen.colour.printer import PrinterColour
from decalgen.colour.readings import SIZE_LETTERS, SizeName
from decalgen.colour.value import Colour, ColourError
from decalgen.core.geometry import Region, rectangle, union
from decalgen.core.values import dataclass

LINES = (0.05, 0.08, 0.10, 0.12, 0.15, 0.20, 0.25, 0.30, 0.40)
"""Widths of the lines and gaps of the wedges, mm."""

CAPS = (0.6, 0.7, 0.8, 1.0, 1.2, 1.5, 1.8, 2.2)
"""Cap heights of the letters, mm."""

CHOKES = (0.05, 0.10, 0.15, 0.20, 0.25, 0.30, 0.40)
"""How far white is drawn in under the register squares, mm."""

PATCH = 14.0
"""Side of a patch, mm: larger than the 8 mm a hand instrument looks at (common practice, no source)."""

LABEL_CAPS = 2.06
"""Cap height of the labels, mm: 8.5 pt."""
LINE = 3.9
"""From line to line of a label, mm."""
MOST_INKS = 60
MOST_LINES = 3
"""Lines of a patch's name, at most."""
READING = (18.0, 8.0)
"""Width and height of the box for a reading, mm."""
_GAP = 2.0
_BLOCK = 6.0
NAME = READING[0] + 1.0
"""Width of a line of a patch's name, mm."""
_LETTERS = 9
"""Letters that go on such a line at least, about, where nobody measures them."""

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
    block: int = 0


@dataclass(frozen=True)
class SwatchLabel:
    """Lettering beside a mark: the baseline of its last line starts at x, y; ``caps`` is the cap height, mm. It has at
    most so many ``lines`` of ``width`` mm; ``head`` stands bold before it."""

    text: str
    x: float
    y: float
    width: float
    caps: float = LABEL_CAPS
    lines: int = 1
    head: str = ""
    block: int = 0


@dataclass(frozen=True)
class SwatchBox:
    """An empty box by its lower left corner, mm: for a reading, or (``bare``) a patch of film that stays bare."""

    x: float
    y: float
    width: float
    height: float
    bare: bool = False
    block: int = 0


@dataclass(frozen=True)
class SwatchSheet:
    """All of it. Width and height in mm; ``blocks``: foot and top of each block, from the top down."""

    width: float
    height: float
    marks: tuple[SwatchMark, ...]
    labels: tuple[SwatchLabel, ...]
    boxes: tuple[SwatchBox, ...] = ()
    blocks: tuple[tuple[float, float], ...] = ()

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
class _Blocks:
    """Lays blocks from the top down."""

    width: float
    y: float = 0.0
    tops: list[float] = field(default_factory=list)
    marks: list[SwatchMark] = field(default_factory=list)
    labels: list[SwatchLabel] = field(default_factory=list)
    boxes: list[SwatchBox] = field(default_factory=list)

    @property
    def block(self) -> int:
        return len(self.tops) - 1

    def begin(self, head: str, text: str) -> None:
        """A new block under a line that says what it is, and how it is read."""
        self.go_on()
        self.y -= LINE
        self.labels.append(SwatchLabel(text, 0.0, self.y, self.width, head=head, block=self.block))
        self.y -= _GAP

    def go_on(self) -> None:
        """A new block without such a line."""
        self.tops.append(self.y)

    def end(self) -> None:
        """Room below a block."""
        self.y -= 1.5 * _GAP

    def patch(self, mark: SwatchMark, x: float, top: float) -> None:
        box = union([rectangle(x, top - PATCH, x + PATCH, top)])
        self.marks.append(replace(mark, region=box, block=self.block))

    def name(self, text: str, x: float, foot: float, lines: int) -> None:
        self.labels.append(SwatchLabel(text, x, foot, NAME, lines=lines, block=self.block))

    def reading(self, x: float, foot: float) -> None:
        self.boxes.append(SwatchBox(x, foot, *READING, block=self.block))


def _lines_of(name: str) -> int:
    """The lines a name takes, by its letters."""
    return len(wrap(name, _LETTERS))


def swatch_sheet(
    inks: Sequence[Ink],
    printer: PrinterColour | None = None,
    width: float = 120.0,
    lines_of: Callable[[str], int] = _lines_of,
) -> SwatchSheet:
    """The sheet for a job's inks on one printer; each patch under its name. ``lines_of``: how many lines of `NAME` mm a
    name takes, as who draws it has measured; a row is no deeper than its names.

    Raises ColourError for more than 60 inks or less than 100 mm of width.
    """
    printer = printer or PrinterColour()
    if len(inks) > MOST_INKS:
        raise ColourError(f"{len(inks)} inks on one swatch sheet", fix=f"print at most {MOST_INKS} at a time")
    if not 100 <= width <= 1000:
        raise ColourError(f"a swatch sheet {width:g} mm wide", fix="give it between 100 and 1000 mm")
    flow = _Blocks(width)
    none = MultiPolygon()
    marks = [SwatchMark("patch", ink.name, none, ink.colour, ink=ink.name) for ink in inks if ink.kind != "white"]
    _patch_rows(flow, [*marks, SwatchMark("patch", "darkest", none, DARKEST)], lines_of)
    white = next((ink.colour for ink in inks if ink.kind == "white"), WHITE_INK)
    if printer.white:
        _white_rows(flow, white, printer)
    _wedges(flow)
    if printer.white:
        _register(flow, white)
    up = -flow.y
    ends = [*flow.tops[1:], flow.y]
    return SwatchSheet(
        width,
        up,
        tuple(_raised(mark, up) for mark in flow.marks),
        tuple(replace(label, y=label.y + up) for label in flow.labels),
        tuple(replace(box, y=box.y + up) for box in flow.boxes),
        tuple((foot + up, top + up) for top, foot in zip(flow.tops, ends, strict=True)),
    )


def _raised(mark: SwatchMark, by: float) -> SwatchMark:
    from shapely.affinity import translate

    return replace(mark, region=MultiPolygon([translate(part, 0.0, by) for part in mark.region.geoms]))


def _patch_rows(flow: _Blocks, marks: Sequence[SwatchMark], lines_of: Callable[[str], int]) -> None:
    """Patches under their names, a box for the reading under each; the last one is the bare film."""
    step = READING[0] + _GAP
    columns = max(1, int((flow.width + _GAP) // step))
    everything: list[SwatchMark | None] = [*marks, None]
    for start in range(0, len(everything), columns):
        row = everything[start : start + columns]
        if start:
            flow.go_on()
        else:
            flow.begin("colours", "lay the film on white card; write each reading")
        names = [mark.name if mark else "paper" for mark in row]
        lines = [min(MOST_LINES, lines_of(name)) for name in names]
        foot = flow.y - max(lines) * LINE + 0.6
        top = foot - 1.4
        for n, (mark, name) in enumerate(zip(row, names, strict=True)):
            flow.name(name, n * step, foot, max(lines))
            flow.reading(n * step, top - PATCH - 1.5 - READING[1])
            if mark:
                flow.patch(mark, n * step, top)
            else:
                flow.boxes.append(SwatchBox(n * step, top - PATCH, PATCH, PATCH, bare=True, block=flow.block))
        flow.y = top - PATCH - 1.5 - READING[1]
        flow.end()


def _white_rows(flow: _Blocks, white: Colour, printer: PrinterColour) -> None:
    flow.begin("white", "one pass on black card and on white card; the other patches are to look at")
    step, top = READING[0] + _GAP, flow.y - 2 * LINE - 0.8
    flow.name("white over black", 0.0, top + 1.4, 2)
    flow.name("white over white", step, top + 1.4, 2)
    for n in range(1, printer.passes + 1):
        # The first pass is read twice, so it has the room of two.
        x = (n if n > 1 else 0) * step
        if n > 1:
            flow.name(f"{n} passes", x, top + 1.4, 2)
        wide = PATCH + (step if n == 1 else 0.0)
        box = union([rectangle(x, top - PATCH, x + wide, top)])
        flow.marks.append(SwatchMark("white", f"white {n}", box, white, "white", n, block=flow.block))
    for x in (0.0, step):
        flow.reading(x, top - PATCH - 1.5 - READING[1])
    flow.y = top - PATCH - 1.5 - READING[1]
    flow.end()


def _register(flow: _Blocks, white: Colour) -> None:
    """Squares of ink over white that is drawn in under them."""
    step = _wedge(flow, "choke", "the first square with no rim of white", CHOKES)
    top = flow.y
    for i, choke in enumerate(CHOKES):
        x, name = i * step, f"choke {choke:.2f}"
        box = union([rectangle(x, top - _BLOCK, x + _BLOCK, top)])
        inner = union([rectangle(x + choke, top - _BLOCK + choke, x + _BLOCK - choke, top - choke)])
        flow.marks.append(SwatchMark("register", name, inner, white, "white", 1, choke, block=flow.block))
        flow.marks.append(SwatchMark("register", name, box, DARKEST, "art", 1, choke, block=flow.block))
    _sizes(flow, CHOKES, step)


def _wedge(flow: _Blocks, name: SizeName, text: str, sizes: Sequence[float]) -> float:
    """Begins a block of marks of growing size, with the box for the one that holds; gives the step to the next."""
    flow.begin(f"{SIZE_LETTERS[name]}  {name}", f"draw a ring round {text}, mm")
    step = min(11.4, (flow.width - READING[0] - _BLOCK - 6.0) / (len(sizes) - 1))
    flow.reading(min(flow.width - READING[0], len(sizes) * step + 4.0), flow.y - READING[1] - 0.5)
    return step


def _sizes(flow: _Blocks, sizes: Sequence[float], step: float, digits: int = 2) -> None:
    """The size under each mark of a wedge."""
    flow.y -= _BLOCK + 1.6 + LABEL_CAPS
    for i, size in enumerate(sizes):
        flow.labels.append(SwatchLabel(f"{size:.{digits}f}", i * step, flow.y, step, block=flow.block))
    flow.end()


def _wedges(flow: _Blocks) -> None:
    step = _wedge(flow, "line", "the thinnest that holds both ways", LINES)
    top = flow.y
    for i, size in enumerate(LINES):
        x = i * step
        upright = rectangle(x, top - _BLOCK, x + size, top)
        level = rectangle(x + 1.5, top - _BLOCK / 2 - size / 2, x + _BLOCK, top - _BLOCK / 2 + size / 2)
        both = union([upright, level])
        flow.marks.append(SwatchMark("line", f"line {size:.2f}", both, DARKEST, size=size, block=flow.block))
    _sizes(flow, LINES, step)
    step = _wedge(flow, "gap", "the narrowest that stays open both ways", LINES)
    top = flow.y
    for i, size in enumerate(LINES):
        x = i * step
        block = rectangle(x, top - _BLOCK, x + _BLOCK, top)
        upright = rectangle(x + 1.5 - size / 2, top - _BLOCK - 1, x + 1.5 + size / 2, top + 1)
        level = rectangle(x + 2.5, top - _BLOCK / 2 - size / 2, x + _BLOCK + 1, top - _BLOCK / 2 + size / 2)
        open_ = union([block.difference(upright).difference(level)])
        flow.marks.append(SwatchMark("gap", f"gap {size:.2f}", open_, DARKEST, size=size, block=flow.block))
    _sizes(flow, LINES, step)
    kinds: tuple[Literal["caps", "caps reversed"], ...] = ("caps", "caps reversed")
    for kind in kinds:
        step = _wedge(flow, kind, "the smallest that can be read", CAPS)
        top = flow.y
        for i, caps in enumerate(CAPS):
            x = i * step
            text = letters(caps, x + 1.0, top - _BLOCK / 2 - caps / 2)
            if kind == "caps reversed":
                block = rectangle(x, top - _BLOCK, x + max(_BLOCK, caps * 2.5 + 2.0), top)
                text = union([block.difference(text)])
            flow.marks.append(SwatchMark(kind, f"{kind} {caps:.1f}", text, DARKEST, size=caps, block=flow.block))
        _sizes(flow, CAPS, step, 1)
