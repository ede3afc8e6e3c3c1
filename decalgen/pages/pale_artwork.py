"""Artwork as paper shows it: its inks lightened so far that reversed lettering can still be read, in grey too, with the
outlines that help to see it, and its cut line. Pure; mm."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from itertools import combinations
from statistics import median

import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from decalgen.artwork.build import Artwork
from decalgen.artwork.cutting_lines import cutting_lines
from decalgen.artwork.painted import painted
from decalgen.colour.value import Colour
from decalgen.core import style
from decalgen.core.document import Item, Line
from decalgen.core.geometry import Matrix, Region, region, transform
from decalgen.core.pixels.recoloured import pale

TINT = 0.45
"""How far an ink is lightened on the proof: enough for white lettering to be read in it, little enough to draw on."""
OUTLINE = 0.06
SMALL = 1.2
"""Areas of so many mm² have an outline, mm; smaller ones would only blot."""
ONE_WORD = 4.0
"""Areas no more than so many times larger or smaller than that count as letters of one word."""
LEAST_CONTRAST = 1.9
"""An ink that, lightened, has less contrast with paper than this has outlines at every size (contrast as in WCAG 2.2,
1.4.3)."""
ALIKE = 8.0
"""Neighbours whose lightness L* differs by less fall together in grey, and get a line between."""
DASHED = 2.4
"""A piece so high, mm, has its cut line dashed; through the lettering of a smaller one dashes would strike."""
JOINED = 0.02
"""Areas no farther apart, mm, are neighbours."""
WHITE = "#ffffff"


def tint(colour: str, by: float = TINT) -> str:
    """A colour mixed with white."""
    parts = (int(colour[i : i + 2], 16) for i in (1, 3, 5))
    return "#" + "".join(f"{round(v + (255 - v) * by):02x}" for v in parts)


def pale_artwork(artwork: Artwork, place: Matrix) -> list[Item]:
    """All of it, areas first; ``place`` leads from the artwork to the page."""
    return [*pale_areas(artwork, place), *outlines(artwork, place)]


def pale_areas(artwork: Artwork, place: Matrix) -> list[Item]:
    """What is printed inside the cut line, lightened."""
    return [*painted(artwork.shown, lambda ink: tint(artwork.colour(ink)), place, lambda _, pixels: pale(pixels, TINT))]


def outlines(artwork: Artwork, place: Matrix) -> list[Item]:
    """The outlines of what is printed that help to see it, the lines between what falls together in grey, the cut
    line."""
    found: list[Item] = []
    areas: list[tuple[Region, str]] = []
    for inked in artwork.shown:
        area, pale = region(transform(inked.region, place)), tint(artwork.colour(inked.ink), TINT)
        areas.append((area, pale))
    for area, pale in areas:
        rings = [ring for part in area.geoms for ring in (part.exterior, *part.interiors)]
        least = _least(rings)
        found += [_ring(ring) for ring in rings if Polygon(ring).area >= least or _pale(ring, area, pale, areas)]
    for (one, pale), (other, too) in combinations(areas, 2):
        if abs(_lightness(pale) - _lightness(too)) < ALIKE and one.distance(other) < JOINED:
            between = one.boundary.intersection(other.buffer(JOINED))
            found += [
                Line(tuple((float(x), float(y)) for x, y in line.coords), OUTLINE, style.TEXT)
                for line in _strings(shapely.line_merge(between))
                if line.length > JOINED * 4
            ]
    x0, y0, x1, y1 = transform(artwork.cut_polygon, place).bounds
    high = min(x1 - x0, y1 - y0) >= DASHED
    width, dash = (style.LINE_TRIM, style.DASH_TRIM) if high else (OUTLINE, ())
    return [*found, *cutting_lines(artwork, place, width, style.TEXT, dash)]


def _least(rings: Sequence[shapely.LinearRing]) -> float:
    """From which area on edges have an outline. Those as small as letters have one all of them or, where most are too
    small for it, none of them: a word with some of its letters outlined reads worse than one with none."""
    alike = [area for area in (Polygon(ring).area for ring in rings) if area < ONE_WORD * SMALL]
    if not alike:
        return SMALL
    return SMALL / ONE_WORD if median(alike) >= SMALL else ONE_WORD * SMALL


def _pale(ring: shapely.LinearRing, area: Region, colour: str, areas: Sequence[tuple[Region, str]]) -> bool:
    """Whether an edge does not show of itself: next to it is paper, or another ink, from which this one differs by too
    little."""
    if _contrast(WHITE, colour) >= LEAST_CONTRAST:
        return False
    beyond = ring.buffer(2 * JOINED).difference(area.buffer(JOINED / 2))
    for other, its in areas:
        if its != colour and _contrast(its, colour) >= LEAST_CONTRAST:
            beyond = beyond.difference(other)
    return bool(beyond.area > 0.3 * ring.length * 1.5 * JOINED)


def _strings(lines: BaseGeometry) -> list[shapely.LineString]:
    if isinstance(lines, shapely.LineString):
        return [] if lines.is_empty else [lines]
    return [one for part in getattr(lines, "geoms", ()) for one in _strings(part)]


def _ring(ring: shapely.LinearRing) -> Line:
    return Line(tuple((float(x), float(y)) for x, y in ring.coords[:-1]), OUTLINE, style.TEXT, closed=True)


@lru_cache(maxsize=1024)
def _luminance(colour: str) -> float:
    r, g, b = Colour.from_hex(colour).linear
    return 0.2126 * r + 0.7152 * g + 0.0722 * b


def _contrast(one: str, other: str) -> float:
    """The contrast of two colours (WCAG 2.2)."""
    low, high = sorted((_luminance(one), _luminance(other)))
    return (high + 0.05) / (low + 0.05)


def _lightness(colour: str) -> float:
    return Colour.from_hex(colour).lab[0]
