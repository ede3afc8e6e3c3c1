"""A sheet in the drawer and the parts of it that are gone. Frozen values, pure; mm from the sheet's lower left corner.

A sheet keeps the coordinates it had when it was whole, however much of it has been cut away.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cached_property
from typing import Literal

from shapely import union_all
from shapely.affinity import translate
from shapely.geometry import MultiPolygon, Point, Polygon, box

from decalgen.colour.inks import FilmKind, FilmLook
from decalgen.colour.typed import parse
from decalgen.colour.value import ColourError
from decalgen.core.errors import DecalgenError
from decalgen.core.geometry import Side, fault_of_ring, region
from decalgen.core.prices import read_price
from decalgen.core.values import dataclass
from decalgen.core.visible import visible
from decalgen.job.model import Film, Process

Why = Literal["printed", "cut off"]
Ring = tuple[tuple[float, float], ...]

SIDES: tuple[Side, ...] = ("top", "bottom", "left", "right")
OPPOSITE: dict[Side, Side] = {"top": "bottom", "bottom": "top", "left": "right", "right": "left"}
CORNERS = ("lower left", "lower right", "upper left", "upper right")
LEAST = 0.01
"""Smaller parts than this, mm², are slips of the hand."""
SLACK = 0.05
"""How far a part may reach over the sheet's edge, mm, as a ruler does; it is trimmed to the edge."""
MOST_POINTS = 2_000
LARGEST_SHIFT = 5.0
"""No printer feeds a sheet further aside than this, mm."""
LARGEST = 2_000.0
"""No sheet is longer, mm."""


class DrawerError(DecalgenError):
    """Something the film drawer cannot do: an unknown sheet, a part that is none."""


@dataclass(frozen=True)
class UsedPart:
    """A part of a sheet that is gone: an outline in order, without repeating its first point.

    ``step`` counts what was done to the sheet, from 1: parts of one step went together and come back together.
    ``layout``: the digest of the layout that was printed there.
    """

    points: Ring
    why: Why
    step: int
    about: str = ""
    layout: str = ""

    @cached_property
    def polygon(self) -> Polygon:
        """The part as an area."""
        return Polygon(self.points)


@dataclass(frozen=True)
class PrintedMark:
    """A registration mark that was printed on a sheet in that step, by its middle."""

    step: int
    x: float
    y: float


@dataclass(frozen=True)
class DrawerEntry:
    """What the user says of a sheet. ``bought`` and ``price`` (of a whole sheet, such as '4.50 EUR') are kept as typed;
    ``leads``: the edge that enters the printer first; ``colour``: the film's own as measured, none if it was not;
    ``opacity``: of white film, None if it was not measured."""

    name: str
    kind: FilmKind
    process: Process
    width: float
    height: float
    adhesive: bool = False
    bought: str = ""
    leads: Side = "top"
    note: str = ""
    price: str = ""
    colour: str = ""
    opacity: float | None = None


@dataclass(frozen=True)
class OwnedSheet:
    """A sheet in the drawer. ``number`` is its place in the drawer: the lower, the longer it has lain there."""

    number: int
    entry: DrawerEntry
    parts: tuple[UsedPart, ...] = ()
    marks: tuple[PrintedMark, ...] = ()

    @property
    def name(self) -> str:
        """Its name, which no other sheet has."""
        return self.entry.name

    @property
    def steps(self) -> int:
        """How many things were done to it that can be undone."""
        return max((one.step for one in self.parts), default=0)

    @cached_property
    def whole(self) -> Polygon:
        """The sheet as it was bought."""
        return box(0.0, 0.0, self.entry.width, self.entry.height)

    @cached_property
    def gone(self) -> MultiPolygon:
        """Everything that is used or cut off."""
        return region(union_all([one.polygon for one in self.parts]))

    @cached_property
    def free(self) -> MultiPolygon:
        """What is left."""
        return region(self.whole.difference(self.gone))

    @property
    def marks_left(self) -> tuple[tuple[float, float, int], ...]:
        """The registration marks of earlier prints that were not cut off: x, y and which print it was, from 1."""
        prints = sorted({one.step for one in self.marks})
        cut = region(union_all([one.polygon for one in self.parts if one.why == "cut off"]))
        return tuple(
            (one.x, one.y, prints.index(one.step) + 1) for one in self.marks if not cut.intersects(Point(one.x, one.y))
        )

    def film(self, turned: bool = False) -> Film:
        """The sheet as a film to nest on, one piece of it, as it goes into the printer: turned by 180° if asked."""
        rings = tuple(tuple(turn(p, self.entry) for p in one.points) if turned else one.points for one in self.parts)
        entry = self.entry
        return Film(
            entry.name,
            entry.kind,
            entry.process,
            entry.width,
            entry.height,
            sheets=1,
            adhesive=entry.adhesive,
            used_polygons=rings,
            marks=tuple((*(turn((x, y), entry) if turned else (x, y)), n) for x, y, n in self.marks_left),
            turned=turned,
            price=entry.price,
            colour=entry.colour,
            opacity=entry.opacity,
            cut_off=tuple(n for n, one in enumerate(self.parts) if one.why == "cut off"),
        )


def turn(point: tuple[float, float], entry: DrawerEntry) -> tuple[float, float]:
    """A point of a sheet after the sheet is turned by 180°."""
    return (round(entry.width - point[0], 6), round(entry.height - point[1], 6))


def checked(entry: DrawerEntry) -> DrawerEntry:
    """The entry, if it is one. Raises DrawerError."""
    for text in (entry.name, entry.bought, entry.note):
        if visible(text) != text:
            raise DrawerError(
                f"a text kept with '{entry.name}' has a character in it that cannot be seen", fix="type it again"
            )
    if not entry.name.strip() or len(entry.name) > 60:
        raise DrawerError("a sheet has no usable name", fix="give it a name of 1 to 60 letters with `--name`")
    if entry.name.strip().isdigit():
        raise DrawerError(f"'{entry.name}' is a number, not a name", fix="numbers are the order in the drawer")
    if entry.kind not in ("clear", "white") or entry.process not in ("inkjet", "laser") or entry.leads not in SIDES:
        raise DrawerError(f"'{entry.name}' is not a film decalgen knows", fix="kind: clear or white; inkjet or laser")
    for size in (entry.width, entry.height):
        if not math.isfinite(size) or not 1 <= size <= LARGEST:
            raise DrawerError(f"'{entry.name}' would be {size:g} mm long", fix=f"a sheet is 1 to {LARGEST:g} mm long")
    for text in (entry.bought, entry.note):
        if len(text) > 400:
            raise DrawerError(f"a text kept with '{entry.name}' is too long", fix="one line, up to 400 letters")
    if entry.price:
        try:
            read_price(entry.price)
        except ValueError as error:
            what, _, fix = str(error).partition("; ")
            raise DrawerError(what, fix=fix) from None
    try:
        if entry.colour:
            parse(entry.colour)
        FilmLook(entry.kind, opacity=entry.opacity)
    except ColourError as error:
        raise DrawerError(error.message, fix=error.fix) from None
    return entry


def shifted(sheet: OwnedSheet, x: float, y: float) -> tuple[int, tuple[UsedPart, ...], tuple[PrintedMark, ...]]:
    """What was printed last on a sheet, moved by x, y: its step, its parts trimmed to the sheet, its marks.

    Raises DrawerError where nothing was printed on it, or the shift is none.
    """
    step = max((one.step for one in sheet.parts if one.why == "printed"), default=0)
    if not step:
        raise DrawerError(f"nothing was printed on '{sheet.name}' yet", fix="see `decalgen film list`")
    if not (math.isfinite(x) and math.isfinite(y)) or math.hypot(x, y) > LARGEST_SHIFT:
        raise DrawerError(
            f"a shift of {x:g}, {y:g} mm is not a slip of a printer's feed",
            fix=f"give at most {LARGEST_SHIFT:g} mm; if more is right, the print was scaled or fed the other way round",
        )
    if not (x or y):
        raise DrawerError("a shift of zero changes nothing", fix="give `--x` or `--y`, such as --x 0.4mm")
    parts = []
    for one in sheet.parts:
        if one.step == step:
            moved = region(translate(one.polygon, x, y).intersection(sheet.whole))
            rings = [list(p.exterior.coords)[:-1] for p in moved.geoms if p.area >= LEAST]
            parts += [part(sheet.entry, ring, one.why, step, about=one.about, layout=one.layout) for ring in rings]
    marks = tuple(PrintedMark(step, round(m.x + x, 4), round(m.y + y, 4)) for m in sheet.marks if m.step == step)
    if not parts or not all(on_sheet(sheet.entry, one) for one in marks):
        raise DrawerError(f"that would shift the print off '{sheet.name}'", fix="see `decalgen film show`")
    return step, tuple(parts), marks


def on_sheet(entry: DrawerEntry, mark: PrintedMark) -> bool:
    """Whether a mark lies near enough to the sheet: one that was shifted may hang over its edge."""
    over = LARGEST_SHIFT + SLACK
    return -over <= mark.x <= entry.width + over and -over <= mark.y <= entry.height + over


def part(entry: DrawerEntry, points: Sequence[tuple[float, float]], why: Why, step: int, **more: str) -> UsedPart:
    """A part of a sheet from the corners of its outline, trimmed to the sheet.

    Raises DrawerError for an outline that crosses itself, has no area or lies off the sheet.
    """
    ring = [(float(x), float(y)) for x, y in points]
    if len(ring) > 1 and ring[0] == ring[-1]:
        ring.pop()
    if len(ring) < 3:
        raise DrawerError(f"{len(ring)} points do not enclose an area", fix="give three corners or more")
    if len(ring) > MOST_POINTS:
        raise DrawerError(f"{len(ring)} points are too many for one part", fix=f"use up to {MOST_POINTS}")
    if not all(math.isfinite(v) for p in ring for v in p):
        raise DrawerError("a corner of the part is not a number", fix="write x and y in mm")
    polygon = Polygon(ring)
    if fault := fault_of_ring(ring):
        raise DrawerError(f"the outline of the part {fault}", fix="give its corners in order, once round the part")
    if polygon.area < LEAST:
        raise DrawerError("the part has no area", fix="give corners that do not lie on one line")
    x0, y0, x1, y1 = polygon.bounds
    if x0 < -SLACK or y0 < -SLACK or x1 > entry.width + SLACK or y1 > entry.height + SLACK:
        raise DrawerError(
            f"the part reaches from ({x0:g}, {y0:g}) to ({x1:g}, {y1:g}) mm, off the sheet of {entry.width:g} × "
            f"{entry.height:g} mm",
            fix="measure from the sheet's lower left corner as it was when it was whole",
        )
    kept = tuple((round(min(max(x, 0.0), entry.width), 4), round(min(max(y, 0.0), entry.height), 4)) for x, y in ring)
    # Trimming to the edge and rounding move a corner by less than a ruler shows, but must not fold the outline.
    return UsedPart(kept if Polygon(kept).is_valid else tuple(ring), why, step, **more)


def rectangle(x: float, y: float, width: float, height: float) -> Ring:
    """The corners of a rectangle by its lower left corner and size."""
    return ((x, y), (x + width, y), (x + width, y + height), (x, y + height))


def corner(entry: DrawerEntry, which: str, width: float, height: float) -> Ring:
    """The corners of a rectangle of that size cut out of a corner of the sheet. Raises DrawerError."""
    if which not in CORNERS:
        raise DrawerError(f"there is no corner '{which}'", fix="use one of: " + ", ".join(CORNERS))
    x = 0.0 if "left" in which else entry.width - width
    y = 0.0 if "lower" in which else entry.height - height
    return rectangle(x, y, width, height)


def edge(entry: DrawerEntry, side: str, depth: float) -> Ring:
    """The corners of a straight strip of that depth cut off along an edge of the sheet. Raises DrawerError."""
    if side in ("left", "right"):
        return rectangle(0.0 if side == "left" else entry.width - depth, 0.0, depth, entry.height)
    if side in ("top", "bottom"):
        return rectangle(0.0, 0.0 if side == "bottom" else entry.height - depth, entry.width, depth)
    raise DrawerError(f"there is no edge '{side}'", fix="use one of: " + ", ".join(SIDES))
