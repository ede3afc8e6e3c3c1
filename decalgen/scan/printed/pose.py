"""Where a printed page may lie in a scan: its known lines are looked for in every turn and over a range of sizes. Pure;
the scan's own millimetres."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from decalgen.core.arrays import FloatArray
from decalgen.core.values import dataclass
from decalgen.scan.printed.marks import FineLine, PageMarks

CELL = 0.5
"""Side of a cell of the picture on which a page is looked for, mm."""
BESIDE_CELLS = 3
"""Beside a line, so many cells off, the page is bare."""
SHORT = 8.0
"""Lines under so many mm are ticks and the arms of crosses."""
SIZES = tuple(round(0.90 + 0.02 * n, 2) for n in range(11))
"""Printed over asked, as is tried: a page fitted to its printable area is 0.93 to 0.97 of its size."""
MOST_DOTS = 20_000
TRIED = 6
"""So many places are fitted before the page is given up."""


@dataclass(frozen=True)
class PagePose:
    """``matrix``: 2 × 3, from the page's mm to the scan's."""

    matrix: FloatArray

    def on_scan(self, at: FloatArray) -> FloatArray:
        """Places of the page, one a row, in the scan's mm."""
        return np.asarray(at @ self.matrix[:, :2].T + self.matrix[:, 2], float)

    @property
    def sizes(self) -> tuple[float, float]:
        """How long a millimetre of the file is across and up."""
        return float(np.linalg.norm(self.matrix[:, 0])), float(np.linalg.norm(self.matrix[:, 1]))


def likely_poses(dots: FloatArray, marks: PageMarks) -> Iterator[PagePose]:
    """Where a page may lie, the likeliest first. ``dots``: places with ink, the scan's mm."""
    turn = _main_turn(dots)
    upright = dots @ _turning(-turn).T
    low = upright.min(axis=0) - 4 * CELL
    cells = np.floor((upright - low) / CELL).astype(np.int64)
    wide, high = (cells.max(axis=0) + 9).tolist()
    ink = np.zeros((high, wide))
    ink[cells[:, 1], cells[:, 0]] = 1.0
    # One cell around: lines lie between cells, and sizes between those tried.
    ink = np.maximum.reduce([np.roll(ink, (a, b), (0, 1)) for a, b in itertools.product((-1, 0, 1), repeat=2)])
    found: list[tuple[float, PagePose]] = []
    templates = [(size, _template(marks.strokes, size)) for size in SIZES]
    for quarter in range(4):
        shown = np.rot90(ink, -quarter)
        shape = tuple(_fast(side + 40) for side in shown.shape)
        spectrum = np.fft.rfft2(shown, shape)
        for size, template in templates:
            best = _best(spectrum, shape, template, shown.shape)
            if best is not None:
                found.append((best[0], _posed(best[1], size, quarter, (wide, high), low, turn)))
    for _, pose in sorted(found, key=lambda one: -one[0])[:TRIED]:
        yield pose


def _turning(angle: float) -> FloatArray:
    return np.array([(math.cos(angle), -math.sin(angle)), (math.sin(angle), math.cos(angle))])


def _main_turn(dots: FloatArray) -> float:
    """The turn, within an eighth of a circle, at which most dots lie on level and upright lines, radians."""
    some = dots[:: max(1, len(dots) // MOST_DOTS)]
    some = some - some.mean(axis=0)
    best = 0.0
    for reach, count in ((math.pi / 4, 181), (math.radians(0.5), 21), (math.radians(0.05), 11)):
        tried = best + np.linspace(-reach, reach, count)
        best = float(max(tried, key=lambda one: _gathered(some, float(one), CELL)))
    return best


def _gathered(dots: FloatArray, angle: float, cell: float) -> float:
    total = 0.0
    for along in (dots @ _turning(-angle).T).T:
        total += float((np.bincount(np.floor((along - along.min()) / cell).astype(np.int64)).astype(float) ** 2).sum())
    return total


def _fast(count: int) -> int:
    """The next count that is quickly transformed."""
    return next(n for n in itertools.count(count) if _smooth(n))


def _smooth(count: int) -> bool:
    for prime in (2, 3, 5):
        while count % prime == 0:
            count //= prime
    return count == 1


@dataclass(frozen=True)
class _Template:
    """Weights in cells: lines for, what is beside them against; ``low``: the page's place of its first cell, mm."""

    weights: FloatArray
    low: FloatArray


def _template(strokes: Sequence[FineLine], size: float) -> _Template:
    places = [stroke.places(CELL / 2 / size) * size for stroke in strokes]
    low = np.vstack(places).min(axis=0) - (BESIDE_CELLS + 1) * CELL
    wide, high = (np.ceil((np.vstack(places).max(axis=0) - low) / CELL).astype(int) + BESIDE_CELLS + 1).tolist()
    lines, beside, short = (np.zeros((high, wide)) for _ in range(3))
    for stroke, at in zip(strokes, places, strict=True):
        cells = np.floor((at - low) / CELL).astype(np.int64)
        lines[cells[:, 1], cells[:, 0]] = 1.0
        if stroke.length < SHORT:
            short[cells[:, 1], cells[:, 0]] = 1.0
        across = (0, 1) if stroke.level else (1, 0)
        for off in (-BESIDE_CELLS, BESIDE_CELLS):
            beside[cells[:, 1] + off * across[1], cells[:, 0] + off * across[0]] = 1.0
    around = np.maximum.reduce([np.roll(lines, (a, b), (0, 1)) for a, b in itertools.product((-2, 0, 2), repeat=2)])
    beside[around > 0] = 0.0
    # Long lines are those of paper edges and frames too: the short ones between them tell which they are.
    both = lines / lines.sum() + short / max(1.0, short.sum())
    return _Template(both - 0.5 * beside / max(1.0, beside.sum()), low)


def _best(
    spectrum: NDArray[np.complex128], shape: tuple[int, ...], template: _Template, shown: tuple[int, ...]
) -> tuple[float, FloatArray] | None:
    """The best score, and the place of the page's lower left corner in cells; None where the page is larger than the
    picture."""
    high, wide = template.weights.shape
    if high > shape[0] or wide > shape[1]:
        return None
    other = np.fft.rfft2(template.weights, shape)
    scores = np.fft.irfft2(spectrum * np.conj(other), shape)
    row, column = (int(n) for n in np.unravel_index(int(scores.argmax()), scores.shape))
    # Beyond the middle they stand for places below and left of the picture.
    at_row = row - shape[0] if row > shown[0] else row
    at_column = column - shape[1] if column > shown[1] else column
    corner = np.array([at_column, at_row]) * CELL - template.low
    return float(scores[row, column]), corner


def _posed(
    corner: FloatArray, size: float, quarter: int, cells: tuple[int, int], low: FloatArray, turn: float
) -> PagePose:
    """The pose by the place of the page's corner on the picture that was turned by quarters clockwise."""
    matrix = np.array([(size, 0.0, corner[0]), (0.0, size, corner[1]), (0.0, 0.0, 1.0)])
    wide, high = cells[0] * CELL, cells[1] * CELL
    # ``rot90`` by -1 takes the row for the column; here rows run up, so that is a turn the other way.
    back = {
        0: np.eye(3),
        1: np.array([(0.0, 1.0, 0.0), (-1.0, 0.0, high), (0.0, 0.0, 1.0)]),
        2: np.array([(-1.0, 0.0, wide), (0.0, -1.0, high), (0.0, 0.0, 1.0)]),
        3: np.array([(0.0, -1.0, wide), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0)]),
    }[quarter]
    whole = np.eye(3)
    whole[:2, :2], whole[:2, 2] = _turning(turn), _turning(turn) @ low
    return PagePose(np.asarray((whole @ back @ matrix)[:2], float))
