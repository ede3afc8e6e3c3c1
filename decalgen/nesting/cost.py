"""How bad an arrangement is, so that a search can tell which of two is better. mm, mm²."""

from __future__ import annotations

from shapely.geometry import Polygon

from decalgen.nesting.bound import least_used
from decalgen.nesting.order import Filler, FillState

Cost = tuple[tuple[int, ...], int, float]
"""Left out by priority; sheets; and a length that falls as pieces gather at the side filled."""

Standing = tuple[Cost, float]
"""A cost, and the used length of the last sheet, mm."""


class Costs:
    """The costs of what one filler makes."""

    def __init__(self, filler: Filler) -> None:
        self.filler = filler
        items = filler.request.items
        self.priorities = sorted({item.priority for item in items}, reverse=True)
        self.weight = [float(item.outline.area) for item in items]
        self.total = sum(self.weight[p.item] for p in filler.free_pieces) or 1.0
        _, y0, _, y1 = filler.frames[0].bounds
        self.mean_length = self.total / max(1, len(filler.free_pieces)) / (y1 - y0)
        self.room = [_room(item.outline, filler.request.gap) for item in items]
        self.least = least_used(filler.request)

    def accepted(self, new: Cost, old: Cost, threshold: float) -> bool:
        """Whether to go on from a changed order: no worse in what counts, and hardly worse in the rest.

        While pieces are left out, leaving out others of the same priority that want as little room is no worse.
        """
        if any(old[0]) and any(new[0]):
            return (new[0][:-1], new[1]) <= (old[0][:-1], old[1]) and new[2] <= threshold
        return new[:2] < old[:2] or (new[:2] == old[:2] and new[2] <= threshold)

    def done(self, best: Standing) -> bool:
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

    def standing(self, run: FillState) -> Standing:
        """Its cost and its used length."""
        return self.cost(run), self.used(run)


def better(a: Standing, b: Standing) -> bool:
    """Whether one arrangement is better than another: the used length counts before how its pieces gather."""
    return (a[0][:2], round(a[1], 4), a[0][2]) < (b[0][:2], round(b[1], 4), b[0][2])


def _room(outline: Polygon, gap: float) -> float:
    """The film a piece takes, mm²: its outline with half the gap, and half of the dents nothing else gets into."""
    spread = outline.buffer(gap / 2)
    return float(spread.area + spread.convex_hull.area) / 2
