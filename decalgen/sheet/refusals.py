"""What an arrangement would refuse, found without making one: for a check. Pure; mm.

A piece that goes into the largest free rectangle of a film with sheets without end is sure to find a place. Only where
that is not so, where sheets are few, or pieces are pinned or kept together, is it tried.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Literal, NamedTuple

import numpy as np

from decalgen.artwork.build import Artwork
from decalgen.core.errors import DecalgenError, FilmError, FitError, Place
from decalgen.job.model import Film, Job
from decalgen.nesting import NestItem, NestRegion, Request
from decalgen.nesting.model import MAX_SHEETS, QUICK
from decalgen.nesting.remnant import largest_rectangle
from decalgen.nesting.turning import turned_polygon
from decalgen.sheet.film_area import check_film
from decalgen.sheet.nest_request import asked, check_gap, check_request, films_of, nested
from decalgen.sheet.pieces import Piece, pieces
from decalgen.sheet.plan import Plan

RefusalKind = Literal["process", "film", "size", "pin", "other"]


class Refusal(NamedTuple):
    """Why a sheet would not be made: ``subject`` is the decal, the film, or the sheet; ``error`` what is raised."""

    kind: RefusalKind
    subject: str
    error: DecalgenError
    place: Place | None = None


def refusals(jobs: Sequence[Job], plan: Plan, made: Mapping[str, Sequence[Artwork]] | None = None) -> list[Refusal]:
    """All that `arrange` would raise for these jobs and this plan, each once; empty: it will not refuse."""
    found: list[Refusal] = []
    try:
        check_gap(plan.gap)
    except FitError as error:
        return [Refusal("other", "sheet", error)]
    for film in plan.films:
        try:
            check_film(film, plan.printer)
        except FilmError as error:
            found.append(Refusal("process" if film.process != plan.printer.process else "film", film.name, error))
    if found:
        return found
    everything = pieces(jobs, plan.printer, plan.hands, made, plan.only)
    for kind in dict.fromkeys(p.artwork.film for p in everything):
        of_kind = [p for p in everything if p.artwork.film == kind]
        try:
            given = films_of(of_kind, plan.films)
        except FilmError as error:
            found.append(Refusal("film", of_kind[0].artwork.decal.name, error, of_kind[0].place))
            continue
        try:
            request = asked(of_kind, given, plan)
        except FilmError as error:
            found.append(Refusal("film", given[0].name, error))
            continue
        found += _refused(request, of_kind, given)
    return found


def _refused(request: Request, of_kind: Sequence[Piece], films: Sequence[Film]) -> list[Refusal]:
    """The pieces of one kind of film that will not go on it, each decal once; else why they do not go on together."""
    try:
        check_request(request, of_kind, films)
    except FitError as error:
        named = _named(error, of_kind)
        return [Refusal("pin" if error.place else "other", named.artwork.decal.name, error, named.place)]
    rooms = [room for region in request.regions if (room := _room(region)) is not None]
    alone = [item for item in request.items if not any(_goes_into(item, room) for room in rooms)]
    found = []
    for item in alone:
        single = replace(request, items=(replace(item, quantity=1, group=""),), pins=(), effort=QUICK)
        found += _tried(single, [p for p in of_kind if p.key == item.key][:1], films, "size")
    together = request.pins or any(item.group for item in request.items)
    many = len(of_kind) > MAX_SHEETS or not any(region.repeat for region in request.regions)
    if not found and (together or many):
        found = _tried(replace(request, effort=QUICK), of_kind, films, "size")
        if found and request.effort != QUICK:
            # What a quick nest leaves out may still go on.
            found = _tried(request, of_kind, films, "size")
    return found


def _tried(request: Request, of_kind: Sequence[Piece], films: Sequence[Film], kind: RefusalKind) -> list[Refusal]:
    try:
        nested(request, of_kind, films, None)
    except FitError as error:
        named = _named(error, of_kind)
        return [Refusal(kind, named.artwork.decal.name, error, named.place)]
    return []


def _named(error: FitError, of_kind: Sequence[Piece]) -> Piece:
    """The piece that a message is about."""
    return next((p for p in of_kind if f"'{p.artwork.name}'" in error.message), of_kind[0])


def _room(region: NestRegion) -> tuple[float, float] | None:
    """Width and height of the largest free rectangle of a film; None where there is none."""
    gone = [part.buffer(region.keep_out_clearance, join_style="mitre") for part in region.keep_outs]
    free = largest_rectangle(region.usable.bounds, np.array(gone, dtype=object))
    return None if free is None else (free[2] - free[0], free[3] - free[1])


def _goes_into(item: NestItem, room: tuple[float, float]) -> bool:
    """Whether the box round an outline goes into a room, turned as it may be."""
    return any(wide <= room[0] - 1e-6 and high <= room[1] - 1e-6 for wide, high in _boxes(item))


def _boxes(item: NestItem) -> Iterator[tuple[float, float]]:
    for turn in item.turns:
        x0, y0, x1, y1 = turned_polygon(item.outline, turn).bounds
        yield x1 - x0, y1 - y0
