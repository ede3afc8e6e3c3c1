"""Which film an ink takes over a body, from the cheapest way to the dearest.

1. clear film as it is; 2. clear film with an ink that makes up for the body (inside the printer's gamut);
3. white film, where the art fills the panel; 4. white under the ink on clear film, in as few passes as do.
The first that comes within `difference.GOOD` of the wanted colour is advised; if none does, the nearest
one, and that is said.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Literal

from decalgen.colour.difference import GOOD, delta_e
from decalgen.colour.inks import CLEAR_FILM, PAPER, WHITE_FILM, WHITE_INK, Body, FilmLook, Ink
from decalgen.colour.model import SOURCE_NOTE, attainable, channels, compensate, from_channels, look, scaled, surface
from decalgen.colour.printer import PrinterColour, Profile
from decalgen.colour.spaces import XYZ
from decalgen.colour.spectral import DOUBTFUL, look_spectral, plus_minus_of
from decalgen.colour.value import Colour
from decalgen.colour.white import under
from decalgen.core.values import dataclass

InkWay = Literal["clear", "compensated", "white film", "white underlay"]

GAMUT = 3.0
"""CIEDE2000 between an ink asked for and what the profile says comes out, up to which it counts as printable
(8-bit conversions alone make about 1)."""

TWO = 2
"""So many passes of white are always weighed before white film is advised, whatever the printer file allows."""

GUESSED = "coated offset print"
"""The profile that comes with the program, as users read of it where it stands in for the printer's own."""

NO_PROFILE = "; the printer file has no ICC profile of its own"

BOTH_FILMS = (CLEAR_FILM, WHITE_FILM)


@dataclass(frozen=True)
class Option:
    """One way to print an ink. ``ink`` is what to send to the printer, ``look`` how it will look on the body,
    ``delta_e`` how far that is from the wanted colour. ``doubt`` is the distance between the two models,
    ``plus_minus`` the ± of the look (CIEDE2000); None where only one model could answer. ``usable``: near enough,
    printable, and to be had; ``reason`` says why not, or what else there is to know."""

    way: InkWay
    film: FilmLook
    ink: Colour
    look: Colour
    delta_e: float
    doubt: float | None = None
    plus_minus: float | None = None
    passes: int = 0
    usable: bool = True
    reason: str = ""

    @property
    def swatch(self) -> bool:
        """Whether the models differ too much to trust either."""
        return self.doubt is None or self.doubt > DOUBTFUL

    @property
    def words(self) -> str:
        """What to do, in a few words."""
        if self.way == "clear":
            return self.film.name
        if self.way == "compensated":
            return f"{self.film.name} with the ink printed as {self.ink.hex}"
        if self.way == "white film":
            return self.film.name
        passes = "one pass" if self.passes == 1 else f"{self.passes} passes"
        return f"{self.film.name} with {passes} of white under the ink"


@dataclass(frozen=True)
class InkAdvice:
    """What to do with one ink on one body: every way that was weighed, and the chosen one (None: nothing
    can be done with the films and the printer there are)."""

    ink: Ink
    body: Body
    wanted: Colour
    options: tuple[Option, ...]
    chosen: Option | None

    def option(self, way: InkWay) -> Option | None:
        """That way, if it was weighed (the best one where there are several)."""
        found = [one for one in self.options if one.way == way]
        return min(found, key=lambda one: (not one.usable, one.delta_e)) if found else None

    @property
    def sentence(self) -> str:
        """The advice as one line for the user, with its source."""
        head = f"{self.ink.name} on {self.body.name}"
        if self.chosen is None:
            return f"{head}: cannot be printed with these films and this printer"
        if self.ink.kind == "metallic":
            return f"{head}: {self.chosen.words}; no model covers metallic ink, print a swatch"
        far = f"{self.chosen.look.hex}, {difference_words(self.chosen)}"
        nearest = "" if self.chosen.usable else "; the nearest there is"
        return f"{head}: {self.chosen.words}: {far}{nearest}"


def difference_words(option: Option) -> str:
    """The predicted difference as every user reads it: figure, ±, source."""
    if option.plus_minus is None:
        return f"dE {option.delta_e:.1f} (one estimate only, {SOURCE_NOTE})"
    return f"{distance_words(option)} ({SOURCE_NOTE})"


def distance_words(option: Option) -> str:
    """The predicted difference with its ± where that shows."""
    if option.plus_minus is None or option.plus_minus < 0.05:
        return f"dE {option.delta_e:.1f}"
    return f"dE {option.delta_e:.1f} ± {option.plus_minus:.1f}"


def ground(film: FilmLook, body: Colour) -> Colour:
    """What lies below the ink: the body through clear film, or white film."""
    if film.kind == "clear":
        return body if film.colour == PAPER else Colour(look(film.colour.xyz, PAPER.xyz, body.xyz))
    if film.opacity is None:
        return film.colour
    return Colour(under(film.colour.xyz, body.xyz, film.opacity))


@dataclass(frozen=True)
class Prediction:
    """A predicted look; ``doubt`` and ``plus_minus`` as `Option` has them."""

    colour: Colour
    doubt: float | None = 0.0
    plus_minus: float | None = 0.0


def appearance(ink: Colour, below: Colour, printer: PrinterColour) -> Prediction:
    """How a translucent ink looks over a ground, and how sure that is."""
    seen = Colour(look(ink.xyz, PAPER.xyz, below.xyz, printer.floor, printer.k2))
    second = look_spectral(ink.xyz, PAPER.xyz, below.xyz, printer.floor, printer.k2)
    if second is None:
        return Prediction(seen, None, None)
    doubt = delta_e(seen, Colour(second))
    return Prediction(seen, doubt, plus_minus_of(ink, below, doubt))


def wanted_look(ink: Ink, printer: PrinterColour) -> Colour:
    """The colour to aim at: the ink on white paper, no darker than the printer can go."""
    if ink.kind in {"white", "metallic"}:
        return ink.colour
    return Colour(look(ink.colour.xyz, PAPER.xyz, PAPER.xyz, printer.floor, printer.k2))


def advise(
    ink: Ink,
    body: Body,
    films: Sequence[FilmLook] = BOTH_FILMS,
    printer: PrinterColour | None = None,
    *,
    fills_panel: bool = False,
) -> InkAdvice:
    """The advice for one ink on one body.

    ``films`` are those to be had; ``fills_panel`` says that the art reaches the decal's edge all round, so
    that no rim of white film shows. Raises ColourError for a value out of range.
    """
    printer = printer or PrinterColour()
    wanted = wanted_look(ink, printer)
    options = tuple(_options(ink, wanted, body, films, printer, fills_panel))
    chosen = next((one for one in options if one.usable), None)
    if chosen is None:
        within_reach = [one for one in options if one.reason in {"", FAR}]
        chosen = min(within_reach, key=lambda one: one.delta_e) if within_reach else None
        if ink.kind == "white" and chosen is not None and chosen.way == "clear":
            chosen = None
    return InkAdvice(ink, body, wanted, options, chosen)


FAR = "too far from the wanted colour"


def planned(ink: Ink, body: Body, film: FilmLook, printer: PrinterColour | None = None, passes: int = 0) -> Option:
    """How an ink will look on a film as it is, with ``passes`` of white under it (0: none): for pictures, and for
    judging what a job asks for. On a body with two looks, the one farther from the wanted colour."""
    printer = printer or PrinterColour()
    wanted = wanted_look(ink, printer)
    if passes:
        return _worst(_on_white(ink, wanted, film, one, passes, printer) for one in body.looks)
    way: InkWay = "clear" if film.kind == "clear" else "white film"
    return _worst(_plain(ink, wanted, way, film, ground(film, one), printer) for one in body.looks)


def _options(
    ink: Ink, wanted: Colour, body: Body, films: Sequence[FilmLook], printer: PrinterColour, fills_panel: bool
) -> Iterator[Option]:
    clears = [film for film in films if film.kind == "clear"]
    for film in clears:
        yield planned(ink, body, film, printer)
    if ink.kind in {"process", "spot"}:
        for film in clears:
            yield _compensated(ink, wanted, body, film, printer)
    if ink.kind == "metallic":
        return  # It hides what lies below as no model says; one answer with a warning is all there is.
    whites = [film for film in films if film.kind == "white"]
    if fills_panel:
        yield from (planned(ink, body, film, printer) for film in whites)
    if printer.white:
        for film in clears:
            yield from (
                _in_passes(ink, body, film, printer, passes) for passes in range(1, max(printer.passes, TWO) + 1)
            )
    if not fills_panel:
        # After everything else, because every rim the knife leaves shows white.
        for film in whites:
            option = planned(ink, body, film, printer)
            yield replace(option, reason=option.reason or "cut exactly along the art")


def _in_passes(ink: Ink, body: Body, film: FilmLook, printer: PrinterColour, passes: int) -> Option:
    option = planned(ink, body, film, printer, passes)
    if passes <= printer.passes or not option.usable:
        return option
    return replace(option, reason=f"with `passes: {passes}` under `colour` of the printer file")


def _worst(options: Iterator[Option]) -> Option:
    """Of the looks of one body (bare metal has two), the one that counts."""
    return max(options, key=lambda one: one.delta_e)


def _made(way: InkWay, film: FilmLook, ink: Colour, seen: Prediction, wanted: Colour, passes: int = 0) -> Option:
    distance = delta_e(seen.colour, wanted)
    good = distance <= GOOD
    return Option(way, film, ink, seen.colour, distance, seen.doubt, seen.plus_minus, passes, good, "" if good else FAR)


def _plain(ink: Ink, wanted: Colour, way: InkWay, film: FilmLook, below: Colour, printer: PrinterColour) -> Option:
    if ink.kind == "white":
        # Without a pass of white, white is what already lies there.
        return _made(way, film, below, Prediction(below), wanted)
    if ink.kind == "metallic":
        return _made(way, film, ink.colour, Prediction(ink.colour, None, None), wanted)
    sent = printer.measured(ink.name) or ink.colour
    return _made(way, film, ink.colour, appearance(sent, below, printer), wanted)


def _on_white(ink: Ink, wanted: Colour, film: FilmLook, body: Colour, passes: int, printer: PrinterColour) -> Option:
    white = ink.colour if ink.kind == "white" else WHITE_INK
    opacity = printer.opacity if ink.opacity is None else ink.opacity
    below = Colour(under(white.xyz, ground(film, body).xyz, opacity, passes))
    if ink.kind == "white":
        return _made("white underlay", film, ink.colour, Prediction(below), wanted, passes)
    if ink.kind == "metallic":
        return _made("white underlay", film, ink.colour, Prediction(ink.colour, None, None), wanted, passes)
    sent = printer.measured(ink.name) or ink.colour
    return _made("white underlay", film, ink.colour, appearance(sent, below, printer), wanted, passes)


def _compensated(ink: Ink, wanted: Colour, body: Body, film: FilmLook, printer: PrinterColour) -> Option:
    below = [ground(film, one) for one in body.looks]
    sent = printed = nearest_ink(wanted, below[-1], printer)
    measured = printer.measured(ink.name)
    if measured is not None:
        # This printer changes the ink; another one near it is taken to be changed as much in each band of light.
        sent = Colour.from_hex(Colour(scaled(printed.xyz, ink.colour.xyz, measured.xyz)).hex)
        printed = Colour(scaled(sent.xyz, measured.xyz, ink.colour.xyz))
    options = [_made("compensated", film, sent, appearance(printed, one, printer), wanted) for one in below]
    option = _worst(iter(options))
    if not option.usable:
        return option
    profile = printer.profile or _stand_in()
    named, why = (profile.name, "") if printer.profile else (GUESSED, NO_PROFILE)
    miss = delta_e(profile.proof(sent), sent)
    if miss > GAMUT:
        outside = f"the ink {sent.hex} is outside the gamut of {named} by dE {miss:.1f}{why}"
        return replace(option, usable=False, reason=outside)
    return replace(option, reason=f"inside the gamut of {named}{why}") if why else option


def _stand_in() -> Profile:
    """The profile that comes with the program; most checks need none, so it is loaded only here."""
    from decalgen.colour.icc import shipped

    return shipped()


def nearest_ink(wanted: Colour, below: Colour, printer: PrinterColour) -> Colour:
    """The printable ('#rrggbb') ink that brings ``below`` nearest to ``wanted``.

    Exact where `model.attainable`. Elsewhere clearing only the channels that lack light can turn the hue,
    so darker targets of the same hue are tried as well and the nearest look wins.
    """
    exact = attainable(wanted.xyz, below.xyz, printer.floor, printer.k2)
    shares = (1.0,) if exact else (1.0, 0.85, 0.7, 0.55, 0.4, 0.3, 0.2, 0.1)
    back = surface(printer.floor)
    targets = [_dimmed(wanted.xyz, share, back) for share in shares]
    inks = [compensate(target, PAPER.xyz, below.xyz, printer.floor, printer.k2) for target in targets]
    # Rounded to what a file can hold before it is judged; the wanted ink itself must not be beaten by worse.
    printable = [Colour.from_hex(Colour(ink).hex) for ink in inks] + [wanted]

    def distance(ink: Colour) -> float:
        return delta_e(Colour(look(ink.xyz, PAPER.xyz, below.xyz, printer.floor, printer.k2)), wanted)

    return min(printable, key=distance)


def _dimmed(target: XYZ, share: float, back: float) -> XYZ:
    first, second, third = (back + max(c - back, 0.0) * share for c in channels(target))
    return from_channels((first, second, third))
