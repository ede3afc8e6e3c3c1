"""The furniture of sheets printed by earlier versions: marks in the corners, check bars on the film and a long line of
text. A record of such a sheet is printed again as it was. Pure; mm."""

from __future__ import annotations

import math

import numpy as np
from shapely.geometry import Polygon, box

from decalgen.core import style
from decalgen.core.document import Fill, Item
from decalgen.core.geometry import region, transform, translation
from decalgen.job.model import Film, Printer
from decalgen.lettering.paper import paper, paper_width
from decalgen.nesting.remnant import largest_rectangle
from decalgen.printer.history import WIDEST, size_words
from decalgen.sheet.check_bars import BarAxis, CheckBar, check_bar
from decalgen.sheet.film_area import CLEARANCE, longest, printable, used_parts
from decalgen.sheet.furniture import Furniture, registration_mark

STEP = style.GRID
"""The grid of gaps between furniture, mm."""
CROSS = 6.0
CIRCLE = 4.0
"""Length of the cross and diameter of the circle of a mark, mm."""
BAR_DEPTH = 4.0
INFO_PT = 7.0


def earlier_furniture(film: Film, printer: Printer, digest: str, index: int, of: int) -> Furniture:
    """The furniture of a sheet as it was."""
    text = f"{digest[:8]} · sheet {index} of {of} · {film.name} · {printer.name} · "
    size = "true millimetres" if printer.shop else size_words(printer.history, longest(film, printer))
    widest = f"{'0' * 8} · sheet 1 of 1 · {film.name} · {printer.name} · {WIDEST}"
    return _furniture(_clear(printable(film, printer), film), text + size, widest)


def _clear(area: Polygon, film: Film) -> Polygon:
    """Where furniture went: all that is printable, on a film with used outlines its largest free rectangle."""
    if not film.used_polygons:
        return area
    taken = np.array([gone.buffer(CLEARANCE, join_style="mitre") for gone in used_parts(film)], dtype=object)
    free = largest_rectangle(area.bounds, taken)
    # Too small a rectangle for anything takes no furniture.
    return box(*free) if free else box(*area.bounds[:2], area.bounds[0] + 1.0, area.bounds[1] + 1.0)


def _furniture(area: Polygon, info: str, widest: str) -> Furniture:
    """Three registration marks, a check bar each way and a line of text, inside a rectangle. What did not fit was left
    out: first the text, then the bars got shorter, down to 20 mm. ``widest``: a text that was kept room for."""
    x0, y0, x1, y1 = area.bounds
    half = CROSS / 2
    spots: list[tuple[float, float]] = []
    items: list[Item] = []
    keep_outs: list[Polygon] = []
    if min(x1 - x0, y1 - y0) >= 4 * CROSS:
        spots = [(x0 + half, y0 + half), (x1 - half, y0 + half), (x0 + half, y1 - half)]
    for spot in spots:
        items += registration_mark(spot, cross=CROSS, circle_across=CIRCLE)
        keep_outs.append(box(spot[0] - half, spot[1] - half, spot[0] + half, spot[1] + half))
    inset = 2 * half + STEP if spots else 0.0
    bars: list[CheckBar] = []
    rooms: tuple[tuple[BarAxis, float], ...] = (("x", x1 - x0), ("y", y1 - y0))
    for axis, room in rooms:
        length = min(style.CHECK_BAR, math.floor((room - 2 * inset) / 10) * 10)
        if length < 20:
            continue
        bar = CheckBar(axis, x0 + inset, y0, length) if axis == "x" else CheckBar(axis, x0, y0 + inset, length)
        bars.append(bar)
        items += check_bar(bar, points=INFO_PT)
        keep_outs.append(
            box(bar.x - 0.5, y0, bar.x + length + 0.5, y0 + BAR_DEPTH)
            if axis == "x"
            else box(x0, bar.y - 0.5, x0 + BAR_DEPTH, bar.y + length + 0.5)
        )
    parts = _fitted(widest, x1 - x0 - inset)
    if parts:
        line = paper(" · ".join(info.split(" · ")[:parts]), INFO_PT)
        width = max(line.width, paper_width(" · ".join(widest.split(" · ")[:parts]), INFO_PT))
        moved = transform(line.region, translation(x0 + inset, y1 - line.cap_height - 0.5))
        items.append(Fill(region(moved), style.TEXT))
        keep_outs.append(box(x0 + inset, y1 - line.cap_height - 1.5, x0 + inset + width, y1))
    return Furniture(tuple(items), tuple(keep_outs), tuple(spots), tuple(bars))


def _fitted(text: str, width: float) -> int:
    """How many of the text's ' · ' parts fit."""
    parts = text.split(" · ")
    while parts and paper_width(" · ".join(parts), INFO_PT) > width:
        parts.pop()
    return len(parts)
