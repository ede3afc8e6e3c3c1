"""Windows of a layout nested again: never worse, always right, and better where a layout is plainly poor."""

from __future__ import annotations

import dataclasses

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import box

from decalgen.nesting import Effort, NestItem, NestPosition, NestRegion, Pin, Request
from decalgen.nesting.engine import Task
from decalgen.nesting.gate import gate
from decalgen.nesting.renest import renest
from decalgen.nesting.result import left_out, quick_score
from decalgen.nesting.shelf import shelf
from tests.nesting.cases import films, items

pytest.importorskip("pyclipper")

FILM = NestRegion("film", 200, 100, box(0, 0, 200, 100), fill="left")


def last_layout(
    request: Request, start: tuple[NestPosition, ...], steps: int = 400, seed: int = 1
) -> tuple[NestPosition, ...]:
    """The last layout found from a start, each checked on the way."""
    best, value = start, quick_score(request, list(start))
    for found in renest(request, Task(steps, 0, seed, start=start)):
        if found.positions is not None:
            assert gate(request, found.positions, left_out(request, list(found.positions), brief=True)) == []
            new = quick_score(request, list(found.positions))
            assert new <= value or (any(new[0]) and new[:2] == value[:2])  # how far counts once all are on
            best, value = found.positions, new
    return best


@settings(max_examples=25, deadline=None)
@given(items(), films(), st.sampled_from([0.0, 1.5]), st.booleans())
def test_never_worse_and_always_right(pieces: tuple[NestItem, ...], film: NestRegion, gap: float, pair: bool) -> None:
    if pair:
        pieces = (dataclasses.replace(pieces[0], group="pair"), *pieces[1:])
    request = Request(pieces, (film,), gap, effort=Effort("short", 100))
    start = next(shelf(request, Task(1, 0, 1))).positions
    assert start is not None
    last_layout(request, start, steps=120)


def test_a_gap_left_in_the_middle_is_found_and_used() -> None:
    """Worked by hand: four bands of 30 x 20 mm fit upright or lying in 48 mm of a strip 100 mm high (two columns of
    20, or one of 4 x 20 + 3 x 2 = 86 mm high and 30 long); the start uses 200 mm."""
    request = Request((NestItem("band", box(0, 0, 30, 20), quantity=4),), (FILM,), 2.0, remnant="strip")
    start = tuple(NestPosition("band", copy, "film", 0, x, 0.0, 0) for copy, x in enumerate((0.0, 40.0, 90.0, 170.0)))
    _, _, used = quick_score(request, list(last_layout(request, start)))
    assert used == pytest.approx(30.0, abs=1e-4)


def test_a_piece_left_out_is_brought_in_by_moving_others() -> None:
    """Worked by hand: two plates of 99 x 98 mm and a gap of 2 mm fill 200 mm; the start lays one in the middle."""
    request = Request((NestItem("plate", box(0, 0, 99, 98), turns=(0,), quantity=2),), (FILM,), 2.0)
    request = dataclasses.replace(request, items=(*request.items, NestItem("dot", box(0, 0, 1, 1), turns=(0,))))
    start = (NestPosition("plate", 0, "film", 0, 50.0, 1.0, 0), NestPosition("dot", 0, "film", 0, 0.0, 0.0, 0))
    found = last_layout(request, start, steps=2000)
    assert [p.item for p in found].count("plate") == 2


def test_pinned_pieces_stay_and_copies_keep_their_names() -> None:
    pins = (Pin("band", 1, "film", 100.0, 40.0, 90),)
    request = Request((NestItem("band", box(0, 0, 30, 20), quantity=4),), (FILM,), 2.0, remnant="strip", pins=pins)
    start = (
        NestPosition("band", 1, "film", 0, 100.0, 40.0, 90),
        *(NestPosition("band", copy, "film", 0, x, 0.0, 180) for copy, x in ((0, 60.0), (2, 150.0), (3, 190.0))),
    )
    # Turned by 180 degrees a band reaches from x - 30 to x and below y: lift it onto the film.
    start = tuple(dataclasses.replace(p, y=20.0) if p.turn == 180 else p for p in start)
    found = last_layout(request, start)
    assert start[0] in found
    assert sorted(p.copy for p in found) == [0, 1, 2, 3]
    assert quick_score(request, list(found))[2] == pytest.approx(100.0, abs=1e-4)


def test_the_same_start_and_seed_give_the_same_layout() -> None:
    bands = tuple(NestItem(f"band {n}", box(0, 0, 17 + 3 * n, 9 + n), quantity=3) for n in range(5))
    request = Request(bands, (FILM,), 1.5, remnant="strip")
    start = next(shelf(request, Task(1, 0, 1))).positions
    assert start is not None
    assert last_layout(request, start) == last_layout(request, start)


def test_without_a_layout_to_start_from_it_gives_nothing() -> None:
    request = Request((NestItem("band", box(0, 0, 30, 20), quantity=4),), (FILM,), 2.0)
    assert list(renest(request, Task(100, 0, 1))) == []
