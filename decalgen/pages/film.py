"""A sheet → the pages that are printed on film. Artwork in its inks, furniture in the waste, no cut line. Pure.

All inks of such a page go down in one pass, each painted whole over what lies below: two of them cannot miss each
other by the printer's misregister, and a wider trap would change no dot. Plates are printed one by one, and trapped
by it (`separations.trap`).
"""

from __future__ import annotations

from dataclasses import replace

from decalgen.artwork.build import Artwork
from decalgen.artwork.painted import painted
from decalgen.core.document import Document, Layer, Page, Painted, Symbol, Use
from decalgen.sheet.arrange import Arrangement, Sheet
from decalgen.sheet.film_area import correction_of

SEAM = 0.15
"""How far a lighter ink runs under a darker neighbour, mm: hides the hairline that viewers show between fills that
abut, where a dot of theirs is no larger (170 dots an inch). The darker ink is painted over it and keeps its shape."""

SymbolKey = tuple[str, tuple[tuple[str, str], ...]]
"""What makes two pieces look alike: the drawing, and the colours of its inks."""


def final(arrangement: Arrangement, title: str, date: str | None) -> Document:
    """The document for film: one page a sheet, at the film's size."""
    symbols: dict[SymbolKey, Symbol] = {}
    pages = tuple(_page(sheet, symbols) for sheet in arrangement.sheets)
    printer = arrangement.sheets[0].printer
    return Document(
        pages,
        title=title,
        subject="decals at true scale: print at 100 %, without fitting",
        keywords=(f"arrangement {arrangement.digest[:16]}",),
        date=date,
        scale=(printer.scale_x, printer.scale_y),
        lean=printer.lean,
    )


def artwork_symbol(artwork: Artwork, key: str) -> Symbol:
    """A decal as it is printed, in its own coordinates: lighter inks first, spread a little under the darker."""
    ordered = sorted(artwork.printed, key=lambda i: -_light(artwork.colour(i.ink)))
    fills: list[Painted] = []
    for n, inked in enumerate(ordered):
        area = inked.region
        darker = [other.region for other in ordered[n + 1 :]]
        if darker:
            from decalgen.core.geometry import union

            under = union(darker).intersection(area.buffer(SEAM, join_style="mitre"))
            area = union([area, under])
        fills += painted((replace(inked, region=area),), artwork.colour)
    return Symbol(key, tuple(fills))


def _page(sheet: Sheet, symbols: dict[SymbolKey, Symbol]) -> Page:
    uses = []
    for placed in sheet.placed:
        artwork = placed.piece.artwork
        # Two jobs may call two colours by one name.
        drawn = (artwork.digest, tuple((spec.name, spec.colour) for spec in artwork.inks))
        if drawn not in symbols:
            symbols[drawn] = artwork_symbol(artwork, f"decal-{len(symbols) + 1}")
        uses.append(Use(symbols[drawn], placed.matrix))
    marks = Layer("Marks", sheet.in_waste, "marks")
    x0, y0, x1, y1 = sheet.area.bounds
    return Page(
        sheet.film.width,
        sheet.film.height,
        (Layer("Artwork", tuple(uses), "artwork"), marks),
        trim=(x0, y0, x1, y1),
        bleed=(x0, y0, x1, y1),
        correction=correction_of(sheet.printer),
    )


def _light(colour: str) -> float:
    """Relative lightness of '#rrggbb', 0 to 1 (Rec. 709 weights on coded values: only the order matters)."""
    r, g, b = (int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5))
    return 0.2126 * r + 0.7152 * g + 0.0722 * b
