"""The order search: change an order a little, fill again from the change on, keep what is no worse.

Counted in steps, a step being one piece placed, and drawn from a seed, so the same request gives the same
arrangement.
"""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Iterator

from shapely.geometry import Polygon

from decalgen.nesting.bound import least_used
from decalgen.nesting.choosing import TASTES, Taste, chosen, chosen_by_sheet
from decalgen.nesting.engine import Found
from decalgen.nesting.frame import NestPiece
from decalgen.nesting.order import Filler, FillState, Gene

HEAT = 0.002
"""How much worse, in parts of the whole, an order may be at first that the search goes on from."""

CYCLE = 8_000
"""Steps from hot to cold; then the search goes back to the best order and warms up again."""

WINDOW = 60
"""Pieces of a long order that are searched at a time, and below, how many of them are then left as they lie."""

STRIDE = 20
AS_IT_IS = 5
"""After so many windows the rest is filled as it stands."""

VARIATIONS = 12
"""Tastes tried for a long order beside those there are."""

BY_SHEET = 20
"""Tastes tried for each sheet by itself, at most."""

BY_SHEET_PUTS = 25_000
"""Pieces put down for that, at most: it gives no sign of life before it is done."""

FEWEST_TRIES = 8
"""With fewer tastes for each sheet than this it does not pay."""

SCARCE = 1.25
"""The power of the room a piece wants that counts there: what is large now is hard to place later."""

TRIALS = 20
WINDOW_HEAT = 0.0003
FAR = 1e5

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
        self.budget = 0
        self.latest: Cost = ((), 0, 0.0)
        items = filler.request.items
        self.priorities = sorted({item.priority for item in items}, reverse=True)
        self.weight = [float(item.outline.area) for item in items]
        self.total = sum(self.weight[p.item] for p in filler.free_pieces) or 1.0
        _, y0, _, y1 = filler.frames[0].bounds
        self.mean_length = self.total / max(1, len(filler.free_pieces)) / (y1 - y0)
        self.room = [_room(item.outline, filler.request.gap) for item in items]
        self.least = least_used(filler.request)

    def arrangements(self, steps: int) -> Iterator[Found]:
        """Ever better arrangements, until the steps are spent; between them signs of life."""
        pieces = self.filler.free_pieces
        self.budget = steps
        best: tuple[Cost, float] | None = None
        current: tuple[list[Gene], Cost, dict[int, FillState]] | None = None
        loose: tuple[list[Gene], Cost, dict[int, FillState]] | None = None  # the best start that fixes no choice
        for order, done in self._starts(pieces):
            snapshots: dict[int, FillState] = {}
            if done is not None and self._long:
                run, snapshots[0] = done, self.filler.start()
            else:
                run = self.filler.start()
                self.filler.go(run, order, snapshots)
            self.steps += max(1, len(order))
            cost = self.latest = self.cost(run)
            if done is None and (loose is None or cost < loose[1]):
                loose = (order, cost, snapshots)
                snapshots[-1] = run
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
        if self._long and not self._rules and not any(best[0][0]):
            yield from self._windows(current[0], best, steps)
            return
        if any(best[0][0]) and loose is not None:
            # An arrangement chosen place by place is hard to better by one more piece; a loose order finds it sooner.
            current = loose
        order, cost, snapshots = current
        missing = {(p.item, p.copy) for p in snapshots[-1].left}
        told = began = self.steps
        cycles = 0
        cycle = max(CYCLE, 100 * len(pieces))
        top = first = current
        while self.steps < steps and not self.done(best):
            if self.steps - told >= SIGN:
                told = self.steps
                yield Found(None, self.steps)
            changed, start = self._change(order, missing)
            part = min(1.0, (self.steps - began) / min(cycle, steps))
            if part >= 1:
                began = self.steps
                cycles += 1
                # With pieces still left out the best order may be a dead end: every other time begin anew.
                order, cost, snapshots = first if any(top[1][0]) and cycles % 2 else top
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
            if self.accepted(new, cost, threshold):
                order, cost, snapshots = changed, new, {**fresh, -1: run}
                missing = {(p.item, p.copy) for p in run.left}
                key = (new, self.used(run))
                if _better(key, best):
                    best = key
                    top = (order, cost, snapshots)
                    yield Found(tuple(self.filler.positions(run)), self.steps)

    def _windows(self, order: list[Gene], best: tuple[Cost, float], steps: int) -> Iterator[Found]:
        """Long orders: search a window of pieces at a time, from first to last, and over again."""
        start = 0
        while self.steps < steps and not self.done(best):
            order = order.copy()
            state = self.filler.start()
            place = -start
            while place < len(order):
                first = max(place, 0)
                last = place + WINDOW >= len(order)
                window = self._window(state, order[first : place + WINDOW], last, steps)
                order[first : place + WINDOW] = window
                self._forth(state, window if last else window[: place + STRIDE - first])
                place = len(order) if last else place + STRIDE
                yield Found(None, self.steps)
                if last or place // STRIDE % AS_IT_IS == 0:
                    # The rest as it stands: a search that ends before the last window has gained all the same.
                    whole = state.copy()
                    self._forth(whole, [] if last else order[place:])
                    self.steps += max(0, len(order) - place)
                    key = (self.cost(whole), self.used(whole))
                    if _better(key, best):
                        best = key
                        yield Found(tuple(self.filler.positions(whole)), self.steps)
            start = self.random.randrange(STRIDE)

    def _window(self, state: FillState, window: list[Gene], last: bool, steps: int) -> list[Gene]:
        """A better order of the pieces of one window, the ones before it lying as they are."""
        for place, sheet in state.sheets.items():
            for item in {piece.item for piece, _ in window}:
                for solid in self.filler.solids(item, self.filler.sheets[place]):
                    sheet.find(solid)  # brings the free areas up to date once, not in every trial
        current, value = window, self._moment(state, window, last)
        best, least = current, value
        for trial in range(TRIALS):
            if self.steps >= steps:
                break
            changed, _ = self._change(current, set())
            new = self._moment(state, changed, last)
            heat = WINDOW_HEAT * (1 - trial / TRIALS) ** 2 * -math.log(1 - self.random.random())
            if new <= value * (1 + heat):
                current, value = changed, new
                if value < least:
                    best, least = current, value
        return best

    def _moment(self, state: FillState, window: list[Gene], last: bool) -> float:
        """How far from the start the pieces of a window come to lie, weighed by the film each takes.

        ``last``: nothing follows, so that the used length counts too.
        """
        known = len(state.puts)
        run = state.copy()
        self._forth(run, window)
        self.steps += len(window)
        units = self.filler.units
        total = sum(FAR * self.room[p.item] for p in run.left[len(state.left) :])
        for put in run.puts[known:]:
            frame = self.filler.frames[self.filler.sheets[put.sheet]]
            low, _, high, _ = frame.bounds
            along = (put.end - put.solid.width / 2) / units - low + put.sheet * (high - low)
            total += self.room[put.piece.item] * along
        if last:
            total += self.used(run) * sum(self.room[piece.item] for piece, _ in window)
        return total

    def _forth(self, run: FillState, genes: list[Gene]) -> None:
        """Go on with some pieces from any state."""
        run.done = 0
        self.filler.go(run, genes)

    def accepted(self, new: Cost, old: Cost, threshold: float) -> bool:
        """Whether to go on from a changed order: no worse in what counts, and hardly worse in the rest.

        While pieces are left out, leaving out others of the same priority that want as little room is no worse.
        """
        if any(old[0]) and any(new[0]):
            return (new[0][:-1], new[1]) <= (old[0][:-1], old[1]) and new[2] <= threshold
        return new[:2] < old[:2] or (new[:2] == old[:2] and new[2] <= threshold)

    def done(self, best: tuple[Cost, float]) -> bool:
        """Whether no arrangement can be better: one sheet, used no further than the bound."""
        return best[0][1] == 1 and not any(best[0][0]) and best[1] <= self.least + 1e-5

    def limit(self, threshold: float) -> float:
        """How far a piece may reach in a trial that can still be taken."""
        return self.filler.frames[0].bounds[0] * self.filler.units + threshold * self.filler.units * 1.02

    def used(self, run: FillState) -> float:
        """Used length of the last sheet, mm."""
        if not run.puts:
            return 0.0
        last = max(put.sheet for put in run.puts)
        frame = self.filler.frames[self.filler.sheets[last]]
        return max(p.end for p in run.puts if p.sheet == last) / self.filler.units - frame.bounds[0]

    def cost(self, run: FillState) -> Cost:
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
            # A shorter arrangement gains nothing while pieces are left out: what counts is the room they want.
            lacking = sum(self.weight[p.item] for p in run.left) * self.filler.units
            used = lacking / (frame.bounds[3] - frame.bounds[1])
        else:
            used = max(p.end for p in here) - low
        spread = sum((p.end - low) * self.weight[p.piece.item] for p in here) / self.total
        return tuple(left.values()), sheets, (used + 0.2 * spread) / self.filler.units

    @property
    def _long(self) -> bool:
        """Whether the order is searched window by window."""
        return len(self.filler.free_pieces) > 2 * WINDOW

    def _starts(self, pieces: list[NestPiece]) -> Iterator[tuple[list[Gene], FillState | None]]:
        """Orders to begin with: the large before the small, by several measures, and by choosing place by place (with
        how the pieces then lie)."""
        items = self.filler.request.items
        boxes = [(s.width, s.height) for s in (self.filler.solids(i, 0)[0] for i in range(len(items)))]
        measures: list[Callable[[int], float]] = [
            lambda i: max(boxes[i]),
            lambda i: float(items[i].outline.area),
            lambda i: min(boxes[i]),
            lambda i: boxes[i][0] + boxes[i][1],
        ]
        orders = [
            sorted(pieces, key=lambda p: (-items[p.item].priority, -measure(p.item), p.item, p.copy))
            for measure in measures
        ]
        yield self._grouped([(piece, -1) for piece in orders[0]]), None
        # All lying or all upright is best for many pieces alike, and no search by chance would find it.
        alike = ((self._grouped([(piece, turns[piece.item]) for piece in orders[0]]), None) for turns in self._alike())
        if not self._long:
            yield from alike
        if not any(item.group for item in items):
            yield from self._by_taste(VARIATIONS if self._long else 0)
        yield from alike
        for order in orders[1:]:
            yield self._grouped([(piece, -1) for piece in order]), None

    def _by_taste(self, variations: int) -> Iterator[tuple[list[Gene], FillState]]:
        """Orders by choosing: each taste there is, then variations of the best. Several sheets alike are chosen one by
        one instead, each by what suits it, where the steps allow it."""
        best: tuple[Cost, Taste] | None = None
        for number in range(len(TASTES) + variations):
            old = None if best is None or number < len(TASTES) else best[1]
            taste = TASTES[number] if old is None else old.varied(self.random, len(self.weight))
            yield chosen(self.filler, taste)
            if best is None or self.latest <= best[0]:
                best = self.latest, taste
            if number == 0 and variations and best[0][1] > 1 and (tries := self._tries_by_sheet()):
                yield from self._by_sheet(taste, tries)
                return

    def _tries_by_sheet(self) -> int:
        """How many tastes there are steps to try for each sheet by itself; 0 where that does not pay or cannot be."""
        if not self._alike_and_free:
            return 0
        tries = min(BY_SHEET, min(BY_SHEET_PUTS, self.budget - self.steps) // max(1, len(self.filler.free_pieces)))
        return tries if tries >= FEWEST_TRIES else 0

    def _by_sheet(self, taste: Taste, tries: int) -> Iterator[tuple[list[Gene], FillState]]:
        """Orders by choosing, each sheet by what suits it; by a few tastes first, so that a search that is ended early
        has gained all the same."""
        tastes = [*TASTES, *(taste.varied(self.random, len(self.weight)) for _ in range(tries - len(TASTES)))]
        weights = [room**SCARCE for room in self.room]
        for some in sorted({FEWEST_TRIES, tries}):
            order, run, spent = chosen_by_sheet(self.filler, tastes[:some], weights)
            self.steps += spent - len(order)  # the rest of it is counted with every start
            yield order, run

    @property
    def _alike_and_free(self) -> bool:
        """Whether all sheets are alike, and nothing binds the order."""
        return len(set(self.filler.sheets)) == 1 and not self.filler.request.pins and not self._rules

    def _alike(self) -> Iterator[list[int]]:
        """A turn for each item: the one it is longest in, then the one it is highest in."""
        solids = [self.filler.solids(i, 0) for i in range(len(self.filler.request.items))]
        if all(len(s) < 2 for s in solids):
            return
        for sign in (1, -1):
            yield [max(range(len(s)), key=lambda k: (sign * s[k].width, -k)) for s in solids]

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


def _room(outline: Polygon, gap: float) -> float:
    """The film a piece takes, mm²: its outline with half the gap, and half of the dents nothing else gets into."""
    spread = outline.buffer(gap / 2)
    return float(spread.area + spread.convex_hull.area) / 2
