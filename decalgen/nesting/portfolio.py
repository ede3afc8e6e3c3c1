"""The nest itself: run the engines, let every arrangement through the gate, keep the best."""

from __future__ import annotations

import os
import queue
import time
from collections.abc import Sequence
from dataclasses import field, replace

from decalgen.core.values import dataclass
from decalgen.nesting.crew import Stage, stages
from decalgen.nesting.engine import (
    BOXES,
    ENTRIES,
    FILL,
    LATTICE,
    RENEST,
    ROWS,
    SHELF,
    TREE,
    EngineEntry,
    Found,
    Task,
    load,
)
from decalgen.nesting.frame import pieces_of
from decalgen.nesting.gate import gate, references
from decalgen.nesting.model import QUICK, Nest, NestPosition, Progress, Request, Watcher
from decalgen.nesting.result import Score, build, left_out, measure, quick_score, score
from decalgen.nesting.saving import bound_of
from decalgen.nesting.validate import validate
from decalgen.nesting.worker import Report, Worker

SMALL = 400
"""Steps up to which the exact fill runs in the program itself: starting a process would take longer than it saves."""

BRIEF = 30_000
"""Steps times pieces up to which it does so too: about a second and a half."""

MOST_CORES = 4
"""Cores a clock's time is used on: each engine takes 50 to 150 MB, and the machine has other work."""

FILL_PART = 5
"""So does the exact fill where boxes have found an arrangement: they come through many times as many orders, and what
lies between them is found sooner by nesting windows again."""

ROWS_PART = 3
"""Rows get that part of the steps of a brief search: what is not found at once is not found by so few."""

PROVEN = 1e-3
"""So near to the bound, mm², an arrangement counts as proven to be the best."""

BOXES_PART = 0.05
"""The share of boxes in a clock's time, which they seldom need."""

LATTICE_FROM = 3.0
"""Seconds of a clock from which on there is time to look for lattices."""

SLACK = 8
"""Units, of half a nanometre, added to every gap where an arrangement of the exact fill was refused."""


def nest(request: Request, progress: Watcher | None = None) -> Nest:
    """Nest the pieces of a request onto its regions.

    Raises `NestingError` for a request that cannot be right. A piece that fits nowhere is no error: it is named in
    `Nest.left_out`. Ctrl-C ends the search and keeps the best arrangement so far; before there is one it goes through.
    """
    validate(request)
    run = _Run(request, progress)
    try:
        run.all_engines()
    except KeyboardInterrupt:
        if not run.engine:
            raise
        run.cut_short("stopped by the user; this is the best arrangement so far")
    complete = run.complete and not request.effort.timed
    return build(request, list(run.best), run.engine or "shelf", run.steps, complete, tuple(run.notes))


def available_cores() -> int:
    """How many processors this process may use: not the machine's, where it is held to some of them."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0)) or 1
    return os.cpu_count() or 1


def _rank(engine: str) -> int:
    """Of two arrangements just as good, that of the earlier engine is kept, whichever was found first."""
    return list(ENTRIES).index(engine)


class _Stop(Exception):
    """The watcher or the clock has ended the search."""


class _Proven(Exception):
    """The best arrangement is proven to be one of the best there are."""


@dataclass
class _Run:
    """The state of one nest."""

    request: Request
    watcher: Watcher | None
    best: tuple[NestPosition, ...] = ()
    best_score: Score | None = None
    engine: str = ""
    complete: bool = True
    notes: list[str] = field(default_factory=list)
    spent: dict[str, int] = field(default_factory=dict)
    refused: set[str] = field(default_factory=set)
    pieces: int = 0
    started: float = 0.0
    told: float = 0.0
    bettered: float = 0.0

    @property
    def steps(self) -> int:
        return sum(self.spent.values())

    def cut_short(self, why: str) -> None:
        self.complete = False
        if why not in self.notes:
            self.notes.append(why)

    def all_engines(self) -> None:
        """Every engine that is allowed and installed; the shelf where no other found an arrangement."""
        self.started = time.monotonic()
        self.pieces = len(pieces_of(self.request))
        effort, limit = self.request.effort, self._clock()
        allowed = self._allowed()
        task = Task(effort.steps, effort.trials, self.request.seed)
        cores = min(available_cores(), MOST_CORES) if limit else 1
        plan = stages(allowed, task, self.pieces, limit, cores, self.request.engines is None)
        try:
            if BOXES in allowed and task.steps > QUICK.steps:
                self._inside(BOXES, replace(task, seconds=BOXES_PART * limit))
            if LATTICE in allowed and task.steps > QUICK.steps and (not limit or limit >= LATTICE_FROM):
                self._inside(LATTICE, task)
            if self._brief() and {e for stage in plan for e in stage.entries} in ({FILL}, {FILL, ROWS}):
                for stage in plan:
                    for entry in () if self._needless(stage) else stage.entries:
                        part = ROWS_PART if entry is ROWS and len(stage.entries) > 1 else 1
                        part = FILL_PART if entry is FILL and self.engine == BOXES.name else part
                        self._inside(entry, replace(stage.task, steps=task.steps // part, start=self.best))
            else:
                for stage in plan:
                    if not self._needless(stage):
                        self._outside(stage.entries, stage.task, stage.stall)
            if FILL.name in self.refused:
                self._outside([FILL], replace(task, slack=SLACK))
            if RENEST in allowed and self.engine and not self._brief():
                self._outside([RENEST] * cores, task)
            elif RENEST in allowed and BOXES.name in self.spent:
                self._inside(RENEST, replace(task, steps=task.steps // 2, start=self.best))
            if not self.engine:
                self._inside(SHELF, task)
        except _Proven:
            return
        except _Stop as stop:
            self.cut_short(str(stop))
        if not self.engine:
            # The clock ran out before any engine had an arrangement; the shelf needs no time worth speaking of.
            self._inside(SHELF, task, brief=True)

    def _needless(self, stage: Stage) -> bool:
        """Whether an earlier stage has done what this one is for, with no piece left out."""
        found = self.best_score is not None and not any(self.best_score[0])
        return stage.unless is not None and found and self.engine == stage.unless.name

    def _clock(self) -> float:
        """Seconds that the engines are to share, 0 where steps are counted."""
        return self.request.time_limit or (self.request.effort.guard if self.request.effort.timed else 0.0)

    def _brief(self) -> bool:
        """Whether the exact fill alone, in the program itself, is done before other processes would have started."""
        steps = self.request.effort.steps
        return self.request.effort.trials == 0 and (steps <= SMALL or steps * self.pieces <= BRIEF)

    def _allowed(self) -> list[EngineEntry]:
        names = self.request.engines
        entries = [e for e in ENTRIES.values() if names is None or e.name in names]
        if names is None:
            # The tree search ends by the clock alone, so it would not come out the same again.
            entries = [e for e in entries if e is not TREE or self._clock()]
        missing = [e.name for e in entries if names is not None and not e.there]
        for name in missing:
            self.notes.append(f"the engine '{name}' is not installed here")
        return [e for e in entries if e.there]

    def _inside(self, entry: EngineEntry, task: Task, brief: bool = False) -> None:
        """An engine in this process; ``brief``: its first arrangement is enough."""
        try:
            for found in load(entry.where)(self.request, task):
                self._take(entry, found)
                if brief:
                    return
        except _Proven:
            raise
        except _Stop:
            if not brief:
                raise
        except Exception as problem:  # whatever goes wrong in an engine, the others remain
            if entry is SHELF:
                raise
            self.cut_short(f"the engine '{entry.name}' failed ({type(problem).__name__})")

    def _outside(self, entries: Sequence[EngineEntry], task: Task, stall: float = 0.0) -> None:
        """Engines in processes of their own, side by side, until they end, their time is up or, given ``stall``, none
        has found a better arrangement for so many seconds."""
        reports: queue.Queue[Report] = queue.Queue()
        workers: dict[Worker, float] = {}
        task = replace(task, start=self.best)
        try:
            for entry in entries:
                left = max(0.1, self.started + task.seconds - time.monotonic()) if task.seconds else 0.0
                own = replace(task, seed=task.seed + sum(w.entry is entry for w in workers), seconds=left)
                try:
                    workers[Worker(entry, self.request, own, reports)] = time.monotonic()
                except OSError as problem:
                    self.cut_short(f"no process could be started for the engine '{entry.name}' ({problem})")
                    if entry is FILL:
                        self._inside(FILL, task)
            began = time.monotonic()
            while workers and not self._time_is_up(task.seconds):
                self._wait(workers, reports)
                if stall and self.engine and time.monotonic() - max(began, self.bettered) > stall:
                    break
            if workers:
                self._look_at_clock()  # the end of a stage is not yet the end of the time
        finally:
            for worker in workers:
                worker.end()

    def _wait(self, workers: dict[Worker, float], reports: queue.Queue[Report]) -> None:
        """Take one report, or notice that an engine has been silent for too long."""
        try:
            worker, found, why = reports.get(timeout=0.1)
        except queue.Empty:
            self._tell(better=False)
            self._look_at_clock()
            for worker, heard in list(workers.items()):
                if time.monotonic() - heard > worker.entry.patience:
                    self.cut_short(f"the engine '{worker.entry.name}' stopped responding and was ended")
                    worker.end()
                    del workers[worker]
            return
        if worker not in workers:
            return
        if found is not None:
            workers[worker] = time.monotonic()
            self._take(worker.entry, found)
            return
        if why:
            self.cut_short(f"the engine '{worker.entry.name}' {why}")
        worker.end()
        del workers[worker]

    def _take(self, entry: EngineEntry, found: Found) -> None:
        """An arrangement from an engine: through the gate, and kept if it is the best."""
        self.spent[entry.name] = max(self.spent.get(entry.name, 0), found.steps)
        better = found.positions is not None and self._judged(entry, found.positions)
        self._tell(better)
        if better and self._clock() and self._proven():
            raise _Proven
        self._look_at_clock()

    def _judged(self, entry: EngineEntry, positions: tuple[NestPosition, ...]) -> bool:
        """Whether an arrangement is right and the best."""
        unknown = references(self.request, positions)
        if unknown:
            self._refused(entry, unknown[0].message)
            return False
        if not self._promising(positions):
            return False
        faults = gate(self.request, positions, left_out(self.request, list(positions), brief=True))
        if faults:
            self._refused(entry, faults[0].message)
            return False
        new = score(self.request, list(positions))
        if self.best_score is not None and (new, _rank(entry.name)) >= (self.best_score, _rank(self.engine)):
            return False
        self.best, self.best_score, self.engine = positions, new, entry.name
        self.bettered = time.monotonic()
        return True

    def _proven(self) -> bool:
        """Whether no arrangement can be better than the best."""
        if self.best_score is None or any(self.best_score[0]):
            return False
        bound = bound_of(self.request, measure(self.request, list(self.best)), True)
        return bound.fewest_sheets and bound.used - bound.least < PROVEN

    def _promising(self, positions: tuple[NestPosition, ...]) -> bool:
        """Whether an arrangement is worth the gate: not worse in pieces or sheets than the best."""
        if self.best_score is None:
            return True
        left, sheets, last = quick_score(self.request, list(positions))
        if (left, sheets) != self.best_score[:2]:
            return (left, sheets) < self.best_score[:2]
        return self.request.remnant != "strip" or last <= self.best_score[3]

    def _refused(self, entry: EngineEntry, message: str) -> None:
        if entry.name not in self.refused:
            self.notes.append(f"an arrangement of the engine '{entry.name}' was refused: {message}")
        self.refused.add(entry.name)

    def _tell(self, better: bool) -> None:
        """Tell the watcher of an improvement, or, now and then, that the search goes on."""
        now = time.monotonic()
        if self.watcher is None or (not better and now - self.told < 0.2) or not self.best:
            return  # an arrangement without a piece is nothing to show
        self.told = now
        _, sheets, used = quick_score(self.request, list(self.best))
        of_steps = max(2 * self.request.effort.steps + self.request.effort.trials, self.steps)
        left = -self.best_score[2] if self.best_score else 0.0
        gone = (now - self.started) / self._clock() if self._clock() else 0.0
        placed = len(self.best)
        report = Progress(self.engine, self.steps, of_steps, placed, self.pieces, sheets, used, self.best, left, gone)
        if self.watcher(report) is False:
            raise _Stop("stopped by the user; this is the best arrangement so far")

    def _look_at_clock(self) -> None:
        if self._time_is_up(self.request.time_limit or self.request.effort.guard):
            raise _Stop(self._limit_note())

    def _time_is_up(self, limit: float) -> bool:
        return bool(limit) and time.monotonic() - self.started > limit

    def _limit_note(self) -> str:
        limit = self.request.time_limit or self.request.effort.guard
        return f"ended by the time limit of {limit:g} s; this is the best arrangement so far"
