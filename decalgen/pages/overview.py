"""An overview of a print: the sheets at their own size, and every panel with its decals over the body colour."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from decalgen.artwork.build import Artwork
from decalgen.artwork.painted import painted
from decalgen.core import style
from decalgen.core.document import Contour, Document, Fill, Item, Line, Picture, Symbol, Use
from decalgen.core.geometry import Matrix, mirror_x, multiply, polygons, rectangle, region, transform, translation
from decalgen.job.model import Job
from decalgen.pages.composer import Sheaf
from decalgen.pages.decal_and_panel import is_mirrored, obstacle_outlines, panel_outline, position_on_panel
from decalgen.panels.base import Panel
from decalgen.sheet.arrange import Arrangement, Sheet

ZOOM = 1.4
"""Panels are shown larger than they are by this, the sheets at their own size."""
EDGE = 12.0
"""Blank round the page, mm."""
GAP = 8.0
"""Between what is shown, mm."""


def overview(arrangement: Arrangement, jobs: Sequence[Job], drawn: Mapping[str, Sequence[Artwork]]) -> Document:
    """The sheets as they come from the printer, and under them every panel with its decals over the body colour.

    ``drawn``: by the job's name all its decals, as `artworks` gives them.
    """
    width = 2 * EDGE + sum(s.film.width for s in arrangement.sheets) + GAP * (len(arrangement.sheets) - 1)
    rows = [list(_rows(job, drawn[job.name], width - 2 * EDGE)) for job in jobs]
    tall = max(s.film.height for s in arrangement.sheets) + 2 * EDGE + 14.0
    tall += sum(10.0 + sum(_deep(row) for row in job_rows) for job_rows in rows)
    sheaf = Sheaf(width, tall)
    sheaf.fill(rectangle(0, 0, width, tall), style.GROUND)
    x, y = EDGE, tall - EDGE
    for sheet in arrangement.sheets:
        text = f"Sheet {sheet.index} of {sheet.of}: {sheet.film.name}, {len(sheet.placed)} pieces, drawn 1 : 1"
        sheaf.text(x, y - 3.0, text, style.TYPE_BODY, bold=True)
        _sheet(sheaf, sheet, x, y - 6.0 - sheet.film.height)
        x += sheet.film.width + GAP
    y -= max(s.film.height for s in arrangement.sheets) + 14.0
    for job, job_rows in zip(jobs, rows, strict=True):
        sheaf.text(EDGE, y - 3.0, f"{job.title}, drawn {ZOOM:g} : 1", style.TYPE_BODY, bold=True)
        y -= 10.0
        for row in job_rows:
            x = EDGE
            for panel, shown in row:
                _panel(sheaf, job, panel, shown, x, y)
                x += panel.width.value * ZOOM + GAP
            y -= _deep(row)
    return Document((sheaf.page(),), title=f"{len(jobs)} jobs on {len(arrangement.sheets)} sheets")


OnPanel = tuple[Artwork, ...]


def _rows(job: Job, everything: Sequence[Artwork], width: float) -> Iterator[list[tuple[Panel, OnPanel]]]:
    """The job's panels, each hand with its decals, in rows no wider than told."""
    row: list[tuple[Panel, OnPanel]] = []
    room = width
    for panel in job.panels:
        mine = [art for art in everything if art.decal.panel == panel.name]
        for hand in dict.fromkeys(art.hand for art in mine if art.hand) or (None,):
            wide = panel.width.value * ZOOM
            if row and wide > room:
                yield row
                row, room = [], width
            row.append((panel, tuple(art for art in mine if art.hand in (hand, None))))
            room -= wide + GAP
    yield row


def _deep(row: Sequence[tuple[Panel, OnPanel]]) -> float:
    return max(panel.height.value for panel, _ in row) * ZOOM + 11.0


def _panel(sheaf: Sheaf, job: Job, panel: Panel, shown: OnPanel, x: float, top: float) -> None:
    mirrored = any(is_mirrored(art, panel) for art in shown)
    outline = panel_outline(panel, mirrored).polygon
    y = top - panel.height.value * ZOOM
    place: Matrix = multiply(translation(x, y), (ZOOM, 0.0, 0.0, ZOOM, 0.0, 0.0))
    sheaf.fill(region(transform(outline, place)), job.paint(job.body).colour)
    for art in shown:
        on = multiply(place, position_on_panel(art, panel))
        if art.film == "white":
            sheaf.fill(region(transform(art.cut_polygon, on)), "#ffffff")
        for inked in art.shown:
            sheaf.fill(region(transform(inked.region, on)), art.colour(inked.ink))
    hand = next((art.hand for art in shown if art.hand), None)
    name = f"{panel.name}, {hand}" if hand else panel.name
    for obstacle in panel.obstacles:
        for part in obstacle_outlines(obstacle, panel):
            area = part.moved(mirror_x(panel.width.value)).polygon if mirrored else part.polygon
            sheaf.fill(region(transform(area, place)), style.OBSTACLE)
    ring = transform(outline, place)
    sheaf.line(list(polygons(ring)[0].exterior.coords)[:-1], style.LINE_RULE, style.QUIET, closed=True)
    sheaf.text(x, y - 4.0, name, style.TYPE_REST)


def _sheet(sheaf: Sheaf, sheet: Sheet, x: float, y: float) -> None:
    film = sheet.film
    ground = "#ffffff" if film.kind == "white" else "#e6ebec"
    sheaf.fill(rectangle(x, y, x + film.width, y + film.height), ground)
    for used in film.used:
        sheaf.fill(rectangle(x + used.x, y + used.y, x + used.x + used.width, y + used.y + used.height), style.RULE)
    corners = ((x, y), (x + film.width, y), (x + film.width, y + film.height), (x, y + film.height))
    sheaf.line(corners, style.LINE_RULE, style.QUIET, closed=True)
    for placed in sheet.placed:
        on = multiply(translation(x, y), placed.matrix)
        art = placed.piece.artwork
        sheaf.items += [one for one in painted(art.printed, art.colour, on) if polygons(one.region)]
    marks = Symbol(f"marks-{sheet.index}", _plain(sheet.in_waste))
    sheaf.items.append(Use(marks, translation(x, y)))


def _plain(items: Sequence[Item]) -> tuple[Fill | Line | Contour | Picture, ...]:
    return tuple(item for item in items if not isinstance(item, Use))
