"""What a panel's picture shows of the fit: the distances that place a decal and the tightest clearance, each with a
letter, and below it the figures of all; the strain of film on panels curved both ways. Pure; mm.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon, box

from decalgen.core import style
from decalgen.core.document import Contour, Item, Line
from decalgen.core.geometry import Matrix, Outline, apply, circle, polygons
from decalgen.core.values import dataclass
from decalgen.job.over import application_order
from decalgen.lettering.paper import paper, wrap
from decalgen.pages.composer import Sheaf
from decalgen.panels.base import Panel
from decalgen.panels.clearance import dimension_line
from decalgen.panels.dome import DomeSurface
from decalgen.panels.fit import Clearance
from decalgen.panels.sections import keep_off
from decalgen.panels.strain import GORES, SLITS, SOFTENER, reach
from decalgen.preflight.fitting import Fitting, in_order

DASH_CLEARANCE = (0.4, 0.6)
CONTOURS = (0.0025, 0.005, SOFTENER, 0.02, SLITS, 0.05, GORES)
"""Strain at which a line is drawn; heavier where other advice begins."""
SLIT = 0.4
"""How thick a slit is drawn, mm."""
PITCH = 4.2
ON_EDGE = 0.01
"""A point so near to an edge, mm, lies on it."""
CASING = 0.8
"""A pale line under every line of a measure, mm wide: it has to show on any colour of paint and ink."""
BUBBLE = 1.8
"""Half the height of the ground under a letter, mm."""


@dataclass(frozen=True)
class Shown:
    """One clearance: its letter where it is drawn ('' where only the table has it), the decal, what it is to, the
    figures, and its line on the page."""

    letter: str
    decal: str
    to: str
    figures: str
    verdict: str
    line: LineString | None


def shown(fits: Sequence[Fitting], panel: Panel, place: Matrix, mirrored: bool = False) -> tuple[Shown, ...]:
    """All clearances of some decals; ``place`` leads from the panel's coordinates to the page.

    Drawn, with a letter, are those that place a decal (one to a side, one to foot or top, as the job asks; ``mirrored``
    for the other hand) and the tightest one, and any that does not fit for sure."""
    rows: list[Shown] = []
    letter = 0
    for one in fits:
        items = [item for item in in_order(one.fit.clearances) if item.towards != "room"]
        drawn = placing(one, mirrored)
        others = [other.cut for other in fits if other is not one]
        for item in items:
            line = None
            if item in drawn:
                ends = dimension_line(one.cut, panel, item.to)
                line = None if ends is None else beside_others(LineString(ends), one.cut, panel, others)
            mark = _letter(letter) if line is not None else ""
            letter += line is not None
            on_page = None if line is None else transform_line(line, place)
            rows.append(Shown(mark, one.title, item.label, _figures(item), item.verdict, on_page))
    return tuple(rows)


def placing(one: Fitting, mirrored: bool = False) -> list[Clearance]:
    """The clearances that are drawn."""
    items = [item for item in one.fit.clearances if item.towards != "room"]
    if not items:
        return []
    words = (one.decal.at.mirrored() if mirrored else one.decal.at).anchor.split()
    found = [min(items, key=lambda item: item.surplus)]
    for ways in (("left", "right"), ("bottom", "top")):
        sides = [item for item in items if item.towards == "edge" and item.to in ways]
        asked = [item for item in sides if item.to in words]
        # A decal in the middle is as far from both; then the nearer side is drawn.
        found += asked[:1] or sorted(sides, key=lambda item: (round(item.amount.value, 3), ways.index(item.to)))[:1]
    return [*found, *(item for item in items if item.verdict != "fits")]


def beside_others(line: LineString, cut: Polygon, panel: Panel, others: Sequence[Polygon]) -> LineString:
    """The line of a clearance moved along the edge that it is square to, to where it runs over no other decal and over
    no obstacle; as it is where there is no such place, and where it is no distance between straight edges."""
    (ax, ay), (bx, by) = line.coords
    if line.length < 1e-6 or cut.contains(line.interpolate(0.5, normalized=True)):
        return line
    ux, uy = -(by - ay) / line.length, (bx - ax) / line.length
    along = [(x - ax) * ux + (y - ay) * uy for x, y in cut.exterior.coords]
    low, high = min(along), max(along)
    things = shapely.union_all([*others, *(item.outline.polygon for item in panel.obstacles)])
    edge = panel.outline.polygon.boundary
    steps = np.array([0.0, *(low + (high - low) * (0.04 + 0.92 * n / 24) for n in range(25))])
    ends = np.array([[ax, ay], [bx, by]]) + steps[:, None, None] * np.array([ux, uy])
    starts_on = shapely.distance(cut.boundary, shapely.points(ends[:, 0])) < ON_EDGE
    there = np.flatnonzero(starts_on & (shapely.distance(edge, shapely.points(ends[:, 1])) < ON_EDGE))
    if not len(there):
        return line
    moved = shapely.linestrings(ends[there])
    over = shapely.length(shapely.intersection(moved, things)).round(6)
    found: LineString = moved[min(range(len(there)), key=lambda n: (over[n], abs(steps[there[n]])))]
    return found


def _letter(n: int) -> str:
    """a to z, then a2 and so on."""
    return f"{chr(ord('a') + n % 26)}{n // 26 + 1 if n >= 26 else ''}"


def _figures(item: Clearance) -> str:
    """A distance with its uncertainty; one that the job sets has none."""
    if item.expanded < 0.005 and item.verdict == "fits":
        return f"{round(item.amount.value, 2) + 0.0:.2f} mm, chosen"
    return item.figures


def draw_clearances(
    sheaf: Sheaf,
    rows: Sequence[Shown],
    room: Polygon,
    figures: Sequence[Polygon],
    artwork: Sequence[Polygon] = (),
) -> tuple[Polygon, ...]:
    """The line of each clearance and its letter beside it, in ``room``: over no other letter, none of the ``figures``
    that are there already, no line, and, where there is room beside it, no ``artwork``. Gives the grounds of all."""
    lines = [row.line for row in rows if row.line is not None]
    taken = list(figures)
    for line in lines:
        sheaf.line([(x, y) for x, y in line.coords], CASING, style.PAPER)
    for line in lines:
        sheaf.line([(x, y) for x, y in line.coords], 0.3, style.TEXT)
        for x, y in line.coords:
            sheaf.fill(circle((x, y), 0.6), style.PAPER)
            sheaf.fill(circle((x, y), 0.4), style.TEXT)
    for row in rows:
        if row.line is None:
            continue
        wide = paper(row.letter, style.TYPE_BODY, True).width / 2 + 0.8
        middle = row.line.interpolate(0.5, normalized=True)
        spot = _spot((middle.x, middle.y), wide, (taken, artwork), lines, room)
        if spot is None:
            continue
        x, y = spot
        ground = box(x - wide, y - BUBBLE, x + wide, y + BUBBLE)
        taken.append(ground)
        edge = shapely.shortest_line(ground, middle)
        if edge.length > 0.2:
            points = [(px, py) for px, py in edge.coords]
            sheaf.line(points, CASING / 2, style.PAPER)
            sheaf.line(points, 0.13, style.TEXT)
        sheaf.fill(ground, style.PAPER)
        sheaf.line(list(ground.exterior.coords)[:-1], 0.13, style.TEXT, closed=True)
        low = paper("x", style.TYPE_BODY, True).region.bounds[3] / 2
        sheaf.text(x, y - low, row.letter, style.TYPE_BODY, bold=True, align="centre")
    return tuple(taken)


def _spot(
    at: tuple[float, float],
    wide: float,
    closed: tuple[Sequence[Polygon], Sequence[Polygon]],
    lines: Sequence[LineString],
    room: Polygon,
) -> tuple[float, float] | None:
    """The nearest free place for a letter, looked for in rings round the middle of its line: off artwork and lines;
    then off lines alone; then one that only keeps off the other letters; None where even that is not to be had."""
    taken, artwork = closed
    for areas, among in ((artwork, lines), ((), lines), ((), ())):
        for n in range(1, 19):
            for k in range(24):
                a = 2 * math.pi * k / 24
                x, y = at[0] + (wide + 0.4 + 0.9 * (n - 1)) * math.cos(a), at[1] + (2.1 + 0.9 * (n - 1)) * math.sin(a)
                ground = box(x - wide - 0.3, y - BUBBLE - 0.3, x + wide + 0.3, y + BUBBLE + 0.3)
                if not room.contains(ground) or any(ground.intersects(other) for other in (*taken, *areas)):
                    continue
                if not any(ground.intersects(line) for line in among):
                    return x, y
    return None


def table_rows(rows: Sequence[Shown]) -> list[tuple[str, str, str, str]]:
    """The table under the picture: a head, then one row a clearance; a decal's name stands once."""
    found = [("", "Decal", "Clearance to", "\N{PLUS-MINUS SIGN} is expanded (k = 2)")]
    before = ""
    for row in rows:
        word = "" if row.verdict == "fits" else f"  {row.verdict}"
        found.append((row.letter, row.decal if row.decal != before else "", row.to, row.figures + word))
        before = row.decal
    return found


WIDTHS = (8.0, 46.0, 38.0, 46.0)


def table_height(rows: Sequence[Shown]) -> float:
    """How high the table becomes, mm; lines of a cell that wraps counted."""
    deep = 0.0
    for n, row in enumerate(table_rows(rows)):
        lines = max(len(wrap(cell, style.TYPE_REST, w - 1.6, n == 0)) for cell, w in zip(row, WIDTHS, strict=True))
        deep += PITCH + (lines - 1) * (PITCH - 1.0)
    return deep


def notes(fits: Sequence[Fitting], panel: Panel) -> list[str]:
    """What is said under the table: the verdicts, what to measure again, what helps the film, what lines mean."""
    said = [f"Assumed until measured: {', '.join(panel.unmeasured)}"] if panel.unmeasured else []
    sure = len(fits) > 1 and all(one.verdict == "fits" and not (one.across or one.decal.unmeasured) for one in fits)
    if sure:
        said.append("All of them fit.")
    for one in fits if not sure else ():
        text = f"{one.title}: {one.verdict}"
        if one.decal.unmeasured:
            text += f"; assumed until measured: {', '.join(one.decal.unmeasured)}"
        if one.fit.repeat and one.fit.verdict == "not known":
            name, dot, key = one.fit.repeat.partition(".")
            text += f"; measure {key} of {name} again" if dot else f"; measure {one.fit.repeat} again"
        if one.across:
            text += f"; runs across {' and '.join(one.across)}"
        said.append(text)
    said += [f"{one.title}: {one.bent}" for one in fits if one.strain is not None]
    if any(one.decal.over for one in fits):
        turn = application_order(list(dict.fromkeys(one.decal for one in fits)))
        said.append(f"Apply in this order: {', then '.join(decal.name for decal in turn)}.")
    lines = ["Dashed: cut line."]
    if any(item.clearance > 0 for item in panel.obstacles):
        lines.append("Dotted: the clearance that an obstacle asks for.")
    if any(one.strain is not None for one in fits):
        lines.append("Rings: strain of the film, in percent; heavy where softener, slits or wedges begin to be needed.")
    if any(one.slits for one in fits):
        lines.append("Heavy lines from the edge inward: slits, cut lines of the film.")
    elif any(one.strain is not None and one.strain.slits for one in fits):
        lines.append("Heavy lines from the edge inward: slits to cut by hand.")
    return [*said, " ".join(lines)]


def keep_off_lines(panel: Panel, place: Matrix) -> list[Item]:
    """The clearance of each obstacle, dotted, as far as it lies on the panel."""
    whole = panel.outline.polygon
    items: list[Item] = []
    for obstacle in panel.obstacles:
        if obstacle.clearance <= 0:
            continue
        for part in polygons(keep_off(obstacle).intersection(whole)):
            line = Outline.from_polygon(part).moved(place)
            items.append(Contour(line, CASING / 2, style.PAPER))
            items.append(Contour(line, style.LINE_TRIM, style.TEXT, DASH_CLEARANCE))
    return items


def strain_map(sheaf: Sheaf, one: Fitting, panel: Panel, place: Matrix, taken: list[Polygon]) -> list[Item]:
    """Rings of equal strain on a decal, each with its percentage, and the slits. ``taken`` grows by the labels."""
    if one.strain is None or not isinstance(panel.surface, DomeSurface):
        return []
    items: list[Item] = []
    for level in CONTOURS:
        ring = circle(one.strain.middle, reach(level, panel.surface.gauss))
        inside = ring.exterior.intersection(one.cut)
        heavy = level in (SOFTENER, SLITS, GORES)
        parts = list(getattr(shapely.line_merge(inside), "geoms", [shapely.line_merge(inside)]))
        for part in parts:
            if not isinstance(part, LineString | shapely.LinearRing) or part.length < 0.2:
                continue
            points = tuple((float(x), float(y)) for x, y in shapely.get_coordinates(transform_line(part, place)))
            items.append(Line(points, CASING, style.PAPER))
            items.append(Line(points, 0.4 if heavy else 0.2, style.ERROR if heavy else style.WARNING))
        lengthy = [part for part in parts if isinstance(part, LineString | shapely.LinearRing) and part.length > 0.2]
        if lengthy:
            _percentage(sheaf, level, max(lengthy, key=lambda part: part.length), place, taken)
    for slit in one.strain.slits if not one.slits else ():
        points = tuple((float(x), float(y)) for x, y in shapely.get_coordinates(transform_line(slit, place)))
        items.append(Line(points, CASING, style.PAPER))
        items.append(Line(points, SLIT, style.ERROR))
    return items


def _percentage(sheaf: Sheaf, level: float, ring: LineString, place: Matrix, taken: list[Polygon]) -> None:
    """The figure of a ring, on it, at the first of its places that is free."""
    label = f"{level * 100:g} %"
    wide = paper(label, style.TYPE_REST).width / 2 + 0.5
    for n in range(24):
        spot = transform_line(ring, place).interpolate((n + 0.5) / 24, normalized=True)
        ground = box(spot.x - wide, spot.y - 1.5, spot.x + wide, spot.y + 1.5)
        if not any(ground.intersects(other) for other in taken):
            taken.append(ground)
            sheaf.fill(ground, style.PAPER)
            sheaf.text(spot.x, spot.y - 0.97, label, style.TYPE_REST, colour=style.ERROR, align="centre")
            return


def transform_line(line: LineString, place: Matrix) -> LineString:
    """A line under a matrix."""
    return LineString([apply(place, (float(x), float(y))) for x, y in line.coords])
