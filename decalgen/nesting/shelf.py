"""The engine that always works: boxes set into free rectangles, the leftmost place first, with numpy alone.

Every outline counts as its box, every used part as a staircase of boxes round it; so nothing it places can
overlap. The free area is kept as all the largest rectangles that fit in it, so a place that exists is found.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from decalgen.core.values import dataclass
from decalgen.nesting.engine import Found, Task
from decalgen.nesting.frame import (
    Frame,
    NestPiece,
    TurnedShape,
    blocked,
    frame_of,
    pieces_of,
    pins_by_sheet,
    shape_of,
    shapes_of,
    sheets_of,
)
from decalgen.nesting.model import NestPosition, Request

Rects = NDArray[np.float64]

STEP = 1.0
"""Height of a stair, mm, where a used part is not a rectangle."""


class FreeBoxes:
    """The free part of one sheet, as overlapping largest rectangles (x0, y0, x1, y1)."""

    def __init__(self, frame: Frame, gap: float) -> None:
        self.gap = gap
        x0, y0, x1, y1 = frame.bounds
        # A piece takes its box and a gap to the right and above, so what may be covered is that much larger.
        self.rects: Rects = np.array([[x0, y0, x1 + gap, y1 + gap]])
        for polygon in blocked(frame):
            for box in staircase(polygon, 0.0):
                self._keep_out(box)
        for polygon in frame.keep_outs:
            for box in staircase(polygon, frame.region.keep_out_clearance):
                self._keep_out(box)

    def find(self, width: float, height: float) -> tuple[float, float] | None:
        """Lower left corner of the leftmost, then lowest place for a box; None where there is none."""
        r = self.rects
        noise = 1e-9
        fits = (r[:, 2] - r[:, 0] >= width + self.gap - noise) & (r[:, 3] - r[:, 1] >= height + self.gap - noise)
        if not fits.any():
            return None
        r = r[fits]
        best = r[np.lexsort((r[:, 1], r[:, 0]))[0]]
        return float(best[0]), float(best[1])

    def place(self, x: float, y: float, width: float, height: float) -> None:
        """Take a box and its gap off the free area."""
        self._cut(x, y, x + width + self.gap, y + height + self.gap)

    def _keep_out(self, box: tuple[float, float, float, float]) -> None:
        """Take off a box that a piece may touch: a piece left of it brings its own gap, so the box gives that
        back."""
        x0, y0, x1, y1 = box
        sliver = 1e-3
        self._cut(min(x0 + self.gap, x1 - sliver), min(y0 + self.gap, y1 - sliver), x1, y1)

    def _cut(self, x0: float, y0: float, x1: float, y1: float) -> None:
        """Split every free rectangle that the open box meets."""
        r = self.rects
        noise = 1e-9
        hit = (r[:, 0] < x1 - noise) & (r[:, 2] > x0 + noise) & (r[:, 1] < y1 - noise) & (r[:, 3] > y0 + noise)
        if not hit.any():
            return
        old, kept = r[hit], r[~hit]
        parts = []
        for column, value in ((2, x0), (0, x1), (3, y0), (1, y1)):
            part = old.copy()
            part[:, column] = value
            parts.append(part)
        fresh = np.concatenate(parts)
        least = self.gap + 1e-6
        fresh = fresh[(fresh[:, 2] - fresh[:, 0] > least) & (fresh[:, 3] - fresh[:, 1] > least)]
        self.rects = np.concatenate((kept, _largest(fresh, kept)))


def _largest(fresh: Rects, kept: Rects) -> Rects:
    """Those fresh rectangles that no other holds."""
    if not len(fresh):
        return fresh
    fresh = np.unique(fresh, axis=0)
    everything = np.concatenate((fresh, kept))
    inside = (
        (everything[None, :, 0] <= fresh[:, None, 0])
        & (everything[None, :, 1] <= fresh[:, None, 1])
        & (everything[None, :, 2] >= fresh[:, None, 2])
        & (everything[None, :, 3] >= fresh[:, None, 3])
    )
    single: Rects = fresh[inside.sum(axis=1) == 1]
    return single


def staircase(polygon: Polygon, clearance: float) -> list[tuple[float, float, float, float]]:
    """Boxes that cover a polygon and all within ``clearance`` of it."""
    x0, y0, x1, y1 = (float(v) for v in polygon.bounds)
    c = clearance
    if abs(polygon.area - (x1 - x0) * (y1 - y0)) < 1e-9:
        return [(x0 - c, y0 - c, x1 + c, y1 + c)]
    step = max(STEP, (y1 - y0) / 100)
    boxes = []
    for i in range(int(np.ceil((y1 - y0) / step))):
        low, high = y0 + i * step, min(y1, y0 + (i + 1) * step)
        slab = shapely.intersection(polygon, shapely.box(x0 - 1, low, x1 + 1, high))
        for part in shapely.get_parts(slab):
            if not part.is_empty:
                a, b, d, e = (float(v) for v in part.bounds)
                boxes.append((a - c, b - c, d + c, e + c))
    return boxes


@dataclass
class Trial:
    """What one run of the engine placed, and what it could not."""

    positions: list[NestPosition]
    left: list[NestPiece]


def shelve(request: Request, order: list[NestPiece], flat: bool) -> Trial:
    """Fill the sheets one after another in the order given.

    ``flat``: lay each piece along the sheet, unless another turn lets it end earlier; otherwise upright.
    """
    frames = [frame_of(region, i) for i, region in enumerate(request.regions)]
    shapes = {
        (i, f): sorted(shapes_of(item, frame), key=lambda s: (-s.width if flat else s.width, s.turn))
        for i, item in enumerate(request.items)
        for f, frame in enumerate(frames)
    }
    positions: list[NestPosition] = []
    left = list(order)
    number = 0
    sheets = sheets_of(request, len(order))
    pins = pins_by_sheet(request, sheets)
    pinned = {(pin.item, pin.copy) for pin in request.pins}
    left = [p for p in left if (request.items[p.item].key, p.copy) not in pinned]
    items = {item.key: item for item in request.items}
    fresh: dict[int, FreeBoxes] = {}
    empty: set[int] = set()
    for place, index in enumerate(sheets):
        if not left and place not in pins:
            continue
        if index in empty and place not in pins:
            continue
        frame = frames[index]
        if index not in fresh:
            fresh[index] = FreeBoxes(frame, request.gap)
        free = FreeBoxes.__new__(FreeBoxes)
        free.gap, free.rects = request.gap, fresh[index].rects
        here: list[NestPosition] = []
        for pin in pins.get(place, []):
            x, y, turn = frame.into(pin.x, pin.y, pin.turn)
            box = shape_of(items[pin.item], turn).box
            free.place(x + box[0], y + box[1], box[2] - box[0], box[3] - box[1])
            here.append(NestPosition(pin.item, pin.copy, pin.region, number, pin.x, pin.y, pin.turn))
        found, left = _fill(request, frame, free, left, shapes, number)
        here += found
        if here:
            positions += here
            number += 1
        else:
            empty.add(index)
    return Trial(positions, left)


def _fill(
    request: Request,
    frame: Frame,
    free: FreeBoxes,
    order: list[NestPiece],
    shapes: dict[tuple[int, int], list[TurnedShape]],
    number: int,
) -> tuple[list[NestPosition], list[NestPiece]]:
    """Place what fits on one sheet; a group that does not fit whole is taken back and waits for the next."""
    start = free.rects
    barred: set[str] = set()
    while True:
        free.rects = start
        placed: list[NestPosition] = []
        left: list[NestPiece] = []
        refused: set[int] = set()
        broken = ""
        for piece in order:
            item = request.items[piece.item]
            spot = None
            if item.group not in barred and piece.item not in refused:
                spot = _spot(free, shapes[piece.item, frame.index])
            if spot is None:
                refused.add(piece.item)
                left.append(piece)
                if item.group and item.group not in barred:
                    broken = item.group
                    break
                continue
            shape, x, y = spot
            free.place(x, y, shape.width, shape.height)
            placed.append(frame.back(item, piece.copy, number, shape.turn, x - shape.box[0], y - shape.box[1]))
        if not broken:
            return placed, left
        barred.add(broken)


def _spot(free: FreeBoxes, shapes: list[TurnedShape]) -> tuple[TurnedShape, float, float] | None:
    best = None
    for rank, shape in enumerate(shapes):
        found = free.find(shape.width, shape.height)
        if found is not None:
            x, y = found
            cost = (round(x + shape.width, 6), rank, x, y)
            if best is None or cost < best[0]:
                best = (cost, shape, x, y)
    return None if best is None else best[1:]


def shelf(request: Request, task: Task) -> Iterator[Found]:
    """The engine: a few orders and turns, one arrangement each."""
    steps = 0
    for order in _orders(request, pieces_of(request)):
        for flat in (True, False):
            steps += len(order)
            yield Found(tuple(shelve(request, order, flat).positions), steps)


def _orders(request: Request, pieces: list[NestPiece]) -> list[list[NestPiece]]:
    """Largest first, by area and by the longer side; the higher priority always before the lower."""
    items = request.items

    def side(piece: NestPiece) -> float:
        x0, y0, x1, y1 = items[piece.item].outline.bounds
        return float(max(x1 - x0, y1 - y0))

    def by_area(piece: NestPiece) -> float:
        return float(items[piece.item].outline.area)

    return [
        sorted(pieces, key=lambda p: (-items[p.item].priority, -by_area(p), p.item, p.copy)),
        sorted(pieces, key=lambda p: (-items[p.item].priority, -side(p), p.item, p.copy)),
    ]
