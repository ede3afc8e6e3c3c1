"""The blocks of the key: what goes into each, and how panels and lines of decals are laid out beside each other.

A block is a panel with both its hands at true size, and beside it one line a decal. Two small blocks stand side by
side. Pure; mm.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from decalgen.artwork.build import Artwork
from decalgen.core import style
from decalgen.core.values import dataclass
from decalgen.job.model import Hand, Job
from decalgen.job.over import application_turns
from decalgen.lettering.paper import paper_width, wrap
from decalgen.pages.composer import Sheaf
from decalgen.pages.key_panels import PanelDrawing, draw_panel, put_panel
from decalgen.sheet.arrange import Arrangement
from decalgen.sheet.pieces import Piece

LINE = 4.3
"""From line to line of a row, mm."""
ROW_GAP = 1.0
BETWEEN = 6.0
"""Between two drawings, mm."""
BESIDE = 4.0
"""Between drawings and the rows at their right, mm; a rule or a band parts them from those of other blocks."""
SMALL_ROWS = 2
"""A block of so many rows at most may stand beside another."""


@dataclass(frozen=True)
class PieceLine:
    """One decal of a panel: its numbers (left hand, right hand), name, sizes, pieces with spares."""

    numbers: str
    name: str
    cut: str
    more: str
    pieces: str


@dataclass(frozen=True)
class PanelBlock:
    """A panel of a job with its decals."""

    drawings: tuple[PanelDrawing, ...]
    rows: tuple[PieceLine, ...]


@dataclass(frozen=True)
class Columns:
    """The columns of the rows, mm from the left margin: numbers, name, the right ends of size and pieces."""

    numbers: float
    name: float
    cut: float
    pieces: float
    size: float

    @property
    def name_width(self) -> float:
        return self.cut - self.size - self.name


@dataclass(frozen=True)
class Laid:
    """Drawings in their places (x, and y down from the top) with rows beside or under them; heights in mm."""

    drawings: tuple[tuple[PanelDrawing, float, float], ...]
    rows: tuple[PieceLine, ...]
    under: float
    """How far below the top the rows begin."""
    deep: float
    """Height of the drawings."""
    height: float


def label_of(piece: Piece) -> str:
    """The number of a piece as the film bears it."""
    return piece.label


def job_letter(job: Job, arrangement: Arrangement) -> str:
    """The letter of a job among several; '' for one alone."""
    pieces = (one.piece for sheet in arrangement.sheets for one in sheet.placed)
    return next((piece.letter for piece in pieces if piece.artwork.job == job.name), "")


def blocks_of(job: Job, arrangement: Arrangement, room: tuple[float, float]) -> list[PanelBlock]:
    """The blocks of a job in the order of their first numbers; ``room``: width and height inside a page."""
    pieces = [one.piece for sheet in arrangement.sheets for one in sheet.placed if one.piece.artwork.job == job.name]
    first: dict[int, Piece] = {}
    for piece in pieces:
        first.setdefault(piece.number, piece)
    counts: dict[int, tuple[int, int]] = {}
    for piece in pieces:
        made, spare = counts.get(piece.number, (0, 0))
        counts[piece.number] = (made + (not piece.spare), spare + piece.spare)
    found = []
    numbers = sorted(first)
    for panel in dict.fromkeys(first[n].artwork.decal.panel for n in numbers):
        mine = [first[n] for n in numbers if first[n].artwork.decal.panel == panel]
        hands: list[Hand | None] = list(dict.fromkeys(one.artwork.hand for one in mine if one.artwork.hand)) or [None]
        drawings = tuple(_drawing(job, panel, hand, mine, room) for hand in sorted(hands, key=str))
        found.append(PanelBlock(drawings, tuple(_rows(mine, counts))))
    return found


def _drawing(
    job: Job, panel: str, hand: Hand | None, pieces: Sequence[Piece], room: tuple[float, float]
) -> PanelDrawing:
    """One hand with its decals, laid as they are applied; white film underneath only by its number."""
    decals = list(dict.fromkeys(one.artwork.decal for one in pieces))
    turn = application_turns(decals)
    shown = [one for one in pieces if one.artwork.hand in (hand, None)]
    shown.sort(key=lambda one: (not one.artwork.backing, turn[one.artwork.decal.name]))
    labels = {n: label_of(one) for n, one in enumerate(shown)}
    return draw_panel(job, (panel, hand), [one.artwork for one in shown], labels, room)


def _rows(pieces: Sequence[Piece], counts: Mapping[int, tuple[int, int]]) -> Iterator[PieceLine]:
    """A row a decal, its hands together where they are cut to one size."""
    groups: dict[tuple[object, ...], list[Piece]] = {}
    for piece in pieces:
        art = piece.artwork
        # The parts of a right hand are counted from its left end, so the first of a left hand is its last.
        part = art.sections + 1 - art.section if art.section and art.hand == "right" else art.section
        groups.setdefault((art.decal.name, part, art.backing, _cut(art), counts[piece.number]), []).append(piece)
    for group in groups.values():
        art = group[0].artwork
        made, spare = counts[group[0].number]
        yield PieceLine(
            " · ".join(dict.fromkeys(label_of(one) for one in group)),
            _name(art),
            _cut(art),
            _more(art),
            f"{made}+{spare}" if spare else str(made),
        )


def _name(art: Artwork) -> str:
    """Its name without its hand, which the numbers tell; with the hand where only one is made."""
    words = replace(art, hand=None).name
    return words if art.decal.hands in ("both", "one") or art.hand is None else f"{words}, {art.hand}"


def _cut(art: Artwork) -> str:
    x0, y0, x1, y1 = art.cut_polygon.bounds
    return f"{x1 - x0:.2f} × {y1 - y0:.2f}"


def _more(art: Artwork) -> str:
    """The size of the artwork, where that is another one; that a piece is blank."""
    if art.backing:
        return "blank white film"
    x0, y0, x1, y1 = art.cut_polygon.bounds
    wide, high = art.width, art.height
    if art.section:
        wide, high = min(x1, wide) - max(x0, 0.0), min(y1, high) - max(y0, 0.0)
    printed = f"{wide:.2f} × {high:.2f}"
    return "" if printed == _cut(art) else f"artwork {printed}"


# ---------------------------------------------------------------------------------------------------------- layout
def columns_of(blocks: Sequence[PanelBlock], width: float) -> Columns:
    """The columns for all rows of a key ``width`` mm wide."""
    rows = [row for block in blocks for row in block.rows]
    numbers = max((paper_width(row.numbers, style.TYPE_FIND, True) for row in rows), default=8.0)
    names = max((paper_width(row.name, style.TYPE_BODY) for row in rows), default=20.0)
    numbers = min(numbers, 30.0) + 3.0
    name = min(max(names, 22.0), 30.0 if width < 150 else 44.0) + 1.5
    size = max((paper_width(row.cut, style.TYPE_BODY) for row in rows), default=20.0) + 2.0
    pieces = 9.0
    left = width - numbers - name - size - pieces
    return Columns(left, left + numbers, width - pieces, width, size)


def row_height(row: PieceLine, columns: Columns) -> float:
    """How high a row is, mm."""
    names = wrap(row.name, style.TYPE_BODY, columns.name_width)
    numbers = wrap(row.numbers, style.TYPE_FIND, columns.name - columns.numbers - 1.0, True)
    return LINE * max(len(names) + bool(row.more), len(numbers)) + ROW_GAP


def lay_out(blocks: Sequence[PanelBlock], columns: Columns) -> Laid:
    """One block, or two beside each other, in the least height: drawings in rows over the whole width or the part left
    of the lines, wide pairs one above the other."""
    drawings = [drawing for block in blocks for drawing in block.drawings]
    rows = tuple(row for block in blocks for row in block.rows)
    high = sum(row_height(row, columns) for row in rows)
    tried = []
    narrow = [replace(drawing, narrow=True) for drawing in drawings]
    for width, beside, shown in (
        (columns.numbers - BESIDE, True, drawings),
        (columns.numbers - BESIDE, True, narrow),
        (columns.pieces, False, drawings),
        (columns.pieces, False, [replace(drawing, aside=True) for drawing in drawings]),
    ):
        placed = _in_rows(shown, width)
        # Between two drawings a caption could be of either.
        if placed is None or any(drawing.aside and x for drawing, x, _ in placed):
            continue
        deep = max(y + drawing.deep for drawing, _, y in placed)
        under = 0.0 if beside else deep + 1.0
        tried.append(Laid(tuple(placed), rows, under, deep, max(deep, under + high)))
    return min(tried, key=lambda one: one.height)


def _in_rows(drawings: Sequence[PanelDrawing], width: float) -> list[tuple[PanelDrawing, float, float]] | None:
    """Drawings from left to right, a new row where the width ends; None where one is wider than that."""
    if any((drawing.least if drawing.aside else drawing.width) > width + 1e-6 for drawing in drawings):
        return None
    found = []
    x = y = deep = 0.0
    for drawing in drawings:
        wide = drawing.least if drawing.least <= width else drawing.width
        if x and x + wide > width + 1e-6:
            x, y, deep = 0.0, y + deep + 2.0, 0.0
        found.append((drawing, x, y))
        x += wide + BETWEEN
        deep = max(deep, drawing.deep)
    return found


def go_together(one: PanelBlock, other: PanelBlock, columns: Columns) -> bool:
    """Whether two blocks are small enough to stand side by side, which has to be lower than one above the other."""
    if max(len(one.rows), len(other.rows)) > SMALL_ROWS:
        return False
    both = lay_out([one, other], columns)
    apart = lay_out([one], columns).height + lay_out([other], columns).height
    return len({round(y, 6) for _, _, y in both.drawings}) == 1 and both.height < apart - 4.0


def put_drawings(sheaf: Sheaf, laid: Laid, left: float, top: float) -> None:
    """The drawings of a layout, its top at ``top``."""
    for drawing, x, y in laid.drawings:
        put_panel(sheaf, drawing, left + x, top - y)


def put_row(sheaf: Sheaf, row: PieceLine, columns: Columns, left: float, top: float) -> None:
    """One row, its top at ``top``."""
    y = top - 3.2
    numbers = wrap(row.numbers, style.TYPE_FIND, columns.name - columns.numbers - 1.0, True)
    for n, text in enumerate(numbers):
        sheaf.text(left + columns.numbers, y - n * LINE, text, style.TYPE_FIND, bold=True)
    names = wrap(row.name, style.TYPE_BODY, columns.name_width)
    for n, text in enumerate(names):
        sheaf.text(left + columns.name, y - n * LINE, text, style.TYPE_BODY)
    sheaf.text(left + columns.cut, y, row.cut, style.TYPE_BODY, align="right")
    sheaf.text(left + columns.pieces, y, row.pieces, style.TYPE_BODY, align="right")
    if row.more:
        sheaf.text(left + columns.name, y - len(names) * LINE, row.more, style.TYPE_REST)


def put_heads(sheaf: Sheaf, columns: Columns, left: float, y: float) -> None:
    """The heads of the columns, their baseline at y."""
    heads: tuple[tuple[float, str, str], ...] = (
        (columns.numbers, "no.", "left"),
        (columns.name, "decal", "left"),
        (columns.cut, "cut size, mm", "right"),
        (columns.pieces, "pcs", "right"),
    )
    for x, text, align in heads:
        sheaf.text(left + x, y, text, style.TYPE_SMALL, align=align)
