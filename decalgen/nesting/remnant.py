"""What is left of a sheet: the largest free rectangle, or the strip behind the last piece."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from decalgen.core.geometry import Bounds
from decalgen.nesting.frame import Frame, blocked

CELLS = 120
"""How many cells of the first, coarse look lie along the longer side."""


def obstacles(frame: Frame, outlines: list[Polygon], gap: float) -> NDArray[np.object_]:
    """All a new piece must stay out of, in the frame: outside, used parts with clearance, pieces with the
    gap."""
    grown = [k.buffer(frame.region.keep_out_clearance) for k in frame.keep_outs]
    grown += [outline.buffer(gap) for outline in outlines]
    return np.array(blocked(frame) + grown, dtype=object)


def largest_rectangle(bounds: Bounds, taken: NDArray[np.object_]) -> Bounds | None:
    """The largest free rectangle with sides along the axes.

    Found on a grid of cells that are free for certain, then each side pushed out to what really stops it; so
    it is free for certain, and misses the largest one only where two are nearly alike.
    """
    if not len(taken):
        return bounds
    tree = shapely.STRtree(taken)
    xs, ys, cells = _grid(bounds)
    rows, columns = len(ys) - 1, len(xs) - 1
    full = np.zeros(rows * columns, dtype=bool)
    full[tree.query(cells, predicate="intersects")[0]] = True
    found = _largest_in_grid(~full.reshape(rows, columns), xs, ys)
    return None if found is None else _push(found, bounds, tree, taken)


@lru_cache(maxsize=16)
def _grid(bounds: Bounds) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.object_]]:
    """The lines of the grid across and up, and its cells row by row: the same for every arrangement of a sheet."""
    x0, y0, x1, y1 = bounds
    cell = max(x1 - x0, y1 - y0) / CELLS
    columns, rows = max(1, int((x1 - x0) / cell + 1e-9)), max(1, int((y1 - y0) / cell + 1e-9))
    xs, ys = np.linspace(x0, x1, columns + 1), np.linspace(y0, y1, rows + 1)
    cells = shapely.box(*(v.ravel() for v in (*np.meshgrid(xs[:-1], ys[:-1]), *np.meshgrid(xs[1:], ys[1:]))))
    return xs, ys, cells


def _largest_in_grid(free: NDArray[np.bool_], xs: NDArray[np.float64], ys: NDArray[np.float64]) -> Bounds | None:
    """The largest rectangle of free cells, by the stack of a histogram row by row."""
    rows, columns = free.shape
    height = np.zeros(columns, dtype=int)
    # All cells are alike, so counting them compares areas.
    best, box = 0, None
    for row in range(rows):
        height = np.where(free[row], height + 1, 0)
        # A rectangle that goes on in the next row is larger there.
        if row + 1 < rows and not (free[row] & ~free[row + 1]).any():
            continue
        # Columns of one height side by side are taken together: a rectangle ends where the height changes.
        starts = [0, *(np.flatnonzero(np.diff(height)) + 1).tolist(), columns]
        stack: list[tuple[int, int]] = []
        for column, tall in zip(starts, [*height[starts[:-1]].tolist(), 0], strict=True):
            start = column
            while stack and stack[-1][1] >= tall:
                start, high = stack.pop()
                if high * (column - start) > best:
                    best, box = high * (column - start), (start, row + 1 - high, column, row + 1)
            stack.append((start, tall))
    return None if box is None else (float(xs[box[0]]), float(ys[box[1]]), float(xs[box[2]]), float(ys[box[3]]))


def _push(box: Bounds, bounds: Bounds, tree: shapely.STRtree, taken: NDArray[np.object_]) -> Bounds:
    """Each side of a free box moved out as far as nothing is met; the ways first that gain most."""
    edges = list(box)
    for side in (2, 0, 3, 1):
        slab = edges.copy()
        slab[side] = bounds[side]
        area = shapely.box(*slab)
        met = [shapely.intersection(taken[i], area) for i in tree.query(area, predicate="intersects")]
        limit = bounds[side]
        for part in met:
            if part.area > 1e-9:
                edge = part.bounds[(side + 2) % 4]
                limit = min(limit, edge) if side >= 2 else max(limit, edge)
        edges[side] = max(edges[side], limit) if side >= 2 else min(edges[side], limit)
    return (edges[0], edges[1], edges[2], edges[3])


def strip(bounds: Bounds, used: float, gap: float) -> Bounds | None:
    """The straight strip behind the last piece, the gap taken off."""
    x0, y0, x1, y1 = bounds
    start = x0 + used + (gap if used > 0 else 0.0)
    return (start, y0, x1, y1) if start < x1 - 1e-9 else None


def area(box: Bounds | None) -> float:
    """Area of a box, mm²; none has 0."""
    return 0.0 if box is None else (box[2] - box[0]) * (box[3] - box[1])
