"""Sheets of the film drawer for some jobs: which to print on, how to feed them, what printing takes off. Pure; mm."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace

from shapely import set_precision
from shapely.geometry import LineString, MultiPolygon, Polygon, box
from shapely.ops import unary_union

from decalgen.artwork.backing import films_for
from decalgen.colour.inks import FilmKind
from decalgen.core.command_line import quoted
from decalgen.core.errors import FilmError, FitError
from decalgen.core.geometry import polygons, region
from decalgen.core.values import dataclass
from decalgen.job.model import Film, Job, Printer
from decalgen.nesting.model import QUICK
from decalgen.sheet.arrange import Arrangement, Sheet, arrange
from decalgen.sheet.nest_request import check_gap
from decalgen.sheet.pieces import pieces
from decalgen.sheet.plan import GAP, Plan
from decalgen.sheet.positions import FilmTaken, Saved
from decalgen.workshop.drawer import DrawerError, Feeding, OwnedSheet, choose
from decalgen.workshop.drawer.age import age
from decalgen.workshop.drawer.feeding import feeding
from decalgen.workshop.drawer.model import turn

KNIFE = 0.5
"""Film round a piece that is lost in cutting it out, mm beyond cut line and bleed (common practice, no source)."""
FUSED = 1.2
"""Used parts nearer than twice this are one part: nothing can be printed between them, mm."""
FINE = 0.02


@dataclass(frozen=True)
class Picked:
    """A sheet of the drawer with the way it is fed by the printer at hand."""

    sheet: OwnedSheet
    feeding: Feeding

    @property
    def film(self) -> Film:
        """The sheet as the printer sees it."""
        return self.sheet.film(self.feeding.turned)


class PrintedError(FilmError):
    """A print that was taken off its sheets of the drawer already: those ``sheets``; ``left``: not yet off these."""

    def __init__(self, sheets: tuple[str, ...], left: tuple[str, ...], *, fix: str) -> None:
        super().__init__(f"this print was already taken off '{sheets[0]}'", fix=fix)
        self.sheets = sheets
        self.left = left


def pick(
    jobs: Sequence[Job],
    sheets: Sequence[OwnedSheet],
    printer: Printer,
    *,
    gap: float = GAP,
    seed: int = 1,
    hands: str = "both",
    named: bool = False,
    beside: Collection[FilmKind] = (),
) -> tuple[Picked, ...]:
    """The fewest and smallest sheets that hold all decals, the older first. ``named``: they were asked for by name, so
    that no other is looked for; ``beside``: of these kinds there is other film too, which takes what they do not hold.

    Raises FilmError where the drawer has no sheet of a kind that may be fed, or one that is named cannot serve,
    FitError where its sheets do not do.
    """
    check_gap(gap)
    found: list[Picked] = []
    kinds = dict.fromkeys(film for job in jobs for decal in job.decals for film in films_for(decal, job))
    if named:
        _check_named(sheets, tuple(kinds), printer, beside)
    of = _Nesting(gap, seed, hands, named)
    for kind in kinds:
        if kind in beside:
            found += _able(sheets, kind, printer) if any(one.entry.kind == kind for one in sheets) else ()
            continue
        of_kind = [replace(job, decals=tuple(d for d in job.decals if kind in films_for(d, job))) for job in jobs]
        wanted = pieces(of_kind, printer, hands, only=kind)
        if wanted:
            able = _able(sheets, kind, printer)
            needed = sum(piece.artwork.cut_polygon.area for piece in wanted)
            found += _of_kind(of_kind, able, printer, needed, kind, of)
    return tuple(sorted(found, key=lambda p: age(p.sheet)))


@dataclass(frozen=True)
class _Nesting:
    """How it is tried whether sheets do; ``named``: they were asked for by name."""

    gap: float
    seed: int
    hands: str
    named: bool


def _check_named(
    sheets: Sequence[OwnedSheet], kinds: Sequence[FilmKind], printer: Printer, beside: Collection[FilmKind]
) -> None:
    """Raises FilmError where a sheet that was asked for by name cannot serve, or a kind of film is missing."""
    for one in sheets:
        if one.entry.kind not in kinds:
            raise FilmError(
                f"'{one.name}' is {one.entry.kind} film, and these decals go on {' and '.join(kinds)} film",
                fix=f"name a sheet of {kinds[0]} film instead",
            )
        if one.entry.process != printer.process:
            raise FilmError(
                f"'{one.name}' is {one.entry.process} film, and the printer here is for {printer.process} film",
                fix="name another sheet of the drawer, or the other printer",
            )
        way = feeding(one, printer.shortest_sheet)
        if way.way == "never":
            raise FilmError(f"'{one.name}' cannot be printed on: {way.reason}", fix="name another sheet of the drawer")
    for kind in (one for one in kinds if one not in beside):
        if not any(one.entry.kind == kind for one in sheets):
            raise FilmError(
                f"some of these decals go on {kind} film, and no sheet of it is named",
                fix=f"name a sheet of {kind} film of the drawer as well",
            )


def _names(picked: Sequence[Picked]) -> str:
    return " and ".join(f"'{one.sheet.name}'" for one in picked)


def _of_kind(
    jobs: Sequence[Job],
    able: Sequence[Picked],
    printer: Printer,
    needed: float,
    kind: FilmKind,
    of: _Nesting,
) -> list[Picked]:
    by_number = {picked.sheet.number: picked for picked in able}
    used: set[str] = set()
    lacking: list[FitError | FilmError] = []

    def serves(chosen: Sequence[OwnedSheet]) -> bool:
        films = [by_number[sheet.number].film for sheet in chosen]
        try:
            plan = Plan(films, printer, gap=of.gap, seed=of.seed, effort=QUICK, hands=of.hands, only=kind)
            arrangement = arrange(jobs, plan)
        except (FitError, FilmError) as error:
            lacking[:] = [error]
            return False
        used.clear()
        used.update(sheet.film.name for sheet in arrangement.sheets)
        return True

    chosen = choose([picked.sheet for picked in able], needed, serves)
    if chosen is None:
        free = sum(picked.sheet.free.area for picked in able)
        # The largest choice was tried last: what it lacks, all lack.
        why = f": {lacking[0].message}" if lacking else ""
        if of.named:
            raise FitError(
                f"{_names(able)} ({free / 100:.0f} cm² free) "
                f"{'does' if len(able) == 1 else 'do'} not hold these decals of {needed / 100:.0f} cm²{why}",
                fix="name another sheet of the drawer as well, or print fewer",
                place=lacking[0].place if lacking else None,
            )
        raise FitError(
            f"the {kind} film in the drawer ({len(able)} of its sheets, {free / 100:.0f} cm² free) does not hold these "
            f"decals of {needed / 100:.0f} cm²{why}",
            fix=f'put a new sheet in with `decalgen film add "{kind} A5"`, or print fewer',
            place=lacking[0].place if lacking else None,
        )
    fewer = [sheet for sheet in chosen if sheet.name in used]
    if len(fewer) < len(chosen) and serves(fewer):
        chosen = tuple(fewer)
    return [by_number[sheet.number] for sheet in chosen]


def _able(sheets: Sequence[OwnedSheet], kind: FilmKind, printer: Printer) -> list[Picked]:
    right = [s for s in sheets if s.entry.kind == kind and s.entry.process == printer.process]
    picked = [Picked(sheet, feeding(sheet, printer.shortest_sheet)) for sheet in right]
    able = [one for one in picked if one.feeding.way != "never"]
    if not able:
        why = "".join(f"; '{p.sheet.name}': {p.feeding.reason}" for p in picked[:5])
        raise FilmError(
            f"no {kind} {printer.process} film in the drawer can be printed on{why}",
            fix=f'put a sheet in with `decalgen film add "{kind} A5 {printer.process}"`, or name another film',
        )
    return able


def picked_again(
    sheets: Sequence[OwnedSheet], saved: Saved, printer: Printer, named: bool = False
) -> tuple[Picked, ...]:
    """The sheets that a proof was made for; ``named`` as in `pick`. Raises DecalgenError where they are not there,
    PrintedError where they were printed already."""
    names = {position.film for position in saved.positions}
    found = [sheet for sheet in sheets if sheet.name in names]
    again = "make a new proof with `--film drawer`, or nest again with `--nest-again`"
    missing = sorted(names - {sheet.name for sheet in found})
    if missing and named:
        raise FilmError(
            f"the proof of '{saved.file}' is for '{missing[0]}', which is not among the sheets named",
            fix="name the sheets that the proof was made for, or make a new proof",
        )
    if missing:
        raise FilmError(f"the proof of '{saved.file}' is for '{missing[0]}', which is not in the drawer", fix=again)
    over = [sheet.name for sheet in found if any(one.layout == saved.digest for one in sheet.parts)]
    if over:
        raise PrintedError(
            tuple(over),
            tuple(sheet.name for sheet in found if sheet.name not in over),
            fix=f"if it was not printed: `decalgen film back {quoted(over[0])}`; to print it once more: {again}",
        )
    return tuple(Picked(sheet, feeding(sheet, printer.shortest_sheet)) for sheet in found)


def picked_for(
    arrangement: Arrangement, sheets: Sequence[OwnedSheet], printer: Printer, other: Collection[str] = ()
) -> tuple[Picked, ...]:
    """The sheets an arrangement lies on, in its order, but for the ``other`` films, by name. Raises DrawerError where
    the drawer has changed meanwhile."""
    by_name = {sheet.name: sheet for sheet in sheets}
    found = []
    for sheet in (one for one in arrangement.sheets if one.film.name not in other):
        owned = by_name.get(sheet.film.name)
        one = Picked(owned, feeding(owned, printer.shortest_sheet)) if owned else None
        if one is None or one.film != sheet.film:
            raise DrawerError(f"'{sheet.film.name}' in the drawer was changed meanwhile", fix="start again")
        found.append(one)
    return tuple(found)


def advice(picked: Sequence[Picked]) -> list[str]:
    """How each sheet goes into the printer, a line each."""
    rows = []
    for one in picked:
        name, how = one.sheet.name, one.feeding
        if how.way == "straight":
            rows.append(f"feed '{name}' with its {how.leads} edge first")
        elif how.way == "turned":
            rows.append(f"feed '{name}' turned by 180°, its {how.leads} edge first: {how.reason}")
        else:
            rows.append(
                f"'{name}' has to ride on a carrier sheet: {how.reason}; print its outline with "
                f"`decalgen film carrier {quoted(name)}`"
            )
        if one.sheet.marks_left:
            rows.append(
                f"'{name}' has been printed on before: the proof shows how to see whether this print registers on it"
            )
    return rows


def taken_off(arrangement: Arrangement, picked: Sequence[Picked]) -> tuple[FilmTaken, ...]:
    """What printing an arrangement takes off each sheet of the drawer, in the sheet's own coordinates."""
    by_name = {one.sheet.name: one for one in picked}
    found = []
    for sheet in arrangement.sheets:
        if sheet.film.name in by_name:
            one = by_name[sheet.film.name]
            rings, marks = used_up(sheet), sheet.furniture.registration
            if one.feeding.turned:
                rings = tuple(tuple(turn(point, one.sheet.entry) for point in ring) for ring in rings)
                marks = tuple(turn(point, one.sheet.entry) for point in marks)
            found.append(FilmTaken(one.sheet.name, rings, tuple((round(x, 4), round(y, 4)) for x, y in marks)))
    return tuple(found)


def used_up(sheet: Sheet) -> tuple[tuple[tuple[float, float], ...], ...]:
    """All that a printed sheet has used of its film: pieces with room for the knife, numbers, ticks, furniture."""
    areas: list[Polygon] = [p.outer.buffer(KNIFE, join_style="mitre") for p in sheet.placed]
    areas += [box(*label.region.bounds) for label in sheet.labels]
    areas += [LineString(line.points).buffer(0.3, cap_style="square") for line in (*sheet.ticks, *sheet.leaders)]
    areas += sheet.furniture.keep_outs
    joined = unary_union(areas).buffer(FUSED, join_style="mitre").buffer(-FUSED, join_style="mitre")
    film = sheet.film
    before = [Polygon(ring) for ring in film.used_polygons]
    before += [box(u.x, u.y, u.x + u.width, u.y + u.height) for u in film.used]
    simple = joined.buffer(FINE, join_style="mitre").simplify(FINE)
    inside = simple.intersection(box(0, 0, film.width, film.height)).difference(unary_union(before))
    found = region(set_precision(region(inside), 0.001))
    rings = [ring for polygon in found.geoms for ring in _rings(polygon)]
    return tuple(sorted(rings))


def _rings(polygon: Polygon) -> list[tuple[tuple[float, float], ...]]:
    """A polygon as outlines without openings: one with an opening is cut through it."""
    if not polygon.interiors:
        ring = list(polygon.exterior.coords)[:-1]
        return [tuple((round(x, 3), round(y, 3)) for x, y in ring)]
    x0, y0, x1, y1 = polygon.bounds
    middle = round(Polygon(polygon.interiors[0]).centroid.x, 3)
    halves = MultiPolygon(
        [
            part
            for half in (box(x0, y0, middle, y1), box(middle, y0, x1, y1))
            for part in polygons(set_precision(polygon.intersection(half), 0.001))
        ]
    )
    return [ring for part in region(halves).geoms for ring in _rings(part)]
