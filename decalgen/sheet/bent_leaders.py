"""Labels that no straight leader reaches: a wave runs out from the piece over the free waste, on a raster, until a
label has room beside it; the way back becomes a leader with as few bends as may be. Pure; mm."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from decalgen.core.arrays import FloatArray
from decalgen.core.values import dataclass
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
from decalgen.sheet.raster import CELL, Raster
from decalgen.sheet.waste import CLEAR as ROOM
from decalgen.sheet.waste import BoolArray, IntArray, Waste, walk

OUT = 0.45
"""A leader runs straight out of its piece so far, mm."""
OWN = HALF + 0.08
"""And keeps so far from it beyond that, mm."""
DIAGONAL = CELL * 0.71
"""From the middle of a cell to its corner, mm."""
FOR_LINES = HALF + CLEAR + DIAGONAL
"""A cell is free for a line where its middle is so far from all that no point of it is too near, mm."""
TILE = 700
ROUND_IT = 350
"""A leader is first looked for in the tile of its piece and so far round it, in cells: 210 mm in all."""
SIDES = np.array([(1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0)])
"""The ways from the end of a leader to the middle of its label."""


class WasteRaster:
    """The raster of a sheet's waste, window by window: what never changes of one is made once, when it is first asked
    for."""

    def __init__(self, waste: Waste, tile: int = TILE, round_it: int = ROUND_IT) -> None:
        self.waste = waste
        self.whole = Raster(waste.bounds)
        self._tile, self._round = tile, round_it
        self._made: dict[Raster, tuple[BoolArray, BoolArray]] = {}

    def among(self, drawn: Drawn) -> BentLeaders:
        """The sheet with what is printed in its waste so far."""
        return BentLeaders(self, drawn)

    def window(self, piece: int) -> Raster:
        """The part of the sheet that is searched first for a piece: its tile, and what lies round it."""
        x0, y0, x1, y1 = self.waste.outers[piece].bounds
        at = (np.array([y0 + y1, x0 + x1]) / 2 - self.whole.low[::-1]) / CELL
        first = np.maximum(at // self._tile, 0).astype(int) * self._tile
        starts = np.maximum(first - self._round, 0)
        ends = np.minimum(first + self._tile + self._round, self.whole.shape)
        # No piece reaches out of its window.
        if max(x1 - x0, y1 - y0) > (self._round - 20) * 2 * CELL:
            return self.whole
        return self.whole.part(*(slice(int(a), int(b)) for a, b in zip(starts, ends, strict=True)))

    def closed(self, raster: Raster) -> tuple[BoolArray, BoolArray]:
        """Which cells of a part of the sheet are closed to lines, and which to labels."""
        if raster not in self._made:
            made = []
            for far in (FOR_LINES, DIAGONAL):
                closed: BoolArray = np.zeros(raster.shape, dtype=bool)
                where, cells = raster.within(self.waste.everything, far)
                closed[where] = cells
                made.append(closed)
            self._made[raster] = made[0], made[1]
        return self._made[raster]


class BentLeaders:
    """Bent leaders of a sheet, one after the other: each is looked for round its piece first, and on the whole sheet
    only where the wave ran out of that."""

    def __init__(self, rasters: WasteRaster, drawn: Drawn) -> None:
        self._rasters, self._drawn = rasters, drawn
        self._windows: dict[Raster, _Window] = {}

    def add(self, things: NDArray[np.object_]) -> None:
        """More that is printed in the waste."""
        self._drawn.add(things)
        for window in self._windows.values():
            window.close(things)

    def lead(self, labels: Sequence[Label], piece: int) -> Led | None:
        """The label of a piece at the end of the shortest bent leader, or of one a little longer that brings it off
        other pieces; None where there is none. Each is looked at exactly."""
        sought = _sought(labels)
        found, sure = self._window(self._rasters.window(piece)).lead(sought, piece)
        return found if sure else self._window(self._rasters.whole).lead(sought, piece)[0]

    def _window(self, raster: Raster) -> _Window:
        if raster not in self._windows:
            self._windows[raster] = _Window(self._rasters, self._drawn, raster)
        return self._windows[raster]


@dataclass(frozen=True)
class _Sought:
    """The labels of a piece on each side of the end of a leader. ``sizes`` (n, 2), mm; ``kinds``: which label (n);
    ``offsets``: from the end of the leader to the box (n, 4), mm; ``cells``: the same with room round it, in cells from
    that of the end (n, 4)."""

    sizes: FloatArray
    kinds: IntArray
    offsets: FloatArray
    cells: IntArray


@dataclass(frozen=True)
class _Way:
    """How the wave came: the cell ``before`` each of its cells, and how ``long`` the way is, mm."""

    before: NDArray[np.int32]
    long: NDArray[np.float32]
    starts: dict[int, FloatArray]


class _Window:
    """The free waste of a part of a sheet while bent leaders are drawn on it.

    Cells are counted row by row, with a closed one before and after each row and a closed row before and after all.
    """

    def __init__(self, rasters: WasteRaster, drawn: Drawn, raster: Raster) -> None:
        self._waste, self._drawn, self._raster = rasters.waste, drawn, raster
        self._wide = raster.shape[1] + 2
        for_lines, for_labels = rasters.closed(raster)
        self._lines = np.pad(~for_lines, 1).reshape(-1)
        self._closed = for_labels.copy()
        self._open = raster.sides_within(rasters.whole)
        self._without_room: list[tuple[FloatArray, BoolArray]] = []
        """Cells from which no label as large as one of the sizes is reached; what is drawn later only takes room."""
        self._summed: NDArray[np.int32] | None = None
        self.close(drawn.things)

    def lead(self, sought: _Sought, piece: int) -> tuple[Led | None, bool]:
        """The label of a piece and its leader, and whether the whole sheet has none that is better."""
        starts = self._starts(piece, sought)
        if not starts:
            return None, True
        way = _Way(np.empty(len(self._lines), np.int32), np.empty(len(self._lines), np.float32), starts)
        free = self._lines.copy()
        found: Led | None = None
        least, last, seen = np.inf, np.inf, False
        for front in self._waves(way, free):
            far = way.long[front].astype(float)
            if far.min() > last:
                break
            at, side = self._room(front, sought)
            seen = seen or len(at) > 0
            at, side = at[far[at] >= LEAST], side[far[at] >= LEAST]
            if not len(at):
                continue
            boxes = np.tile(self._middles(front[at]), 2) + sought.offsets[side]
            near = too_near(self._waste, boxes, piece)
            cost = NEARNESS * near + LENGTH * far[at]
            for one in np.argsort(cost, kind="stable"):
                if cost[one] >= least - 1e-9:
                    break
                led = self._led(int(front[at[one]]), way, boxes[one], int(sought.kinds[side[one]]), piece)
                if led is not None:
                    found, least = led, float(cost[one])
                    last = min(last, float(far[at[one]]) + (FARTHER_OUT if near[one] else 0.0))
                    break
        reached = self._lines & ~free
        sure = not self._ran_out(reached, sought)
        if sure and not seen:
            self._without_room.append((sought.sizes, reached))
        return found, sure

    def _ran_out(self, cells: BoolArray, sought: _Sought) -> bool:
        """Whether the wave came so near to a side with more of the sheet behind it that a label may lie beyond.
        ``cells``: those that it came to."""
        rows, columns = self._raster.shape
        reached = cells.reshape(rows + 2, columns + 2)[1:-1, 1:-1]
        near = int(np.abs(sought.cells).max()) + 1
        foot, head, left, right = self._open
        return bool(
            (foot and reached[:near].any())
            or (head and reached[-near:].any())
            or (left and reached[:, :near].any())
            or (right and reached[:, -near:].any())
        )

    def close(self, things: NDArray[np.object_]) -> None:
        """Takes away what is too near to what is printed."""
        rows, columns = self._raster.shape
        where, cells = self._raster.within(things, FOR_LINES)
        self._lines.reshape(rows + 2, columns + 2)[1:-1, 1:-1][where] &= ~cells
        where, cells = self._raster.within(things, DIAGONAL)
        self._closed[where] |= cells
        self._summed = None

    def _sums(self) -> NDArray[np.int32]:
        """How many closed cells lie below and left of each corner of the cells."""
        if self._summed is None:
            self._summed = np.zeros((self._raster.shape[0] + 1, self._raster.shape[1] + 1), dtype=np.int32)
            np.cumsum(self._closed.cumsum(axis=0, dtype=np.int32), axis=1, out=self._summed[1:, 1:])
        return self._summed

    def _starts(self, piece: int, sought: _Sought) -> dict[int, FloatArray]:
        """The cells that a leader straight out of the piece comes to, with where it begins; none from which it is known
        that no label is reached."""
        points, ways = walk(self._waste.outers[piece], 0.7)
        ends = points + ways * OUT
        column, row = ((ends - self._raster.low) / CELL).astype(int).T
        rows, columns = self._raster.shape
        inside = (row >= 0) & (row < rows) & (column >= 0) & (column < columns)
        cells = np.where(inside, (row + 1) * self._wide + column + 1, 0)
        clear = self._lines[cells]
        for sizes, lost in self._without_room:
            as_large = np.all(sought.sizes[:, None] >= sizes - 1e-9, axis=2)
            if np.all(np.any(as_large, axis=1)):
                clear &= ~lost[cells]
        points, ends, cells = points[clear], ends[clear], cells[clear]
        lines = shapely.linestrings(np.stack([points, ends], axis=1))
        own = np.full(len(lines), piece, dtype=np.intp)
        clear = self._waste.off(lines, own, HALF + CLEAR, HALF + CLEAR)
        about = self._about(lines)
        if len(about):
            clear[shapely.STRtree(about).query(lines, predicate="dwithin", distance=HALF + CLEAR)[0]] = False
        found: dict[int, FloatArray] = {}
        for cell, point in zip(cells[clear], points[clear], strict=True):
            found.setdefault(int(cell), point)
        return found

    def _waves(self, way: _Way, free: BoolArray) -> Iterator[IntArray]:
        """The cells that each step of the wave comes to: along and across, then aslant too, in turns. They are no
        longer ``free`` then."""
        wide = self._wide
        straight = ((1, CELL), (wide, CELL), (-1, CELL), (-wide, CELL))
        aslant = tuple((move, CELL * 2**0.5) for move in (wide + 1, wide - 1, -wide - 1, -wide + 1))
        front = np.array(list(way.starts), dtype=np.intp)
        way.long[front] = OUT
        free[front] = False
        turn = 0
        while len(front):
            yield front
            following = []
            for move, far in (*straight, *(aslant if turn % 2 else ())):
                back = front[free[front + move]]
                to = back + move
                free[to] = False
                way.before[to] = back
                way.long[to] = way.long[back] + far
                following.append(to)
            front, turn = np.concatenate(following), turn + 1

    def _room(self, front: IntArray, sought: _Sought) -> tuple[IntArray, IntArray]:
        """Which of the cells have room for which of the labels beyond them: pairs of their places in the two rows."""
        rows, columns = self._raster.shape
        row, column = np.divmod(front, self._wide)
        at = np.stack([column - 1, row - 1, column - 1, row - 1], axis=1)[:, None] + sought.cells
        inside = (at[..., :2] >= 0).all(axis=2) & (at[..., 2] <= columns) & (at[..., 3] <= rows)
        near, side = np.nonzero(inside)
        i0, j0, i1, j1 = at[near, side].T
        s = self._sums()
        free = s[j1, i1] - s[j0, i1] - s[j1, i0] + s[j0, i0] == 0
        return near[free], side[free]

    def _middles(self, cells: IntArray) -> FloatArray:
        row, column = np.divmod(cells, self._wide)
        return self._raster.middles(row - 1, column - 1)

    def _about(self, lines: NDArray[np.object_]) -> NDArray[np.object_]:
        """What of the things drawn may be too near to one of the lines."""
        if not len(lines):
            return np.empty(0, dtype=object)
        return self._drawn.about(shapely.total_bounds(lines) + np.array([-1.0, -1.0, 1.0, 1.0]) * (HALF + CLEAR))

    def _led(self, end: int, way: _Way, box: FloatArray, kind: int, piece: int) -> Led | None:
        """The leader back from a cell, straightened, if box and line keep every distance exactly."""
        cells = [end]
        while cells[-1] not in way.starts:
            cells.append(int(way.before[cells[-1]]))
        middles = self._middles(np.array(cells[::-1], dtype=np.intp))
        line = np.array([way.starts[cells[-1]], *self._straight(middles, piece)])
        whole, own = shapely.LineString(line), self._waste.outers[piece]
        tail = shapely.LineString([whole.interpolate(0.3), *line[1:]])
        clear = self._clear(whole, piece) and tail.distance(own) > HALF + 0.05 and whole.length >= LEAST
        # Straightened, it may come round a corner of its own label.
        clear = clear and bool(shapely.box(*box).distance(whole) > GAP - 1e-6)
        about = self._drawn.about(box + np.array([-ROOM, -ROOM, ROOM, ROOM]))
        if not clear or not self._waste.free(box[None, :], about)[0]:
            return None
        return Led(box, kind, line)

    def _straight(self, way: FloatArray, piece: int) -> list[FloatArray]:
        """A way (n, 2) with those of its points that cannot be left out."""
        kept, at = [way[0]], 0
        while at < len(way) - 1:
            to = len(way) - 1
            while to > at + 1 and not self._clear(shapely.LineString([way[at], way[to]]), piece, own=True):
                to = at + max(1, (to - at) // 2)
            kept.append(way[to])
            at = to
        return kept

    def _clear(self, line: shapely.LineString, piece: int, own: bool = False) -> bool:
        """Whether a line keeps off all but its piece; ``own``: and off its piece as well."""
        lines = np.array([line], dtype=object)
        if not self._waste.off(lines, np.array([piece]), HALF + CLEAR, HALF + CLEAR)[0]:
            return False
        if own and line.distance(self._waste.outers[piece]) < OWN:
            return False
        about = self._about(lines)
        return not len(about) or bool(shapely.distance(about, line).min() >= HALF + CLEAR)


def _sought(labels: Sequence[Label]) -> _Sought:
    """The labels on every side."""
    sizes = np.array([(one.width, one.height) for one in labels])
    kinds = np.repeat(np.arange(len(labels)), len(SIDES))
    middles = np.tile(SIDES, (len(labels), 1)) * (GAP + sizes[kinds] / 2)
    offsets = np.concatenate([middles - sizes[kinds] / 2, middles + sizes[kinds] / 2], axis=1)
    low = np.floor((offsets[:, :2] - ROOM) / CELL + 0.5)
    high = np.ceil((offsets[:, 2:] + ROOM) / CELL + 0.5)
    return _Sought(sizes, kinds, offsets, np.concatenate([low, high], axis=1).astype(np.intp))
