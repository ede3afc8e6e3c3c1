"""Nests judged by another library, and the judge itself by nests with a fault planted in them."""

from __future__ import annotations

from dataclasses import replace

import pytest
from shapely.geometry import box

from decalgen.nesting import Effort, Nest, NestItem, NestPosition, NestRegion, Request, nest

pytest.importorskip("pyclipper")

from tests.nesting.plain_check import faults, made_up

TWO = Request(
    (NestItem("box", box(0, 0, 20, 10), (0, 90), quantity=2),),
    (NestRegion("film", 100, 60, box(5, 5, 95, 55), (box(60, 0, 80, 60),), 1.5),),
    2.0,
)
RIGHT = nest(TWO)


@pytest.mark.parametrize("seed", range(14))
def test_a_job_made_up_is_nested_right(seed: int) -> None:
    request = replace(made_up(seed), effort=Effort("short", 60))
    assert faults(request, nest(request)) == []


def moved(x: float, y: float, turn: int = 0) -> Nest:
    first, second = (NestPosition("box", copy, "film", 0, 5.0, 5.0, 0) for copy in (0, 1))
    return replace(RIGHT, positions=(first, replace(second, x=x, y=y, turn=turn)))


def test_what_just_keeps_its_distances_is_right() -> None:
    assert faults(TWO, RIGHT) == [] == faults(TWO, moved(27.0, 5.0)) == faults(TWO, moved(38.5, 17.0))
    assert faults(TWO, moved(15.0, 17.0, 90)) == []


@pytest.mark.parametrize(
    ("nest_with_a_fault", "said"),
    [
        (moved(26.9999, 5.0), "from box"),
        (moved(5.0, 16.9999), "from box"),
        (moved(5.0, 5.0), "from box"),
        (moved(9.0, 7.0), "from box"),
        (moved(38.5001, 20.0), "a used part"),
        (moved(60.0, 20.0), "a used part"),
        (moved(4.9999, 20.0), "outside the film"),
        (moved(5.0, 45.0001), "outside the film"),
        (moved(45.0, 30.0, 180), "is turned by 180"),
        (replace(RIGHT, positions=RIGHT.positions[:1]), "missing"),
        (replace(RIGHT, positions=(RIGHT.positions[0], *RIGHT.positions)), "missing, or there twice"),
    ],
)
def test_a_fault_is_found(nest_with_a_fault: Nest, said: str) -> None:
    assert any(said in one for one in faults(TWO, nest_with_a_fault))
