"""Whether decals are so much smaller than their film that there is no doubt about it, without loading what nests."""

from __future__ import annotations

from collections.abc import Sequence

from decalgen.artwork.build import Artwork
from decalgen.job.model import Film, Printer

SET_ASIDE = 40.0
"""A decal that leaves so much of a sheet's printable width and height goes on beside marks, numbers and text, mm."""
MOST_PIECES = 100
"""So many go on at worst one to a sheet, with as many backings."""


def surely_printed(artworks: Sequence[Artwork], films: Sequence[Film], printer: Printer) -> bool:
    """Whether every decal has, of its kind, a film for this printer, any number of unused sheets far larger than it,
    and no more pieces than sheets may be filled. False: it has to be looked at."""
    if sum(art.decal.copies + art.decal.spares for art in artworks) > MOST_PIECES:
        return False
    return all(film.process == printer.process or printer.shop for film in films) and all(
        not art.decal.pins
        and not art.decal.keep_together
        and any(_far_larger(film, art, printer) for film in films if film.kind == art.film)
        and (not art.backed or any(_far_larger(film, art, printer) for film in films if film.kind == "white"))
        for art in artworks
    )


def _far_larger(film: Film, art: Artwork, printer: Printer) -> bool:
    if film.sheets or film.used or film.used_polygons:
        return False
    left, right, bottom, top = printer.margins
    x0, y0, x1, y1 = art.outer.bounds
    return bool(x1 - x0 <= film.width - left - right - SET_ASIDE and y1 - y0 <= film.height - bottom - top - SET_ASIDE)
