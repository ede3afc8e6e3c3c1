"""Small changes of an order, by chance, that keep what binds it: priorities and groups."""

from __future__ import annotations

import random
from typing import Any

from decalgen.nesting.order import Filler, Gene


def move_part(order: list[Any], first: int, draw: random.Random) -> int:
    """Moves a run of an order, from its place ``first`` on, to another place by chance, which it gives."""
    length = draw.randint(2, max(2, min(12, len(order) // 4)))
    part = order[first : first + length]
    del order[first : first + length]
    place = draw.randrange(len(order) + 1)
    order[place:place] = part
    return place


class Changes:
    """The changes of orders for one request; ``draw`` is the search's own chance."""

    def __init__(self, filler: Filler, draw: random.Random) -> None:
        self.filler = filler
        self.random = draw
        items = filler.request.items
        self.bound = len({item.priority for item in items}) > 1 or any(item.group for item in items)
        """Whether priorities or groups bind the order."""

    def change(self, order: list[Gene], missing: set[tuple[int, int]]) -> tuple[list[Gene], int]:
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
                return self._sorted_out(changed), j if not self.bound else 0
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
                j = move_part(changed, i, draw)
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
            return self._sorted_out(changed), start if not self.bound else 0

    def grouped(self, order: list[Gene]) -> list[Gene]:
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

    def _sorted_out(self, order: list[Gene]) -> list[Gene]:
        """The order with priorities and groups kept."""
        if not self.bound:
            return order
        items = self.filler.request.items
        return self.grouped(sorted(order, key=lambda g: -items[g[0].item].priority))
