"""A sheet as a raster of square cells, and which of them lie within a distance of things. Pure; mm."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from decalgen.core.arrays import FloatArray
from decalgen.core.geometry import Bounds
from decalgen.sheet.waste import BoolArray, IntArray

CELL = 0.15
"""Side of a cell, mm."""
ROUND = 4
"""Sides of a quarter of a round corner of what is within a distance: 2 % of the distance less at most."""


class Raster:
    """Cells over a box, row by row from its foot. ``low``: its lower left corner, mm; ``shape``: rows and columns;
    ``first``: the row and column of a whole sheet's raster that its own begin with."""

    def __init__(self, bounds: Bounds, first: tuple[int, int] = (0, 0), shape: tuple[int, int] | None = None) -> None:
        self._bounds, self.first = bounds, first
        columns, rows = np.maximum(np.ceil((np.array(bounds[2:]) - np.array(bounds[:2])) / CELL), 1.0)
        self.low = np.array(bounds[:2]) + np.array(first[::-1]) * CELL
        self.shape = shape or (int(rows), int(columns))

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Raster) and self._key == other._key

    def __hash__(self) -> int:
        return hash(self._key)

    @property
    def _key(self) -> tuple[Bounds, tuple[int, int], tuple[int, int]]:
        return self._bounds, self.first, self.shape

    def part(self, rows: slice, columns: slice) -> Raster:
        """The same cells, fewer of them."""
        size = (rows.stop - rows.start, columns.stop - columns.start)
        return Raster(self._bounds, (self.first[0] + rows.start, self.first[1] + columns.start), size)

    def sides_within(self, whole: Raster) -> tuple[bool, bool, bool, bool]:
        """Whether there are more cells of the ``whole`` beyond its foot, head, left and right."""
        (row, column), (rows, columns) = self.first, self.shape
        return row > 0, row + rows < whole.shape[0], column > 0, column + columns < whole.shape[1]

    def middles(self, rows: IntArray, columns: IntArray) -> FloatArray:
        """The middles of cells (n), mm: (n, 2)."""
        found: FloatArray = self.low + (np.stack([columns, rows], axis=-1) + 0.5) * CELL
        return found

    def within(self, things: NDArray[np.object_], far: float) -> tuple[tuple[slice, slice], BoolArray]:
        """Which cells have their middles in one of the areas (n) or no farther from it than ``far``, mm: those of some
        rows and columns, where all others have not.

        Each edge adds one to all cells on its right where it runs down and takes one away where it runs up: what is
        left above nought lies inside.
        """
        parts = shapely.get_parts(shapely.buffer(self._near(things, far), far * 1.02, quad_segs=ROUND))
        parts = parts[~shapely.is_empty(parts)]
        if not len(parts):
            return (slice(0, 0), slice(0, 0)), np.zeros((0, 0), dtype=bool)
        bounds = (shapely.total_bounds(parts) - np.tile(self.low, 2)) / CELL - 0.5
        left, foot, right, head = np.clip(np.ceil(bounds), 0, np.tile(self.shape[::-1], 2)).astype(int)
        rings, owner = shapely.get_rings(parts, return_index=True)
        outer = np.diff(owner, prepend=-1) != 0
        spots, ring = shapely.get_coordinates(rings, return_index=True)
        cells = (spots - self.low) / CELL - 0.5 - (left, foot)
        same = ring[1:] == ring[:-1]
        starts, ends = cells[:-1][same], cells[1:][same]
        # Outer rings count the one way, openings the other, however they are drawn.
        turns = np.where(shapely.is_ccw(rings) == outer, 1, -1)[ring[1:][same]]
        lower, upper = np.minimum(starts[:, 1], ends[:, 1]), np.maximum(starts[:, 1], ends[:, 1])
        first = np.clip(np.ceil(lower), 0, head - foot).astype(np.intp)
        count = np.clip(np.ceil(upper), 0, head - foot).astype(np.intp) - first
        edge = np.repeat(np.arange(len(count)), count)
        row = first[edge] + np.arange(len(edge)) - np.repeat(np.cumsum(count) - count, count)
        rise = (ends - starts)[edge]
        across = starts[edge, 0] + (row - starts[edge, 1]) * rise[:, 0] / rise[:, 1]
        column = np.clip(np.ceil(across), 0, right - left).astype(np.intp)
        steps = np.zeros((head - foot, right - left + 1), dtype=np.int16)
        np.add.at(steps, (row, column), np.where(rise[:, 1] < 0, turns[edge], -turns[edge]))
        return (slice(foot, head), slice(left, right)), steps[:, :-1].cumsum(axis=1, dtype=np.int16) > 0

    def _near(self, things: NDArray[np.object_], far: float) -> NDArray[np.object_]:
        """Those of the areas that may be no farther from the cells than ``far``, mm."""
        low, high = self.low - far - CELL, self.low + (np.array(self.shape[::-1]) + 1) * CELL + far
        around = shapely.bounds(things).reshape(-1, 4)
        found: NDArray[np.object_] = things[np.all((around[:, :2] <= high) & (around[:, 2:] >= low), axis=1)]
        return found
