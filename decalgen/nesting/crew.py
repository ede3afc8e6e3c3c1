"""Which engines work when, and for how long. Pure.

A search counted in steps must not depend on the machine, so it gives every engine its steps. A clock is shared by the
engines that suit so many pieces, on every core; what suits was found by trial on mixes of 40 to 1000.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from decalgen.core.values import dataclass
from decalgen.nesting.engine import BOXES, FILL, LATTICE, RENEST, ROWS, SEPARATE, SHELF, TREE, EngineEntry, Task

LARGE = 5_000
"""Steps above which a first arrangement is made before anything else, for the separation to start from."""

TRIAL_PIECES = 60_000
"""Pieces that all trials of the separation may have together: a trial takes the longer the more there are."""

FEWEST_TRIALS = 20
"""Trial arrangements of the separation that however many pieces get."""

FEW = 100
"""Pieces up to which a clock's time goes to the separation on all cores, once the fill has had its share."""

MANY = 400
"""Pieces above which the tree search is worth its time beside the others."""

SLOW = 0.06
"""Seconds a piece that the separation needs to come as far as the exact fill."""

FILL_FIRST = 0.2
"""That share of the fill where pieces are few, in parts of the time."""

STALL = 0.2
"""Of a clock's time, how much may pass without a better arrangement before other engines have their turn."""

ROWS_OF_FEW = 0.4
"""The share of rows where pieces are few, in parts of the time."""

WINDOWS_FROM = {FEW: 0.9, MANY: 0.7}
"""When, in parts of the time, windows of the best arrangement are nested again, by the most pieces there may be."""

WINDOWS_OF_MORE = 0.95


@dataclass(frozen=True)
class Stage:
    """Engines that work side by side on a task; its seconds count from the start of the nest.

    ``stall``: seconds without a better arrangement after which the next stage begins, 0 for none; ``unless``: the
    engine whose arrangement of all pieces, where it is the best so far, makes the stage needless.
    """

    entries: tuple[EngineEntry, ...]
    task: Task
    stall: float = 0.0
    unless: EngineEntry | None = None


def stages(
    allowed: Sequence[EngineEntry], task: Task, pieces: int, limit: float, cores: int, free: bool
) -> list[Stage]:
    """The stages in which engines look for arrangements, without the boxes that come first, the shelf,
    and windows nested again.

    ``allowed``: all engines there are; ``limit``: seconds of the clock, 0 where steps are counted; ``free``: whether
    the engines may be chosen here, and were not asked for by name.
    """
    out = [SHELF, BOXES, LATTICE, RENEST] + ([] if task.trials > 0 else [SEPARATE])
    entries = tuple(e for e in allowed if e not in out)
    if not entries:
        return []
    if not limit:
        trials = max(FEWEST_TRIALS, min(task.trials, TRIAL_PIECES // max(1, pieces)))
        if free and pieces > MANY and ROWS in entries:
            # Single pieces take many times as long, and come less far.
            rest = tuple(e for e in entries if e is not ROWS)
            return [Stage((ROWS,), task), *([Stage(rest, replace(task, trials=trials), unless=ROWS)] if rest else [])]
        return [*_first(entries, task), Stage(entries, replace(task, trials=trials))]
    whole = replace(task, seconds=limit)
    task = replace(task, seconds=limit * (windows_from(pieces) if RENEST in allowed else 1.0))
    if not free:
        return [Stage(entries, task)]
    if ROWS in entries:
        # Rows go on to the end where they are of use, and else are done at once; few pieces get on without them too.
        after = tuple(e for e in entries if e is not ROWS)
        stall = STALL * limit if pieces > MANY and TREE in after else 0.0
        if pieces <= FEW:
            whole = replace(task, seconds=ROWS_OF_FEW * limit)
        return [Stage((ROWS,) * cores, whole, stall), *_after_rows(after, task, pieces, limit, cores)]
    return _after_rows(entries, task, pieces, limit, cores)


def _after_rows(entries: tuple[EngineEntry, ...], task: Task, pieces: int, limit: float, cores: int) -> list[Stage]:
    """The stages of a clock's time without rows, or once these have ended."""
    if pieces > MANY and TREE in entries:
        first = [Stage((FILL,), replace(task, steps=1, trials=0))] if FILL in entries else []
        return [*first, Stage((TREE,), replace(task, cores=cores))]
    slow = SLOW * pieces > task.seconds
    if FILL in entries and SEPARATE in entries and not slow:
        first_part = ROWS_OF_FEW + FILL_FIRST if pieces <= FEW else 1.0
        fill = replace(task, seconds=min(task.seconds, first_part * limit))
        return [Stage((FILL,) * cores, fill, STALL * limit), Stage((SEPARATE,), replace(task, cores=cores))]
    unsuited = {TREE, SEPARATE} if slow else {TREE}
    crew = tuple(e for e in entries if e not in unsuited) or entries
    if FILL in crew:
        crew += (FILL,) * (cores - len(crew))
    return [Stage(crew, task)]


def _first(entries: tuple[EngineEntry, ...], task: Task) -> list[Stage]:
    if FILL in entries and SEPARATE in entries and task.steps > LARGE:
        return [Stage((FILL,), replace(task, steps=1, trials=0))]
    return []


def windows_from(pieces: int) -> float:
    """When, in parts of a clock's time, windows are nested again: it gains most where pieces are neither few nor
    many."""
    return next((part for most, part in WINDOWS_FROM.items() if pieces <= most), WINDOWS_OF_MORE)
