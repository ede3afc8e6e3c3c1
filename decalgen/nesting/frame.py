"""Sheets and outlines as the engines see them: turned so that every sheet is filled from its left."""

from __future__ import annotations

from functools import cached_property

import numpy as np
import shapely
from shapely.geometry import MultiPolygon, Polygon

from decalgen.core.arrays import FloatArray
from decalgen.core.values import dataclass
from decalgen.nesting.model import MAX_SHEETS, NestItem, NestPosition, NestRegion, Pin, Request
from decalgen.nesting.turning import region_turn, ring, turned, turned_polygon


@dataclass(frozen=True, eq=False)
class TurnedShape:
    """An outline at one turn. ``turn`` is the turn in the frame; ``box`` its bounds; ``points``
    anticlockwise."""

    turn: int
    points: FloatArray
    openings: tuple[FloatArray, ...]

    @cached_property
    def box(self) -> tuple[float, float, float, float]:
        low, high = self.points.min(axis=0), self.points.max(axis=0)
        return float(low[0]), float(low[1]), float(high[0]), float(high[1])

    @property
    def width(self) -> float:
        return self.box[2] - self.box[0]

    @property
    def height(self) -> float:
        return self.box[3] - self.box[1]


@dataclass(frozen=True, eq=False)
class Frame:
    """One region, turned. ``index`` is its place in the request."""

    index: int
    region: NestRegion
    turn: int
    usable: Polygon
    keep_outs: tuple[Polygon, ...]

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """Bounds of the usable area."""
        x0, y0, x1, y1 = self.usable.bounds
        return float(x0), float(y0), float(x1), float(y1)

    def back(self, item: NestItem, copy: int, sheet: int, turn: int, x: float, y: float) -> NestPosition:
        """The position on the region itself of a shape placed in the frame."""
        out = turned(np.array([[x, y]]), -self.turn % 360)[0]
        return NestPosition(
            item.key, copy, self.region.key, sheet, float(out[0]), float(out[1]), (turn - self.turn) % 360
        )

    def into(self, x: float, y: float, turn: int) -> tuple[float, float, int]:
        """The reverse of `back`."""
        here = turned(np.array([[x, y]]), self.turn)[0]
        return float(here[0]), float(here[1]), (turn + self.turn) % 360


def frame_of(region: NestRegion, index: int) -> Frame:
    """The frame of a region."""
    turn = region_turn(region)
    keep_outs = tuple(turned_polygon(k, turn) for k in region.keep_outs)
    return Frame(index, region, turn, turned_polygon(region.usable, turn), keep_outs)


def shape_of(item: NestItem, turn: int) -> TurnedShape:
    """An item's outline at a turn in the frame."""
    return TurnedShape(
        turn % 360, turned(ring(item.outline), turn), tuple(turned(ring(o), turn) for o in item.openings)
    )


def shapes_of(item: NestItem, frame: Frame) -> tuple[TurnedShape, ...]:
    """An item's outline at each turn that looks different: a rectangle turned by 180 degrees is itself."""
    seen: set[bytes] = set()
    found = []
    for turn in dict.fromkeys(t % 360 for t in item.turns):
        shape = shape_of(item, turn + frame.turn)
        mark = look(shape)
        if mark not in seen:
            seen.add(mark)
            found.append(shape)
    return tuple(found)


def look(shape: TurnedShape) -> bytes:
    """The same for shapes that are alike but for where they lie, to a nanometre."""
    corner = shape.points.min(axis=0)
    rings = []
    for points in (shape.points, *shape.openings):
        grid = np.rint((points - corner) * 1e6).astype(np.int64)
        first = np.lexsort((grid[:, 1], grid[:, 0]))[0]
        rings.append(np.roll(grid, -first, axis=0).tobytes())
    return b"|".join(rings)


@dataclass(frozen=True, eq=False)
class NestPiece:
    """A copy of an item. ``item`` is its place in the request."""

    item: int
    copy: int


def pieces_of(request: Request) -> list[NestPiece]:
    """Every piece, in the order of the request."""
    return [NestPiece(i, copy) for i, item in enumerate(request.items) for copy in range(item.quantity)]


def sheets_of(request: Request, pieces: int) -> list[int]:
    """The sheets there are, as places of their regions in the request; one region may come often."""
    sheets: list[int] = []
    for index, region in enumerate(request.regions):
        sheets += [index] * (min(MAX_SHEETS, max(1, pieces)) if region.repeat else 1)
    return sheets[: max(MAX_SHEETS, len(request.regions))]


def pins_by_sheet(request: Request, sheets: list[int]) -> dict[int, list[Pin]]:
    """The pins of each sheet, by the sheet's place in ``sheets``."""
    first = {request.regions[index].key: sheets.index(index) for index in dict.fromkeys(sheets)}
    found: dict[int, list[Pin]] = {}
    for pin in request.pins:
        found.setdefault(first[pin.region] + pin.number, []).append(pin)
    return found


def blocked(frame: Frame) -> list[Polygon]:
    """What lies outside the usable area but within its bounds."""
    outside = shapely.difference(shapely.box(*frame.bounds), frame.usable)
    parts = outside.geoms if isinstance(outside, MultiPolygon) else [outside]
    return [part for part in parts if isinstance(part, Polygon) and part.area > 1e-9]
