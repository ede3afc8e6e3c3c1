"""What a nest says about a sheet: left out, used, remnant, bound."""

from __future__ import annotations

import dataclasses

import pytest
from shapely.geometry import box

from decalgen.nesting import NestItem, NestRegion, Pin, Progress, Request, nest
from decalgen.nesting.gate import gate
from decalgen.nesting.model import NORMAL, QUICK, Effort

A5 = NestRegion("A5", 210, 148, box(5, 5, 205, 143))


def test_a_decal_larger_than_the_film_is_named_with_the_size_it_needs() -> None:
    request = Request((NestItem("roof board", box(0, 0, 240, 12.5)), NestItem("star", box(0, 0, 8, 8))), (A5,), 1.0)
    result = nest(request)
    assert [p.item for p in result.positions] == ["star"]
    (entry,) = result.left_out
    assert (entry.item, entry.copies) == ("roof board", (0,))
    assert sorted(entry.needs) == [12.5, 240.0]
    assert entry.largest_free == pytest.approx((200, 138))
    assert "240.00" in entry.reason and "200.00 x 138.00" in entry.reason


def test_copies_that_no_longer_fit_are_left_out_by_priority() -> None:
    few = NestRegion("scrap", 40, 30, box(0, 0, 40, 30))
    request = Request(
        (
            NestItem("spare", box(0, 0, 19, 9), quantity=6),
            NestItem("needed", box(0, 0, 19, 9), priority=1, quantity=3),
        ),
        (few,),
        gap=1.0,
    )
    result = nest(request)
    assert sum(p.item == "needed" for p in result.positions) == 3
    (entry,) = result.left_out
    assert entry.item == "spare"
    assert len(entry.copies) == 6 - (len(result.positions) - 3)


def test_pieces_that_fill_the_film_exactly_all_go_on() -> None:
    """Worked by hand: 4 rows of 33 mm and 3 gaps of 2 mm are 138 mm; 2 of 99 mm and 2 mm are 200 mm."""
    request = Request((NestItem("plate", box(0, 0, 99, 33), turns=(0,), quantity=8),), (A5,), gap=2.0)
    result = nest(request)
    assert not result.left_out
    assert len(result.used) == 1
    assert result.used[0].used_length == pytest.approx(200.0, abs=1e-6)
    assert gate(request, result.positions, result.left_out) == []


def test_sheets_are_opened_in_order_and_an_endless_one_as_often_as_needed() -> None:
    scrap = NestRegion("scrap", 60, 60, box(0, 0, 60, 60))
    request = Request(
        (NestItem("square", box(0, 0, 55, 55), quantity=9),), (scrap, dataclasses.replace(A5, repeat=True)), 2.0
    )
    result = nest(request)
    assert [use.region for use in result.used] == ["scrap", "A5", "A5"]
    assert [use.pieces for use in result.used] == [1, 6, 2]
    assert [use.number for use in result.used] == [0, 0, 1]


def test_filling_gathers_at_the_side_asked_for() -> None:
    item = NestItem("band", box(0, 0, 30, 10), quantity=4)
    for side, axis, low in (("left", 0, True), ("right", 0, False), ("bottom", 1, True), ("top", 1, False)):
        request = Request((item,), (dataclasses.replace(A5, fill=side),), 1.0)  # type: ignore[arg-type]
        result = nest(request)
        box_ = result.used[0].remnant
        assert box_ is not None
        edge = (5.0, 5.0, 205.0, 143.0)[axis if not low else axis + 2]
        assert box_[axis + 2 if low else axis] == pytest.approx(edge)
        assert box_[axis if low else axis + 2] == pytest.approx(
            (5 + result.used[0].used_length + 1) if low else ((205, 143)[axis] - result.used[0].used_length - 1),
            abs=1e-3,
        )


def test_the_strip_left_over_starts_a_gap_behind_the_last_piece() -> None:
    request = Request((NestItem("band", box(0, 0, 40, 138), turns=(0,)),), (A5,), 3.0, remnant="strip")
    result = nest(request)
    assert result.used[0].remnant == pytest.approx((48, 5, 205, 143))


def test_the_bound_counts_the_gap_in() -> None:
    """Worked by hand: 200 squares of 8 mm with a gap of 2 mm take (64 + 32 + pi) mm² each."""
    request = Request((NestItem("square", box(0, 0, 8, 8), quantity=200),), (A5,), 2.0, remnant="strip")
    result = nest(request)
    by_hand = 200 * (64 + 4 * 8 + 3.14159265) / (138 + 2) - 2
    assert result.bound.used_length == pytest.approx(by_hand, rel=2e-3)
    assert result.bound.used_length <= by_hand
    assert result.bound.used_length <= result.used_length
    assert result.bound.fewest_sheets and result.bound.sheets == 1
    expected = 100 * (1 - result.bound.used_length / result.used_length)
    assert result.bound.saving == pytest.approx(expected)


def test_a_single_long_piece_is_its_own_bound() -> None:
    request = Request((NestItem("band", box(0, 0, 150, 10), turns=(0,)),), (A5,), 2.0)
    result = nest(request)
    assert result.bound.used_length == pytest.approx(150)
    assert result.bound.saving == pytest.approx(0, abs=1e-9)


def test_pinned_pieces_lie_where_they_are_pinned() -> None:
    pins = (Pin("square", 2, "A5", 100, 50), Pin("square", 0, "A5", 5, 5, turn=0))
    request = Request((NestItem("square", box(0, 0, 20, 20), quantity=12),), (A5,), 2.0, pins=pins)
    result = nest(request)
    lies = {(p.item, p.copy): (p.x, p.y, p.turn) for p in result.positions}
    assert lies["square", 2] == (100, 50, 0)
    assert lies["square", 0] == (5, 5, 0)
    assert len(lies) == 12 and gate(request, result.positions, result.left_out) == []


def test_a_group_stays_on_one_sheet() -> None:
    small = NestRegion("strip", 60, 22, box(0, 0, 60, 22), repeat=True)
    decals = (
        NestItem("filler", box(0, 0, 35, 20), turns=(0,), quantity=1),
        NestItem("left door", box(0, 0, 20, 20), group="doors"),
        NestItem("right door", box(0, 0, 20, 20), group="doors"),
    )
    request = Request(decals, (small,), 2.0)
    result = nest(request)
    assert not result.left_out
    sheets = {p.item: p.sheet for p in result.positions}
    assert sheets["left door"] == sheets["right door"] != sheets["filler"]


def test_a_watcher_hears_of_progress_and_may_stop_it() -> None:
    heard: list[Progress] = []
    request = Request((NestItem("band", box(0, 0, 20, 5), quantity=30),), (A5,), 1.0)

    def stop_at_once(report: Progress) -> bool:
        heard.append(report)
        return False

    stopped = nest(request, stop_at_once)
    assert len(heard) == 1 and heard[0].pieces == 30
    assert not stopped.complete
    assert len(stopped.positions) == 30 and gate(request, stopped.positions, stopped.left_out) == []
    assert nest(request).complete


@pytest.mark.parametrize("length", [190.0, 200.0, 280.0])
def test_a_long_stripe_is_placed_by_the_exact_fill(length: float) -> None:
    """A long piece makes the whole numbers that the fill reckons in large; they must not be made coarser for it."""
    pytest.importorskip("pyclipper")
    item = NestItem("stripe", box(0, 0, length, 3.0), quantity=3)
    sheet = NestRegion("A4", 210.0, 297.0, box(5, 5, 205, 292))
    found = nest(Request((item,), (sheet,), 2.5, effort=QUICK, engines=("fill",)))
    assert found.engine == "fill" and found.notes == () and len(found.positions) == 3


@pytest.mark.parametrize("effort", [QUICK, NORMAL])
@pytest.mark.parametrize(("across", "up"), [(4, 3), (3, 4), (2, 6), (6, 2), (12, 1)])
@pytest.mark.parametrize("turned", [False, True])
def test_twelve_equal_boxes_that_just_fit_all_lie(across: int, up: int, turned: bool, effort: Effort) -> None:
    """Worked by hand: the boxes and the gaps between them fill the 200 x 138 mm up to a thousandth of a millimetre."""
    width, height = (200 - (across - 1) * 2) / across - 0.001, (138 - (up - 1) * 2) / up - 0.001
    shape = box(0, 0, height, width) if turned else box(0, 0, width, height)
    request = Request((NestItem("board", shape, quantity=12),), (A5,), 2.0, effort=effort)
    result = nest(request)
    assert len(result.positions) == 12 and gate(request, result.positions, result.left_out) == []
