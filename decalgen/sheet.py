"""Several jobs' decals → pieces → nested sheets of film, with numbers, ticks and furniture. Pure; mm.

A `Sheet` is what everything printed is made from: the final print, the proof, the cutting files, the record.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from shapely.geometry import Polygon, box
from shapely.ops import unary_union

from decalgen.artwork import Artwork
from decalgen.dressing import dress
from decalgen.errors import DecalgenError, FilmError, Finding, FitError
from decalgen.geometry import polygons, region
from decalgen.job.model import Film, FilmKind, Job, Printer
from decalgen.marks import Furniture, furniture
from decalgen.nesting import Effort, Item, Nest, Progress, Region, Request, nest
from decalgen.nesting.model import NORMAL
from decalgen.nesting.remnant import largest_rectangle
from decalgen.picture import Fill, Line
from decalgen.pieces import Piece, Placed, pieces
from decalgen.positions import Position, Saved

GAP = 3.0
"""Between cut lines, mm: room for a knife (common practice: 2 mm), and for a number beside two bleeds."""
CLEARANCE = 1.0
"""Between a cut line and furniture or a used part of the film, mm, bleed added."""


@dataclass(frozen=True)
class Sheet:
    """One sheet of film with everything printed on it. ``index`` counts from 1, ``of`` is how many there are."""

    film: Film
    printer: Printer
    index: int
    of: int
    placed: tuple[Placed, ...]
    furniture: Furniture
    labels: tuple[Fill, ...]
    ticks: tuple[Line, ...]
    area: Polygon
    digest: str
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True)
class Layout:
    """All sheets of a run, the digest of what was nested, and what the nest said of itself."""

    sheets: tuple[Sheet, ...]
    digest: str
    positions: tuple[Position, ...]
    nests: tuple[Nest, ...] = ()
    findings: tuple[Finding, ...] = ()


def printable(film: Film, printer: Printer) -> Polygon:
    """The rectangle of a sheet that can be printed: inside the printer's margins, without strips already used up.

    A used part that leaves no whole strip stays a keep-out inside the rectangle. Raises FilmError when nothing is left.
    """
    left, right, bottom, top = printer.margins
    x0, y0, x1, y1 = left, bottom, film.width - right, film.height - top
    for used in film.used:
        ux1, uy1 = used.x + used.width, used.y + used.height
        if used.x <= x0 and ux1 >= x1:
            if used.y <= y0:
                y0 = max(y0, uy1)
            elif uy1 >= y1:
                y1 = min(y1, used.y)
        elif used.y <= y0 and uy1 >= y1:
            if used.x <= x0:
                x0 = max(x0, ux1)
            elif ux1 >= x1:
                x1 = min(x1, used.x)
    if film.used_polygons and x1 > x0 and y1 > y0:
        rest = region(box(x0, y0, x1, y1).difference(unary_union(used_parts(film))))
        x0, y0, x1, y1 = rest.bounds if not rest.is_empty else (0.0, 0.0, 0.0, 0.0)
    if x1 - x0 < 1 or y1 - y0 < 1:
        raise FilmError(
            f"nothing of the film '{film.name}' ({film.width:g} × {film.height:g} mm) is left to print on",
            fix="take a larger sheet, or correct the margins and the used parts in its file",
        )
    return box(x0, y0, x1, y1)


def arrange(
    jobs: Sequence[Job],
    films: Sequence[Film],
    printer: Printer,
    *,
    gap: float = GAP,
    seed: int = 1,
    effort: Effort = NORMAL,
    hands: str = "both",
    saved: Saved | None = None,
    progress: Callable[[Progress], bool | None] | None = None,
    made: Mapping[str, Sequence[Artwork]] | None = None,
) -> Layout:
    """All pieces on as many sheets as they need, each on the film it asks for. ``made`` as in `pieces`.

    ``films`` in order of preference; ``saved`` positions of a proof are used as they are, without nesting.
    Raises FilmError where film and printer do not go together or no film of a kind is given, FitError for a piece
    that goes on none, DecalgenError where saved positions belong to another geometry.
    """
    everything = pieces(jobs, printer, hands, made)
    if not everything:
        raise FitError("there is nothing to print: no job has a decal", fix="add a decal to the job file")
    for film in films:
        check_film(film, printer)
    digest = layout_digest(everything, films, printer, gap)
    nests: list[Nest] = []
    found = list(saved.positions) if saved else []
    if saved:
        _same_geometry(saved, digest)
    else:
        for kind in dict.fromkeys(p.artwork.film for p in everything):
            of_kind = [p for p in everything if p.artwork.film == kind]
            result = _nest(of_kind, _films_of(kind, films), printer, gap, seed, effort, progress)
            nests.append(result)
            found += _positions(result, of_kind)
    sheets = _sheets(everything, films, printer, found, digest, gap)
    findings = tuple(finding for sheet in sheets for finding in sheet.findings)
    return Layout(sheets, digest, tuple(found), tuple(nests), findings)


def _same_geometry(saved: Saved, digest: str) -> None:
    if saved.digest != digest:
        raise DecalgenError(
            f"the proof of '{saved.file}' is of other decals, film or printer than these (layout "
            f"{saved.digest[:8]}, now {digest[:8]}): its size was never proven",
            fix="make a new proof with `decalgen proof`, or nest again with `--nest-again`",
        )


def check_film(film: Film, printer: Printer) -> None:
    """Raises FilmError when the film was not made for the printer: no option overrides this."""
    if film.process != printer.process:
        harm = (
            "inkjet film melts in a laser printer's hot fuser and ruins it"
            if printer.process == "laser"
            else "inkjet ink does not dry on laser film"
        )
        raise FilmError(
            f"the film '{film.name}' is {film.process} film, the printer '{printer.name}' is a {printer.process} "
            f"printer: {harm}",
            fix=f"use {printer.process} film, or another printer",
        )
    for n, ring in enumerate(film.used_polygons, start=1):
        if len(ring) < 3 or not Polygon(ring).is_valid:
            raise FilmError(
                f"used part {n} of the film '{film.name}' crosses itself",
                fix="give its corners in order, once round the part",
            )


def layout_digest(everything: Sequence[Piece], films: Sequence[Film], printer: Printer, gap: float) -> str:
    """SHA-256 of all that decides a nest: the pieces, the films, the printable area, the gap."""
    h = hashlib.sha256()
    for piece in everything:
        h.update(f"{piece.key} {piece.copy} {piece.turn} {piece.artwork.digest}\n".encode())
    for film in films:
        h.update(f"{film!r}\n".encode())
        if film.used_polygons:
            h.update(f"{film.used_polygons!r}\n".encode())
    h.update(f"{printer.margins!r} {printer.process} {gap:.6f}".encode())
    return h.hexdigest()


def _films_of(kind: FilmKind, films: Sequence[Film]) -> list[Film]:
    found = [film for film in films if film.kind == kind]
    if not found:
        raise FilmError(
            f"some decals ask for {kind} film, but no {kind} film is given",
            fix=f"add `--film` with a {kind} film, or change `film:` in the job",
        )
    return found


def _nest(
    of_kind: Sequence[Piece],
    films: Sequence[Film],
    printer: Printer,
    gap: float,
    seed: int,
    effort: Effort,
    progress: Callable[[Progress], bool | None] | None,
) -> Nest:
    bleed = max(_reach(piece.artwork) for piece in of_kind)
    items: dict[str, Item] = {}
    for piece in of_kind:
        quantity = items[piece.key].quantity + 1 if piece.key in items else 1
        turns = (0, 90, 180, 270) if piece.turn else (0,)
        items[piece.key] = Item(piece.key, Polygon(piece.artwork.cut_polygon.exterior), turns, quantity=quantity)
    regions = [_region(film, printer, bleed) for film in films]
    request = Request(tuple(items.values()), tuple(regions), max(gap, 2 * bleed), seed=seed, effort=effort)
    result = nest(request, progress)
    if result.left_out:
        lost = result.left_out[0]
        names = {p.key: f"'{p.artwork.name}' of {p.title}" for p in of_kind}
        width, height = lost.needs
        free_w, free_h = lost.largest_free
        raise FitError(
            f"{names[lost.item]} goes on no {of_kind[0].artwork.film} film: it needs {width:.1f} × {height:.1f} mm, "
            f"the largest free area is {free_w:.1f} × {free_h:.1f} mm"
            + (f" ({len(result.left_out)} decals do not fit)" if len(result.left_out) > 1 else ""),
            fix="take a larger or another sheet with `--film`, or make the decal smaller",
        )
    return result


def _reach(artwork: Artwork) -> float:
    """How far the bleed really reaches: at the mitred tip of a flat ellipse a little further than it says."""
    inner, outer = artwork.cut_polygon.bounds, artwork.outer.bounds
    return max(artwork.bleed, *(float(abs(a - b)) for a, b in zip(inner, outer, strict=True)))


def _region(film: Film, printer: Printer, bleed: float) -> Region:
    area = printable(film, printer)
    outs = list(furniture(_clear(area, film), _info(film, printer, "0" * 8, 1, 1)).keep_outs)
    outs += used_parts(film)
    usable = polygons(area.buffer(-bleed, join_style="mitre"))
    if not usable:
        raise FilmError(f"the film '{film.name}' is smaller than its margins", fix="take a larger sheet")
    return Region(
        film.name, film.width, film.height, usable[0], tuple(outs), CLEARANCE + bleed, repeat=film.sheets == 0
    )


def used_parts(film: Film) -> list[Polygon]:
    """What is gone of a film, as outlines."""
    return [
        *(box(u.x, u.y, u.x + u.width, u.y + u.height) for u in film.used),
        *(Polygon(ring) for ring in film.used_polygons),
    ]


def _clear(area: Polygon, film: Film) -> Polygon:
    """Where furniture goes: all that is printable, on a film with used outlines its largest free rectangle."""
    if not film.used_polygons:
        return area
    taken = np.array([gone.buffer(CLEARANCE, join_style="mitre") for gone in used_parts(film)], dtype=object)
    free = largest_rectangle(area.bounds, taken)
    # Too small a rectangle for anything takes no furniture.
    return box(*free) if free else box(*area.bounds[:2], area.bounds[0] + 1.0, area.bounds[1] + 1.0)


def _positions(result: Nest, of_kind: Sequence[Piece]) -> list[Position]:
    return [Position(p.item, p.copy, p.region, p.sheet, p.x, p.y, p.turn) for p in result.positions]


def _sheets(
    everything: Sequence[Piece],
    films: Sequence[Film],
    printer: Printer,
    positions: Sequence[Position],
    digest: str,
    gap: float,
) -> tuple[Sheet, ...]:
    by_key = {(p.key, p.copy): p for p in everything}
    by_film = {film.name: film for film in films}
    groups: dict[tuple[str, int], list[Placed]] = {}
    order = {film.name: n for n, film in enumerate(films)}
    for pos in positions:
        placed = Placed(by_key[pos.key, pos.copy], pos.x, pos.y, pos.turn)
        groups.setdefault((pos.film, pos.sheet), []).append(placed)
    keys = sorted(groups, key=lambda key: (order[key[0]], key[1]))
    sheets = []
    for index, key in enumerate(keys, start=1):
        in_order = sorted(groups[key], key=lambda p: (p.piece.number, p.piece.copy))
        sheets.append(_dress(by_film[key[0]], printer, index, len(keys), in_order, digest))
    return tuple(sheets)


def _dress(film: Film, printer: Printer, index: int, of: int, placed: Sequence[Placed], digest: str) -> Sheet:
    """A sheet with its furniture, and for each piece its number and its cutting ticks where the waste has room."""
    area = printable(film, printer)
    things = furniture(_clear(area, film), _info(film, printer, digest, index, of))
    gone = used_parts(film)
    dressed = dress(placed, area, gone, things.keep_outs)
    return Sheet(
        film,
        printer,
        index,
        of,
        tuple(placed),
        things,
        dressed.labels,
        dressed.ticks,
        area,
        digest,
        findings=dressed.findings,
    )


def _info(film: Film, printer: Printer, digest: str, index: int, of: int) -> str:
    return f"{digest[:8]} · sheet {index} of {of} · {film.name} · {printer.name}"
