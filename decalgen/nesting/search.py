"""The order search: change an order a little, fill again from the change on, keep what is no worse.

Counted in steps, a step being one piece placed, and drawn from a seed, so the same request gives the same
arrangement.
"""

from __future__ import annotations

import math
import random
from collections.abc import Generator, Iterator
from itertools import chain

from decalgen.core.values import dataclass
from decalgen.nesting.changes import Changes
from decalgen.nesting.cost import Cost, Costs, Standing, better
from decalgen.nesting.engine import Found
from decalgen.nesting.order import Filler, FillState, Gene
from decalgen.nesting.starts import Spent, Starts
from decalgen.nesting.windows import WINDOW, Windows

HEAT = 0.002
"""How much worse, in parts of the whole, an order may be at first that the search goes on from."""

CYCLE = 8_000
"""Steps from hot to cold; then the search goes back to the best order and warms up again."""

SIGN = 200
"""Steps between two signs of life."""


@dataclass(frozen=True)
class Tried:
    """An order with its cost, and what it looked like on the way: by how many pieces were done, at the end by -1."""

    order: list[Gene]
    cost: Cost
    snapshots: dict[int, FillState]

    @property
    def missing(self) -> set[tuple[int, int]]:
        """The pieces that were left out, by item and copy."""
        return {(piece.item, piece.copy) for piece in self.snapshots[-1].left}


@dataclass(frozen=True)
class Start:
    """The best orders to go on from: of all, and of those that fix no choice of places."""

    best: Tried
    loose: Tried | None


class Search:
    """The search over orders for one request."""

    def __init__(self, filler: Filler, seed: int, first: list[Gene] | None = None) -> None:
        self.filler = filler
        self.first = first
        self.random = random.Random(seed)
        self.spent = Spent(0)
        self.costs = Costs(filler)
        self.changes = Changes(filler, self.random)
        self.best: Standing | None = None

    def arrangements(self, steps: int) -> Iterator[Found]:
        """Ever better arrangements, until the steps are spent; between them signs of life."""
        self.spent.budget = steps
        start = yield from self._begun()
        if start is not None:
            yield from self._further(start)

    def _further(self, start: Start) -> Iterator[Found]:
        if self.best is None or self._over or len(self.filler.free_pieces) < 2:
            return
        short = any(self.best[0][0])
        if self._long and not self.changes.bound and not short:
            windows = Windows(self.filler, self.costs, self.changes, self.random, self.spent)
            yield from windows.arrangements(start.best.order, self.best)
            return
        # An arrangement chosen place by place is hard to better by one more piece; a loose order finds it sooner.
        yield from self._bettered(start.loose if short and start.loose is not None else start.best)

    def gone_on(self, order: list[Gene], steps: int) -> Iterator[Found]:
        """Arrangements ever better than that of an order, until the steps are spent; between them signs of life."""
        self.spent.budget = steps
        snapshots: dict[int, FillState] = {}
        run = self.filler.start()
        self.filler.go(run, order, snapshots)
        self.spent.steps += max(1, len(order))
        self.best = self.costs.standing(run)
        first = Tried(order, self.best[0], {**snapshots, -1: run})
        yield from self._further(Start(first, first))

    def _begun(self) -> Generator[Found, None, Start | None]:
        """Every order to begin with, filled."""
        best: Tried | None = None
        loose: Tried | None = None
        starts = Starts(self.filler, self.costs, self.changes, self.random, self._long, self.spent)
        for order, done in chain(self._given(), starts.orders(self.filler.free_pieces)):
            snapshots: dict[int, FillState] = {}
            if done is not None and self._long:
                run, snapshots[0] = done, self.filler.start()
            else:
                run = self.filler.start()
                self.filler.go(run, order, snapshots)
            self.spent.steps += max(1, len(order))
            tried = Tried(order, self.costs.cost(run), snapshots)
            self.spent.latest = tried.cost
            if done is None and (loose is None or tried.cost < loose.cost):
                loose = tried
                snapshots[-1] = run
            if best is None or tried.cost < best.cost:
                best = tried
                snapshots[-1] = run
            if self._is_best(run):
                yield self._found(run)
            if self._over:
                break
        return None if best is None else Start(best, loose)

    def _given(self) -> Iterator[tuple[list[Gene], FillState | None]]:
        """The order to begin with, if one is given, with what it leaves out at its end."""
        if self.first:
            there = {piece for piece, _ in self.first}
            rest: list[Gene] = [(piece, -1) for piece in self.filler.free_pieces if piece not in there]
            yield self.changes.grouped([*self.first, *rest]), None

    def _bettered(self, first: Tried) -> Iterator[Found]:
        """Changes by chance, hot at first and colder, over and over."""
        current = top = first
        missing = current.missing
        told = began = self.spent.steps
        cycles = 0
        cycle = min(max(CYCLE, 100 * len(self.filler.free_pieces)), self.spent.budget)
        while not self._over and self.best is not None and not self.costs.done(self.best):
            if self.spent.steps - told >= SIGN:
                told = self.spent.steps
                yield Found(None, self.spent.steps)
            changed, start = self.changes.change(current.order, missing)
            part = min(1.0, (self.spent.steps - began) / cycle)
            if part >= 1:
                began = self.spent.steps
                cycles += 1
                # With pieces still left out the best order may be a dead end: every other time begin anew.
                current = first if any(top.cost[0]) and cycles % 2 else top
                missing = current.missing
                continue
            heat = (1 - part) ** 2 * -math.log(1 - self.random.random())
            tried = self._tried(current, changed, start, self._threshold(current.cost, heat))
            if tried is None:
                continue
            current, missing = tried, tried.missing
            if self._is_best(tried.snapshots[-1]):
                top = tried
                yield self._found(tried.snapshots[-1])

    def _threshold(self, cost: Cost, heat: float) -> float:
        """How long an arrangement may be, in parts that count last, so that the search goes on from it."""
        share = 0.3 * self.costs.mean_length if any(cost[0]) else HEAT * cost[2]
        return cost[2] + heat * share

    def _tried(self, old: Tried, order: list[Gene], start: int, threshold: float) -> Tried | None:
        """A changed order, filled again from the place ``start`` on; None where it is not taken."""
        at = max(k for k in old.snapshots if k <= start)
        run = old.snapshots[at].copy()
        fresh = {k: s for k, s in old.snapshots.items() if 0 <= k <= at}
        limit = None
        if old.cost[1] == 1 and not any(old.cost[0]):
            limit = int(self.costs.limit(threshold))
        reached = self.filler.go(run, order, fresh, limit)
        self.spent.steps += max(1, run.done - at)
        if not reached:
            return None
        new = self.costs.cost(run)
        return Tried(order, new, {**fresh, -1: run}) if self.costs.accepted(new, old.cost, threshold) else None

    def _is_best(self, run: FillState) -> bool:
        """Whether this is the best arrangement yet; it is kept in mind."""
        new = self.costs.standing(run)
        if self.best is not None and not better(new, self.best):
            return False
        self.best = new
        return True

    def _found(self, run: FillState) -> Found:
        return Found(tuple(self.filler.positions(run)), self.spent.steps)

    @property
    def _over(self) -> bool:
        return self.spent.steps >= self.spent.budget

    @property
    def _long(self) -> bool:
        """Whether the order is searched window by window."""
        return len(self.filler.free_pieces) > 2 * WINDOW
