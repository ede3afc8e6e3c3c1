"""A piece that goes to another sheet of film: which sheets take it, and where on one there is room. Pure."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from decalgen.bench.sheet_layout import LaidSheets, called, judged_one, kept_apart, moved, placed_on
from decalgen.bench.sheet_picture import sheet_rows
from decalgen.job.edits import EditError
from decalgen.sheet.pieces import Piece
from decalgen.sheet.positions import Position

CLEAR = 0.001
"""A place beside another piece is farther than the gap by so much, mm: it is rounded to that."""


def sheet_of(laid: LaidSheets, one: Position) -> int:
    """Which sheet a piece lies on, from 1, as the page counts them."""
    rows = sheet_rows(laid)
    return next(n for n, (film, number, _) in enumerate(rows, 1) if (film.name, number) == (one.film, one.sheet))


def others(laid: LaidSheets, piece: Piece, one: Position) -> list[int]:
    """The sheets that a piece can be carried to: of its kind of film, and not where it is pinned."""
    kind = laid.question.kind_of((one.key, one.copy))
    if kind is None or piece.pin is not None:
        return []
    films = {film.name for film in kind.films}
    here = (one.film, one.sheet)
    rows = enumerate(sheet_rows(laid), 1)
    return [n for n, (film, number, _) in rows if film.name in films and (film.name, number) != here]


def carried(laid: LaidSheets, piece: Piece, one: Position, sheet: int) -> Position:
    """A piece at the same place of another sheet. Raises EditError for a sheet that does not take it."""
    if sheet == sheet_of(laid, one):
        return one
    if piece.pin is not None:
        raise EditError(f"{called(piece)} is pinned to its sheet", fix="let go of it first")
    rows = sheet_rows(laid)
    if not 1 <= sheet <= len(rows):
        raise EditError(f"there is no sheet {sheet}", fix="look at the page again")
    film, number, _ = rows[sheet - 1]
    if sheet not in others(laid, piece, one):
        wanted = piece.artwork.film
        raise EditError(
            f"{called(piece)} is for {wanted} film, and sheet {sheet} is '{film.name}'", fix="leave it here"
        )
    return replace(one, film=film.name, sheet=number)


def wrong_there(laid: LaidSheets, before: Position, now: Position) -> tuple[str, ...]:
    """What is wrong with where a piece would lie; on another sheet than before, what it is kept together with too."""
    wrong = judged_one(laid.question, laid.positions, now)
    if (now.film, now.sheet) == (before.film, before.sheet):
        return wrong
    return (*wrong, *kept_apart(laid.question, laid.positions, now))


def with_room(laid: LaidSheets, piece: Piece, one: Position, sheet: int) -> Position:
    """A piece on another sheet, where there is room: at the same place, else as low and as far left as there is a place
    at the margin, or beside what lies there. Raises EditError where there is none."""
    start = carried(laid, piece, one, sheet)
    apart = kept_apart(laid.question, laid.positions, start)
    if apart:
        raise EditError(f"{called(piece)} {apart[0]}", fix="carry all of them, or leave it here")
    for now in (start, *_places(laid, start)):
        if not judged_one(laid.question, laid.positions, now):
            return now
    raise EditError(f"there is no room for {called(piece)} on sheet {sheet}", fix="make room there, or nest again")


def _places(laid: LaidSheets, one: Position) -> Iterator[Position]:
    """Where a piece could lie on its sheet: at the margin, and beside and above all that lies there, the lowest first;
    what lies there or near it is left out."""
    kind = laid.question.kind_of((one.key, one.copy))
    assert kind is not None
    region = next(region for region in kind.request.regions if region.key == one.film)
    gap, clear = kind.request.gap, region.keep_out_clearance
    keys = {item.key for item in kind.request.items}
    lying = [
        placed_on(kind, other).bounds
        for other in laid.positions
        if other.key in keys and (other.film, other.sheet) == (one.film, one.sheet)
    ]
    boxes = [(box, gap + CLEAR) for box in lying]
    taken = [*boxes, *((part.bounds, clear + CLEAR) for part in region.keep_outs)]
    x0, y0, x1, y1 = placed_on(kind, one).bounds
    wide, high = x1 - x0, y1 - y0
    left, foot, right, top = region.usable.bounds
    across = sorted({left, *(box[2] + more for box, more in taken)})
    up = sorted({foot, *(box[3] + more for box, more in taken)})
    for y in up:
        for x in across:
            inside = left <= x and x + wide <= right and foot <= y and y + high <= top
            # By the boxes round them: what lies inside the bend of another is not looked for.
            free = all(
                x >= box[2] + gap or x + wide + gap <= box[0] or y >= box[3] + gap or y + high + gap <= box[1]
                for box in lying
            )
            if inside and free:
                yield moved(one, x - x0, y - y0)
