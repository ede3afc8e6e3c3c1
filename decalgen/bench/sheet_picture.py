"""The sheets of the page as it draws them: whole micrometres, y up, each decal's artwork once. Pure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from shapely.geometry import MultiPolygon, Point, Polygon
from shapely.geometry import box as rectangle

from decalgen.bench.pictures import UNIT, area_data, path_data, ring_data
from decalgen.bench.sheet_layout import LaidSheets, SheetQuestion, called
from decalgen.commands.options import DRAWER
from decalgen.core.digests import digest_of
from decalgen.core.document import Fill, Line
from decalgen.core.geometry import polygons
from decalgen.job.model import Film
from decalgen.nesting import Remnant, SheetUse
from decalgen.sheet.arrange import Sheet
from decalgen.sheet.film_area import printable, used_parts
from decalgen.sheet.film_use import kept, uses
from decalgen.sheet.pieces import Piece
from decalgen.sheet.positions import Position

LEAST_LABELLED = 12.0
"""A used part has its word in it where it is so wide and high, mm."""


def art_data(question: SheetQuestion) -> dict[str, Any]:
    """Each decal's drawing by its key, in its own coordinates."""
    found: dict[str, Any] = {}
    for piece in question.pieces:
        if piece.key not in found:
            found[piece.key] = _art(piece)
    return found


def arts_name(question: SheetQuestion) -> str:
    """What tells these drawings from others, so that a page that has them is not sent them again."""
    keys = {piece.key: piece.artwork for piece in question.pieces}
    inks = [[key, art.digest, *(f"{ink.name} {ink.colour}" for ink in art.inks)] for key, art in keys.items()]
    return digest_of(inks)[:16]


def _art(piece: Piece) -> dict[str, Any]:
    art = piece.artwork
    x0, y0, x1, y1 = art.cut_polygon.bounds
    return {
        "film": art.film,
        "box": [round(value * UNIT) for value in (x0, y0, x1, y1)],
        "cut": path_data(art.cut_polygon),
        "slits": "".join(ring_data(slit, closed=False) for slit in art.slits),
        "backing": "",
        "inks": [area_data(one, art.colour(one.ink)) for one in art.shown],
    }


def sheet_rows(laid: LaidSheets) -> list[tuple[Film, int, list[Position]]]:
    """Each sheet's film, its number in the nest, and what lies on it, in the order they are printed in."""
    order = {film.name: n for n, film in enumerate(laid.question.plan.films)}
    groups: dict[tuple[str, int], list[Position]] = {}
    for one in laid.positions:
        groups.setdefault((one.film, one.sheet), []).append(one)
    films = {film.name: film for film in laid.question.plan.films}
    keys = sorted(groups, key=lambda key: (order[key[0]], key[1]))
    return [(films[name], number, groups[name, number]) for name, number in keys]


def sheets_data(laid: LaidSheets) -> list[dict[str, Any]]:
    """The sheets with what lies on them; before anything lies anywhere the first film of each kind, blank."""
    rows = sheet_rows(laid)
    if not rows:
        return [_blank(laid, kind.films[0], n, 0) for n, kind in enumerate(laid.question.kinds, 1)]
    made = laid.arrangement.sheets if laid.arrangement else ()
    left = uses(laid.arrangement) if laid.arrangement else []
    found = []
    for n, (film, number, lying) in enumerate(rows, 1):
        sheet = made[n - 1] if made else None
        data = _blank(laid, film, n, number) | {"pieces": [_lying(laid, one) for one in lying]}
        found.append(data | (_printed(sheet, left[n - 1], laid.question.plan.remnant) if sheet else {}))
    return found


def _blank(laid: LaidSheets, film: Film, index: int, number: int) -> dict[str, Any]:
    area = printable(film, laid.question.plan.printer_for(film))
    gone = [(part, n in _cut_off(film)) for n, part in enumerate(used_parts(film))]
    return {
        "index": index,
        "sheet": number,
        "film": film.name,
        "kind": film.kind,
        "size": [round(film.width * UNIT), round(film.height * UNIT)],
        "area": [round(value * UNIT) for value in area.bounds],
        "used": [_gone(part, cut) for part, cut in gone],
        "marks": [[round(x * UNIT), round(y * UNIT), number] for x, y, number in film.marks],
        "turned": film.turned,
        "pieces": [],
        "fills": "",
        "lines": [],
        "numbers": "",
        "rest": None,
    }


def _cut_off(film: Film) -> set[int]:
    """Which of its used parts are not there any more."""
    return {len(film.used) + n for n in film.cut_off}


def _gone(part: Polygon, cut: bool) -> dict[str, Any]:
    x0, y0, x1, y1 = part.bounds
    middle: Point = part.centroid if part.contains(part.centroid) else part.representative_point()
    large = x1 - x0 >= LEAST_LABELLED and y1 - y0 >= LEAST_LABELLED / 3
    return {
        "d": path_data(part),
        "word": ("cut off" if cut else "used") if large else "",
        "at": [round(middle.x * UNIT), round(middle.y * UNIT)],
    }


def _lying(laid: LaidSheets, one: Position) -> dict[str, Any]:
    piece = laid.question.piece((one.key, one.copy))
    assert piece is not None
    return {
        "key": one.key,
        "copy": one.copy,
        "name": called(piece),
        "label": piece.label,
        "at": [round(one.x * UNIT), round(one.y * UNIT)],
        "turn": one.turn % 360,
        "spare": piece.spare,
        "pinned": piece.pin is not None,
        "wrong": list(laid.faults.get((one.key, one.copy), ())),
    }


def _printed(sheet: Sheet, use: SheetUse | None, leave: Remnant) -> dict[str, Any]:
    """What is printed beside the pieces, and what stays whole."""
    lines: dict[float, list[str]] = {}
    fills = []
    for item in (*sheet.furniture.items, *sheet.ticks, *sheet.leaders):
        if isinstance(item, Line):
            lines.setdefault(item.width, []).append(ring_data(item.points, item.closed))
        elif isinstance(item, Fill):
            fills.append(path_data(item.region))
    rest = None
    whole = kept(sheet, use, leave) if use is not None else None
    if whole is not None:
        x0, y0, x1, y1 = whole
        rest = {
            "box": [round(value * UNIT) for value in whole],
            "words": f"stays whole: {x1 - x0:.0f} × {y1 - y0:.0f} mm",
        }
    return {
        "fills": "".join(fills),
        "lines": [{"width": round(width * UNIT), "d": "".join(d)} for width, d in sorted(lines.items())],
        "numbers": "".join(path_data(label.region) for label in sheet.labels),
        "rest": rest,
    }


def drawer_data(sheets: Sequence[Any], on_sheet: Mapping[str, int], films: Sequence[str]) -> list[dict[str, Any]]:
    """The sheets of the film drawer as small pictures. ``on_sheet``: which sheet of the print each is, by name;
    ``films``: what was chosen to print on."""
    found = []
    for one in sheets:
        whole = rectangle(0.0, 0.0, one.entry.width, one.entry.height)
        found.append(
            {
                "name": one.name,
                "film": f"{DRAWER} {one.name}",
                "chosen": f"{DRAWER} {one.name}" in films,
                "kind": one.entry.kind,
                "words": f"{one.entry.kind} {one.entry.process}, {one.free.area / one.whole.area:.0%} free",
                "size": [round(one.entry.width * UNIT), round(one.entry.height * UNIT)],
                "gone": path_data(_area(one.gone.intersection(whole))),
                "sheet": on_sheet.get(one.name, 0),
                "price": one.entry.price,
            }
        )
    return found


def _area(area: Any) -> MultiPolygon:
    return MultiPolygon(polygons(area))


def best_data(question: SheetQuestion, positions: tuple[Position, ...], known: str) -> dict[str, Any]:
    """The sheets of a nest that goes on, with the best so far; the drawings too where the page has not those it
    names."""
    name = arts_name(question)
    found = {"sheets": sheets_data(LaidSheets(question, positions, False)), "arts_name": name}
    return found if known == name else found | {"arts": art_data(question)}
