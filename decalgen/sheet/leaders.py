"""Labels that find no room beside their piece: farther away, with a thin line to it. Pure; mm."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from decalgen.core import style
from decalgen.core.arrays import FloatArray
from decalgen.core.values import dataclass
from decalgen.sheet.labels import Label
from decalgen.sheet.waste import COARSE, BoolArray, IntArray, Waste, anchored, walk

LEAST = 0.8
"""No leader is shorter, mm: it would be taken for a tick or an apostrophe."""
CLOSE = (LEAST, 1.0, 1.3, 1.7, 2.2, 3.0, 4.0, 5.5, 7.0)
FAR = (9.0, 12.0, 16.0, 21.0, 28.0, 40.0)
"""How long leaders may be, mm, the shortest that is clear."""
LEANS = (35.0, -35.0, 0.0, 60.0, -60.0)
"""How far a leader may lean from the way out of its piece, degrees."""
HALF = style.LINE_MARK / 2
CLEAR = 0.12 + COARSE
"""A leader keeps so far from all it does not lead to, mm."""
GAP = 0.15
"""Between a leader and its label, mm."""
KEPT_OFF = 0.8
"""A label with a leader keeps so far off all other pieces where it can, mm, or it is taken for theirs."""
FARTHER_OUT = 3.0
"""So much longer a leader may be that brings its label off other pieces, mm."""
NEARNESS = 3.0
LENGTH = 0.3
"""What a mm too near to another piece costs, and a mm of leader: in caps steps of a label."""


@dataclass(frozen=True)
class Led:
    """A label away from its piece. ``box``: (4), mm; ``kind``: which of its labels; ``line``: from the piece's bleed to
    the label, (n, 2)."""

    box: FloatArray
    kind: int
    line: FloatArray


class Drawn:
    """What is printed in the waste so far, and where."""

    def __init__(self, things: NDArray[np.object_]) -> None:
        self.things = things
        self._bounds = shapely.bounds(things).reshape(-1, 4)

    def add(self, things: NDArray[np.object_]) -> None:
        """More of it."""
        self.things = np.concatenate([self.things, things])
        self._bounds = np.concatenate([self._bounds, shapely.bounds(things).reshape(-1, 4)])

    def about(self, window: FloatArray) -> NDArray[np.object_]:
        """What may lie in a window (4)."""
        b = self._bounds
        x0, y0, x1, y1 = window
        found: NDArray[np.object_] = self.things[(b[:, 0] <= x1) & (b[:, 2] >= x0) & (b[:, 1] <= y1) & (b[:, 3] >= y0)]
        return found


def lead(waste: Waste, drawn: Drawn, labels: Sequence[Label], piece: int, reaches: Sequence[float]) -> Led | None:
    """The label of a piece with a clear leader of the lengths asked for: the shortest, or one a little longer whose
    label lies off other pieces. None where there is none."""
    area = waste.outers[piece]
    points, out = walk(area, _step(reaches))
    sizes = np.array([(one.width, one.height) for one in labels])
    rough = np.array([one.small + 0.4 * one.form for one in labels])
    widest = float(sizes.max()) + 1.0
    found: Led | None = None
    least, last = np.inf, np.inf
    starts, ways, cost = _leaders(points, out)
    for reach in reaches:
        if reach > last:
            break
        far = reach + widest
        x0, y0, x1, y1 = area.bounds
        about = drawn.about(np.array([x0 - far, y0 - far, x1 + far, y1 + far]))
        # A longer leader crosses all that a shorter one does: what is lost stays lost.
        starts, ways, cost = _clear(waste, about, piece, reach, (starts, ways, cost))
        if not len(starts):
            break
        count, forms = len(starts), len(sizes)
        at = np.tile(starts + ways * (reach + GAP), (forms, 1))
        boxes = anchored(at, np.tile(ways, (forms, 1)), np.repeat(sizes, count, axis=0))
        free = np.flatnonzero(waste.free(boxes, about))
        if not len(free):
            continue
        near = too_near(waste, boxes[free], piece)
        total = np.repeat(rough, count)[free] + np.tile(cost, forms)[free] + NEARNESS * near + LENGTH * reach
        one = int(np.argmin(total))
        if total[one] < least:
            best, least = int(free[one]), float(total[one])
            start, way = starts[best % count], ways[best % count]
            found = Led(boxes[best], best // count, np.array([start, start + way * reach]))
        last = min(last, reach if not near[one] else reach + FARTHER_OUT)
    return found


def too_near(waste: Waste, boxes: FloatArray, piece: int) -> FloatArray:
    """By how much of `KEPT_OFF` each of the boxes (n, 4) lies too near to a piece that is not its own, mm: (n)."""
    near = np.zeros(len(boxes))
    one, other, apart = waste.near(boxes, KEPT_OFF)
    strange = other != piece
    np.maximum.at(near, one[strange], KEPT_OFF - apart[strange])
    return near


def _step(reaches: Sequence[float]) -> float:
    """Farther leaders are tried less finely."""
    return 0.7 if reaches[-1] <= CLOSE[-1] else 1.5


def _leaders(points: FloatArray, out: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Starts and ways of the leaders to try, and what each costs: along the paper's edges one looks like a tick."""
    angles = np.radians(LEANS)
    turn = np.stack([np.cos(angles), np.sin(angles)], axis=1)
    x, y = out[:, 0][:, None], out[:, 1][:, None]
    ways = np.stack([x * turn[:, 0] - y * turn[:, 1], x * turn[:, 1] + y * turn[:, 0]], axis=2).reshape(-1, 2)
    starts = np.repeat(points, len(LEANS), axis=0)
    cost = np.where(np.abs(ways).min(axis=1) < 0.2, 0.5, 0.0) + np.tile(np.abs(LEANS) / 200, len(points))
    return starts, ways, cost


def _clear(
    waste: Waste,
    about: NDArray[np.object_],
    piece: int,
    reach: float,
    tried: tuple[FloatArray, FloatArray, FloatArray],
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Those of the leaders that cross nothing."""
    starts, ways, cost = tried
    lines = _lines(starts, starts + ways * reach)
    own: IntArray = np.full(len(lines), piece, dtype=np.intp)
    free: IntArray = np.flatnonzero(waste.off(lines, own, HALF + CLEAR, HALF + CLEAR))
    tails = _lines((starts + ways * 0.3)[free], (starts + ways * reach)[free])
    free = free[shapely.distance(tails, waste.outers[piece]) > HALF + 0.05]
    if len(about) and len(free):
        clear: BoolArray = np.ones(len(free), dtype=bool)
        clear[shapely.STRtree(about).query(lines[free], predicate="dwithin", distance=HALF + CLEAR)[0]] = False
        free = free[clear]
    return starts[free], ways[free], cost[free]


def _lines(starts: FloatArray, ends: FloatArray) -> NDArray[np.object_]:
    found: NDArray[np.object_] = shapely.linestrings(np.stack([starts, ends], axis=1))
    return found
