"""The closest lattice in which copies of one piece lie on an endless sheet, all alike or in pairs head to foot: discs
in hexagons, crosses and stars in one another's dents. Pure; mm.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator

import numpy as np
import shapely
from shapely.geometry import MultiPolygon, Polygon

from decalgen.core.arrays import FloatArray
from decalgen.core.values import dataclass
from decalgen.nesting.nofit import Catalogue, NoFit, Solid

HAIR = 4e-6
"""Added to every distance, mm: sums over a lattice round."""

WAYS, PAIR_WAYS = 72, 18
"""Directions tried for the first way of a lattice of pieces all alike, and of pairs."""

PAIRS = 24
"""Places tried for the second piece of a pair beside the first."""

CLOSER = 4
"""So often the ways round the best are tried more finely."""

FEW_CORNERS = 40
"""Corners of what is forbidden are tried where they are no more: what tiles the plane touches in them."""

FITTED = 3
"""Rows of so many numbers of pieces are tried along a sheet, and up it."""

FAR = 3
"""Lattice points so many steps away are looked at: farther ones are clear of one another."""

LatticeVector = tuple[float, float]


@dataclass(frozen=True)
class Lattice:
    """``u`` and ``v``: from a piece to the next ones alike; ``pair``: from it to the one head to foot, None where all
    are alike; ``area``: what one piece takes, mm²."""

    u: LatticeVector
    v: LatticeVector
    pair: LatticeVector | None
    area: float

    def turned(self) -> Lattice:
        """The same a quarter turn further."""
        u, v = ((-y, x) for x, y in (self.u, self.v))
        return Lattice(u, v, None if self.pair is None else (-self.pair[1], self.pair[0]), self.area)


def closest(catalogue: Catalogue, solid: Solid, other: Solid | None) -> Lattice | None:
    """The closest lattice found of a piece, with ``other``, the same head to foot, where that may lie so."""
    alike = _area(catalogue.nofit(solid, solid), catalogue.units)
    best = _best(alike, WAYS, _size(solid))
    found = [] if best is None else [Lattice(*best, None, _cell(*best))]
    if other is not None:
        beside, back = (_area(catalogue.nofit(a, b), catalogue.units) for a, b in ((solid, other), (other, solid)))
        both = shapely.union_all([alike, _area(catalogue.nofit(other, other), catalogue.units)])
        edge = Polygon(_largest(beside).exterior).exterior
        for part in range(PAIRS):
            place = edge.interpolate(part / PAIRS, normalized=True)
            x, y = place.x, place.y
            one = shapely.union_all([both, _moved(beside, -x, -y), _moved(back, x, y)])
            best = _best(one, PAIR_WAYS, 2 * _size(solid))
            if best is not None:
                found.append(Lattice(*best, (x, y), _cell(*best) / 2))
    return min(found, key=lambda one: one.area, default=None)


def fitted(catalogue: Catalogue, solid: Solid, room: tuple[float, float]) -> Iterator[Lattice]:
    """Lattices in rows that just fill a sheet of that width and height from side to side, along it and up it: the wider
    the pieces of a row stand apart, the deeper the next one lies between them."""
    forbidden = _area(catalogue.nofit(solid, solid), catalogue.units)
    inside = forbidden.buffer(-HAIR / 4)
    shapely.prepare(inside)
    for axis, side in enumerate((solid.shape.width, solid.shape.height)):
        spare = room[axis] - side
        reach = forbidden.bounds[2 + axis]
        most = int(spare / min(reach, side) + 1e-9) if spare > 0 else 0
        tried = 0
        for count in range(most, 0, -1):
            u = (spare / count, 0.0) if axis == 0 else (0.0, spare / count)
            if tried == FITTED:
                break
            found = next(_seconds(forbidden, inside, u, _size(solid)), None) if u[axis] < 2.5 * reach else None
            if found is not None:
                tried += 1
                yield Lattice(u, found[1], None, found[0])


def _best(forbidden: Polygon | MultiPolygon, ways: int, least: float) -> tuple[LatticeVector, LatticeVector] | None:
    """The two ways of the closest lattice whose points all lie outside a forbidden area round each."""
    edge = _largest(forbidden).exterior
    inside = forbidden.buffer(-HAIR / 4)
    shapely.prepare(inside)
    best: tuple[float, float, LatticeVector, LatticeVector] | None = None
    tried, step = [k / ways for k in range(ways // 2 + 1)], 1 / ways
    if len(edge.coords) <= FEW_CORNERS:
        tried += [edge.project(shapely.Point(corner), normalized=True) for corner in edge.coords[:-1]]
    for _ in range(CLOSER + 1):
        for part in tried:
            place = edge.interpolate(part % 1.0, normalized=True)
            for cell, v in _seconds(forbidden, inside, (place.x, place.y), least):
                if best is None or cell < best[0] - 1e-9:
                    best = cell, part, (place.x, place.y), v
        if best is None:
            return None
        step /= 4
        tried = [best[1] + k * step for k in (-3, -2, -1, 1, 2, 3)]
    return None if best is None else best[2:]


def _seconds(
    forbidden: Polygon | MultiPolygon, inside: Polygon | MultiPolygon, u: LatticeVector, least: float
) -> Iterator[tuple[float, LatticeVector]]:
    """The second way that goes best with a first one: where pieces touch both the one and the next; and its cell, no
    smaller than the ``least``: the pieces themselves, mm²."""
    met = shapely.intersection(forbidden.boundary, _moved(forbidden, *u).boundary)
    points = shapely.get_coordinates(met)
    corners = shapely.get_coordinates(_largest(forbidden).exterior)
    if len(corners) <= FEW_CORNERS:
        points = np.concatenate([points, corners])
    if not len(points):
        return
    cells = np.abs(u[0] * points[:, 1] - u[1] * points[:, 0])
    points, cells = points[cells >= least], cells[cells >= least]
    for k in np.argsort(cells, kind="stable")[:40]:
        if _clear(inside, u, points[k]):
            yield float(cells[k]), (float(points[k][0]), float(points[k][1]))
            return


def _clear(inside: Polygon | MultiPolygon, u: LatticeVector, v: FloatArray) -> bool:
    steps = [(m, n) for m, n in itertools.product(range(-FAR, FAR + 1), range(FAR + 1)) if (n, m) > (0, 0)]
    at = np.array(steps) @ np.array([u, v])
    return not shapely.contains_xy(inside, at[:, 0], at[:, 1]).any()


def _area(forbidden: NoFit, units: float) -> Polygon | MultiPolygon:
    """A no-fit polygon in mm, a hair larger, without the places inside an opening."""
    rings = [Polygon(np.array(path) / units).buffer(0) for path, _ in forbidden.paths if len(path) > 2]
    whole = shapely.union_all(rings).buffer(HAIR, join_style="mitre")
    return Polygon(whole.exterior) if isinstance(whole, Polygon) else whole


def _largest(area: Polygon | MultiPolygon) -> Polygon:
    return max(area.geoms, key=lambda one: one.area) if isinstance(area, MultiPolygon) else area


def _moved(area: Polygon | MultiPolygon, x: float, y: float) -> Polygon | MultiPolygon:
    return shapely.transform(area, lambda points: points + np.array((x, y)))


def _size(solid: Solid) -> float:
    return float(Polygon(solid.shape.points).area)


def _cell(u: LatticeVector, v: LatticeVector) -> float:
    return abs(u[0] * v[1] - u[1] * v[0])


def points_in(lattice: Lattice, room: tuple[float, float, float, float], at: LatticeVector) -> FloatArray:
    """The points of a lattice, one of them ``at``, that lie in a box (x0, y0, x1, y1): (n, 2)."""
    x0, y0, x1, y1 = room
    ways = np.array([lattice.u, lattice.v])
    corners = np.array([(x0, y0), (x1, y0), (x1, y1), (x0, y1)]) - np.array(at)
    low, high = (f(corners @ np.linalg.inv(ways), axis=0) for f in (np.min, np.max))
    m, n = (np.arange(math.floor(low[k]), math.ceil(high[k]) + 1) for k in (0, 1))
    grid = np.stack(np.meshgrid(m, n, indexing="ij"), axis=-1).reshape(-1, 2) @ ways + np.array(at)
    there = (grid >= np.array((x0, y0)) - 1e-9).all(axis=1) & (grid <= np.array((x1, y1)) + 1e-9).all(axis=1)
    found: FloatArray = grid[there]
    return found
