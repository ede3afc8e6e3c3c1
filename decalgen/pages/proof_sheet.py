"""A sheet's pages of the proof: the very same sheet for plain paper, pale enough to be read in black and white, with
the check bars and the boxes for their readings over film that stays blank. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely
from shapely.geometry import Polygon, box
from shapely.geometry.base import BaseGeometry

from decalgen.core import style
from decalgen.core.document import Item, Layer, Line, Page
from decalgen.core.geometry import polygons, union
from decalgen.core.lengths.units import POINT_MM
from decalgen.lettering.paper import paper_width, wrap
from decalgen.nesting.remnant import largest_rectangle
from decalgen.pages.composer import Sheaf, hatch
from decalgen.pages.pale_artwork import outlines, pale_areas
from decalgen.pages.proof_bars import ProofWords, bar_pages, write_bars
from decalgen.pages.proof_code import write_code
from decalgen.pages.proof_numbers import write_numbers
from decalgen.sheet.arrange import Sheet
from decalgen.sheet.film_area import correction_of
from decalgen.sheet.furniture import earlier_mark

PITCH = 4.0
"""Between the lines of the hatch over used film, mm."""
JOINED = 0.02
"""Parts of used film no farther apart are one, mm: the drawer keeps a part with an opening as halves."""
USED = "used before: nothing prints here"
CUT_OFF = "cut off"


def sheet_pages(sheet: Sheet, told: ProofWords) -> list[Page]:
    """The page of a sheet, at the size of its film, and after it, where it has no room for its check bars, theirs."""
    sheaf = Sheaf(sheet.film.width, sheet.film.height)
    gone: list[Item] = _used_film(sheaf, sheet)
    for x, y, number in sheet.film.marks:
        gone += earlier_mark(x, y, number)
    beside = write_numbers(sheaf, sheet)
    left = write_bars(sheaf, sheet, told)
    if told.code and sheet.bars.own_page:
        write_code(sheaf, sheet, told.code, beside)
    pale = [item for one in sheet.placed for item in pale_areas(one.piece.artwork, one.matrix)]
    lines = [item for one in sheet.placed for item in outlines(one.piece.artwork, one.matrix)]
    layers = (
        Layer("Tint", tuple(pale), "artwork"),
        Layer("Lines", (*lines, *gone), "cutting"),
        Layer("Marks", (*sheet.furniture.items, *sheet.ticks, *sheet.leaders, *sheet.labels), "marks"),
    )
    x0, y0, x1, y1 = sheet.area.bounds
    page = replace(sheaf.page(*layers, trim=(x0, y0, x1, y1)), correction=correction_of(sheet.printer))
    return [page, *bar_pages(sheet, told, left)]


def _used_film(sheaf: Sheaf, sheet: Sheet) -> list[Item]:
    """What is gone of the film: hatched where it was used, left white where it was cut off, each with words where there
    is room for them, and without the lines between parts that belong together."""
    film = sheet.film
    rings = [Polygon(ring) for ring in film.used_polygons]
    cut = [one for n, one in enumerate(rings) if n in film.cut_off]
    used = [one for n, one in enumerate(rings) if n not in film.cut_off]
    used += [box(u.x, u.y, u.x + u.width, u.y + u.height) for u in film.used]
    away = _joined(cut)
    marks = [shapely.Point(x, y).buffer(4.0) for x, y, _ in film.marks]
    items: list[Item] = []
    for areas, words in ((_joined(used).difference(away), USED), (away, CUT_OFF)):
        for part in polygons(areas):
            items += [
                Line(tuple((float(x), float(y)) for x, y in ring.coords[:-1]), style.LINE_TRIM, style.TEXT, closed=True)
                for ring in (part.exterior, *part.interiors)
            ]
            field = _write(sheaf, part, words, marks)
            if words == USED:
                shown = polygons(part if field is None else part.difference(field))
                items += [
                    Line(line, style.LINE_HATCH, style.QUIET) for one in shown for line in hatch(one, PITCH, 45.0)
                ]
    return items


def _joined(parts: Sequence[Polygon]) -> BaseGeometry:
    if not parts:
        return Polygon()
    return union([one.buffer(JOINED, join_style="mitre") for one in parts]).buffer(-JOINED, join_style="mitre")


def _write(sheaf: Sheaf, area: Polygon, words: str, taken: Sequence[Polygon]) -> Polygon | None:
    """Words in the largest rectangle of an area, in as many lines as it needs. Gives the field that is kept white round
    them; None where they have no room."""
    x0, y0, x1, y1 = area.bounds
    outside = polygons(box(x0, y0, x1, y1).difference(area))
    free = largest_rectangle((x0, y0, x1, y1), np.array([*outside, *taken], dtype=object))
    if free is None:
        return None
    step, pad = style.TYPE_BODY * POINT_MM * style.LEADING, 1.5
    room = free[2] - free[0] - 2 * pad
    rows = wrap(words, style.TYPE_BODY, room) if room > 6.0 else []
    wide = max((paper_width(row, style.TYPE_BODY) for row in rows), default=0.0)
    if not rows or any(len(row) < 3 for row in rows) or len(rows) * step + 2 * pad > free[3] - free[1]:
        return None
    cx, cy = (free[0] + free[2]) / 2, (free[1] + free[3]) / 2
    top = cy + len(rows) * step / 2
    for n, row in enumerate(rows):
        sheaf.text(cx, top - (n + 0.75) * step, row, align="centre")
    half = len(rows) * step / 2 + 0.8
    return box(cx - wide / 2 - pad, cy - half, cx + wide / 2 + pad, cy + half)
