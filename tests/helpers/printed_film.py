"""How much of a sheet of film stays blank: the largest rectangle without anything printed, searched by brute force."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
import shapely
from shapely.geometry import LineString
from shapely.geometry.base import BaseGeometry

from decalgen.core.document import Fill, Item, Line
from decalgen.sheet.arrange import Sheet
from decalgen.sheet.film_area import used_parts

CELL = 0.5
"""How finely the film is looked at, mm."""


def printed(sheet: Sheet, furniture: bool = True) -> list[BaseGeometry]:
    """All that is printed on a sheet, and what is used of it; without its furniture, numbers and ticks if asked."""
    found: list[BaseGeometry] = [one.outer for one in sheet.placed]
    if furniture:
        found += [_ink(item) for item in sheet.in_waste]
    return [*found, *used_parts(sheet.film)]


def blank(sheet: Sheet, things: Iterable[BaseGeometry], room: float = 1.0) -> float:
    """The largest rectangle of a sheet's printable film, mm², that keeps ``room`` to all ``things``."""
    x0, y0, x1, y1 = sheet.area.bounds
    xs, ys = np.arange(x0 + CELL / 2, x1, CELL), np.arange(y0 + CELL / 2, y1, CELL)
    free = np.ones((len(ys), len(xs)), dtype=bool)
    grid_x, grid_y = np.meshgrid(xs, ys)
    for thing in things:
        grown = thing.buffer(room)
        shapely.prepare(grown)
        a0, b0, a1, b1 = grown.bounds
        columns = slice(*np.searchsorted(xs, [a0 - CELL, a1 + CELL]))
        rows = slice(*np.searchsorted(ys, [b0 - CELL, b1 + CELL]))
        free[rows, columns] &= ~shapely.contains_xy(grown, grid_x[rows, columns], grid_y[rows, columns])
    best, high = 0, np.zeros(len(xs), dtype=int)
    for row in free:
        high = np.where(row, high + 1, 0)
        best = max(best, _histogram(high.tolist()))
    return best * CELL * CELL


def _histogram(high: list[int]) -> int:
    """The largest rectangle under a row of columns."""
    best, stack = 0, [-1]
    for n, h in enumerate([*high, 0]):
        while stack[-1] >= 0 and high[stack[-1]] >= h:
            tall = high[stack.pop()]
            best = max(best, tall * (n - stack[-1] - 1))
        stack.append(n)
    return best


def _ink(item: Item) -> BaseGeometry:
    if isinstance(item, Fill):
        return item.region
    assert isinstance(item, Line)
    points = [*item.points, item.points[0]] if item.closed else item.points
    return LineString(points).buffer(item.width / 2)
