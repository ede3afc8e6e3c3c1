"""A decal with what a check found on it: a numbered mark at each place, and under it a key. Pure."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import shapely
from shapely.geometry import LineString, Point, Polygon, box

from decalgen.artwork.build import Artwork
from decalgen.artwork.cutting_lines import cutting_lines
from decalgen.artwork.on_panel import corner_on, on_panel
from decalgen.artwork.painted import painted
from decalgen.core import style
from decalgen.core.document import Contour, Document, Fill, Item, Layer, Line
from decalgen.core.errors import Area, Finding, Severity
from decalgen.core.geometry import Matrix, apply, circle, multiply, region, rounded, transform, translation
from decalgen.core.values import dataclass
from decalgen.job.model import Decal, Job
from decalgen.lettering.paper import wrap
from decalgen.pages.composer import Sheaf
from decalgen.pages.decal_and_panel import film_ground
from decalgen.pages.picture_head import PAD, WIDE, head_height, write_head
from decalgen.preflight.features import MARGIN
from decalgen.shapes.base import Box

WIDEST = 120.0
"""The decal's picture is at most this wide, mm; half of it high."""
TALL = 60.0
MOST_SCALE = 20.0
AROUND = 9.0
"""Round the decal, mm: room for numbers, and for the panel's edge."""
BADGE = 2.1
"""Radius of the ground under a number, mm."""
RING = 0.45
CASING = 1.2
"""A pale line under every mark, mm wide: it has to show on any ink."""
BESIDE = 1.5
"""A place beside the decal is shown as far as this many times its longer side."""
LEAST = 2.4
"""No mark is smaller, mm."""
APART = 3.0
"""Places of one finding that are nearer to each other share a mark, mm on the page."""
LINE = 3.9
"""From line to line of the key, mm."""
BETWEEN = 2.6
INDENT = 7.0
COLOURS: dict[Severity, str] = {"error": style.ERROR, "warning": style.WARNING, "note": style.ACCENT}


@dataclass(frozen=True)
class _Entry:
    """One finding in the key. ``number`` 0: it has no place of its own on the decal."""

    number: int
    finding: Finding
    head: str
    body: tuple[str, ...]
    fix: tuple[str, ...]

    @property
    def height(self) -> float:
        return LINE * (1 + len(self.body) + len(self.fix)) + BETWEEN


def findings_picture(
    parts: Sequence[Artwork], findings: Sequence[Finding], decal: Decal, job: Job, date: str | None
) -> Document:
    """One hand of a decal, all its sections, with its findings; ``findings`` in the order of their numbers."""
    x0, y0, x1, y1 = _frame(parts, findings)
    scale = min(WIDEST / (x1 - x0), TALL / (y1 - y0), MOST_SCALE)
    wide, high = (x1 - x0) * scale + 2 * AROUND, (y1 - y0) * scale + 2 * AROUND
    width = WIDE
    entries = _entries(findings, width - 2 * PAD - INDENT)
    key = sum(entry.height for entry in entries) + 4.0
    head = f"{_name(parts[0])}: what the check found"
    under = f"{job.title} · {parts[0].film} film · drawn {scale:.3g} : 1"
    sheaf = Sheaf(width, head_height(head, under) + PAD + 4 + high + 9 + key)
    write_head(sheaf, head, under)
    foot = PAD + key + 9
    left = PAD + (width - 2 * PAD - wide) / 2
    place = multiply(
        translation(left + AROUND, foot + AROUND), multiply((scale, 0, 0, scale, 0, 0), translation(-x0, -y0))
    )
    window = box(left, foot, left + wide, foot + high)
    below, over = _surroundings(parts[0], decal, job, place, window)
    items = [*below, *_decal(parts, job, place), *over]
    _marks(sheaf, entries, place, window)
    _key(sheaf, entries, PAD + key - 4.0)
    bar = next(size for size in (50.0, 20.0, 10.0, 5.0, 2.0, 1.0, 0.5) if size * scale <= 45 or size == 0.5)
    sheaf.scale_bar(PAD, foot - 6.5, bar, scale, f"{bar:g} mm on the model")
    page = replace(sheaf.page(Layer("Decal", tuple(items), "artwork")), ground=style.GROUND)
    return Document((page,), title=f"{job.title}: findings on {_name(parts[0])}", date=date)


def _frame(parts: Sequence[Artwork], findings: Sequence[Finding]) -> Area:
    """What the picture shows, mm of the artwork: the decal, and the places of findings beside it as far as `BESIDE`."""
    x0, y0, x1, y1 = (float(side) for side in shapely.total_bounds([part.cut_polygon for part in parts]))
    reach = BESIDE * max(x1 - x0, y1 - y0)
    most = box(x0 - reach, y0 - reach, x1 + reach, y1 + reach)
    inner = [box(*spot).buffer(-MARGIN, join_style="mitre") for finding in findings for spot in finding.areas]
    shown = [spot.intersection(most) for spot in inner]
    beside = [spot for spot in shown if not spot.is_empty]
    a, b, c, d = (float(side) for side in shapely.total_bounds([box(x0, y0, x1, y1), *beside]))
    return a, b, c, d


def _name(art: Artwork) -> str:
    return f"{art.decal.name}, {art.hand}" if art.hand else art.decal.name


def _decal(parts: Sequence[Artwork], job: Job, place: Matrix) -> list[Item]:
    items: list[Item] = []
    for art in parts:
        items.append(Fill(region(transform(art.cut_polygon, place)), film_ground(art, job)))
        items += painted(art.shown, art.colour, place)
        items += cutting_lines(art, place, style.LINE_TRIM, style.TEXT, style.DASH_TRIM)
    return items


def _surroundings(
    art: Artwork, decal: Decal, job: Job, place: Matrix, window: Polygon
) -> tuple[list[Item], list[Item]]:
    """As much of the panel as lies in the picture: its ground, under the decal, and its edge and obstacles, over it."""
    panel, at = on_panel(job, decal, art.hand)
    x, y = corner_on(panel, at, Box(art.width, art.height))
    on = multiply(place, translation(-x, -y))
    outline = transform(panel.outline.polygon, on)
    under: list[Item] = [Fill(region(window), style.PAPER), Fill(region(outline.intersection(window)), "#e9e6df")]
    edges = [outline.boundary]
    for obstacle in panel.obstacles:
        shape = transform(obstacle.outline.polygon, on).intersection(outline)
        under.append(Fill(region(shape.intersection(window)), style.OBSTACLE))
        edges.append(shape.boundary)
    over: list[Item] = []
    for edge in edges:
        inside = edge.intersection(window)
        lines = [tuple(part.coords) for part in getattr(inside, "geoms", [inside]) if part.length > 0]
        over += [Line(line, 3 * style.LINE_PANEL, style.PAPER) for line in lines]
        over += [Line(line, style.LINE_PANEL, style.QUIET) for line in lines]
    return under, over


def _entries(findings: Sequence[Finding], width: float) -> list[_Entry]:
    """Those with a place first, numbered; then the others."""
    found, number = [], 0
    for finding in (*(f for f in findings if f.areas), *(f for f in findings if not f.areas)):
        number += bool(finding.areas)
        head = f"{finding.severity}  {finding.code}"
        if finding.measured is not None and finding.limit is not None:
            measured, limit = (_figure(value, finding.unit) for value in (finding.measured, finding.limit))
            head += f"   measured {measured}, limit {limit}"
        body = tuple(wrap(_sentence(finding.message), style.TYPE_REST, width))
        fix = tuple(wrap(f"What to do: {finding.fix}", style.TYPE_REST, width)) if finding.fix else ()
        found.append(_Entry(number if finding.areas else 0, finding, head, body, fix))
    return found


def _figure(value: float, unit: str) -> str:
    return f"{value:.2f} {unit}" if unit.startswith("mm") else f"{value:.3g}{'' if unit[0] in ':%' else ' '}{unit}"


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:]


def _key(sheaf: Sheaf, entries: Sequence[_Entry], y: float) -> None:
    sheaf.line(((PAD, y + 4.0), (sheaf.width - PAD, y + 4.0)), style.LINE_PANEL, style.TEXT)
    y -= 1.0
    for entry in entries:
        colour = COLOURS[entry.finding.severity]
        if entry.number:
            _badge(sheaf, PAD + BADGE, y + 1.0, entry.number, colour)
        else:
            sheaf.fill(circle((PAD + BADGE, y + 1.0), 0.7), colour)
        sheaf.text(PAD + INDENT, y, entry.head, style.TYPE_REST, bold=True, colour=colour)
        for lines, tone in ((entry.body, style.TEXT), (entry.fix, style.TEXT)):
            for line in lines:
                y -= LINE
                sheaf.text(PAD + INDENT, y, line, style.TYPE_REST, colour=tone)
        y -= LINE + BETWEEN


def _badge(sheaf: Sheaf, x: float, y: float, number: int, colour: str) -> None:
    sheaf.fill(circle((x, y), BADGE + 0.35), style.PAPER)
    sheaf.fill(circle((x, y), BADGE), colour)
    sheaf.text(x, y - 0.97, str(number), style.TYPE_REST, bold=True, colour=style.PAPER, align="centre")


def _marks(sheaf: Sheaf, entries: Sequence[_Entry], place: Matrix, window: Polygon) -> None:
    """A ring round each place and its number beside it, no number over another or over a ring."""
    whole = [(entry, ring) for entry in entries for ring in merged(entry.finding.areas, place)]
    rings = [(entry, _inside(ring, window)) for entry, ring in whole]
    lines = [ring.exterior for _, ring in rings]
    for _, ring in rings:
        _ring(sheaf, ring, CASING, style.PAPER)
    for entry, ring in rings:
        _ring(sheaf, ring, RING, COLOURS[entry.finding.severity])
    taken: list[Polygon] = []
    for entry, ring in rings:
        at = _free(ring, taken, [line for line in lines if line is not ring.exterior], window)
        if at is None:
            continue
        colour = COLOURS[entry.finding.severity]
        taken.append(circle(at, BADGE + 0.5))
        near = shapely.shortest_line(Point(at), ring.exterior)
        if near.length > BADGE + 0.3:
            ends = [(float(px), float(py)) for px, py in near.coords]
            sheaf.line(ends, CASING, style.PAPER)
            sheaf.line(ends, RING, colour)
        _badge(sheaf, *at, entry.number, colour)


def merged(areas: Sequence[Area], place: Matrix) -> list[Polygon]:
    """Rectangles on the page round the areas of one finding, those that run into each other as one; none too small."""
    found: list[Polygon] = []
    for area in areas:
        (a, b), (c, d) = apply(place, area[:2]), apply(place, area[2:])
        gx, gy = max(0.0, LEAST - (c - a)) / 2, max(0.0, LEAST - (d - b)) / 2
        now = box(a - gx, b - gy, c + gx, d + gy)
        while hit := [other for other in found if other.distance(now) < APART]:
            found = [other for other in found if other not in hit]
            now = box(*shapely.total_bounds([now, *hit]))
        found.append(now)
    return found


def _inside(ring: Polygon, window: Polygon) -> Polygon:
    """A mark as far as it lies in the picture; one wholly beside it at the edge nearest to it."""
    x0, y0, x1, y1 = window.bounds
    within = ring.intersection(window)
    if within.area > 0:
        return box(*within.bounds)
    point = shapely.shortest_line(window, ring).coords[0]
    x, y = min(max(point[0], x0 + LEAST), x1 - LEAST), min(max(point[1], y0 + LEAST), y1 - LEAST)
    return box(x - LEAST / 2, y - LEAST / 2, x + LEAST / 2, y + LEAST / 2)


def _ring(sheaf: Sheaf, ring: Polygon, width: float, colour: str) -> None:
    x0, y0, x1, y1 = ring.bounds
    radius = min(1.2, (x1 - x0) / 2, (y1 - y0) / 2)
    sheaf.items.append(Contour(rounded(x1 - x0, y1 - y0, (radius,) * 4, x0, y0), width, colour))


def _free(
    ring: Polygon, taken: Sequence[Polygon], lines: Sequence[LineString], window: Polygon
) -> tuple[float, float] | None:
    """The free place nearest to a ring for its number, outside it; where rings lie all about, one that only keeps off
    other numbers; None where even that is not to be had."""
    x0, y0, x1, y1 = ring.bounds
    middle = ((x0 + x1) / 2, (y0 + y1) / 2)
    for among in (lines, ()):
        for n in range(10):
            away = ring.buffer(BADGE + 0.4 + 1.2 * n, join_style="mitre").exterior
            corner = away.project(Point(x1, y1 + BADGE))
            for k in range(24):
                spot = away.interpolate((corner + away.length * _turn(k) / 24) % away.length)
                ground = circle((spot.x, spot.y), BADGE + 0.5)
                if not window.contains(ground) or any(ground.intersects(other) for other in taken):
                    continue
                if not any(ground.intersects(line) for line in among):
                    return spot.x, spot.y
    return middle if not taken else None


def _turn(k: int) -> int:
    """0, 1, -1, 2, -2 and so on: from the upper right corner to both sides."""
    return math.ceil(k / 2) * (1 if k % 2 else -1)
