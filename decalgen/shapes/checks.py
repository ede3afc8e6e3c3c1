"""Checks: rows and columns of cells in two or more inks."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Annotated, ClassVar

from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from decalgen.core import keys
from decalgen.core.values import dataclass
from decalgen.shapes.base import Box, Inked, ShapeError
from decalgen.shapes.pieces import EDGE, by_ink, check_cells, grown
from decalgen.shapes.registry import shape


@shape
@dataclass(frozen=True)
class Checks:
    """Rows and columns of cells whose inks take turns; the first ink has the cell at the top left.

    Give rows and columns, or the side of a square cell (adjusted a little so that a whole number fits). With one ink
    every other cell stays bare. Half cells at both ends make a band that ends alike on both sides.

    Raises `ShapeError` where rows or columns cannot be decided, or the cells are too many.
    """

    name: ClassVar[str] = "checks"
    about: ClassVar[str] = "checks in two or more inks, by rows and columns or by cell size"
    needs: ClassVar[tuple[frozenset[str], ...]] = (frozenset({"rows"}), frozenset({"columns"}), frozenset({"cell"}))
    reads: ClassVar[bool] = False
    example: ClassVar[dict[str, object]] = {
        "inks": ("rope cream", "harbour teal"),
        "rows": 2,
        "columns": 12,
        "height": 5.0,
    }
    example_box: ClassVar[Box] = Box(30.0, 12.0)

    inks: Annotated[
        tuple[str, ...],
        keys.Many("inks of the cells, in turn; one alone leaves every other bare", of=keys.InkName(), most=12),
    ]
    rows: Annotated[int | None, keys.Count("how many rows")] = None
    columns: Annotated[int | None, keys.Count("how many columns")] = None
    cell: Annotated[float | None, keys.Size("side of a square cell, instead of rows or columns", example="2.5 mm")] = (
        None
    )
    width: Annotated[float | None, keys.Size("width; if left out, the whole width of the box", example="20 mm")] = None
    height: Annotated[float | None, keys.Size("height; if left out, the whole height of the box")] = None
    half_cells: Annotated[bool, keys.Flag("each row starts and ends with half a cell")] = False
    slant: Annotated[
        float, keys.Angle("how far the columns lean to the right, degrees", least=-75.0, most=75.0, example="15°")
    ] = 0.0

    def __post_init__(self) -> None:
        if not (self.rows or self.columns or self.cell):
            raise ShapeError(
                "the checks have neither rows and columns nor a cell size", "give `rows` and `columns`, or `cell`"
            )
        check_cells((self.rows or 1) * (self.columns or 1), "cells")

    def extent(self, box: Box) -> Box:
        """Its own size; what is left out follows from the cell size where it can, else from the box."""
        width = self.width
        if width is None and self.cell and self.columns:
            width = self.cell * self.columns
        width = width or box.width
        height = self.height
        if height is None and self.rows and self.cell:
            height = self.cell * self.rows
        return Box(width, height or box.height)

    def grid(self, size: Box) -> tuple[int, int]:
        """Rows and columns in ``size``. Raises `ShapeError`."""
        rows, columns = self.rows, self.columns
        if self.cell:
            rows = rows or max(1, round(size.height / self.cell))
            columns = columns or max(1, round(size.width / self.cell))
        if rows and not columns:
            columns = max(1, round(size.width * rows / size.height))
        if columns and not rows:
            rows = max(1, round(size.height * columns / size.width))
        assert rows and columns
        check_cells(rows * (columns + 1), "cells")
        return rows, columns

    def draw(self, size: Box, run_on: float = 0.0) -> tuple[Inked, ...]:
        """One area an ink, cells of one ink merged."""
        cells = list(self._cells(size, max(0.0, run_on)))
        if self.slant:
            clip = grown(size, max(0.0, run_on))
            cells = [(ink, cell.intersection(clip)) for ink, cell in cells]
        order = {ink: number for number, ink in enumerate(self.inks)}
        return tuple(sorted(by_ink(cells, grid=not self.slant), key=lambda inked: order[inked.ink]))

    def _cells(self, size: Box, run_on: float) -> Iterator[tuple[str | None, BaseGeometry]]:
        """Every cell that meets the extent; the outer ones of a row reach out to the run-on, no new one starts."""
        rows, columns = self.grid(size)
        w, h = size
        inks: tuple[str | None, ...] = self.inks if len(self.inks) > 1 else (self.inks[0], None)
        lean = math.tan(math.radians(self.slant))
        pitch = w / columns
        begin = -pitch / 2 if self.half_cells else 0.0
        levels = [h * row / rows for row in range(rows)] + [h]
        far = run_on + abs(lean) * (h + 2 * run_on)
        spill = math.ceil(abs(lean) * h / 2 / pitch)
        check_cells(rows * (columns + 2 * spill), "cells")
        for row in range(rows):
            low, high = levels[row], levels[row + 1]
            floor = low - run_on if row == 0 else low
            roof = high + run_on if row == rows - 1 else high
            # A column's edge at height y is edge + lean·(y − h/2); in the row it meets the extent if any of it does.
            left, right = sorted((lean * (low - h / 2), lean * (high - h / 2)))
            kept = [
                column
                for column in range(-spill - 1, columns + spill + 2)
                if begin + (column + 1) * pitch + right > EDGE and begin + column * pitch + left < w - EDGE
            ]
            for column in kept:
                a, b = begin + column * pitch, begin + (column + 1) * pitch
                if not lean and not self.half_cells and column == columns - 1:
                    b = w
                if not lean:
                    a, b = max(a, 0.0), min(b, w)
                    a, b = (a - run_on if column == kept[0] else a), (b + run_on if column == kept[-1] else b)
                else:
                    a, b = (a - far if column == kept[0] else a), (b + far if column == kept[-1] else b)
                ring = [
                    (a + lean * (floor - h / 2), floor),
                    (b + lean * (floor - h / 2), floor),
                    (b + lean * (roof - h / 2), roof),
                    (a + lean * (roof - h / 2), roof),
                ]
                yield inks[(rows - 1 - row + column) % len(inks)], Polygon(ring)
