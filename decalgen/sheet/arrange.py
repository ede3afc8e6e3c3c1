"""Several jobs' decals → pieces → nested sheets of film, with numbers, ticks and furniture. Pure; mm.

A `Sheet` is what everything printed is made from: the final print, the proof, the cutting files, the record.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import field, replace

import shapely
from shapely.geometry import LineString, Polygon, box

from decalgen.artwork.build import Artwork
from decalgen.core.document import Fill, Item, Line
from decalgen.core.errors import DecalgenError, Finding, FitError
from decalgen.core.geometry import Bounds
from decalgen.core.values import dataclass
from decalgen.job.model import Film, Job, Printer
from decalgen.nesting import Nest, Watcher
from decalgen.sheet.check_bars import ProofBars, proof_bars
from decalgen.sheet.digest import arrangement_digest, arrangement_parts, first_digest
from decalgen.sheet.earlier_furniture import earlier_furniture
from decalgen.sheet.film_area import check_film, printable, used_parts, words_on_film
from decalgen.sheet.furniture import Furniture, furniture
from decalgen.sheet.marks import MarkGround, MarkPlaces, blank_beside, place_marks
from decalgen.sheet.nest_request import as_saved, asked, check_gap, films_of
from decalgen.sheet.nest_with_marks import ground_for, nest_with_marks
from decalgen.sheet.numbers_and_ticks import dress
from decalgen.sheet.pieces import Piece, Placed, pieces
from decalgen.sheet.plan import GAP, Plan
from decalgen.sheet.positions import Position, Saved

MarkedSheets = dict[tuple[str, int], tuple[MarkGround, MarkPlaces]]
"""The ground and the places of marks by the name of a sheet's film and its number."""

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
    leaders: tuple[Line, ...] = ()
    """Lines from pieces to labels that stand away from them."""
    bare: tuple[int, ...] = ()
    """Which of the placed pieces, counted from 0, have no number on the film."""
    rest: Bounds | None = None
    """The largest rectangle of it that stays blank; None where nothing useful does."""
    wide: bool = True
    """Whether its marks stand as far apart as a caliper and a cutting machine want them."""

    @property
    def bars(self) -> ProofBars:
        """The check bars on its proof."""
        left, right, bottom, top = self.printer.margins
        page = (left, bottom, self.film.width - right, self.film.height - top)
        return proof_bars(self.rest, page)

    @property
    def in_waste(self) -> tuple[Item, ...]:
        """All that is printed beside the pieces."""
        return (*self.furniture.items, *self.ticks, *self.leaders, *self.labels)


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
    plan: Plan,
    *,
    saved: Saved | None = None,
    progress: Watcher | None = None,
    made: Mapping[str, Sequence[Artwork]] | None = None,
) -> Arrangement:
    """All pieces on as many sheets as they need, each on the film it asks for.

    ``saved`` positions of a proof are used as they are, without nesting; ``made``: the jobs' artworks by the job's
    name, where they are drawn already. Raises FilmError where film and printer do not go together or no film of a
    kind is given, FitError for a piece that goes on none, DecalgenError where saved positions belong to another
    geometry.
    """
    check_gap(plan.gap)
    everything = pieces(jobs, plan.printer, plan.hands, made, plan.only)
    if not everything:
        raise FitError("there is nothing to print: no job has a decal", fix="add a decal to the job file")
    for film in plan.films:
        check_film(film, plan.printer)
    digest = arrangement_digest(everything, plan)
    parts = arrangement_parts(everything, plan)
    if saved:
        if saved.digest == first_digest(everything, plan):
            # The sheets go on bearing the digest that their first print bears.
            digest = saved.digest
        _same_geometry(saved, digest, parts, everything, plan.films)
    nests, found, marked = _nests(everything, plan, saved, progress)
    sheets = _sheets(everything, plan, found, digest, None if saved is not None and saved.bars else marked)
    if saved:
        sheets = tuple(replace(sheet, findings=tuple(map(_as_proven, sheet.findings))) for sheet in sheets)
    return Arrangement(
        sheets,
        digest,
        found,
        nests,
        findings=tuple(finding for sheet in sheets for finding in sheet.findings),
        gap=plan.gap,
        complete=saved.complete if saved else all(one.complete for one in nests),
        films=tuple(plan.films),
        parts=parts,
    )


def _nests(
    everything: Sequence[Piece], plan: Plan, saved: Saved | None, progress: Watcher | None
) -> tuple[tuple[Nest, ...], tuple[Position, ...], MarkedSheets]:
    """A nest for each kind of film, where every piece lies, and what is known of the marks of each sheet."""
    nests: list[Nest] = []
    marked: MarkedSheets = {}
    found = list(saved.positions) if saved else []
    for kind in dict.fromkeys(p.artwork.film for p in everything):
        of_kind = [p for p in everything if p.artwork.film == kind]
        given = films_of(of_kind, plan.films)
        if saved:
            keys = {p.key for p in of_kind}
            nests.append(as_saved(asked(of_kind, given, plan), [p for p in found if p.key in keys]))
        else:
            made = nest_with_marks(of_kind, given, plan, progress)
            nests.append(made.nest)
            marked |= made.by_sheet
            found += [Position(p.item, p.copy, p.region, p.sheet, p.x, p.y, p.turn) for p in nests[-1].positions]
    return tuple(nests), tuple(found), marked


def _same_geometry(
    saved: Saved, digest: str, parts: Mapping[str, str], everything: Sequence[Piece], films: Sequence[Film]
) -> None:
    if saved.digest != digest:
        changed = [f"the {what}" for what, its in saved.parts.items() if parts.get(what) != its and not saved.earlier]
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


def _sheets(
    everything: Sequence[Piece],
    plan: Plan,
    positions: Sequence[Position],
    digest: str,
    marked: MarkedSheets | None,
) -> tuple[Sheet, ...]:
    """The sheets of some positions, each with its furniture, numbers and ticks. ``marked``: what is known of their
    marks; None for the furniture of earlier versions."""
    by_key = {(p.key, p.copy): p for p in everything}
    by_film = {film.name: film for film in plan.films}
    groups: dict[tuple[str, int], list[Placed]] = {}
    order = {film.name: n for n, film in enumerate(plan.films)}
    for pos in positions:
        placed = Placed(by_key[pos.key, pos.copy], pos.x, pos.y, pos.turn)
        groups.setdefault((pos.film, pos.sheet), []).append(placed)
    keys = sorted(groups, key=lambda key: (order[key[0]], key[1]))
    sheets = []
    for index, key in enumerate(keys, start=1):
        in_order = sorted(groups[key], key=lambda p: (p.piece.number, p.piece.copy))
        film = by_film[key[0]]
        printer = plan.printer_for(film)
        area = printable(film, printer)
        known = marked.get(key) if marked is not None else None
        ground = known[0] if known else ground_for(in_order, film, area)
        if marked is None:
            things, rest, wide = earlier_furniture(film, printer, digest, index, len(keys)), ground.rest, True
        else:
            marks = known[1] if known else place_marks(ground)
            things = furniture(ground, marks.spots, marks.rest, words_on_film(digest, index, len(keys)))
            rest, wide = marks.rest, marks.wide
        bare = Sheet(film, printer, index, len(keys), tuple(in_order), things, (), (), area, digest, wide=wide)
        sheets.append(_dressed(bare, rest))
    return tuple(sheets)


def _as_proven(finding: Finding) -> Finding:
    """A finding about positions that are kept. A proof of them shows all that the film does not, so that a number left
    out, which stops a new nest, is only told."""
    if finding.code != "no-room-for-number":
        return finding
    return replace(finding, severity="note", message=f"{finding.message}; the proof shows it", fix="")


def _dressed(sheet: Sheet, rest: Bounds | None) -> Sheet:
    """A sheet with the number and the cutting ticks of each of its pieces, off ``rest`` where there is room elsewhere;
    and with what stays blank of it then."""
    texts = [one.piece.label for one in sheet.placed]
    done = dress(sheet.placed, texts, sheet.area, used_parts(sheet.film), sheet.furniture.keep_outs, rest)
    drawn = (*done.ticks, *done.leaders)
    lines = shapely.buffer([LineString(one.points) for one in drawn], [one.width / 2 for one in drawn], quad_segs=16)
    things = [*(one.outer for one in sheet.placed), *used_parts(sheet.film), *sheet.furniture.keep_outs, *lines]
    things += [box(*label.region.bounds) for label in done.labels]
    return replace(
        sheet,
        labels=done.labels,
        ticks=done.ticks,
        findings=done.findings,
        leaders=done.leaders,
        bare=done.bare,
        rest=blank_beside(sheet.area.bounds, things),
    )
