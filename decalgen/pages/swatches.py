"""The swatch sheet as pages: what is printed in colour, and white pass by pass if the printer has white. Pure; mm."""

from __future__ import annotations

from collections.abc import Sequence

from shapely.geometry import Polygon

from decalgen.colour.inks import Ink
from decalgen.colour.printer import PrinterColour
from decalgen.colour.swatches import SwatchMark, SwatchSheet, swatch_sheet
from decalgen.core import style
from decalgen.core.document import Document, Fill, Item, Layer, Page
from decalgen.core.errors import FitError
from decalgen.core.geometry import region, transform, translation
from decalgen.job.model import Film, Printer
from decalgen.lettering.paper import paper
from decalgen.pages.composer import Sheaf
from decalgen.sheet.furniture import CheckBar, check_bar, registration_mark

INSET = style.REGISTRATION_CROSS + style.GRID
"""Room for the registration marks round the swatches, mm."""
BAR = 50.0
HEAD = 6.0
"""Room for the line of text over the swatches, mm."""
ROW = 3.6
FOOT = 6.0


def swatch_pages(
    inks: Sequence[Ink], known: PrinterColour, printer: Printer, film: Film, area: Polygon
) -> tuple[tuple[str, Document], ...]:
    """The files of the swatch sheet: ('', in colour), then ('white-pass-1', …) in black, all with the same marks.

    Raises FitError where the film is too small for it, ColourError for more inks than one sheet takes.
    """
    x0, y0, x1, y1 = area.bounds
    sheet = swatch_sheet(inks, known, x1 - x0 - 2 * INSET)
    passes = max((mark.passes for mark in sheet.marks if mark.plate == "white"), default=0)
    # Every pass goes over the same film: each has its line of text on a row of its own.
    head = HEAD + passes * ROW
    room = y1 - y0 - 2 * INSET - head - FOOT
    if sheet.height > room:
        raise FitError(
            f"the swatches of {len(inks)} inks are {sheet.height:.0f} mm high, and '{film.name}' has room for "
            f"{room:.0f} mm",
            fix="take a larger film with `--film`",
        )
    left, foot = x0 + INSET, y1 - INSET - head - sheet.height
    wanted = [("", [mark for mark in sheet.marks if mark.plate == "art"])]
    wanted += [
        (f"white-pass-{n}", [mark for mark in sheet.marks if mark.plate == "white" and mark.passes >= n])
        for n in range(1, passes + 1)
    ]
    made = []
    for n, (name, marks) in enumerate(wanted):
        words = f"{printer.name} · {film.name} · {_said(name, passes)}"
        text = (left, y1 - INSET - 2.0 - n * ROW)
        page = _page(sheet, marks, (film.width, film.height), (x0, y0, x1, y1), (left, foot), text, words, bool(name))
        title = f"Swatches: {printer.name}" + (f", {name.replace('-', ' ')}" if name else "")
        document = Document(
            (page,),
            title=title,
            subject="swatches at true scale: print at 100 %, without fitting",
            scale=(printer.scale_x, printer.scale_y),
            lean=printer.lean,
        )
        made.append((name, document))
    return tuple(made)


def _said(name: str, passes: int) -> str:
    if name:
        return f"white, pass {name[-1]} of {passes}, before the colours"
    return "colours, after white" if passes else "print at 100 % on the film itself"


def _page(
    sheet: SwatchSheet,
    marks: Sequence[SwatchMark],
    size: tuple[float, float],
    area: tuple[float, float, float, float],
    corner: tuple[float, float],
    text: tuple[float, float],
    words: str,
    plain: bool,
) -> Page:
    """One file's page. ``plain``: black where white goes, without the labels, which are printed with the colours."""
    x0, y0, x1, y1 = area
    move = translation(*corner)
    fills: list[Item] = [
        Fill(region(transform(mark.region, move)), "#000000" if plain else mark.colour.hex, mark.ink) for mark in marks
    ]
    sheaf = Sheaf(*size)
    sheaf.text(*text, words, style.TYPE_SMALL)
    if not plain:
        for label in sheet.labels:
            points = label.caps / paper("0", 10.0).cap_height * 10.0
            sheaf.text(corner[0] + label.x, corner[1] + label.y, label.text, points)
    half = style.REGISTRATION_CROSS / 2
    for spot in ((x0 + half, y0 + half), (x1 - half, y0 + half), (x0 + half, y1 - half)):
        sheaf.items += registration_mark(spot)
    sheaf.items += check_bar(CheckBar("x", x0 + INSET, y0, BAR))
    return sheaf.page(Layer("Swatches", tuple(fills), "artwork"))
