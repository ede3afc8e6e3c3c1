"""Inks, paints and films as far as colour goes."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from decalgen.colour.model import WHITE
from decalgen.colour.typed import parse
from decalgen.colour.value import Colour, ColourError
from decalgen.colour.white import DEFAULT_OPACITY, check_opacity
from decalgen.core.errors import Finding, Place
from decalgen.core.values import dataclass

InkKind = Literal["process", "spot", "white", "metallic"]
Finish = Literal["gloss", "satin", "matt", "metallic", "bare metal"]
FilmKind = Literal["clear", "white"]

PAPER = Colour(WHITE)
"""What an ink's colour is stated on: white paper, taken as perfect white as '#ffffff' is."""

WHITE_INK = Colour.from_hex("#f6f6f2")
"""White ink printed until nothing shows through, where the user has not measured it."""


@dataclass(frozen=True, slots=True)
class Ink:
    """An ink. ``colour`` is how it looks on white paper (for white: printed until nothing shows through).
    ``opacity`` belongs to white alone: one pass over black divided by the same over white (Y)."""

    name: str
    kind: InkKind
    colour: Colour
    opacity: float | None = None
    place: Place | None = None

    def __post_init__(self) -> None:
        if self.opacity is None:
            return
        if self.kind != "white":
            raise ColourError(
                f"ink '{self.name}' is {self.kind}; an opacity belongs to white ink",
                fix="leave the opacity out, or make it 'kind: white'",
                place=self.place,
            )
        check_opacity(self.opacity)


def ink(
    name: str,
    kind: InkKind = "process",
    colour: str | None = None,
    opacity: float | None = None,
    place: Place | None = None,
) -> Ink:
    """An ink from what stands in a file. Without a colour, a name of the palette or of CSS gives it, and
    white is white. Raises ColourError with the ink's name and place."""
    try:
        if colour is not None:
            seen = parse(colour)
        elif kind == "white":
            seen = WHITE_INK
        else:
            seen = parse(name)
        return Ink(name, kind, seen, opacity, place)
    except ColourError as error:
        if colour is None and kind != "white":
            raise ColourError(
                f"ink '{name}' has no colour",
                fix="give one: 'colour: \"#e8641b\"' or a known name",
                place=place,
            ) from None
        raise ColourError(f"ink '{name}': {error.message}", fix=error.fix, place=error.place or place) from None


def check_inks(inks: Sequence[Ink]) -> tuple[Finding, ...]:
    """Findings on a set of inks: one name with two colours or kinds, spot names a press cannot carry,
    metallics."""
    findings: list[Finding] = []
    first: dict[str, Ink] = {}
    for one in inks:
        key = " ".join(one.name.lower().split())
        before = first.setdefault(key, one)
        if before is not one and (before.colour != one.colour or before.kind != one.kind):
            both = f"{before.kind} {before.colour.hex} and {one.kind} {one.colour.hex}"
            findings.append(
                Finding(
                    "error", "ink-twice", one.name, f"named twice with two colours: {both}",
                    "keep one, or give the second a name of its own; a plate has one ink", one.place,
                )
            )  # fmt: skip
        if one.kind == "spot" and not one.name.isascii():
            findings.append(
                Finding(
                    "error", "ink-name", one.name, "a spot ink's name goes into print files and must be plain",
                    "use the letters a to z, digits and spaces", one.place,
                )
            )  # fmt: skip
        if one.kind == "spot" and key in {
            "cyan",
            "magenta",
            "yellow",
            "black",
            "all",
            "none",
            "cutting",
            "white",
        }:
            findings.append(
                Finding(
                    "error", "ink-name", one.name, "this name has a meaning of its own in print files",
                    f"call it '{one.name} spot'", one.place,
                )
            )  # fmt: skip
        if one.kind == "metallic":
            findings.append(
                Finding(
                    "warning", "ink-metallic", one.name,
                    f"a metallic ink has no one colour; previews show it flat as {one.colour.hex}",
                    "print a swatch and look at it in the light the model will be shown in", one.place,
                )
            )  # fmt: skip
    return tuple(findings)


@dataclass(frozen=True, slots=True)
class Body:
    """What a decal lies on. A paint has one look; bare metal has a dark one and a light one, and every tone
    between them as it is turned in the light."""

    name: str
    looks: tuple[Colour, ...]
    finish: Finish = "gloss"
    place: Place | None = None

    @property
    def colour(self) -> Colour:
        """The colour for pictures: the middle of a range."""
        if len(self.looks) == 1:
            return self.looks[0]
        x, y, z = (sum(c.xyz[i] for c in self.looks) / len(self.looks) for i in range(3))
        return Colour((x, y, z))


def paint(name: str, colour: str | None = None, finish: Finish = "gloss", place: Place | None = None) -> Body:
    """A painted body from what stands in a file. Raises ColourError with its name and place."""
    if finish == "bare metal":
        return bare_metal(name, place)
    try:
        return Body(name, (parse(colour if colour is not None else name),), finish, place)
    except ColourError as error:
        if colour is None:
            raise ColourError(
                f"paint '{name}' has no colour", fix='give one: "#1d2b4a", measured or picked', place=place
            ) from None
        raise ColourError(f"paint '{name}': {error.message}", fix=error.fix, place=error.place or place) from None


def bare_metal(name: str = "bare metal", place: Place | None = None) -> Body:
    """Bare die-cast metal: L* 35 in its own shade to L* 85 in the light (common practice, no source)."""
    return Body(name, (Colour.from_lab(35, 0, 1), Colour.from_lab(85, 0, 1)), "bare metal", place)


def check_body(body: Body) -> tuple[Finding, ...]:
    """What a finish means for colour and for a decal upon it (common practice, no source)."""
    if body.finish == "bare metal":
        return (
            Finding(
                "warning", "body-metal", body.name,
                "no model covers bare metal: colours change as it is turned, between the two looks shown",
                "put white under all that must not glint, or paint the panel", body.place,
            ),
        )  # fmt: skip
    if body.finish == "metallic":
        return (
            Finding(
                "warning", "body-metallic", body.name,
                "a metallic paint changes with the angle; the prediction holds for looking straight at it",
                "put white under all that must not glint, and print a swatch", body.place,
            ),
        )  # fmt: skip
    if body.finish == "matt":
        return (
            Finding(
                "note", "body-matt", body.name,
                "air stays under film on matt paint and shows silvery, and the paint darkens once varnished",
                "give it a gloss coat first and measure the colour after it", body.place,
            ),
        )  # fmt: skip
    return ()


@dataclass(frozen=True, slots=True)
class FilmLook:
    """A film as far as colour goes. ``colour`` is its own: of white film as it lies there, of clear film as
    it looks on white paper. White film hides the body unless its ``opacity`` says otherwise."""

    kind: FilmKind
    adhesive: bool = False
    colour: Colour = PAPER
    opacity: float | None = None

    def __post_init__(self) -> None:
        if self.opacity is not None:
            if self.kind != "white":
                raise ColourError("an opacity belongs to white film", fix="leave it out for clear film")
            check_opacity(self.opacity)

    @property
    def name(self) -> str:
        """As users call it."""
        return f"{self.kind} self-adhesive film" if self.adhesive else f"{self.kind} waterslide film"


CLEAR_FILM = FilmLook("clear")
WHITE_FILM = FilmLook("white", colour=Colour.from_hex("#f7f6f1"))
WHITE_ADHESIVE = FilmLook("white", adhesive=True, colour=Colour.from_hex("#fafaf8"))
"""Colours of white film where not measured (common practice, no source)."""

__all__ = [
    "CLEAR_FILM",
    "DEFAULT_OPACITY",
    "PAPER",
    "WHITE_ADHESIVE",
    "WHITE_FILM",
    "WHITE_INK",
    "Body",
    "FilmLook",
    "Ink",
    "bare_metal",
    "check_body",
    "check_inks",
    "ink",
    "paint",
]
