"""Orders that a search begins with: the large before the small, all turned alike, and by choosing place by place."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator, Sequence

from decalgen.core.values import dataclass
from decalgen.nesting.changes import Changes
from decalgen.nesting.choosing import TASTES, Taste, chosen, chosen_by_sheet
from decalgen.nesting.cost import Cost, Costs
from decalgen.nesting.frame import NestPiece, look, shape_of
from decalgen.nesting.model import NestPosition
from decalgen.nesting.order import Filler, FillState, Gene

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


FrameBox = tuple[float, float, float, float]
"""A piece's box in the frame of its sheet: left, low, right, high."""


@dataclass
class Spent:
    """What a search has spent, and the cost of what it tried last: its starts look at both."""

    budget: int
    steps: int = 0
    latest: Cost = ((), 0, 0.0)


@dataclass
class Starts:
    """The starts of one search."""

    filler: Filler
    costs: Costs
    changes: Changes
    draw: random.Random
    long: bool
    """Whether the order is searched window by window."""
    spent: Spent

    def orders(self, pieces: list[NestPiece]) -> Iterator[tuple[list[Gene], FillState | None]]:
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
        yield self.changes.grouped([(piece, -1) for piece in orders[0]]), None
        # All lying or all upright is best for many pieces alike, and no search by chance would find it.
        alike = (
            (self.changes.grouped([(piece, turns[piece.item]) for piece in orders[0]]), None) for turns in self._alike()
        )
        if not self.long:
            yield from alike
        if not any(item.group for item in items):
            yield from self._by_taste(VARIATIONS if self.long else 0)
        yield from alike
        for order in orders[1:]:
            yield self.changes.grouped([(piece, -1) for piece in order]), None

    def _by_taste(self, variations: int) -> Iterator[tuple[list[Gene], FillState]]:
        """Orders by choosing: each taste there is, then variations of the best. Several sheets alike are chosen one by
        one instead, each by what suits it, where the steps allow it."""
        best: tuple[Cost, Taste] | None = None
        for number in range(len(TASTES) + variations):
            old = None if best is None or number < len(TASTES) else best[1]
            taste = TASTES[number] if old is None else old.varied(self.draw, len(self.costs.weight))
            yield chosen(self.filler, taste)
            if best is None or self.spent.latest <= best[0]:
                best = self.spent.latest, taste
            if number == 0 and variations and best[0][1] > 1 and (tries := self._tries_by_sheet()):
                yield from self._by_sheet(taste, tries)
                return

    def _tries_by_sheet(self) -> int:
        """How many tastes there are steps to try for each sheet by itself; 0 where that does not pay or cannot be."""
        if not self._alike_and_free:
            return 0
        tries = min(
            BY_SHEET, min(BY_SHEET_PUTS, self.spent.budget - self.spent.steps) // max(1, len(self.filler.free_pieces))
        )
        return tries if tries >= FEWEST_TRIES else 0

    def _by_sheet(self, taste: Taste, tries: int) -> Iterator[tuple[list[Gene], FillState]]:
        """Orders by choosing, each sheet by what suits it; by a few tastes first, so that a search that is ended early
        has gained all the same."""
        tastes = [*TASTES, *(taste.varied(self.draw, len(self.costs.weight)) for _ in range(tries - len(TASTES)))]
        weights = [room**SCARCE for room in self.costs.room]
        for some in sorted({FEWEST_TRIES, tries}):
            order, run, spent = chosen_by_sheet(self.filler, tastes[:some], weights)
            self.spent.steps += spent - len(order)  # the rest of it is counted with every start
            yield order, run

    @property
    def _alike_and_free(self) -> bool:
        """Whether all sheets are alike, and nothing binds the order."""
        return len(set(self.filler.sheets)) == 1 and not self.filler.request.pins and not self.changes.bound

    def _alike(self) -> Iterator[list[int]]:
        """A turn for each item: the one it is longest in, then the one it is highest in."""
        solids = [self.filler.solids(i, 0) for i in range(len(self.filler.request.items))]
        if all(len(s) < 2 for s in solids):
            return
        for sign in (1, -1):
            yield [max(range(len(s)), key=lambda k: (sign * s[k].width, -k)) for s in solids]


def as_laid(filler: Filler, start: Sequence[NestPosition], by: Callable[[FrameBox], tuple[float, ...]]) -> list[Gene]:
    """The pieces of an arrangement that are not pinned, turned as they lie, sheet by sheet."""
    request = filler.request
    index = {region.key: n for n, region in enumerate(request.regions)}
    free = {(request.items[piece.item].key, piece.copy): piece for piece in filler.free_pieces}
    found: list[tuple[int, tuple[float, ...], Gene]] = []
    for lies in start:
        piece = free.get((lies.item, lies.copy))
        if piece is None:
            continue
        region = index[lies.region]
        x, y, turn = filler.frames[region].into(lies.x, lies.y, lies.turn)
        shape = shape_of(request.items[piece.item], turn)
        mark = look(shape)
        kind = next(n for n, solid in enumerate(filler.solids(piece.item, region)) if look(solid.shape) == mark)
        x0, y0, x1, y1 = shape.box
        found.append((lies.sheet, by((x + x0, y + y0, x + x1, y + y1)), (piece, kind)))
    return [gene for _, _, gene in sorted(found, key=lambda one: one[:2])]
