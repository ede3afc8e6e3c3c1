"""Where a small upright box, such as a registration mark, may stand on a sheet: clear of all pieces, and with how much
more room than it needs. A raster over the printable area. Pure; mm."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from decalgen.core.arrays import FloatArray
from decalgen.core.geometry import Bounds
from decalgen.sheet.waste import BoolArray, IntArray

STEP = 0.5
"""How finely places are tried, mm."""
ROOMS = (1.2, 0.5, 0.0)
"""Room round a box beyond what it needs, mm, the best first: ticks and numbers of the pieces beside it go there."""
NONE = len(ROOMS)
"""The grade of a place where nothing can stand."""

Grades = NDArray[np.int8]


class FreePlaces:
    """The middles that a box may have. ``xs`` (m) and ``ys`` (n): the lines of the raster; ``grades`` (n, m): which of
    `ROOMS` a place has, `NONE` where it has none."""

    def __init__(self, area: Bounds, size: tuple[float, float], things: Sequence[Polygon]) -> None:
        x0, y0, x1, y1 = area
        self.half = (size[0] / 2, size[1] / 2)
        self.xs = _line(x0 + self.half[0], x1 - self.half[0])
        self.ys = _line(y0 + self.half[1], y1 - self.half[1])
        self.grades: Grades = np.zeros((len(self.ys), len(self.xs)), dtype=np.int8)
        if self.grades.size:
            for thing in things:
                self._keep_off(thing)

    def outside(self, kept: Sequence[Bounds], by: float) -> Grades:
        """The grades with none where a box would reach nearer than ``by`` to one of the rectangles ``kept``."""
        found = self.grades.copy()
        for x0, y0, x1, y1 in kept:
            across = _span((self.xs + self.half[0] > x0 - by) & (self.xs - self.half[0] < x1 + by))
            up = _span((self.ys + self.half[1] > y0 - by) & (self.ys - self.half[1] < y1 + by))
            found[up, across] = NONE
        return found

    def _keep_off(self, thing: Polygon) -> None:
        x0, y0, x1, y1 = thing.bounds
        size = thing.area
        hull = None if size > 0.9999 * _area(thing.bounds) else thing.convex_hull
        flanks = _Flanks(hull) if hull is not None and size >= 0.9999 * hull.area else None
        for grade, room in enumerate(ROOMS):
            wide, high = self.half[0] + room, self.half[1] + room
            i0, i1 = np.searchsorted(self.xs, [x0 - wide + 1e-9, x1 + wide - 1e-9])
            j0, j1 = np.searchsorted(self.ys, [y0 - high + 1e-9, y1 + high - 1e-9])
            there = self.grades[j0:j1, i0:i1]
            if not there.size:
                return
            xs, ys = self.xs[i0:i1], self.ys[j0:j1]
            if hull is None:
                met: BoolArray = np.ones(there.shape, dtype=bool)
            elif flanks is not None:
                met = flanks.meeting(xs, ys, wide, high)
            else:
                met = _meeting(thing, xs, ys, wide, high)
            np.maximum(there, np.int8(grade + 1), out=there, where=met)


class _Flanks:
    """The two sides of a convex thing, from its foot to its head, as points by rising height (n, 2)."""

    def __init__(self, thing: Polygon) -> None:
        ring = shapely.get_coordinates(thing.exterior)[:-1]
        ring = ring if thing.exterior.is_ccw else ring[::-1]
        # Anticlockwise: the right side goes up, then the left one comes down.
        rising = np.diff(ring[:, 1], append=ring[:1, 1])
        up, down = np.flatnonzero(rising > 0), np.flatnonzero(rising < 0)
        self._right = _in_line(ring, up)
        self._left = _in_line(ring, down)[::-1]

    def meeting(self, xs: FloatArray, ys: FloatArray, wide: float, high: float) -> BoolArray:
        """Which boxes round the points of a raster meet it; ``wide`` and ``high``: half their sides."""
        left, right = self._left, self._right
        # A box meets it first where, within the height of the box, it reaches farthest out.
        west = np.clip(left[np.argmin(left[:, 0]), 1], ys - high, ys + high)
        east = np.clip(right[np.argmax(right[:, 0]), 1], ys - high, ys + high)
        first = np.interp(west, left[:, 1], left[:, 0]) - wide
        last = np.interp(east, right[:, 1], right[:, 0]) + wide
        return np.asarray((xs >= first[:, None]) & (xs <= last[:, None]))


def _in_line(ring: FloatArray, sides: IntArray) -> FloatArray:
    """The corners of a ring (n, 2) along sides of it that follow one another, round its end or not."""
    gap = np.flatnonzero(np.diff(sides) > 1)
    if len(gap):
        sides = np.roll(sides, -int(gap[0]) - 1)
    found: FloatArray = ring[np.append(sides, sides[-1] + 1) % len(ring)]
    return found


def _meeting(thing: Polygon, xs: FloatArray, ys: FloatArray, wide: float, high: float) -> BoolArray:
    """The same for a thing that is not convex."""
    across, up = np.meshgrid(xs, ys)
    shapely.prepare(thing)
    return np.asarray(shapely.intersects(thing, shapely.box(across - wide, up - high, across + wide, up + high)))


def _line(low: float, high: float) -> FloatArray:
    """Points from low to high, both ends among them."""
    if high < low - 1e-9:
        return np.empty(0)
    return np.linspace(low, max(low, high), max(1, int(np.ceil((high - low) / STEP))) + 1)


def _span(among: BoolArray) -> slice:
    """Those of a line that are among some, which lie side by side."""
    there = np.flatnonzero(among)
    return slice(int(there[0]), int(there[-1]) + 1) if len(there) else slice(0)


def _area(bounds: Bounds) -> float:
    return (bounds[2] - bounds[0]) * (bounds[3] - bounds[1])
