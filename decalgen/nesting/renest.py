"""Nesting windows of an arrangement again: some pieces that lie near one another are taken up together with those that
matter most (left out, or furthest from the side filled), and put down again in other orders; kept if no worse.

Works on the arrangement of any engine. Counted in steps, a step being one piece put down, and drawn from a seed.
"""

from __future__ import annotations

import random
from collections.abc import Iterator

from decalgen.core.values import dataclass
from decalgen.nesting.cost import Cost, Costs
from decalgen.nesting.engine import Found, Task
from decalgen.nesting.fill import SheetState, hull, moved_box
from decalgen.nesting.frame import NestPiece, look, shape_of
from decalgen.nesting.model import NestPosition, Request
from decalgen.nesting.nofit import GridBounds
from decalgen.nesting.order import Filler, FillState, Gene, Put

LEAST, MOST = 4, 24
"""Pieces of a window."""

TAIL = 4
"""Pieces, at most, that are taken from the far end with a window."""

SLACK = (3.0, 6.0, 100.0)
"""How far past the pieces taken up they may be put down, mm, at most; now and then far."""

TRIALS = 10
"""Orders tried in a window."""

SIGN = 200
"""Steps between two signs of life."""

CYCLE = 40_000
"""Steps from hot to cold."""

HEAT = 0.003
"""How much worse, in parts, an arrangement may be that the search goes on from, at first; less and less later."""


@dataclass(frozen=True)
class Window:
    """What is taken up: pieces in place, pieces left out, and where they may go, as areas of sheets."""

    taken: frozenset[int]
    lost: tuple[NestPiece, ...]
    fields: dict[int, tuple[GridBounds, ...]]


def renest(request: Request, task: Task) -> Iterator[Found]:
    """The engine. Gives nothing without an arrangement to start from."""
    if not task.start:
        return
    work = _Renest(request, task)
    yield from work.arrangements(task.steps)


class _Renest:
    """One arrangement, made better window by window."""

    def __init__(self, request: Request, task: Task) -> None:
        self.request = request
        self.filler = Filler(request, task.slack)
        self.costs = Costs(self.filler)
        self.random = random.Random(task.seed)
        self.steps = 0
        self.puts = self._read(task.start)
        there = {(put.piece.item, put.piece.copy) for put in self.puts}
        self.left = [p for p in self.filler.free_pieces if (p.item, p.copy) not in there]
        self.loose = [not request.items[put.piece.item].group for put in self.puts]

    def _read(self, start: tuple[NestPosition, ...]) -> list[Put]:
        """The pieces of an arrangement in units, but for the pinned ones."""
        index = {region.key: i for i, region in enumerate(self.request.regions)}
        region_of = {p.sheet: index[p.region] for p in start}
        place_of: dict[int, int] = {}
        for sheet in sorted(region_of):
            free = (k for k, r in enumerate(self.filler.sheets) if r == region_of[sheet] and k not in place_of.values())
            place_of[sheet] = next(free)
        item_of = {item.key: i for i, item in enumerate(self.request.items)}
        free_pieces = {(p.item, p.copy): p for p in self.filler.free_pieces}
        puts = []
        for p in start:
            piece = free_pieces.get((item_of[p.item], p.copy))
            if piece is not None:
                puts.append(self._put(piece, place_of[p.sheet], p))
        return puts

    def _put(self, piece: NestPiece, place: int, position: NestPosition) -> Put:
        region = self.filler.sheets[place]
        x, y, turn = self.filler.frames[region].into(position.x, position.y, position.turn)
        shape = shape_of(self.request.items[piece.item], turn)
        mark = look(shape)
        solid = next(s for s in self.filler.solids(piece.item, region) if look(s.shape) == mark)
        dx, dy = shape.box[0] - solid.shape.box[0], shape.box[1] - solid.shape.box[1]
        units = self.filler.units
        return Put(piece, place, solid, round((x + dx) * units), round((y + dy) * units))

    def arrangements(self, steps: int) -> Iterator[Found]:
        """Better arrangements, until the steps are spent; between them signs of life."""
        current = self._cost(self.puts, self.left)
        best, told = current, 0
        cycle = min(CYCLE, steps)
        loose = [i for i, free in enumerate(self.loose) if free]
        if len(loose) < 2 or self._finished(best):
            return
        while self.steps < steps and not self._finished(best):
            if self.steps - told >= SIGN:
                told = self.steps
                yield Found(None, self.steps)
            warm = HEAT * (1 - self.steps % cycle / cycle) ** 2
            found = self._again(self._window(loose), current, current[2] * (1 + warm * self.random.random()))
            if found is None:
                continue
            self.puts, self.left, current = found
            self.loose = [not self.request.items[put.piece.item].group for put in self.puts]
            loose = [i for i, free in enumerate(self.loose) if free]
            if current < best:
                best = current
                yield Found(tuple(self.filler.positions(FillState(puts=self.puts))), self.steps)

    def _cost(self, puts: list[Put], left: list[NestPiece]) -> Cost:
        return self.costs.cost(FillState(puts=puts, left=left))

    def _finished(self, cost: Cost) -> bool:
        used = self.costs.used(FillState(puts=self.puts))
        return cost[1] == 1 and not any(cost[0]) and used <= self.costs.least + 1e-5

    def _window(self, loose: list[int]) -> Window:
        """A window somewhere, and with it the pieces that matter most."""
        draw = self.random
        lost = tuple(p for p in self.left if not self.request.items[p.item].group)
        fields: dict[int, tuple[GridBounds, ...]] = {}
        taken: set[int] = set()
        if not self.left:
            last = max(put.sheet for put in self.puts)
            ends = sorted((i for i in loose if self.puts[i].sheet == last), key=lambda i: -self.puts[i].end)
            tail = ends[: draw.randint(1, TAIL)]
            if tail:
                taken |= set(tail)
                _, y0, _, y1 = self.filler.frames[self.filler.sheets[last]].bounds
                units = self.filler.units
                start = min(self._box(i)[0] for i in tail)
                fields[last] = ((start, int(y0 * units) - 2, self.puts[tail[0]].end, int(y1 * units) + 2),)
        centre = draw.choice(loose)
        sheet = self.puts[centre].sheet
        cx, cy = _middle(self._box(centre))
        here = sorted(
            (i for i in loose if self.puts[i].sheet == sheet and i not in taken),
            key=lambda i: (abs(_middle(self._box(i))[0] - cx) + abs(_middle(self._box(i))[1] - cy), i),
        )
        near = here[: draw.randint(LEAST, MOST)]
        if near:
            box = self._box(near[0])
            for i in near[1:]:
                box = hull(box, self._box(i))
            slack = self.filler.catalogue.gap + int(draw.random() * draw.choice(SLACK) * self.filler.units)
            box = (box[0] - slack, box[1] - slack, box[2] + slack, box[3] + slack)
            if not self.left and sheet == max(put.sheet for put in self.puts):
                box = (box[0], box[1], min(box[2], max(p.end for p in self.puts if p.sheet == sheet)), box[3])
            fields[sheet] = (box, *fields.get(sheet, ()))
        return Window(frozenset(taken | set(near)), lost, fields)

    def _box(self, i: int) -> GridBounds:
        put = self.puts[i]
        return moved_box(put.solid.box, put.x, put.y)

    def _again(self, window: Window, old: Cost, threshold: float) -> tuple[list[Put], list[NestPiece], Cost] | None:
        """The pieces of a window put down in other orders: the first arrangement that is no worse, or None."""
        kept = [put for i, put in enumerate(self.puts) if i not in window.taken]
        stay = [p for p in self.left if p not in window.lost]
        weight = self.costs.weight
        pieces = [self.puts[i].piece for i in sorted(window.taken)] + list(window.lost)
        items = sorted({p.item for p in pieces})
        states = {sheet: self._state(sheet, kept, fields, items) for sheet, fields in window.fields.items()}
        priority = [item.priority for item in self.request.items]
        order: list[Gene] = [
            (p, -1) for p in sorted(pieces, key=lambda p: (-priority[p.item], -weight[p.item], p.item, p.copy))
        ]
        for trial in range(TRIALS):
            if trial:
                order = self._changed(order)
            puts, left = self._down({k: s.copy() for k, s in states.items()}, order)
            self.steps += len(order)
            everything, out = kept + puts, stay + left
            new = self._cost(everything, out)
            if self.costs.accepted(new, old, threshold):
                return everything, out, new
        return None

    def _state(self, sheet: int, kept: list[Put], fields: tuple[GridBounds, ...], items: list[int]) -> SheetState:
        """A sheet with what stays on it near the fields, pieces allowed only there."""
        state = self.filler.sheet(sheet)
        state.fields = fields
        gap = self.filler.catalogue.gap + 2
        for put in kept:
            if put.sheet == sheet:
                x0, y0, x1, y1 = moved_box(put.solid.box, put.x, put.y)
                if any(f[0] < x1 + gap and f[2] > x0 - gap and f[1] < y1 + gap and f[3] > y0 - gap for f in fields):
                    state.place(put.solid, put.x, put.y)
        for item in items:
            for solid in self.filler.solids(item, self.filler.sheets[sheet]):
                state.find(solid)  # brings the free areas up to date once, not in every trial
        return state

    def _changed(self, order: list[Gene]) -> list[Gene]:
        """Another order: a piece moved, two exchanged, or one turned."""
        draw = self.random
        changed = order.copy()
        for _ in range(draw.randint(1, 3)):
            i, j = draw.randrange(len(changed)), draw.randrange(len(changed))
            kind = draw.random()
            if kind < 0.4:
                changed.insert(j, changed.pop(i))
            elif kind < 0.7:
                changed[i], changed[j] = changed[j], changed[i]
            else:
                piece = changed[i][0]
                changed[i] = (piece, draw.randrange(-1, len(self.filler.solids(piece.item, 0))))
        return changed

    def _down(self, states: dict[int, SheetState], order: list[Gene]) -> tuple[list[Put], list[NestPiece]]:
        """Put pieces down in an order, each on the first sheet that has room in its fields."""
        puts: list[Put] = []
        left: list[NestPiece] = []
        for piece, turn in order:
            put = None
            for sheet in sorted(states):
                put = self._best(states[sheet], sheet, piece, turn)
                if put is not None:
                    puts.append(put)
                    states[sheet].place(put.solid, put.x, put.y)
                    break
            if put is None:
                left.append(piece)
        return puts, left

    def _best(self, state: SheetState, sheet: int, piece: NestPiece, turn: int) -> Put | None:
        solids = self.filler.solids(piece.item, self.filler.sheets[sheet])
        for chosen in ([solids[turn % len(solids)]], solids) if turn >= 0 else (solids,):
            best = None
            for solid in chosen:
                found = state.find(solid)
                if found is not None:
                    x, y = found
                    cost = (x + solid.box[2], y + solid.box[3], x, y)
                    if best is None or cost < best[0]:
                        best = (cost, solid)
            if best is not None:
                (_, _, x, y), solid = best
                return Put(piece, sheet, solid, x, y)
        return None


def _middle(box: GridBounds) -> tuple[int, int]:
    return (box[0] + box[2]) // 2, (box[1] + box[3]) // 2
