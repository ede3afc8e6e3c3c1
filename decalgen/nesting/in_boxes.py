"""The engine of boxes: an order search like that of the exact fill, over the boxes round the pieces. It comes through
many times as many orders in the same time; what lies between the boxes is left to the engines that follow.

Counted in steps, of which one is worth `BOXES` boxes put down, and drawn from a seed. Lengths in mm.
"""

from __future__ import annotations

import math
import random
import time
from collections.abc import Iterator

from decalgen.core.values import dataclass
from decalgen.nesting.boxes import BoxFiller, BoxGene, BoxPut, BoxState
from decalgen.nesting.changes import move_part
from decalgen.nesting.engine import Found, Task
from decalgen.nesting.exact import across
from decalgen.nesting.model import NestPosition, Request

BOXES = 20
"""Boxes that one step is worth."""

FEWER = 60
"""A step is worth no more boxes than the square of the number of pieces over this: few pieces have few orders."""

MOST = 60_000
"""Boxes put down at most: more gains hardly anything."""

FEWEST_PIECES = 12
"""With fewer pieces the exact fill tries all orders worth a try itself."""

MOST_PIECES = 120
"""With more pieces than this other engines come further in the same time."""

LIKE = 0.85
"""How much of their boxes the pieces have to fill, by area, for these to be of use."""

FIRST = 0.1
"""The part of the steps that each way of filling the sheets gets, before the better one gets the rest."""

HEAT = 0.002
"""How much worse, in parts, an order may be at first that the search goes on from."""

CYCLE, CYCLE_PIECES = 2_000, 60
"""Boxes from hot to cold, at least, and for each piece."""

SPREAD = 0.4
"""What it counts how far from the side filled boxes lie in the mean, beside how far the sheet is used."""

SNAPSHOTS = 12
"""How many states are kept along an order."""

SIGN = 3_000
"""Boxes between two signs of life."""

BoxCost = tuple[int, int, float, float]
"""Left out; sheets; film used, as a length; and a length that falls as boxes gather at the side filled."""


def boxes(request: Request, task: Task) -> Iterator[Found]:
    """The engine. Gives nothing where priorities or groups bind the order, or pieces are many or far from boxes."""
    if not suited(request):
        return
    budget = _budget(request, task.steps)
    ways = [_BoxSearch(BoxFiller(way), task) for way in (request, across(request)) if way is not None]
    spent = 0
    for way in ways:
        for positions in way.arrangements(int(FIRST * budget)):
            yield Found(positions, (spent + way.spent) // BOXES)
        spent += way.spent
    way = min(ways, key=lambda one: one.standing)
    spent -= way.spent
    for positions in way.arrangements(budget - spent):
        yield Found(positions, (spent + way.spent) // BOXES)


def _budget(request: Request, steps: int) -> int:
    """How many boxes are put down: the fewer the pieces, the sooner all orders worth a try are tried."""
    count = sum(item.quantity for item in request.items)
    return min(MOST, BOXES * steps, steps * count**2 // FEWER)


def suited(request: Request) -> bool:
    """Whether boxes are of use for a request."""
    items = [item for item in request.items if item.quantity]
    if not items or len({item.priority for item in items}) > 1 or any(item.group for item in items):
        return False
    if not FEWEST_PIECES <= sum(item.quantity for item in items) <= MOST_PIECES:
        return False
    true = sum(item.quantity * item.outline.area for item in items)
    return bool(true >= LIKE * sum(item.quantity * item.outline.envelope.area for item in items))


@dataclass(frozen=True)
class BoxTrial:
    """An order with its cost, and what it looked like on the way, by how many boxes were in place."""

    order: list[BoxGene]
    cost: BoxCost
    state: BoxState
    snapshots: dict[int, BoxState]


class _BoxSearch:
    """The search for one way of filling the sheets; `arrangements` may be called again to go on."""

    def __init__(self, filler: BoxFiller, task: Task) -> None:
        self.filler = filler
        self.random = random.Random(task.seed)
        self.until = time.monotonic() + task.seconds if task.seconds else math.inf
        self.spent = 0
        self.count = len(filler.pieces)
        self.every = max(1, self.count // SNAPSHOTS)
        self.kinds = [piece.item for piece in filler.pieces]
        self.sizes = [filler.sizes[kind, 0] for kind in self.kinds]
        self.room = [wide * high for ((wide, high), *_) in self.sizes]
        self.whole = sum(self.room)
        self.strip = filler.request.remnant == "strip"
        x0, y0, x1, y1 = filler.frames[0].bounds
        self.high, self.film = y1 - y0, x1 - x0
        self.left_edge = [filler.frames[region].bounds[0] + filler.gap for region in filler.sheets]
        self.top: BoxTrial | None = None
        self.told: BoxTrial | None = None

    @property
    def standing(self) -> tuple[int, int, float]:
        """How good its best is, as film: comparable between ways."""
        if self.top is None:
            return self.count, 0, 0.0
        left, sheets, used, _ = self.top.cost
        return left, sheets, used * self.high

    def arrangements(self, budget: int) -> Iterator[tuple[NestPosition, ...] | None]:
        """Ever better arrangements until so many boxes have been put down in all; None for signs of life."""
        if self.top is None:
            for order in self._starts():
                tried = self._filled(order, None, 0, None)
                assert tried is not None
                if self.top is None or tried.cost < self.top.cost:
                    self.top = tried
            yield self._news()
        if self.top is None or self.count < 2:
            return
        current, began, told = self.top, self.spent, self.spent
        cycle = max(CYCLE, CYCLE_PIECES * self.count)
        while self.spent < budget and time.monotonic() < self.until:
            if self.spent - told >= SIGN:
                told = self.spent
                yield self._news()
            part = (self.spent - began) / min(cycle, budget)
            if part >= 1:
                began, current = self.spent, self.top
                continue
            left, sheets, _, value = current.cost
            most = value * (1 - (1 - part) ** 2 * HEAT * math.log(1 - self.random.random()))
            order, start = self._changed(current.order)
            tried = self._filled(order, current, start, most if sheets == 1 and not left else None)
            self.spent += 1  # so that the search ends, whatever it draws
            if tried is None or tried.cost[:2] > (left, sheets):
                continue
            if tried.cost[:2] == (left, sheets) and tried.cost[3] > most:
                continue
            current = tried
            if tried.cost < self.top.cost:
                self.top = tried
        yield self._news()

    def _news(self) -> tuple[NestPosition, ...] | None:
        """The best arrangement, if it was not told: the gate takes longer than many orders."""
        if self.top is None or self.top is self.told:
            return None
        self.told = self.top
        return self.filler.positions(self.top.state)

    def _starts(self) -> Iterator[list[BoxGene]]:
        """The large before the small, by several measures; and all lying, all standing."""
        sizes = self.sizes
        longest = sorted(range(self.count), key=lambda i: (-max(sizes[i][0]), self.kinds[i]))
        yield [(i, -1) for i in longest]
        yield [(i, -1) for i in sorted(longest, key=lambda i: -self.room[i])]
        yield [(i, -1) for i in sorted(longest, key=lambda i: -min(sizes[i][0]))]
        yield [(i, -1) for i in sorted(longest, key=lambda i: -sum(sizes[i][0]))]
        for sign in (1, -1):
            yield [(i, max(range(len(sizes[i])), key=lambda k: (sign * sizes[i][k][0], -k))) for i in longest]

    def _filled(self, order: list[BoxGene], old: BoxTrial | None, start: int, most: float | None) -> BoxTrial | None:
        """An order filled, from the place ``start`` on if it is an ``old`` one changed; None where it comes to cost
        more than ``most`` on the way."""
        at = max(k for k in old.snapshots if k <= start) if old else 0
        state = old.snapshots[at].copy() if old else self.filler.start()
        snapshots = {k: one for k, one in old.snapshots.items() if k <= at} if old else {}
        for place in range(at, self.count):
            if place % self.every == 0 and place not in snapshots:
                snapshots[place] = state.copy()
            put = self.filler.put(state, *order[place])
            self.spent += 1
            if put is None:
                state.left.append(order[place][0])
            elif most is not None and put.end - self.left_edge[put.sheet] > most and self._used(state, put) > most:
                return None
        return BoxTrial(order, self._cost(state), state, snapshots)

    def _used(self, state: BoxState, put: BoxPut) -> float:
        """How far the last sheet is used, once a box lies on it, mm: all but the largest free rectangle, where that is
        what is to be left, as a length."""
        if self.strip:
            return put.end - self.left_edge[put.sheet]
        return self.film - self.filler.rest(state) / self.high

    def _cost(self, state: BoxState) -> BoxCost:
        if not state.puts:
            return len(state.left), 0, 0.0, 0.0
        last = max(put.sheet for put in state.puts)
        here = [put for put in state.puts if put.sheet == last]
        low = self.left_edge[last]
        if state.left:
            used = sum(self.room[i] for i in state.left) / self.high
        else:
            used = max(self._used(state, put) for put in here) if self.strip else self._used(state, here[0])
        reach = max(put.end for put in here) - low
        spread = sum((put.end - low) * put.wide * put.high for put in here) / self.whole
        # Where film is left beside the boxes, not behind them, they reach further than it is used.
        spread *= min(1.0, max(0.0, used / reach))
        return len(state.left), len({put.sheet for put in state.puts}), used, used + SPREAD * spread

    def _changed(self, order: list[BoxGene]) -> tuple[list[BoxGene], int]:
        """A changed order, and the first place that differs."""
        draw, count = self.random, self.count
        changed = order.copy()
        kind, i, j = draw.random(), draw.randrange(count), draw.randrange(count)
        if kind < 0.35:
            while self.kinds[order[i][0]] == self.kinds[order[j][0]] and len(set(self.kinds)) > 1:
                j = draw.randrange(count)
            changed[i], changed[j] = changed[j], changed[i]
        elif kind < 0.7:
            changed.insert(j, changed.pop(i))
        elif kind < 0.85:
            j = move_part(changed, i, draw)
        else:
            turn = draw.randrange(-1, 2)
            j = i
            for k in range(i, min(count, i + draw.choice((1, 1, 2, 3, 5)))):
                changed[k] = (changed[k][0], turn)
        return changed, min(i, j)
