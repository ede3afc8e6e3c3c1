"""Long orders: a window of pieces at a time is searched, from first to last, and over again."""

from __future__ import annotations

import math
import random
from collections.abc import Iterator

from decalgen.core.values import dataclass
from decalgen.nesting.changes import Changes
from decalgen.nesting.cost import Costs, Standing, better
from decalgen.nesting.engine import Found
from decalgen.nesting.order import Filler, FillState, Gene
from decalgen.nesting.starts import Spent

WINDOW = 60
"""Pieces of a long order that are searched at a time, and below, how many of them are then left as they lie."""

STRIDE = 20
AS_IT_IS = 5
"""After so many windows the rest is filled as it stands."""

TRIALS = 20
WINDOW_HEAT = 0.0003
FAR = 1e5


@dataclass
class Windows:
    """The search window by window for one request."""

    filler: Filler
    costs: Costs
    changes: Changes
    draw: random.Random
    spent: Spent

    def arrangements(self, order: list[Gene], best: Standing) -> Iterator[Found]:
        """Ever better arrangements than the ``best`` so far, until the steps are spent; between them signs of life."""
        start = 0
        while self.spent.steps < self.spent.budget and not self.costs.done(best):
            order = order.copy()
            state = self.filler.start()
            place = -start
            while place < len(order):
                first = max(place, 0)
                last = place + WINDOW >= len(order)
                window = self._window(state, order[first : place + WINDOW], last)
                order[first : place + WINDOW] = window
                self._forth(state, window if last else window[: place + STRIDE - first])
                place = len(order) if last else place + STRIDE
                yield Found(None, self.spent.steps)
                if last or place // STRIDE % AS_IT_IS == 0:
                    # The rest as it stands: a search that ends before the last window has gained all the same.
                    whole = state.copy()
                    self._forth(whole, [] if last else order[place:])
                    self.spent.steps += max(0, len(order) - place)
                    key = self.costs.standing(whole)
                    if better(key, best):
                        best = key
                        yield Found(tuple(self.filler.positions(whole)), self.spent.steps)
            start = self.draw.randrange(STRIDE)

    def _window(self, state: FillState, window: list[Gene], last: bool) -> list[Gene]:
        """A better order of the pieces of one window, the ones before it lying as they are."""
        for place, sheet in state.sheets.items():
            for item in {piece.item for piece, _ in window}:
                for solid in self.filler.solids(item, self.filler.sheets[place]):
                    sheet.find(solid)  # brings the free areas up to date once, not in every trial
        current, value = window, self._moment(state, window, last)
        best, least = current, value
        for trial in range(TRIALS):
            if self.spent.steps >= self.spent.budget:
                break
            changed, _ = self.changes.change(current, set())
            new = self._moment(state, changed, last)
            heat = WINDOW_HEAT * (1 - trial / TRIALS) ** 2 * -math.log(1 - self.draw.random())
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
        self.spent.steps += len(window)
        units = self.filler.units
        total = sum(FAR * self.costs.room[p.item] for p in run.left[len(state.left) :])
        for put in run.puts[known:]:
            frame = self.filler.frames[self.filler.sheets[put.sheet]]
            low, _, high, _ = frame.bounds
            along = (put.end - put.solid.width / 2) / units - low + put.sheet * (high - low)
            total += self.costs.room[put.piece.item] * along
        if last:
            total += self.costs.used(run) * sum(self.costs.room[piece.item] for piece, _ in window)
        return total

    def _forth(self, run: FillState, genes: list[Gene]) -> None:
        """Go on with some pieces from any state."""
        run.done = 0
        self.filler.go(run, genes)
