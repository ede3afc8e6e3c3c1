"""Pieces for one kind of film → what is asked of the nest, and what its answer means. Pure; mm."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType

from shapely.geometry import Polygon

from decalgen.artwork.build import Artwork
from decalgen.core.errors import FilmError, FitError
from decalgen.core.geometry import polygons
from decalgen.job.model import Film, Printer
from decalgen.nesting import Nest, NestingError, NestItem, NestRegion, Pin, Request, SheetUse, nest
from decalgen.nesting import NestPosition as Nested
from decalgen.nesting.model import Watcher
from decalgen.nesting.result import build, measure
from decalgen.nesting.saving import bound_of
from decalgen.nesting.turning import turned_polygon
from decalgen.nesting.validate import validate
from decalgen.sheet.film_area import CLEARANCE, printable, used_parts
from decalgen.sheet.pieces import Piece
from decalgen.sheet.plan import Plan
from decalgen.sheet.positions import Position

LARGEST_GAP = 100.0
"""A wider gap than this, mm, is a slip of the hand."""


def check_gap(gap: float) -> None:
    """Raises FitError for a gap that is none."""
    if not 0 <= gap <= LARGEST_GAP:
        raise FitError(f"the gap between decals is {gap:g} mm", fix="give `--gap` 0 to 100 mm; 2 to 3 mm is usual")


def asked(
    of_kind: Sequence[Piece],
    films: Sequence[Film],
    plan: Plan,
    kept_free: Mapping[str, Sequence[Polygon]] = MappingProxyType({}),
) -> Request:
    """The request to nest pieces onto films of their kind; ``kept_free``: areas that pieces keep clear of on the
    sheets of a film, by its name. Raises FilmError for a film that has no room at all."""
    bleed = max(_reach(piece.artwork) for piece in of_kind)
    gap = max(plan.gap, 2 * bleed)
    items: dict[str, NestItem] = {}
    for piece in of_kind:
        quantity = items[piece.key].quantity + 1 if piece.key in items else 1
        items[piece.key] = NestItem(
            piece.key,
            Polygon(piece.artwork.cut_polygon.exterior),
            (0, 90, 180, 270) if piece.turn else (0,),
            quantity=quantity,
            group=piece.group,
            openings=_openings(piece.artwork, gap),
        )
    regions = tuple(_region(film, plan.printer, bleed, kept_free.get(film.name, ())) for film in films)
    pins = tuple(_pin(piece, films[0]) for piece in of_kind if piece.pin)
    return Request(tuple(items.values()), regions, gap, plan.seed, plan.effort, remnant=plan.remnant, pins=pins)


def check_request(request: Request, of_kind: Sequence[Piece], films: Sequence[Film]) -> None:
    """Raises FitError for what no nest can be made of, such as a piece pinned where it cannot lie."""
    try:
        validate(request)
    except NestingError as error:
        raise _told(error, of_kind, films[0]) from None


def nested(request: Request, of_kind: Sequence[Piece], films: Sequence[Film], progress: Watcher | None) -> Nest:
    """The nest of a request. Raises FitError for a piece that goes on none of the films or is pinned where it cannot
    lie."""
    try:
        result = nest(request, progress)
    except NestingError as error:
        raise _told(error, of_kind, films[0]) from None
    if result.left_out:
        raise _left_out(result, of_kind)
    return measured(request, result)


def as_saved(request: Request, positions: Sequence[Position]) -> Nest:
    """What a nest says of positions that were kept, without nesting."""
    found = [Nested(p.key, p.copy, p.film, p.sheet, p.x, p.y, p.turn) for p in positions]
    return measured(request, build(request, found, "saved", 0, True, ()))


def measured(request: Request, result: Nest) -> Nest:
    """A nest measured along the side its pieces really gather at, where one large piece of film is kept."""
    if request.remnant == "strip":
        return result
    across = tuple(replace(r, fill="bottom" if r.side in ("left", "right") else "left") for r in request.regions)
    other = replace(request, regions=across)
    used = measure(other, list(result.positions))
    if _part(used) >= _part(result.used):
        return result
    return replace(result, used=used, bound=bound_of(other, used, not result.left_out))


def _part(used: Sequence[SheetUse]) -> float:
    """How far the sheets are used, as a part of their length."""
    return sum(use.used_length for use in used) / sum(use.length for use in used)


def films_of(of_kind: Sequence[Piece], films: Sequence[Film]) -> list[Film]:
    """The films of the kind that these pieces ask for. Raises FilmError where none is given."""
    kind = of_kind[0].artwork.film
    found = [film for film in films if film.kind == kind]
    if not found:
        names = list(dict.fromkeys(f"'{piece.artwork.decal.name}' of {piece.title}" for piece in of_kind))
        more = f" and {len(names) - 1} more decal{'s' * (len(names) > 2)}" if len(names) > 1 else ""
        raise FilmError(
            f"{names[0]}{more} {'ask' if more else 'asks'} for {kind} film, but no {kind} film is given",
            fix=f"add `--film` with a {kind} film, or change `film:` in the job",
        )
    return found


def _left_out(result: Nest, of_kind: Sequence[Piece]) -> FitError:
    lost = result.left_out[0]
    piece = next(p for p in of_kind if p.key == lost.item)
    width, height = lost.needs
    free_w, free_h = lost.largest_free
    fix = "take a larger or another sheet with `--film`, or make the decal smaller"
    together = ""
    if piece.group:
        together = ", and what is kept together has to go on one sheet"
        fix = "take a larger sheet with `--film`, or remove `keep together:`"
    return FitError(
        f"{_name(piece)} fits on no {piece.artwork.film} film: it needs {width:.1f} × {height:.1f} mm, "
        f"the largest free area is {free_w:.1f} × {free_h:.1f} mm{together}"
        + (f" ({len(result.left_out)} decals do not fit)" if len(result.left_out) > 1 else ""),
        fix=fix,
        place=piece.place if piece.group else None,
    )


def _told(error: NestingError, of_kind: Sequence[Piece], film: Film) -> FitError:
    """A mistake in a request in the user's words; one about a pin with its place in the job file."""
    message = error.message
    pinned = next((p for p in of_kind if p.pin and p.key in message), None)
    for piece in of_kind:
        message = message.replace(piece.key, _name(piece))
    if pinned is None:
        return FitError(message, fix=error.fix)
    size = f"'{film.name}' is {film.width:g} × {film.height:g} mm, measured from its lower left corner"
    return FitError(message, fix=f"move the pin, or remove it; {size}", place=pinned.place)


def _name(piece: Piece) -> str:
    return f"'{piece.artwork.name}' of {piece.title}"


def _pin(piece: Piece, film: Film) -> Pin:
    """A pin says where the box round the cut line has its lower left corner; the nest moves the artwork's corner."""
    assert piece.pin is not None
    turn = piece.pin.turn % 360
    x0, y0, _, _ = turned_polygon(Polygon(piece.artwork.cut_polygon.exterior), turn).bounds
    x, y = piece.pin.at
    return Pin(piece.key, piece.copy, film.name, x - x0, y - y0, turn, piece.pin.sheet - 1)


def _openings(artwork: Artwork, gap: float) -> tuple[Polygon, ...]:
    """The openings of a decal in which another might lie, the gap kept on every side."""
    room = [hole.polygon for hole in artwork.holes if not hole.polygon.buffer(-gap - 0.5).is_empty]
    outline = Polygon(artwork.cut_polygon.exterior)
    return tuple(Polygon(hole.exterior) for hole in room if outline.contains_properly(hole))


def _reach(artwork: Artwork) -> float:
    """How far the bleed really reaches: at the mitred tip of a flat ellipse a little further than it says."""
    inner, outer = artwork.cut_polygon.bounds, artwork.outer.bounds
    return max(artwork.bleed, *(float(abs(a - b)) for a, b in zip(inner, outer, strict=True)))


def _region(film: Film, printer: Printer, bleed: float, kept_free: Sequence[Polygon]) -> NestRegion:
    area = printable(film, printer)
    outs = [*used_parts(film), *kept_free]
    usable = polygons(area.buffer(-bleed, join_style="mitre"))
    if not usable:
        raise FilmError(f"the film '{film.name}' is smaller than its margins", fix="take a larger sheet")
    return NestRegion(
        film.name,
        film.width,
        film.height,
        usable[0],
        tuple(outs),
        # A mitred corner of the bleed reaches up to twice as far as the bleed (`Artwork.outer`).
        max(CLEARANCE + bleed, 2.0 * bleed),
        repeat=film.sheets == 0,
    )
