"""The measuring card: one drawing a kind, and boxes for what is asked, with the letters and in the order of the
questions of `decalgen new` and `decalgen measure`. Pure."""

from __future__ import annotations

from collections.abc import Sequence

from decalgen.core import style
from decalgen.core.document import Document
from decalgen.core.values import dataclass
from decalgen.lettering.paper import paper_width, wrap
from decalgen.pages.composer import band_height
from decalgen.pages.flow import Flow
from decalgen.pages.kind_drawings import AROUND, DRAWINGS, RING, WIDE, draw_kind, draw_ring
from decalgen.pages.obstacle_drawings import LETTERING, OBSTACLES, draw_obstacle

HINT = (
    "Measure the painted model in the order of the letters. One reading of each size will do; decalgen asks for two "
    "more where they decide whether a decal fits. Write mm with two decimals, and leave a box empty rather than guess. "
    "On fresh paint put low-tack tape on the caliper's jaws. Drawings are not to scale."
)
FOOT = "each letter is one question of decalgen new and decalgen measure"
ROW = 10.0
"""The least height of a row, mm: a box and a gap."""
OVER_PAD, OVER_GAP = 1.2, 1.4
"""Round words that stand over their boxes, and under these, mm."""
BOXES = 3 * style.READING_BOX[0] + 2 * 2.0
SIDE_BY_SIDE = 170.0
"""Width between the margins, mm, from which a row's words and boxes go beside each other and beside the drawing."""
DRAWN = WIDE + 2 * AROUND
BAND = 20.0
"""More than a band takes, with the room below it, mm."""
HEADS = (("date", 26.0), ("instrument", 34.0), ("it reads to, mm", 22.0), ("largest error, ± mm", 28.0))
"""What a reader of the card has to know, with the widths of the boxes for it, mm."""


@dataclass(frozen=True)
class RowWay:
    """How rows stand on the page: ``aside`` of their drawing or under it; the words ``over`` the boxes or beside."""

    aside: bool
    over: bool

    @property
    def left(self) -> float:
        """Width that the drawing takes at the left of the rows, mm."""
        return DRAWN + 2.0 if self.aside else 0.0


BESIDE, OVER, UNDER = RowWay(True, False), RowWay(True, True), RowWay(False, False)


@dataclass(frozen=True)
class CardRow:
    """A size to take: its letter, what it is called and means, and what was read so far ('' for nothing)."""

    letter: str
    name: str
    about: str = ""
    so_far: str = ""


@dataclass(frozen=True)
class CardPart:
    """Rows with their drawing: of a kind of panel, of an obstacle, or none (''). ``head`` names what they are of;
    ``letters`` are those of the drawing by the keys of readings."""

    drawing: str
    rows: tuple[CardRow, ...]
    letters: tuple[tuple[str, str], ...] = ()
    head: str = ""
    obstacle: bool = False

    @property
    def high(self) -> float:
        """The height of the drawing with what lies round it, mm."""
        if not self.drawing:
            return 0.0
        return (OBSTACLES if self.obstacle else DRAWINGS)[self.drawing][1] + 2 * AROUND - 4.0


@dataclass(frozen=True)
class CardBlock:
    """All of a panel, or of lettering: its name, how it is measured, its parts in order."""

    name: str
    how: str
    parts: tuple[CardPart, ...]


def lettering_block(words: str = "", rows: Sequence[CardRow] = ()) -> CardBlock:
    """The block of an original's lettering; without words, one to be filled in if there is any."""
    found = tuple(rows) or tuple(
        CardRow(letter, name, about)
        for letter, name, about in (
            ("a", "cap height", "height of a capital H"),
            ("b", "length", "from the first ink to the last"),
            ("c", "stem", "an upright stroke"),
            ("d", "crossbar", "a level stroke"),
        )
    )
    letters = tuple((row.name, row.letter) for row in found)
    part = CardPart(LETTERING, found, letters, obstacle=True)
    return CardBlock(
        words or "Lettering left of an original", "to be matched" if words else "only if you match it", (part,)
    )


def measuring_card(
    title: str,
    blocks: Sequence[CardBlock],
    width: float = 210.0,
    height: float = 297.0,
    date: str | None = None,
) -> Document:
    """A4 unless told otherwise; as many pages as the blocks need."""
    flow = Flow(width, height, f"Measuring card: {title}", FOOT)
    flow.paragraph(HINT)
    _heads(flow)
    for number, block in enumerate(blocks, 1):
        _block(flow, f"{number}  {block.name}", block)
    return Document(tuple(flow.pages()), title=f"{title}: measuring card", date=date)


def _heads(flow: Flow) -> None:
    """Boxes for what is the same in all readings, in as many lines as they need."""
    x, y = flow.edge, flow.y - 3.2
    for name, wide in HEADS:
        if x + wide > flow.edge + flow.inner + 0.01:
            x, y = flow.edge, y - style.READING_BOX[1] - 5.6
        flow.sheaf.text(x, y, name, style.TYPE_SMALL)
        flow.sheaf.box(x, y - 1.2 - style.READING_BOX[1], wide, style.READING_BOX[1])
        x += wide + 4.0
    flow.y = y - style.READING_BOX[1] - 5.2


def _block(flow: Flow, name: str, block: CardBlock) -> None:
    band = band_height(flow.inner, name, block.how)
    # With the room below the band, or it would stand alone at the foot of a page.
    flow.room(band + 2.0 + _least(flow, block.parts[0]))
    flow.y = flow.sheaf.band(flow.edge, flow.y, flow.inner, name, block.how) - 2.0
    for part in block.parts:
        _part(flow, name, part)
    flow.y -= 2.0


def _height(flow: Flow, part: CardPart, rows: int | None = None) -> float:
    """The height of a part, or of it with its first rows only, mm."""
    way = _way(flow, part)
    lines = sum(_row_height(flow, row, way) for row in part.rows[:rows])
    head = 6.0 if part.head else 0.0
    return head + (part.high + lines if way is UNDER else max(part.high, lines))


def _least(flow: Flow, part: CardPart) -> float:
    """The room that a part asks for to begin, mm: all of it, unless no page holds that."""
    whole = _height(flow, part)
    return whole if whole <= flow.whole - BAND else _height(flow, part, 2)


def _way(flow: Flow, part: CardPart) -> RowWay:
    """How the rows of a part stand: beside its drawing on wide paper, else beside or under it, whichever is lower."""
    if flow.inner >= SIDE_BY_SIDE:
        return BESIDE
    over, under = (sum(_row_height(flow, row, way) for row in part.rows) for way in (OVER, UNDER))
    return OVER if part.drawing and max(part.high, over) <= part.high + under else UNDER


def _row_room(flow: Flow, way: RowWay) -> float:
    """Width of a row's words, mm."""
    return flow.inner - way.left - (0.0 if way.over else BOXES + 3.0) - 2 * RING - 2.0


def _row_lines(flow: Flow, row: CardRow, way: RowWay) -> tuple[list[str], list[str], str]:
    """The lines of a row's name, those under it in small type, and what stands at the right end of the first one: what
    was read so far, where it has room there."""
    room = _row_room(flow, way)
    so_far = f"so far {row.so_far}" if row.so_far else ""
    beside = paper_width(row.name, style.TYPE_BODY) + 3.0 + paper_width(so_far, style.TYPE_SMALL) <= room
    small = "; ".join(filter(None, (row.about, "" if beside else so_far)))
    names, told = wrap(row.name, style.TYPE_BODY, room), wrap(small, style.TYPE_SMALL, room) if small else []
    return names, told, so_far if beside else ""


def _row_height(flow: Flow, row: CardRow, way: RowWay) -> float:
    names, small, _ = _row_lines(flow, row, way)
    words = 3.8 * len(names) + 3.4 * len(small)
    return words + OVER_PAD + style.READING_BOX[1] + OVER_GAP if way.over else max(ROW, words + 2.4)


def _part(flow: Flow, name: str, part: CardPart) -> None:
    way = _way(flow, part)
    if flow.left < _least(flow, part):
        _continued(flow, name)
    if part.head:
        flow.sheaf.text(flow.edge, flow.y - 3.6, part.head, style.TYPE_BODY, bold=True)
        flow.y -= 6.0
    top, sheaf = flow.y, flow.sheaf
    if part.drawing:
        _drawing(flow, part, way)
    if way is UNDER:
        flow.y -= part.high
    if part.rows and part.rows[0].letter:
        for row in part.rows:
            if flow.left < _row_height(flow, row, way):
                _continued(flow, name)
            flow.y -= _row(flow, row, way)
    if flow.sheaf is sheaf and way is not UNDER:
        flow.y = min(flow.y, top - part.high)
    flow.y -= 2.0


def _drawing(flow: Flow, part: CardPart, way: RowWay) -> None:
    x = flow.edge + AROUND + (0.0 if way.aside else (flow.inner - DRAWN) / 2)
    high = (OBSTACLES if part.obstacle else DRAWINGS)[part.drawing][1]
    draw = draw_obstacle if part.obstacle else draw_kind
    draw(flow.sheaf, part.drawing, x, flow.y - (AROUND - 2.0) - high, dict(part.letters))


def _continued(flow: Flow, name: str) -> None:
    flow.new_page()
    flow.y = flow.sheaf.band(flow.edge, flow.y, flow.inner, f"{name}, continued") - 2.0


def _row(flow: Flow, row: CardRow, way: RowWay) -> float:
    """One row from the cursor down; gives its height."""
    high = _row_height(flow, row, way)
    names, small, so_far = _row_lines(flow, row, way)
    deep = high - style.READING_BOX[1] - OVER_GAP if way.over else high
    middle = flow.y - deep / 2
    left = flow.edge + way.left
    draw_ring(flow.sheaf, left + RING, middle, row.letter)
    x = left + 2 * RING + 2.0
    y = middle + (3.8 * (len(names) - 1) + 3.4 * len(small)) / 2 - 1.1
    if so_far:
        flow.sheaf.text(x + _row_room(flow, way), y, so_far, style.TYPE_SMALL, align="right")
    for text in names:
        flow.sheaf.text(x, y, text, style.TYPE_BODY)
        y -= 3.8
    for text in small:
        flow.sheaf.text(x, y + 0.2, text, style.TYPE_SMALL)
        y -= 3.4
    foot = flow.y - high + OVER_GAP if way.over else middle - style.READING_BOX[1] / 2
    flow.sheaf.reading_boxes(flow.edge + flow.inner - BOXES, foot)
    return high
