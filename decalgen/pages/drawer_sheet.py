"""Pages about a sheet of the film drawer: what is used and left of it, and the carrier it may ride on. Pure; mm."""

from __future__ import annotations

import numpy as np
from shapely.affinity import translate
from shapely.geometry import MultiPolygon, Polygon, box

from decalgen.core import style
from decalgen.core.document import Document
from decalgen.core.geometry import region, union
from decalgen.lettering.paper import wrap
from decalgen.nesting.remnant import largest_rectangle
from decalgen.pages.composer import Sheaf, hatch
from decalgen.sheet.furniture import earlier_mark
from decalgen.workshop.drawer import DrawerError, OwnedSheet
from decalgen.workshop.drawer.feeding import feeding
from decalgen.workshop.drawer.model import Why

PITCH = 1.6
"""Of the hatch over used parts, mm."""
HATCHES: dict[Why, tuple[float, float, str]] = {
    "printed": (PITCH, 45.0, style.QUIET),
    "cut off": (2 * PITCH, -45.0, style.HATCH),
}
"""Pitch, mm, angle and colour of the hatch. Cut-off parts are hatched the other way and wider, so that no colour is
needed to tell them apart."""
HEAD = 24.0
FOOT = 16.0


def largest_free(sheet: OwnedSheet) -> tuple[float, float, float, float] | None:
    """The largest free rectangle of a sheet: x0, y0, x1, y1."""
    x0, y0, x1, y1 = sheet.whole.bounds
    return largest_rectangle((x0, y0, x1, y1), np.array(list(sheet.gone.geoms), dtype=object))


def largest_size(sheet: OwnedSheet) -> str:
    """How large that rectangle is: '148 × 90 mm'; '' for a sheet that is used up."""
    free = largest_free(sheet) if not sheet.free.is_empty else None
    return f"{free[2] - free[0]:.0f} × {free[3] - free[1]:.0f} mm" if free else ""


def free_share(sheet: OwnedSheet) -> str:
    """How much is left: '62% free'."""
    return f"{sheet.free.area / sheet.whole.area:.0%} free"


def used_areas(sheet: OwnedSheet) -> dict[Why, MultiPolygon]:
    """What is gone of a sheet, by why: what was printed on a part that was cut off since is gone with it."""
    cut = region(union([one.polygon for one in sheet.parts if one.why == "cut off"]))
    printed = region(union([one.polygon for one in sheet.parts if one.why == "printed"]))
    return {"printed": region(printed.difference(cut)), "cut off": cut}


def leading_arrow(sheet: OwnedSheet) -> Polygon:
    """An arrow outside the edge that enters the printer first; empty for a sheet that is not fed again."""
    how = feeding(sheet)
    if how.way == "never":
        return Polygon()
    w, h = sheet.entry.width, sheet.entry.height
    x, y, dx, dy = {
        "top": (w / 2, h + 1.0, 0.0, 1.0),
        "bottom": (w / 2, -1.0, 0.0, -1.0),
        "left": (-1.0, h / 2, -1.0, 0.0),
        "right": (w + 1.0, h / 2, 1.0, 0.0),
    }[how.leads]
    return Polygon([(x - 2 * dy, y + 2 * dx), (x + 3.5 * dx, y + 3.5 * dy), (x + 2 * dy, y - 2 * dx)])


def sheet_page(sheet: OwnedSheet) -> Document:
    """A picture of a sheet at true size: used parts hatched, the largest free rectangle measured, a scale bar."""
    entry = sheet.entry
    side = 2 * style.MARGIN
    wide = entry.width + 2 * side
    rows = [row for text in sheet_words(sheet) for row in wrap(text, style.TYPE_REST, max(wide - 2 * side, 60.0))]
    step = 4.0
    head = HEAD + step * len(rows)
    sheaf = Sheaf(max(wide, 100.0), entry.height + head + FOOT + side)
    ox, oy = side, FOOT + style.MARGIN
    top = sheaf.height - style.MARGIN
    sheaf.text(ox, top - 4, entry.name, style.TYPE_TITLE, bold=True)
    for n, row in enumerate(rows):
        sheaf.text(ox, top - 10 - n * step, row, style.TYPE_REST)
    _drawn(sheaf, sheet, ox, oy)
    free = largest_free(sheet)
    if free and min(free[2] - free[0], free[3] - free[1]) >= 1:
        x0, y0, x1, y1 = (v + o for v, o in zip(free, (ox, oy, ox, oy), strict=True))
        ring = ((x0, y0), (x1, y0), (x1, y1), (x0, y1))
        sheaf.line(ring, style.LINE_TRIM, style.ACCENT, style.DASH_TRIM, closed=True)
        size = largest_size(sheet)
        if x1 - x0 > 24 and y1 - y0 > 6:
            sheaf.text((x0 + x1) / 2, (y0 + y1) / 2 - 1, size, style.TYPE_BODY, bold=True, align="centre")
    sheaf.fill(region(translate(leading_arrow(sheet), ox, oy)), style.ACCENT)
    bar = 50.0 if entry.width >= 60 else 20.0
    sheaf.scale_bar(ox, style.MARGIN - 2, bar, 1.0, f"{bar:g} mm")
    return Document((sheaf.page(),), title=f"Film drawer: {entry.name}", subject="what is left of a sheet of film")


def carrier_page(sheet: OwnedSheet) -> Document:
    """A page of the sheet's own size with the outline of the remnant where it lay in the whole sheet, to tape it on.

    The print for the sheet then lands on it without any shift. Raises DrawerError for a sheet that must not be fed.
    """
    how = feeding(sheet)
    if sheet.entry.process == "laser":
        raise DrawerError(
            f"'{sheet.name}' is laser film: taped to a carrier it would come loose in the hot fuser",
            fix="feed only whole laser sheets, or what is left of one after straight strips were cut off",
        )
    if how.way == "never":
        raise DrawerError(f"'{sheet.name}' cannot be printed on: {how.reason}", fix="use another sheet")
    entry = sheet.entry
    sheaf = Sheaf(entry.width, entry.height)
    for polygon in _film_left(sheet):
        for ring in (polygon.exterior, *polygon.interiors):
            points = tuple((float(x), float(y)) for x, y in list(ring.coords)[:-1])
            sheaf.line(points, style.LINE_PANEL, style.QUIET, closed=True)
    x0, _, x1, y1 = largest_free(sheet) or sheet.whole.bounds
    text = (
        f"Carrier for {entry.name}. Print this on plain paper of {entry.width:g} × {entry.height:g} mm at 100 %, "
        f"without fitting. Lay the film on its outline, coated side up, and fix its leading edge flat with thin paper "
        f"tape where nothing will be printed. Feed the {entry.leads} edge first, inkjet only."
    )
    width = max(min(x1 - x0 - 12, 110.0), 30.0)
    sheaf.paragraph(x0 + 6, y1 - 9, width, text, style.TYPE_REST)
    return Document((sheaf.page(),), title=f"Carrier for {entry.name}", subject="print at 100 %, without fitting")


def _film_left(sheet: OwnedSheet) -> list[Polygon]:
    """The film as it lies on the table: what was cut off is away, what was printed may still be there."""
    cut = [one.polygon for one in sheet.parts if one.why == "cut off"]
    left = sheet.whole
    for polygon in cut:
        left = left.difference(polygon)
    return list(region(left).geoms)


def sheet_words(sheet: OwnedSheet) -> list[str]:
    """What a sheet is, what is left of it and how it is fed, a line each."""
    entry = sheet.entry
    film = "self-adhesive film" if entry.adhesive else "waterslide film"
    rows = [f"{entry.kind} {entry.process} {film}, {entry.width:g} × {entry.height:g} mm, {free_share(sheet)}"]
    if entry.bought:
        rows.append(f"bought {entry.bought}")
    how = feeding(sheet)
    said = {
        "straight": f"feeds with its {how.leads} edge first",
        "turned": f"feeds turned by 180°, its {how.leads} edge first: {how.reason}",
        "carrier": f"rides on a carrier sheet: {how.reason}",
        "never": f"is not fed again: {how.reason}",
    }
    rows.append(said[how.way])
    if entry.note:
        rows.append(entry.note)
    return rows


def _drawn(sheaf: Sheaf, sheet: OwnedSheet, ox: float, oy: float) -> None:
    if not sheet.free.is_empty:
        sheaf.fill(region(translate(sheet.free, ox, oy)), style.TINT_GOOD)
    for why, shown in used_areas(sheet).items():
        pitch, angle, colour = HATCHES[why]
        for area in region(translate(shown, ox, oy)).geoms:
            for line in hatch(area, pitch, angle):
                sheaf.line(line, style.LINE_HATCH, colour)
            for ring in (area.exterior, *area.interiors):
                points = tuple((float(x), float(y)) for x, y in list(ring.coords)[:-1])
                sheaf.line(points, style.LINE_TRIM, style.QUIET, closed=True)
    for x, y, number in sheet.marks_left:
        sheaf.items += earlier_mark(ox + x, oy + y, number)
    sheaf.box(ox, oy, sheet.entry.width, sheet.entry.height, style.LINE_PANEL)
    y = style.MARGIN - 2
    x = ox + (64 if sheet.entry.width >= 60 else 30)
    for words, (pitch, angle, colour) in HATCHES.items():
        swatch = box(x, y, x + 6, y + 4)
        for line in hatch(swatch, pitch, angle):
            sheaf.line(line, style.LINE_HATCH, colour)
        sheaf.box(x, y, 6, 4, style.LINE_TRIM)
        drawn = sheaf.text(x + 7.5, y + 1, words, style.TYPE_REST)
        x += 7.5 + drawn.width + 5
