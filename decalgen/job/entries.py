"""What may stand in a job, film, printer or layout file, as dataclasses with marks (`decalgen.core.keys`)."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from decalgen.core import keys as mark
from decalgen.core.lengths import Quantity
from decalgen.job.anchors import CENTRE
from decalgen.shapes.base import At, Element

_POINT = mark.Pair("x and y, mm", of=mark.Length())


@dataclass(frozen=True)
class JobEntry:
    """The job itself, without its groups."""

    job: Annotated[str, mark.Text("its short name; files are named after it", most=60)]
    body: Annotated[str, mark.Text("the paint of the body: one of 'paints', or a colour")]
    title: Annotated[str, mark.Text("its name in full")] = ""
    scale: Annotated[str, mark.Text('the scale of the model, as in "1:43"', most=40)] = ""
    date: Annotated[str, mark.Text('the date that files carry, as in "2026-03-14"', most=40)] = ""
    film: Annotated[str, mark.Choice("the film of decals that name none", ("clear", "white"))] = "clear"
    seed: Annotated[int, mark.Count("for nesting", least=0, most=2**31 - 1)] = 0
    keep_together: Annotated[bool, mark.Flag("its decals of one kind of film all lie on one sheet")] = False


JOB_GROUPS = ("paints", "inks", "values", "panels", "decals", "include", "variants")


@dataclass(frozen=True)
class PaintEntry:
    """A paint of the body."""

    colour: Annotated[str | None, mark.Colour("as seen; not needed for bare metal")] = None
    finish: Annotated[str, mark.Choice("its finish", ("gloss", "satin", "matt", "metallic", "bare metal"))] = "gloss"


@dataclass(frozen=True)
class InkEntry:
    """An ink."""

    kind: Annotated[str, mark.Choice("how it is printed", ("process", "spot", "white", "metallic"))] = "process"
    colour: Annotated[str | None, mark.Colour("how it looks on white paper; not needed for white")] = None
    opacity: Annotated[
        float | None, mark.Number("of white: lightness over black divided by lightness over white, as in 0.55")
    ] = None
    compensate: Annotated[
        bool, mark.Flag("on clear film print another ink that looks like this one over the body, where there is one")
    ] = False


@dataclass(frozen=True)
class SizeEntry:
    """What must be known of a decal before its artwork can be read."""

    panel: Annotated[str, mark.Text("the panel it goes on")]
    width: Annotated[Quantity | None, mark.Measure("width of the artwork; left out: the panel's")] = None
    height: Annotated[Quantity | None, mark.Measure("height of the artwork; left out: the panel's")] = None


@dataclass(frozen=True)
class PinEntry:
    """Where a piece has to lie on the sheet."""

    at: Annotated[
        tuple[float, float],
        mark.Pair("lower left corner of the box round its cut line, from the sheet's", of=mark.Length(least=0.0)),
    ]
    turn: Annotated[float, mark.Angle("by quarters, anticlockwise")] = 0.0
    sheet: Annotated[int, mark.Count("which of the film's sheets, from 1")] = 1


@dataclass(frozen=True)
class DecalEntry:
    """The rest of a decal."""

    artwork: Annotated[tuple[Element, ...], mark.Elements("its shapes, in painting order")]
    hands: Annotated[str, mark.Choice("which hands are printed", ("one", "left", "right", "both"))] = "one"
    at: Annotated[At, mark.At("where it lies on the panel")] = CENTRE
    margin: Annotated[
        float | None, mark.Length("bare film between artwork and cut line; left out: as the film needs", 0.0, 20.0)
    ] = None
    bleed: Annotated[float | None, mark.Length("ink beyond the cut line; left out: as the film needs", 0.0, 20.0)] = (
        None
    )
    film: Annotated[str | None, mark.Choice("its film; left out: the job's", ("clear", "white"))] = None
    copies: Annotated[int, mark.Count("how many are wanted, of each hand", least=0)] = 1
    spares: Annotated[int, mark.Count("how many more, of each hand", least=0)] = 0
    turn: Annotated[bool, mark.Flag("it may lie turned on the sheet")] = True
    pin: Annotated[
        tuple[PinEntry, ...],
        mark.Many("where its pieces have to lie, in order: left, then right", of=mark.Group(of=PinEntry), least=0),
    ] = ()
    keep_together: Annotated[bool, mark.Flag("its copies and hands all lie on one sheet")] = False
    note: Annotated[str, mark.Text("for the placement guide")] = ""
    cut_around: Annotated[
        tuple[str, ...],
        mark.Many("obstacles the film is cut around, by name; or: all", of=mark.Text(most=60), least=0, most=100),
    ] = ()
    split_at: Annotated[
        tuple[str, ...],
        mark.Many("gaps it is split at, by name; or: all", of=mark.Text(most=60), least=0, most=100),
    ] = ()
    slits: Annotated[
        tuple[str, ...],
        mark.Many(
            "gaps it is slit along, from its edge inward, without coming apart, by name; or: all; or: as advised",
            of=mark.Text(most=60),
            least=0,
            most=100,
        ),
    ] = ()
    underlay: Annotated[
        str,
        mark.Choice("which inks get white under them, on clear film by a white printer", ("as needed", "all", "none")),
    ] = "as needed"
    base: Annotated[
        str, mark.Choice("a piece cut from white film that goes under it, on clear film", ("none", "white"))
    ] = "none"
    base_choke: Annotated[float, mark.Length("how far that piece is drawn in from the art", 0.0, 5.0)] = 0.3
    as_seen: Annotated[bool, mark.Flag("drawn as it looks squarely from the front, not along the film")] = False


DECAL_GROUPS = ("cut", "layout", "values")


@dataclass(frozen=True)
class CutEntry:
    """How the cut line runs."""

    kind: Annotated[str, mark.Choice("what it follows", ("rectangle", "round", "artwork", "panel", "outline"))] = (
        "rectangle"
    )
    corner_radius: Annotated[float, mark.Length("of a rectangle's corners", 0.0, 500.0)] = 0.0
    points: Annotated[
        tuple[tuple[float, float], ...], mark.Many("of an outline, in order", of=_POINT, least=3, most=200)
    ] = ()
    corner_radii: Annotated[
        tuple[float, ...],
        mark.Many("of an outline's points, one each or one for all", of=mark.Length(least=0.0), most=200),
    ] = ()


@dataclass(frozen=True)
class LayoutEntry:
    """A ready parametric decal of layouts/, without its values and its decal."""

    layout: Annotated[str, mark.Text("its name", most=60)]
    about: Annotated[str, mark.Text("one line on what it is")] = ""
    source: Annotated[str, mark.Text("where its proportions come from")] = ""


LAYOUT_GROUPS = ("values", "inks", "decal", "sample")


@dataclass(frozen=True)
class SheetEntry:
    """A sheet format of layouts/sheets/."""

    sheet: Annotated[str, mark.Text("its name", most=60)]
    width: Annotated[float, mark.Size("width")]
    height: Annotated[float, mark.Size("height")]
    source: Annotated[str, mark.Text("the standard that says so")] = ""


@dataclass(frozen=True)
class UsedEntry:
    """A part of a sheet that is gone."""

    at: Annotated[tuple[float, float], mark.Pair("its lower left corner", of=mark.Length(least=0.0))]
    size: Annotated[tuple[float, float], mark.Pair("width and height", of=mark.Size())]


@dataclass(frozen=True)
class FilmEntry:
    """A film: what the owner has in the drawer."""

    film: Annotated[str, mark.Text("its name", most=60)]
    kind: Annotated[str, mark.Choice("clear or white", ("clear", "white"))]
    process: Annotated[str, mark.Choice("what it is made for", ("inkjet", "laser"))]
    sheet: Annotated[str | None, mark.Text("its format, as in A5; or give width and height", most=60)] = None
    width: Annotated[float | None, mark.Size("width")] = None
    height: Annotated[float | None, mark.Size("height")] = None
    used: Annotated[
        tuple[UsedEntry, ...], mark.Many("what is gone of it", of=mark.Group(of=UsedEntry), least=0, most=200)
    ] = ()
    sheets: Annotated[int, mark.Count("how many there are; 0: as many as needed", least=0)] = 0
    adhesive: Annotated[bool, mark.Flag("self-adhesive film, not waterslide")] = False
    colour: Annotated[
        str | None, mark.Colour("its own as measured: white film as it lies there, clear film on white paper")
    ] = None
    price: Annotated[str, mark.Text("of a whole sheet, as in 4.50 EUR", most=40)] = ""


@dataclass(frozen=True)
class CutterEntry:
    """A cutting machine's correction."""

    cutter: Annotated[str, mark.Text("its name", most=60)]
    scale_x: Annotated[float, mark.Number("correction across", 0.8, 1.25)] = 1.0
    scale_y: Annotated[float, mark.Number("correction along", 0.8, 1.25)] = 1.0


@dataclass(frozen=True)
class PrinterEntry:
    """A printer profile."""

    printer: Annotated[str, mark.Text("its name", most=60)]
    process: Annotated[str, mark.Choice("how it prints", ("inkjet", "laser"))] = "inkjet"
    margins: Annotated[
        tuple[float, ...],
        mark.Many(
            "edges it cannot print: left, right, bottom, top", of=mark.Length(least=0.0, most=100.0), least=4, most=4
        ),
    ] = (10.0, 10.0, 10.0, 10.0)
    scale_x: Annotated[float, mark.Number("correction across", 0.8, 1.25)] = 1.0
    scale_y: Annotated[float, mark.Number("correction along", 0.8, 1.25)] = 1.0
    shear: Annotated[float, mark.Number("how far to lean what is upright, mm a mm", -0.05, 0.05)] = 0.0
    dpi: Annotated[int, mark.Count("dots to the inch", least=72, most=10_000)] = 600
    white: Annotated[bool, mark.Flag("it prints white")] = False
    misregister: Annotated[float, mark.Length("how far passes miss each other", 0.0, 5.0)] = 0.15
    shortest_sheet: Annotated[float, mark.Length("the shortest sheet it feeds; 0: not known", 0.0, 500.0)] = 0.0
