"""The gate finds each kind of fault; layouts spoilt on purpose."""

from __future__ import annotations

import dataclasses

import pytest
from shapely.geometry import Polygon, box

from decalgen.nesting import LeftOut, NestItem, NestPosition, NestRegion, Pin, Request
from decalgen.nesting.gate import gate

FILM = NestRegion("film", 100, 60, box(5, 5, 95, 55), (box(70, 40, 95, 55),), keep_out_clearance=2.0)
ITEMS = (NestItem("band", box(0, 0, 20, 5), turns=(0, 180), quantity=2), NestItem("star", box(0, 0, 8, 8)))
REQUEST = Request(ITEMS, (FILM,), gap=1.0)


def at(item: str, copy: int, x: float, y: float, turn: int = 0, sheet: int = 0) -> NestPosition:
    return NestPosition(item, copy, "film", sheet, x, y, turn)


GOOD = (at("band", 0, 5, 5), at("band", 1, 5, 11), at("star", 0, 5, 17))


def kinds(positions: tuple[NestPosition, ...], request: Request = REQUEST) -> list[str]:
    return [fault.kind for fault in gate(request, positions, ())]


def test_a_good_layout_passes_exactly_at_the_limits() -> None:
    assert kinds(GOOD) == []
    assert kinds((*GOOD[:2], at("star", 0, 60, 30))) == []  # 2 mm left of and below the used part
    assert kinds((*GOOD[:2], at("star", 0, 60, 32))) == []


@pytest.mark.parametrize(
    ("positions", "kind"),
    [
        (GOOD[:2], "count"),
        ((*GOOD, GOOD[0]), "count"),
        ((*GOOD, at("star", 1, 40, 30)), "count"),
        ((*GOOD[:2], at("comet", 0, 40, 30)), "count"),
        ((*GOOD[:2], at("star", 0, float("nan"), 30)), "reference"),
        ((at("band", 0, 10, 30, 90), *GOOD[1:]), "turn"),
        ((*GOOD[:2], at("star", 0, 4.999998, 17)), "edge"),
        ((*GOOD[:2], at("star", 0, 87.000002, 17)), "edge"),
        ((*GOOD[:2], at("star", 0, 60.000002, 42)), "keep-out"),
        ((*GOOD[:2], at("star", 0, 75, 45)), "keep-out"),
        ((*GOOD[:2], at("star", 0, 5, 16.999998)), "gap"),
        ((*GOOD[:2], at("star", 0, 6, 6)), "gap"),
        ((*GOOD[:2], at("star", 0, 5, 17, sheet=1)), "sheet"),
    ],
)
def test_each_fault_is_found(positions: tuple[NestPosition, ...], kind: str) -> None:
    assert kind in kinds(positions)


def test_a_group_with_a_piece_left_out_is_not_together() -> None:
    pair = Request(tuple(dataclasses.replace(item, group="pair") for item in ITEMS), (FILM,), gap=1.0)
    assert gate(pair, GOOD, ()) == []
    star = LeftOut("star", (0,), (8, 8), (0, 0), "no room")
    assert [f.kind for f in gate(pair, GOOD[:2], (star,))] == ["group"]
    bands = LeftOut("band", (0, 1), (20, 5), (0, 0), "no room")
    assert gate(pair, (), (star, bands)) == []  # left out as one


def test_left_out_pieces_are_counted() -> None:
    entry = LeftOut("star", (0,), (8, 8), (0, 0), "no room")
    assert gate(REQUEST, GOOD[:2], (entry,)) == []
    assert [f.kind for f in gate(REQUEST, GOOD, (entry,))] == ["count"]


def test_pieces_may_touch_but_not_overlap_where_there_is_no_gap() -> None:
    request = Request(ITEMS, (dataclasses.replace(FILM, keep_out_clearance=0.0),), gap=0.0)
    touching = (at("band", 0, 5, 5), at("band", 1, 5, 10), at("star", 0, 62, 40))
    assert kinds(touching, request) == []
    assert kinds((touching[0], at("band", 1, 5, 9.99999), touching[2]), request) == ["gap"]
    assert kinds((*touching[:2], at("star", 0, 62.00001, 40)), request) == ["keep-out"]
    assert kinds((touching[0], at("band", 1, 5, 5), touching[2]), request) == ["gap"]


def test_a_notch_of_the_usable_area_counts_as_an_edge() -> None:
    notched = Polygon([(5, 5), (45, 5), (50, 20), (55, 5), (95, 5), (95, 55), (5, 55)])
    request = Request((NestItem("long", box(0, 0, 60, 10)),), (NestRegion("film", 100, 60, notched),), gap=1.0)
    assert kinds((NestPosition("long", 0, "film", 0, 20, 6, 0),), request) == ["edge"]
    assert kinds((NestPosition("long", 0, "film", 0, 20, 20, 0),), request) == []


def test_pins_and_groups() -> None:
    pinned = dataclasses.replace(REQUEST, pins=(Pin("star", 0, "film", 5, 17),))
    assert kinds(GOOD, pinned) == []
    assert kinds((*GOOD[:2], at("star", 0, 30, 30)), pinned) == ["pin"]
    pair = tuple(dataclasses.replace(item, group="pair") for item in ITEMS)
    two = (dataclasses.replace(FILM, repeat=True),)
    apart = (*GOOD[:2], at("star", 0, 5, 17, sheet=1))
    assert kinds(apart, Request(pair, two, gap=1.0)) == ["group"]
    assert kinds(GOOD, Request(pair, two, gap=1.0)) == []


def test_an_opening_may_hold_a_piece_that_keeps_the_gap() -> None:
    frame = NestItem("frame", box(0, 0, 30, 30), openings=(box(5, 5, 25, 25),))
    small = NestItem("small", box(0, 0, 10, 10))
    request = Request((frame, small), (NestRegion("film", 50, 50, box(0, 0, 50, 50)),), gap=2.0)
    inside = (NestPosition("frame", 0, "film", 0, 0, 0, 0), NestPosition("small", 0, "film", 0, 7, 7, 0))
    assert kinds(inside, request) == []
    assert kinds((inside[0], NestPosition("small", 0, "film", 0, 6.9, 7, 0)), request) == ["gap"]


@pytest.mark.parametrize(
    ("star", "said"),
    [
        (at("star", 0, 6, 6), "band and star overlap"),
        (at("star", 0, 5, 16.5), "band and star are 0.50 mm apart, not 1 mm"),
        (at("star", 0, 5, 16.999998), "band and star are 0.999998 mm apart, not 1 mm"),
    ],
)
def test_pieces_too_near_say_how_near_and_pieces_that_overlap_say_so(star: NestPosition, said: str) -> None:
    assert said in [fault.message for fault in gate(REQUEST, (*GOOD[:2], star), ())]
