"""Features of an area that are too thin: where they lie and how wide they are. Pure; mm."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cached_property, lru_cache
from itertools import pairwise
from typing import NamedTuple

import shapely
from shapely.geometry import MultiPolygon, Polygon

from decalgen.core.errors import Area
from decalgen.core.geometry import TOLERANCE, polygons, region
from decalgen.core.values import dataclass
from decalgen.lettering.narrow_places import breaks, lost_openings, thinnest_stroke
from decalgen.lettering.outlines import Letter
from decalgen.lettering.printable import joined_script, kinds_of
from decalgen.shapes.lettering import Lettering

LONG = 1.0
"""A thin place as long as this counts however small a part of its area it is, mm."""
SHARE = 0.02
"""Thin places that make up more than this part of an area count together, however short each is."""
SEAM = 0.005
"""What is narrower is a seam between two outlines flattened apart, mm."""
NOTABLE = 0.1
"""A place smaller than this part of the largest has no width of note."""
MOST_AREAS = 8
MARGIN = 0.1
"""Round an area, mm."""
SQUARE = 0.9
"""Sine of a corner that is nearly square."""
ARC = 4
"""Segments of a quarter circle where an area is drawn in: 2 % of the radius is the most they leave out."""


@dataclass(frozen=True)
class Thin:
    """The places of an area that are thinner than a limit. ``width`` is that of the thinnest."""

    parts: tuple[Polygon, ...]

    @cached_property
    def width(self) -> float:
        """Of the thinnest of the larger places, mm: the largest disc that goes into it."""
        largest = sorted(self.parts, key=lambda part: -part.area)[:MOST_AREAS]
        notable = [part for part in largest if part.area >= NOTABLE * largest[0].area]
        return min(inscribed(part) for part in notable)

    @property
    def area(self) -> float:
        """All places together, mm²."""
        return float(sum(part.area for part in self.parts))

    @property
    def areas(self) -> tuple[Area, ...]:
        """The largest places, each in a rectangle."""
        return areas_of(self.parts)


def thin(area: MultiPolygon, limit: float, whole: float | None = None) -> Thin | None:
    """What of an area is thinner than ``limit``; None where nothing of note is. ``whole``: what the places' part is
    taken of, mm²; if left out, the area itself.

    An opening with a disc takes it away; sharp corners are given back. A width of just the limit is not thinner.
    """
    if area.is_empty:
        return None
    parts = polygons(area)
    few = (shapely.get_num_coordinates(parts) == 5).tolist()
    hard = [part for part, is_few in zip(parts, few, strict=True) if not (is_few and _stout(part, limit))]
    if not hard:
        return None
    half = (limit - TOLERANCE) / 2
    share_of = area.area if whole is None else whole
    area = MultiPolygon(hard)
    # Few segments to a corner's arc: what they leave out is within the two hundredths that the way back adds.
    opened = area.buffer(-half, quad_segs=ARC).buffer(half * 1.02, join_style="mitre", mitre_limit=5.0)
    # To see that all of a part is kept costs far less than to look for what of it is not.
    shapely.prepare(opened)
    area = MultiPolygon([part for part, kept in zip(hard, shapely.covers(opened, hard), strict=True) if not kept])
    lost = [part for part in polygons(area.difference(opened)) if part.area > 1e-9 and mean_width(part) > SEAM]
    if not lost:
        return None
    if sum(part.area for part in lost) > SHARE * share_of:
        return Thin(tuple(lost))
    long = tuple(part for part in lost if part.area >= LONG * mean_width(part))
    return Thin(long) if long else None


def _stout(part: Polygon, limit: float) -> bool:
    """Whether it is seen at a glance that nothing of an area is thinner than a limit: four corners, each at least
    `SQUARE`, and sides at least so far apart."""
    corners = list(part.exterior.coords)
    if len(corners) != 5 or part.interiors:
        return False
    sides = [(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(corners)]
    lengths = [math.hypot(*side) for side in sides]
    if min(lengths) < limit:
        return False
    turns = [a[0] * b[1] - a[1] * b[0] for a, b in pairwise([*sides, sides[0]])]
    sines = [turn / (one * other) for turn, one, other in zip(turns, lengths, [*lengths[1:], lengths[0]], strict=True)]
    return min(map(abs, sines)) >= SQUARE and (min(sines) > 0 or max(sines) < 0) and min(lengths) * SQUARE >= limit


def mean_width(part: Polygon) -> float:
    """The width of the straight strip that has its area and outline, mm; of a ring half its outline is its length."""
    around = part.length / 2
    inside = around * around / 4 - part.area
    if part.interiors or inside < 0:
        return float(2 * part.area / part.length)
    return float(around / 2 - math.sqrt(inside))


def inscribed(part: Polygon) -> float:
    """The diameter of the largest disc inside an area, mm, within a hundredth of its mean width."""
    line = shapely.maximum_inscribed_circle(part, mean_width(part) / 100)
    return 2 * float(line.length)


def areas_of(parts: Sequence[Polygon] | MultiPolygon) -> tuple[Area, ...]:
    """Rectangles round the largest of some areas, the largest first."""
    of = list(region(parts).geoms) if isinstance(parts, MultiPolygon) else list(parts)
    largest = sorted(of, key=lambda part: -part.area)[:MOST_AREAS]
    return tuple(
        (x0 - MARGIN, y0 - MARGIN, x1 + MARGIN, y1 + MARGIN) for x0, y0, x1, y1 in (part.bounds for part in largest)
    )


BETWEEN = 0.5
"""Letters run together where the gap between them fills over this share of the cap height."""
NAMED = 4
"""So many letters are named in a message."""


class Lost(NamedTuple):
    """Letters that a printer does not hold, each once, and the narrowest place among them, mm."""

    letters: tuple[str, ...]
    narrowest: float

    @property
    def named(self) -> str:
        """The letters in words, the first few of many."""
        some = [f"'{one}'" for one in self.letters[:NAMED]]
        if len(self.letters) > NAMED:
            some.append(f"{len(self.letters) - NAMED} more")
        return ", ".join(some[:-1]) + " and " + some[-1] if len(some) > 1 else some[0]

    def figure(self, limit: float) -> str:
        """The narrowest place so exactly that it is seen to be under the limit."""
        return next(f"{self.narrowest:.{n}f}" for n in (2, 3, 6) if round(self.narrowest, n) < limit or n == 6)


@lru_cache(maxsize=256)
def closed(lettering: Lettering, gap: float) -> Lost | None:
    """The letters of which an opening fills where gaps under ``gap`` mm fill; None: all stay open."""
    lost: dict[str, float] = {}
    for text, area in kinds_of(lettering.block.letters):
        openings = lost_openings(area, gap)
        if openings:
            lost[text] = min(lost.get(text, gap), *(inscribed(one) for one in openings))
    for one, other in neighbours(lettering):
        if close_up(one, other, gap, lettering.block.cap_height):
            lost.setdefault(one.text + other.text, one.region.distance(other.region))
    return Lost(tuple(lost), min(lost.values())) if lost else None


@lru_cache(maxsize=256)
def broken(lettering: Lettering, stroke: float) -> Lost | None:
    """The letters of which a stroke is lost where lines under ``stroke`` mm are; None: all hold."""
    lost = [(text, area) for text, area in kinds_of(lettering.block.letters) if breaks(area, stroke)]
    names = tuple(dict.fromkeys(text for text, _ in lost))
    return Lost(names, min(thinnest_stroke(area) for _, area in lost)) if lost else None


def neighbours(lettering: Lettering) -> list[tuple[Letter, Letter]]:
    """Letters side by side that are not meant to run into each other."""
    return [] if joined_script(lettering.face) else list(pairwise(lettering.block.letters))


def close_up(one: Letter, other: Letter, gap: float, cap: float) -> bool:
    """Whether what lies between two neighbours is narrower than ``gap`` mm and fills."""
    apart = one.region.distance(other.region)
    return 0 < apart < gap and _run_together(one.region, other.region, gap, cap)


def _run_together(one: MultiPolygon, other: MultiPolygon, gap: float, cap: float) -> bool:
    """Whether the gap between two letters fills over a length: round letters that near each other at a point do not
    look like one."""
    both = shapely.union(one, other)
    filled = both.buffer(gap / 2, quad_segs=4).buffer(-gap / 2 * 1.01, quad_segs=4).difference(both)
    return any(
        max(part.bounds[2] - part.bounds[0], part.bounds[3] - part.bounds[1]) > BETWEEN * cap
        for part in polygons(filled)
        if part.distance(one) < gap / 4 and part.distance(other) < gap / 4
    )
