"""What may stand in a job or layout file, as dataclasses with marks (`decalgen.core.keys`)."""

from __future__ import annotations

from typing import Annotated

from decalgen.core import keys
from decalgen.core.lengths import Quantity
from decalgen.core.values import dataclass
from decalgen.job.anchors import CENTRE
from decalgen.shapes.base import At, Element

MOST_FILES = 20
"""How many files a job may include."""
_POINT = keys.Two("x and y, mm", of=keys.Length())
_VALUES = keys.Named(
    "lengths, numbers or texts by name",
    of=(keys.Lines(most=500),),
    example={"letter gap": "0.2 mm", "word": "STORES"},
)


@dataclass(frozen=True)
class JobEntry:
    """The job itself, without its groups."""

    job: Annotated[str, keys.Text("its short name; files are named after it", most=60, example="gannet")]
    body: Annotated[str, keys.Text("the paint of the body: one of 'paints', or a colour", example="#1d2b4a")]
    title: Annotated[
        str,
        keys.Text("its title on printed pages; if left out, its short name", example="Pellerby Gannet, harbour stores"),
    ] = ""
    scale: Annotated[str, keys.Text('the scale of the model, as in "1:43"', most=40, example="1:43")] = ""
    date: Annotated[str, keys.Text('the date that files carry, as in "2026-03-14"', most=40, example="2026-03-14")] = ""
    film: Annotated[str, keys.Choice("the film of decals that name none", ("clear", "white"))] = "clear"
    printer: Annotated[str, keys.Text("the kept profile it is printed by", example="desk inkjet")] = ""
    seed: Annotated[
        int,
        keys.Count(
            "starting number for nesting; the same number gives the same arrangement", 0, 2**31 - 1, example="7"
        ),
    ] = 0
    keep_together: Annotated[bool, keys.Flag("its decals of one kind of film all go on one sheet")] = False


@dataclass(frozen=True)
class PaintEntry:
    """A paint of the body."""

    colour: Annotated[str | None, keys.ColourText("as seen; not needed for bare metal", example="#2f6f5e")] = None
    finish: Annotated[
        str,
        keys.Choice(
            "its finish", ("gloss", "satin", "matt", "metallic", "bare metal"), example="satin", beside=("colour",)
        ),
    ] = "gloss"


@dataclass(frozen=True)
class InkEntry:
    """An ink."""

    kind: Annotated[
        str, keys.Choice("how it is printed", ("process", "spot", "white", "metallic"), example="white")
    ] = "process"
    colour: Annotated[
        str | None, keys.ColourText("how it looks on white paper; not needed for white", example="#e8641b")
    ] = None
    opacity: Annotated[
        float | None,
        keys.Number(
            "of white: lightness over black divided by lightness over white, as in 0.55",
            example="0.55",
            beside=("kind",),
        ),
    ] = None
    compensate: Annotated[
        bool,
        keys.Flag(
            "on clear film print another ink that looks like this one over the body, where there is one",
            example="yes",
            beside=("colour",),
        ),
    ] = False


@dataclass(frozen=True)
class JobParts:
    """The groups of a job, each read by code of its own."""

    paints: Annotated[
        object,
        keys.Named(
            "paints of the body by name",
            of=(keys.ColourText(), keys.Block(of=PaintEntry)),
            topic="paint",
            example={"sea green": "#2f6f5e"},
        ),
    ] = None
    inks: Annotated[
        object,
        keys.Named(
            "inks by name; white and black are there",
            of=(keys.ColourText(), keys.Block(of=InkEntry)),
            topic="ink",
            example={"signal": "#e8641b"},
        ),
    ] = None
    faces: Annotated[
        object,
        keys.Named(
            "faces of your own by name, each a font file (TTF, OTF, WOFF2) in the job's folder",
            of=(keys.Text(),),
            example={"my letterer": "fonts/old.ttf"},
        ),
    ] = None
    values: Annotated[object, _VALUES] = None
    panels: Annotated[
        object,
        keys.Named(
            "panels by name, as measured",
            topic="panel",
            example={"door": {"width": "22.40 mm ± 0.05", "height": "11.60 mm ± 0.05"}},
        ),
    ] = None
    decals: Annotated[
        object,
        keys.Named(
            "decals by name",
            topic="decal",
            example={
                "door band": {
                    "panel": "door",
                    "width": "20 mm",
                    "height": "6 mm",
                    "artwork": ({"field": {"ink": "black"}},),
                }
            },
        ),
    ] = None
    include: Annotated[
        object,
        keys.Many("files beside the job, laid under it", of=keys.Text(), most=MOST_FILES, example="common-inks.yaml"),
    ] = None
    variants: Annotated[
        object, keys.Named("changes to the job by name", topic="job", example={"red": {"body": "#b01c2e"}})
    ] = None


JOB_GROUPS = tuple(spec.key for spec in keys.specs(JobParts))


@dataclass(frozen=True)
class SizeEntry:
    """What must be known of a decal before its artwork can be read."""

    panel: Annotated[str, keys.Text("the panel it goes on", example="door")]
    width: Annotated[
        Quantity | None, keys.Measure("width of the artwork; if left out, the panel's", example="panel.width - 2 mm")
    ] = None
    height: Annotated[
        Quantity | None, keys.Measure("height of the artwork; if left out, the panel's", example="6 mm")
    ] = None


@dataclass(frozen=True)
class PinEntry:
    """Where a piece has to lie on the sheet."""

    at: Annotated[
        tuple[float, float],
        keys.Two(
            "lower left corner of the box round its cut line, from the sheet's",
            of=keys.Length(least=0.0),
            example=("20 mm", "20 mm"),
        ),
    ]
    turn: Annotated[float, keys.Angle("in quarter turns, anticlockwise", example="90")] = 0.0
    sheet: Annotated[int, keys.Count("which of the film's sheets, from 1")] = 1
    hand: Annotated[
        str | None,
        keys.Choice("of a decal on both hands, whose piece; if left out, in order", ("left", "right"), example="right"),
    ] = None


@dataclass(frozen=True)
class DecalEntry:
    """The rest of a decal."""

    artwork: Annotated[
        tuple[Element, ...], keys.Elements("its shapes, in painting order", example=({"field": {"ink": "black"}},))
    ]
    hands: Annotated[str, keys.Choice("which hands are printed", ("one", "left", "right", "both"), example="both")] = (
        "one"
    )
    at: Annotated[At, keys.Anchored("where it goes on the panel", example="bottom + 0.5 mm")] = CENTRE
    margin: Annotated[
        float | None,
        keys.Length(
            "bare film between artwork and cut line; if left out, as the film needs", 0.0, 20.0, example="0.5 mm"
        ),
    ] = None
    bleed: Annotated[
        float | None,
        keys.Length("ink beyond the cut line; if left out, as the film needs", 0.0, 20.0, example="0.3 mm"),
    ] = None
    film: Annotated[str | None, keys.Choice("its film; if left out, the job's", ("clear", "white"))] = None
    copies: Annotated[int, keys.Count("how many you want, of each hand", least=0)] = 1
    spares: Annotated[int, keys.Count("how many more, of each hand", least=0, example="1")] = 0
    turn: Annotated[bool, keys.Flag("it may be turned on the sheet")] = True
    pin: Annotated[
        tuple[PinEntry, ...],
        keys.Many("where its pieces have to lie, in order: left, then right", of=keys.Block(of=PinEntry), least=0),
    ] = ()
    keep_together: Annotated[bool, keys.Flag("its copies and hands all go on one sheet")] = False
    note: Annotated[
        str, keys.Text("what to remember of it; `decalgen check` repeats it", example="the gap is wider on the right")
    ] = ""
    cut_around: Annotated[
        tuple[str, ...],
        keys.Many(
            "obstacles the film is cut around, by name; or: all",
            of=keys.Text(most=60),
            least=0,
            most=100,
            example="handle",
        ),
    ] = ()
    split_at: Annotated[
        tuple[str, ...],
        keys.Many(
            "gaps it is split at, by name; or: all", of=keys.Text(most=60), least=0, most=100, example="shut line"
        ),
    ] = ()
    slits: Annotated[
        tuple[str, ...],
        keys.Many(
            "gaps it is slit along, from its edge inward, without coming apart, by name; or: all; or: as advised",
            of=keys.Text(most=60),
            least=0,
            most=100,
            example="fuel flap",
        ),
    ] = ()
    underlay: Annotated[
        str,
        keys.Choice("which inks get white under them, on clear film by a white printer", ("as needed", "all", "none")),
    ] = "as needed"
    backing: Annotated[
        str, keys.Choice("a piece cut from white film that goes under it, on clear film", ("none", "white"))
    ] = "none"
    backing_choke: Annotated[
        float, keys.Length("how far that piece is drawn in from the art", 0.0, 5.0, example="0.2 mm")
    ] = 0.3
    over: Annotated[
        tuple[str, ...],
        keys.Many(
            "decals it is laid over on its panel, by name", of=keys.Text(most=60), least=0, most=100, example="ground"
        ),
    ] = ()
    as_seen: Annotated[bool, keys.Flag("drawn as it looks squarely from the front, not along the film")] = False


_CUT_KIND = keys.Choice("what it follows", ("rectangle", "round", "artwork", "panel", "outline"))


@dataclass(frozen=True)
class CutEntry:
    """How the cut line runs."""

    kind: Annotated[str, _CUT_KIND] = "rectangle"
    corner_radius: Annotated[float, keys.Length("of a rectangle's corners", 0.0, 500.0, example="1 mm")] = 0.0
    points: Annotated[
        tuple[tuple[float, float], ...],
        keys.Many(
            "of an outline, in order",
            of=_POINT,
            least=3,
            most=200,
            example=(("0 mm", "0 mm"), ("20 mm", "0 mm"), ("20 mm", "6 mm"), ("0 mm", "6 mm")),
        ),
    ] = ()
    corner_radii: Annotated[
        tuple[float, ...],
        keys.Many(
            "of an outline's points, one each or one for all",
            of=keys.Length(least=0.0),
            most=200,
            example="0.5 mm",
            beside=("points",),
        ),
    ] = ()


@dataclass(frozen=True)
class DecalParts:
    """The groups of a decal, each read by code of its own."""

    cut: Annotated[
        object,
        keys.Part(
            "how its cut line runs, in one word or by its keys; if left out, a rectangle",
            of=(_CUT_KIND,),
            topic="cut",
            example="round",
        ),
    ] = None
    layout: Annotated[
        object, keys.Text("a ready decal; its keys go under the decal's own", most=60, example="door-band")
    ] = None
    values: Annotated[object, _VALUES] = None


DECAL_GROUPS = tuple(spec.key for spec in keys.specs(DecalParts))


@dataclass(frozen=True)
class LayoutEntry:
    """A ready parametric decal of layouts/, without its values and its decal."""

    layout: Annotated[str, keys.Text("its name", most=60, example="my-band")]
    about: Annotated[str, keys.Text("one line on what it is", example="A band along the foot of a door")] = ""
    source: Annotated[str, keys.Text("where its proportions come from", example="measured on a model")] = ""


@dataclass(frozen=True)
class SampleEntry:
    """What a layout is shown on."""

    body: Annotated[str, keys.Text("the colour of the body", example="#1d2b4a")] = "white"
    film: Annotated[str, keys.Choice("the film", ("clear", "white"))] = "white"
    panel: Annotated[
        object,
        keys.Part(
            "a panel; if left out, 24 mm wide and 14 mm high",
            topic="panel",
            example={"width": "22.40 mm", "height": "11.60 mm"},
        ),
    ] = None
    date: Annotated[str, keys.Text('the date, as in "2026-03-14"', most=40, example="2026-03-14")] = ""


@dataclass(frozen=True)
class LayoutParts:
    """The groups of a layout, each read by code of its own."""

    decal: Annotated[
        object,
        keys.Part(
            "the decal itself, without its panel", topic="decal", example={"artwork": ({"field": {"ink": "black"}},)}
        ),
    ]
    values: Annotated[object, _VALUES] = None
    inks: Annotated[
        object,
        keys.Named(
            "its inks by name, where the job has none of that name",
            of=(keys.ColourText(), keys.Block(of=InkEntry)),
            topic="ink",
            example={"signal": "#e8641b"},
        ),
    ] = None
    sample: Annotated[object, keys.Part("what it is shown on", of=(keys.Block(of=SampleEntry),))] = None


LAYOUT_GROUPS = tuple(spec.key for spec in keys.specs(LayoutParts))
