"""The engine of lattices: copies of one decal that leave much of their boxes empty, such as discs, crosses and stars,
laid in their closest lattice; all else is then chosen place by place round them. No chance in it. Lengths in mm.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from decalgen.core.arrays import FloatArray
from decalgen.core.values import dataclass
from decalgen.nesting.choosing import TASTES, chosen
from decalgen.nesting.engine import Found, Task
from decalgen.nesting.exact import across
from decalgen.nesting.frame import Frame, blocked, frame_of, shape_of
from decalgen.nesting.lattice import Lattice, closest, fitted, points_in
from decalgen.nesting.model import MAX_SHEETS, NestItem, Pin, Request
from decalgen.nesting.nofit import Catalogue, Solid
from decalgen.nesting.order import Filler

FEWEST = 12
"""Copies of a decal, at least, that lie in a lattice."""

BOXLIKE = 0.9
"""Pieces that fill more of their boxes lie as well in rows."""

MOSTLY = 0.3
"""The least part of the area of all pieces that the copies have to make up."""

MOST_POINTS = 80
"""Outlines of more points are left out: their lattices take too long to find."""

OFFSETS = 6
"""Places of the lattice on the sheet that are tried, each way."""

LaidInLattice = list[tuple[Solid, float, float]]
"""Pieces of a sheet in its frame."""


@dataclass(frozen=True)
class LatticeWay:
    """A lattice with the piece it is of, and its other half head to foot."""

    lattice: Lattice
    solid: Solid
    other: Solid | None


def lattice(request: Request, task: Task) -> Iterator[Found]:
    """The engine. Gives nothing where sheets are not plain, or no decal with many copies leaves its box empty."""
    item = suited(request)
    if item is None:
        return
    steps = 0
    for way in filter(None, (request, across(request))):
        frame = frame_of(way.regions[0], 0)
        starts = [one for kind in _ways(way, item, frame, task.slack) for one in _starts(kind, frame)]
        for most in (item.quantity, None):
            pins = _pins(way, item, frame, starts, most)
            if not pins:
                continue
            filler = Filler(replace(way, pins=pins), task.slack)
            order, run = chosen(filler, TASTES[0])
            steps += len(pins) + len(order)
            yield Found(tuple(filler.positions(run)), steps)


def suited(request: Request) -> NestItem | None:
    """The decal whose copies a lattice is of use for; None where there is none."""
    frame = frame_of(request.regions[0], 0)
    if len(request.regions) > 1 or request.pins or frame.keep_outs or blocked(frame):
        return None
    if any(item.group for item in request.items) or len({item.priority for item in request.items}) > 1:
        return None
    whole = sum(item.outline.area * item.quantity for item in request.items)
    fits = [
        item
        for item in request.items
        if item.quantity >= FEWEST
        and not item.openings
        and item.outline.area * item.quantity >= MOSTLY * whole
        and item.outline.area < BOXLIKE * item.outline.envelope.area
        and len(item.outline.exterior.coords) <= MOST_POINTS
    ]
    return max(fits, key=lambda item: item.outline.area * item.quantity, default=None)


def _ways(request: Request, item: NestItem, frame: Frame, slack: int) -> list[LatticeWay]:
    """The closest lattice of a piece, as it stands and a quarter turn further, as its turns allow."""
    filler = Filler(request, slack)
    catalogue: Catalogue = filler.catalogue
    index = request.items.index(item)
    solids = {s.shape.turn % 360: s for s in filler.solids(index, frame.index)}
    by_turn = {(t + frame.turn) % 360: None for t in item.turns}
    for turn in by_turn:
        solids.setdefault(turn, catalogue.add(shape_of(item, turn)))
    first = min(turn for turn in by_turn)
    found = closest(catalogue, solids[first], solids.get((first + 180) % 360))
    ways = [] if found is None else [LatticeWay(found, solids[first], solids.get((first + 180) % 360))]
    quarter = (first + 90) % 360
    if found is not None and quarter in solids and (found.pair is None or (quarter + 180) % 360 in solids):
        ways.append(LatticeWay(found.turned(), solids[quarter], solids.get((quarter + 180) % 360)))
    x0, y0, x1, y1 = frame.bounds
    for turn in dict.fromkeys((first, quarter)):
        if turn in solids:
            ways += [LatticeWay(one, solids[turn], None) for one in fitted(catalogue, solids[turn], (x1 - x0, y1 - y0))]
    return ways


def _pins(
    request: Request, item: NestItem, frame: Frame, starts: Sequence[LatticeStart], most: int | None
) -> tuple[Pin, ...]:
    """The copies in their lattice, sheet by sheet; ``most``: no more than so many, None for full sheets alone."""
    left = item.quantity
    pins: list[Pin] = []
    full = max(starts, key=lambda one: len(one.ends), default=None)
    if full is None or not len(full.ends):
        return ()
    for sheet in range(MAX_SHEETS if request.regions[0].repeat else 1):
        start, count = full, len(full.ends)
        if left < count:
            if most is None or not left:
                break
            # The last of them reach as little far as they can.
            start = min((one for one in starts if len(one.ends) >= left), key=lambda one: float(one.ends[left - 1]))
            count = left
        for solid, x, y in start.laid()[:count]:
            copy = item.quantity - left
            p = frame.back(item, copy, sheet, solid.shape.turn, x, y)
            pins.append(Pin(item.key, copy, p.region, p.x, p.y, p.turn, sheet))
            left -= 1
    return tuple(pins)


@dataclass(frozen=True)
class LatticeStart:
    """A sheet filled by a lattice that begins at some place. ``points``, ``others``: of the pieces and of those head to
    foot; ``ends``: how far to the right each reaches, the least first."""

    way: LatticeWay
    points: FloatArray
    others: FloatArray
    ends: FloatArray

    def laid(self) -> LaidInLattice:
        """Its pieces, those that end first before the others."""
        found = [(self.way.solid, float(x), float(y)) for x, y in self.points]
        if self.way.other is not None:
            found += [(self.way.other, float(x), float(y)) for x, y in self.others]
        return sorted(found, key=lambda one: (one[1] + one[0].shape.box[2], one[2]))


def _starts(way: LatticeWay, frame: Frame) -> Iterator[LatticeStart]:
    """A sheet filled by a lattice that begins at several places."""
    x0, y0, _, _ = frame.bounds
    u, v = np.array(way.lattice.u), np.array(way.lattice.v)
    box = way.solid.shape.box
    for i, j in itertools.product(range(OFFSETS), repeat=2):
        start = np.array((x0 - box[0], y0 - box[1])) + i / OFFSETS * u + j / OFFSETS * v
        points, others = _inside(way.lattice, way.solid, frame.bounds, start), np.empty((0, 2))
        ends = points[:, 0] + box[2]
        if way.lattice.pair is not None and way.other is not None:
            others = _inside(way.lattice, way.other, frame.bounds, start + np.array(way.lattice.pair))
            ends = np.concatenate([ends, others[:, 0] + way.other.shape.box[2]])
        yield LatticeStart(way, points, others, np.sort(ends))


def _inside(found: Lattice, solid: Solid, bounds: tuple[float, float, float, float], at: FloatArray) -> FloatArray:
    x0, y0, x1, y1 = bounds
    a, b, c, d = solid.shape.box
    if x1 - c < x0 - a or y1 - d < y0 - b:
        return np.empty((0, 2))
    points = points_in(found, (x0 - a, y0 - b, x1 - c, y1 - d), (float(at[0]), float(at[1])))
    # What lies a rounding outside lies on the edge.
    return np.clip(points, (x0 - a, y0 - b), (x1 - c, y1 - d))
