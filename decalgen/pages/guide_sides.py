"""What a placement guide says of each side of a model: its decals in the order of application, each with the two
distances that place it. Pure; mm.

A side is a panel and its hand. Decals bear the numbers that film bears, for it is by these that they are found.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from functools import partial
from typing import Literal

import shapely
from shapely.geometry import Polygon

from decalgen.artwork.backing import backings
from decalgen.artwork.build import Artwork
from decalgen.artwork.on_panel import on_panel
from decalgen.core.errors import DecalgenError
from decalgen.core.geometry import SLIVER, Side, polygons, transform
from decalgen.core.values import dataclass
from decalgen.job.model import Hand, Job
from decalgen.job.over import application_turns
from decalgen.pages.decal_and_panel import position_on_panel
from decalgen.panels.base import Panel, PanelError
from decalgen.panels.dome import DomeSurface
from decalgen.panels.edge_distance import CHOSEN, LEVEL, EdgeDistance, edge_distances, obstacle_distance
from decalgen.panels.strain import strain
from decalgen.panels.uncertainty import expanded
from decalgen.shapes.base import ANCHORS
from decalgen.sheet.pieces import Piece

View = Literal["left", "right", "bonnet", "roof", "boot", "front", "rear", ""]
WORDS: Mapping[str, View] = {
    "bonnet": "bonnet", "hood": "bonnet", "roof": "roof", "boot": "boot", "trunk": "boot", "engine cover": "boot",
    "tailgate": "rear", "tail gate": "rear", "rear": "rear", "back": "rear", "tail": "rear",
    "front": "front", "grille": "front", "nose": "front", "windscreen": "front", "windshield": "front",
    "left": "left", "right": "right",
}  # fmt: skip
"""Words in a panel's name that tell on which side of a model it is."""
OPPOSITE = {"left": "right", "right": "left", "front": "rear", "rear": "front", "top": "bottom", "bottom": "top"}
"""Edges by what they are called."""
LOOK: Mapping[View, str] = {
    "left": "as you face it, nose to the left",
    "right": "as you face it, nose to the right",
    "bonnet": "seen from above, nose up",
    "roof": "seen from above, nose up",
    "boot": "seen from above, nose up",
    "front": "as you face it",
    "rear": "as you face it",
    "": "top up, as in the job",
}


BESIDE = 2.0
"""An obstacle that is nearer to a decal, mm, is told with it."""


@dataclass(frozen=True)
class GuideRow:
    """A distance that places a decal: its letter, which edge it is from, and where on the decal it is taken."""

    letter: str
    edge: str
    distance: EdgeDistance
    both: bool = False
    """Whether the opposite edge is as far away."""
    open: bool = False
    """Whether a reading is still to be taken, so that it is not known."""

    @property
    def figure(self) -> str:
        """The distance, '' where it is open. Of film that reaches over the edge how far it does."""
        return "" if self.open else f"{abs(round(self.distance.amount.value, 2)):.2f}"

    @property
    def sureness(self) -> str:
        """What stands behind the figure: its uncertainty, or that the job sets it."""
        if self.open:
            return "mm, not measured yet"
        over = " over the edge" if self.distance.amount.value < -LEVEL else ""
        return f"mm{over}, chosen" if self.distance.chosen else f"± {self.distance.expanded:.2f} mm{over}"

    @property
    def words(self) -> str:
        """From which edge, and where."""
        words = f"{self.edge} edge"
        if self.both:
            return f"{words}, {OPPOSITE[self.edge]} alike"
        return f"{words}, {self.distance.at}" if self.distance.at else words


@dataclass(frozen=True)
class GuideItem:
    """A piece on its panel: ``number`` as film bears it, ``cut`` its film in the panel's flat coordinates."""

    number: str
    name: str
    artwork: Artwork
    cut: Polygon
    rows: tuple[GuideRow, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True)
class GuideSide:
    """One hand of a panel with all that is laid on it, in order. ``panel`` is as this hand has it."""

    job: Job
    panel: Panel
    hand: Hand | None
    view: View
    items: tuple[GuideItem, ...]

    @property
    def name(self) -> str:
        """'door, left'."""
        return f"{self.panel.name}, {self.hand}" if self.hand else self.panel.name

    @property
    def nose(self) -> Hand | None:
        """To which side the nose is, where that is to be seen."""
        return self.view if self.view in ("left", "right") else None

    @property
    def open(self) -> bool:
        """Whether readings of it are still to be taken."""
        return bool(self.panel.unmeasured)

    @property
    def bent(self) -> bool:
        """Whether distances run along the skin."""
        surface = self.panel.surface
        return surface is not None and bool(surface.bend)

    @property
    def dome(self) -> bool:
        """Whether it is curved both ways, so that no card lies flat on it."""
        return isinstance(self.panel.surface, DomeSurface)

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """The box round the panel and all that lies on it."""
        return _bounds([self.panel.outline.polygon, *(item.cut for item in self.items)])


def guide_sides(job: Job, pieces: Sequence[Piece]) -> tuple[GuideSide, ...]:
    """Every side of a job that a piece lies on, in the order of the panels; the left hand first.

    Raises DecalgenError for a decal that lies nowhere on its panel."""
    numbers = {_key(one.artwork): one.label for one in pieces if one.artwork.job == job.name}
    arts = {_key(one.artwork): one.artwork for one in pieces if one.artwork.job == job.name and not one.artwork.backing}
    order = application_turns(job.decals)
    found = []
    for panel in job.panels:
        mine = [art for art in arts.values() if art.decal.panel == panel.name]
        handed = sorted({art.hand for art in mine if art.hand})
        hands: tuple[Hand | None, ...] = (*handed,) or (None,)
        for hand in hands if mine else ():
            some = [art for art in mine if art.hand in (hand, None)]
            some.sort(key=lambda art: (order[art.decal.name], _from_nose(art)))
            found.append(_side(job, panel, hand, some, numbers))
    return tuple(found)


def view_of(panel: Panel, hand: Hand | None) -> View:
    """On which side of the model a panel is, as far as its hand or its name tells."""
    name = f" {panel.name.casefold().replace('-', ' ')} "
    side = hand or panel.hand
    if side:
        # A front door is on a side; a cab front is not, though its decals may be a pair.
        return next((view for word, view in WORDS.items() if name.endswith(f" {word} ")), side)
    return next((view for word, view in WORDS.items() if f" {word} " in name), "")


def _side(
    job: Job, panel: Panel, hand: Hand | None, arts: Sequence[Artwork], numbers: Mapping[tuple[object, ...], str]
) -> GuideSide:
    seen = on_panel(job, arts[0].decal, hand)[0]
    cuts = {id(art): _placed(job, art, art.cut_polygon) for art in arts}
    letters = _letters()
    view = view_of(panel, hand)
    items = []
    for art in arts:
        if cuts[id(art)].intersection(seen.outline.polygon).area <= SLIVER:
            raise DecalgenError(
                f"'{art.name}' does not lie on panel '{panel.name}', so there is nothing to place it by",
                fix=f"correct its 'at' or its size: the panel is {seen.width.value:.2f} × {seen.height.value:.2f} mm",
                place=art.decal.place,
            )
        others = [cut for key, cut in cuts.items() if key != id(art)]
        others += [item.outline.polygon for item in seen.obstacles]
        anchor = on_panel(job, art.decal, art.hand)[1].anchor
        for part in (*backings(art), art):
            cut = _placed(job, art, part.cut_polygon)
            grown = art.margin if art.decal.cut.kind == "panel" and not part.backing else None
            alike: set[Side] = set()
            choose = partial(_chosen, words=anchor.split(), view=view, alike=alike)
            distances = edge_distances(cut, seen, ANCHORS[anchor], grown, others, choose)
            rows = tuple(
                GuideRow(next(letters), _edge(side, view), distance, side in alike, bool(panel.unmeasured))
                for side, distance in distances.items()
            )
            number = numbers.get(_key(part), "")
            notes = tuple(_notes(part, art, cut, seen, job, numbers))
            items.append(GuideItem(number, replace(part, hand=None).name, part, cut, rows, notes))
    return GuideSide(job, seen, hand, view, tuple(items))


def _placed(job: Job, art: Artwork, cut: Polygon) -> Polygon:
    """Film of a decal in the coordinates of its panel."""
    return polygons(transform(cut, position_on_panel(art, job.panel(art.decal.panel))))[0]


def _chosen(distances: Mapping[Side, EdgeDistance], words: Sequence[str], view: View, alike: set[Side]) -> list[Side]:
    """One side along the panel and one up: the edge that the job names among its ``words``, else the nearer one; to
    ``alike`` goes each to which the opposite edge is as far."""
    nose: tuple[Side, Side] = ("right", "left") if view == "right" else ("left", "right")
    ways: tuple[tuple[Side, Side], ...] = (nose, ("bottom", "top"))
    found = []
    for one, other in ways:
        there = [side for side in (one, other) if side in distances]
        if not there:
            continue
        asked = [side for side in there if side in words]
        near = min(there, key=lambda side: (round(distances[side].amount.value, 2), side != one))
        even = len(there) == 2 and not asked and _alike(distances[one], distances[other])
        found.append(one if even else (asked or [near])[0])
        if even:
            alike.add(one)
    return found


def _alike(one: EdgeDistance, other: EdgeDistance) -> bool:
    return abs(one.amount.value - other.amount.value) < LEVEL and one.at == other.at == ""


def _edge(side: Side, view: View) -> str:
    """What an edge is called: on a side of the model by its nose."""
    if view not in ("left", "right") or side in ("bottom", "top"):
        return side
    return "front" if side == view else "rear"


def _letters() -> Iterator[str]:
    """a to z, then a2 and so on."""
    round_ = 1
    while True:
        for n in range(26):
            yield f"{chr(ord('a') + n)}{round_ if round_ > 1 else ''}"
        round_ += 1


def _notes(
    part: Artwork,
    art: Artwork,
    cut: Polygon,
    panel: Panel,
    job: Job,
    numbers: Mapping[tuple[object, ...], str],
) -> Iterator[str]:
    """What there is to say of a piece beside its distances; the note that the job has for it comes last."""
    decal = art.decal
    if part.backing:
        yield "blank white film: it goes under the next piece"
        return
    if decal.over:
        yield f"lies over {' and '.join(_called(name, art, numbers) for name in decal.over)}: let that dry first"
    if decal.cut_around:
        yield f"cut around {' and '.join(decal.cut_around)}"
    if part.slits:
        yield f"cut its {len(part.slits)} slit{'s' * (len(part.slits) > 1)} first; lay it from the middle outward"
    across = [
        item.name
        for item in panel.obstacles
        if item.gap and item.name not in decal.taken_out and cut.intersection(item.outline.polygon).area > SLIVER
    ]
    if across:
        yield f"slit it along {' and '.join(across)} when dry"
    for item in panel.obstacles:
        gap = cut.distance(item.outline.polygon)
        if not item.gap and item.name not in decal.taken_out and SLIVER < gap < BESIDE:
            yield _beside(cut, art, panel, job, item.name)
    with suppress(PanelError):
        # One that reaches too far round a dome is a finding of the check.
        bends = strain(cut, panel)
        if bends is not None and bends.advice != "none":
            yield bends.remedy
    if decal.note and art.section <= 1:
        yield " ".join(decal.note.split())


def _beside(cut: Polygon, art: Artwork, panel: Panel, job: Job, obstacle: str) -> str:
    """How far a piece lies from an obstacle, and what stands behind that."""
    if panel.unmeasured:
        return f"close to the {obstacle}"
    grown = art.margin if art.decal.cut.kind == "panel" else None
    anchor = ANCHORS[on_panel(job, art.decal, art.hand)[1].anchor]
    gap = obstacle_distance(cut, panel, obstacle, anchor, grown)
    sure = expanded(gap)
    return f"{gap.value:.2f} {'mm' if sure < CHOSEN else f'± {sure:.2f} mm'} from the {obstacle}"


def _called(name: str, art: Artwork, numbers: Mapping[tuple[object, ...], str]) -> str:
    """A decal by the numbers of its parts on this hand, else by its name."""
    found = [number for key, number in numbers.items() if key[0] == name and key[1] in (art.hand, None) and not key[3]]
    return " and ".join(found or [name])


def _from_nose(art: Artwork) -> int:
    """Sections are counted from the left; on the right hand the nose is at the other end."""
    return art.sections + 1 - art.section if art.hand == "right" else art.section


def _key(art: Artwork) -> tuple[object, ...]:
    return (art.decal.name, art.hand, art.section, art.backing)


def _bounds(shapes: Sequence[Polygon]) -> tuple[float, float, float, float]:
    x0, y0, x1, y1 = shapely.union_all(list(shapes)).bounds
    return float(x0), float(y0), float(x1), float(y1)
