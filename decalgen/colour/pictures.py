"""How the colours of a picture look over a body: the model that inks go through, for any colour."""

from __future__ import annotations

from collections.abc import Callable

from decalgen.colour.advice import ground
from decalgen.colour.inks import PAPER, WHITE_INK, Body, FilmLook
from decalgen.colour.model import look
from decalgen.colour.printer import PrinterColour
from decalgen.colour.spaces import coded_of, linear_of
from decalgen.colour.value import Colour
from decalgen.colour.white import under
from decalgen.core.pixels.recoloured import Rgb

CODED = 0.04045
"""Below it sRGB is coded in a straight line (IEC 61966-2-1)."""


def on_paper(printer: PrinterColour) -> Callable[[Rgb], Rgb]:
    """How colours look on white paper, none darker than the printer can go."""
    return _over(PAPER, printer)


def over(body: Body, film: FilmLook, printer: PrinterColour, passes: int = 0) -> Callable[[Rgb], Rgb]:
    """How colours look on a film over a body, with ``passes`` of white under them. Of a body with two looks, between
    the two."""
    below = ground(film, body.colour)
    if passes:
        below = Colour(under(WHITE_INK.xyz, below.xyz, printer.opacity, passes))
    return _over(below, printer)


def _over(below: Colour, printer: PrinterColour) -> Callable[[Rgb], Rgb]:
    def seen(coded: Rgb) -> Rgb:
        r, g, b = (v / 12.92 if v <= CODED else ((v + 0.055) / 1.055) ** 2.4 for v in coded)
        ink = Colour.from_linear((r, g, b))
        light = linear_of(look(ink.xyz, PAPER.xyz, below.xyz, printer.floor, printer.k2))
        x, y, z = coded_of([min(max(v, 0.0), 1.0) for v in light])  # type: ignore[arg-type]
        return x, y, z

    return seen
