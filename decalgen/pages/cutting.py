"""A sheet → what a cutting machine follows: cut lines, bleed and three marks to align by, arcs as arcs. Pure; mm."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from shapely.geometry import Polygon
from shapely.ops import unary_union

from decalgen.artwork.cutting_lines import cutting_lines
from decalgen.core import style
from decalgen.core.arc_fit import with_arcs
from decalgen.core.document import Contour, Document, Item, Layer, Line, Page
from decalgen.core.errors import OutputError
from decalgen.core.geometry import Outline, Segment, rounded
from decalgen.job.model import Cutter
from decalgen.pages.cutting_order import in_order
from decalgen.sheet.arrange import Arrangement, Sheet
from decalgen.sheet.marks import READING, alignment_error
from decalgen.sheet.pieces import Placed

WIDTH = 0.1
COLOURS = {"cutting": "#ff0000", "bleed": "#00a000", "marks": "#0000ff"}
"""Red is cut, green only shown, blue aligned by: cutting programs tell lines apart by colour or by layer."""
ENDINGS = (".dxf", ".svg")
BESIDE_BY = 0.25
"""A cut so far beside its line, mm, takes half of a bleed of 0.5 mm."""


def cutting_document(arrangement: Arrangement, title: str, date: str | None, cutter: Cutter | None = None) -> Document:
    """One page a sheet, in true millimetres or by the cutter's own correction, its lines in the order they are cut in
    (see `cutting_order`); where the cutter's file asks for one, a waste frame round the pieces comes last."""
    pages = tuple(_page(sheet, cutter.waste_frame if cutter else 0.0) for sheet in arrangement.sheets)
    return Document(
        pages,
        title=title,
        subject="cut lines in millimetres; align by the three marks",
        keywords=(f"arrangement {arrangement.digest[:16]}",),
        date=date,
        scale=(cutter.scale_x, cutter.scale_y) if cutter else (1.0, 1.0),
        extra=tuple((f"marks of sheet {sheet.index}", _spots(sheet)) for sheet in arrangement.sheets),
    )


def aligning(arrangement: Arrangement, cutter: Cutter | None = None) -> list[str]:
    """Where the marks lie, a line a sheet: mm from the sheet's lower left corner, as asked for; and which sheets get no
    waste frame though the cutter asks for one."""
    rows = []
    for sheet in arrangement.sheets:
        if cutter and cutter.waste_frame and not sheet.film.adhesive:
            rows.append(f"sheet {sheet.index}: no waste frame, as '{sheet.film.name}' is not self-adhesive film")
        spots = _spots(sheet)
        if not spots:
            rows.append(f"sheet {sheet.index}: the film is too small for marks; align the cutter by the film's corner")
            continue
        rows.append(f"sheet {sheet.index}: align the cutter by the marks at {spots} (mm from the lower left corner)")
        reached = unary_union([placed.cut for placed in sheet.placed]).bounds
        error = alignment_error(sheet.furniture.registration, reached)
        said = f"sheet {sheet.index}: marks read to {READING:g} mm put its cuts right to {error:.2f} mm"
        if error > BESIDE_BY:
            said += ": the marks are near each other; align it by the film's corner as well, and cut a trial on paper"
        rows.append(said)
    return rows


def check_ending(suffix: str, shown: str) -> None:
    """Raises OutputError for a file that is not a cutting file."""
    if suffix.lower() not in ENDINGS:
        raise OutputError(f"'{shown}' is not a cutting file", fix="let its name end in .dxf or .svg")


def _spots(sheet: Sheet) -> str:
    return ", ".join(f"({x:.2f}, {y:.2f})" for x, y in sheet.furniture.registration)


def _page(sheet: Sheet, distance: float) -> Page:
    """Plain lines, nothing placed by reference: many cutting programs follow only those."""
    lines = [
        line
        for placed in sheet.placed
        for line in cutting_lines(placed.piece.artwork, placed.matrix, WIDTH, COLOURS["cutting"])
    ]
    cuts = in_order(
        [replace(one, outline=with_arcs(one.outline)) if isinstance(one, Contour) else one for one in lines]
    )
    frame = waste_frame(sheet, distance)
    if frame:
        cuts.append(Contour(frame, WIDTH, COLOURS["cutting"]))
    bleeds = tuple(line for placed in sheet.placed if placed.piece.artwork.bleed > 0 for line in _bleed(placed))
    marks = tuple(item for spot in sheet.furniture.registration for item in _mark(spot))
    layers = (
        Layer("Cut lines", tuple(cuts), "cutting"),
        *((Layer("Bleed", bleeds, "bleed"),) if bleeds else ()),
        *((Layer("Marks", marks, "marks"),) if marks else ()),
    )
    return Page(sheet.film.width, sheet.film.height, layers)


def waste_frame(sheet: Sheet, distance: float) -> Outline | None:
    """A rectangle round all pieces of a sheet, so that the waste between them lifts off its backing in one; None where
    none is asked for or the film is not self-adhesive: waterslide film is not lifted off anything.

    ``distance`` from the outermost bleed, mm, or half as far as the film reaches, where that is less.
    """
    if distance <= 0 or not sheet.film.adhesive:
        return None
    x0s, y0s, x1s, y1s = zip(*(placed.outer.bounds for placed in sheet.placed), strict=True)
    x0, y0, x1, y1 = min(x0s), min(y0s), max(x1s), max(y1s)
    left, low = min(distance, x0 / 2), min(distance, y0 / 2)
    right, high = min(distance, (sheet.film.width - x1) / 2), min(distance, (sheet.film.height - y1) / 2)
    return rounded(x1 + right - x0 + left, y1 + high - y0 + low, (0.0,) * 4, x0 - left, y0 - low)


def _bleed(placed: Placed) -> Iterator[Contour]:
    for ring in (placed.outer.exterior, *placed.outer.interiors):
        yield Contour(with_arcs(Outline.from_polygon(Polygon(ring))), WIDTH, COLOURS["bleed"])


def _mark(spot: tuple[float, float]) -> list[Item]:
    """The sheet's registration mark, its circle as true arcs."""
    x, y = spot
    radius, half = style.REGISTRATION_CIRCLE / 2, style.REGISTRATION_CROSS / 2
    left, right = (x - radius, y), (x + radius, y)
    ring = Outline((Segment(left, right, spot), Segment(right, left, spot)))
    colour = COLOURS["marks"]
    return [
        Contour(ring, WIDTH, colour),
        Line(((x - half, y), (x + half, y)), WIDTH, colour),
        Line(((x, y - half), (x, y + half)), WIDTH, colour),
    ]
