"""Bleed keeps off what is printed in the waste, bars, marks and text, whatever the bleed and however full the film.

A bar that artwork bleeds into cannot be measured to its end, and a cross under bleed cannot be aligned by.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from shapely.geometry import box

from decalgen.core import style
from decalgen.job.model import Cut
from decalgen.nesting.model import QUICK
from decalgen.sheet.arrange import Arrangement, arrange
from decalgen.sheet.film_area import CLEARANCE, clear, longest
from decalgen.sheet.furniture import STEP, furniture
from decalgen.sheet.plan import Plan
from tests.helpers import jobs


def full(bleed: float, width: float, height: float, copies: int) -> Arrangement:
    """Film so full of small pieces that some lie as near to the furniture as they may."""
    field = jobs.element("field", ink="navy")
    job = jobs.job(jobs.decal("tile", width, height, field, cut=Cut(), margin=0.0, bleed=bleed, copies=copies))
    return arrange([job], Plan([jobs.film(job.film, 148.0, 210.0)], jobs.PRINTER, effort=QUICK, gap=2 * bleed + 0.5))


@pytest.mark.parametrize(
    ("bleed", "size", "copies"), [(0.0, (9, 7), 60), (0.5, (9, 7), 60), (1.5, (9, 7), 60), (3.0, (5, 5), 40)]
)
def test_no_bleed_lies_over_a_check_bar_or_any_other_furniture(
    bleed: float, size: tuple[float, float], copies: int
) -> None:
    """Not at a corner either, where two bleeds meet in a point that reaches further out than the bleed."""
    near = []
    for sheet in full(bleed, *size, copies).sheets:
        assert {bar.axis for bar in sheet.furniture.bars} == {"x", "y"}
        for placed in sheet.placed:
            assert placed.piece.artwork.bleed == bleed
            for bar in sheet.furniture.bars:
                wide, high = (bar.length, 4.0) if bar.axis == "x" else (4.0, bar.length)
                assert not placed.outer.intersects(box(bar.x, bar.y, bar.x + wide, bar.y + high))
            assert not any(placed.outer.intersects(one) for one in sheet.furniture.keep_outs)
            near.append(min(placed.cut.distance(one) for one in sheet.furniture.keep_outs))
    assert min(near) >= CLEARANCE + bleed - 1e-6


def test_a_sheet_too_low_for_marks_keeps_no_room_for_them() -> None:
    """Four crosses of 6 mm are the least that marks are put on; below that the bar begins in the corner."""
    cross = style.REGISTRATION_CROSS
    small = furniture(box(5.0, 5.0, 125.0, 5.0 + 4 * cross - 1.0), "")
    assert small.registration == ()
    assert [(bar.axis, bar.x, bar.y, bar.length) for bar in small.bars] == [
        ("x", 5.0, 5.0, 100.0),
        ("y", 5.0, 5.0, 20.0),
    ]
    large = furniture(box(5.0, 5.0, 125.0, 5.0 + 4 * cross), "")
    assert large.registration == (
        (5.0 + cross / 2, 5.0 + cross / 2),
        (125.0 - cross / 2, 5.0 + cross / 2),
        (5.0 + cross / 2, 5.0 + 3.5 * cross),
    )
    assert large.bars[0].x == 5.0 + cross + STEP


@pytest.mark.parametrize(("room", "lengths"), [(19.9, []), (20.0, [20.0]), (39.9, [30.0])])
def test_no_bar_is_shorter_than_20_mm(room: float, lengths: list[float]) -> None:
    things = furniture(box(0.0, 0.0, room, 8.0), "")
    assert [bar.length for bar in things.bars] == lengths


def test_furniture_keeps_its_distance_from_a_used_outline() -> None:
    film = jobs.film(used_polygons=(((0.0, 0.0), (60.0, 0.0), (60.0, 210.0), (0.0, 210.0)),))
    free = clear(box(5.0, 10.0, 143.0, 205.0), film)
    assert free.bounds == pytest.approx((60.0 + CLEARANCE, 10.0, 143.0, 205.0), abs=0.01)


def test_a_size_error_is_stated_for_the_longer_side_in_whole_centimetres() -> None:
    """Of A5 138 × 195 mm are printed on, upright or across."""
    assert longest(jobs.film(), jobs.PRINTER) == 190.0
    assert longest(replace(jobs.film(), width=210.0, height=148.0), jobs.PRINTER) == 200.0
