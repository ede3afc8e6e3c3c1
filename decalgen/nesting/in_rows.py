"""The engine of rows: like pieces in rows of several lengths, filled in among the single pieces; the best goes on.

First many plans are filled once each, the likeliest first; then the order of the best is searched, its rows as they
are; at last its rows are broken up, and windows of single pieces nested again. Counted in steps, a step being one row
or piece put down; a clock, where there is one, is shared in the same parts.
"""

from __future__ import annotations

import random
import time
from collections.abc import Callable, Iterator
from dataclasses import field, replace

from decalgen.core.values import dataclass
from decalgen.nesting.bound import least_length, longest, piece_area
from decalgen.nesting.changes import Changes
from decalgen.nesting.choosing import TASTES, Taste, chosen
from decalgen.nesting.cost import Costs, Standing, better
from decalgen.nesting.crew import MANY
from decalgen.nesting.engine import Found, Task
from decalgen.nesting.exact import across
from decalgen.nesting.frame import Frame
from decalgen.nesting.model import NestPosition, Request
from decalgen.nesting.order import Filler, FillState, Gene
from decalgen.nesting.renest import renest
from decalgen.nesting.rows import FEWEST, Pattern, RowPlan, alone, patterns, plan_of
from decalgen.nesting.search import Search

FITS = (1.07, 1.05, 1.1, 1.03, 1.085)
"""Lengths of rows along the sheet, as parts of the least length that all pieces together can take."""

SMALL = (1.5, 1.0, 2.5)
"""How long pieces must be to stand in rows, in sides of a square as large as the mean piece: the smaller fill gaps."""

BEST = 3
"""Plans, at most, that are filled in more ways than one."""

LONG_FIRST = Taste(-0.3, 1.0)
"""The taste that suits rows best: the long before the short, wherever they then lie."""

STARTS, TASTED, SEARCHED = 0.3, 0.5, 0.75
"""When, in parts of the steps or of the time, no more plans are begun; when tastes are varied no more; and when rows
are broken up."""

HOPED, HOPE = 3, 0.97
"""After so many plans they have to come as far as single pieces by themselves, but for a part, or no more are tried."""

MOSTLY = 0.5
"""The part of the area of very many pieces that has to stand in rows for these to be of use."""

FillWay = Callable[[Filler], tuple[list[Gene], FillState]]
"""How the rows and pieces of a plan are put down: an order, and how they then lie."""


RowSource = tuple[int, float, float]
"""What a plan is made of: which way the sheets are filled, how long rows are, and the pieces in them at least, mm."""


def rows(request: Request, task: Task) -> Iterator[Found]:
    """The engine. Gives nothing where no piece has copies that fill a row well."""
    if all(item.quantity < FEWEST for item in request.items):
        return
    ways = [way for way in (request, across(request)) if way is not None]
    work = _RowSearch(ways, task)
    yield from work.arrangements()


@dataclass(eq=False)
class _RowTrial:
    """A plan made ready, and how far it has come: its best order, with how good that is."""

    filler: Filler
    plan: RowPlan
    source: RowSource
    order: list[Gene] = field(default_factory=list)
    standing: Standing | None = None

    def __post_init__(self) -> None:
        self.costs = Costs(self.filler)

    def standing_of(self, run: FillState) -> Standing:
        """How good an arrangement of it is, a row left out counted as so many pieces."""
        cost, used = self.costs.standing(run)
        if run.left:
            left = dict.fromkeys(self.costs.priorities, 0)
            for piece in run.left:
                item = self.filler.request.items[piece.item]
                left[item.priority] += len(self.plan.rows[item.key].members) if item.key in self.plan.rows else 1
            cost = (tuple(left.values()), *cost[1:])
        return cost, used


class _RowSearch:
    """One request: the plans that were tried, and what is spent."""

    def __init__(self, ways: list[Request], task: Task) -> None:
        self.ways = ways
        self.task = task
        self.fillers = [Filler(way, task.slack) for way in ways]
        self.grouped = any(item.group for item in ways[0].items)
        # Pieces that are to lie together are not chosen one by one.
        self.likely: list[FillWay] = [_by_length] if self.grouped else [_by_length, _by_taste(LONG_FIRST)]
        self.steps = 0
        self.started = time.monotonic()
        self.best: tuple[NestPosition, ...] = ()
        self.plain: Standing | None = None
        self.made: dict[RowSource, _RowTrial] = {}
        self.found: dict[int, list[Pattern]] = {}

    def spent(self, part: float) -> bool:
        """Whether that part of the steps, and of the time where a clock runs, is used up."""
        clock = self.task.seconds and time.monotonic() - self.started >= part * self.task.seconds
        return bool(clock) or self.steps >= part * self.task.steps

    def arrangements(self) -> Iterator[Found]:
        """Ever better arrangements; between them signs of life. Nothing more once rows have shown to be of no use."""
        yield from self._starts()
        if not self.plans or not self._pays():
            return
        if not self.grouped:
            yield from self._varied()
        yield from self._searched(min(self.plans, key=_rank))
        yield from self._broken_up()

    def _pays(self, part: float = 1.0) -> bool:
        """Whether rows come as far as the same pieces by themselves, put down in the same ways, or so far in parts."""
        best = min(self.plans, key=_rank)
        assert best.standing is not None
        items = self.ways[0].items
        if len(self.fillers[0].pieces) > MANY:
            # The pieces by themselves would take all the time there is.
            held = sum(row.of.outline.area * len(row.members) * row.item.quantity for row in best.plan.rows.values())
            return bool(held >= MOSTLY * sum(item.outline.area * item.quantity for item in items))
        if self.plain is None:
            self.plain = min((self._plainly(way) for way in self.likely), key=_rank_of)
        (cost, used), (plain, known) = best.standing, self.plain
        return cost[:2] < plain[:2] or (cost[:2] == plain[:2] and used * part <= known)

    def _plainly(self, way: FillWay) -> Standing:
        order, run = way(self.fillers[0])
        self.steps += len(order)
        return Costs(self.fillers[0]).standing(run)

    def _starts(self) -> Iterator[Found]:
        """Plans filled in the two likeliest ways; then the best of them in others, and with other pieces in rows."""
        for number, source in enumerate(self._sources()):
            for way in self.likely:
                if self.plans and self.spent(STARTS):
                    return
                yield from self._tried(source, way)
            if not self.plans or (number == HOPED - 1 and not self._pays(HOPE)):
                return
        best = [plan.source for plan in sorted(self.plans, key=_rank)]
        sources = list(dict.fromkeys(best))[:BEST]
        others = [] if self.grouped else [_by_taste(TASTES[3]), _by_taste(TASTES[2])]
        for way in (*others, _lying):
            for source in sources:
                if self.spent(STARTS):
                    return
                yield from self._tried(source, way)
        for factor in SMALL[1:]:
            for number, length, least in sources:
                if self.spent(STARTS):
                    return
                yield from self._tried((number, length, least / SMALL[0] * factor), self.likely[-1])

    def _varied(self) -> Iterator[Found]:
        """The best plan filled by tastes a little different, going on from the best of them."""
        draw = random.Random(self.task.seed)
        plan, taste = min(self.plans, key=_rank), LONG_FIRST
        while not self.spent(TASTED):
            count = len(plan.filler.request.items)
            changed = taste.varied(draw, count)
            before = plan.standing
            yield from self._filled(plan, _by_taste(changed))
            if plan.standing != before:
                taste = changed

    def _sources(self) -> Iterator[RowSource]:
        """What plans are made of, the likeliest first: row lengths of every way of filling the sheets."""
        mean = (
            sum(i.outline.area * i.quantity for i in self.ways[0].items) / max(1, len(self.fillers[0].pieces))
        ) ** 0.5
        lists = [_lengths(way, filler.frames[0]) for way, filler in zip(self.ways, self.fillers, strict=True)]
        for k in range(max(len(one) for one in lists)):
            for number, one in enumerate(lists):
                if k < len(one):
                    yield number, one[k], SMALL[0] * mean

    def _tried(self, source: RowSource, way: FillWay) -> Iterator[Found]:
        number, length, least = source
        plan = self.made.get(source)
        if plan is None:
            filler = self.fillers[number]
            rows = plan_of(self.ways[number], self._patterns(number), filler.frames[0], length, least, filler.units)
            plan = self.made[source] = _RowTrial(Filler(rows.request, self.task.slack), rows, source)
        if plan.plan.rows:
            yield from self._filled(plan, way)

    def _filled(self, plan: _RowTrial, way: FillWay) -> Iterator[Found]:
        """A plan filled once more; a sign of life, with the arrangement where it is the best so far."""
        order, run = way(plan.filler)
        self.steps += len(order)
        standing = plan.standing_of(run)
        best = min((one.standing for one in self.plans if one.standing), key=_rank_of, default=None)
        if plan.standing is None or better(standing, plan.standing):
            plan.order, plan.standing = order, standing
        if best is not None and not better(standing, best):
            yield Found(None, self.steps)
            return
        self.best = alone(self.ways[0], plan.plan, plan.filler.positions(run))
        yield Found(self.best, self.steps)

    @property
    def plans(self) -> list[_RowTrial]:
        """The plans that were filled."""
        return [plan for plan in self.made.values() if plan.standing is not None]

    def _patterns(self, number: int) -> list[Pattern]:
        if number not in self.found:
            filler = self.fillers[number]
            self.found[number] = list(patterns(self.ways[number], filler.catalogue, filler.frames[0]))
        return self.found[number]

    def _searched(self, plan: _RowTrial) -> Iterator[Found]:
        """The order of a plan made better, its rows as they are."""
        search = Search(plan.filler, self.task.seed)
        before = self.steps
        left = int(SEARCHED * self.task.steps) - before
        if left <= 0:
            return
        for found in search.gone_on(plan.order, left):
            self.steps = before + found.steps
            if found.positions is not None:
                self.best = alone(self.ways[0], plan.plan, found.positions)
            yield Found(None if found.positions is None else self.best, self.steps)
            if self.spent(SEARCHED):
                break

    def _broken_up(self) -> Iterator[Found]:
        """Windows of the best arrangement nested again, its pieces single."""
        before = self.steps
        left = self.task.steps - before
        if left <= 0:
            return
        seconds = self.task.seconds and max(0.1, self.task.seconds - (time.monotonic() - self.started))
        for found in renest(self.ways[0], replace(self.task, steps=left, start=self.best, seconds=seconds)):
            yield Found(found.positions, before + found.steps)


def _rank(plan: _RowTrial) -> tuple[object, ...]:
    assert plan.standing is not None
    return _rank_of(plan.standing)


def _rank_of(standing: Standing) -> tuple[object, ...]:
    """What `better` compares."""
    cost, used = standing
    return cost[0], cost[1], round(used, 4), cost[2]


def _lengths(request: Request, frame: Frame) -> list[float]:
    """Lengths of rows worth a try, mm: what fills the sheets from side to side, and halves and thirds of it."""
    x0, y0, x1, y1 = frame.bounds
    wide, high = x1 - x0, y1 - y0
    least = least_length(frame, request.gap, piece_area(request), longest(request, frame))
    fits = [min(wide, fit * least) for fit in FITS]
    turned = any((a - b) % 180 for item in request.items for a in item.turns for b in item.turns)
    ups = [high, (high - request.gap) / 2] if turned else []
    found = [fits[0], *ups[:1], *fits[1:], *ups[1:]]
    found += [(fit - request.gap) / 2 for fit in fits[:2]] + [(fits[0] - 2 * request.gap) / 3]
    return [length for n, length in enumerate(found) if all(abs(length - other) > 0.01 for other in found[:n])]


def _in_order(filler: Filler, genes: list[Gene]) -> tuple[list[Gene], FillState]:
    """Pieces put down, the higher priority first."""
    items = filler.request.items
    order = sorted(genes, key=lambda gene: -items[gene[0].item].priority)
    order = Changes(filler, random.Random(0)).grouped(order)
    run = filler.start()
    filler.go(run, order)
    return order, run


def _by_length(filler: Filler) -> tuple[list[Gene], FillState]:
    """The longest first, turned as they end soonest."""
    boxes = [filler.solids(i, 0)[0] for i in range(len(filler.request.items))]
    long = [-max(box.width, box.height) for box in boxes]
    pieces = sorted(filler.free_pieces, key=lambda p: (long[p.item], p.item, p.copy))
    return _in_order(filler, [(piece, -1) for piece in pieces])


def _lying(filler: Filler) -> tuple[list[Gene], FillState]:
    """The longest first, all of them along the sheet."""
    solids = [filler.solids(i, 0) for i in range(len(filler.request.items))]
    turns = [max(range(len(some)), key=lambda k: (some[k].width, -k)) for some in solids]
    long = [-some[turn].width for some, turn in zip(solids, turns, strict=True)]
    pieces = sorted(filler.free_pieces, key=lambda p: (long[p.item], p.item, p.copy))
    return _in_order(filler, [(piece, turns[piece.item]) for piece in pieces])


def _by_taste(taste: Taste) -> FillWay:
    return lambda filler: chosen(filler, taste)
