"""How the colours of a picture look over a body: the model that inks go through, for any colour."""

from __future__ import annotations

from collections.abc import Callable

from decalgen.colour.advice import ground
from decalgen.colour.inks import PAPER, WHITE_INK, Body, FilmLook
from decalgen.colour.model import look
from decalgen.colour.printer import PrinterColour
from decalgen.colour.spaces import clipped, coded_of, decoded, from_linear, linear_of
from decalgen.colour.value import Colour
from decalgen.colour.white import under
from decalgen.core.pixels.recoloured import Rgb


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
        ink = from_linear(decoded(coded))
        return coded_of(clipped(linear_of(look(ink, PAPER.xyz, below.xyz, printer.floor, printer.k2))))

    return seen
