"""Composing pages of paper: text, rules, boxes, tables and dimensions, in the project's one look. mm, y up."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import field

from shapely.geometry import Polygon

from decalgen.core import style
from decalgen.core.document import Contour, Fill, Item, Layer, Line, Page, Symbol, Use
from decalgen.core.geometry import Outline, Region, multiply, rectangle, rotation, translation
from decalgen.core.lengths.units import POINT_MM
from decalgen.core.values import dataclass
from decalgen.lettering.paper import PaperText, paper, paper_width, wrap

BAND_LINE = 4.6
"""From line to line of a band, mm."""
BAND_PAD = 1.2
BAND_SIDE = 2.0
"""From the end of a band to its words, mm."""
ARROW = style.ARROW_LENGTH
"""Length of an open arrowhead, mm (ISO 129-1: open, 15 to 90 degrees; here 30)."""


@dataclass
class Sheaf:
    """Items being put on one page. The only thing here that changes; `page` freezes it."""

    width: float
    height: float
    items: list[Item] = field(default_factory=list)

    def page(self, *layers: Layer, trim: tuple[float, float, float, float] | None = None) -> Page:
        """The page; ``layers`` come below what was put here."""
        own = Layer("Paperwork", tuple(self.items))
        return Page(self.width, self.height, (*layers, own), trim=trim)

    def text(
        self,
        x: float,
        y: float,
        text: str,
        size: float = style.TYPE_BODY,
        *,
        bold: bool = False,
        colour: str = style.TEXT,
        align: str = "left",
        turn: float = 0.0,
    ) -> PaperText:
        """One line with its baseline at y; ``align`` says what of it is at x."""
        line = paper(text, size, bold)
        shift = {"left": 0.0, "centre": -line.width / 2, "right": -line.width}[align]
        matrix = multiply(translation(x, y), multiply(rotation(turn), translation(shift, 0.0)))
        for glyph in line.glyphs:
            symbol = Symbol(f"{glyph.key}-{colour.lstrip('#')}", (Fill(glyph.region, colour),))
            self.items.append(Use(symbol, multiply(matrix, translation(glyph.x, glyph.y))))
        return line

    def paragraph(
        self,
        x: float,
        y: float,
        width: float,
        text: str,
        size: float = style.TYPE_BODY,
        *,
        bold: bool = False,
        colour: str = style.TEXT,
        leading: float = 1.35,
    ) -> float:
        """Wrapped text whose first baseline is y; gives the baseline that would come next."""
        step = size * POINT_MM * leading
        for row in wrap(text, size, width, bold):
            self.text(x, y, row, size, bold=bold, colour=colour)
            y -= step
        return y

    def line(
        self,
        points: Sequence[tuple[float, float]],
        width: float = style.LINE_DIMENSION,
        colour: str = style.TEXT,
        dash: tuple[float, ...] = (),
        closed: bool = False,
    ) -> None:
        """A thin line."""
        self.items.append(Line(tuple(points), width, colour, closed, dash))

    def box(self, x: float, y: float, width: float, height: float, line: float = style.LINE_DIMENSION) -> None:
        """An empty box to write in, by its lower left corner."""
        self.line(((x, y), (x + width, y), (x + width, y + height), (x, y + height)), line, closed=True)

    def reading_boxes(self, x: float, y: float, count: int = 3, pitch: float = style.READING_BOX[0] + 2.0) -> None:
        """Boxes in a row to write readings into, by the lower left corner of the first."""
        for n in range(count):
            self.box(x + n * pitch, y, *style.READING_BOX)

    def tick_box(self, x: float, y: float) -> None:
        """A box to tick, by its lower left corner."""
        self.box(x, y, style.TICK_BOX, style.TICK_BOX)

    def band(self, x: float, y: float, width: float, what: str, how: str = "", letter: str = "") -> float:
        """The grey band that begins a block, its top at y: at the left what it is, with the letter of its job, at the
        right how to use it, each wrapped where both do not go on one line. Gives the y of its foot."""
        lines, rows, left = _band_rows(width, what, how, letter)
        beside = len(lines) == len(rows) == 1 and _beside(lines[0], rows[0], width - left)
        high = band_height(width, what, how, letter)
        self.fill(rectangle(x, y - high, x + width, y), style.BAND)
        at = y - BAND_LINE + 0.4
        if letter:
            self.text(x + BAND_SIDE, at, letter, style.TYPE_FIND, bold=True)
        for text in lines:
            self.text(x + left, at, text, style.TYPE_FIND, bold=True)
            at -= BAND_LINE
        if beside:
            self.text(x + width - BAND_SIDE, at + BAND_LINE, rows[0], style.TYPE_REST, align="right")
            return y - high
        for text in rows:
            self.text(x + left, at, text, style.TYPE_REST)
            at -= BAND_LINE
        return y - high

    def fill(self, area: Region, colour: str, opacity: float = 1.0) -> None:
        """A filled area."""
        self.items.append(Fill(area, colour, None, opacity))

    def outline(
        self, outline: Outline, width: float = style.LINE_PANEL, colour: str = style.TEXT, dash: tuple[float, ...] = ()
    ) -> None:
        """An outline as a line."""
        self.items.append(Contour(outline, width, colour, dash))

    def dimension(
        self, a: tuple[float, float], b: tuple[float, float], offset: float, label: str, size: float = style.TYPE_SMALL
    ) -> None:
        """A dimension of the distance from a to b, drawn ``offset`` mm to the left of that direction: extension lines,
        open arrowheads, the figures above the line and along it."""
        length = math.dist(a, b)
        if length < 1e-9:
            return
        ux, uy = (b[0] - a[0]) / length, (b[1] - a[1]) / length
        nx, ny = -uy, ux
        side = math.copysign(1.0, offset)
        start = (a[0] + nx * offset, a[1] + ny * offset)
        end = (b[0] + nx * offset, b[1] + ny * offset)
        for origin, tip in ((a, start), (b, end)):
            self.line(
                (
                    (origin[0] + nx * side * 0.6, origin[1] + ny * side * 0.6),
                    (tip[0] + nx * side * 0.8, tip[1] + ny * side * 0.8),
                )
            )
        figures = paper(label, size)
        tight = length < 4 * ARROW
        self.line((start, end) if not tight else (_along(start, ux, uy, -3.0), _along(end, ux, uy, 3.0)))
        for tip, way in ((start, 1.0), (end, -1.0)):
            way = -way if tight else way
            for bend in (style.ARROW_ANGLE / 2, -style.ARROW_ANGLE / 2):
                angle = math.atan2(uy * way, ux * way) + math.radians(bend)
                self.line((tip, (tip[0] + ARROW * math.cos(angle), tip[1] + ARROW * math.sin(angle))))
        turn = math.degrees(math.atan2(uy, ux))
        upside_down = turn > 90.01 or turn <= -90.0
        turn = turn + 180 if upside_down else turn
        middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
        if (figures.width > length - 0.5 and not tight) or (tight and figures.width > length + 5.0):
            middle = _along(end, ux, uy, figures.width / 2 + 3.5)
            self.line((end, _along(end, ux, uy, figures.width + 4.0)))
        lift = -0.7 if upside_down else 0.7
        self.text(middle[0] + nx * lift, middle[1] + ny * lift, label, size, align="centre", turn=turn)

    def table(
        self,
        x: float,
        y: float,
        widths: Sequence[float],
        rows: Sequence[Sequence[str]],
        *,
        size: float = style.TYPE_SMALL,
        right: Sequence[int] = (),
        pitch: float = 4.4,
    ) -> float:
        """Rows of text under a head row; ``right`` lists columns set flush right. Gives the y below the table.

        A cell's text wraps inside its column.
        """
        total = sum(widths)
        for n, row in enumerate(rows):
            bold = n == 0
            cells = [wrap(cell, size, w - 1.6, bold) for cell, w in zip(row, widths, strict=True)]
            deep = max(len(c) for c in cells)
            left = x
            for column, (lines, w) in enumerate(zip(cells, widths, strict=True)):
                for k, text in enumerate(lines):
                    at = y - 3.1 - k * (pitch - 1.0)
                    if column in right:
                        self.text(left + w - 1.6, at, text, size, bold=bold, align="right")
                    else:
                        self.text(left, at, text, size, bold=bold)
                left += w
            y -= pitch + (deep - 1) * (pitch - 1.0)
            weight = style.LINE_PANEL if n == 0 else style.LINE_RULE
            self.line(((x, y), (x + total, y)), weight, style.TEXT if n == 0 else style.RULE)
        return y

    def scale_bar(self, x: float, y: float, length: float, scale: float, label: str) -> None:
        """A bar of ``length`` mm of the thing drawn, at ``scale`` times its size, with what it stands for."""
        drawn = length * scale
        half = drawn / 2
        self.fill(rectangle(x, y, x + half, y + 0.8), style.TEXT)
        self.line(((x, y), (x + drawn, y), (x + drawn, y + 0.8), (x, y + 0.8)), 0.1, closed=True)
        self.text(x, y + 1.8, label, style.TYPE_REST)


def band_height(width: float, what: str, how: str = "", letter: str = "") -> float:
    """How high `Sheaf.band` becomes, mm."""
    lines, rows, left = _band_rows(width, what, how, letter)
    if len(lines) == len(rows) == 1 and _beside(lines[0], rows[0], width - left):
        rows = []
    return BAND_LINE * (len(lines) + len(rows)) + BAND_PAD


def _band_rows(width: float, what: str, how: str, letter: str) -> tuple[list[str], list[str], float]:
    """The lines of both, and how far from the band's end the first begins."""
    left = BAND_SIDE + (paper_width(letter, style.TYPE_FIND, True) + 2.5 if letter else 0.0)
    room = width - left - BAND_SIDE
    return wrap(what, style.TYPE_FIND, room, True), wrap(how, style.TYPE_REST, room) if how else [], left


def _beside(what: str, how: str, room: float) -> bool:
    both = paper_width(what, style.TYPE_FIND, True) + paper_width(how, style.TYPE_REST)
    return both + BAND_SIDE + 4.0 <= room


def _along(point: tuple[float, float], ux: float, uy: float, d: float) -> tuple[float, float]:
    return (point[0] + ux * d, point[1] + uy * d)


def hatch(area: Polygon, pitch: float = 0.8, angle: float = 45.0) -> list[tuple[tuple[float, float], ...]]:
    """Lines of a light hatch clipped to an area (for a white underlay)."""
    from shapely.geometry import LineString, MultiLineString

    x0, y0, x1, y1 = area.bounds
    reach = math.hypot(x1 - x0, y1 - y0) / 2 + pitch
    cx, cy = (x0 + x1) / 2, (y0 + y1) / 2
    c, s = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    rows = []
    for n in range(-int(reach / pitch), int(reach / pitch) + 1):
        ox, oy = cx - s * n * pitch, cy + c * n * pitch
        rows.append(LineString([(ox - c * reach, oy - s * reach), (ox + c * reach, oy + s * reach)]))
    clipped = MultiLineString(rows).intersection(area)
    parts = getattr(clipped, "geoms", [clipped])
    return [tuple((float(px), float(py)) for px, py in part.coords) for part in parts if part.length > 0]
