"""A sheet's page of the proof: the very same sheet for plain paper. Pure."""

from __future__ import annotations

from dataclasses import replace

import shapely

from decalgen.artwork.cutting_lines import cutting_lines
from decalgen.core import style
from decalgen.core.document import Fill, Item, Layer, Line, Page
from decalgen.core.geometry import polygons, transform
from decalgen.pages.composer import Sheaf
from decalgen.pages.proof_code import write_code
from decalgen.pages.proof_numbers import write_numbers
from decalgen.sheet.arrange import Sheet
from decalgen.sheet.film_area import correction_of
from decalgen.sheet.furniture import earlier_mark

TINT = 0.72
"""How far an ink is lightened on the proof: enough ink to see the picture, little enough to write on."""

SMALL = 4.0
"""Areas under this, mm², get no outline on the proof."""


def tint(colour: str, by: float = TINT) -> str:
    """A colour mixed with white."""
    parts = (int(colour[i : i + 2], 16) for i in (1, 3, 5))
    return "#" + "".join(f"{round(v + (255 - v) * by):02x}" for v in parts)


def sheet_page(sheet: Sheet, code: str) -> Page:
    """The page, at the size of the film. ``code``: what is typed with its readings; empty: nothing."""
    items: list[Item] = []
    over: list[Item] = []
    for placed in sheet.placed:
        artwork = placed.piece.artwork
        for inked in artwork.shown:
            area = transform(inked.region, placed.matrix)
            items.append(Fill(shapely.MultiPolygon(polygons(area)), tint(artwork.colour(inked.ink)), inked.ink))
            over += [_ring(ring, 0.05, style.QUIET) for part in polygons(area) for ring in _edges(part)]
        over += cutting_lines(artwork, placed.matrix, style.LINE_TRIM, style.TEXT, style.DASH_TRIM)
    for used in sheet.film.used:
        x, y = used.x, used.y
        corners = ((x, y), (x + used.width, y), (x + used.width, y + used.height), (x, y + used.height))
        over += [
            Line(corners, style.LINE_TRIM, style.QUIET, closed=True),
            Line((corners[0], corners[2]), 0.1, style.QUIET),
        ]
    over += [Line(ring, style.LINE_TRIM, style.QUIET, closed=True) for ring in sheet.film.used_polygons]
    for x, y, number in sheet.film.marks:
        over += earlier_mark(x, y, number)
    marks = Layer("Marks", (*sheet.furniture.items, *sheet.leaders, *sheet.labels), "marks")
    numbers = Sheaf(sheet.film.width, sheet.film.height)
    beside = write_numbers(numbers, sheet)
    if code:
        write_code(numbers, sheet, code, beside)
    layers = (
        Layer("Tint", tuple(items), "artwork"),
        Layer("Lines", tuple(over), "cutting"),
        marks,
    )
    x0, y0, x1, y1 = sheet.area.bounds
    return replace(numbers.page(*layers, trim=(x0, y0, x1, y1)), correction=correction_of(sheet.printer))


def _edges(part: shapely.Polygon) -> list[shapely.LinearRing]:
    """The edges that a line helps to see. Round small letters, printed or left bare, lines would only blot."""
    rings = (part.exterior, *part.interiors)
    return [ring for ring in rings if shapely.Polygon(ring).area >= SMALL]


def _ring(ring: shapely.LinearRing, width: float, colour: str) -> Line:
    return Line(tuple((float(x), float(y)) for x, y in ring.coords[:-1]), width, colour, closed=True)
