"""Pictures as they will look, for the page of a decal's colours: by the model of inks, or by an ICC profile. Pure."""

from __future__ import annotations

from decalgen.artwork.over_body import Coloured
from decalgen.artwork.painted import PixelsOf
from decalgen.colour.icc import CmykProfile
from decalgen.colour.inks import Body
from decalgen.colour.pictures import on_paper, over
from decalgen.colour.printer import PrinterColour
from decalgen.core.pixels.recoloured import recoloured
from decalgen.core.pixels.values import Pixels
from decalgen.shapes.base import Inked


def as_wanted(printer: PrinterColour) -> PixelsOf:
    """On white paper."""
    return lambda _, pixels: recoloured(pixels, on_paper(printer))


def as_coloured(coloured: Coloured, body: Body, printer: PrinterColour) -> PixelsOf:
    """Over a body, each picture in the way that its mean colour is printed in."""
    ways = dict(coloured.options)

    def shown(area: Inked, pixels: Pixels) -> Pixels:
        way = ways[area.ink]
        return recoloured(pixels, over(body, way.film, printer, way.passes))

    return shown


def as_proofed(profile: CmykProfile) -> PixelsOf:
    """On white paper by a profile."""

    def shown(_: Inked, pixels: Pixels) -> Pixels:
        from decalgen.core.pixels.decode import image_of

        seen = profile.soft_proof(image_of(pixels))
        return Pixels(pixels.width, pixels.height, seen.tobytes(), pixels.alpha)

    return shown
