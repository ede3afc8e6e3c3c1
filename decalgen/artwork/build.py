"""A decal and its panel → inked outlines: z-order, knock-out, bleed, white, cut line. Pure.

Coordinates are the artwork's: its lower left corner is the origin, mm, y up. Inside the cut line the regions of
different inks are disjoint and together are just what was drawn; outside it, as far as the bleed, each region that
meets the cut line runs on, so that a cut that is off by the bleed shows no other ink.
"""

from __future__ import annotations

import hashlib
from dataclasses import replace
from functools import cached_property
from typing import NamedTuple

import shapely
from shapely.geometry import LineString, MultiPolygon, Polygon

from decalgen.artwork.bleed import ON_EDGE, grow_over_edge
from decalgen.artwork.cut_line import base_outline, with_margin
from decalgen.artwork.findings import cut_off, falls_apart, lettering_findings, no_slits, no_white, not_as_seen
from decalgen.artwork.knock_out import knock_out, merge
from decalgen.artwork.on_panel import SeenView, along_edges, corner, seen_view
from decalgen.colour.inks import FilmKind
from decalgen.core.errors import Finding
from decalgen.core.geometry import (
    EMPTY,
    SLIVER,
    Outline,
    apply,
    mirror_x,
    polygons,
    region,
    transform,
    translation,
    union,
    union_of_tiles,
)
from decalgen.core.values import dataclass
from decalgen.job.model import Decal, Hand, InkSpec, Job
from decalgen.panels.sections import sections
from decalgen.panels.slits import parts_left, slits
from decalgen.shapes.base import Box, Element, Inked, ShapeError, Sides, follows
from decalgen.shapes.placing import ALL, place

BARE_MARGIN = 0.5
"""Bare film round the artwork on clear film, mm, where the job does not say (common practice, no source)."""
BLEED = 0.5
"""How far artwork runs on beyond the cut line on white film, mm, where the job does not say (common practice)."""


@dataclass(frozen=True)
class Artwork:
    """One decal as it is printed. ``printed`` has the bleed in it, ``shown`` is what is left inside the cut line;
    ``bare`` is film left unprinted on purpose (white ink on white film)."""

    job: str
    decal: Decal
    """What the job asks for, where it lies and how many of it."""
    hand: Hand | None
    film: FilmKind
    width: float
    height: float
    margin: float
    bleed: float
    cut: Outline
    """The outer cut line; film is also cut out along ``holes``."""
    printed: tuple[Inked, ...]
    shown: tuple[Inked, ...]
    bare: MultiPolygon
    inks: tuple[InkSpec, ...]
    findings: tuple[Finding, ...] = ()
    section: int = 0
    """Which part of a decal split at a gap this is, from the left; 0: it is not split."""
    sections: int = 0
    holes: tuple[Outline, ...] = ()
    """Cut lines round obstacles inside it."""
    whole: Outline | None = None
    """The cut line before anything is taken out; None: nothing is."""
    slits: tuple[tuple[tuple[float, float], ...], ...] = ()
    """Open cut lines within it, in the decal's coordinates like ``cut``: each is cut through the film from its first
    point, on the edge, inward, and takes nothing out. They belong in every cutting file, before ``holes`` and ``cut``;
    they are never printed."""
    letters: tuple[Inked, ...] = ()
    """Each lettering as it is drawn inside the edge, what prints nothing on this film among it."""
    backed: bool = False
    """Whether a piece of white film goes under it: its white is then left open, as on white film."""
    backing: int = 0
    """Which piece of white film under a decal this is, from 1; 0: it is a decal itself."""
    backings: int = 0

    @property
    def name(self) -> str:
        """What a restorer calls it: the decal's name, with its hand."""
        words = [self.decal.name]
        if self.hand:
            words.append(self.hand)
        if self.section:
            words.append(f"{self.section} of {self.sections}")
        if self.backing:
            words.append(f"white backing {self.backing} of {self.backings}" if self.backings > 1 else "white backing")
        return ", ".join(words)

    @cached_property
    def cut_polygon(self) -> Polygon:
        """The film that is left, flattened: inside the cut line, without the holes."""
        return Polygon(self.cut.polygon.exterior, [hole.polygon.exterior for hole in self.holes])

    @property
    def uncut(self) -> Polygon:
        """What the cut line holds before anything is taken out at obstacles."""
        return self.cut_polygon if self.whole is None else self.whole.polygon

    @cached_property
    def covered(self) -> MultiPolygon:
        """What is printed inside the cut line, of whatever ink."""
        return self.shown[0].region if len(self.shown) == 1 else union_of_tiles([one.region for one in self.shown])

    @cached_property
    def outer(self) -> Polygon:
        """The cut line grown by the bleed: nothing of the piece is printed beyond it."""
        if self.bleed <= 0:
            return self.cut_polygon
        return self.cut_polygon.buffer(self.bleed, join_style="mitre", mitre_limit=2.0)

    def colour(self, ink: str) -> str:
        """The ink's colour on white paper, '#rrggbb'."""
        return next(spec.colour for spec in self.inks if spec.name == ink)

    @cached_property
    def digest(self) -> str:
        """SHA-256 over everything that shows or cuts, rounded to a nanometre."""
        h = hashlib.sha256(f"{self.film} {self.margin:.6f} {self.bleed:.6f}".encode())
        for part in (*self.printed, Inked("cut", self.cut_polygon)):
            h.update(part.ink.encode())
            if part.picture is not None:
                h.update(part.picture.pixels.digest.encode())
                h.update(" ".join(f"{value:.9f}" for value in part.picture.matrix).encode())
            h.update((shapely.get_coordinates(part.region) * 1e6).round().astype("<i8").tobytes())
        for line in self.slits:
            h.update(b"slit")
            h.update((shapely.get_coordinates(LineString(line)) * 1e6).round().astype("<i8").tobytes())
        return h.hexdigest()


def film_of(decal: Decal, job: Job) -> FilmKind:
    """The film a decal asks for: its own word, or the job's."""
    return decal.film or job.film


def edges(decal: Decal, film: FilmKind) -> tuple[float, float]:
    """Bare margin and bleed, mm. Bleed has a meaning only where the artwork reaches the cut line."""
    margin = decal.margin
    if margin is None:
        # What is cut to its panel has nowhere to put a margin.
        margin = BARE_MARGIN if film == "clear" and not decal.bleed and decal.cut.kind != "panel" else 0.0
    if margin > 0:
        return margin, 0.0
    return 0.0, BLEED if decal.bleed is None else decal.bleed


def hands(decal: Decal) -> tuple[Hand | None, ...]:
    """Which copies a decal is made in."""
    return {"one": (None,), "left": ("left",), "right": ("right",), "both": ("left", "right")}[decal.hands]  # type: ignore[return-value]


def build(job: Job, decal: Decal, hand: Hand | None = None, white_printer: bool = False) -> Artwork:
    """The artwork of a decal that is not split, or its first section. See `build_all`."""
    return build_all(job, decal, hand, white_printer)[0]


def build_all(job: Job, decal: Decal, hand: Hand | None = None, white_printer: bool = False) -> tuple[Artwork, ...]:
    """One decal's artwork, a section each where it is split. ``white_printer``: white is an ink like any other.

    Without one, white on white film is bare film, and over a backing of white film it is left open; on clear film alone
    it is an error among the findings. Sections lie in
    the same coordinates, so that the pattern runs on from one to the next.
    Raises `ShapeError` for parameters that cannot be drawn, `FitError` where obstacles leave nothing.
    """
    box, mirrored, film, margin, bleed, backed, white_printer, base, edge, painted, pictures, found = _painted(
        job, decal, hand, white_printer
    )
    whole = with_margin(base, margin)
    parts = _sections(job, decal, box, whole, edge, mirrored)
    common = Artwork(
        job.name, decal, hand, film, box.width, box.height, margin, bleed, whole, (), (), EMPTY,
        (*job.inks, *pictures),
        backed=backed,
    )  # fmt: skip
    arts = []
    for number, part in enumerate(parts, start=1):
        if part is None:
            art = _printed(common, painted, edge, white_printer)
        else:
            blank = replace(common, cut=Outline.from_polygon(part), holes=_holes(part), whole=whole)
            # With bleed there is no bare margin: the film ends where the artwork does.
            inside = part if bleed > 0 else region(edge.intersection(part))
            art = _printed(blank, painted, inside, white_printer)
        if len(parts) > 1:
            art = replace(art, section=number, sections=len(parts))
        if decal.is_slit:
            art = _slit(art, job, decal, mirrored)
        arts.append(replace(art, findings=(*(found if number == 1 else ()), *art.findings)))
    if decal.is_slit and not any(art.slits for art in arts):
        arts[0] = replace(arts[0], findings=(*arts[0].findings, no_slits(decal)))
    return tuple(arts)


class _Painted(NamedTuple):
    """What a decal is printed and cut from: areas laid over each other in painting order, and the edge they end at."""

    box: Box
    mirrored: bool
    film: FilmKind
    margin: float
    bleed: float
    backed: bool
    white_printer: bool
    base: Outline
    edge: Polygon
    areas: list[Inked]
    pictures: tuple[InkSpec, ...]
    """The pictures among them, each as an ink of its mean colour."""
    found: list[Finding]


def noticed(job: Job, decal: Decal, hand: Hand | None, white_printer: bool) -> tuple[Finding, ...]:
    """What `build_all` notices of the lettering and the white of a decal, without cutting and printing it. Raises
    `ShapeError`, and `FitError` for a cut line along artwork that falls apart."""
    return tuple(_painted(job, decal, hand, white_printer).found)


def _painted(job: Job, decal: Decal, hand: Hand | None, white_printer: bool) -> _Painted:
    film = film_of(decal, job)
    margin, bleed = edges(decal, film)
    backed = film == "clear" and decal.backing == "white"
    white_printer = white_printer and not backed  # Its white is the film below.
    box = Box(decal.width.value, decal.height.value)
    mirrored = hand == "right" and job.panel(decal.panel).hand != "right"
    view = seen_view(job, decal, box, mirrored)
    artwork = along_edges(job, decal, box)
    # Only a cut line along the artwork asks where the artwork is, and follows it as it is asked for.
    drawn = [_drawn(element, box, 0.0, mirrored, view) for element in artwork if decal.cut.kind == "artwork"]
    filled = union(i.region for layer in drawn for i in layer)
    base = base_outline(decal, job, box, filled, bleed)
    if mirrored and decal.cut.kind != "artwork":
        base = base.moved(mirror_x(box.width))
    edge = base.polygon
    sides = _ending(edge, box)
    layers = [_drawn(element, box, bleed, mirrored, view, sides) for element in artwork]
    painted = [
        inked
        for element, layer in zip(artwork, layers, strict=True)
        for inked in (element.shape.follow(edge, bleed) if follows(element.shape) else layer)
    ]
    painted, shown = _pictures_named(painted, job, bleed)
    unprinted = {i.name for i in job.inks if i.kind == "white" and (film == "white" or backed) and not white_printer}
    found = [*lettering_findings(painted, decal, edge, unprinted), *cut_off(painted, decal, edge, margin)]
    if (
        film == "clear"
        and not backed
        and not white_printer
        and any(i.picture is None and job.ink(i.ink).kind == "white" for i in painted)
    ):
        found.append(no_white(decal, union(i.region for i in painted).intersection(edge)))
    if decal.as_seen:
        found += not_as_seen(decal, job.panel(decal.panel), view is None)
    return _Painted(box, mirrored, film, margin, bleed, backed, white_printer, base, edge, painted, shown, found)


def _sections(job: Job, decal: Decal, box: Box, whole: Outline, edge: Polygon, mirrored: bool) -> list[Polygon | None]:
    """What is left of ``whole`` when it is cut around and split at what the job says; None: it stays as it is."""
    if not decal.taken_out:
        return [None]
    panel, x, y = corner(job, decal, box, mirrored)
    found = sections(whole.moved(translation(x, y)).polygon, panel, decal.taken_out)
    if not any(section.beside for section in found):
        return [None]
    parts = [polygons(transform(section.outline, translation(-x, -y)))[0] for section in found]
    # What is left of a bare margin beyond a gap carries nothing.
    carrying = [part for part in parts if part.intersection(edge).area > SLIVER]
    return [*(carrying or parts)]


def _slit(art: Artwork, job: Job, decal: Decal, mirrored: bool) -> Artwork:
    """With its slits; an error among its findings where they would cut the film apart."""
    panel, x, y = corner(job, decal, Box(art.width, art.height), mirrored)
    film = transform(art.cut_polygon, translation(x, y))
    cuts = slits(film, panel, decal.slits, decal.slit_as_advised)
    found = art.findings
    if parts_left(film, cuts) > 1:
        found = (*found, falls_apart(art.name, decal, parts_left(film, cuts)))
    back = translation(-x, -y)
    lines = tuple(tuple(apply(back, (float(px), float(py))) for px, py in line.coords) for line in cuts)
    return replace(art, slits=lines, findings=found)


def _holes(part: Polygon) -> tuple[Outline, ...]:
    return tuple(Outline.from_polygon(Polygon(ring)) for ring in part.interiors)


def _printed(blank: Artwork, painted: list[Inked], edge: Polygon | MultiPolygon, white_printer: bool) -> Artwork:
    """The inked regions inside one edge (in one part where there is bleed), white told from bare film."""
    bleed, film = blank.bleed, blank.film
    outer = edge.buffer(bleed, join_style="mitre", mitre_limit=2.0) if bleed > 0 else edge
    by_ink = merge(knock_out([replace(i, region=i.region.intersection(outer)) for i in painted]))
    if bleed > 0 and isinstance(edge, Polygon) and isinstance(outer, Polygon):
        by_ink = grow_over_edge(by_ink, edge, outer)
    bare = EMPTY
    if not white_printer:
        white_inks = {spec.name for spec in blank.inks if spec.kind == "white"}
        whites = [i for i in by_ink if i.ink in white_inks]
        by_ink = [i for i in by_ink if i.ink not in white_inks]
        if whites and (film == "white" or blank.backed):
            bare = _within(union(i.region for i in whites) if len(whites) > 1 else whites[0].region, edge)
    shown = tuple(
        Inked(i.ink, clipped, i.lettering, picture=i.picture)
        for i in by_ink
        if not (clipped := _within(i.region, edge)).is_empty
    )
    used = {i.ink for i in by_ink}
    inks = tuple(spec for spec in blank.inks if spec.name in used)
    letters = tuple(
        replace(i, region=clipped) for i in painted if i.lettering and not (clipped := _within(i.region, edge)).is_empty
    )
    return replace(blank, printed=tuple(by_ink), shown=shown, bare=bare, inks=inks, letters=letters)


def _within(area: MultiPolygon, edge: Polygon | MultiPolygon) -> MultiPolygon:
    """What of an area lies inside an edge. Most words do wholly, and to see that costs less than to cut them."""
    return region(area if edge.covers(area) else area.intersection(edge))


def _pictures_named(painted: list[Inked], job: Job, bleed: float) -> tuple[list[Inked], tuple[InkSpec, ...]]:
    if not any(one.picture is not None for one in painted):
        return painted, ()
    from decalgen.artwork.inked_pictures import named_pictures

    return named_pictures(painted, job.inks, bleed)


def _ending(edge: Polygon, box: Box) -> Sides:
    """On which sides of its box (left, bottom, right, top) the film of a decal ends. Where it goes on, artwork does not
    run on: it would be seen."""
    x0, y0, x1, y1 = edge.bounds
    return (x0 >= -ON_EDGE, y0 >= -ON_EDGE, x1 <= box.width + ON_EDGE, y1 <= box.height + ON_EDGE)


def _drawn(
    element: Element, box: Box, bleed: float, mirrored: bool, view: SeenView | None, sides: Sides = ALL
) -> tuple[Inked, ...]:
    """One element's areas. What follows the cut line draws nothing before that line is known."""
    if follows(element.shape):
        return ()
    if view is None or getattr(element.shape, "on_film", False):
        return place((element,), box, bleed, mirrored, sides)
    seen = place((element,), view.box, bleed, mirrored, sides)
    if any(i.picture is not None for i in seen):
        raise ShapeError(
            "a picture cannot be drawn as it is seen on a bent panel",
            "leave `as seen` out: a picture is laid along the film",
            place=element.place,
        )
    return tuple(replace(i, region=view.to_film(region(i.region))) for i in seen)
