"""A decal over the body of its job: how each ink looks on a film, which film it takes, where white goes under it. Pure.

Between the artwork, which knows where each ink lies, and `decalgen.colour`, which knows what an ink does.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache

from decalgen.artwork.build import Artwork
from decalgen.colour.advice import BOTH_FILMS, FAR, InkAdvice, Option, advise, ground, planned
from decalgen.colour.difference import GOOD
from decalgen.colour.inks import Body, FilmLook, Ink
from decalgen.colour.printer import PrinterColour
from decalgen.colour.separations import SMALLEST_WHITE, Underlay, white_underlay
from decalgen.colour.value import Colour
from decalgen.core.values import dataclass
from decalgen.job.colours import body_of, film_look, ink_of, printer_colour
from decalgen.job.model import InkSpec, Job, Printer
from decalgen.shapes.base import Inked

LONGEST = 5.0
"""No choke is wider, mm."""


@dataclass(frozen=True)
class Coloured:
    """A decal on one film over its body: by the ink's name how it comes out there, in the order of its inks."""

    film: FilmLook
    options: tuple[tuple[str, Option], ...]
    ground: Colour
    """What shows where nothing is printed."""

    def look(self, ink: str) -> Colour:
        """How an ink looks; one that prints nothing here is the ground."""
        return next((option.look for name, option in self.options if name == ink), self.ground)


def body(job: Job) -> Body:
    """What the decals of a job lie on."""
    return body_of(job.paint(job.body))


def used_inks(artwork: Artwork) -> tuple[Ink, ...]:
    """The inks that a decal shows, each once."""
    specs = {spec.name: spec for spec in artwork.inks}
    return tuple(ink_of(specs[name]) for name in dict.fromkeys(i.ink for i in artwork.shown))


@lru_cache(maxsize=1024)
def advice(
    ink: Ink,
    on: Body,
    printer: PrinterColour,
    fills_panel: bool = False,
    films: tuple[FilmLook, ...] = BOTH_FILMS,
) -> InkAdvice:
    """`advise`, each pair judged once."""
    return advise(ink, on, films, printer, fills_panel=fills_panel)


@lru_cache(maxsize=1024)
def _planned(ink: Ink, on: Body, film: FilmLook, printer: PrinterColour, passes: int) -> Option:
    return planned(ink, on, film, printer, passes)


def compensations(artwork: Artwork, job: Job, printer: Printer) -> dict[str, Option]:
    """By its name each ink of a decal that is asked to make up for the body, with what is printed for it. An ink whose
    look would be too far off, or outside the printer's gamut, is not among them: it is printed as it is given."""
    if artwork.film != "clear" or artwork.backed or (printer.white and artwork.decal.underlay == "all"):
        return {}  # Over white an ink needs no help.
    known, films = printer_colour(printer), (film_look("clear", job),)
    found = {}
    for spec in artwork.inks:
        if not spec.compensate:
            continue
        options = advice(ink_of(spec), body(job), known, films=films).options
        plain = next(one for one in options if one.way == "clear")
        other = next(one for one in options if one.way == "compensated")
        if other.usable and other.delta_e < plain.delta_e:
            found[spec.name] = other
    return found


def as_printed(artwork: Artwork, job: Job, printer: Printer) -> Artwork:
    """A decal with the inks that make up for the body in place of those they stand for. Each has a name of its own, as
    the ink itself may be printed too, on white film."""
    made = compensations(artwork, job, printer)
    if not made:
        return artwork
    names = {name: f"{name} over {job.body}" for name in made}
    inks = tuple(_mixed(one, names[one.name], made[one.name]) if one.name in made else one for one in artwork.inks)

    def renamed(regions: tuple[Inked, ...]) -> tuple[Inked, ...]:
        return tuple(replace(one, ink=names.get(one.ink, one.ink)) for one in regions)

    fresh = {"inks": inks, "printed": renamed(artwork.printed), "shown": renamed(artwork.shown)}
    return replace(artwork, **fresh, letters=renamed(artwork.letters))  # type: ignore[arg-type]


def _mixed(spec: InkSpec, name: str, option: Option) -> InkSpec:
    return replace(spec, name=name, colour=option.ink.hex, exact="", compensate=False, stands_for=spec.name)


def white_passes(artwork: Artwork, job: Job, printer: Printer) -> dict[str, int]:
    """The inks of a decal that get white under them, and white itself, with how many passes each wants; none without a
    white printer or off clear film."""
    if artwork.film != "clear" or artwork.backed or not printer.white:
        return {}
    known = printer_colour(printer)
    found: dict[str, int] = {}
    makes_up = _made_up(artwork, job, printer)
    for ink in (each for one in used_inks(artwork) for each in _telling(artwork, one)):
        if ink.name in makes_up:
            continue
        if ink.kind != "white" and artwork.decal.underlay == "none":
            continue
        options = advice(ink, body(job), known, films=(film_look("clear", job),)).options
        plain = next(one for one in options if one.way == "clear")
        white = [one for one in options if one.way == "white underlay" and one.passes <= known.passes]
        if artwork.decal.underlay != "all" and (plain.usable or not white):
            continue  # An ink that could make up for the body, and is not asked to, counts as in need.
        enough = next((one for one in white if one.usable), None)
        if enough is not None:
            found[ink.name] = max(enough.passes, found.get(ink.name, 0))
        elif artwork.decal.underlay == "all" or min(one.delta_e for one in white) < plain.delta_e:
            found[ink.name] = known.passes
    return found


def _telling(artwork: Artwork, ink: Ink) -> tuple[Ink, ...]:
    """An ink, or each of a few colours that between them tell of the picture that it stands for."""
    picture = next((one.picture for one in artwork.shown if one.ink == ink.name), None)
    if picture is None:
        return (ink,)
    from decalgen.core.pixels.means import telling_colours

    return tuple(replace(ink, colour=Colour.from_hex(colour)) for colour in telling_colours(picture.pixels))


def _made_up(artwork: Artwork, job: Job, printer: Printer) -> set[str]:
    """The inks of a decal that make up for the body, by the names they have in it."""
    return {spec.name for spec in artwork.inks if spec.stands_for} | set(compensations(artwork, job, printer))


def underlay(artwork: Artwork, job: Job, printer: Printer) -> Underlay:
    """The white of a decal: under what needs it, choked by the printer's misregister, and its own white art.

    Nothing white lies under an ink that makes up for the body: it was mixed for what is below. Bleed counts: what is
    printed over the cut line has its white there too.
    """
    regions = {inked.ink: inked.region for inked in artwork.printed}
    whites = [spec.name for spec in artwork.inks if spec.kind == "white" and spec.name in regions]
    smallest = printer_colour(printer).smallest_line or SMALLEST_WHITE
    return white_underlay(
        regions,
        tuple(name for name in white_passes(artwork, job, printer) if name not in whites and name in regions),
        whites if printer.white else (),
        without=_made_up(artwork, job, printer),
        choke=min(printer.misregister, LONGEST),
        smallest=smallest,
        subject=artwork.name,
        place=artwork.decal.place,
    )


def as_planned(artwork: Artwork, job: Job, printer: Printer) -> Coloured:
    """A decal on the film it asks for, with the white it will get."""
    film = lies_on(artwork, job)
    under = white_passes(artwork, job, printer)
    known, on = printer_colour(printer), body(job)
    made = compensations(artwork, job, printer)
    rows = []
    for ink in used_inks(artwork):
        # There is one plate of white: it is printed as often as the ink that wants most of it.
        passes = max(under.values()) if ink.name in under else 0
        if ink.name in made:
            rows.append((ink.name, made[ink.name]))
            continue
        rows.append((ink.name, _planned(ink, on, film, known, passes)))
    if artwork.backed:
        # Its white is open onto the backing; beside the art there is clear film.
        whites = tuple(ink_of(spec) for spec in job.inks if spec.kind == "white" and not artwork.bare.is_empty)
        rows += [(ink.name, _planned(ink, on, film, known, 0)) for ink in whites]
        return Coloured(film, tuple(rows), on.colour)
    return Coloured(film, tuple(rows), ground(film, on.colour))


def lies_on(artwork: Artwork, job: Job) -> FilmLook:
    """What is under the ink of a decal: its film, or the white backing that goes under it."""
    return film_look("white" if artwork.backed else artwork.film, job)


def on_clear(artwork: Artwork, job: Job, printer: Printer) -> Coloured:
    """A decal on clear film with nothing under it."""
    return _as_is(used_inks(artwork), body(job), film_look("clear", job), printer_colour(printer))


def advised(artwork: Artwork, job: Job, printer: Printer) -> Coloured:
    """A decal on the one film that serves all its inks, in the order of `decalgen.colour.advice`; where none does, the
    one on which its worst ink is nearest. One that a backing of white film goes under is shown over that.

    Each ink stands as it is to be printed there: as it is, as one that makes up for the body, or with white under it.
    """
    on = body(job)
    films = (film_look("clear", job), film_look("white", job))
    inks = used_inks(artwork)
    if artwork.backed:
        # Beside a backing there is clear film.
        return replace(_as_is(inks, on, films[1], printer_colour(printer)), ground=on.colour)
    if not artwork.bare.is_empty:
        # What is left open on white film would have to be printed on clear film.
        inks = (*inks, *(ink_of(spec) for spec in job.inks if spec.kind == "white"))
    return _advised(inks, on, printer_colour(printer), artwork.decal.cut.kind == "panel", films)


@lru_cache(maxsize=1024)
def _advised(
    inks: tuple[Ink, ...], on: Body, known: PrinterColour, fills_panel: bool, films: tuple[FilmLook, FilmLook]
) -> Coloured:
    clear_film, white_film = films
    said = [advice(ink, on, known, fills_panel, films) for ink in inks]
    most = max((option.passes for one in said for option in one.options), default=0)
    clear = [_clear_in_passes(said, passes, clear_film, on) for passes in range(most + 1)]
    white = _as_is(inks, on, white_film, known)
    order = [clear[0], white, *clear[1:]] if fills_panel else [*clear, white]
    # Of two that do equally well or badly, the first: it is the cheaper.
    return next((one for one in order if _far(one) <= GOOD), None) or min(order, key=_far)


def _far(coloured: Coloured) -> float:
    """How far the worst ink of a decal is from the wanted colour; no model covers metallic ones."""
    return max((option.delta_e for _, option in coloured.options), default=0.0)


def _clear_in_passes(said: Sequence[InkAdvice], passes: int, film: FilmLook, on: Body) -> Coloured:
    """All inks on clear film, with so many passes of white under those that need it."""
    rows = []
    for one in said:
        bare = [option for option in one.options if option.film.kind == "clear" and not option.passes]
        way = next((option for option in bare if option.usable), None)
        if way is None:
            some = [option for option in one.options if option.passes == passes] if passes else []
            way = min(some or [each for each in bare if each.reason in ("", FAR)], key=lambda each: each.delta_e)
        rows.append((one.ink.name, way))
    return Coloured(film, tuple(rows), ground(film, on.colour))


def _as_is(inks: Sequence[Ink], on: Body, film: FilmLook, known: PrinterColour) -> Coloured:
    """All inks on one film, with nothing under them."""
    rows = tuple((ink.name, _planned(ink, on, film, known, 0)) for ink in inks)
    return Coloured(film, rows, ground(film, on.colour))
