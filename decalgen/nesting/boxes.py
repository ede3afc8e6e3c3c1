"""Filling sheets by the boxes round the pieces: most decals are boxes, and what is free beside boxes is a short list of
rectangles, so that an order is tried in a thirtieth of the time that true outlines take.

Every box is as large as its piece with the gap to its right and above it. Lengths in mm.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import shapely
from shapely.geometry import Polygon

from decalgen.core.values import dataclass
from decalgen.nesting.frame import Frame, blocked, frame_of, pieces_of, pins_by_sheet, shape_of, shapes_of, sheets_of
from decalgen.nesting.model import NestPosition, Request

Rectangle = tuple[float, float, float, float]
"""Left, low, right, high."""

HAIR = 1e-7
"""Boxes that overlap by less, mm, lie side by side: the rounding of sums."""

SLICE = 2.0
"""How wide the rectangles are that cover what is not one itself, mm."""


def cut(free: list[Rectangle], box: Rectangle, least: float = HAIR) -> list[Rectangle]:
    """All largest rectangles that stay free once a box is taken off, but for those narrower than ``least``, into which
    nothing goes."""
    x0, y0, x1, y1 = box
    left, low, right, high = x0 + HAIR, y0 + HAIR, x1 - HAIR, y1 - HAIR
    kept: list[Rectangle] = []
    parts: list[Rectangle] = []
    for one in free:
        a, b, c, d = one
        if left >= c or right <= a or low >= d or high <= b:
            kept.append(one)
            continue
        if x0 > a + least:
            parts.append((a, b, x0, d))
        if x1 < c - least:
            parts.append((x1, b, c, d))
        if y0 > b + least:
            parts.append((a, b, c, y0))
        if y1 < d - least:
            parts.append((a, y1, c, d))
    whole = kept + parts
    for one in parts:
        a, b, c, d = one
        for other in whole:
            e, f, g, h = other
            if e <= a and f <= b and g >= c and h >= d and other is not one and (other != one or one in kept):
                break
        else:
            kept.append(one)
    return kept


def corner(free: list[Rectangle], wide: float, high: float) -> tuple[float, float] | None:
    """The leftmost, then lowest, place for a box; None where there is none."""
    x = y = None
    for a, b, c, d in free:
        if a + wide <= c + HAIR and b + high <= d + HAIR and (x is None or y is None or (a, b) < (x, y)):
            x, y = a, b
    return None if x is None or y is None else (x, y)


class BoxPut(NamedTuple):
    """A box in place: its piece's place among the free ones, the sheet's among all there are, its turn's among its
    shapes, and its sides with the gap."""

    piece: int
    sheet: int
    turn: int
    x: float
    y: float
    wide: float
    high: float

    @property
    def end(self) -> float:
        return self.x + self.wide


BoxGene = tuple[int, int]
"""A piece's place among the free ones, and its turn's among its shapes, or -1 for whichever ends first."""


@dataclass(eq=False)
class BoxState:
    """Sheets part filled along an order: what is free of each, what lies on them and what found no place."""

    free: dict[int, list[Rectangle]]
    puts: list[BoxPut]
    left: list[int]

    def copy(self) -> BoxState:
        """The same state, to go on from."""
        return BoxState(self.free.copy(), self.puts.copy(), self.left.copy())


class BoxFiller:
    """A request made ready for filling by boxes."""

    def __init__(self, request: Request) -> None:
        self.request = request
        self.gap = request.gap
        self.frames = [frame_of(region, i) for i, region in enumerate(request.regions)]
        everything = pieces_of(request)
        self.sheets = sheets_of(request, len(everything))
        pinned = {(pin.item, pin.copy) for pin in request.pins}
        self.pieces = [p for p in everything if (request.items[p.item].key, p.copy) not in pinned]
        self.shapes = {
            (item, frame.index): shapes_of(request.items[item], frame)
            for item in range(len(request.items))
            for frame in self.frames
        }
        self.sizes = {
            key: tuple((shape.width + self.gap, shape.height + self.gap) for shape in some)
            for key, some in self.shapes.items()
        }
        # A hair less, so that what just goes in goes in.
        self.least = min((min(size) for some in self.sizes.values() for size in some), default=0.0) - 2 * HAIR
        self._pins = pins_by_sheet(request, self.sheets)
        self._fresh: dict[int, list[Rectangle]] = {}

    def fresh(self, place: int) -> list[Rectangle]:
        """What is free of a sheet with nothing on it but pinned pieces."""
        key = place if place in self._pins else -1 - self.sheets[place]
        if key not in self._fresh:
            frame = self.frames[self.sheets[place]]
            x0, y0, x1, y1 = frame.bounds
            free = [(x0, y0, x1 + self.gap, y1 + self.gap)]
            for wall in self._walls(frame):
                free = cut(free, wall)
            for pin in self._pins.get(place, ()):
                x, y, turn = frame.into(pin.x, pin.y, pin.turn)
                item = next(item for item in self.request.items if item.key == pin.item)
                a, b, c, d = shape_of(item, turn).box
                free = cut(free, (x + a, y + b, x + c + self.gap, y + d + self.gap))
            self._fresh[key] = free
        return self._fresh[key]

    def _walls(self, frame: Frame) -> Iterator[Rectangle]:
        """Rectangles that cover what no box may lie on."""
        clear = frame.region.keep_out_clearance
        for out in frame.keep_outs:
            for a, b, c, d in _slices(out):
                yield a - clear + self.gap, b - clear + self.gap, c + clear, d + clear
        for out in blocked(frame):
            # The edge of the film needs no gap; a box has its own to the right of it and above it.
            for a, b, c, d in _slices(out):
                yield a + self.gap, b + self.gap, c, d

    def put(self, state: BoxState, piece: int, turn: int) -> BoxPut | None:
        """Put a piece down on the first sheet that has room, as far left as it goes; None where it goes nowhere."""
        item = self.pieces[piece].item
        tried: set[int] = set()
        for place, region in enumerate(self.sheets):
            free = state.free.get(place)
            if free is None:
                if region in tried:
                    continue
                if place not in self._pins:
                    tried.add(region)
                free = self.fresh(place)
            sizes = self.sizes[item, region]
            best: tuple[float, float, float, float, int] | None = None
            for k in range(len(sizes)) if turn < 0 else (turn % len(sizes),):
                wide, high = sizes[k]
                at = corner(free, wide, high)
                if at is not None:
                    found = (at[0] + wide, at[1] + high, at[0], at[1], k)
                    if best is None or found < best:
                        best = found
            if best is not None:
                end, top, x, y, k = best
                state.free[place] = cut(free, (x, y, end, top), self.least)
                put = BoxPut(piece, place, k, x, y, end - x, top - y)
                state.puts.append(put)
                return put
        return None if turn < 0 else self.put(state, piece, -1)

    def rest(self, state: BoxState) -> float:
        """The largest free rectangle of any sheet with something on it, mm²."""
        gap = self.gap
        return max(
            ((c - a - gap) * (d - b - gap) for free in state.free.values() for a, b, c, d in free if c - a > gap),
            default=0.0,
        )

    def start(self) -> BoxState:
        """Nothing in place but the pins."""
        return BoxState({place: self.fresh(place) for place in self._pins}, [], [])

    def positions(self, state: BoxState) -> tuple[NestPosition, ...]:
        """The positions of the pieces on the regions themselves, sheets counted as they are used."""
        used = sorted({put.sheet for put in state.puts} | set(self._pins))
        number = {place: i for i, place in enumerate(used)}
        found = [
            NestPosition(p.item, p.copy, p.region, number[place], p.x, p.y, p.turn)
            for place, pins in self._pins.items()
            for p in pins
        ]
        for put in state.puts:
            region = self.sheets[put.sheet]
            piece, frame = self.pieces[put.piece], self.frames[region]
            shape = self.shapes[piece.item, region][put.turn]
            x, y = put.x - shape.box[0], put.y - shape.box[1]
            item = self.request.items[piece.item]
            found.append(frame.back(item, piece.copy, number[put.sheet], shape.turn, x, y))
        return tuple(found)


def _slices(area: Polygon) -> Iterator[Rectangle]:
    """Rectangles that cover an area: itself where it is one."""
    x0, y0, x1, y1 = area.bounds
    count = 1 if area.area > (x1 - x0) * (y1 - y0) - 1e-9 else max(1, int((x1 - x0) / SLICE))
    for n in range(count):
        a, c = x0 + (x1 - x0) * n / count, x0 + (x1 - x0) * (n + 1) / count
        part = shapely.intersection(area, shapely.box(a, y0, c, y1))
        if not part.is_empty:
            _, b, _, d = part.bounds
            yield a, b, c, d
