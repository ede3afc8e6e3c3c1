"""Everything that is cut of a decal, as lines of a page: its slits, its openings, then the cut line round it. Pure."""

from __future__ import annotations

from decalgen.artwork.build import Artwork
from decalgen.core.document import Contour, Item, Line
from decalgen.core.geometry import Matrix, apply


def cutting_lines(
    art: Artwork, place: Matrix, width: float, colour: str, dash: tuple[float, ...] = ()
) -> list[Line | Contour]:
    """In the order to cut in: once it is cut out, a piece may move. ``place`` leads from the decal to the page."""
    lines: list[Line | Contour] = [
        Line(tuple(apply(place, point) for point in slit), width, colour, dash=dash) for slit in art.slits
    ]
    return lines + [Contour(line.moved(place), width, colour, dash) for line in (*art.holes, art.cut)]


def cased_slits(
    art: Artwork,
    place: Matrix,
    width: float,
    casing: float,
    colours: tuple[str, str],
    dash: tuple[float, ...] = (),
) -> list[Item]:
    """The slits alone, on a line of the second colour each, so that they show on any ink."""
    items: list[Item] = []
    for slit in art.slits:
        points = tuple(apply(place, point) for point in slit)
        items += [Line(points, casing, colours[1]), Line(points, width, colours[0], dash=dash)]
    return items
