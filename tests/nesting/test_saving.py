"""What could still be saved of the film: bounds beside rectangles reckoned by hand and searched one by one."""

from __future__ import annotations

import math
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon, box

from decalgen.nesting import QUICK, NestItem, NestRegion, Pin, Request, nest
from decalgen.nesting.frame import frame_of
from decalgen.nesting.most import most_left
from tests.nesting.cases import disc, films, items

A5 = NestRegion("A5", 210, 148, box(5, 5, 205, 143))


def most(region: NestRegion, gap: float, *pieces: NestItem) -> float:
    return most_left(frame_of(region, 0), gap, 0.0, pieces)


def test_one_piece_in_the_corner_of_an_empty_sheet_leaves_what_lies_beside_or_above_it() -> None:
    # By hand, 200 × 138 mm: turned either way, the piece of 100 × 20 mm takes 20 + 2 mm of one side.
    piece = NestItem("band", box(0, 0, 100, 20))
    assert most(A5, 2.0, piece) == pytest.approx(max(200 * (138 - 22), (200 - 22) * 138))
    assert most(A5, 2.0, NestItem("band", box(0, 0, 100, 20), turns=(90,))) == pytest.approx((200 - 22) * 138)
    found = nest(Request((piece,), (A5,), 2.0))
    assert found.bound.least == pytest.approx(22 * 138, rel=1e-6)
    assert found.bound.used == pytest.approx(found.bound.least, rel=1e-6) and found.bound.saving < 1e-3


def test_fewest_sheets_are_claimed_only_where_they_are_proven() -> None:
    # Two plates of 49 % of a card's area: one card has the area for both, but not the room.
    card = NestRegion("card", 100, 100, box(0, 0, 100, 100), repeat=True)
    one, two = (nest(Request((NestItem("plate", box(0, 0, 70, 70), quantity=n),), (card,), 1.0)) for n in (1, 2))
    assert one.bound.fewest_sheets
    assert {p.sheet for p in two.positions} == {0, 1}
    assert two.bound.sheets == 1 and not two.bound.fewest_sheets


def test_a_disc_counts_with_the_square_in_it() -> None:
    inner = 2 * 30 / math.sqrt(2)
    assert most(A5, 0.0, NestItem("disc", disc(30.0, 400))) == pytest.approx((200 - inner) * 138, rel=1e-3)


def test_pieces_that_fill_a_side_leave_no_more_than_their_area_and_gaps_allow() -> None:
    # By hand: eight squares of 15.5 mm with gaps of 2 mm fill 138 mm; a rectangle beside them has 182.5 × 138 mm.
    found = nest(Request((NestItem("square", box(0, 0, 15.5, 15.5), quantity=8),), (A5,), 2.0))
    assert found.bound.used == pytest.approx(17.5 * 138, rel=1e-6)
    assert 0.99 * found.bound.used < found.bound.least <= found.bound.used


def test_a_used_part_across_the_sheet_halves_what_can_be_left() -> None:
    film = NestRegion("A5", 210, 148, box(5, 5, 205, 143), keep_outs=(box(100, 0, 110, 148),), keep_out_clearance=1.0)
    # 5 to 99 and 111 to 205 mm: two parts of 94 mm.
    assert most(film, 1.0) == pytest.approx(94 * 138, rel=1e-6)


def test_a_piece_pinned_in_the_middle_is_not_held_against_the_nest() -> None:
    # By hand: a square of 20 mm pinned at 100, 60 leaves 205 - 122 = 83 by 138 mm, or 143 - 82 = 61 by 200 mm.
    pinned = Request((NestItem("square", box(0, 0, 20, 20)),), (A5,), 2.0, pins=(Pin("square", 0, "A5", 100, 60),))
    found = nest(pinned)
    left = max((100 - 2 - 5) * 138, 83 * 138, 61 * 200, (60 - 2 - 5) * 200)
    assert found.bound.least == pytest.approx(200 * 138 - left) and found.bound.saving < 1e-6


@settings(max_examples=30, deadline=None)
@given(items(), films(), st.sampled_from([0.5, 2.0]))
def test_no_nest_leaves_more_than_the_bound(pieces: tuple[NestItem, ...], film: NestRegion, gap: float) -> None:
    found = nest(Request(pieces, (film,), gap, effort=QUICK, engines=("shelf",)))
    if found.left_out or len(found.used) != 1 or found.used[0].remnant is None:
        return
    x0, y0, x1, y1 = found.used[0].remnant
    most_of_all = most_left(frame_of(film, 0), gap, 0.0, pieces)
    assert (x1 - x0) * (y1 - y0) <= most_of_all * (1 + 1e-6) + 1e-6
    assert 0 <= found.bound.least <= found.bound.used


@pytest.mark.parametrize("gap", [0, 1, 2])
def test_whole_millimetres_searched_one_by_one_never_beat_the_bound(gap: int) -> None:
    """A piece at every place of a small sheet and every rectangle beside it."""
    wide, high, a, b = 9, 7, 4, 2
    film = NestRegion("chip", wide, high, box(0, 0, wide, high))
    best = 0
    for x, y in product(range(wide - a + 1), range(high - b + 1)):
        piece = box(x, y, x + a, y + b)
        for left, low in product(range(wide), range(high)):
            for right, top in product(range(left + 1, wide + 1), range(low + 1, high + 1)):
                area, free = (right - left) * (top - low), box(left, low, right, top)
                if area > best and piece.distance(free) >= gap and not piece.intersection(free).area:
                    best = area
    piece_ = NestItem("band", Polygon([(0, 0), (a, 0), (a, b), (0, b)]), turns=(0,))
    spread = a * b + gap * (a + b) + math.pi * gap**2 / 4
    bound = most_left(frame_of(film, 0), gap, spread, (piece_,))
    assert best <= bound + 1e-9
    assert bound < wide * high - a * b + 1e-9
