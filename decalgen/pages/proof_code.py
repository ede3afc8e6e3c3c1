"""The code of a proof on its sheets: plain, large, beside the pieces where there is room. Pure; mm."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import LineString, Polygon, box

from decalgen.core import style
from decalgen.lettering.paper import paper, paper_width
from decalgen.pages.composer import Sheaf
from decalgen.sheet.arrange import Sheet

SIZES = (14.0, 12.0, 10.0, style.TYPE_BODY)
"""Tried in this order, pt."""
STEP = 2.0
"""How finely room is looked for, mm."""
BORDER = 1.0
"""Bare paper round it, mm."""


def write_code(sheaf: Sheaf, sheet: Sheet, code: str, beside: Sequence[Polygon] = ()) -> None:
    """Writes the code onto a sheet's page: in the waste where it goes, else over the pieces, on a white field.

    ``beside``: where numbers are written on the proof alone."""
    taken: list[Polygon] = [*beside, *(box(*placed.outer.bounds) for placed in sheet.placed)]
    taken += [LineString(line.points).buffer(line.width) for line in sheet.leaders]
    taken += [*sheet.furniture.keep_outs, *(box(*label.region.bounds) for label in sheet.labels)]
    for size in SIZES:
        wide, high = _size(code, size)
        spot = _free(sheet.area.bounds, taken, wide, high)
        if spot:
            _write(sheaf, spot, code, size)
            return
    x0, y0, x1, y1 = sheet.area.bounds
    wide, high = _size(code, SIZES[-1])
    x, y = (x0 + x1 - wide) / 2, (y0 + y1 - high) / 2
    sheaf.fill(box(x, y, x + wide, y + high), style.PAPER)
    _write(sheaf, (x, y), code, SIZES[-1])


def _size(code: str, size: float) -> tuple[float, float]:
    return paper_width(code, size, True) + 2 * BORDER, paper(code, size, True).cap_height + 2 * BORDER


def _free(
    area: tuple[float, float, float, float], taken: Sequence[Polygon], wide: float, high: float
) -> tuple[float, float] | None:
    """The lowest place for a box, the leftmost of those; None where there is none."""
    x0, y0, x1, y1 = area
    xs, ys = _stops(x0, x1, wide), _stops(y0, y1, high)
    free: NDArray[np.bool_] = np.ones((len(ys), len(xs)), dtype=bool)
    for thing in taken:
        left, low, right, top = thing.bounds
        i0, i1 = np.searchsorted(xs + wide, left), np.searchsorted(xs, right, side="right")
        j0, j1 = np.searchsorted(ys + high, low), np.searchsorted(ys, top, side="right")
        if thing.area > (1 - 1e-12) * (right - left) * (top - low):
            free[j0:j1, i0:i1] = False
        elif i0 < i1 and j0 < j1:
            across, up = np.meshgrid(xs[i0:i1], ys[j0:j1])
            free[j0:j1, i0:i1] &= ~shapely.intersects(thing, shapely.box(across, up, across + wide, up + high))
    if not free.any():
        return None
    row, column = divmod(int(free.argmax()), len(xs))
    return float(xs[column]), float(ys[row])


def _stops(low: float, high: float, size: float) -> NDArray[np.float64]:
    """Where a box of a size may begin from low to high, step by step."""
    if low + size > high:
        return np.empty(0)
    steps = np.full(int((high - low) / STEP) + 2, STEP)
    steps[0] = low
    found = np.cumsum(steps)
    return found[found + size <= high]


def _write(sheaf: Sheaf, corner: tuple[float, float], code: str, size: float) -> None:
    sheaf.text(corner[0] + BORDER, corner[1] + BORDER, code, size, bold=True)
