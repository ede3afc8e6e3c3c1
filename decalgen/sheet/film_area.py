"""What of a sheet of film can be printed: inside the printer's margins, off what is used. Pure; mm."""

from __future__ import annotations

import math

from shapely.geometry import Polygon, box
from shapely.ops import unary_union

from decalgen.core.errors import FilmError
from decalgen.core.geometry import fault_of_ring, region
from decalgen.job.model import Film, Printer

CLEARANCE = 1.0
"""Between a cut line and furniture or a used part of the film, mm, bleed added."""


def printable(film: Film, printer: Printer) -> Polygon:
    """The rectangle of a sheet that can be printed: inside the printer's margins, without strips already used up.

    A used part that leaves no whole strip stays a keep-out inside the rectangle. Raises FilmError when nothing is left.
    """
    left, right, bottom, top = printer.margins
    x0, y0, x1, y1 = left, bottom, film.width - right, film.height - top
    for used in film.used:
        ux1, uy1 = used.x + used.width, used.y + used.height
        if used.x <= x0 and ux1 >= x1:
            if used.y <= y0:
                y0 = max(y0, uy1)
            elif uy1 >= y1:
                y1 = min(y1, used.y)
        elif used.y <= y0 and uy1 >= y1:
            if used.x <= x0:
                x0 = max(x0, ux1)
            elif ux1 >= x1:
                x1 = min(x1, used.x)
    if film.used_polygons and x1 > x0 and y1 > y0:
        rest = region(box(x0, y0, x1, y1).difference(unary_union(used_parts(film))))
        x0, y0, x1, y1 = rest.bounds if not rest.is_empty else (0.0, 0.0, 0.0, 0.0)
    if x1 - x0 < 1 or y1 - y0 < 1:
        raise FilmError(
            f"nothing of the film '{film.name}' ({film.width:g} × {film.height:g} mm) is left to print on",
            fix="take a larger sheet, or correct the margins and the used parts in its file",
        )
    return box(x0, y0, x1, y1)


def check_film(film: Film, printer: Printer) -> None:
    """Raises FilmError when the film was not made for the printer: no option overrides this. A print shop takes film
    of either kind, and says which."""
    if film.process != printer.process and not printer.shop:
        harm = (
            "inkjet film melts in a laser printer's hot fuser and ruins it"
            if printer.process == "laser"
            else "inkjet ink does not dry on laser film"
        )
        its = "a laser printer" if printer.process == "laser" else "an inkjet printer"
        raise FilmError(
            f"the film '{film.name}' is {film.process} film, the printer '{printer.name}' is {its}: {harm}",
            fix=f"use {printer.process} film, or another printer",
        )
    for n, ring in enumerate(film.used_polygons, start=1):
        if fault := fault_of_ring(ring):
            raise FilmError(
                f"used part {n} of the film '{film.name}' {fault}",
                fix="give its corners in order, once round the part",
            )


def used_parts(film: Film) -> list[Polygon]:
    """What is gone of a film, as outlines."""
    return [
        *(box(u.x, u.y, u.x + u.width, u.y + u.height) for u in film.used),
        *(Polygon(ring) for ring in film.used_polygons),
    ]


def words_on_film(digest: str, index: int, of: int) -> str:
    """The words on a sheet of film: which layout and which of its sheets it is. All else stands on its proof."""
    return f"{digest[:8]} {index}/{of}"


def longest(film: Film, printer: Printer) -> float:
    """The length a sheet's size error is stated for: its longer printable side in whole centimetres, mm."""
    x0, y0, x1, y1 = printable(film, printer).bounds
    return max(10.0, math.floor(float(max(x1 - x0, y1 - y0)) / 10.0) * 10.0)


def correction_of(printer: Printer) -> tuple[float, float, float]:
    """The printer's correction of a page: x, y and lean."""
    return printer.scale_x, printer.scale_y, printer.lean
