"""The order search: change an order a little, fill again from the change on, keep what is no worse.

Counted in steps, a step being one piece placed, and drawn from a seed, so the same request gives the same
layout.
"""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Iterator

from decalgen.nesting.bound import least_used
from decalgen.nesting.engine import Found, Task
from decalgen.nesting.frame import Piece
from decalgen.nesting.model import Request
from decalgen.nesting.order import Filler, Gene, Run

HEAT = 0.004
"""How much worse, in parts of the whole, an order may be at first that the search goes on from."""

CYCLE = 8_000
"""Steps from hot to cold; then the search goes back to the best order and warms up again."""

SIGN = 200
"""Steps between two signs of life."""

Cost = tuple[tuple[int, ...], int, float]
"""Left out by priority; sheets; and a length that falls as pieces gather at the side filled."""


class Search:
    """The search over orders for one request."""

    def __init__(self, filler: Filler, seed: int) -> None:
        self.filler = filler
        self.random = random.Random(seed)
        self.steps = 0
        items = filler.request.items
        self.priorities = sorted({item.priority for item in items}, reverse=True)
        self.weight = [float(item.outline.area) for item in items]
        self.total = sum(self.weight[p.item] for p in filler.free_pieces) or 1.0
        _, y0, _, y1 = filler.frames[0].bounds
        self.mean_length = self.total / max(1, len(filler.free_pieces)) / (y1 - y0)
        self.least = least_used(filler.request)

    def layouts(self, steps: int) -> Iterator[Found]:
        """Ever better layouts, until the steps are spent; between them signs of life."""
        pieces = self.filler.free_pieces
        best: tuple[Cost, float] | None = None
        current: tuple[list[Gene], Cost, dict[int, Run]] | None = None
        for order in self._starts(pieces):
            run = self.filler.start()
            snapshots: dict[int, Run] = {}
            self.filler.go(run, order, snapshots)
            self.steps += max(1, len(order))
            cost = self.cost(run)
            if current is None or cost < current[1]:
                current = (order, cost, snapshots)
                snapshots[-1] = run
            key = (cost, self.used(run))
            if best is None or _better(key, best):
                best = key
                yield Found(tuple(self.filler.positions(run)), self.steps)
            if self.steps >= steps:
                return
        if current is None or best is None or len(pieces) < 2:
            return
        order, cost, snapshots = current
        missing = {(p.item, p.copy) for p in snapshots[-1].left}
        told = began = self.steps
        cycle = max(CYCLE, 100 * len(pieces))
        top = current
        while self.steps < steps and not self.done(best):
            if self.steps - told >= SIGN:
                told = self.steps
                yield Found(None, self.steps)
            changed, start = self._change(order, missing)
            part = min(1.0, (self.steps - began) / min(cycle, steps))
            if part >= 1:
                began = self.steps
                order, cost, snapshots = top
                missing = {(p.item, p.copy) for p in snapshots[-1].left}
                continue
            heat = (1 - part) ** 2 * -math.log(1 - self.random.random())
            threshold = cost[2] + heat * (HEAT * cost[2] if not any(cost[0]) else 0.3 * self.mean_length)
            at = max(k for k in snapshots if k <= start)
            run = snapshots[at].copy()
            fresh = {k: s for k, s in snapshots.items() if 0 <= k <= at}
            limit = None
            if cost[1] == 1 and not any(cost[0]):
                limit = int(self.limit(threshold))
            reached = self.filler.go(run, changed, fresh, limit)
            self.steps += max(1, run.done - at)
            if not reached:
                continue
            new = self.cost(run)
            if self._accepted(new, cost, threshold):
                order, cost, snapshots = changed, new, {**fresh, -1: run}
                missing = {(p.item, p.copy) for p in run.left}
                key = (new, self.used(run))
                if _better(key, best):
                    best = key
                    top = (order, cost, snapshots)
                    yield Found(tuple(self.filler.positions(run)), self.steps)

    def _accepted(self, new: Cost, old: Cost, threshold: float) -> bool:
        """Whether to go on from a changed order: no worse in what counts, and hardly worse in the rest.

        While pieces are left out, leaving out others of the same priority that want as little room is no worse.
        """
        if any(old[0]) and any(new[0]):
            return (new[0][:-1], new[1]) <= (old[0][:-1], old[1]) and new[2] <= threshold
        return new[:2] < old[:2] or (new[:2] == old[:2] and new[2] <= threshold)

    def done(self, best: tuple[Cost, float]) -> bool:
        """Whether no layout can be better: one sheet, used no further than the bound."""
        return best[0][1] == 1 and not any(best[0][0]) and best[1] <= self.least + 1e-5

    def limit(self, threshold: float) -> float:
        """How far a piece may reach in a trial that can still be taken."""
        return self.filler.frames[0].bounds[0] * self.filler.units + threshold * self.filler.units * 1.02

    def used(self, run: Run) -> float:
        """Used length of the last sheet, mm."""
        if not run.puts:
            return 0.0
        last = max(put.sheet for put in run.puts)
        frame = self.filler.frames[self.filler.sheets[last]]
        return max(p.end for p in run.puts if p.sheet == last) / self.filler.units - frame.bounds[0]

    def cost(self, run: Run) -> Cost:
        """How bad a run is."""
        items = self.filler.request.items
        left = dict.fromkeys(self.priorities, 0)
        for piece in run.left:
            left[items[piece.item].priority] += 1
        sheets = len({put.sheet for put in run.puts})
        if not run.puts:
            return tuple(left.values()), sheets, 0.0
        last = max(put.sheet for put in run.puts)
        frame = self.filler.frames[self.filler.sheets[last]]
        low = frame.bounds[0] * self.filler.units
        here = [p for p in run.puts if p.sheet == last]
        if run.left:
            # A shorter layout gains nothing while pieces are left out: what counts is the room they want.
            lacking = sum(self.weight[p.item] for p in run.left) * self.filler.units
            used = lacking / (frame.bounds[3] - frame.bounds[1])
        else:
            used = max(p.end for p in here) - low
        spread = sum((p.end - low) * self.weight[p.piece.item] for p in here) / self.total
        return tuple(left.values()), sheets, (used + 0.2 * spread) / self.filler.units

    def _starts(self, pieces: list[Piece]) -> Iterator[list[Gene]]:
        """Orders to begin with: the large before the small, by several measures."""
        items = self.filler.request.items
        boxes = [(s.width, s.height) for s in (self.filler.solids(i, 0)[0] for i in range(len(items)))]
        measures: list[Callable[[int], float]] = [
            lambda i: max(boxes[i]),
            lambda i: float(items[i].outline.area),
            lambda i: min(boxes[i]),
            lambda i: boxes[i][0] + boxes[i][1],
        ]
        for measure in measures:
            order = sorted(pieces, key=lambda p: (-items[p.item].priority, -measure(p.item), p.item, p.copy))
            yield self._grouped([(piece, -1) for piece in order])

    def _grouped(self, order: list[Gene]) -> list[Gene]:
        """The order with every group brought together where its first member stands."""
        items = self.filler.request.items
        if not any(item.group for item in items):
            return order
        out: list[Gene] = []
        done: set[str] = set()
        for gene in order:
            group = items[gene[0].item].group
            if not group:
                out.append(gene)
            elif group not in done:
                done.add(group)
                out += [g for g in order if items[g[0].item].group == group]
        return out

    def _change(self, order: list[Gene], missing: set[tuple[int, int]]) -> tuple[list[Gene], int]:
        """A changed order and the first place that differs."""
        items = self.filler.request.items
        changed = order.copy()
        count = len(order)
        draw = self.random
        while True:
            kind = draw.random()
            if missing and kind < 0.3:
                late = [k for k, (p, _) in enumerate(order) if (p.item, p.copy) in missing]
                i = draw.choice(late)
                j = draw.randrange(i + 1)
                if i == j:
                    continue
                changed.insert(j, changed.pop(i))
                return self._sorted_out(changed), j if not self._rules else 0
            i = draw.randrange(count)
            if kind < 0.35:
                j = draw.randrange(count)
                if order[i][0].item == order[j][0].item and order[i][1] == order[j][1]:
                    continue
                changed[i], changed[j] = changed[j], changed[i]
                start = min(i, j)
            elif kind < 0.7:
                j = draw.randrange(count)
                if i == j:
                    continue
                changed.insert(j, changed.pop(i))
                start = min(i, j)
            elif kind < 0.85:
                length = draw.randint(2, max(2, min(12, count // 4)))
                part = changed[i : i + length]
                del changed[i : i + length]
                j = draw.randrange(len(changed) + 1)
                changed[j:j] = part
                start = min(i, j)
                if i == j:
                    continue
            else:
                turns = len(self.filler.solids(order[i][0].item, 0))
                if turns < 2:
                    if all(len(self.filler.solids(n, 0)) < 2 for n in range(len(items))) and count < 2:
                        return order, count
                    continue
                length = draw.choice((1, 1, 2, 3, 5))
                turn = draw.randrange(-1, turns)
                for k in range(i, min(count, i + length)):
                    changed[k] = (changed[k][0], turn)
                start = i
            return self._sorted_out(changed), start if not self._rules else 0

    @property
    def _rules(self) -> bool:
        """Whether priorities or groups bind the order."""
        return len(self.priorities) > 1 or any(i.group for i in self.filler.request.items)

    def _sorted_out(self, order: list[Gene]) -> list[Gene]:
        """The order with priorities and groups kept."""
        if not self._rules:
            return order
        items = self.filler.request.items
        return self._grouped(sorted(order, key=lambda g: -items[g[0].item].priority))


def _better(a: tuple[Cost, float], b: tuple[Cost, float]) -> bool:
    return (a[0][:2], round(a[1], 4), a[0][2]) < (b[0][:2], round(b[1], 4), b[0][2])


def fill(request: Request, task: Task) -> Iterator[Found]:
    """The engine: ever better layouts of a request by the exact fill."""
    return Search(Filler(request, task.slack), task.seed).layouts(task.steps)
