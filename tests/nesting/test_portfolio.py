"""Engines side by side: the best layout wins, and none can take the nest down.

No test here can hang: each request ends by its guard at the latest.
"""

from __future__ import annotations

import dataclasses
import queue
import subprocess
import sys
from functools import cache
from types import SimpleNamespace

import pytest
from shapely.geometry import Polygon, box

from decalgen.nesting import Effort, NestItem, NestPosition, NestRegion, Progress, Request, nest, portfolio
from decalgen.nesting.engine import ENTRIES, FILL, ROWS, SEPARATE, TREE, EngineEntry, Task
from decalgen.nesting.frame import frame_of
from decalgen.nesting.gate import gate
from decalgen.nesting.model import EFFORTS, effort_of
from decalgen.nesting.separate import spread_shapes
from decalgen.nesting.worker import Report, Worker
from tests.nesting.cases import cross, disc, slanted

GUARD = 3600.0
"""Seconds that no test reaches, however busy the machine: what ends by it hangs."""
FILM = NestRegion("A5", 210, 148, box(5, 5, 205, 143))
ITEMS = (
    NestItem("stripe", slanted(40, 7, 6), quantity=4),
    NestItem("roundel", disc(5.0), quantity=5),
    NestItem("cross", cross(9.0), quantity=3),
    NestItem("band", box(0, 0, 30, 5), quantity=4),
)
COUNT = 16
REQUEST = Request(ITEMS, (FILM,), 1.5, effort=Effort("test", 100, guard=GUARD))


@cache
def alone() -> tuple[NestPosition, ...]:
    """What the exact fill finds by itself."""
    return nest(dataclasses.replace(REQUEST, engines=("fill",))).positions


def _faulty(name: str) -> EngineEntry:
    """Silence ends the one that hangs; on a busy machine any other may be as silent before it has begun."""
    return EngineEntry(name, f"tests.nesting.faulty:{name}", (), patience=0.7 if name == "hang" else GUARD)


def beside(monkeypatch: pytest.MonkeyPatch, name: str, *others: str) -> Request:
    """The request with one faulty engine beside others."""
    monkeypatch.setitem(ENTRIES, name, _faulty(name))
    return dataclasses.replace(REQUEST, engines=(name, *others))


def assert_whole(request: Request, engine: str) -> tuple[str, ...]:
    """All pieces lie as they should, by an engine; the notes of the nest."""
    result = nest(request)
    assert len(result.positions) == COUNT and gate(request, result.positions, result.left_out) == []
    assert result.engine == engine
    # What the engine that remained found is what it finds alone.
    assert engine != "fill" or result.positions == alone()
    return result.notes


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("crash", "ended before it was done (exit code 139)"),
        ("panic", "ended before it was done (exit code 1)"),
        ("babble", "said something that cannot be read"),
        ("half_a_line", "said something that cannot be read"),
        ("hang", "stopped responding and was ended"),
        ("overlap", "was refused: "),
        ("strange", "was refused: none such on nowhere: unknown"),
        ("nowhere", "was refused: stripe: has no place"),
    ],
)
def test_an_engine_that_fails_costs_nothing(monkeypatch: pytest.MonkeyPatch, name: str, words: str) -> None:
    notes = assert_whole(beside(monkeypatch, name, "fill"), "fill")
    (note,) = notes
    assert f"'{name}'" in note and words in note


@pytest.mark.parametrize("name", ["panic", "overlap", "nowhere"])
def test_where_no_engine_is_of_use_the_shelf_remains(monkeypatch: pytest.MonkeyPatch, name: str) -> None:
    assert len(assert_whole(beside(monkeypatch, name), "shelf")) == 1


def test_a_lost_engine_makes_a_nest_incomplete_and_a_refused_layout_does_not(monkeypatch: pytest.MonkeyPatch) -> None:
    assert not nest(beside(monkeypatch, "panic", "fill")).complete
    assert nest(beside(monkeypatch, "overlap", "fill")).complete


def test_an_engine_that_never_ends_is_ended_by_the_guard(monkeypatch: pytest.MonkeyPatch) -> None:
    request = dataclasses.replace(beside(monkeypatch, "endless", "fill"), time_limit=1.5)
    result = nest(request)
    assert len(result.positions) == COUNT and not result.complete
    assert "time limit of 1.5 s" in result.notes[0]
    (note,) = assert_whole(dataclasses.replace(request, engines=("endless",), time_limit=0.3), "shelf")
    assert "time limit of 0.3 s" in note


def test_an_engine_that_fails_inside_the_program_leaves_the_shelf(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(portfolio, "FILL", EngineEntry("fill", "no_such_module:fill", ()))
    monkeypatch.setitem(ENTRIES, "fill", portfolio.FILL)
    (note,) = assert_whole(dataclasses.replace(REQUEST, engines=("fill",)), "shelf")
    assert note == "the engine 'fill' failed (ModuleNotFoundError)"


def test_where_no_process_can_be_started_the_exact_fill_runs_in_the_program(monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*args: object) -> None:
        raise OSError("no more processes")

    monkeypatch.setattr(portfolio, "Worker", refuse)
    notes = assert_whole(beside(monkeypatch, "chatty", "fill"), "fill")
    assert any("no more processes" in note for note in notes)


def test_what_a_library_prints_does_no_harm(monkeypatch: pytest.MonkeyPatch) -> None:
    assert assert_whole(beside(monkeypatch, "chatty"), "chatty") == ()


def test_without_compiled_libraries_the_shelf_serves(monkeypatch: pytest.MonkeyPatch) -> None:
    for entry in (FILL, ROWS, SEPARATE):
        monkeypatch.setitem(ENTRIES, entry.name, EngineEntry(entry.name, entry.where, ("no_such_module",)))
    assert assert_whole(REQUEST, "shelf") == ()


def test_an_engine_asked_for_by_name_but_not_installed_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(ENTRIES, "tree", EngineEntry("tree", "none:none", ("no_such_module",)))
    notes = assert_whole(dataclasses.replace(REQUEST, engines=("tree", "fill")), "fill")
    assert notes == ("the engine 'tree' is not installed here",)


def test_interrupted_before_any_layout_nothing_is_pretended(monkeypatch: pytest.MonkeyPatch) -> None:
    def interrupted(where: str) -> object:
        raise KeyboardInterrupt

    monkeypatch.setattr(portfolio, "load", interrupted)
    with pytest.raises(KeyboardInterrupt):
        nest(REQUEST)


def test_interrupted_later_the_best_so_far_is_kept() -> None:
    def interrupt(report: Progress) -> None:
        raise KeyboardInterrupt

    for steps in (100, portfolio.SMALL + 1):  # inside the program, and in a process of its own
        result = nest(dataclasses.replace(REQUEST, effort=Effort("test", steps, guard=GUARD)), interrupt)
        assert len(result.positions) == COUNT and gate(REQUEST, result.positions, result.left_out) == []
        assert not result.complete and "stopped by the user" in result.notes[0]


def test_an_arrangement_without_a_piece_is_never_shown(monkeypatch: pytest.MonkeyPatch) -> None:
    heard: list[Progress] = []
    nest(beside(monkeypatch, "empty_first"), heard.append)
    assert heard and all(report.used_length > 0 and report.placed for report in heard)


def test_a_watcher_is_asked_while_an_engine_is_silent(monkeypatch: pytest.MonkeyPatch) -> None:
    """So that a page can cancel at any moment, not only when a better layout turns up."""
    heard: list[Progress] = []

    def stop_at_the_third(report: Progress) -> bool:
        heard.append(report)
        return len(heard) < 3

    request = dataclasses.replace(beside(monkeypatch, "hang", "fill"), effort=Effort("test", 30, guard=GUARD))
    monkeypatch.setitem(ENTRIES, "hang", dataclasses.replace(ENTRIES["hang"], patience=GUARD))
    result = nest(request, stop_at_the_third)
    assert len(heard) == 3 and "stopped by the user" in result.notes[0]
    assert heard[-1].positions == result.positions and len(result.positions) == COUNT


def test_workers_are_gone_when_the_nest_is_done(monkeypatch: pytest.MonkeyPatch) -> None:
    started: list[subprocess.Popen[str]] = []

    class Watched(portfolio.Worker):
        def __init__(self, *args: object) -> None:
            super().__init__(*args)  # type: ignore[arg-type]
            started.append(self.process)

    monkeypatch.setattr(portfolio, "Worker", Watched)
    nest(dataclasses.replace(beside(monkeypatch, "hang", "fill"), time_limit=20.0))
    assert len(started) == 2
    assert all(process.poll() is not None for process in started)


def test_a_worker_ends_when_the_program_does() -> None:
    """The process ends when its input is closed, as it is when the program is killed."""
    reports: queue.Queue[Report] = queue.Queue()
    worker = Worker(EngineEntry("hang", "tests.nesting.faulty:hang", ()), REQUEST, Task(1, 0, 1), reports)
    assert reports.get(timeout=GUARD)[1] is not None
    assert worker.process.poll() is None and worker.process.stdin is not None
    worker.process.stdin.close()
    assert worker.process.wait(timeout=GUARD) == 1
    worker.end()


def test_importing_the_nest_imports_no_engine() -> None:
    code = "import sys, decalgen.nesting; print(*{'pyclipper', 'spyrrow', 'packingsolver'} & set(sys.modules))"
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, encoding="utf-8", check=True, timeout=GUARD)
    assert run.stdout.strip() == ""


def test_engines_apart_give_the_same_nest_twice() -> None:
    """The exact fill in a process of its own, and the separation where it is installed, both counted in steps."""
    request = dataclasses.replace(REQUEST, effort=Effort("both", 500, 20, GUARD))
    once, twice = nest(request), nest(request)
    assert once == twice
    assert once.complete and once.notes == ()


@pytest.mark.parametrize(
    ("words", "seconds"), [("60 s", 60), ("5 min", 300), ("1.5s", 1.5), ("1 s", 1), ("60 min", 3600)]
)
def test_an_effort_in_words_may_be_a_time(words: str, seconds: float) -> None:
    effort = effort_of(words)
    assert effort is not None and effort.timed and effort.guard == seconds


@pytest.mark.parametrize("words", ["0 s", "0.9 s", "61 min", "60", "-5 s", "s", "", "hard", "5 s later"])
def test_words_that_are_no_effort(words: str) -> None:
    assert effort_of(words) is None


def test_a_named_effort_counts_steps() -> None:
    assert all(effort_of(name) is effort and not effort.timed for name, effort in EFFORTS.items())


@pytest.mark.parametrize("turn", [0, 90])
def test_outlines_for_a_library_run_counterclockwise(turn: int) -> None:
    ring = [(0, 0), (0, 5), (9, 5), (9, 0)]  # clockwise
    item = NestItem("band", Polygon(ring), (0, 90))
    frame = frame_of(NestRegion("strip", 100, 200, box(0, 0, 100, 200), fill="bottom" if turn else "left"), 0)
    request = Request((item, ITEMS[2]), (FILM,), 1.5)
    shapes, _ = spread_shapes(request, frame)
    assert [shape.exterior.is_ccw for _, shape in shapes] == [True, True]


@pytest.mark.skipif(not TREE.there, reason="the packingsolver library needs Python 3.12")
def test_the_tree_search_nests(monkeypatch: pytest.MonkeyPatch) -> None:
    # Its first arrangement is enough: how soon it comes is the machine's affair.
    result = nest(dataclasses.replace(REQUEST, engines=("tree",), time_limit=60.0), lambda report: False)
    assert result.engine == "tree" and gate(REQUEST, result.positions, result.left_out) == []


def test_progress_of_a_timed_nest_is_told_by_the_clock(monkeypatch: pytest.MonkeyPatch) -> None:
    """By a clock that moves on only as progress is told: how long the machine takes for it is nothing to the test."""
    now = [100.0]
    monkeypatch.setattr(portfolio, "time", SimpleNamespace(monotonic=lambda: now[0]))
    parts: list[float] = []

    def watch(progress: Progress) -> None:
        parts.append(progress.part)
        now[0] += 0.3

    nest(dataclasses.replace(REQUEST, engines=("fill",), effort=effort_of("1.5 s")), watch)
    # By its steps, of which there is no end, it would stand at nothing to the last.
    assert parts[:5] == pytest.approx([0.0, 0.2, 0.4, 0.6, 0.8], abs=1e-6) and 5 <= len(parts) <= 6
    counted: list[float] = []
    nest(dataclasses.replace(REQUEST, engines=("fill",)), lambda p: counted.append(p.part))
    assert counted and all(0 < part <= 1 for part in counted)
