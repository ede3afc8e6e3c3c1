"""The placement guide of a model: for each side its decals in the order of application, each with the two distances
that place it, letters on the drawing and figures in the list; true-size drawings, and cards to push decals against.
Pure; mm."""

from __future__ import annotations

from collections.abc import Sequence

from decalgen.core import style
from decalgen.core.document import Document
from decalgen.core.lengths.units import POINT_MM
from decalgen.core.values import dataclass
from decalgen.lettering.paper import paper_width, wrap
from decalgen.pages.cautions_band import CautionsBand
from decalgen.pages.composer import Sheaf, band_height
from decalgen.pages.decal_and_panel import obstacle_outlines
from decalgen.pages.flow import Flow
from decalgen.pages.guide_cells import TrueSizeCell, cells_of, put_cell
from decalgen.pages.guide_drawing import SideLayout, draw_side, lay_out_side
from decalgen.pages.guide_sides import LOOK, GuideItem, GuideRow, GuideSide
from decalgen.pages.guide_templates import Template, listed, templates_of
from decalgen.pages.sides_picture import HIGH as SIDES_HIGH
from decalgen.pages.sides_picture import WIDE as SIDES_WIDE
from decalgen.pages.sides_picture import draw_sides

HINT = (
    "Each distance runs from the edge of the panel to the cut edge of the decal, square to that edge of the decal. A "
    "distance with ± follows from the measured panel (k = 2): if yours differs, share the difference between both "
    "ends. Keep the decal level: measure at both ends of its side. One decal at a time, in this order; the bold number "
    "is the one on the film."
)
SCALE_CHECK = "This line is 50 mm long. If it measures otherwise, do not use the cards."
CARDS = (
    "Cards are drawn at true size. Glue one to thin card, tape over both faces so that it stands water, then cut along "
    "the thick line and out along obstacles. Lay it on the panel, edges flush, and hold it with low-tack tape on "
    "hardened paint only. Push the decal gently against the card's inner edge, between the two ticks; lift the card "
    "off before you set the decal."
)
FOLD = "Long dashes: fold the tab over the edge."
TAIL = "A tail that sticks out beyond the panel only bears the card's name."
SIDE_BY_SIDE = 170.0
"""Width between the margins, mm, from which the list stands beside the drawing."""
LIST = 74.0
"""Width of a list that stands beside a drawing, mm."""
LINE = 4.3
PAIR_HIGH = {True: 77.0, False: 78.0}
"""The most height that a drawing takes, mm: with its list beside it, and over it."""
COLUMNS = (8.0, 12.5)
"""Where the letter and the words of a distance begin, mm from the list's edge."""
FIGURES = 28.4
"""Room for a figure and what stands behind it at the right end, mm."""
FIGURE = 11.0
"""Room for the figure of that."""
GAP = 5.0
"""Between two cards, mm."""
STEP = style.TYPE_REST * POINT_MM * style.LEADING


@dataclass(frozen=True)
class GuideMade:
    """One model's guide as values: its title, its sides, and the cautions that fit it."""

    title: str
    sides: tuple[GuideSide, ...]
    cautions: tuple[tuple[str, str], ...]
    numbered_with: str = ""
    """The jobs whose common print gave the numbers, where there were several."""


def guide_pages(made: GuideMade, width: float = 210.0, height: float = 297.0, date: str | None = None) -> Document:
    """The guide as pages of that size; A4 unless told otherwise."""
    foot = "numbers as on film printed together: " + made.numbered_with if made.numbered_with else "numbers as on film"
    flow = Flow(width, height, f"Placement guide: {made.title}", foot)
    flow.paragraph(HINT)
    blocks = [_SideBlock(flow, side) for side in made.sides]
    templates = [one for block in blocks for one in block.templates if one]
    if templates:
        flow.paragraph(card_words(templates))
    _legend(flow, made)
    # Where the first side begins the next page anyway, the cautions fill this one.
    cautions = CautionsBand(made.cautions)
    early = bool(blocks) and blocks[0].needed > flow.left and cautions.height(flow) <= flow.left
    if early:
        cautions.write(flow)
    for block in blocks:
        block.write(flow)
    if not early:
        cautions.write(flow)
    return Document(tuple(flow.pages()), title=f"{made.title}: placement guide", date=date)


def card_words(templates: Sequence[Template]) -> str:
    """What one does with the cards, and with tabs and tails where there are any."""
    fold = f" {FOLD}" if any(one.tab for one in templates) else ""
    return CARDS + fold + (f" {TAIL}" if any(one.tail for one in templates) else "")


def _legend(flow: Flow, made: GuideMade) -> None:
    """The drawing that names the sides, and a line to check the print."""
    beside = flow.inner >= SIDES_WIDE + 56.0
    lines = wrap(SCALE_CHECK, style.TYPE_REST, flow.inner - SIDES_WIDE - 6.0 if beside else flow.inner)
    flow.room(SIDES_HIGH + (0.0 if beside else 8.0 + STEP * len(lines)) + 3.0)
    draw_sides(flow.sheaf, {side.view for side in made.sides}, flow.edge, flow.y)
    x, y = flow.edge, flow.y - SIDES_HIGH - 4.0
    if beside:
        x, y = flow.edge + SIDES_WIDE + 6.0, flow.y - 6.0
    put_scale_check(flow.sheaf, x, y)
    for n, text in enumerate(lines):
        flow.sheaf.text(x, y - 5.4 - n * STEP, text, style.TYPE_REST)
    flow.y = min(flow.y - SIDES_HIGH, y - 5.4 - STEP * len(lines)) - 2.0


def put_scale_check(sheaf: Sheaf, x: float, y: float) -> None:
    """A line of 50 mm with a tick every 10."""
    sheaf.line(((x, y), (x + 50.0, y)), style.LINE_PANEL)
    for n in range(6):
        tall = 1.6 if n in (0, 5) else 0.8
        sheaf.line(((x + 10.0 * n, y - tall), (x + 10.0 * n, y + tall)), style.LINE_PANEL)


# ------------------------------------------------------------------------------------------------------------- a side
class _SideBlock:
    """One side laid out: on wide paper its drawing, with what is at true size under it, beside the list; else, and
    where it would not be enlarged there, the drawing over the list and what is at true size."""

    def __init__(self, flow: Flow, side: GuideSide) -> None:
        self.side, self.aside = side, flow.inner >= SIDE_BY_SIDE
        self.column = flow.inner - LIST - 4.0
        self.laid = lay_out_side(side, self.column if self.aside else flow.inner, PAIR_HIGH[self.aside])
        if self.aside and self.laid.scale <= 1.0:
            over = lay_out_side(side, flow.inner, PAIR_HIGH[False])
            if over.scale > self.laid.scale:
                self.aside, self.laid = False, over
        self.how = how_words(side, self.laid)
        self.templates = templates_of(side)
        self.heights = [item_height(item, LIST) for item in side.items]
        self.said = [row for text in paper_notes(side, self.templates) for row in wrap(text, style.TYPE_REST, LIST)]
        self.cells = _Cells(side, self.templates, self.laid, self.column, flow.whole - 40.0)
        self.beside = not self.cells.too_wide
        """Whether what is at true size goes beside the list."""
        if not self.beside:
            self.cells = _Cells(side, self.templates, self.laid, flow.inner, flow.whole - 20.0)
        band = band_height(flow.inner, side_name(side), self.how) + 2.0
        self.over = 0.0 if self.aside else self.laid.height + 2.0
        self.deep = (self.laid.height if self.aside else 0.0) + (self.cells.height if self.beside else 0.0)
        least = self.over + max(self.laid.height if self.aside else 0.0, self.heights[0])
        words = max(self.laid.height if self.aside else 0.0, sum(self.heights) + LINE * len(self.said))
        tried = (self.over + max(self.deep, words), self.over + words, least)
        self.needed = band + next((high for high in tried if high + band <= flow.whole), least)
        """The room it asks for to begin, mm: all of it; all but what is at true size, where no page holds that."""

    def write(self, flow: Flow) -> None:
        """At the cursor, or on the next page."""
        flow.room(self.needed)
        side = self.side
        flow.y = flow.sheaf.band(flow.edge, flow.y, flow.inner, side_name(side), self.how) - 2.0
        top, sheaf = flow.y, flow.sheaf
        draw_side(sheaf, side, self.laid, flow.edge, top)
        flow.y -= self.over
        left, right = flow.edge, flow.edge + LIST + 4.0
        if self.aside:
            left, right = flow.edge + self.column + 4.0, flow.edge
        foot = top - self.over - self.deep
        fits = self.beside and foot >= flow.floor - 1e-6
        if fits:
            self.cells.put(sheaf, right, foot + self.cells.height)
        _list(flow, side, self.heights, self.said, left)
        if flow.sheaf is sheaf and (fits or self.aside):
            flow.y = min(flow.y, foot if fits else top - self.laid.height)
        if not fits:
            flow.y -= 2.0
            self.cells.flow(flow)
        flow.y -= 3.0


def _list(flow: Flow, side: GuideSide, heights: Sequence[float], said: Sequence[str], x: float) -> None:
    """The pieces in the order of application; those that do not go on the page go on over the next."""
    for n, (item, high) in enumerate(zip(side.items, heights, strict=True)):
        if flow.left < high:
            flow.new_page()
            flow.y = flow.sheaf.band(flow.edge, flow.y, flow.inner, f"{side_name(side)}, continued") - 2.0
        put_item(flow.sheaf, item, n, x, flow.y, LIST)
        flow.y -= high
    for text in said:
        flow.room(LINE)
        flow.sheaf.text(x, flow.y - 3.2, text, style.TYPE_REST)
        flow.y -= LINE


def side_name(side: GuideSide) -> str:
    """'Door, left'."""
    return f"{side.name[0].upper()}{side.name[1:]}"


def how_words(side: GuideSide, laid: SideLayout) -> str:
    """How one looks at it, and how large it is drawn."""
    skin = "distances along the skin · " if side.bent else ""
    return f"{LOOK[side.view]} · {skin}{laid.words}"


def paper_notes(side: GuideSide, templates: Sequence[Template | None]) -> list[str]:
    """What paper says of a whole side: of the cards of its pieces, of what is grey, and `side_notes`."""
    found = []
    numbers = [item.number for item in side.items]
    found += [f"Card {n} {one.dry}." for n, one in zip(numbers, templates, strict=True) if one and one.dry]
    bare = [n for item, n, one in zip(side.items, numbers, templates, strict=True) if not (one or item.artwork.backing)]
    if bare and side.dome:
        found.append("No cards: this panel is curved both ways.")
    elif bare and not side.open:
        found.append(f"No card for {listed(bare)}: the strip beside is too narrow.")
    if seen := obstacles_seen(side):
        found.append(f"Grey: {seen}.")
    return [*found, *side_notes(side)]


def side_notes(side: GuideSide) -> list[str]:
    """What holds for a whole side."""
    found = []
    if side.open:
        found.append(
            f"Not measured yet: {', '.join(side.panel.unmeasured)}. Sizes are assumed and the outline is dashed; "
            "measure, and print the guide again."
        )
    return found


def obstacles_seen(side: GuideSide) -> str:
    """What is grey in the drawing; of several things from left to right."""
    there = [one for one in side.panel.obstacles if obstacle_outlines(one, side.panel)]
    there.sort(key=lambda one: one.outline.polygon.intersection(side.panel.outline.polygon).centroid.x)
    return ("from the left: " if len(there) > 1 else "") + ", ".join(one.name for one in there)


def item_rows(item: GuideItem, width: float) -> list[tuple[GuideRow, list[str], list[str]]]:
    """The distances of a piece, each with the lines of its words and of what stands behind the figure."""
    words = width - COLUMNS[1] - FIGURES - 0.8
    return [
        (row, wrap(row.words, style.TYPE_BODY, words), wrap(row.sureness, style.TYPE_REST, FIGURES - FIGURE))
        for row in item.rows
    ]


def item_height(item: GuideItem, width: float) -> float:
    """How high a piece is in the list, mm."""
    head = wrap(_head(item), style.TYPE_FIND, width - COLUMNS[0] - _ordinal_width(), True)
    lines = sum(max(len(words), len(sure)) for _, words, sure in item_rows(item, width))
    notes = sum(len(wrap(note, style.TYPE_REST, width - COLUMNS[0])) for note in item.notes)
    return LINE * (len(head) + lines + notes) + 1.6


def put_item(sheaf: Sheaf, item: GuideItem, n: int, x: float, top: float, width: float) -> None:
    """A piece in the list: a box to tick, its turn, number and name; its distances; its notes."""
    y = top - 3.4
    sheaf.tick_box(x, y - 0.5)
    sheaf.text(x + 5.0, y, ordinal(n), style.TYPE_REST)
    left = x + COLUMNS[0] + _ordinal_width()
    for text in wrap(_head(item), style.TYPE_FIND, width - COLUMNS[0] - _ordinal_width(), True):
        sheaf.text(left, y, text, style.TYPE_FIND, bold=True)
        y -= LINE
    for row, words, sure in item_rows(item, width):
        sheaf.text(x + COLUMNS[0], y, row.letter, style.TYPE_BODY, bold=True)
        right = x + width - FIGURES + FIGURE
        if row.figure:
            sheaf.text(right - 1.2, y, row.figure, style.TYPE_FIND, bold=True, align="right")
        else:
            sheaf.line(((right - FIGURE, y - 0.6), (right - 1.2, y - 0.6)), style.LINE_DIMENSION)
        for k, text in enumerate(words):
            sheaf.text(x + COLUMNS[1], y - k * LINE, text, style.TYPE_BODY)
        for k, text in enumerate(sure):
            sheaf.text(right, y - k * LINE, text, style.TYPE_REST)
        y -= LINE * max(len(words), len(sure))
    for note in item.notes:
        for text in wrap(note, style.TYPE_REST, width - COLUMNS[0]):
            sheaf.text(x + COLUMNS[0], y, text, style.TYPE_REST)
            y -= LINE


def ordinal(n: int) -> str:
    """'1st', '2nd' … from 0."""
    n += 1
    ending = "th" if n % 100 in (11, 12, 13) else {1: "st", 2: "nd", 3: "rd"}.get(n % 10, "th")
    return f"{n}{ending}"


def _ordinal_width() -> float:
    return paper_width("22nd", style.TYPE_REST) - 2.0


def _head(item: GuideItem) -> str:
    return f"{item.number}  {item.name}".strip()


# ------------------------------------------------------------------------------------------------ at true size, to cut
class _Cells:
    """The panel at true size and the cards of its pieces, from left to right in rows ``width`` mm wide and no higher
    than ``high``."""

    def __init__(
        self, side: GuideSide, templates: Sequence[Template | None], laid: SideLayout, width: float, high: float
    ) -> None:
        self.side, self.width = side, width
        drawn = laid.scale != 1.0
        found = cells_of(side, templates, (width, high), drawn)
        count = drawn + sum(one is not None for one in templates)
        self.too_wide = any(cell.upright for cell in found) or len(found) < count
        """Whether one of them stands on end or is left out for want of room."""
        self.rows: list[list[TrueSizeCell]] = []
        x = 0.0
        for cell in found:
            if not self.rows or x + cell.width > width + 1e-6:
                self.rows.append([])
                x = 0.0
            self.rows[-1].append(cell)
            x += cell.width + GAP

    @property
    def height(self) -> float:
        """Of all, mm."""
        return sum(self._deep(row) for row in self.rows)

    def _deep(self, row: Sequence[TrueSizeCell]) -> float:
        return max(cell.height for cell in row) + 2.0

    def put(self, sheaf: Sheaf, x: float, top: float) -> None:
        """All of it in one place."""
        for row in self.rows:
            self._row(sheaf, row, x, top)
            top -= self._deep(row)

    def flow(self, flow: Flow) -> None:
        """The same at the cursor, over as many pages as it takes."""
        for row in self.rows:
            flow.room(self._deep(row))
            self._row(flow.sheaf, row, flow.edge, flow.y)
            flow.y -= self._deep(row)

    def _row(self, sheaf: Sheaf, row: Sequence[TrueSizeCell], x: float, top: float) -> None:
        for cell in row:
            put_cell(sheaf, self.side, cell, x, top)
            x += cell.width + GAP
