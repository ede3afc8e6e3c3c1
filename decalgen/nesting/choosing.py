"""An order by choosing, at each place, the piece that suits it: large ones first, but those that lie far to the left
before those that would stand out.

Better than any order by size where there are many pieces of several kinds; a start for the searches.
"""

from __future__ import annotations

import math
import random
from collections.abc import Iterable, Sequence

from decalgen.core.values import dataclass
from decalgen.nesting.fill import SheetState
from decalgen.nesting.frame import NestPiece
from decalgen.nesting.nofit import Solid
from decalgen.nesting.order import Filler, FillState, Gene, Put


@dataclass(frozen=True)
class Taste:
    """What counts in a choice, beside how far left a piece comes to lie: ``length``, each mm that it is long counts
    against it; ``size``, each mm of the side of a square as large counts for it; ``bias``: a factor on that for each
    item, 1 where it is missing."""

    length: float
    size: float
    bias: tuple[float, ...] = ()

    def varied(self, draw: random.Random, items: int) -> Taste:
        """A taste a little different."""
        bias = list(self.bias or (1.0,) * items)
        for _ in range(draw.choice((1, 2, 4))):
            bias[draw.randrange(items)] *= math.exp(draw.gauss(0, 0.25))
        length, size = self.length + draw.gauss(0, 0.1), self.size * math.exp(draw.gauss(0, 0.15))
        return Taste(length, size, tuple(bias))


TASTES = (
    Taste(0.5, 1.0),
    Taste(1.0, 4.0),
    Taste(0.5, 2.0),
    Taste(0.0, 1.0),
    Taste(1.0, 1.0),
    Taste(-0.3, 1.0),
)
"""Found by trial on mixes of stripes, discs and boxes; no one of them is best for all."""


def chosen(filler: Filler, taste: Taste) -> tuple[list[Gene], FillState]:
    """All free pieces in the order in which they are chosen, and how they then lie; the higher priority always before
    the lower.

    For requests without groups: a group would have to be chosen whole.
    """
    items = filler.request.items
    waiting = _waiting(filler)
    run = filler.start()
    size = _sizes(filler, taste)
    order: list[Gene] = []
    for priority in sorted({item.priority for item in items}, reverse=True):
        level = [i for i in sorted(waiting) if items[i].priority == priority]
        barren: set[int] = set()  # regions on whose empty sheets nothing more goes
        for place, region in enumerate(filler.sheets):
            if not any(waiting[i] for i in level):
                break
            fresh = place not in run.sheets
            if fresh and region in barren:
                continue
            state = run.sheets.get(place) or filler.sheet(place)
            puts, genes = _fill(filler, state, place, level, waiting, size, taste.length)
            order += genes
            if puts:
                run.puts += puts
                run.sheets[place] = state
            elif fresh:
                barren.add(region)
        left = [waiting[i].pop() for i in level for _ in range(len(waiting[i]))]
        run.left += left
        order += [(piece, -1) for piece in left]
    run.done = len(order)
    return order, run


def chosen_by_sheet(
    filler: Filler, tastes: Iterable[Taste], room: Sequence[float]
) -> tuple[list[Gene], FillState, int]:
    """Each sheet filled by every taste, and the one kept that places most (of those that place as much: that is
    used least far); and how many pieces were put down for it.

    Several sheets filled by one taste are seldom all at their best. For requests without groups, priorities, pins or
    more than one kind of sheet. ``room``: how much placing a piece of each item counts for.
    """
    waiting = _waiting(filler)
    run = filler.start()
    order: list[Gene] = []
    tries = [(_sizes(filler, taste), taste.length) for taste in tastes]
    spent = 0
    for place in range(len(filler.sheets)):
        level = [i for i in sorted(waiting) if waiting[i]]
        if not level:
            break
        best: tuple[float, float] | None = None
        for size, length in tries:
            state = filler.sheet(place)
            left = {i: waiting[i].copy() for i in level}
            puts, genes = _fill(filler, state, place, level, left, size, length)
            spent += len(puts)
            lacking = -round(sum(room[put.piece.item] for put in puts), 6)  # the same whatever the order
            end = max((put.end for put in puts), default=0)
            if best is None or (lacking, end) < best:
                best, kept = (lacking, float(end)), (state, left, puts, genes)
        state, left, puts, genes = kept
        if not puts:
            break
        waiting |= left
        order += genes
        run.puts += puts
        run.sheets[place] = state
    rest = [waiting[i].pop() for i in sorted(waiting) for _ in range(len(waiting[i]))]
    run.left += rest
    order += [(piece, -1) for piece in rest]
    run.done = len(order)
    return order, run, spent


def _waiting(filler: Filler) -> dict[int, list[NestPiece]]:
    """The free pieces of each item, the first copy last."""
    waiting: dict[int, list[NestPiece]] = {}
    for piece in reversed(filler.free_pieces):
        waiting.setdefault(piece.item, []).append(piece)
    return waiting


def _sizes(filler: Filler, taste: Taste) -> list[float]:
    """What the size of each item counts for by a taste, mm."""
    items = filler.request.items
    bias = taste.bias or (1.0,) * len(items)
    return [
        item.outline.buffer(filler.request.gap / 2).area ** 0.5 * taste.size * b
        for item, b in zip(items, bias, strict=True)
    ]


def _fill(
    filler: Filler,
    state: SheetState,
    place: int,
    level: list[int],
    waiting: dict[int, list[NestPiece]],
    size: list[float],
    length: float,
) -> tuple[list[Put], list[Gene]]:
    """Fill one sheet with pieces of some items, until none of them goes on it."""
    puts: list[Put] = []
    order: list[Gene] = []
    region = filler.sheets[place]
    units = filler.units
    open_items = [i for i in level if waiting[i]]
    while open_items:
        best = None
        for low, item, turn, solid in _candidates(filler, state, region, open_items, size, length):
            if best is not None and low > best[0]:
                break  # what follows cannot lie further left than it once could
            at = state.find(solid)
            if at is not None:
                cost = (at[0] + solid.box[0] + length * solid.width) / units - size[item]
                if best is None or (cost, item, turn) < best[:3]:
                    best = (cost, item, turn, solid, at)
        if best is None:
            break
        _, item, turn, solid, (x, y) = best
        state.place(solid, x, y)
        piece = waiting[item].pop()
        puts.append(Put(piece, place, solid, x, y))
        order.append((piece, turn))
        # The free areas only shrink: what went nowhere will go nowhere.
        open_items = [i for i in open_items if waiting[i] and _goes(filler, state, region, i)]
    return puts, order


def _goes(filler: Filler, state: SheetState, region: int, item: int) -> bool:
    """Whether an item may have a place left, by the free areas last known."""
    return any(state.areas.get(solid.ident, True) for solid in filler.solids(item, region))


def _candidates(
    filler: Filler, state: SheetState, region: int, items: list[int], size: list[float], length: float
) -> list[tuple[float, int, int, Solid]]:
    """What may be put down next, with the least it can cost by the free areas last known, the least first."""
    found = []
    for item in items:
        for turn, solid in enumerate(filler.solids(item, region)):
            areas = state.areas.get(solid.ident)
            if areas is None:
                found.append((-math.inf, item, turn, solid))
            elif areas:
                cost = (areas[0][0] + solid.box[0] + length * solid.width) / filler.units - size[item]
                found.append((cost, item, turn, solid))
    return sorted(found, key=lambda one: one[:3])
