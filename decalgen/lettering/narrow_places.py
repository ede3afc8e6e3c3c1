"""Where a letter is thin or nearly closed: strokes that break, counters and notches that fill; mm. Pure."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from functools import lru_cache
from typing import NamedTuple

import shapely
from shapely.geometry import MultiPolygon, Point, Polygon
from shapely.geometry.base import BaseGeometry

from decalgen.core.geometry import polygons

FINEST = 0.002
"""How finely the least stroke and gap are looked for, mm."""

STROKE = 0.3
OPENING = 0.4
"""A stroke is lost, an opening closed, when that happens over this share of the letter's size, or to a
whole dot, counter or notch.
Less is a point that ends a little sooner, or ink in the crotch of a V."""

NOTCH = 0.15
"""A notch is looked at by itself where it is at least this deep, as a share of the letter's size."""
FILLED = 0.75
"""It is lost where more than this share of it fills: no more than a dimple is left at its mouth."""


@lru_cache(maxsize=256)
def thinnest_stroke(area: MultiPolygon) -> float:
    """The thickness of the thinnest stroke, mm, within 0.002: what a disc that wide could still be pushed along.

    Points and corners end in nothing; what is lost there is not counted.
    """
    return _least(area, breaks)


def narrowest_opening(area: MultiPolygon) -> float:
    """The width of the narrowest counter or notch, mm, within 0.002; as wide as the letter where it has none."""
    return _least(area, closes)


def least_under(areas: Sequence[MultiPolygon], fails: Callable[[MultiPolygon, float], bool], limit: float) -> float:
    """The least over some areas, mm; ``limit`` where none has less. Each is measured only where it has less than those
    before it: to see that it has not is one step of its measuring."""
    found = limit
    for area in areas:
        if fails(area, found):
            found = _least(area, fails, found)
    return found


def _least(area: MultiPolygon, fails: Callable[[MultiPolygon, float], bool], high: float | None = None) -> float:
    low, high = 0.0, size_of(area) if high is None else high
    while high - low > FINEST:
        middle = (low + high) / 2
        if fails(area, middle):
            high = middle
        else:
            low = middle
    return low


def breaks(area: MultiPolygon, least: float) -> bool:
    """Whether a stroke is thinner than ``least``: lost when the area is eroded and grown again."""
    kept = area.buffer(-least / 2, quad_segs=4).buffer(least / 2 * 1.01, quad_segs=4)
    if any(not part.intersects(kept) for part in area.geoms):
        return True
    # A disc does not go into the corners of a square: as far as three quarters of it nothing is lost.
    return _reaches(area.difference(kept), max(STROKE * size_of(area), 0.75 * least))


def closes(area: MultiPolygon, least: float) -> bool:
    """Whether an opening is narrower than ``least``: filled when the area is grown and eroded again."""
    kept = _closed(area, least)
    return bool(_lost(area, kept)) or _reaches(kept.difference(area), OPENING * size_of(area))


def lost_openings(area: MultiPolygon, least: float) -> list[Polygon]:
    """The counters and notches of a letter that fill as good as whole where gaps narrower than ``least`` mm fill.

    The bottom of a V fills on any printer, and the letter still reads: it is not among them.
    """
    return _lost(area, _closed(area, least))


def _closed(area: MultiPolygon, least: float) -> BaseGeometry:
    return area.buffer(least / 2, quad_segs=4).buffer(-least / 2 * 1.01, quad_segs=4)


def _lost(area: MultiPolygon, kept: BaseGeometry) -> list[Polygon]:
    """The counters that ``kept`` covers, and the notches that it fills but for a dimple at their mouth."""
    openings = _openings_of(area)
    # A point inside is in what covers a counter, and to see that it is not costs next to nothing.
    found = [
        counter
        for counter, core, inside in openings.counters
        if shapely.intersects(kept, inside) and kept.contains(core)
    ]
    found += [notch for notch in openings.notches if notch.intersection(kept).area > FILLED * notch.area]
    return found


class _Openings(NamedTuple):
    """The counters of a letter, each with what of it has to be covered and a point in that; its deep notches."""

    counters: tuple[tuple[Polygon, BaseGeometry, Point], ...]
    notches: tuple[Polygon, ...]


@lru_cache(maxsize=256)
def _openings_of(area: MultiPolygon) -> _Openings:
    """The same however narrow a gap is asked after, and asked many times of one letter."""
    counters = [Polygon(ring) for part in area.geoms for ring in part.interiors]
    cores = [(one, one.buffer(-FINEST / 4)) for one in counters if one.area > FINEST**2]
    least = NOTCH * size_of(area)
    notches = []
    for part in area.geoms:
        hull = part.convex_hull
        for notch in polygons(hull.difference(Polygon(part.exterior))):
            left, bottom, right, top = notch.bounds
            # It ends on the hull, so nothing in it lies farther from there than its box is across.
            if math.hypot(right - left, top - bottom) < least:
                continue
            deep = shapely.distance(shapely.points(notch.exterior.coords), hull.exterior).max()
            if deep >= least:
                notches.append(notch)
    return _Openings(tuple((one, core, core.representative_point()) for one, core in cores), tuple(notches))


def _reaches(lost: BaseGeometry, far: float) -> bool:
    return any(
        max(part.bounds[2] - part.bounds[0], part.bounds[3] - part.bounds[1]) > far
        for part in shapely.get_parts(lost)
        if not part.is_empty
    )


def size_of(area: MultiPolygon) -> float:
    left, bottom, right, top = area.bounds
    return float(max(right - left, top - bottom))
