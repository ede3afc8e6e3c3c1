"""Filling by the boxes round the pieces: what stays free, what lies where, and when it is of use."""

from __future__ import annotations

import dataclasses
import itertools
import os
import random
import subprocess
import sys

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon, box

from decalgen.nesting import Effort, NestItem, NestRegion, Pin, Request, nest, portfolio
from decalgen.nesting.boxes import BoxFiller, Rectangle, corner, cut
from decalgen.nesting.engine import ENTRIES, EngineEntry, Task
from decalgen.nesting.gate import gate
from decalgen.nesting.in_boxes import BOXES, FEWEST_PIECES, MOST, MOST_PIECES, SIGN, boxes, suited
from decalgen.nesting.result import left_out, quick_score
from tests.nesting.cases import cross, disc, films, slanted

FILM = NestRegion("film", 148, 210, box(5, 5, 143, 205))
SIZES = [(23.4, 6, 4), (11, 11, 6), (19, 2.8, 4), (60, 12, 2), (21.4, 3.2, 2), (37.4, 20.2, 1), (9.2, 2, 3)]
MIX = tuple(NestItem(f"decal {n}", box(1, 2, 1 + w, 2 + h), quantity=q) for n, (w, h, q) in enumerate(SIZES))
REQUEST = Request(MIX, (FILM,), 3.0)


def largest_by_hand(side: int, taken: set[tuple[int, int]]) -> set[Rectangle]:
    """Every rectangle of free cells that no larger one holds, by trying all."""
    lines = range(side + 1)
    free = [
        (a, b, c, d)
        for a, c in itertools.combinations(lines, 2)
        for b, d in itertools.combinations(lines, 2)
        if not any((x, y) in taken for x in range(a, c) for y in range(b, d))
    ]
    return {
        (float(a), float(b), float(c), float(d))
        for a, b, c, d in free
        if not any(e <= a and f <= b and g >= c and h >= d and (a, b, c, d) != (e, f, g, h) for e, f, g, h in free)
    }


@pytest.mark.parametrize("seed", range(6))
def test_what_is_free_is_every_largest_rectangle_once(seed: int) -> None:
    draw = random.Random(seed)
    free: list[Rectangle] = [(0.0, 0.0, 7.0, 7.0)]
    taken: set[tuple[int, int]] = set()
    for _ in range(4):
        x, y = draw.randrange(6), draw.randrange(6)
        wide, high = draw.randint(1, 7 - x), draw.randint(1, 2)
        high = min(high, 7 - y)
        free = cut(free, (x, y, x + wide, y + high))
        taken |= {(i, j) for i in range(x, x + wide) for j in range(y, y + high)}
        assert sorted(free) == sorted(largest_by_hand(7, taken))
    for size in (1.0, 2.0, 3.0):
        fits = [(a, b) for a, b, c, d in free if c - a >= size and d - b >= size]
        assert corner(free, size, size) == min(fits, default=None)


def test_slivers_into_which_nothing_goes_are_dropped() -> None:
    free: list[Rectangle] = [(0.0, 0.0, 10.0, 10.0)]
    assert cut(free, (0.0, 0.0, 9.0, 5.0), 2.0) == [(0.0, 5.0, 10.0, 10.0)]


def told(request: Request, steps: int = 200, seed: int = 1) -> list[tuple[object, ...]]:
    return [one.positions for one in boxes(request, Task(steps, 0, seed)) if one.positions is not None]


@settings(max_examples=15, deadline=None)
@given(films(), st.sampled_from([0.0, 0.7, 3.0]), st.integers(0, 10**6), st.booleans())
def test_whatever_comes_out_passes_the_gate(film: NestRegion, gap: float, seed: int, pin: bool) -> None:
    draw = random.Random(seed)
    kinds = (box(-3, 1, draw.uniform(3, 40), draw.uniform(3, 15)), slanted(draw.uniform(8, 40), 6, 2), disc(2.0))
    turns = ((0,), (0, 90), (0, 90, 180, 270), (0, 45))
    some = tuple(NestItem(f"decal {n}", one, draw.choice(turns), quantity=4) for n, one in enumerate(kinds))
    pins = (Pin("decal 0", 1, "film", 40.0, 40.0, 0),) if pin else ()
    request = Request(some, (film,), gap, pins=pins)
    if pin and gate(request, nest_of_pins(request), ()):
        request = dataclasses.replace(request, pins=())
    for positions in told(request, 15, seed):
        assert gate(request, positions, left_out(request, list(positions), brief=True)) == []  # type: ignore[arg-type]


def nest_of_pins(request: Request) -> tuple[object, ...]:
    """The pinned pieces by themselves, to see whether they may lie there."""
    filler = BoxFiller(request)
    return filler.positions(filler.start())


def test_pieces_cut_from_a_rectangle_go_back_into_it() -> None:
    """By hand: 80 by 40 mm, cut into twelve; no gap, and not a hair over."""
    parts = [(20, 25, 2), (20, 15, 2), (20, 10, 4), (10, 40, 1), (10, 20, 1), (5, 20, 2)]
    assert sum(w * h * q for w, h, q in parts) == 80 * 40
    some = tuple(NestItem(f"part {n}", box(0, 0, w, h), quantity=q) for n, (w, h, q) in enumerate(parts))
    strip = NestRegion("strip", 200, 40, box(0, 0, 200, 40), fill="left")
    request = Request(some, (strip,), 0.0, remnant="strip")
    ((missing,), sheets, used) = min(quick_score(request, list(p)) for p in told(request, 500))  # type: ignore[arg-type]
    assert (missing, sheets) == (0, 1) and used == pytest.approx(80.0, abs=1e-5)


def test_boxes_take_less_film_than_the_fill_for_as_many_steps() -> None:
    pytest.importorskip("pyclipper")
    by = {}
    for engine in ("boxes", "fill"):
        one = dataclasses.replace(REQUEST, effort=Effort("some", 300), engines=(engine,))
        by[engine] = nest(one).bound.used
    assert by["boxes"] < by["fill"] - 10.0


def test_boxes_are_left_where_they_are_of_no_use() -> None:
    assert suited(REQUEST)
    first, *rest = MIX
    for other in (
        dataclasses.replace(first, priority=1),
        dataclasses.replace(first, group="pair"),
        dataclasses.replace(first, quantity=MOST_PIECES),
        dataclasses.replace(first, outline=cross(60.0)),
        dataclasses.replace(first, outline=Polygon([(0, 0), (90, 0), (0, 60)])),
    ):
        request = dataclasses.replace(REQUEST, items=(other, *rest))
        assert not suited(request) and told(request) == []
    assert told(dataclasses.replace(REQUEST, items=())) == []
    for quantity in (FEWEST_PIECES - 1, FEWEST_PIECES):
        request = dataclasses.replace(REQUEST, items=(dataclasses.replace(first, quantity=quantity),))
        assert suited(request) == (quantity == FEWEST_PIECES)


def test_no_more_boxes_are_put_down_than_the_steps_allow() -> None:
    count = sum(item.quantity for item in MIX)
    for steps in (30, 200):
        found = list(boxes(REQUEST, Task(steps, 0, 1)))
        # Each way of filling begins with six orders, and the last one tried is filled to its end.
        least = min(MOST, steps * BOXES, steps * count**2 // 60)
        most = least + 13 * count
        assert least // BOXES - 1 <= found[-1].steps <= most // BOXES
        assert len(found) <= most / SIGN + 6
    assert MOST <= 100_000
    few = dataclasses.replace(REQUEST, items=tuple(dataclasses.replace(item, quantity=2) for item in MIX))
    assert list(boxes(few, Task(500, 0, 1)))[-1].steps <= (500 * 14**2 // 60 + 13 * 14) // BOXES


@pytest.mark.parametrize("side", ["left", "right", "top"])
def test_more_sheets_are_opened_as_they_fill_up(side: str) -> None:
    """By hand: two of these go onto a sheet, whichever side it is filled from."""
    film = NestRegion("card", 50, 50, box(0, 0, 50, 50), repeat=True, fill=side)  # type: ignore[arg-type]
    request = Request((NestItem("half", box(0, 0, 24, 50), quantity=13),), (film,), 2.0)
    (positions,) = told(request)
    assert [p.sheet for p in positions] == [n // 2 for n in range(13)]  # type: ignore[attr-defined]
    single = dataclasses.replace(request, regions=(dataclasses.replace(film, repeat=False),))
    (positions,) = told(single)
    assert len(positions) == 2


def test_without_the_library_of_the_fill_boxes_remain(monkeypatch: pytest.MonkeyPatch) -> None:
    for entry in [e for e in ENTRIES.values() if e.needs]:
        monkeypatch.setitem(ENTRIES, entry.name, EngineEntry(entry.name, entry.where, ("no_such_module",)))
    result = nest(REQUEST)
    assert result.engine == "boxes" and result.notes == () and not result.left_out


def test_a_clock_leaves_boxes_their_share(monkeypatch: pytest.MonkeyPatch) -> None:
    seen: list[Task] = []

    def engine(request: Request, task: Task) -> list[object]:
        seen.append(task)
        return []

    monkeypatch.setattr(portfolio, "load", lambda where: engine)
    nest_run = portfolio._Run(dataclasses.replace(REQUEST, time_limit=20.0), None)
    monkeypatch.setattr(nest_run, "_outside", lambda *some: None)
    monkeypatch.setattr(portfolio, "SHELF", ENTRIES["boxes"])
    nest_run.all_engines()
    assert seen[0].seconds == pytest.approx(portfolio.BOXES_PART * 20.0)


@pytest.mark.parametrize("seed", ["1", "77"])
def test_the_same_whatever_the_hash_seed(seed: str) -> None:
    code = "from tests.nesting.test_boxes import *\nprint(told(REQUEST, 60)[-1][-3:])"
    run = subprocess.run(
        [sys.executable, "-c", code],
        env={**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": os.pathsep.join(p for p in sys.path if p)},
        capture_output=True,
        text=True,
        check=True,
    )
    assert run.stdout.strip() == str(told(REQUEST, 60)[-1][-3:])


def test_boxes_keep_off_a_pinned_piece() -> None:
    """By hand: beside the one that is pinned at the right edge there is room for one more."""
    film = NestRegion("card", 50, 50, box(0, 0, 50, 50), repeat=True, fill="left")
    half = NestItem("half", box(0, 0, 24, 50), (0,), quantity=13)
    request = Request((half,), (film,), 2.0, pins=(Pin("half", 3, "card", 26.0, 0.0),))
    (positions,) = told(request)
    assert [p.sheet for p in positions] == [n // 2 for n in range(13)]  # type: ignore[attr-defined]
    assert gate(request, positions, ()) == []  # type: ignore[arg-type]
