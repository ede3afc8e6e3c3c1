"""Which groups of keys there are in the files of a user, each with the dataclasses whose marks say what it takes.

The pages of `decalgen keys` and the JSON Schemas both go through these, so that neither can forget a key.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cache
from typing import Any

from decalgen.core import keys
from decalgen.core.values import dataclass
from decalgen.job import entries, film_entries, printer_entries
from decalgen.job.anchors import AtEntry
from decalgen.job.elements import Placing
from decalgen.job.examples import LETTERINGS
from decalgen.job.key_words import INKS
from decalgen.job.panels import PanelEntry, PanelParts
from decalgen.panels.full_size import FullSize
from decalgen.panels.kinds import PanelKind
from decalgen.panels.registry import kinds, obstacle_kinds
from decalgen.shapes.band_keys import BandChecks, BandChevrons
from decalgen.shapes.lettering_groups import Along, Arc, Inline, Match, Rim, Shadow
from decalgen.shapes.outline import Hole
from decalgen.shapes.picture_outline import PictureCurve, PictureOutline
from decalgen.shapes.registry import load

Tree = dict[str, Any]
"""A group of keys as it is written: texts, lists and groups by key."""
Around = Callable[[Tree], Tree]


@dataclass(frozen=True)
class KeyGroup:
    """A group of keys as one reader takes it.

    ``name`` and ``about``: its heading; ``where``: what it stands in; ``classes``: whose marks its keys are;
    ``given``: a value for some fields, by field name; ``first``: what its example shows beside what must be given;
    ``around``: from the group's own keys to a file that holds it; ``without``: fields that are on another group's list.
    """

    name: str
    about: str
    where: str
    classes: tuple[type[Any], ...]
    given: Mapping[str, object] | None = None
    around: Around = dict
    first: tuple[str, ...] = ()
    without: frozenset[str] = frozenset()

    @property
    def ways(self) -> tuple[frozenset[str], ...]:
        """Combinations of keys of which one must be given; none where all that must be is marked so."""
        return tuple(getattr(self.classes[0], "needs", ()))

    def specs(self) -> tuple[keys.Spec, ...]:
        """Every key of the group, in order."""
        every = (spec for cls in self.classes for spec in keys.specs(_plain(cls)))
        return tuple(spec for spec in every if spec.name not in self.without)


@dataclass(frozen=True)
class KeyPage:
    """A page of `decalgen keys`: its name, one line on it, and its groups."""

    name: str
    about: str
    groups: tuple[KeyGroup, ...]


@cache
def pages() -> dict[str, KeyPage]:
    """Every page by its name: files first, then what is in a job, then the shapes."""
    found = [
        *_files(),
        *_of_job(),
        KeyPage("panel", "a measured panel, and the readings of every kind", _panels()),
        KeyPage("obstacle", "what is in the way on a panel", _obstacles()),
        *_of_decal(),
        *_shapes(),
    ]
    return {page.name: page for page in found}


def _page(
    name: str, about: str, where: str, *classes: type[Any], around: Around = dict, first: tuple[str, ...] = ()
) -> KeyPage:
    return KeyPage(name, about, (KeyGroup(name, about, where, classes, around=around, first=first),))


def _files() -> list[KeyPage]:
    job = KeyGroup(
        "job",
        "a job file",
        "at the left margin of a job file",
        (entries.JobEntry, entries.JobParts),
        first=("title", "scale", "film", "panels", "decals"),
    )
    film = "a film file: film you have"
    layout = "a layout: a ready decal in a file of its own"
    used = KeyGroup(
        "used", "a part already used", "inside `used` of a film file", (film_entries.UsedEntry,), around=_used
    )
    sample = KeyGroup(
        "sample", "what a layout is shown on", "inside `sample` of a layout", (entries.SampleEntry,), around=_sample
    )
    return [
        KeyPage("job", job.about, (job,)),
        KeyPage(
            "film", film, (KeyGroup("film", film, "at the left margin of a film file", (film_entries.FilmEntry,)), used)
        ),
        KeyPage("printer", "a printer file", _printer()),
        _page("cutter", "a cutter file", "at the left margin of a cutter file", film_entries.CutterEntry),
        KeyPage(
            "layout",
            layout,
            (
                KeyGroup(
                    "layout", layout, "at the left margin of a layout", (entries.LayoutEntry, entries.LayoutParts)
                ),
                sample,
            ),
        ),
    ]


def _printer() -> tuple[KeyGroup, ...]:
    def inside(key: str, many: bool = False) -> Around:
        return lambda own: {**_PRINTER, key: [own] if many else own}

    mine = printer_entries
    return (
        KeyGroup(
            "printer",
            "a printer file",
            "at the left margin of a printer file",
            (mine.PrinterEntry, mine.PrinterParts),
            first=("process", "margins", "dpi", "white"),
        ),
        KeyGroup(
            "colour",
            "what is known of its colours",
            "inside `colour` of a printer file",
            (mine.SwatchEntry, mine.SwatchParts),
            around=inside("colour"),
            first=("opacity", "passes", "smallest line", "inks"),
        ),
        KeyGroup(
            "for",
            "what it was calibrated for",
            "inside `for` of a printer file",
            (mine.SettingEntry,),
            around=inside("for"),
        ),
        KeyGroup(
            "calibrations",
            "one calibration",
            "in the list `calibrations` of a printer file",
            (mine.DatedEntry,),
            around=inside("calibrations", many=True),
        ),
        KeyGroup(
            "check bars",
            "the check bars of one print",
            "in the list `check bars` of a printer file",
            (mine.BarsEntry,),
            around=inside("check bars", many=True),
            first=("x", "y"),
        ),
    )


def _of_job() -> list[KeyPage]:
    return [
        _page(
            "paint",
            "a paint of the body",
            "under its name in `paints`",
            entries.PaintEntry,
            around=lambda own: {"paints": {"sea green": own}},
            first=("colour", "finish"),
        ),
        _page(
            "ink",
            "an ink",
            "under its name in `inks`",
            entries.InkEntry,
            around=lambda own: {"inks": {"signal": own}},
            first=("colour", "compensate"),
        ),
    ]


def _panels() -> tuple[KeyGroup, ...]:
    def around(own: Tree) -> Tree:
        return {"panels": {"door": own}}

    every = KeyGroup(
        "every panel",
        "keys that a panel of any kind may have",
        "under its name in `panels`",
        (PanelEntry, PanelParts, PanelKind),
        first=("obstacles",),
        around=lambda own: around({"width": "22.40 mm", "height": "11.60 mm", **own}),
    )
    full = KeyGroup(
        "prototype",
        "sizes of the full-size vehicle",
        "inside `prototype` of a panel",
        (FullSize,),
        around=lambda own: {"scale": "1:43", **around({"prototype": own})},
    )
    common = frozenset(spec.name for spec in keys.specs(_plain(PanelKind)))
    found = [
        KeyGroup(name, kind.about, "under its name in `panels`", (kind,), around=around, without=common)
        for name, kind in kinds().items()
        if name != "prototype"
    ]
    return (every, *found, full)


def _obstacles() -> tuple[KeyGroup, ...]:
    def around(own: Tree) -> Tree:
        return {"panels": {"door": {"width": "22.40 mm", "height": "11.60 mm", "obstacles": {"handle": own}}}}

    return tuple(
        KeyGroup(name, kind.about, "under its name in `obstacles` of a panel", (kind,), around=around)
        for name, kind in obstacle_kinds().items()
    )


def _of_decal() -> list[KeyPage]:
    def inside(key: str) -> Around:
        return lambda own: in_decal({key: own})

    return [
        _page(
            "decal",
            "a decal",
            "under its name in `decals`",
            entries.SizeEntry,
            entries.DecalEntry,
            entries.DecalParts,
            around=lambda own: {"decals": {"door band": own}},
            first=("width", "height", "hands", "at"),
        ),
        _page(
            "cut",
            "how a cut line runs",
            "inside `cut` of a decal",
            entries.CutEntry,
            around=inside("cut"),
            first=("corner radius",),
        ),
        _page(
            "pin",
            "where a piece lies on the sheet",
            "inside `pin` of a decal",
            entries.PinEntry,
            # Only a decal on both hands has a hand to name.
            around=lambda own: in_decal({**({"hands": "both"} if "hand" in own else {}), "pin": own}),
        ),
        _page(
            "at",
            "where a decal lies on its panel, or a shape in its decal; in short, top, or bottom + 0.5 mm, "
            "or [2 mm, 1 mm] for the lower left corner",
            "inside `at` of a decal or a shape",
            AtEntry,
            around=inside("at"),
        ),
    ]


def _shapes() -> list[KeyPage]:
    found = []
    inside_shapes = {**_lettering_groups(), **_band_groups()}
    for name, cls in load().items():
        own = KeyGroup(
            name,
            cls.about,
            "in the list `artwork` of a decal",
            (cls, Placing),
            _in_two_inks(cls),
            around=lambda own, name=name: in_artwork(name, own),  # type: ignore[misc]
        )
        groups = [own]
        if name == "outline":
            groups.append(
                KeyGroup(
                    "holes", "a hole in an outline", "in the list `holes` of `outline`", (Hole,), around=_with_hole
                )
            )
        if name == "picture":
            groups += _picture_groups()
        twin = inside_shapes.pop(name, None)
        found.append(KeyPage(name, cls.about, (*groups, *([twin] if twin else []))))
    return [*found, *(KeyPage(name, group.about, (group,)) for name, group in inside_shapes.items())]


def _picture_groups() -> list[KeyGroup]:
    """The lines on a picture that end what is seen of it."""

    def group(key: str, about: str, cls: type[Any]) -> KeyGroup:
        around: Around = lambda own: in_artwork("picture", {"file": "emblem.png", "height": "11 mm", key: own})  # noqa: E731
        return KeyGroup(key, about, f"inside `{key}` of `picture`", (cls,), around=around)

    return [
        group("cut outline", "an outline on a picture", PictureOutline),
        group("cut curve", "a smooth closed curve on a picture", PictureCurve),
    ]


def _lettering_groups() -> dict[str, KeyGroup]:
    """The groups inside a lettering, by the key they stand under."""
    abouts = {spec.key: spec.kind.about for spec in keys.specs(_plain(load()["lettering"]))}

    def group(key: str, cls: type[Any]) -> KeyGroup:
        head = LETTERINGS[key]
        inks: Tree = {} if key in ("match", "arc", "along") else {"inks": {"signal": "#c8501b"}}
        return KeyGroup(
            key,
            abouts[key].split("; ")[0],
            f"inside `{key}` of `lettering`",
            (cls,),
            around=lambda own: {**inks, **in_artwork("lettering", {**head, key: _in_signal(own) if inks else own})},
            first=("length", "stem", "crossbar", "radius", "gap"),
        )

    by_key = {"match": Match, "arc": Arc, "along": Along, "outline": Rim, "inline": Inline, "shadow": Shadow}
    return {key: group(key, cls) for key, cls in by_key.items()}


def _band_groups() -> dict[str, KeyGroup]:
    """What runs along a band instead of stripes, by the key it stands under, which is a shape's as well."""
    band: Tree = {"inks": ["black", "white"], "points": [["0 mm", "1 mm"], ["20 mm", "4 mm"]], "stripe width": "3 mm"}

    def group(key: str, cls: type[Any]) -> KeyGroup:
        around: Around = lambda own: in_artwork("band", {**band, key: own})  # noqa: E731
        return KeyGroup(key, f"{key} along a band", f"inside `{key}` of `band`", (cls,), around=around)

    return {"checks": group("checks", BandChecks), "chevrons": group("chevrons", BandChevrons)}


def _in_signal(own: Tree) -> Tree:
    """A group's keys with an ink that can be seen beside the letters and on white film."""
    return {**own, "ink": "signal"} if "ink" in own else own


def _in_two_inks(cls: Any) -> dict[str, object]:
    """A shape's example in the inks that every job has."""
    found = dict(cls.example)
    known: list[str] = []

    def taken(ink: str) -> str:
        if ink not in known:
            known.append(ink)
        return INKS[known.index(ink) % 2]

    for spec in keys.specs(cls):
        value = found.get(spec.name)
        if isinstance(spec.kind, keys.InkName) and isinstance(value, str):
            found[spec.name] = taken(value)
        elif isinstance(spec.kind, keys.Many) and isinstance(spec.kind.of, keys.InkName) and isinstance(value, tuple):
            found[spec.name] = tuple(taken(one) for one in value)
    return found


def in_decal(own: Tree) -> Tree:
    """A decal of one field with more keys."""
    size = {"width": "20 mm", "height": "6 mm"}
    return {"decals": {"door band": {"panel": "door", **size, **own, "artwork": [{"field": {"ink": "black"}}]}}}


def in_artwork(shape: str, own: Tree) -> Tree:
    """A decal of one shape."""
    return {"decals": {"door band": {"panel": "door", "artwork": [{shape: own}]}}}


def _with_hole(own: Tree) -> Tree:
    points = [["0 mm", "0 mm"], ["14 mm", "0 mm"], ["14 mm", "10 mm"], ["0 mm", "10 mm"]]
    return in_artwork("outline", {"ink": "black", "points": points, "holes": [own]})


def _used(own: Tree) -> Tree:
    return {"film": "white A5, opened", "kind": "white", "process": "inkjet", "sheet": "A5", "used": [own]}


def _sample(own: Tree) -> Tree:
    return {"layout": "my-band", "sample": own, "decal": {"artwork": [{"field": {"ink": "black"}}]}}


_PRINTER = {"printer": "desk inkjet"}


def _plain(cls: Any) -> Any:
    """The class untyped: `keys.specs` is cached, and the type checker doubts that a class can be hashed."""
    return cls
