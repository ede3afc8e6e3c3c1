"""Pieces that have to do with one another: pinned, side by side, together on a sheet, one inside another."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence

import pytest
from shapely.geometry import Polygon, box

from decalgen.nesting import Effort, Nest, NestItem, NestRegion, Pin, Request, fill, nest, placed
from decalgen.nesting.convex import GridPath, superset
from decalgen.nesting.engine import Task
from decalgen.nesting.gate import gate
from decalgen.nesting.model import BESIDE
from decalgen.nesting.separate import separate
from decalgen.nesting.turning import ring
from tests.nesting.cases import cross, disc

A5 = NestRegion("A5", 210, 148, box(5, 5, 205, 143))
SHORT = Effort("short", 150)
FILLER = (NestItem("roundel", disc(7.0), quantity=9), NestItem("cross", cross(16.0), quantity=6))


def outlines(request: Request, result: Nest) -> dict[tuple[str, int], Polygon]:
    items = {item.key: item for item in request.items}
    return {(p.item, p.copy): placed(items[p.item], p) for p in result.positions}


@pytest.mark.parametrize("gap", [0.5, 2.0])
@pytest.mark.parametrize("turns", [(0,), (0, 90, 180, 270)])
def test_a_pair_lies_side_by_side(gap: float, turns: tuple[int, ...]) -> None:
    door = Polygon([(0, 0), (30, 0), (30, 14), (8, 18), (0, 12)])
    other = Polygon([(-x, y) for x, y in door.exterior.coords])
    pair = (NestItem("left door", door, turns, group="doors"), NestItem("right door", other, turns, group="doors"))
    request = Request((*FILLER, *pair), (A5,), gap, effort=SHORT)
    result = nest(request)
    assert not result.left_out and gate(request, result.positions, result.left_out) == []
    lie = outlines(request, result)
    assert lie["left door", 0].distance(lie["right door", 0]) == pytest.approx(gap, abs=1e-3)


def test_a_pair_of_boxes_lies_edge_to_edge() -> None:
    """Worked by hand: the box round two plates of 40 x 9 mm a gap of 2 mm apart is 40 x 20 or 82 x 9 mm."""
    plates = NestItem("plate", box(0, 0, 40, 9), quantity=2, group="plates")
    request = Request((*FILLER, plates), (A5,), 2.0, effort=SHORT)
    lie = outlines(request, nest(request))
    x0, y0, x1, y1 = lie["plate", 0].union(lie["plate", 1]).bounds
    assert sorted((x1 - x0, y1 - y0)) in (pytest.approx([20, 40], abs=1e-4), pytest.approx([9, 82], abs=1e-4))


def test_a_piece_is_laid_beside_the_pinned_one_of_its_pair() -> None:
    plates = NestItem("plate", box(0, 0, 40, 9), quantity=2, group="plates")
    request = Request((*FILLER, plates), (A5,), 2.0, effort=SHORT, pins=(Pin("plate", 0, "A5", 120, 80),))
    result = nest(request)
    assert gate(request, result.positions, result.left_out) == []
    lie = outlines(request, result)
    assert lie["plate", 0].bounds == (120, 80, 160, 89)
    assert lie["plate", 0].distance(lie["plate", 1]) == pytest.approx(2.0, abs=1e-3)


def test_a_large_group_shares_a_sheet() -> None:
    job = NestItem("stripe", box(0, 0, 60, 8), quantity=20, group="one job")
    request = Request((*FILLER, job), (dataclasses.replace(A5, repeat=True),), 2.0, effort=SHORT)
    result = nest(request)
    assert not result.left_out and gate(request, result.positions, result.left_out) == []
    assert len({p.sheet for p in result.positions if p.item == "stripe"}) == 1


def test_a_group_that_no_sheet_holds_is_left_out_whole_and_named() -> None:
    job = NestItem("panel", box(0, 0, 90, 60), quantity=5, group="one job")
    request = Request((*FILLER, job), (dataclasses.replace(A5, repeat=True),), 2.0, effort=SHORT)
    result = nest(request)
    (entry,) = result.left_out
    assert entry.item == "panel" and len(entry.copies) == 5 and "one job stays together" in entry.reason
    assert gate(request, result.positions, result.left_out) == []


def test_small_pieces_lie_inside_a_large_opening() -> None:
    """Worked by hand: beside the frame there is no room, and its opening of 50 x 50 mm holds three bars, since
    3 x 13.9 + 4 x 2 = 49.7; a fourth would need 65.6."""
    frame = NestItem("frame", box(0, 0, 80, 80), turns=(0,), priority=1, openings=(box(15, 15, 65, 65),))
    film = NestRegion("scrap", 90, 90, box(5, 5, 85, 85))
    bars = NestItem("bar", box(0, 0, 40, 13.9), quantity=4)
    request = Request((frame, bars), (film,), 2.0, effort=SHORT)
    result = nest(request)
    assert gate(request, result.positions, result.left_out) == []
    assert [p.item for p in result.positions].count("bar") == 3
    without = dataclasses.replace(request, items=(dataclasses.replace(frame, openings=()), bars))
    assert [p.item for p in nest(without).positions] == ["frame"]


def test_the_remnant_asked_for_decides_between_layouts() -> None:
    """Worked by hand, two bands of 90 x 10 mm, gap 2, on 200 x 80 mm. One above the other they leave the strip of
    108 x 80 mm behind them; end to end they leave 200 x 68 mm above them, the larger rectangle."""
    film = NestRegion("film", 200, 80, box(0, 0, 200, 80))
    request = Request((NestItem("band", box(0, 0, 90, 10), quantity=2),), (film,), 2.0, effort=SHORT)
    strip = nest(dataclasses.replace(request, remnant="strip"))
    assert strip.used[0].remnant == pytest.approx((92, 0, 200, 80), abs=1e-4)
    rectangle = nest(dataclasses.replace(request, remnant="rectangle"))
    assert rectangle.used[0].remnant == pytest.approx((0, 12, 200, 80), abs=1e-3)
    # Where the side to fill is given, it stays.
    given = dataclasses.replace(request, regions=(dataclasses.replace(film, fill="left"),))
    assert nest(given).used[0].used_length == pytest.approx(90, abs=1e-4)


def test_the_separation_leaves_a_small_group_to_the_fill() -> None:
    """It knows nothing of side by side; a large group, which only shares a sheet, is its business."""
    pair = Request((*FILLER, NestItem("plate", box(0, 0, 40, 9), quantity=2, group="plates")), (A5,), 2.0)
    many = Request((*FILLER, NestItem("plate", box(0, 0, 20, 5), quantity=BESIDE + 1, group="plates")), (A5,), 2.0)
    alone = Request((*FILLER, NestItem("plate", box(0, 0, 40, 9), group="plates")), (A5,), 2.0)
    task = Task(100, 1, 1)
    assert [next(separate(request, task), None) is not None for request in (pair, many, alone)] == [False, True, True]


@pytest.mark.parametrize("points", [32, 64, 200])
def test_rings_are_no_more_work_for_many_points(points: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Counted in the points that are clipped: two rings of 32 points are 500 convex parts to each other."""
    rings = NestItem("ring", disc(20.0, points), quantity=6, openings=(disc(16.0, points),))
    dot, bar = NestItem("dot", disc(4.0, points), quantity=20), NestItem("bar", box(0, 0, 12, 4), quantity=20)
    clipped: list[int] = []
    true = fill.difference

    def counted(subject: Sequence[GridPath], clip: Sequence[GridPath]) -> list[GridPath]:
        clipped.append(sum(map(len, clip)))
        return true(subject, clip)

    monkeypatch.setattr(fill, "difference", counted)
    request = Request((rings, dot, bar), (A5,), 2.0, effort=Effort("test", 100))
    result = nest(request)
    assert gate(request, result.positions, result.left_out) == [] and not result.left_out
    assert 0 < max(clipped) < 1000
    # By hand: on 42 × 42 mm the corners beside the ring hold no dot (4, 4 is 24.04 mm off its middle on the diagonal,
    # less than 20 + 2 + 4), so all that lie are inside it.
    tight = NestRegion("scrap", 42, 42, box(0, 0, 42, 42))
    request = Request((dataclasses.replace(rings, quantity=1, priority=1), dot), (tight,), 2.0, effort=SHORT)
    result = nest(request)
    assert len(result.positions) >= 4 and gate(request, result.positions, result.left_out) == []


def test_a_long_shallow_dent_is_kept_however_many_points_it_has() -> None:
    """A wheel arch of 40 mm in 200 short steps, each far less deep than what is simplified away."""
    arch = box(0, 0, 60, 30).difference(Polygon([(30 + x, y) for x, y in disc(20.0, 400).exterior.coords]))
    assert isinstance(arch, Polygon)
    rough = superset(ring(arch), [])
    assert arch.area <= rough.area < arch.area + 0.02 * 40 * 2 and len(rough.exterior.coords) < 120
