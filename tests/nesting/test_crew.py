"""Which engines share a clock, and what counted steps give each."""

from __future__ import annotations

import pytest

from decalgen.nesting.crew import FEW, FEWEST_TRIALS, LARGE, TRIAL_PIECES, stages, windows_from
from decalgen.nesting.engine import ENTRIES, SEPARATE, Task
from decalgen.nesting.model import ENDLESS, NORMAL, THOROUGH

THERE = list(ENTRIES.values())
TASK = Task(ENDLESS, ENDLESS, 1)


@pytest.mark.parametrize(
    ("pieces", "limit", "cores", "engines"),
    [
        (40, 10.0, 2, ["rows rows", "fill fill", "separate"]),
        (40, 10.0, 1, ["rows", "fill", "separate"]),
        (200, 10.0, 2, ["rows rows", "fill fill"]),
        (200, 60.0, 2, ["rows rows", "fill fill", "separate"]),
        (1000, 10.0, 1, ["rows", "fill", "tree"]),
        (1000, 100.0, 2, ["rows rows", "fill", "tree"]),
    ],
)
def test_a_clock_is_shared_by_the_engines_that_suit(pieces: int, limit: float, cores: int, engines: list[str]) -> None:
    plan = stages(THERE, TASK, pieces, limit, cores, free=True)
    assert [" ".join(e.name for e in stage.entries) for stage in plan] == engines
    assert plan[-1].task.seconds == pytest.approx(limit * windows_from(pieces))
    assert (plan[0].task.seconds == limit) == (pieces > FEW), "rows break themselves up at last"
    ends = [stage.task.seconds for stage in plan]
    assert all(0 < end < limit for end in ends[1:]), "the rest is left to windows"
    assert pieces > FEW or ends == sorted(set(ends)), "with few pieces all have a share"


def test_with_more_engines_a_clock_begins_as_without_them() -> None:
    """Rows go on to the end where they are of use, so that engines that are installed besides cost them nothing."""
    without = [e for e in THERE if e.name not in ("separate", "tree")]
    for pieces in (40, 200):
        assert stages(THERE, TASK, pieces, 20.0, 2, True)[0] == stages(without, TASK, pieces, 20.0, 2, True)[0]
        assert stages(THERE, TASK, pieces, 20.0, 2, True)[0].stall == 0.0
    assert stages(THERE, TASK, 1000, 20.0, 2, True)[0].stall > 0.0, "the tree search has its turn once rows stall"
    first, *later = stages(without, TASK, 1000, 20.0, 2, True)
    assert first.stall == 0.0 and [e.name for stage in later for e in stage.entries] == ["fill", "fill"]


def test_few_pieces_give_the_separation_every_core() -> None:
    rows, fill, separate = stages(THERE, TASK, 40, 10.0, 3, free=True)
    assert (rows.task.cores, fill.task.cores, separate.task.cores) == (1, 1, 3)
    assert fill.stall > 0.0, "the separation begins once the fill finds nothing better"


def test_engines_asked_for_by_name_are_taken_as_they_are() -> None:
    (stage,) = stages([SEPARATE], TASK, 1000, 1.0, 2, free=False)
    assert stage.entries == (SEPARATE,) and stage.task.cores == 1
    assert stage.task.seconds == 1.0, "nothing is kept for windows that no engine will nest again"


def test_an_engine_that_is_the_only_one_is_kept_though_it_is_slow() -> None:
    assert [stage.entries for stage in stages([SEPARATE], TASK, 1000, 1.0, 2, free=True)] == [(SEPARATE,)]


@pytest.mark.parametrize("cores", [1, 2, 16])
def test_counted_steps_do_not_depend_on_the_cores(cores: int) -> None:
    task = Task(LARGE + 1, 400, 1)
    assert stages(THERE, task, 50, 0.0, cores, True) == stages(THERE, task, 50, 0.0, 1, True)


def test_a_thorough_search_starts_its_separation_from_an_arrangement() -> None:
    """It gets further so, and its steps are few enough to be done before the guard, as measured."""
    assert LARGE < THOROUGH.steps <= 10_000 and NORMAL.steps < LARGE
    first, last = stages(THERE[:-2], Task(THOROUGH.steps, THOROUGH.trials, 1), 35, 0.0, 1, True)
    assert [e.name for e in first.entries] == ["fill"] and first.task.steps == 1
    assert last.task.trials == THOROUGH.trials <= 250 and THOROUGH.guard > NORMAL.guard


@pytest.mark.parametrize(("pieces", "trials"), [(10, 400), (300, TRIAL_PIECES // 300), (9000, FEWEST_TRIALS)])
def test_trials_of_many_pieces_are_fewer(pieces: int, trials: int) -> None:
    *_, last = stages(THERE, Task(1000, 400, 1), pieces, 0.0, 1, True)
    assert last.task.trials == trials


def test_an_effort_without_trials_is_the_fill_and_rows() -> None:
    there = [e for e in THERE if e.name != "tree"]
    assert [[e.name for e in stage.entries] for stage in stages(there, Task(200, 0, 1), 50, 0.0, 1, True)] == [
        ["fill", "rows"]
    ]


def test_very_many_pieces_are_counted_in_rows_alone_where_these_are_of_use() -> None:
    there = [e for e in THERE if e.name != "tree"]
    rows, rest = stages(there, Task(500, 0, 1), 1000, 0.0, 1, True)
    assert [e.name for e in rows.entries] == ["rows"] and rows.unless is None
    assert [e.name for e in rest.entries] == ["fill"] and rest.unless is rows.entries[0]
    (both,) = stages(there, Task(500, 0, 1), 400, 0.0, 1, True)
    assert [e.name for e in both.entries] == ["fill", "rows"]
