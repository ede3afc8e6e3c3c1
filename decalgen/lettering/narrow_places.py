"""Where a letter is thin or nearly closed: strokes that break, counters and notches that fill; mm. Pure."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from functools import lru_cache
from typing import NamedTuple

import numpy as np
import shapely
from shapely.geometry import MultiPolygon, Point, Polygon
from shapely.geometry.base import BaseGeometry

from decalgen.core.geometry import by_shape, polygons

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

SLIVER = 0.15
"""Less than this share of a thin place's length by its width is no ink, but what a disc of few segments left out."""


@by_shape
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


@by_shape
def breaks(area: MultiPolygon, least: float) -> bool:
    """Whether a stroke is thinner than ``least``: lost when the area is eroded and grown again."""
    kept = area.buffer(-least / 2, quad_segs=4).buffer(least / 2 * 1.01, quad_segs=4)
    if any(not part.intersects(kept) for part in area.geoms):
        return True
    # A disc does not go into the corners of a square: as far as three quarters of it nothing is lost.
    return _reaches(area.difference(kept), max(STROKE * size_of(area), 0.75 * least))


@by_shape
def thin_length(area: MultiPolygon, width: float) -> float:
    """How long the longest part is that is thinner than ``width``, as a share of the area's size."""
    kept = area.buffer(-width / 2, quad_segs=4).buffer(width / 2 * 1.05, quad_segs=4)
    parts = shapely.get_parts(area.difference(kept))
    boxes = shapely.bounds(parts)
    lengths = np.hypot(boxes[:, 2] - boxes[:, 0], boxes[:, 3] - boxes[:, 1])
    longest = lengths[shapely.area(parts) > SLIVER * width * lengths].max(initial=0.0)
    return float(longest) / size_of(area)


@by_shape
def closes(area: MultiPolygon, least: float) -> bool:
    """Whether an opening is narrower than ``least``: filled when the area is grown and eroded again."""
    return not stays_open(area, least) or _reaches(_closed(area, least).difference(area), OPENING * size_of(area))


@by_shape
def stays_open(area: MultiPolygon, least: float) -> bool:
    """Whether a letter has no `lost_openings`."""
    counters, notches = _openings_of(area)
    if all(one.stays_open(least) for one in counters) and all(one.stays_open(least) for one in notches):
        return True
    return not _lost(area, _closed(area, least))


def lost_openings(area: MultiPolygon, least: float) -> list[Polygon]:
    """The counters and notches of a letter that fill as good as whole where gaps narrower than ``least`` mm fill.

    The bottom of a V fills on any printer, and the letter still reads: it is not among them.
    """
    return [] if stays_open(area, least) else _lost(area, _closed(area, least))


@lru_cache(maxsize=8)
def _closed(area: MultiPolygon, least: float) -> BaseGeometry:
    return area.buffer(least / 2, quad_segs=4).buffer(-least / 2 * 1.01, quad_segs=4)


def _lost(area: MultiPolygon, kept: BaseGeometry) -> list[Polygon]:
    """The counters that ``kept`` covers, and the notches that it fills but for a dimple at their mouth."""
    openings = _openings_of(area)
    found = [one.area for one in openings.counters if one.covered(kept)]
    return [*found, *(one.area for one in openings.notches if one.filled(kept, NOTCH * size_of(area)))]


class _Counter(NamedTuple):
    """A counter, and how far a point in it is from ink, mm."""

    area: Polygon
    point: Point
    free: float

    def stays_open(self, least: float) -> bool:
        """Whether it is seen at a glance: ink that grows by half of ``least`` does not reach the point."""
        return self.free > least / 2 * (1 + 1e-9)

    def covered(self, kept: BaseGeometry) -> bool:
        """Whether all of it is, but for what flattening leaves: the point too then, where it lies so far inside, and
        to see that it is not costs next to nothing."""
        if self.free > FINEST / 2 and not shapely.intersects(kept, self.point):
            return False
        return bool(kept.contains(self.area.buffer(-FINEST / 4)))


class _Notch(NamedTuple):
    """A notch and the hull it ends on. How far a point in it is from ink (``free``), and from all edges (``room``)."""

    area: Polygon
    hull: Polygon
    free: float
    room: float

    def stays_open(self, least: float) -> bool:
        """Whether it is seen at a glance that enough of it does not fill: no ink comes into a disc of the radius that
        ink grows by, nor into a larger one. The hundredth is what growing and drawing in by few segments leave out."""
        half = least / 2
        disc = math.pi * min(self.room, self.free - 0.02 * half) ** 2
        return self.free > half and disc > (1 - FILLED) * self.area.area

    def filled(self, kept: BaseGeometry, least: float) -> bool:
        """Whether it fills but for a dimple, and is at least so deep, mm."""
        if not self.area.intersection(kept).area > FILLED * self.area.area:
            return False
        return bool(shapely.distance(shapely.points(self.area.exterior.coords), self.hull.exterior).max() >= least)


class _Openings(NamedTuple):
    """The counters of a letter, and the notches between it and its hull that may be deep enough."""

    counters: tuple[_Counter, ...]
    notches: tuple[_Notch, ...]


@lru_cache(maxsize=256)
def _openings_of(area: MultiPolygon) -> _Openings:
    """The same however narrow a gap is asked after, and asked many times of one letter."""
    counters = []
    for ring in (ring for part in area.geoms for ring in part.interiors):
        counter = Polygon(ring)
        if counter.area > FINEST**2:
            point = counter.representative_point()
            counters.append(_Counter(counter, point, ring.distance(point)))
    least = NOTCH * size_of(area)
    notches = []
    for part in area.geoms:
        hull = part.convex_hull
        for notch in polygons(hull.difference(Polygon(part.exterior))):
            left, bottom, right, top = notch.bounds
            # It ends on the hull, so nothing in it lies farther from there than its box is across.
            if math.hypot(right - left, top - bottom) >= least:
                middle = notch.centroid
                room = middle.distance(notch.exterior) if notch.contains(middle) else 0.0
                notches.append(_Notch(notch, hull, middle.distance(area) if room else 0.0, room))
    return _Openings(tuple(counters), tuple(notches))


def _reaches(lost: BaseGeometry, far: float) -> bool:
    boxes = shapely.bounds(shapely.get_parts(lost))
    return bool(((boxes[:, 2] - boxes[:, 0] > far) | (boxes[:, 3] - boxes[:, 1] > far)).any())


def size_of(area: MultiPolygon) -> float:
    left, bottom, right, top = area.bounds
    return float(max(right - left, top - bottom))
