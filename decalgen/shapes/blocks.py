"""A block pattern: a drawn-up table of cells, each in the ink its letter stands for."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import accumulate
from typing import Annotated, ClassVar

from decalgen.core import keys
from decalgen.core.geometry import rectangle
from decalgen.core.values import dataclass
from decalgen.shapes.base import Box, Inked, ShapeError
from decalgen.shapes.pieces import by_ink, check_cells
from decalgen.shapes.registry import shape

BARE = "."
LETTERS = "abcdefghijklmnopqrstuvwxyz"


@shape
@dataclass(frozen=True)
class Blocks:
    """A block pattern, written as rows of letters from the top down.

    a is the first of the inks, b the second and so on; a dot leaves the cell bare, spaces do not count. Columns and
    rows are alike unless their shares are given, such as 2, 1, 2.

    Raises `ShapeError` for rows of unequal length, letters without an ink, and shares that do not match.
    """

    name: ClassVar[str] = "blocks"
    about: ClassVar[str] = "a block pattern given row by row, any inks"
    reads: ClassVar[bool] = False
    example: ClassVar[dict[str, object]] = {"rows": ("ababa", "babab"), "inks": ("cherry dark", "oat cream")}
    example_box: ClassVar[Box] = Box(24.0, 12.0)

    rows: Annotated[tuple[str, ...], keys.Lines("the pattern, one row a line, such as ababa", most=100)]
    inks: Annotated[tuple[str, ...], keys.Many("inks of the letters a, b, c ...", of=keys.InkName(), most=26)]
    width: Annotated[float | None, keys.Size("width; if left out, the whole width of the box", example="20 mm")] = None
    height: Annotated[float | None, keys.Size("height; if left out, the whole height of the box", example="6 mm")] = (
        None
    )
    cell: Annotated[float | None, keys.Size("side of a square cell, instead of width and height", example="2 mm")] = (
        None
    )
    column_shares: Annotated[
        tuple[float, ...] | None,
        keys.Many(
            "how the width is shared among the columns",
            of=keys.Number(least=1e-3, most=1e3),
            example=("2", "1", "2", "1", "2"),
        ),
    ] = None
    row_shares: Annotated[
        tuple[float, ...] | None,
        keys.Many(
            "how the height is shared among the rows, from the top",
            of=keys.Number(least=1e-3, most=1e3),
            example=("2", "1"),
        ),
    ] = None

    def __post_init__(self) -> None:
        table = self.table()
        _steps(self.column_shares, len(table[0]), 1.0, "column", 0.0)
        _steps(self.row_shares, len(table), 1.0, "row", 0.0)

    def table(self) -> tuple[tuple[str | None, ...], ...]:
        """The ink of each cell, row by row from the top. Raises `ShapeError`."""
        lines = ["".join(row.split()).lower() for row in self.rows]
        lines = [line for line in lines if line]
        if not lines:
            raise ShapeError("the block pattern has no rows", "write at least one row, such as ab")
        for number, line in enumerate(lines, start=1):
            if len(line) != len(lines[0]):
                raise ShapeError(
                    f"row {number} of the block pattern has {len(line)} cells, the first has {len(lines[0])}",
                    "make all rows equally long; a dot is a bare cell",
                )
        known = dict(zip(LETTERS, self.inks, strict=False))
        for letter in "".join(lines):
            if letter != BARE and letter not in known:
                last = LETTERS[len(self.inks) - 1]
                raise ShapeError(
                    f"'{letter}' in the block pattern has no ink",
                    f"use the letters a to {last}, or a dot for a bare cell" if last != "a" else "use a, or a dot",
                )
        check_cells(len(lines) * len(lines[0]), "cells")
        return tuple(tuple(known.get(letter) for letter in line) for line in lines)

    def extent(self, box: Box) -> Box:
        """Its own size, that of its cells, or the box's."""
        table = self.table()
        wide, high = (self.cell * len(table[0]), self.cell * len(table)) if self.cell else box
        return Box(self.width or wide, self.height or high)

    def draw(self, size: Box, run_on: float = 0.0) -> tuple[Inked, ...]:
        """One area an ink; the outer cells run on outward."""
        table = self.table()
        xs = _steps(self.column_shares, len(table[0]), size.width, "column", run_on)
        ys = _steps(self.row_shares and self.row_shares[::-1], len(table), size.height, "row", run_on)
        cells = [
            (ink, rectangle(xs[column], ys[row], xs[column + 1], ys[row + 1]))
            for row, line in enumerate(reversed(table))
            for column, ink in enumerate(line)
        ]
        order = {ink: number for number, ink in enumerate(self.inks)}
        return tuple(sorted(by_ink(cells, grid=True), key=lambda inked: order[inked.ink]))


def _steps(shares: Sequence[float] | None, count: int, length: float, what: str, run_on: float) -> list[float]:
    """Where the cells begin and end along one side; the outermost edges lie out by ``run_on``."""
    parts = shares or (1.0,) * count
    if len(parts) != count:
        raise ShapeError(
            f"the block pattern has {count} {what}s but {len(parts)} {what} shares", f"give one share for each {what}"
        )
    whole = sum(parts)
    inner = [length * done / whole for done in accumulate(parts)][:-1]
    return [0.0 - max(0.0, run_on), *inner, length + max(0.0, run_on)]
