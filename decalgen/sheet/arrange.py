"""Several jobs' decals → pieces → nested sheets of film, with numbers, ticks and furniture. Pure; mm.

A `Sheet` is what everything printed is made from: the final print, the proof, the cutting files, the record.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from shapely.geometry import Polygon

from decalgen.artwork.build import Artwork
from decalgen.colour.inks import FilmKind
from decalgen.core.document import Fill, Line
from decalgen.core.errors import DecalgenError, Finding, FitError
from decalgen.job.model import Film, Job, Printer
from decalgen.nesting import Effort, Nest, Remnant, Watcher
from decalgen.nesting.model import NORMAL
from decalgen.sheet.film_area import check_film, clear, info, printable, used_parts, widest_info
from decalgen.sheet.furniture import Furniture, furniture
from decalgen.sheet.nest_request import Wish, as_saved, asked, check_gap, films_of, nested
from decalgen.sheet.numbers_and_ticks import dress
from decalgen.sheet.pieces import Piece, Placed, pieces
from decalgen.sheet.positions import Position, Saved

GAP = 3.0
"""Between cut lines, mm: room for a knife (common practice: 2 mm), and for a number beside two bleeds."""
AGAIN = "make a new proof with `decalgen proof`"


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
class Arrangement:
    """All sheets of a run, the digest of what was nested, and what the nest said of itself."""

    sheets: tuple[Sheet, ...]
    digest: str
    positions: tuple[Position, ...]
    nests: tuple[Nest, ...] = ()
    findings: tuple[Finding, ...] = ()
    gap: float = GAP
    complete: bool = True
    """False where the nest was ended early, so that it may not come out the same again."""
    films: tuple[Film, ...] = ()
    """All that it might have lain on, in order."""
    parts: Mapping[str, str] = field(default_factory=dict)
    """Short hashes of what decided the nest, by name."""


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
    progress: Watcher | None = None,
    made: Mapping[str, Sequence[Artwork]] | None = None,
    remnant: Remnant = "rectangle",
    printers: Mapping[str, Printer] | None = None,
    only: FilmKind | None = None,
) -> Arrangement:
    """All pieces on as many sheets as they need, each on the film it asks for. ``made`` and ``only`` as in `pieces`.

    ``films`` in order of preference; ``saved`` positions of a proof are used as they are, without nesting;
    ``remnant``: what to keep free of the film, one large rectangle or a straight strip; ``printers``: the printer as it
    is corrected for a film, by the film's name, where it is not ``printer`` itself.
    Raises FilmError where film and printer do not go together or no film of a kind is given, FitError for a piece
    that goes on none, DecalgenError where saved positions belong to another geometry.
    """
    check_gap(gap)
    everything = pieces(jobs, printer, hands, made, only)
    if not everything:
        raise FitError("there is nothing to print: no job has a decal", fix="add a decal to the job file")
    for film in films:
        check_film(film, printer)
    digest = arrangement_digest(everything, films, printer, gap)
    parts = arrangement_parts(everything, films, printer, gap)
    wish = Wish(gap, seed, effort, remnant)
    nests: list[Nest] = []
    found = list(saved.positions) if saved else []
    if saved:
        _same_geometry(saved, digest, parts, everything, films)
    for kind in dict.fromkeys(p.artwork.film for p in everything):
        of_kind = [p for p in everything if p.artwork.film == kind]
        given = films_of(kind, films)
        request = asked(of_kind, given, printer, wish)
        if saved:
            keys = {p.key for p in of_kind}
            nests.append(as_saved(request, [p for p in found if p.key in keys]))
        else:
            nests.append(nested(request, of_kind, given, progress))
            found += [Position(p.item, p.copy, p.region, p.sheet, p.x, p.y, p.turn) for p in nests[-1].positions]
    corrected = {film.name: (printers or {}).get(film.name, printer) for film in films}
    sheets = _sheets(everything, films, corrected, found, digest)
    findings = tuple(finding for sheet in sheets for finding in sheet.findings)
    complete = saved.complete if saved else all(one.complete for one in nests)
    return Arrangement(sheets, digest, tuple(found), tuple(nests), findings, gap, complete, tuple(films), parts)


def _same_geometry(
    saved: Saved, digest: str, parts: Mapping[str, str], everything: Sequence[Piece], films: Sequence[Film]
) -> None:
    if saved.digest != digest:
        changed = [f"the {what}" for what, its in saved.parts.items() if parts.get(what) != its]
        what = " and ".join(changed) if changed else "the decals, the film or the printer"
        raise DecalgenError(
            f"the proof of '{saved.file}' no longer holds: {what} changed since (arrangement {saved.digest[:8]}, now "
            f"{digest[:8]}): the size of this sheet was never proven",
            fix=AGAIN,
        )
    names = {film.name for film in films}
    wanted = sorted((piece.key, piece.copy) for piece in everything)
    if sorted((p.key, p.copy) for p in saved.positions) != wanted or any(p.film not in names for p in saved.positions):
        raise DecalgenError(f"'{saved.file}' does not hold the positions of all pieces: it was changed", fix=AGAIN)


def arrangement_parts(
    everything: Sequence[Piece], films: Sequence[Film], printer: Printer, gap: float
) -> dict[str, str]:
    """Short hashes of what decides a nest, each by itself and by its name: so that a change can be named."""
    named: dict[str, list[object]] = {
        "decals": [(p.key, p.copy, p.turn, p.artwork.digest, p.pin, p.group) for p in everything],
        "film": [(film, film.used_polygons) for film in films],
        "printer": [printer.margins, printer.process],
        "gap": [round(gap, 6)],
    }
    return {name: hashlib.sha256(repr(values).encode()).hexdigest()[:16] for name, values in named.items()}


def arrangement_digest(everything: Sequence[Piece], films: Sequence[Film], printer: Printer, gap: float) -> str:
    """SHA-256 of all that decides a nest: the pieces, the films, the printable area, the gap."""
    h = hashlib.sha256()
    for piece in everything:
        h.update(f"{piece.key} {piece.copy} {piece.turn} {piece.artwork.digest}\n".encode())
        if piece.pin or piece.group:
            h.update(f"{piece.pin!r} {piece.group}\n".encode())
    for film in films:
        h.update(f"{film!r}\n".encode())
        if film.used_polygons:
            h.update(f"{film.used_polygons!r}\n".encode())
    h.update(f"{printer.margins!r} {printer.process} {gap:.6f}".encode())
    return h.hexdigest()


def _sheets(
    everything: Sequence[Piece],
    films: Sequence[Film],
    printers: Mapping[str, Printer],
    positions: Sequence[Position],
    digest: str,
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
        sheets.append(_dress(by_film[key[0]], printers[key[0]], index, len(keys), in_order, digest))
    return tuple(sheets)


def _dress(film: Film, printer: Printer, index: int, of: int, placed: Sequence[Placed], digest: str) -> Sheet:
    """A sheet with its furniture, and for each piece its number and its cutting ticks where the waste has room."""
    area = printable(film, printer)
    things = furniture(clear(area, film), info(film, printer, digest, index, of), widest_info(film, printer))
    dressed = dress(placed, area, used_parts(film), things.keep_outs)
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
