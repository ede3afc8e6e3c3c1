"""Colours as a job writes them, and a job's inks, paints and printers as `decalgen.colour` takes them."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

from decalgen.colour.inks import CLEAR_FILM, WHITE_FILM, WHITE_INK, Body, FilmKind, FilmLook, Ink, bare_metal
from decalgen.colour.names import NAMED
from decalgen.colour.printer import PrinterColour
from decalgen.colour.typed import parse
from decalgen.colour.value import Colour
from decalgen.job.model import InkSpec, Job, Paint, Printer

__all__ = ["NAMED", "body_of", "film_look", "ink_of", "parse_colour", "printer_colour", "seen", "written"]


def parse_colour(text: str) -> str:
    """The nearest '#rrggbb' of a colour as people type it. Raises `ColourError`, with the fix."""
    return parse(text).hex


def written(text: str) -> str:
    """A colour as it is kept: '#rrggbb', or as it was typed where '#rrggbb' would round it (Lab, inks in percent).

    Raises `ColourError`.
    """
    colour = parse(text)
    words = " ".join(text.lower().split())
    return words if words.startswith(("lab", "cmyk", "device-cmyk")) else colour.hex


def seen(exact: str, colour: str) -> Colour:
    """The colour of an ink or a paint, exact where the file was."""
    return parse(exact or colour)


@lru_cache(maxsize=512)
def ink_of(spec: InkSpec) -> Ink:
    """An ink of a job for the colour side. Raises `ColourError`."""
    if spec.kind == "white" and not spec.exact and spec.colour == "#ffffff":
        colour = WHITE_INK  # White that was given no colour of its own.
    else:
        colour = seen(spec.exact, spec.colour)
    return Ink(spec.name, spec.kind, colour, spec.opacity, spec.place)


@lru_cache(maxsize=128)
def body_of(paint: Paint) -> Body:
    """A paint as what a decal lies on. Raises `ColourError`."""
    if paint.finish == "bare metal":
        return bare_metal(paint.name, paint.place)
    return Body(paint.name, (seen(paint.exact, paint.colour),), paint.finish, paint.place)


@lru_cache(maxsize=32)
def printer_colour(printer: Printer) -> PrinterColour:
    """What matters of a printer for colour: what was read off its swatch sheet, over the defaults."""
    known = printer.swatches or PrinterColour()
    return replace(known, name=printer.name, white=printer.white, misregister=min(printer.misregister, 2.0))


@lru_cache(maxsize=32)
def _film_look(kind: FilmKind, colour: str, opacity: float | None) -> FilmLook:
    usual = CLEAR_FILM if kind == "clear" else replace(WHITE_FILM, opacity=opacity)
    return replace(usual, colour=parse(colour)) if colour else usual


def film_look(kind: FilmKind, job: Job) -> FilmLook:
    """A film of that kind as far as colour goes: as the job's film was measured, else as is usual."""
    return _film_look(kind, dict(job.film_colours).get(kind, ""), job.film_opacity)
