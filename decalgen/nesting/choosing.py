"""An order by choosing, at each place, the piece that suits it: large ones first, but those that lie far to the left
before those that would stand out.

Better than any order by size where there are many pieces of several kinds; a start for the searches.
"""

from __future__ import annotations

from dataclasses import dataclass

from decalgen.nesting.fill import SheetState
from decalgen.nesting.frame import Piece
from decalgen.nesting.order import Filler, Gene


@dataclass(frozen=True)
class Taste:
    """What counts in a choice, beside how far left a piece comes to lie: ``length``, each mm that it is long counts
    against it; ``size``, each mm of the side of a square as large counts for it."""

    length: float
    size: float


TASTES = (
    Taste(0.5, 1.0),
    Taste(1.0, 4.0),
    Taste(0.5, 2.0),
    Taste(0.0, 1.0),
    Taste(1.0, 1.0),
    Taste(-0.3, 1.0),
)
"""Found by trial on mixes of stripes, discs and boxes; no one of them is best for all."""


def chosen_order(filler: Filler, taste: Taste) -> list[Gene]:
    """All free pieces in the order in which they would be chosen; the higher priority always before the lower.

    For requests without groups: a group would have to be chosen whole.
    """
    items = filler.request.items
    waiting: dict[int, list[Piece]] = {}
    for piece in reversed(filler.free_pieces):
        waiting.setdefault(piece.item, []).append(piece)
    states = {place: filler.sheet(place) for place in filler.start().sheets}
    size = [(item.outline.buffer(filler.request.gap / 2).area) ** 0.5 * taste.size for item in items]
    order: list[Gene] = []
    for priority in sorted({item.priority for item in items}, reverse=True):
        level = [i for i in sorted(waiting) if items[i].priority == priority]
        barren: set[int] = set()  # regions on whose empty sheets nothing more goes
        for place, region in enumerate(filler.sheets):
            if not any(waiting[i] for i in level):
                break
            fresh = place not in states
            if fresh and region in barren:
                continue
            state = states.get(place) or filler.sheet(place)
            found = _fill(filler, state, region, level, waiting, size, taste.length)
            order += found
            if found:
                states[place] = state
            elif fresh:
                barren.add(region)
        order += [(waiting[i].pop(), -1) for i in level for _ in range(len(waiting[i]))]
    return order


def _fill(
    filler: Filler,
    state: SheetState,
    region: int,
    level: list[int],
    waiting: dict[int, list[Piece]],
    size: list[float],
    length: float,
) -> list[Gene]:
    """Fill one sheet with pieces of some items, until none of them goes on it."""
    order: list[Gene] = []
    units = filler.units
    open_items = [i for i in level if waiting[i]]
    while open_items:
        best = None
        refused = set()
        for item in open_items:
            goes = False
            for turn, solid in enumerate(filler.solids(item, region)):
                at = state.find(solid)
                if at is not None:
                    goes = True
                    cost = (at[0] + solid.box[0] + length * solid.width) / units - size[item]
                    if best is None or (cost, item, turn) < best[:3]:
                        best = (cost, item, turn, solid, at)
            if not goes:
                refused.add(item)  # the free areas only shrink
        if best is None:
            break
        _, item, turn, solid, (x, y) = best
        state.place(solid, x, y)
        order.append((waiting[item].pop(), turn))
        open_items = [i for i in open_items if i not in refused and waiting[i]]
    return order
