"""Rules for the signs that international law protects, and for the roundels of nations' aircraft.

Judged by geometry, colour and words alone: it is a notice to the restorer, who knows what the original carried.

Sources: Geneva Convention I of 12 August 1949, articles 38 (red cross, red crescent, red lion and sun on a white
ground), 44 (who may use them), 53 (imitations, the words "Red Cross" and "Geneva Cross", and the arms of the Swiss
Confederation, a white couped cross on red) and 54 (what states do about misuse); Additional Protocol III of 8 December
2005, article 2 (a red frame in the shape of a square on edge on a white ground). Additional Protocol I of 8 June 1977,
article 66 (civil defence: an equilateral blue triangle on an orange ground) and article 56 with Annex I (works
containing dangerous forces: three bright orange circles of one size on one axis, a radius apart). Hague Convention of
14 May 1954, article 16 (cultural property: a shield pointed below, per saltire blue and white). None lays down
measures or hues, so shapes are met within `signs.ALIKE`, and colours within the ranges of `tone`. The red lion and sun
is a figure that no geometry here tells from another: it is met by its words alone. The colours of `ROUNDELS` are from
memory; a disc of red alone or with
white round it, and a lone blue ring, are too common figures to be told.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import cached_property

import shapely
from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from decalgen.artwork.build import Artwork
from decalgen.colour.value import Colour
from decalgen.core.errors import Finding
from decalgen.core.geometry import EMPTY, by_shape, polygons, region, union_of_tiles
from decalgen.core.values import dataclass
from decalgen.job.colours import ink_of
from decalgen.job.model import Decal, Job, Printer
from decalgen.preflight import signs
from decalgen.preflight.features import areas_of
from decalgen.shapes.base import Element
from decalgen.shapes.group import inside_groups
from decalgen.shapes.lettering import Lettering

GENEVA = "Geneva Convention I of 1949, arts. 38, 44, 53 and 54, Additional Protocol III of 2005"
ARMS = "Geneva Convention I of 1949, art. 53"
CIVIL_DEFENCE = "Additional Protocol I of 1977, art. 66"
WORKS = "Additional Protocol I of 1977, art. 56 and its Annex I"
CULTURE = "Hague Convention of 1954, arts. 16 and 17"
NATIONAL = ", and the national law made to carry them out"

RED_TO_ORANGE = 47.0
"""Hue, degrees: a red that is warmer is an orange."""
RING = 0.12
"""How far round a sign its ground is looked at, as a part of its size."""
MOSTLY = 0.7
"""So much of that ring has the ground's colour where the sign stands on it."""
WORDS = ("red cross", "geneva cross", "red crescent", "red crystal", "red lion and sun")
ROUNDELS = {
    ("red", "white", "blue"),
    ("blue", "white", "red"),
    ("red", "blue"),
    ("yellow", "blue"),
    ("green", "white", "red"),
    ("red", "white", "green"),
    ("black", "yellow", "red"),
    ("red", "yellow", "black"),
    ("red", "yellow", "red"),
    ("red", "yellow", "blue"),
    ("blue", "yellow", "red"),
    ("green", "white", "orange"),
    ("orange", "white", "green"),
    ("green", "white", "green"),
    ("red", "white", "red"),
    ("blue", "white", "blue"),
    ("red", "white", "blue", "white", "red"),
}
"""Colours of rings from the middle out that nations' aircraft carry, in whatever proportions. A border of white or
yellow round them changes nothing."""
THINNEST = 0.03
"""A ring narrower than this part of the roundel is a line between two."""


def tone(colour: Colour) -> str:
    """The plain name of a colour; '' for one between the names. Hues are CIELAB's, in degrees."""
    lightness, a, b = colour.lab
    chroma, hue = math.hypot(a, b), math.degrees(math.atan2(b, a))
    if lightness >= 80 and chroma <= 15:
        return "white"
    if lightness <= 22 and chroma <= 12:
        return "black"
    if 20 <= lightness <= 65 and chroma >= 40 and -10 <= hue <= RED_TO_ORANGE:
        return "red"
    if 45 <= lightness <= 80 and chroma >= 45 and RED_TO_ORANGE < hue <= 76:
        return "orange"
    if lightness >= 60 and chroma >= 40 and 76 < hue <= 112:
        return "yellow"
    if chroma >= 15 and 112 < hue <= 180 and lightness <= 80:
        return "green"
    # Royal blue lies at -60 to -75, a light blue at -110; navy is dark and weak.
    if chroma >= 15 and -125 <= hue <= -45 and 8 <= lightness <= 75:
        return "blue"
    return ""


def emblems(artwork: Artwork, decal: Decal, job: Job, printer: Printer) -> list[Finding]:
    """Signs that conventions protect, and nations' roundels."""
    seen = _Seen(artwork, job)
    return [*_protected(seen, decal), *_national(seen, decal)]


def _protected(seen: _Seen, decal: Decal) -> list[Finding]:
    """A sign that a convention protects, on the ground it is protected on, or its words."""
    found: dict[tuple[str, str], list[Polygon]] = {}
    for what, law, parts in (*_geneva(seen), *_protocol(seen), *_culture(seen)):
        found.setdefault((what, law), []).extend(parts)
    made = [
        Finding(
            "note",
            "protected-emblem",
            decal.name,
            f"has the shape and colour of {what}, an emblem protected by law ({law}{NATIONAL})",
            "check the law where the model is shown or sold, or use another sign",
            decal.place,
            areas=areas_of(parts),
        )
        for (what, law), parts in found.items()
    ]
    word = next((word for word in WORDS for text in _texts(decal) if word in text), None)
    if word is not None:
        made.append(
            Finding(
                "note",
                "protected-emblem",
                decal.name,
                f"names the {word}: the sign and its name are protected by law ({GENEVA}{NATIONAL})",
                "check the law where the model is shown or sold, or use another sign",
                decal.place,
            )
        )
    return made


def _national(seen: _Seen, decal: Decal) -> list[Finding]:
    """Rings, or a star on a disc, in colours that a nation's aircraft carry."""
    return [
        Finding(
            "note",
            "national-roundel",
            decal.name,
            f"has {what}, as the aircraft of a nation carry",
            "find out whether the original carried it, and what holds where the model is shown or sold",
            decal.place,
            areas=areas_of(parts),
        )
        for what, parts in (*_rings(seen), *_stars(seen))
    ]


@by_shape
def emblem(part: Polygon) -> str | None:
    """'the red cross', 'the red crescent' or 'the red crystal' for an area of that shape, whatever its size.

    A cross and a crescent are met however they are turned, a crystal within `signs.ON_EDGE` of standing on its corner.
    """
    if signs.is_cross(part):
        return "the red cross"
    if signs.is_crystal(part):
        return "the red crystal"
    return "the red crescent" if signs.is_crescent(part) else None


@dataclass(frozen=True)
class _Seen:
    """A decal as it is seen on its body: what is of which plain colour."""

    artwork: Artwork
    job: Job

    @cached_property
    def body(self) -> str:
        """The colour round the decal."""
        return tone(Colour.from_hex(self.job.paint(self.job.body).colour))

    @cached_property
    def tones(self) -> dict[str, str]:
        """Ink → its plain colour, '' for one between the names."""
        return {spec.name: tone(ink_of(spec).colour) for spec in self.artwork.inks}

    @property
    def film(self) -> str:
        """The colour of bare film."""
        return "white" if self.artwork.film == "white" else self.body

    @cached_property
    def names(self) -> set[str]:
        """The plain colours there are, inside the cut line and round it."""
        return {*(self.tones[inked.ink] for inked in self.artwork.shown), self.film, self.body} - {""}

    @cached_property
    def areas(self) -> dict[str, MultiPolygon]:
        """Inside the cut line: plain colour → area, bare film among them."""
        by: dict[str, list[MultiPolygon]] = {}
        for inked in self.artwork.shown:
            by.setdefault(self.tones[inked.ink], []).append(region(inked.region))
        bare = region(self.artwork.cut_polygon.difference(self.artwork.covered)) if self.film else EMPTY
        if not bare.is_empty:
            by.setdefault(self.film, []).append(bare)
        return {name: union_of_tiles(areas) if len(areas) > 1 else areas[0] for name, areas in by.items() if name}

    def parts(self, name: str) -> list[Polygon]:
        """The areas of one plain colour."""
        return polygons(self.areas[name]) if name in self.areas else []

    def share(self, where: BaseGeometry, name: str) -> float:
        """How much of an area has one plain colour, from 0 to 1; beyond the cut line it is the body's."""
        if where.is_empty:
            return 0.0
        inside = where.intersection(self.areas[name]).area if name in self.areas else 0.0
        outside = where.difference(self.artwork.cut_polygon).area if self.body == name else 0.0
        return float((inside + outside) / where.area)

    def lies_on(self, part: Polygon, name: str) -> bool:
        """Whether most of what lies round an area, and in its hole, has one plain colour."""
        x0, y0, x1, y1 = part.bounds
        ring = part.buffer(RING * max(x1 - x0, y1 - y0), join_style="mitre").difference(part)
        return self.share(ring, name) >= MOSTLY


_Sign = tuple[str, str, list[Polygon]]


def _geneva(seen: _Seen) -> Iterator[_Sign]:
    if not seen.names >= {"red", "white"}:
        return
    for part in seen.parts("red"):
        name = emblem(part)
        if name is not None and seen.lies_on(part, "white"):
            yield f"{name} on white", GENEVA, [part]
    for part in seen.parts("white"):
        if signs.is_cross(part) and seen.lies_on(part, "red"):
            yield "a white couped cross on red, the arms of the Swiss Confederation", ARMS, [part]


def _protocol(seen: _Seen) -> Iterator[_Sign]:
    if "orange" not in seen.names:
        return
    for part in seen.parts("blue"):
        if signs.is_triangle(part) and seen.lies_on(part, "orange"):
            yield "the blue triangle on orange of civil defence", CIVIL_DEFENCE, [part]
    for three in signs.three_discs(seen.parts("orange")):
        yield "three orange discs in a row, the sign of works containing dangerous forces", WORKS, list(three)


def _culture(seen: _Seen) -> Iterator[_Sign]:
    if not seen.names >= {"blue", "white"}:
        return
    for square, triangle, beside in signs.shields(seen.parts("blue")):
        if seen.share(beside, "white") >= MOSTLY:
            yield "the blue-and-white shield of cultural property", CULTURE, [square, triangle]


def _texts(decal: Decal) -> Iterator[str]:
    """The decal's name and every line of its lettering, in small letters, words one space apart."""
    yield " ".join(decal.name.lower().replace("-", " ").split())
    yield from (" ".join(" ".join(lines).lower().replace("-", " ").split()) for lines in _lines(decal.artwork))


def _lines(elements: tuple[Element, ...]) -> Iterator[tuple[str, ...]]:
    for element in inside_groups(elements):
        if isinstance(element.shape, Lettering):
            yield element.shape.text


def _rings(seen: _Seen) -> Iterator[tuple[str, list[Polygon]]]:
    """Every roundel in the colours of `ROUNDELS`: what it is, and its area."""
    if not any(seen.names.issuperset(colours) for colours in ROUNDELS):
        return
    circles = [
        (Polygon(ring), *found)
        for name in seen.areas
        for part in seen.parts(name)
        for ring in (part.exterior, *part.interiors)
        if (found := signs.circle(Polygon(ring))) is not None
    ]
    circles.sort(key=lambda one: -one[2])
    taken: list[Polygon] = []
    for area, middle, radius in circles:
        if any(other.contains(middle) for other in taken):
            continue
        inner = sorted(r for _, c, r in circles if r <= radius and c.distance(middle) <= signs.NEAR * radius)
        # From ring to ring; a circle is met twice, as the rim of one colour and the hole of the other.
        steps = [r for r, after in zip(inner, [*inner[1:], math.inf], strict=True) if after - r > THINNEST * radius]
        colours = [_colour(seen, middle, a, b) for a, b in zip([0.0, *steps], steps, strict=False)]
        if len(colours) > 2 and colours[-1] in ("white", "yellow") and tuple(colours) not in ROUNDELS:
            colours.pop()
        if tuple(colours) in ROUNDELS:
            taken.append(area)
            yield f"rings of {', '.join(colours[:-1])} and {colours[-1]} from the middle out", [area]


def _colour(seen: _Seen, middle: shapely.Point, inside: float, outside: float) -> str:
    """The one plain colour of a ring; '' where it has several."""
    ring = middle.buffer(outside, 32).difference(middle.buffer(inside, 32)) if inside else middle.buffer(outside, 32)
    return next((name for name in seen.areas if seen.share(ring, name) >= 0.9), "")


def _stars(seen: _Seen) -> Iterator[tuple[str, list[Polygon]]]:
    """Every white star on a blue disc."""
    if not seen.names >= {"blue", "white"}:
        return
    discs = [outline for part in seen.parts("blue") if signs.circle(outline := Polygon(part.exterior)) is not None]
    for part in seen.parts("white"):
        if signs.is_star(part) and seen.lies_on(part, "blue") and any(one.contains(part) for one in discs):
            yield "a white star on a blue disc", [part]
