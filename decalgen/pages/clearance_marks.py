"""What a panel's picture shows of the fit: every clearance with its number, and below it the figures; the strain of
film on panels curved both ways. Numbers in the picture and figures in a table, so that nothing is too small to read.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

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
from decalgen.panels.sections import keep_off
from decalgen.panels.strain import GORES, SLITS, SOFTENER, reach
from decalgen.preflight.fitting import Fitting, in_order

DASH_CLEARANCE = (0.4, 0.6)
CONTOURS = (0.0025, 0.005, SOFTENER, 0.02, SLITS, 0.05, GORES)
"""Strain at which a line is drawn; heavier where other advice begins."""
SLIT = 0.4
"""How thick a slit is drawn, mm."""
PITCH = 4.0
CASING = 0.8
"""A pale line under every line of a measure, mm wide: it has to show on any colour of paint and ink."""
BUBBLE = 1.7
"""Half the height of the ground under a number, mm."""


@dataclass(frozen=True)
class Shown:
    """One clearance in the picture: its number, the decal, what it is to, the figures, and its line on the page."""

    number: int
    decal: str
    to: str
    figures: str
    verdict: str
    line: LineString | None


def shown(fits: Sequence[Fitting], panel: Panel, place: Matrix) -> tuple[Shown, ...]:
    """All clearances of some decals, numbered; ``place`` leads from the panel's coordinates to the page."""
    rows: list[Shown] = []
    for one in fits:
        for item in in_order(one.fit.clearances):
            if item.towards == "room":
                continue
            ends = dimension_line(one.cut, panel, item.to)
            line = None if ends is None else LineString([apply(place, end) for end in ends])
            rows.append(Shown(len(rows) + 1, one.title, item.label, item.figures, item.verdict, line))
    return tuple(rows)


def draw_clearances(
    sheaf: Sheaf, rows: Sequence[Shown], room: Polygon, figures: Sequence[Polygon]
) -> tuple[Polygon, ...]:
    """The line of each clearance and its number beside it, in ``room``, no number over another, over one of the
    ``figures`` that are there already, or over a line. Gives the grounds of all figures."""
    lines = [row.line for row in rows if row.line is not None]
    taken = list(figures)
    for line in lines:
        sheaf.line([(x, y) for x, y in line.coords], CASING, style.GROUND)
    for line in lines:
        sheaf.line([(x, y) for x, y in line.coords], 0.25, style.ACCENT)
        for x, y in line.coords:
            sheaf.fill(circle((x, y), 0.35), style.ACCENT)
    for row in rows:
        if row.line is None:
            continue
        wide = paper(str(row.number), style.TYPE_SMALL, True).width / 2 + 0.7
        middle = row.line.interpolate(0.5, normalized=True)
        spot = _spot((middle.x, middle.y), wide, taken, lines, room)
        if spot is None:
            continue
        x, y = spot
        ground = box(x - wide, y - BUBBLE, x + wide, y + BUBBLE)
        taken.append(ground)
        edge = shapely.shortest_line(ground, middle)
        if edge.length > 0.2:
            sheaf.line([(px, py) for px, py in edge.coords], 0.1, style.ACCENT)
        sheaf.fill(ground, style.GROUND)
        sheaf.line(list(ground.exterior.coords)[:-1], 0.1, style.ACCENT, closed=True)
        sheaf.text(x, y - 0.97, str(row.number), style.TYPE_SMALL, bold=True, colour=style.ACCENT, align="centre")
    return tuple(taken)


def _spot(
    at: tuple[float, float], wide: float, taken: Sequence[Polygon], lines: Sequence[LineString], room: Polygon
) -> tuple[float, float] | None:
    """The nearest free place for a number, looked for in rings round the middle of its line; where lines cross all
    about, one that only keeps off the other numbers; None where even that is not to be had."""
    for among in (lines, ()):
        for n in range(1, 13):
            for k in range(16):
                a = 2 * math.pi * k / 16
                x, y = at[0] + (wide + 0.4 + 0.9 * (n - 1)) * math.cos(a), at[1] + (2.1 + 0.9 * (n - 1)) * math.sin(a)
                ground = box(x - wide - 0.3, y - BUBBLE - 0.3, x + wide + 0.3, y + BUBBLE + 0.3)
                if not room.contains(ground) or any(ground.intersects(other) for other in taken):
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
        number = str(row.number) if row.line is not None else "\N{EN DASH}"
        found.append((number, row.decal if row.decal != before else "", row.to, row.figures + word))
        before = row.decal
    return found


WIDTHS = (8.0, 46.0, 38.0, 46.0)


def table_height(rows: Sequence[Shown]) -> float:
    """How high the table becomes, mm; lines of a cell that wraps counted."""
    deep = 0.0
    for n, row in enumerate(table_rows(rows)):
        lines = max(len(wrap(cell, style.TYPE_SMALL, w - 1.6, n == 0)) for cell, w in zip(row, WIDTHS, strict=True))
        deep += PITCH + (lines - 1) * (PITCH - 1.0)
    return deep


def notes(fits: Sequence[Fitting], panel: Panel) -> list[str]:
    """What is said under the table: the verdicts, what to measure again, what helps the film, what lines mean."""
    said = [f"Assumed until measured: {', '.join(panel.unmeasured)}"] if panel.unmeasured else []
    for one in fits:
        text = f"{one.title}: {one.verdict}"
        if one.decal.unmeasured:
            text += f"; assumed until measured: {', '.join(one.decal.unmeasured)}"
        if one.fit.repeat and one.fit.verdict == "not known":
            name, dot, key = one.fit.repeat.partition(".")
            text += f"; measure {key} of {name} again" if dot else f"; measure {one.fit.repeat} again"
        if one.across:
            text += f"; runs across {' and '.join(one.across)}"
        said.append(text)
        if one.strain is not None:
            said.append(f"{one.title}: {one.bent}")
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
            items.append(Contour(line, CASING / 2, style.GROUND))
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
            items.append(Line(points, CASING, style.GROUND))
            items.append(Line(points, 0.4 if heavy else 0.2, style.ERROR if heavy else style.WARNING))
        lengthy = [part for part in parts if isinstance(part, LineString | shapely.LinearRing) and part.length > 0.2]
        if lengthy:
            _percentage(sheaf, level, max(lengthy, key=lambda part: part.length), place, taken)
    for slit in one.strain.slits if not one.slits else ():
        points = tuple((float(x), float(y)) for x, y in shapely.get_coordinates(transform_line(slit, place)))
        items.append(Line(points, CASING, style.GROUND))
        items.append(Line(points, SLIT, style.ERROR))
    return items


def _percentage(sheaf: Sheaf, level: float, ring: LineString, place: Matrix, taken: list[Polygon]) -> None:
    """The figure of a ring, on it, at the first of its places that is free."""
    label = f"{level * 100:g} %"
    wide = paper(label, style.TYPE_SMALL).width / 2 + 0.5
    for n in range(24):
        spot = transform_line(ring, place).interpolate((n + 0.5) / 24, normalized=True)
        ground = box(spot.x - wide, spot.y - 1.5, spot.x + wide, spot.y + 1.5)
        if not any(ground.intersects(other) for other in taken):
            taken.append(ground)
            sheaf.fill(ground, style.GROUND)
            sheaf.text(spot.x, spot.y - 0.97, label, style.TYPE_SMALL, colour=style.ERROR, align="centre")
            return


def transform_line(line: LineString, place: Matrix) -> LineString:
    """A line under a matrix."""
    return LineString([apply(place, (float(x), float(y))) for x, y in line.coords])
