"""Rows of like pieces: their exact pitch, what they are made of, and that only single pieces come out."""

from __future__ import annotations

import dataclasses
import itertools
import math
import os
import subprocess
import sys

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon, box

from decalgen.nesting import Effort, NestItem, NestRegion, Pin, Request, nest, placed
from decalgen.nesting.engine import Engine, Task
from decalgen.nesting.frame import frame_of
from decalgen.nesting.gate import gate
from decalgen.nesting.model import effort_of
from decalgen.nesting.result import left_out, quick_score
from tests.nesting.cases import cross, disc, films, items, slanted

pytest.importorskip("pyclipper")

from decalgen.nesting import portfolio
from decalgen.nesting.exact import fill
from decalgen.nesting.in_rows import rows
from decalgen.nesting.nofit import Catalogue
from decalgen.nesting.rows import Pattern, alone, patterns, plan_of

STRIP = NestRegion("strip", 300, 100, box(0, 0, 300, 100), fill="left")
TRAPEZIUM = Polygon([(0, 0), (30, 0), (24, 8), (6, 8)])
MIX = (
    NestItem("stripe", slanted(40, 7, 6), quantity=16),
    NestItem("wedge", TRAPEZIUM, quantity=12),
    NestItem("band", box(0, 0, 30, 5), quantity=14),
    NestItem("dot", disc(3.0), quantity=20),
)
REQUEST = Request(MIX, (STRIP,), 2.0, remnant="strip")


def pattern_of(item: NestItem, gap: float, lying: bool = True) -> tuple[Pattern, float]:
    """The fullest pattern of an item that is wider than high, or higher than wide, and the units of its lengths."""
    catalogue = Catalogue(gap)
    found = patterns(Request((item,), (STRIP,), gap), catalogue, frame_of(STRIP, 0))
    (one,) = [p for p in found if (p.solids[0].width >= p.solids[0].height) == lying]
    return one, catalogue.units


@pytest.mark.parametrize("gap", [0.0, 0.7, 2.0])
def test_boxes_and_slanted_stripes_stand_at_their_exact_pitch(gap: float) -> None:
    """Euclid: the gap between parallel sides that lean by 6 in 7 is wider along the row by sqrt(1 + (6 / 7)^2)."""
    one, units = pattern_of(NestItem("band", box(3, 1, 33, 6), quantity=8), gap)
    assert one.first / units == pytest.approx(30 + gap, abs=1e-5)
    one, units = pattern_of(NestItem("stripe", slanted(40, 7, 6), (0,), quantity=8), gap)
    # Round the gap stands a polygon of 16 sides, 2 % wider at its corners.
    exact = 40 + gap * math.hypot(1, 6 / 7)
    assert exact - 1e-5 <= one.first / units <= 40 + 1.02 * (exact - 40) + 0.03
    assert one.full > 0.95 and one.solids[0] is one.solids[1]


def test_pieces_that_taper_stand_head_to_foot() -> None:
    one, units = pattern_of(NestItem("wedge", TRAPEZIUM, quantity=8), 2.0)
    assert {solid.shape.turn for solid in one.solids} == {0, 180} and one.full > 0.95
    # Sides lean by 6 in 8: the next one begins where the first is half way, and the gap's share of its sides.
    assert (one.first + one.second) / units == pytest.approx(48 + 2 * 2 * math.hypot(1, 6 / 8), abs=0.15)
    forbidden = dataclasses.replace(NestItem("wedge", TRAPEZIUM, quantity=8), turns=(0,))
    assert list(patterns(Request((forbidden,), (STRIP,), 2.0), Catalogue(2.0), frame_of(STRIP, 0))) == []


def test_pieces_that_leave_their_strip_empty_stand_in_no_row() -> None:
    for item in (NestItem("disc", disc(6.0), quantity=20), NestItem("cross", cross(9.0), quantity=20)):
        assert list(patterns(Request((item,), (STRIP,), 2.0), Catalogue(2.0), frame_of(STRIP, 0))) == []


@pytest.mark.parametrize("side", ["left", "bottom", "right"])
@pytest.mark.parametrize("length", [90.0, 137.0])
def test_a_row_is_as_long_as_it_may_be_and_its_pieces_keep_the_gap(side: str, length: float) -> None:
    region = dataclasses.replace(STRIP, fill=side)
    request = dataclasses.replace(REQUEST, regions=(region,))
    frame, catalogue = frame_of(region, 0), Catalogue(2.0)
    plan = plan_of(request, list(patterns(request, catalogue, frame)), frame, length, 10.0, catalogue.units)
    assert len(plan.rows) >= 3 and all(row.of.key != "dot" for row in plan.rows.values())
    left = {item.key: item.quantity for item in plan.request.items if item.key not in plan.rows}
    for item in MIX:
        in_rows = sum(len(r.members) * r.item.quantity for r in plan.rows.values() if r.of.key == item.key)
        assert in_rows + left.get(item.key, 0) == item.quantity
    for row in plan.rows.values():
        one = dataclasses.replace(request, items=(dataclasses.replace(row.item, quantity=1),))
        lies = nest(dataclasses.replace(one, effort=Effort("once", 1), engines=("fill",))).positions
        singles = alone(dataclasses.replace(request, items=(row.of,)), plan, lies)
        outlines = [placed(row.of, p) for p in singles]
        apart = [a.distance(b) for a, b in itertools.combinations(outlines, 2)]
        assert len(outlines) == len(row.members) and 2.0 - 1e-6 <= min(apart) < 2.06
        whole = placed(row.item, lies[0])
        assert all(whole.buffer(1e-6).covers(outline) for outline in outlines)
        x0, y0, x1, y1 = whole.bounds
        assert max(x1 - x0, y1 - y0) <= length + 1e-6


@settings(max_examples=12, deadline=None)
@given(items(), films(), st.sampled_from([0.0, 0.3, 2.0]), st.booleans())
def test_whatever_comes_out_passes_the_gate(
    decals: tuple[NestItem, ...], film: NestRegion, gap: float, pair: bool
) -> None:
    more = [dataclasses.replace(item, quantity=2 * item.quantity + 2) for item in decals]
    if pair:
        more[0] = dataclasses.replace(more[0], group="pair", quantity=2)
    request = Request(tuple(more), (film,), gap)
    for found in rows(request, Task(150, 0, 1)):
        if found.positions is not None:
            assert gate(request, found.positions, left_out(request, list(found.positions), brief=True)) == []


def best_of(found: object, request: Request) -> tuple[tuple[int, ...], int, float]:
    some = [one.positions for one in found if one.positions is not None]  # type: ignore[attr-defined]
    return min(quick_score(request, list(positions)) for positions in some)


def test_rows_take_less_film_than_single_pieces_for_as_many_steps() -> None:
    in_rows, single = (best_of(engine(REQUEST, Task(400, 0, 1)), REQUEST) for engine in (rows, fill))
    assert in_rows[:2] == single[:2] == ((0,), 1) and in_rows[2] < 0.99 * single[2]


def test_a_row_left_out_counts_with_all_its_pieces() -> None:
    """By hand: on 40 × 60 mm no row of 88 mm goes, lying or standing, and five single bands do."""
    film = NestRegion("scrap", 40, 60, box(0, 0, 40, 60))
    request = Request((NestItem("band", box(0, 0, 28, 10), (0,), quantity=9),), (film,), 2.0)
    (left,), _, _ = best_of(fill(request, Task(50, 0, 1)), request)
    assert left == 4
    assert all(len(one.positions or ()) <= 5 for one in rows(request, Task(50, 0, 1)))


def test_pieces_of_few_copies_pinned_ones_and_pairs_stand_in_no_row() -> None:
    few = tuple(dataclasses.replace(item, quantity=3) for item in MIX)
    assert list(rows(dataclasses.replace(REQUEST, items=few), Task(300, 0, 1))) == []
    grouped = tuple(dataclasses.replace(item, group="all") for item in MIX)
    assert list(rows(dataclasses.replace(REQUEST, items=grouped), Task(300, 0, 1))) == []
    pin = Pin("stripe", 3, "strip", 50.0, 50.0)
    request = dataclasses.replace(REQUEST, pins=(pin,))
    catalogue = Catalogue(2.0)
    assert 0 not in {p.item for p in patterns(request, catalogue, frame_of(STRIP, 0))}
    result = nest(dataclasses.replace(request, engines=("rows",), effort=Effort("short", 200)))
    assert result.engine == "rows" and gate(request, result.positions, result.left_out) == []


@pytest.mark.parametrize("seed", ["1", "77"])
def test_the_same_whatever_the_hash_seed(seed: str) -> None:
    told = (
        "from tests.nesting.test_rows import *\n"
        "print([p for one in rows(REQUEST, Task(150, 0, 1)) if one.positions for p in one.positions][-4:])"
    )
    run = subprocess.run(
        [sys.executable, "-c", told],
        env={**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": os.pathsep.join(p for p in sys.path if p)},
        capture_output=True,
        text=True,
        check=True,
    )
    here = [p for one in rows(REQUEST, Task(150, 0, 1)) if one.positions for p in one.positions][-4:]
    assert run.stdout.strip() == str(here)


def test_a_proven_optimum_stops_the_clock() -> None:
    """Nothing is shorter than its longest piece, which may not be turned."""
    film = NestRegion("strip", 100, 62, box(0, 0, 100, 62), fill="left")
    decals = NestItem("long", box(0, 0, 60, 5), (0,)), NestItem("box", box(0, 0, 14, 14), quantity=6)
    effort = effort_of("60 s")
    assert effort is not None
    result = nest(Request(decals, (film,), 2.0, effort=effort, remnant="strip"))
    assert result.used_length == pytest.approx(60.0, abs=1e-5) and result.notes == ()


def test_very_many_copies_are_left_to_rows(monkeypatch: pytest.MonkeyPatch) -> None:
    """More than 400 pieces in rows: the fill has nothing more to do, unless rows leave a piece out."""
    film = NestRegion("A4", 287, 200, box(0, 0, 287, 200), repeat=True)
    scrap = NestRegion("scrap", 60, 60, box(0, 0, 60, 60))
    decals = tuple(NestItem(f"band {n}", box(0, 0, 20, 5 + n), (0, 180), quantity=140) for n in range(3))
    true = portfolio.load
    for region, engines in ((film, ["rows"]), (scrap, ["rows", "fill"])):
        loaded: list[str] = []

        def load(where: str, loaded: list[str] = loaded) -> Engine:
            loaded.append(where.rpartition(":")[2])
            return true(where)

        monkeypatch.setattr(portfolio, "load", load)
        request = Request(decals, (region,), 0.5, effort=Effort("short", 60, guard=3600))
        result = nest(request)
        assert loaded == engines and gate(request, result.positions, result.left_out) == []
        assert bool(result.left_out) == (region is scrap)


def test_as_many_processors_as_the_process_may_use(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "sched_getaffinity", lambda process: {1, 4, 6}, raising=False)
    assert portfolio.available_cores() == 3
    monkeypatch.delattr(os, "sched_getaffinity")
    monkeypatch.setattr(os, "cpu_count", lambda: None)
    assert portfolio.available_cores() == 1
