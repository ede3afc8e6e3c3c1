"""The separation engine: pieces pushed apart until none overlap, on a strip that is made shorter again and
again.

The work is done by the spyrrow library, where it is installed. Its arithmetic is 32-bit, so it is asked for a
hair more than the gap, and every arrangement goes through the gate. Its trial arrangements come in the same order for
the same seed with one worker, so they, not seconds, are what is counted.
"""

from __future__ import annotations

import threading
from collections.abc import Iterator
from typing import Any

import shapely
from shapely.geometry import Polygon
from shapely.geometry.polygon import orient

from decalgen.core.values import dataclass
from decalgen.nesting.bound import fewest_sheets, piece_area
from decalgen.nesting.engine import Found, Task
from decalgen.nesting.frame import Frame, frame_of, pieces_of, sheets_of
from decalgen.nesting.hall import Hall, hall_of, spread
from decalgen.nesting.model import BESIDE, NestItem, NestPosition, Pin, Request
from decalgen.nesting.result import used_lengths
from decalgen.nesting.turning import placed, turned_polygon

HAIR = 2e-4
"""Added to the gap, mm, for 32-bit numbers on sheets up to a metre or two."""

LONG = 100_000
"""Seconds: the library wants a time; what ends it is the count of arrangements."""

SHORTER = 0.004
"""How much shorter the last sheet must become in the next try, as a part of the length used."""


@dataclass(frozen=True)
class Goal:
    """Sheets to bring all pieces onto; the last one used up to ``limit`` mm (0: all of it)."""

    sheets: tuple[int, ...]
    limit: float = 0.0


def separate(request: Request, task: Task) -> Iterator[Found]:
    """The engine. Gives nothing where a request is not of its kind."""
    job = _Job(request, task)
    if not job.possible:
        return
    yield Found(None, 0)
    goal = job.first_goal()
    while goal is not None and job.made < task.trials:
        best = None
        for positions in job.work(goal):
            if positions is not None:
                best = positions
            yield Found(positions, job.made)
        goal = job.next_goal(goal, best)


class _Job:
    """One request, and how many trial arrangements have been made for it."""

    def __init__(self, request: Request, task: Task) -> None:
        self.request = request
        self.task = task
        self.made = 0
        self.frames = [frame_of(region, i) for i, region in enumerate(request.regions)]
        self.sheets = sheets_of(request, len(pieces_of(request)))
        self.pins = {(pin.item, pin.copy): pin for pin in request.pins}
        self.best = list(task.start)
        self.fewest = fewest_sheets(request, self.frames, piece_area(request))

    @property
    def possible(self) -> bool:
        """Whether all sheets allow the same turns, and groups cannot be torn apart."""
        turns = [{(t + f.turn) % 360 for t in i.turns} for i in self.request.items for f in self.frames]
        count = len(self.frames)
        alike = all(turns[k] == turns[k - k % count] for k in range(len(turns)))
        groups: dict[str, int] = {}
        for item in self.request.items:
            if item.group:
                groups[item.group] = groups.get(item.group, 0) + item.quantity
        # A pair, say, is to lie side by side, which the library knows nothing of.
        torn = any(len(self.sheets) > 1 or 1 < pieces <= BESIDE for pieces in groups.values())
        pinned_late = any(pin.number for pin in self.request.pins)
        return alike and not pinned_late and not torn and bool(self.request.items)

    def first_goal(self) -> Goal | None:
        """From the arrangement there is: all pieces on, or fewer sheets, or a shorter last one."""
        used = self._used()
        if not self.best or self._lacking():
            repeat = any(region.repeat for region in self.request.regions)
            return Goal(used) if repeat else Goal(tuple(self.sheets))
        if len(used) > max(1, self.fewest):
            return Goal(used[:-1])
        return self._shorter(used)

    def next_goal(self, goal: Goal, found: tuple[NestPosition, ...] | None) -> Goal | None:
        """After a goal was met, one further; after one was not met, a lesser one."""
        if found is not None:
            self.best = list(found)
            return None if self.plain(goal) else self.first_goal()
        used = self._used()
        if not self._lacking() and goal.sheets != used:
            return self._shorter(used)
        return None

    def _used(self) -> tuple[int, ...]:
        """The sheets of the best arrangement, as places of regions."""
        index = {region.key: i for i, region in enumerate(self.request.regions)}
        region_of = {p.sheet: index[p.region] for p in self.best}
        return tuple(region_of[s] for s in sorted(region_of)) or (self.sheets[0],)

    def _lacking(self) -> bool:
        return len(self.best) < len(pieces_of(self.request))

    def _shorter(self, used: tuple[int, ...]) -> Goal:
        if len(used) == 1 and self._plain_sheet(used[0]):
            return Goal(used)
        lengths = used_lengths(self.request, self.best)
        return Goal(used, lengths[max(lengths)] * (1 - SHORTER))

    def plain(self, goal: Goal) -> bool:
        """Whether a goal is one plain rectangle, which the library shortens by itself."""
        return len(goal.sheets) == 1 and self._plain_sheet(goal.sheets[0])

    def _plain_sheet(self, index: int) -> bool:
        frame = self.frames[index]
        full = abs(shapely.box(*frame.bounds).area - frame.usable.area) < 1e-9
        return full and not frame.keep_outs and not self.pins

    def work(self, goal: Goal) -> Iterator[tuple[NestPosition, ...] | None]:
        """Layouts that meet a goal, ever shorter on a plain strip; None for trials that do not."""
        if self.plain(goal):
            yield from self._strip(self.frames[goal.sheets[0]])
        else:
            yield from self._hall(goal)

    def _strip(self, frame: Frame) -> Iterator[tuple[NestPosition, ...] | None]:
        x0, y0, x1, y1 = frame.bounds
        half = self.request.gap / 2
        shapes, _ = spread_shapes(self.request, frame)
        for arrangement in self._solve(shapes, None, y1 - y0 + 2 * half + HAIR / 2):
            if arrangement is None or arrangement.width - 2 * half > x1 - x0 - HAIR:
                yield None
                continue
            rows = [(p.id, p.rotation, p.translation) for p in arrangement.placed_items]
            # Half a hair is left over at the lower, half at the upper edge.
            yield self._positions(rows, [frame], [(half - HAIR / 4 - x0, half + HAIR / 4 - y0)], {})

    def _hall(self, goal: Goal) -> Iterator[tuple[NestPosition, ...] | None]:
        frames = [self.frames[i] for i in goal.sheets]
        pinned = [[p for p in self.request.pins if self._on(p, goal.sheets, k)] for k in range(len(frames))]
        items = {item.key: item for item in self.request.items}
        taken = [
            [turned_polygon(placed(items[p.item], _lying(p, 0)), f.turn) for p in pins]
            for f, pins in zip(frames, pinned, strict=True)
        ]
        hall = hall_of(frames, self.request.gap, taken, goal.limit)
        shapes, thinnest = spread_shapes(self.request, frames[0])
        for arrangement in self._solve(shapes, hall, hall.height + 20 * HAIR):
            if arrangement is None or arrangement.width > hall.length + thinnest / 2:
                yield None
                continue
            rows = [(p.id, p.rotation, p.translation) for p in arrangement.placed_items]
            dx, dy = next(t for key, _, t in rows if key == "hall")
            offsets = [(dx + offset, dy) for offset in hall.offsets]
            pieces = [row for row in rows if row[0] != "hall"]
            yield self._positions(pieces, frames, offsets, dict(enumerate(pinned)))
            return

    def _on(self, pin: Pin, sheets: tuple[int, ...], k: int) -> bool:
        region = self.request.regions[sheets[k]]
        return pin.region == region.key and sheets.index(sheets[k]) == k

    def _solve(self, shapes: list[tuple[NestItem, Polygon]], hall: Hall | None, height: float) -> Iterator[Any]:
        """The library's feasible arrangements, and None for every other trial, until the count is reached."""
        import spyrrow

        pieces = []
        for number, (item, polygon) in enumerate(shapes):
            free = item.quantity - sum(key == item.key for key, _ in self.pins)
            if free > 0:
                points = [(float(x), float(y)) for x, y in polygon.exterior.coords[:-1]]
                pieces.append(spyrrow.Item(str(number), points, free, [float(t) for t in item.turns]))
        if not pieces:
            return
        if hall is not None:
            points = [(float(x), float(y)) for x, y in hall.outline.exterior.coords[:-1]]
            pieces.append(spyrrow.Item("hall", points, 1, [0.0]))
        seconds = self.task.seconds
        exploring = max(1, round(seconds * 0.8)) if seconds else LONG
        config = spyrrow.StripPackingConfig(
            early_termination=False,
            quadtree_depth=4,
            total_computation_time=None,
            exploration_time=exploring,
            compression_time=max(1, round(seconds - exploring)) if seconds else LONG,
            num_workers=self.task.cores,
            seed=self.task.seed,
        )
        queue = spyrrow.ProgressQueue()
        instance = spyrrow.StripPackingInstance("", height, pieces)
        thread = threading.Thread(target=instance.solve, args=(config, queue), daemon=True)
        thread.start()
        kinds = spyrrow.ReportType
        while True:
            alive = thread.is_alive()
            for kind, arrangement in queue.drain():
                self.made += 1
                yield arrangement if kind in (kinds.ExplFeas, kinds.CmprFeas, kinds.Final) else None
                if self.made >= self.task.trials:
                    return
            if not alive:
                return
            thread.join(0.02)

    def _positions(
        self,
        rows: list[tuple[str, float, tuple[float, float]]],
        frames: list[Frame],
        offsets: list[tuple[float, float]],
        pinned: dict[int, list[Pin]],
    ) -> tuple[NestPosition, ...]:
        """Positions on the regions; each piece on the sheet its box lies in."""
        copies = {
            item.key: [c for c in range(item.quantity) if (item.key, c) not in self.pins] for item in self.request.items
        }
        out = [_lying(pin, k) for k, pins in pinned.items() for pin in pins]
        starts = [dx + f.bounds[0] - 1.0 for (dx, _), f in zip(offsets, frames, strict=True)]
        for key, rotation, (x, y) in sorted(rows):
            item = self.request.items[int(key)]
            turn = round(rotation) % 360
            shape = turned_polygon(item.outline, (frames[0].turn + turn) % 360)
            middle = x + (shape.bounds[0] + shape.bounds[2]) / 2
            k = max((i for i, start in enumerate(starts) if start <= middle), default=0)
            frame, (dx, dy) = frames[k], offsets[k]
            out.append(frame.back(item, copies[item.key].pop(0), k, (turn + frame.turn) % 360, x - dx, y - dy))
        used = sorted({p.sheet for p in out})
        return tuple(NestPosition(p.item, p.copy, p.region, used.index(p.sheet), p.x, p.y, p.turn) for p in out)


def spread_shapes(request: Request, frame: Frame) -> tuple[list[tuple[NestItem, Polygon]], float]:
    """The outlines spread by half the gap and a hair, at no turn in the frame, and the least extent of any.

    They run counterclockwise: a library may take the others for holes.
    """
    shapes = []
    thinnest = float("inf")
    for item in request.items:
        wide = spread(turned_polygon(item.outline, frame.turn), (request.gap + HAIR) / 2)
        shapes.append((item, orient(Polygon(wide.exterior) if isinstance(wide, Polygon) else wide.convex_hull)))
        thinnest = min(thinnest, *(wide.bounds[2 + k] - wide.bounds[k] for k in (0, 1)))
    return shapes, thinnest


def _lying(pin: Pin, sheet: int) -> NestPosition:
    return NestPosition(pin.item, pin.copy, pin.region, sheet, pin.x, pin.y, pin.turn)
