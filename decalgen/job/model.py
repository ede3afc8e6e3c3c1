"""The frozen Job: one model's restoration, as read from its file. Millimetres; no file access from here on."""

from __future__ import annotations

from dataclasses import field
from typing import Literal

from decalgen.colour.inks import FilmKind, Finish, InkKind
from decalgen.colour.printer import PrinterColour
from decalgen.core.errors import Finding, Place
from decalgen.core.lengths import Quantity
from decalgen.core.values import dataclass
from decalgen.lettering.typeface import OwnFaceName
from decalgen.panels.base import Panel
from decalgen.printer.history import History
from decalgen.shapes.base import At, Element

Hands = Literal["one", "left", "right", "both"]
Hand = Literal["left", "right"]
Process = Literal["inkjet", "laser"]
UnderlayMode = Literal["as needed", "all", "none"]
Backing = Literal["none", "white"]
CutKind = Literal["rectangle", "round", "artwork", "panel", "outline"]


@dataclass(frozen=True)
class InkSpec:
    """An ink of the job. ``colour`` '#rrggbb' is how it looks on white paper, for pictures and home prints."""

    name: str
    kind: InkKind = "process"
    colour: str = "#000000"
    place: Place | None = field(default=None, compare=False)
    """Where the file says so; a line more above it changes nothing."""
    exact: str = ""
    """The colour as written where '#rrggbb' rounds it, such as 'lab(58 52 60)'; empty: it does not."""
    opacity: float | None = None
    """Of white: one pass over black divided by the same over white (Y); None: the printer's."""
    compensate: bool = False
    """Whether another ink is printed on clear film that looks like this one over the body, where there is one."""
    stands_for: str = ""
    """The ink of the job that this one is printed for, over the body; empty: it is itself one of the job."""


@dataclass(frozen=True)
class Paint:
    """A paint of the body: its colour as seen, '#rrggbb', and its finish."""

    name: str
    colour: str
    finish: Finish = "gloss"
    place: Place | None = field(default=None, compare=False)
    """Where the file says so; a line more above it changes nothing."""
    exact: str = ""
    """The colour as written where '#rrggbb' rounds it."""


@dataclass(frozen=True)
class Cut:
    """How the cut line runs: round the artwork's rectangle, an ellipse in it, the artwork itself, the panel, or
    a free outline (points in the artwork's coordinates, mm, each with the radius of its corner)."""

    kind: CutKind = "rectangle"
    corner_radius: float = 0.0
    points: tuple[tuple[float, float], ...] = ()
    radii: tuple[float, ...] = ()


@dataclass(frozen=True)
class Pinned:
    """Where a piece has to lie: the lower left corner of the box round its cut line from the sheet's, mm; the turn in
    degrees anticlockwise; which of the film's sheets, from 1."""

    at: tuple[float, float]
    turn: int = 0
    sheet: int = 1


@dataclass(frozen=True)
class Decal:
    """One printed piece of film as the job asks for it. Width and height are the artwork's.

    ``margin`` (bare film between artwork and cut line) and ``bleed`` are None where the film decides:
    0.5 mm bare margin and no bleed on clear film, no margin and 0.5 mm bleed on white film.
    """

    name: str
    panel: str
    width: Quantity
    height: Quantity
    artwork: tuple[Element, ...]
    hands: Hands = "one"
    at: At = At()
    cut: Cut = Cut()
    margin: float | None = None
    bleed: float | None = None
    film: FilmKind | None = None
    copies: int = 1
    spares: int = 0
    turn: bool = True
    pins: tuple[Pinned | None, ...] = ()
    """Where its pieces have to lie, the first ones in order: the left hand's copies and spares, then the right's."""
    keep_together: bool = False
    """Whether all its pieces lie on one sheet."""
    note: str = ""
    place: Place | None = field(default=None, compare=False)
    """Where the file says so; a line more above it changes nothing."""
    cut_around: tuple[str, ...] = ()
    """Obstacles that the film is cut around, and sides of an outline that it is cut along."""
    split_at: tuple[str, ...] = ()
    """Gaps that it is split at, into sections that stay in register."""
    slits: tuple[str, ...] = ()
    """Gaps that it is slit along without coming apart: open cut lines from its edge inward."""
    slit_as_advised: bool = False
    """Slit where the curvature of its panel calls for it, too."""
    as_seen: bool = False
    """Drawn as it is to look squarely from the front of its panel, and carried to the film."""

    underlay: UnderlayMode = "as needed"
    """Which of its inks get white under them, on clear film from a printer with white."""
    backing: Backing = "none"
    """Whether a piece of white film, cut by itself, goes under it; it lies on clear film."""
    over: tuple[str, ...] = ()
    """Decals of the job that it is laid over, which are applied before it."""
    backing_choke: float = 0.3
    """How far that piece is drawn in from the art, mm: how true it can be cut and laid."""
    unmeasured: tuple[str, ...] = ()
    """Readings of the lettering it is to match that are still to be taken."""

    @property
    def is_slit(self) -> bool:
        """Whether slits are asked for."""
        return self.slit_as_advised or bool(self.slits)

    @property
    def taken_out(self) -> tuple[str, ...]:
        """Every obstacle and side that takes something out of the film."""
        return (*self.cut_around, *self.split_at)


@dataclass(frozen=True)
class Job:
    """A whole job. ``digest`` is the SHA-256 of its text and of all it includes, in hexadecimal."""

    name: str
    title: str
    body: str
    paints: tuple[Paint, ...]
    inks: tuple[InkSpec, ...]
    panels: tuple[Panel, ...]
    decals: tuple[Decal, ...]
    scale: str = ""
    date: str = ""
    film: FilmKind = "clear"
    printer: str = ""
    """The kept profile that it names; '' for none."""
    variant: str | None = None
    variants: tuple[str, ...] = ()
    seed: int = 0
    keep_together: bool = False
    """Whether all its decals of one kind of film lie on one sheet."""
    digest: str = ""
    file: str = ""
    film_colours: tuple[tuple[FilmKind, str], ...] = ()
    """The measured colours of the films it is to be printed on, by kind; the usual ones hold for what is not there."""
    film_opacity: float | None = None
    """The opacity of the white film it is to be printed on, where that is known; None: it counts as opaque."""
    texts: tuple[tuple[str, str], ...] = field(default=(), repr=False)
    """Its files as they were read, the job file first: name from the job's folder, and text."""
    drawings: tuple[tuple[str, str], ...] = field(default=(), repr=False)
    """The drawings that it names, in the same way."""
    pictures: tuple[tuple[str, str], ...] = field(default=(), repr=False)
    """The pictures that it names: name from the job's folder, and the SHA-256 of the file."""
    faces: tuple[tuple[str, OwnFaceName], ...] = field(default=(), repr=False)
    """The faces of its own: the name of the font file from the job's folder, and the face."""
    notes: tuple[Finding, ...] = field(default=(), compare=False, repr=False)
    """What was noticed while reading it: words that have changed."""

    def ink(self, name: str) -> InkSpec:
        """The ink of that name. Raises KeyError (the loader has checked every name)."""
        for ink in self.inks:
            if ink.name == name:
                return ink
        raise KeyError(name)

    def panel(self, name: str) -> Panel:
        """The panel of that name. Raises KeyError."""
        for panel in self.panels:
            if panel.name == name:
                return panel
        raise KeyError(name)

    def paint(self, name: str) -> Paint:
        """The paint of that name. Raises KeyError."""
        for paint in self.paints:
            if paint.name == name:
                return paint
        raise KeyError(name)


@dataclass(frozen=True)
class UsedArea:
    """A part of a sheet that is gone: a rectangle by its lower left corner and size, mm."""

    x: float
    y: float
    width: float
    height: float


@dataclass(frozen=True)
class Film:
    """A sheet of film (or a kind of them): what it is, what it was made for, its size, and what is used of it."""

    name: str
    kind: FilmKind
    process: Process
    width: float
    height: float
    used: tuple[UsedArea, ...] = ()
    sheets: int = 0
    """How many there are; 0: as many as needed."""
    adhesive: bool = False
    """True for self-adhesive film, False for waterslide."""
    used_polygons: tuple[tuple[tuple[float, float], ...], ...] = field(default=(), repr=False)
    """What is gone of it beside ``used``, as outlines: the corners of each in order, mm."""
    marks: tuple[tuple[float, float, int], ...] = field(default=(), repr=False)
    """Registration marks of earlier prints that are on it: x, y, mm, and which print it was, from 1."""
    turned: bool = field(default=False, repr=False)
    """Whether it is a sheet of the film drawer turned by 180 degrees."""
    price: str = field(default="", repr=False)
    """What a whole sheet costs, as in '4.50 EUR'; empty: not known."""
    colour: str = field(default="", repr=False)
    """Its own colour as measured: of white film as it lies there, of clear film on white paper; empty: not measured."""
    opacity: float | None = field(default=None, repr=False)
    """Of white film: Y over black divided by Y over white; None: it counts as opaque."""
    cut_off: tuple[int, ...] = field(default=(), repr=False)
    """Which of ``used_polygons``, counted from 0, are cut off and not there any more."""


@dataclass(frozen=True)
class Printer:
    """A printer profile. Margins (left, right, bottom, top) are the unprintable edges, mm. ``scale_x``/``scale_y``
    multiply every coordinate, last of all, so that 100 mm asked for come out as 100 mm, and ``lean`` moves x by so
    much a millimetre of height, so that what is upright comes out upright."""

    name: str = "any printer"
    process: Process = "inkjet"
    margins: tuple[float, float, float, float] = (10.0, 10.0, 10.0, 10.0)
    scale_x: float = 1.0
    scale_y: float = 1.0
    dpi: int = 600
    white: bool = False
    misregister: float = 0.15
    shortest_sheet: float = 0.0
    """The shortest sheet it feeds, mm; 0: not known."""
    swatches: PrinterColour | None = field(default=None, repr=False)
    """What is known of its colours beside ``white`` and ``misregister``; None: the defaults hold."""
    profile: str = ""
    """The file of its ICC profile, as its own file names it; empty: none."""
    lean: float = 0.0
    history: History | None = field(default=None, repr=False)
    """For which film it was calibrated, when and how; None: its file says nothing of that."""
    shop: bool = False
    """A print shop's: it gets true millimetres, whatever corrects the printer at home, and answers for the size."""
    notes: tuple[Finding, ...] = field(default=(), compare=False, repr=False)
    """What was noticed while reading its file: words that have changed."""


@dataclass(frozen=True)
class Cutter:
    """A cutting machine's own correction: ``scale_x``/``scale_y`` multiply every coordinate of its files.

    ``waste_frame``: how far from the pieces a frame is cut round all of them on self-adhesive film, mm; 0: none is.
    """

    name: str
    scale_x: float = 1.0
    scale_y: float = 1.0
    waste_frame: float = 0.0


@dataclass(frozen=True)
class SheetSize:
    """A sheet format of layouts/sheets/, mm."""

    name: str
    width: float
    height: float
    source: str = ""
