"""The swatch sheet as pages: what is printed in colour, and white pass by pass if the printer has white. Pure; mm."""

from __future__ import annotations

from collections.abc import Sequence

from shapely.geometry import Polygon

from decalgen.colour.inks import Ink
from decalgen.colour.printer import PrinterColour
from decalgen.colour.swatches import LABEL_CAPS, LINE, NAME, SwatchLabel, SwatchMark, SwatchSheet, swatch_sheet
from decalgen.core import style
from decalgen.core.document import Document, Fill, Item, Layer, Page
from decalgen.core.errors import FitError
from decalgen.core.geometry import Bounds, region, transform, translation
from decalgen.core.values import dataclass
from decalgen.job.model import Film, Printer
from decalgen.lettering.paper import paper, paper_width, wrap
from decalgen.pages.composer import Sheaf
from decalgen.sheet.check_bars import CheckBar, check_bar
from decalgen.sheet.furniture import registration_mark

INSET = style.REGISTRATION_CROSS + style.GRID
"""Room for the registration marks round the swatches, mm."""
BAR = 50.0
HEAD = 4.0
"""Room for the line of text over the swatches, mm."""
ROW = 4.0
FOOT = 1.0
"""Room between the swatches and the check bar, mm."""
FEED = "feed: this edge into the printer first, this side up"
SHORT_FEED = "feed, this side up"


@dataclass(frozen=True)
class PrintedSwatch:
    """A mark of a swatch sheet as it lies on its page, counted from 0; ``mark`` is None for the patch of bare film."""

    page: int
    box: Bounds
    mark: SwatchMark | None


@dataclass(frozen=True)
class _Printing:
    """What is printed on one page: which page, the words over it and their row, and whether it is a pass of white:
    black where white goes, without labels and boxes, which are printed with the colours."""

    page: int
    words: str
    row: int
    plain: bool


def swatch_pages(
    inks: Sequence[Ink], known: PrinterColour, printer: Printer, film: Film, area: Polygon
) -> tuple[tuple[str, Document], ...]:
    """The files of the swatch sheet: ('', in colour), then ('white-pass-1', …) in black, all with the same marks.

    What does not go on one sheet goes on over the next. Raises FitError where the film is too small for one row of it,
    ColourError for more inks than one sheet takes.
    """
    drawn, passes = _laid(inks, known, printer, film, area)
    sheet, placed = drawn.sheet, drawn.placed
    made = []
    for n in range(passes + 1):
        name = f"white-pass-{n}" if n else ""
        marks = [mark for mark in sheet.marks if (mark.plate == "white" and mark.passes >= n if n else _coloured(mark))]
        wanted = sorted({placed[mark.block][0] for mark in marks})
        last = max(page for page, _ in placed)
        pages = []
        for page in wanted:
            said = _said(name, passes) + (f" · sheet {page + 1} of {last + 1}" if last else "")
            pages.append(drawn.page(marks, _Printing(page, f"{printer.name} · {film.name} · {said}", n, bool(name))))
        document = Document(
            tuple(pages),
            title=f"Swatches: {printer.name}" + (f", {name.replace('-', ' ')}" if name else ""),
            subject="swatches at true scale: print at 100 %, without fitting",
            scale=(printer.scale_x, printer.scale_y),
            lean=printer.lean,
        )
        made.append((name, document))
    return tuple(made)


def printed_swatches(
    inks: Sequence[Ink], known: PrinterColour, printer: Printer, film: Film, area: Polygon
) -> tuple[PrintedSwatch, ...]:
    """Where each mark in colour of the same swatch sheet lies. Raises as `swatch_pages` does."""
    drawn, _ = _laid(inks, known, printer, film, area)
    empty = (box for box in drawn.sheet.boxes if box.bare)
    bare = ((box.block, (box.x, box.y, box.x + box.width, box.y + box.height), None) for box in empty)
    marks = ((mark.block, mark.region.bounds, mark) for mark in drawn.sheet.marks if _coloured(mark))
    left = drawn.area[0] + INSET
    found = []
    for block, (x0, y0, x1, y1), mark in (*marks, *bare):
        page, start = drawn.placed[block]
        up = drawn.top - start
        found.append(PrintedSwatch(page, (x0 + left, y0 + up, x1 + left, y1 + up), mark))
    return tuple(found)


def _laid(inks: Sequence[Ink], known: PrinterColour, printer: Printer, film: Film, area: Polygon) -> tuple[_Drawn, int]:
    """The sheet laid onto pages, and how many passes of white it has."""
    x0, y0, x1, y1 = area.bounds
    sheet = swatch_sheet(inks, known, x1 - x0 - 2 * INSET, _lines_of)
    passes = max((mark.passes for mark in sheet.marks if mark.plate == "white"), default=0)
    # Every pass goes over the same film: each has its line of text on a row of its own.
    head = HEAD + passes * ROW
    room = y1 - y0 - 2 * INSET - head - FOOT
    deepest = max(top - foot for foot, top in sheet.blocks)
    if deepest > room:
        raise FitError(
            f"a row of swatches is {deepest:.0f} mm high, and '{film.name}' has room for {room:.0f} mm",
            fix="take a larger film with `--film`",
        )
    placed = _on_pages(sheet.blocks, room)
    return _Drawn(sheet, placed, (film.width, film.height), (x0, y0, x1, y1), y1 - INSET - head), passes


def _coloured(mark: SwatchMark) -> bool:
    return mark.plate == "art"


def _on_pages(blocks: Sequence[tuple[float, float]], room: float) -> tuple[tuple[int, float], ...]:
    """For each block its page, counted from 0, and the height above the sheet's foot that is the top of that page."""
    found: list[tuple[int, float]] = []
    page, start = 0, blocks[0][1]
    for foot, top in blocks:
        if start - foot > room + 1e-9:
            page, start = page + 1, top
        found.append((page, start))
    return tuple(found)


def _said(name: str, passes: int) -> str:
    if name:
        return f"white, pass {name[-1]} of {passes}, before the colours"
    return "colours, after white" if passes else "print at 100 % on the film itself"


@dataclass(frozen=True)
class _Drawn:
    """The sheet with the page of each block, the film's size, its printable area, and the top of the swatches."""

    sheet: SwatchSheet
    placed: tuple[tuple[int, float], ...]
    size: tuple[float, float]
    area: Bounds
    top: float

    def page(self, marks: Sequence[SwatchMark], printing: _Printing) -> Page:
        x0, y0, x1, y1 = self.area
        left = x0 + INSET
        mine = [n for n, (page, _) in enumerate(self.placed) if page == printing.page]
        move = {n: self.top - self.placed[n][1] for n in mine}
        fills: list[Item] = [
            Fill(
                region(transform(mark.region, translation(left, move[mark.block]))),
                "#000000" if printing.plain else mark.colour.hex,
                mark.ink,
            )
            for mark in marks
            if mark.block in move
        ]
        sheaf = Sheaf(*self.size)
        words = _shortened(printing.words, x1 - x0 - 2 * INSET)
        sheaf.text(left, y1 - INSET - 2.4 - printing.row * ROW, words, style.TYPE_REST)
        if not printing.plain:
            for box in self.sheet.boxes:
                if box.block in move:
                    dash = style.DASH_TRIM if box.bare else ()
                    x, y = left + box.x, box.y + move[box.block]
                    ring = ((x, y), (x + box.width, y), (x + box.width, y + box.height), (x, y + box.height))
                    sheaf.line(ring, style.LINE_DIMENSION, dash=dash, closed=True)
            for label in self.sheet.labels:
                if label.block in move:
                    _label(sheaf, label, left + label.x, label.y + move[label.block])
            _feed(sheaf, x0 + INSET, y1, x1 - x0 - 2 * INSET)
        half = style.REGISTRATION_CROSS / 2
        for spot in ((x0 + half, y0 + half), (x1 - half, y0 + half), (x0 + half, y1 - half)):
            sheaf.items += registration_mark(spot)
        sheaf.items += check_bar(CheckBar("x", x0 + INSET, y0, BAR))
        return sheaf.page(Layer("Swatches", tuple(fills), "artwork"))


def _feed(sheaf: Sheaf, x: float, top: float, room: float) -> None:
    """Which edge of the film goes into the printer first."""
    words = FEED if paper_width(FEED, style.TYPE_REST) + 6.0 < room else SHORT_FEED
    sheaf.line(((x + 1.5, top - 5.4), (x + 1.5, top - 1.6)), style.LINE_CUT)
    sheaf.fill(region(Polygon([(x, top - 3.2), (x + 3.0, top - 3.2), (x + 1.5, top - 0.6)])), style.TEXT)
    sheaf.text(x + 6.0, top - 4.6, words, style.TYPE_REST)


def _points(caps: float) -> float:
    """The size of lettering with capitals so high, mm."""
    return round(caps / paper("0", 10.0).cap_height * 10.0, 1)


def _lines_of(name: str) -> int:
    """The lines that a patch's name takes, as wide as they are."""
    return len(wrap(name, _points(LABEL_CAPS), NAME))


def _label(sheaf: Sheaf, label: SwatchLabel, x: float, y: float) -> None:
    """A label with its bold head; a name of several lines ends at y, and is cut short where it has more."""
    points = _points(label.caps)
    if label.head:
        x += sheaf.text(x, y, label.head, style.TYPE_BODY, bold=True).width + 3.0
        sheaf.text(
            x, y, _shortened(label.text, label.width - 3.0 - paper_width(label.head, style.TYPE_BODY, True)), points
        )
        return
    rows = wrap(label.text, points, label.width)
    if len(rows) > label.lines:
        rows = [*rows[: label.lines - 1], _shortened(" ".join(rows[label.lines - 1 :]), label.width)]
    for n, row in enumerate(reversed(rows)):
        sheaf.text(x, y + n * LINE, row, points)


def _shortened(text: str, room: float) -> str:
    """The text, cut short with three dots where it is wider than its room."""
    if paper_width(text, style.TYPE_REST) <= room:
        return text
    while text and paper_width(f"{text}…", style.TYPE_REST) > room:
        text = text[:-1].rstrip()
    return f"{text}…"
