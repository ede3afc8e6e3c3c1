"""What a decal shows, as a page paints it: areas in the colours of their inks, and pictures. Pure."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from decalgen.core.document import Fill, Painted, Picture
from decalgen.core.geometry import IDENTITY, Matrix, multiply, region, transform
from decalgen.core.pixels.values import Pixels
from decalgen.shapes.base import Inked

ColourOf = Callable[[str], str]
PixelsOf = Callable[[Inked, Pixels], Pixels]


def as_they_are(_: Inked, pixels: Pixels) -> Pixels:
    """A picture in its own colours."""
    return pixels


def painted(
    areas: Iterable[Inked], colour: ColourOf, place: Matrix = IDENTITY, pixels: PixelsOf = as_they_are
) -> list[Painted]:
    """Areas in their order; ``place`` leads from the decal to the page, ``colour`` gives the colour of an ink and
    ``pixels`` a picture as it is to be shown."""
    return [_painted(area, colour, place, pixels) for area in areas]


def _painted(area: Inked, colour: ColourOf, place: Matrix, pixels: PixelsOf) -> Painted:
    where = area.region if place == IDENTITY else region(transform(area.region, place))
    shown = area.picture
    if shown is None:
        return Fill(where, colour(area.ink), area.ink)
    return Picture(pixels(area, shown.pixels), multiply(place, shown.matrix), where, area.ink)
