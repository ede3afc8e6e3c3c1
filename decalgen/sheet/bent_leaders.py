"""Labels that no straight leader reaches: a wave runs out from the piece over the free waste, on a raster, until a
label has room beside it; the way back becomes a leader with as few bends as may be. Pure; mm."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from decalgen.core.arrays import FloatArray
from decalgen.sheet.labels import Label
from decalgen.sheet.leaders import (
    CLEAR,
    FARTHER_OUT,
    GAP,
    HALF,
    LEAST,
    LENGTH,
    NEARNESS,
    Drawn,
    Led,
    too_near,
)
from decalgen.sheet.waste import CLEAR as ROOM
from decalgen.sheet.waste import BoolArray, Waste, walk

WINDOWS = (4.0, 10.0, 20.0, 40.0, 80.0, 160.0)
"""How far round a piece is looked, mm, one after the other."""
CELL = 0.15
"""Side of a cell of the raster, mm."""
OUT = 0.45
"""A leader runs straight out of its piece so far, mm."""
OWN = HALF + 0.08
"""And keeps so far from it beyond that, mm."""
NEAR = 0.5
"""What is drawn so far outside the raster may still be too near to one of its cells, mm."""
SIDES = ((1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0))
"""The ways from the end of a leader to the middle of its label."""

IntGrid = NDArray[np.int32]


def lead_round(waste: Waste, drawn: Drawn, labels: Sequence[Label], piece: int) -> Led | None:
    """The label of a piece at the end of the shortest bent leader, or of one a little longer that brings it off other
    pieces, in the smallest window that has one; None where there is none."""
    for window in WINDOWS:
        ground = _Raster(waste, drawn, piece, window)
        found = ground.best(labels)
        if found is not None or ground.shut:
            return found
    return None


class _Raster:
    """The free waste round one piece."""

    def __init__(self, waste: Waste, drawn: Drawn, piece: int, window: float) -> None:
        self.waste, self.piece = waste, piece
        self.shut = False
        """Whether a larger window would find no more, as the wave ended far inside this one."""
        self.own = waste.outers[piece]
        x0, y0, x1, y1 = self.own.bounds
        low = np.array([x0 - window, y0 - window])
        count = np.ceil((np.array([x1 + window, y1 + window]) - low) / CELL).astype(int)
        # No farther than the printable area reaches, in whole cells.
        a0, b0, a1, b1 = waste.bounds
        beyond = np.maximum(np.floor((np.array([a0, b0]) - low) / CELL), 0.0)
        low = low + beyond * CELL
        reach = np.ceil((np.array([a1, b1]) - low) / CELL).astype(int)
        # A piece that was laid off the sheet by hand has a single cell, and no way.
        count = np.maximum(np.minimum(count - beyond.astype(int), reach), 1)
        self.low, self.columns, self.rows = low, int(count[0]), int(count[1])
        window_box = np.array([*low, *(low + count * CELL)])
        self.about = drawn.about(window_box + np.array([-NEAR, -NEAR, NEAR, NEAR]))
        self.xs, self.ys = (low[k] + (np.arange(count[k]) + 0.5) * CELL for k in (0, 1))
        things = np.concatenate([waste.everything, self.about])
        others = np.concatenate([waste.everything_but(piece), self.about])
        # A cell is free for a line or a label where its middle is so far from all that no point of it is too near.
        self.lines = self._off(others, HALF + CLEAR + CELL * 0.71) & self._off(np.array([self.own]), OWN + CELL * 0.71)
        closed = ~self._off(things, CELL * 0.71)
        self.sums = np.zeros((self.rows + 1, self.columns + 1), dtype=np.int64)
        self.sums[1:, 1:] = closed.cumsum(axis=0).cumsum(axis=1)

    def best(self, labels: Sequence[Label]) -> Led | None:
        """The label at the end of the shortest leader, or of one a little longer that brings it off other pieces; each
        is looked at exactly."""
        starts = self._starts()
        if not starts:
            self.shut = True
            return None
        length = np.full((self.rows, self.columns), np.inf)
        before = np.full((self.rows, self.columns), -1, dtype=np.int32)
        wave = []
        for (row, column), _ in starts.items():
            length[row, column] = OUT
            wave.append((row, column))
        room = [(kind, label, side, self._room(label, side)) for kind, label in enumerate(labels) for side in SIDES]
        anywhere = np.logical_or.reduce([free for _, _, _, free in room])
        if not (anywhere & self.lines).any():
            for _ in self._order(wave, length, before):
                pass
            self.shut = self._ended_inside(length, labels)
            return None
        found: Led | None = None
        least, last = np.inf, np.inf
        for row, column in self._order(wave, length, before):
            far = float(length[row, column])
            if far > last:
                break
            if not anywhere[row, column] or far < LEAST:
                continue
            for kind, label, side, free in room:
                if not free[row, column]:
                    continue
                box = self._box(row, column, label, side)
                near = float(too_near(self.waste, box[None, :], self.piece)[0])
                cost = NEARNESS * near + LENGTH * far
                if cost >= least - 1e-9:
                    continue
                led = self._led((row, column), before, starts, box, kind)
                if led is not None:
                    found, least = led, cost
                    last = min(last, far + (FARTHER_OUT if near else 0.0))
        self.shut = found is None and self._ended_inside(length, labels)
        return found

    def _ended_inside(self, length: FloatArray, labels: Sequence[Label]) -> bool:
        """Whether no label beyond a cell that the wave came to reaches out of the window."""
        reached = np.isfinite(length)
        size = max(max(label.width, label.height) for label in labels)
        edge = int(np.ceil((GAP + size + ROOM) / CELL)) + 2
        inside: BoolArray = np.zeros_like(reached)
        inside[edge:-edge, edge:-edge] = True
        return not (reached & ~inside).any()

    def _off(self, things: NDArray[np.object_], far: float) -> BoolArray:
        """Which cells have their middles farther than that from all of the things."""
        free: BoolArray = np.ones((self.rows, self.columns), dtype=bool)
        bounds = shapely.bounds(things).reshape(-1, 4)
        areas = shapely.area(things)
        for thing, (x0, y0, x1, y1), area in zip(things, bounds, areas, strict=True):
            i0, i1 = np.searchsorted(self.xs, [x0 - far, x1 + far])
            j0, j1 = np.searchsorted(self.ys, [y0 - far, y1 + far])
            if i0 >= i1 or j0 >= j1:
                continue
            xs, ys = self.xs[i0:i1], self.ys[j0:j1]
            hole = _frame(thing)
            if hole is not None:
                wide = (self.xs > hole[0] + far) & (self.xs < hole[2] - far)
                high = (self.ys > hole[1] + far) & (self.ys < hole[3] - far)
                free &= np.logical_and.outer(high, wide)
                continue
            if area >= (1 - 1e-12) * (x1 - x0) * (y1 - y0):
                # A box, as most things are: by hand.
                across = np.maximum(np.maximum(x0 - xs, xs - x1), 0.0)
                up = np.maximum(np.maximum(y0 - ys, ys - y1), 0.0)
                free[j0:j1, i0:i1] &= np.add.outer(up * up, across * across) > far * far
                continue
            there = free[j0:j1, i0:i1]
            rows, columns = np.nonzero(there)
            shapely.prepare(thing)
            met = shapely.dwithin(thing, shapely.points(xs[columns], ys[rows]), far)
            there[rows[met], columns[met]] = False
        return free

    def _starts(self) -> dict[tuple[int, int], FloatArray]:
        """The cells that a leader straight out of the piece comes to, with where it begins."""
        points, ways = walk(self.own, 0.7)
        ends = points + ways * OUT
        lines = shapely.linestrings(np.stack([points, ends], axis=1))
        own = np.full(len(lines), self.piece, dtype=np.intp)
        clear = self.waste.off(lines, own, HALF + CLEAR, HALF + CLEAR)
        if len(self.about):
            clear[shapely.STRtree(self.about).query(lines, predicate="dwithin", distance=HALF + CLEAR)[0]] = False
        found: dict[tuple[int, int], FloatArray] = {}
        for point, end in zip(points[clear], ends[clear], strict=True):
            column, row = ((end - self.low) / CELL).astype(int)
            if 0 <= row < self.rows and 0 <= column < self.columns and self.lines[row, column]:
                found.setdefault((int(row), int(column)), point)
        return found

    def _order(self, wave: list[tuple[int, int]], length: FloatArray, before: IntGrid) -> Iterator[tuple[int, int]]:
        """Cells in the order that the wave reaches them: along and across, then aslant, in turns."""
        straight = ((0, 1), (1, 0), (0, -1), (-1, 0))
        aslant = ((1, 1), (1, -1), (-1, -1), (-1, 1))
        turn = 0
        while wave:
            yield from wave
            following = []
            for row, column in wave:
                for down, right in (*straight, *(aslant if turn % 2 else ())):
                    r, c = row + down, column + right
                    if 0 <= r < self.rows and 0 <= c < self.columns and self.lines[r, c] and np.isinf(length[r, c]):
                        length[r, c] = length[row, column] + CELL * (down * down + right * right) ** 0.5
                        before[r, c] = row * self.columns + column
                        following.append((r, c))
            wave, turn = following, turn + 1

    def _middle(self, row: int, column: int) -> FloatArray:
        found: FloatArray = self.low + (np.array([column, row]) + 0.5) * CELL
        return found

    def _box(self, row: int, column: int, label: Label, side: tuple[float, float]) -> FloatArray:
        """The label's box beyond a cell, on one of its sides."""
        size = np.array([label.width, label.height])
        middle = self._middle(row, column) + np.array(side) * (GAP + size / 2)
        return np.concatenate([middle - size / 2, middle + size / 2])

    def _room(self, label: Label, side: tuple[float, float]) -> BoolArray:
        """Of every cell whether a label beyond it, on one of its sides, is clear of all."""
        low, high = [], []
        for axis, (count, size) in enumerate(((self.columns, label.width), (self.rows, label.height))):
            middle = self.low[axis] + (np.arange(count) + 0.5) * CELL + side[axis] * (GAP + size / 2)
            low.append(np.floor((middle - size / 2 - ROOM - self.low[axis]) / CELL).astype(int))
            high.append(np.ceil((middle + size / 2 + ROOM - self.low[axis]) / CELL).astype(int))
        inside = [(a >= 0) & (b <= count) for a, b, count in zip(low, high, (self.columns, self.rows), strict=True)]
        free: BoolArray = np.zeros((self.rows, self.columns), dtype=bool)
        if inside[0].any() and inside[1].any():
            i0, i1 = low[0][inside[0]], high[0][inside[0]]
            j0, j1 = low[1][inside[1]][:, None], high[1][inside[1]][:, None]
            s = self.sums
            free[np.ix_(inside[1], inside[0])] = s[j1, i1] - s[j0, i1] - s[j1, i0] + s[j0, i0] == 0
        return free

    def _led(
        self,
        end: tuple[int, int],
        before: IntGrid,
        starts: dict[tuple[int, int], FloatArray],
        box: FloatArray,
        kind: int,
    ) -> Led | None:
        """The leader back from a cell, straightened, if box and line keep every distance exactly."""
        cells = [end]
        while cells[-1] not in starts:
            cells.append(divmod(int(before[cells[-1]]), self.columns))
        begin = starts[cells[-1]]
        way = [self._middle(*cell) for cell in reversed(cells)]
        line = np.array([begin, *self._straight(way)])
        whole = shapely.LineString(line)
        tail = shapely.LineString([whole.interpolate(0.3), *line[1:]])
        clear = self._clear(whole) and tail.distance(self.own) > HALF + 0.05 and whole.length >= LEAST
        # Straightened, it may come round a corner of its own label.
        clear = clear and bool(shapely.box(*box).distance(whole) > GAP - 1e-6)
        if not clear or not self.waste.free(box[None, :], self.about)[0]:
            return None
        return Led(box, kind, line)

    def _straight(self, way: list[FloatArray]) -> list[FloatArray]:
        """A way with those of its points that cannot be left out."""
        kept, at = [way[0]], 0
        while at < len(way) - 1:
            to = len(way) - 1
            while to > at + 1 and not self._clear(shapely.LineString([way[at], way[to]]), own=True):
                to = at + max(1, (to - at) // 2)
            kept.append(way[to])
            at = to
        return kept

    def _clear(self, line: shapely.LineString, own: bool = False) -> bool:
        """Whether a line keeps off all but its piece; ``own``: and off its piece as well."""
        lines = np.array([line], dtype=object)
        if not self.waste.off(lines, np.array([self.piece]), HALF + CLEAR, HALF + CLEAR)[0]:
            return False
        if own and line.distance(self.own) < OWN:
            return False
        return not len(self.about) or bool(shapely.distance(self.about, line).min() >= HALF + CLEAR)


def _frame(thing: BaseGeometry) -> tuple[float, float, float, float] | None:
    """What a thing leaves free inside it, where that is a box and all round it is closed: as all beyond the printable
    area is."""
    if shapely.get_num_interior_rings(thing) != 1:
        return None
    hole = shapely.Polygon(shapely.get_interior_ring(thing, 0))
    x0, y0, x1, y1 = hole.bounds
    a0, b0, a1, b1 = thing.bounds
    box = hole.area >= (1 - 1e-12) * (x1 - x0) * (y1 - y0)
    return (x0, y0, x1, y1) if box and min(x0 - a0, y0 - b0, a1 - x1, b1 - y1) > CELL else None
