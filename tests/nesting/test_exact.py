"""The engine of the exact fill: along which side it fills."""

from __future__ import annotations

import dataclasses

import pytest
from shapely.geometry import box
from shapely.ops import unary_union

from decalgen.nesting import Effort, NestItem, NestRegion, Request, placed
from decalgen.nesting.engine import Task
from decalgen.nesting.exact import fill
from decalgen.nesting.model import ENDLESS

BOARD = NestItem("board", box(0, 0, 30, 20), (0,), quantity=4)
FILM = NestRegion("A5", 210, 148, box(5, 5, 205, 143))
REQUEST = Request((BOARD,), (FILM,), 2.0, effort=Effort("test", 1000))


def spans(request: Request, task: Task) -> set[tuple[int, int]]:
    """The sizes of the boxes round the layouts found; no more than two are waited for."""
    found = set()
    for one in fill(request, task):
        if one.positions:
            x0, y0, x1, y1 = unary_union([placed(BOARD, p) for p in one.positions]).bounds
            found.add((round(x1 - x0), round(y1 - y0)))
        if len(found) > 1:
            break
    return found


@pytest.mark.parametrize("task", [Task(1000, 0, 1), Task(ENDLESS, 0, 1, seconds=0.5)])
def test_both_sides_are_filled_along(task: Task) -> None:
    """Worked by hand: four boards above one another, or side by side. Which leaves the larger rectangle depends on the
    pieces, whether steps or a clock end the search."""
    assert spans(REQUEST, task) == {(30, 86), (126, 20)}


def test_a_strip_is_kept_along_one_side() -> None:
    assert spans(dataclasses.replace(REQUEST, remnant="strip"), Task(1000, 0, 1)) == {(30, 86)}
