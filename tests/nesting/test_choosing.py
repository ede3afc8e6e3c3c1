"""Orders made by choosing the piece that suits each place."""

from __future__ import annotations

import dataclasses
import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import box

from decalgen.nesting import Effort, NestItem, NestRegion, Pin, Request, nest
from decalgen.nesting.gate import gate
from tests.nesting.cases import cross, disc, films, items, slanted

pytest.importorskip("pyclipper")

from decalgen.nesting.choosing import TASTES, chosen, chosen_by_sheet
from decalgen.nesting.order import Filler


def lying(filler: Filler, puts: list[object]) -> set[object]:
    return {(p.piece.item, p.piece.copy, p.sheet, p.x, p.y, p.solid.ident) for p in puts}  # type: ignore[attr-defined]


@settings(max_examples=25, deadline=None)
@given(items(), films(), st.sampled_from(TASTES), st.booleans())
def test_filling_in_the_order_chosen_gives_the_layout_chosen(
    pieces: tuple[NestItem, ...], film: NestRegion, taste: object, vary: bool
) -> None:
    filler = Filler(Request(pieces, (film,), 1.0))
    assert taste in TASTES
    wanted = TASTES[TASTES.index(taste)]  # type: ignore[arg-type]
    if vary:
        wanted = wanted.varied(random.Random(3), len(pieces))
    order, run = chosen(filler, wanted)
    assert len(order) == len(filler.free_pieces) == len(run.puts) + len(run.left)
    again = filler.start()
    filler.go(again, order)
    # A position may be rounded to the next whole step, a ten millionth of a millimetre, the other way.
    one, other = (sorted(lying(filler, list(some))) for some in (again.puts, run.puts))  # type: ignore[type-var]
    assert len(one) == len(other)
    for a, b in zip(one, other, strict=True):
        assert a[:3] == b[:3] and a[5] == b[5] and max(abs(a[3] - b[3]), abs(a[4] - b[4])) <= 1, (a, b)  # type: ignore[index]
    ranks = [pieces[piece.item].priority for piece, _ in order]
    assert ranks == sorted(ranks, reverse=True)


def test_many_pieces_on_several_sheets_with_pins_and_priorities_keep_the_rules() -> None:
    """More pieces than are searched one by one, so that they are taken a window at a time."""
    kinds = (
        NestItem("stripe", slanted(40, 7, 6), quantity=40),
        NestItem("roundel", disc(5.0, 16), quantity=60, priority=1),
        NestItem("cross", cross(9.0), quantity=40),
        NestItem("band", box(0, 0, 30, 5), quantity=30, turns=(0, 180)),
    )
    film = NestRegion("A5", 210, 148, box(5, 5, 205, 143), repeat=True)
    short = Effort("short", 400, guard=3600)
    plain = Request(kinds, (film,), 1.5, effort=short, remnant="strip", engines=("fill",))
    level = tuple(dataclasses.replace(item, priority=0) for item in kinds)
    for request in (
        plain,
        dataclasses.replace(plain, items=level),
        dataclasses.replace(
            plain, items=level, pins=(Pin("band", 3, "A5", 100.0, 70.0), Pin("band", 4, "A5", 9, 9, 0, 1))
        ),
    ):
        result = nest(request)
        assert not result.left_out and result.engine == "fill" and result.notes == ()
        assert gate(request, result.positions, result.left_out) == []


MIXED = (
    NestItem("stripe", slanted(40, 7, 6), quantity=20),
    NestItem("roundel", disc(5.0, 16), quantity=30),
    NestItem("cross", cross(9.0), quantity=20),
    NestItem("band", box(0, 0, 30, 5), quantity=15, turns=(0, 180)),
)
SMALL = NestRegion("A6", 148, 105, box(5, 5, 143, 100), repeat=True)


def test_sheets_chosen_one_by_one_are_no_worse_than_the_first_of_their_tastes() -> None:
    """The first sheet is the fullest that any taste makes of it: it holds at least what each taste alone puts there."""
    filler = Filler(Request(MIXED, (SMALL,), 1.5))
    room = [item.outline.area for item in MIXED]
    order, run, spent = chosen_by_sheet(filler, TASTES, room)
    assert len(order) == len(filler.free_pieces) == len(run.puts) and not run.left
    assert spent > len(run.puts), "every taste was tried on every sheet"
    first = sum(room[p.piece.item] for p in run.puts if p.sheet == 0)
    alone = [sum(room[p.piece.item] for p in chosen(filler, t)[1].puts if p.sheet == 0) for t in TASTES]
    assert first == pytest.approx(max(alone)) and min(alone) < max(alone)
    again = filler.start()
    filler.go(again, order)
    assert lying(filler, list(again.puts)) == lying(filler, list(run.puts))


def test_of_tastes_that_place_as_much_the_one_that_ends_first_is_kept() -> None:
    few = tuple(dataclasses.replace(item, quantity=3) for item in MIXED)
    filler = Filler(Request(few, (SMALL,), 1.5))
    ends = [max(put.end for put in chosen(filler, taste)[1].puts) for taste in TASTES]
    assert min(ends) < ends[0] and min(ends) < ends[-1], "neither the first taste tried nor the last is the best"
    for tastes in (TASTES, TASTES[::-1]):
        _, run, _ = chosen_by_sheet(filler, tastes, [1.0] * len(few))
        assert not run.left and {put.sheet for put in run.puts} == {0}
        assert max(put.end for put in run.puts) == min(ends)


def test_a_taste_alone_gives_the_same_sheets_either_way() -> None:
    filler = Filler(Request(MIXED, (SMALL,), 1.5))
    _, run, _ = chosen_by_sheet(filler, TASTES[:1], [1.0] * len(MIXED))
    assert lying(filler, list(run.puts)) == lying(filler, list(chosen(filler, TASTES[0])[1].puts))


def test_a_full_sheet_does_not_close_the_empty_ones_beside_it() -> None:
    """The pieces of high priority fill the first sheet; those that come after them begin another."""
    film = NestRegion("card", 50, 50, box(0, 0, 50, 50), repeat=True)
    first = NestItem("plate", box(0, 0, 50, 50), quantity=1, priority=1)
    filler = Filler(Request((first, NestItem("band", box(0, 0, 40, 10), quantity=3)), (film,), 1.0))
    for taste in TASTES:
        _, run = chosen(filler, taste)
        assert not run.left
        assert [put.sheet for put in run.puts] == [0, 1, 1, 1]


def test_many_pieces_on_sheets_alike_go_on_the_same_each_time() -> None:
    many = tuple(dataclasses.replace(item, quantity=2 * item.quantity) for item in MIXED)
    request = Request(many, (SMALL,), 1.5, effort=Effort("some", 3000, guard=3600), remnant="strip", engines=("fill",))
    result = nest(request)
    assert not result.left_out and gate(request, result.positions, result.left_out) == []
    assert nest(request).positions == result.positions
