"""Nesting so that marks cost no film: first as if there were none. Where three find gaps between the pieces, far enough
apart, they stand there; else the film that they need is reserved, and the pieces are laid again round it, as they lie.
Only where that costs film are they nested again. Pure; mm.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import replace

from shapely.geometry import Polygon

from decalgen.core.errors import FitError
from decalgen.core.values import dataclass
from decalgen.job.model import Film
from decalgen.nesting import Nest, Request
from decalgen.nesting.engine import BOXES, FILL
from decalgen.nesting.model import NORMAL, Watcher
from decalgen.nesting.remnant import area as area_of
from decalgen.nesting.result import build
from decalgen.sheet.film_area import CLEARANCE, printable, used_parts
from decalgen.sheet.marks import MarkGround, MarkPlaces, ground_of, place_marks, reserved
from decalgen.sheet.nest_request import asked, measured, nested
from decalgen.sheet.pieces import Piece, Placed
from decalgen.sheet.plan import Plan

LOST = 0.03
"""So much of the largest piece that stays blank, as a part of it, marks may cost."""
HAIR = 0.01
"""Bleed that just touches what a mark needs, to a rounding, would keep it out: so much room is left, mm."""
NEXT_TO_NOTHING = 0.01
"""No other nest is looked for where they cost no more."""
HARDLY_ANY = 0.004
"""Nor are other places, where those take no time worth speaking of."""


@dataclass(frozen=True)
class Marked:
    """A nest with the places for marks on each of its sheets."""

    nest: Nest
    grounds: tuple[MarkGround, ...]
    places: tuple[MarkPlaces, ...]

    @property
    def by_sheet(self) -> Mapping[tuple[str, int], tuple[MarkGround, MarkPlaces]]:
        """The ground and the places of each sheet, by its film's name and its number."""
        there = sorted({(p.sheet, p.region) for p in self.nest.positions})
        both = zip(self.grounds, self.places, strict=True)
        return {(name, sheet): one for (sheet, name), one in zip(there, both, strict=True)}

    @property
    def wide(self) -> bool:
        """Whether the marks of all sheets stand as far apart as is wanted."""
        return all(one.wide for one in self.places)

    @property
    def blank(self) -> float:
        """The largest piece that stays blank beside the marks, mm²."""
        return max(area_of(one.rest) for one in self.places)

    @property
    def by_boxes(self) -> bool:
        """Whether boxes made the best of it, which take a third of the time of all engines, and will again."""
        return self.nest.engine == BOXES.name

    def lost(self, bare: float) -> float:
        """The part of ``bare``, mm², that its marks cost; all of it where they do not stand as is wanted."""
        return 1 - self.blank / bare if self.wide else 1.0

    def cost(self, bare: float) -> tuple[int, int, int, bool, int, float]:
        """What speaks against it, the gravest first; ``bare``: what stays blank where there are no marks, mm²."""
        return (
            sum(one.copies != () for one in self.nest.left_out),
            len(self.places),
            sum(not one.spots for one in self.places),
            self.blank < (1 - LOST) * bare,
            sum(not one.wide for one in self.places),
            -self.blank,
        )


def ground_for(placed: Sequence[Placed], film: Film, area: Polygon) -> MarkGround:
    """The ground of a sheet with pieces on it."""
    side = "left" if film.width >= film.height else "bottom"
    return ground_of([one.outer for one in placed], area, used_parts(film), side)


def nest_with_marks(of_kind: Sequence[Piece], films: Sequence[Film], plan: Plan, progress: Watcher | None) -> Marked:
    """A nest of pieces for one kind of film, with room for marks on each sheet if that costs no sheet and next to no
    film, and where these stand. Raises FitError for a piece that goes on none of the films or is pinned where it cannot
    lie."""
    request = asked(of_kind, films, plan)
    if plan.effort.timed:
        # The time is for one search: where marks go is found by a short one.
        brief = nested(replace(request, effort=NORMAL, time_limit=None), of_kind, films, None)
        kept_free = _kept_free(_marked(brief, of_kind, films, plan), of_kind, films, 0.0)
        long = nested(asked(of_kind, films, plan, kept_free), of_kind, films, progress)
        return _marked(_without(request, long), of_kind, films, plan)
    first = _marked(nested(request, of_kind, films, progress), of_kind, films, plan)
    if first.wide or not first.nest.complete:
        return first
    bare = max(area_of(one.rest) for one in first.grounds)
    found = [first]
    # Where the least room beside marks leads to nothing, a little more may.
    for clear in (CLEARANCE - HAIR, 0.0):
        for other in (False, True) if first.by_boxes else (False,):
            kept_free = _kept_free(first, of_kind, films, clear, other)
            if kept_free and (not other or min(one.lost(bare) for one in found) > HARDLY_ANY):
                found += _reserving(kept_free, first, of_kind, films, plan, progress)
        if min(one.cost(bare) for one in found) < first.cost(bare):
            break
    return min(found, key=lambda one: one.cost(bare))


def _reserving(
    kept_free: Mapping[str, tuple[Polygon, ...]],
    first: Marked,
    of_kind: Sequence[Piece],
    films: Sequence[Film],
    plan: Plan,
    progress: Watcher | None,
) -> list[Marked]:
    """The nests that keep film free for marks: the pieces of the first laid again, and where that costs film, nested
    again."""
    whole, request = asked(of_kind, films, plan), asked(of_kind, films, plan, kept_free)
    bare = max(area_of(one.rest) for one in first.grounds)
    found = []
    laid = None if first.by_boxes else _laid_again(request, first.nest)
    if laid is not None:
        found.append(_marked(_without(whole, laid), of_kind, films, plan))
        if found[0].cost(bare) < first.cost(bare) and found[0].blank >= (1 - NEXT_TO_NOTHING) * bare:
            return found
    with suppress(FitError):
        again = nested(replace(request, engines=(BOXES.name,) if first.by_boxes else None), of_kind, films, progress)
        found.append(_marked(_without(whole, again), of_kind, films, plan))
    return found


def _laid_again(request: Request, found: Nest) -> Nest | None:
    """The pieces of a nest laid again, near to where they lie; None where that cannot be."""
    if not FILL.there:
        return None
    # What fills sheets is loaded with the first nest, not with what can ask for one.
    from decalgen.nesting.lay_again import lay_again

    positions = lay_again(request, found.positions)
    return replace(found, positions=positions) if positions else None


def _without(request: Request, found: Nest) -> Nest:
    """A nest as one of the request that keeps no film free for marks: what they take is said of the sheet."""
    whole = build(request, list(found.positions), found.engine, found.steps, found.complete, found.notes)
    return measured(request, whole)


def _marked(found: Nest, of_kind: Sequence[Piece], films: Sequence[Film], plan: Plan) -> Marked:
    grounds = []
    for name, placed in _sheets(found, of_kind).values():
        film = next(one for one in films if one.name == name)
        grounds.append(ground_for(placed, film, printable(film, plan.printer_for(film))))
    return Marked(found, tuple(grounds), tuple(place_marks(one) for one in grounds))


def _kept_free(
    found: Marked, of_kind: Sequence[Piece], films: Sequence[Film], clear: float, other: bool = False
) -> Mapping[str, tuple[Polygon, ...]]:
    """The film to reserve for marks, by the film's name, on sheets whose marks find no good places; ``clear``: how
    much less than marks need, as the nest keeps more than bleed off what is reserved; ``other``: other places."""
    wanted: dict[str, dict[bytes, Polygon]] = {}
    sheets = _sheets(found.nest, of_kind).values()
    for (name, placed), ground, places in zip(sheets, found.grounds, found.places, strict=True):
        if not places.wide:
            pinned = [one.outer for one in placed if one.piece.pin]
            wanted.setdefault(name, {}).update((area.wkb, area) for area in reserved(ground, pinned, clear, other))
    return {name: tuple(areas.values()) for name, areas in wanted.items() if areas}


def _sheets(found: Nest, of_kind: Sequence[Piece]) -> Mapping[int, tuple[str, list[Placed]]]:
    """The pieces of each sheet of a nest, with the name of its film."""
    by_key = {(one.key, one.copy): one for one in of_kind}
    sheets: dict[int, tuple[str, list[Placed]]] = {}
    for p in found.positions:
        placed = sheets.setdefault(p.sheet, (p.region, []))[1]
        placed.append(Placed(by_key[p.item, p.copy], p.x, p.y, p.turn))
    return dict(sorted(sheets.items()))
