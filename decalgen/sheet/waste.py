"""The waste of a sheet: what numbers, leaders and ticks keep clear of, asked in bulk. Pure; mm."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import STRtree
from shapely.geometry import Polygon, box
from shapely.geometry.base import BaseGeometry
from shapely.geometry.polygon import orient

from decalgen.core.arrays import FloatArray
from decalgen.core.geometry import Bounds, polygons

COARSE = 0.005
"""How far the outlines that are searched may lie from the true ones, mm: each is asked for so much more."""
CLEAR = 0.15 + 2 * COARSE
"""What is printed in the waste keeps so far from all else, mm: five dots at 600 dpi (common practice, no source)."""
ON_EDGE = 1e-6
"""What is no farther outside the printable area, mm, lies on its edge."""

IntArray = NDArray[np.intp]
BoolArray = NDArray[np.bool_]


class Waste:
    """A sheet without its pieces (with their bleed), used film, furniture and all beyond its printable area.

    ``outers``: the pieces, by number as they were given. What is added later, such as ticks and labels already placed,
    is asked of a `Drawn`.
    """

    def __init__(self, outers: Sequence[Polygon], area: Polygon, closed: Sequence[Polygon]) -> None:
        self.outers = np.array([_coarse(one) for one in outers], dtype=object)
        x0, y0, x1, y1 = area.bounds
        beyond = polygons(box(x0 - 60, y0 - 60, x1 + 60, y1 + 60).difference(area))
        shapely.prepare(self.outers)
        printed = np.concatenate([self.outers, np.array(closed, dtype=object)])
        self._all = np.concatenate([printed, np.array(beyond, dtype=object)])
        self._tree = STRtree(printed)
        self._area = area
        self._pieces = STRtree(self.outers)

    @property
    def bounds(self) -> Bounds:
        """Of the printable area."""
        x0, y0, x1, y1 = self._area.bounds
        return float(x0), float(y0), float(x1), float(y1)

    @property
    def everything(self) -> NDArray[np.object_]:
        """All pieces, all that is closed, and what lies beyond the printable area."""
        return self._all

    def everything_but(self, piece: int) -> NDArray[np.object_]:
        """The same without a piece."""
        return np.delete(self._all, piece)

    def free(self, boxes: FloatArray, drawn: NDArray[np.object_]) -> BoolArray:
        """Which of the boxes (n, 4) keep clear of all, and of what is ``drawn`` in the waste."""
        found = np.ones(len(boxes), dtype=bool)
        if len(boxes):
            grown = shapely.box(*(boxes + np.array([-CLEAR, -CLEAR, CLEAR, CLEAR])).T)
            # The things are prepared once each; the boxes, of which there are many, never.
            found[STRtree(grown).query(np.concatenate([self._all, drawn]), predicate="intersects")[1]] = False
        return found

    def off(self, lines: NDArray[np.object_], own: IntArray, clear: float, inside: float = 0.0) -> BoolArray:
        """Which of the lines keep so far from all but the piece of theirs, and so far inside the printable area. A line
        on its edge counts as inside: pieces lie against it, and their ticks with them."""
        line, thing = self._tree.query(lines, predicate="dwithin", distance=clear)
        area = self._area.buffer(ON_EDGE - inside, join_style="mitre")
        shapely.prepare(area)
        found: BoolArray = shapely.covers(area, lines)
        found[line[thing != own[line]]] = False
        return found

    def near(self, boxes: FloatArray, reach: float) -> tuple[IntArray, IntArray, FloatArray]:
        """Pairs of a box and a piece that may be within reach, with how far apart they are."""
        geometries = shapely.box(*boxes.T)
        grown = shapely.box(*(boxes + np.array([-reach, -reach, reach, reach])).T)
        one, piece = self._pieces.query(grown)
        return one, piece, shapely.distance(self.outers[piece], geometries[one])


def walk(area: Polygon, step: float) -> tuple[FloatArray, FloatArray]:
    """Points along every edge of an area, and the way out of it at each: (n, 2) and (n, 2), corners among them."""
    points: list[FloatArray] = []
    normals: list[FloatArray] = []
    whole = orient(area)
    for ring in (whole.exterior, *whole.interiors):
        spots = shapely.get_coordinates(ring)
        sides = np.diff(spots, axis=0)
        lengths = np.hypot(sides[:, 0], sides[:, 1])
        kept = lengths > 1e-9
        starts, sides, lengths = spots[:-1][kept], sides[kept], lengths[kept]
        ways = sides / lengths[:, None]
        out = np.column_stack([ways[:, 1], -ways[:, 0]])
        ends = np.cumsum(lengths)
        count = max(4, int(np.ceil(ends[-1] / step)))
        at = (np.arange(count) + 0.5) * ends[-1] / count
        side = np.minimum(np.searchsorted(ends, at), len(ends) - 1)
        points.append(starts[side] + ways[side] * (at - ends[side] + lengths[side])[:, None])
        normals.append(out[side])
        before = np.roll(out, 1, axis=0)
        sharp = (before * out).sum(axis=1) < 0.9
        both = (before + out)[sharp]
        reach = np.hypot(both[:, 0], both[:, 1])[:, None]
        points.append(starts[sharp])
        normals.append(np.divide(both, reach, out=np.zeros_like(both), where=reach > 1e-9))
    return np.concatenate(points), np.concatenate(normals)


def anchored(points: FloatArray, ways: FloatArray, sizes: FloatArray, turn: float = 2.2) -> FloatArray:
    """Boxes (n, 4) of sizes (n, 2) that lie beyond points (n, 2) in the direction of ways (n, 2), each touching its
    point with a side or a corner. ``turn``: how soon, with the way, from the middle of a side to its corner."""
    middles = points + np.clip(turn * ways, -1.0, 1.0) * sizes / 2
    return np.concatenate([middles - sizes / 2, middles + sizes / 2], axis=1)


def grown(areas: NDArray[np.object_], by: float) -> NDArray[np.object_]:
    """Areas with their edges moved outward, corners left sharp."""
    found: NDArray[np.object_] = shapely.buffer(areas, by, join_style="mitre", mitre_limit=2.0)
    return found


def _coarse(area: Polygon) -> BaseGeometry:
    simple = area.simplify(COARSE)
    return simple if isinstance(simple, Polygon) and simple.is_valid else area
