"""A sheet → a page for each ink alone, for printing in several passes, and white and artwork apart. Pure; mm.

Every plate is black where its ink goes and has the same registration marks, so that a screen is made from it or the
film goes through the printer once more. White is the first; what is printed over it leaves it whole.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import cached_property

import shapely
from shapely.geometry import LineString, MultiPolygon, Polygon, box

from decalgen.artwork.build import Artwork
from decalgen.artwork.over_body import underlay, white_passes
from decalgen.colour.separations import WHITE_PLATE, Underlay
from decalgen.colour.separations import plates as separate
from decalgen.core import style
from decalgen.core.document import Document, Fill, Item, Layer, Page, Symbol, Use
from decalgen.core.errors import DecalgenError, Finding
from decalgen.core.geometry import region, transform, translation
from decalgen.core.values import dataclass
from decalgen.job.colours import ink_of
from decalgen.job.model import InkSpec, Job
from decalgen.lettering.paper import paper
from decalgen.pages.film import artwork_symbol
from decalgen.sheet.arrange import Arrangement, Sheet
from decalgen.sheet.film_area import correction_of
from decalgen.sheet.marks import OFF_REST

BLACK = "#000000"
CLEAR = 0.8
"""Between a plate's name and anything else, mm."""


@dataclass(frozen=True)
class PlateFile:
    """One file: ``name`` goes into the file's name, ``words`` say what it is."""

    name: str
    words: str
    document: Document


@dataclass(frozen=True)
class Separated:
    """All plates of a run, in the order they are printed, and what was found in making them."""

    files: tuple[PlateFile, ...]
    findings: tuple[Finding, ...]


def separated(arrangement: Arrangement, jobs: Sequence[Job], title: str, date: str | None) -> Separated:
    """One plate an ink; where the printer has white, its plate first and a file of the artwork without white last.

    A picture is in the file of the artwork alone, as no plate of one ink can show it. Raises DecalgenError for an ink
    that two jobs see in two colours, and for a picture where there is no such file.
    """
    run = PlateRun(arrangement, jobs)
    if run.pictures and not run.has_white:
        raise DecalgenError(
            f"the {run.pictures[0]} cannot be a plate: a plate is printed in one ink",
            fix="print without plates, all colours in one pass",
        )
    files = []
    # Every plate may go over the same film: no name is printed over another.
    names: list[list[Polygon]] = [[] for _ in arrangement.sheets]
    coloured = sorted(run.inks, key=lambda name: (-run.lightness[name], name))
    inks: list[str | None] = [*([None] if run.has_white else []), *coloured]
    for order, ink in enumerate(inks, start=1):
        name = ink or WHITE_PLATE
        words = f"plate {order} of {len(inks)}: {name}"
        layer = "White" if ink is None else "Artwork"
        pages = tuple(
            _page(sheet, taken, run.uses(sheet, ink), words, layer)
            for sheet, taken in zip(arrangement.sheets, names, strict=True)
        )
        if ink is None:
            words += f", {run.passes} pass{'es' * (run.passes > 1)}, before everything else"
        files.append(PlateFile(f"plate-{order}-{name}", words, run.document(pages, f"{title}: {name}", date)))
    if run.has_white:
        pages = tuple(
            _page(sheet, taken, run.artwork(sheet), "artwork, over white", "Artwork")
            for sheet, taken in zip(arrangement.sheets, names, strict=True)
        )
        words = "artwork: all colours in one pass, over the plate of white"
        words += "; pictures are in this file alone" if run.pictures else ""
        files.append(PlateFile("artwork", words, run.document(pages, f"{title}: artwork", date)))
    return Separated(tuple(files), run.findings)


class PlateRun:
    """The plates of every decal of an arrangement."""

    def __init__(self, arrangement: Arrangement, jobs: Sequence[Job], alike: bool = True) -> None:
        self.printer = arrangement.sheets[0].printer
        self.arrangement = arrangement
        self._jobs = {job.name: job for job in jobs}
        self._specs = _inks(arrangement, alike)
        shown = {one.ink: one.picture for art in self._artworks for one in art.printed}
        self.pictures = [name for name in self._specs if shown.get(name) is not None]
        self.inks = [n for n, spec in self._specs.items() if spec.kind != "white" and n not in self.pictures]
        self.lightness = _lightness(self._specs.values())
        self._symbols: dict[tuple[str, str, str], Symbol] = {}

    @cached_property
    def _whites(self) -> Mapping[tuple[str, str], Underlay]:
        if not self.printer.white:
            return {}
        return {_key(art): underlay(art, self._jobs[art.job], self.printer) for art in self._artworks}

    @property
    def _artworks(self) -> list[Artwork]:
        found = {_key(p.piece.artwork): p.piece.artwork for sheet in self.arrangement.sheets for p in sheet.placed}
        return list(found.values())

    @property
    def has_white(self) -> bool:
        return any(not one.region.is_empty for one in self._whites.values())

    @property
    def passes(self) -> int:
        """How often white is printed: as the ink that wants most of it."""
        wanted = [white_passes(art, self._jobs[art.job], self.printer) for art in self._artworks]
        return max((passes for one in wanted for passes in one.values()), default=1)

    @property
    def findings(self) -> tuple[Finding, ...]:
        """Strokes without white, sheets without marks."""
        found = [finding for one in self._whites.values() for finding in one.findings]
        for sheet in self.arrangement.sheets:
            if not sheet.furniture.registration:
                message = "is too small for registration marks: nothing shows whether the plates register"
                subject = f"sheet {sheet.index}"
                found.append(Finding("warning", "no-registration", subject, message, "take a larger sheet"))
        return tuple(found)

    @cached_property
    def _regions(self) -> Mapping[tuple[str, str], dict[str, MultiPolygon]]:
        """By decal, the area of each plate; white under its own name."""
        found = {}
        for art in self._artworks:
            names = [inked.ink for inked in art.printed]
            made = separate(
                {inked.ink: inked.region for inked in art.printed},
                _lightness(art.inks),
                self._whites.get(_key(art)),
                whites=[name for name in names if self._specs[name].kind == "white"],
                misregister=min(self.printer.misregister, 5.0),
                fixed=[name for name in names if self._specs[name].kind == "metallic"],
            )
            found[_key(art)] = {_plate(plate.ink): plate.region for plate in made}
        return found

    def uses(self, sheet: Sheet, ink: str | None) -> tuple[Use, ...]:
        """One sheet of one plate, in black; None: white's."""
        uses = []
        for placed in sheet.placed:
            art = placed.piece.artwork
            area = self._regions[_key(art)].get(_plate(ink))
            if area is None or area.is_empty:
                continue
            key = (*_key(art), _plate(ink))
            if key not in self._symbols:
                self._symbols[key] = Symbol(f"plate-{len(self._symbols) + 1}", (Fill(area, BLACK, ink),))
            uses.append(Use(self._symbols[key], placed.matrix))
        return tuple(uses)

    def artwork(self, sheet: Sheet) -> tuple[Use, ...]:
        """One sheet of all that is no white, in its colours."""
        uses = []
        for placed in sheet.placed:
            art = placed.piece.artwork
            key = (*_key(art), "/artwork")
            if key not in self._symbols:
                inked = tuple(i for i in art.printed if self._specs[i.ink].kind != "white")
                number = f"artwork-{len(self._symbols) + 1}"
                self._symbols[key] = artwork_symbol(replace(art, printed=inked), number)
            if self._symbols[key].items:
                uses.append(Use(self._symbols[key], placed.matrix))
        return tuple(uses)

    def document(self, pages: tuple[Page, ...], title: str, date: str | None) -> Document:
        """The pages as a file for this printer, its correction with it: it is the one that prints them."""
        return Document(
            pages,
            title=title,
            subject="one plate of a sheet at true scale: print at 100 %, without fitting",
            keywords=(f"arrangement {self.arrangement.digest[:16]}",),
            date=date,
            scale=(self.printer.scale_x, self.printer.scale_y),
            lean=self.printer.lean,
        )


def _key(artwork: Artwork) -> tuple[str, str]:
    """White depends on the body, so one drawing may have another white in another job."""
    return artwork.job, f"{artwork.decal.name}/{artwork.digest}"


def _plate(ink: str | None) -> str:
    """White's key, which no ink can have."""
    return "/white" if ink is None else f"ink {ink}"


def _lightness(specs: Iterable[InkSpec]) -> dict[str, float]:
    """L* of inks by name."""
    return {spec.name: ink_of(spec).colour.lab[0] for spec in specs}


def _inks(arrangement: Arrangement, alike: bool = True) -> dict[str, InkSpec]:
    """Every ink of an arrangement by name. Raises DecalgenError where a name has two colours; not ``alike``: two jobs
    may mix process inks of one name each their own way, as no plate is made of them."""
    found: dict[str, tuple[InkSpec, str]] = {}
    for sheet in arrangement.sheets:
        for placed in sheet.placed:
            art = placed.piece.artwork
            for spec in art.inks:
                before, job = found.setdefault(spec.name, (spec, art.job))
                mixed = not alike and before.kind == spec.kind == "process"
                if not mixed and (before.colour, before.exact, before.kind) != (spec.colour, spec.exact, spec.kind):
                    raise DecalgenError(
                        f"the ink '{spec.name}' is {before.kind} {before.colour} in job '{job}' and {spec.kind} "
                        f"{spec.colour} in job '{art.job}': a plate has one ink",
                        fix="give one of them another name, or print the jobs apart",
                        place=spec.place,
                    )
    return {name: spec for name, (spec, _) in found.items()}


def _page(sheet: Sheet, names: list[Polygon], uses: Sequence[Use], words: str, layer: str) -> Page:
    marks: list[Item] = [*sheet.in_waste]
    name = _name(sheet, names, words)
    if name is not None:
        marks.append(name)
    area = sheet.area.bounds
    return Page(
        sheet.film.width,
        sheet.film.height,
        (
            Layer(layer, tuple(uses), "artwork"),
            Layer("Marks", tuple(marks), "marks"),
        ),
        trim=area,
        bleed=area,
        correction=correction_of(sheet.printer),
    )


def _name(sheet: Sheet, names: list[Polygon], words: str) -> Fill | None:
    """What a plate is, in the first free spot along the edges, on film that stays blank only where there is no other;
    None where there is none at all (its file says it too)."""
    line = paper(words, style.TYPE_SMALL)
    outers = [p.outer for p in sheet.placed]
    marked = [
        *(fill.region for fill in sheet.labels),
        *(LineString(line.points) for line in (*sheet.ticks, *sheet.leaders)),
    ]
    taken = shapely.union_all([*outers, *sheet.furniture.keep_outs, *marked, *names])
    kept = taken.union(box(*sheet.rest).buffer(OFF_REST)) if sheet.rest else taken
    for off in (kept, taken):
        shapely.prepare(off)
        for x, y in _spots(sheet.area, line.width, line.cap_height):
            spot = box(x - CLEAR, y - CLEAR, x + line.width + CLEAR, y + line.cap_height + CLEAR)
            if not off.intersects(spot):
                names.append(spot)
                return Fill(region(transform(line.region, translation(x, y))), style.TEXT)
    return None


def _spots(area: Polygon, width: float, height: float) -> Iterator[tuple[float, float]]:
    x0, y0, x1, y1 = area.bounds
    for y in (y1 - height - 0.5, y0 + 1.0, *(y1 - 4.0 * n for n in range(1, int((y1 - y0) / 4.0)))):
        for n in range(max(0, int(x1 - x0 - width))):
            yield x0 + n, y
