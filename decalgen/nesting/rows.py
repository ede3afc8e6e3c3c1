"""Rows of like pieces: copies of one item set side by side at their exact pitch, all alike or head to foot by turns.

A row is one item for the fill; the gate sees the single pieces again. Lengths in mm.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

import numpy as np
import shapely
from shapely.geometry import Polygon

from decalgen.core.values import dataclass
from decalgen.nesting.convex import GridPath
from decalgen.nesting.frame import Frame, shapes_of
from decalgen.nesting.model import NestItem, NestPosition, Request
from decalgen.nesting.nofit import Catalogue, NoFit, Solid
from decalgen.nesting.turning import turned, turned_polygon

FULL = 0.9
"""The least part of its strip that a row has to fill, the gap counted with the pieces."""

CLOSED = 0.02
"""How much wider than the gap what is closed between the pieces of a row may be, mm."""

FEWEST = 4
"""Copies of an item, at least, for it to stand in rows."""

MARK = "row "
"""What the keys of rows begin with, before the key of their item."""


@dataclass(frozen=True)
class Pattern:
    """How copies of an item stand in a row, in the frame: two solids by turns, the second ``first`` units to the right
    of the first, the next first one ``second`` units on.

    ``full``: the part of its strip that an endless row fills.
    """

    item: int
    solids: tuple[Solid, Solid]
    first: int
    second: int
    full: float

    def at(self, number: int) -> int:
        """How far to the right a piece of the row has its left end, units."""
        return number // 2 * (self.first + self.second) + number % 2 * self.first

    def length(self, count: int) -> int:
        """How long a row of so many is, units."""
        return max(self.at(k) + self.solids[k % 2].width for k in range(max(0, count - 2), count))

    def most(self, length: int) -> int:
        """How many a row of that length, units, holds."""
        count = 2 * max(0, length // (self.first + self.second)) + 3
        while count and self.length(count) > length:
            count -= 1
        return count


@dataclass(frozen=True)
class Member:
    """A piece of a row: its turn, and where it lies in the row's own coordinates."""

    turn: int
    x: float
    y: float


@dataclass(frozen=True)
class RowItem:
    """An item that is a row, and the item its pieces are copies of."""

    item: NestItem
    of: NestItem
    members: tuple[Member, ...]


@dataclass(frozen=True)
class RowPlan:
    """A request with rows among its items, and what each row is made of, by its key."""

    request: Request
    rows: Mapping[str, RowItem]


def reach(forbidden: NoFit, y: int) -> int | None:
    """How far to the right the forbidden area of a no-fit polygon reaches at a height; None where it is not met."""
    most = None
    for path, box in forbidden.paths:
        if box[1] < y < box[3]:
            found = math.ceil(_right(path, y))
            most = found if most is None else max(most, found)
    return most


def _right(path: GridPath, y: int) -> float:
    """The rightmost point of an outline at a height."""
    best = -math.inf
    x0, y0 = path[-1]
    for x1, y1 in path:
        if min(y0, y1) <= y <= max(y0, y1):
            best = max(best, x0 + (x1 - x0) * (y - y0) / (y1 - y0) if y0 != y1 else max(x0, x1))
        x0, y0 = x1, y1
    return best


def pitch(catalogue: Catalogue, a: Solid, b: Solid) -> int:
    """The least distance between the left ends of two solids that stand on one foot, from which on they keep the gap
    at every greater distance as well; units."""
    lift = a.box[1] - b.box[1]
    found = reach(catalogue.nofit(a, b), lift)
    return max(1, (found if found is not None else 0) + b.box[0] - a.box[0])


def patterns(request: Request, catalogue: Catalogue, frame: Frame) -> Iterator[Pattern]:
    """Of each item with copies that are free to stand in rows the fullest pattern lying and the fullest standing."""
    pinned = {pin.item for pin in request.pins}
    gap = catalogue.gap / catalogue.units
    for index, item in enumerate(request.items):
        if item.quantity < FEWEST or item.group or item.key in pinned:
            continue
        grown = float(item.outline.buffer(gap / 2, quad_segs=16).area) * catalogue.units**2
        solids = {shape.turn: catalogue.add(shape) for shape in shapes_of(item, frame)}
        found = []
        for turn, solid in solids.items():
            for other in (solid, solids.get((turn + 180) % 360)):
                if other is not None:
                    found.append(_pattern(index, catalogue, solid, other, grown))
        best: dict[bool, Pattern] = {}
        for one in found:
            standing = one.solids[0].width < one.solids[0].height
            if one.full >= FULL and (standing not in best or one.full > best[standing].full + 1e-9):
                best[standing] = one
        yield from best.values()


def _pattern(index: int, catalogue: Catalogue, a: Solid, b: Solid, grown: float) -> Pattern:
    first, back = pitch(catalogue, a, b), pitch(catalogue, b, a)
    again = max(pitch(catalogue, a, a), pitch(catalogue, b, b))
    second = max(back, again - first)
    high = max(a.height, b.height) + catalogue.gap
    return Pattern(index, (a, b), first, second, 2 * grown / ((first + second) * high))


def row_item(
    request: Request, pattern: Pattern, frame: Frame, count: int, quantity: int, units: float
) -> RowItem | None:
    """A row of so many copies as an item of its own; None where its outline is not one area or it may not be turned."""
    item = request.items[pattern.item]
    members = []
    for number in range(count):
        solid = pattern.solids[number % 2]
        x, y = (pattern.at(number) - solid.box[0]) / units, -solid.box[1] / units
        (where,) = turned(np.array([[x, y]]), -frame.turn % 360)
        members.append(Member((solid.shape.turn - frame.turn) % 360, float(where[0]), float(where[1])))
    allowed = {turn % 360 for turn in item.turns}
    turns = tuple(t for t in (0, 90, 180, 270) if all((m.turn + t) % 360 in allowed for m in members))
    outline = _outline(item, members, request.gap)
    if outline is None or not turns:
        return None
    key = f"{MARK}{pattern.item}.{count}.{members[0].turn}.{members[1].turn} {item.key}"
    return RowItem(NestItem(key, outline, turns, item.priority, quantity), item, tuple(members))


def _outline(item: NestItem, members: Sequence[Member], gap: float) -> Polygon | None:
    """The pieces of a row with what lies between them."""
    pieces = []
    for member in members:
        shape = turned_polygon(item.outline, member.turn)
        pieces.append(shapely.transform(shape, lambda points, m=member: points + np.array((m.x, m.y))))
    spread = gap / 2 + CLOSED
    near = shapely.union_all([piece.buffer(spread, join_style="mitre") for piece in pieces])
    whole = shapely.union_all([near.buffer(-spread, join_style="mitre"), *pieces])
    return Polygon(whole.exterior) if isinstance(whole, Polygon) else None


def plan_of(
    request: Request, patterns: Sequence[Pattern], frame: Frame, length: float, least: float, units: float
) -> RowPlan:
    """The request with rows up to ``length`` in place of copies of the items at least ``least`` long; copies that are
    left over stand in a shorter row, or alone."""
    rows: dict[str, RowItem] = {}
    left = {index: item.quantity for index, item in enumerate(request.items)}
    for pattern in patterns:
        one = pattern.solids[0]
        if max(one.width, one.height) < least * units or left[pattern.item] < request.items[pattern.item].quantity:
            continue
        each = min(pattern.most(int(length * units)), left[pattern.item])
        if each < 2:
            continue
        for count, quantity in ((each, left[pattern.item] // each), (left[pattern.item] % each, 1)):
            made = row_item(request, pattern, frame, count, quantity, units) if count > 1 and quantity else None
            if made is not None:
                rows[made.item.key] = made
                left[pattern.item] -= count * quantity
    singles = [replace(item, quantity=left[index]) for index, item in enumerate(request.items)]
    items = (*(row.item for row in rows.values()), *(item for item in singles if item.quantity))
    return RowPlan(replace(request, items=items), rows)


def alone(request: Request, plan: RowPlan, positions: Sequence[NestPosition]) -> tuple[NestPosition, ...]:
    """The single pieces of an arrangement with rows."""
    pinned = {(pin.item, pin.copy) for pin in request.pins}
    copies = {
        item.key: iter([c for c in range(item.quantity) if (item.key, c) not in pinned]) for item in request.items
    }
    found = []
    for p in positions:
        row = plan.rows.get(p.item)
        if row is None:
            free = (p.item, p.copy) not in pinned
            found.append(replace(p, copy=next(copies[p.item])) if free else p)
            continue
        where = turned(np.array([[m.x, m.y] for m in row.members]), p.turn) + np.array((p.x, p.y))
        for member, (x, y) in zip(row.members, where.tolist(), strict=True):
            turn = (member.turn + p.turn) % 360
            found.append(NestPosition(row.of.key, next(copies[row.of.key]), p.region, p.sheet, x, y, turn))
    return tuple(found)
