"""Lattices: as close as geometry says, kept apart by the gap, and only where they are of use."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from shapely.geometry import Polygon, box

from decalgen.nesting import Effort, NestItem, NestRegion, Pin, Request, nest
from decalgen.nesting.engine import Task
from decalgen.nesting.frame import shape_of
from decalgen.nesting.in_lattice import FEWEST, lattice, suited
from decalgen.nesting.lattice import Lattice, closest, fitted, points_in
from tests.nesting.cases import cross, disc

pytest.importorskip("pyclipper")

from decalgen.nesting.nofit import Catalogue
from tests.nesting.plain_check import faults

FILM = NestRegion("film", 210, 148, box(5, 5, 205, 143), repeat=True)
DISCS = Request((NestItem("disc", disc(4.0), quantity=60),), (FILM,), 2.0)
TRIANGLE = Polygon([(0, 0), (12, 0), (6, 9)])


def found(outline: Polygon, gap: float = 0.0, pairs: bool = False) -> Lattice:
    catalogue = Catalogue(gap)
    item = NestItem("one", outline)
    solids = [catalogue.add(shape_of(item, turn)) for turn in ((0, 180) if pairs else (0,))]
    best = closest(catalogue, solids[0], solids[1] if pairs else None)
    assert best is not None
    return best


def test_discs_lie_in_hexagons() -> None:
    """Thue 1910, Fejes Tóth 1940: no arrangement of discs covers more than π / √12 of the plane."""
    best = found(disc(5.0, 64))
    assert math.pi / math.sqrt(12) * 0.995 < math.pi * 25 / best.area < math.pi / math.sqrt(12) * 1.002


@pytest.mark.parametrize(("outline", "pairs"), [(cross(12.0), False), (TRIANGLE, True), (box(0, 0, 9, 4), False)])
def test_what_tiles_the_plane_leaves_next_to_nothing(outline: Polygon, pairs: bool) -> None:
    """The cross of five squares, any triangle with itself turned, and any rectangle are tiles (Grünbaum and Shephard,
    Tilings and Patterns, 1987)."""
    best = found(outline, pairs=pairs)
    assert outline.area * (1 - 1e-9) <= best.area < outline.area * 1.02
    assert (best.pair is not None) == pairs


def test_a_lattice_turned_is_as_close() -> None:
    best = found(cross(12.0), 1.0)
    turned = best.turned()
    assert np.dot(best.u, turned.u) == pytest.approx(0.0, abs=1e-9)
    assert abs(turned.u[0] * turned.v[1] - turned.u[1] * turned.v[0]) == pytest.approx(best.area)


def test_rows_that_fill_a_sheet_end_at_its_sides() -> None:
    catalogue = Catalogue(2.0)
    solid = catalogue.add(shape_of(DISCS.items[0], 0))
    apart = 8.0 * math.cos(math.pi / 24) + 2.0  # of discs of 24 corners, side to side
    for one in fitted(catalogue, solid, (100.0, 60.0)):
        along, up = one.u
        spare = 92.0 if along else 52.0
        assert (spare / (along or up)) % 1.0 == pytest.approx(0.0, abs=1e-6) or (spare / (along or up)) % 1.0 > 1 - 1e-6
        assert along >= 0 and (along or up) >= apart and math.hypot(*one.v) >= apart


def test_points_of_a_lattice_in_a_box() -> None:
    """By hand: of a square lattice of 2 mm eight points lie in 6 by 2 mm, both edges among them."""
    some = points_in(Lattice((2.0, 0.0), (4.0, 2.0), None, 4.0), (0.0, 0.0, 6.0, 2.0), (2.0, 2.0))
    assert sorted(map(tuple, some.tolist())) == [(float(x), float(y)) for x in (0, 2, 4, 6) for y in (0, 2)]


@pytest.mark.parametrize(
    ("outline", "turns"),
    [(disc(6.0), (0,)), (cross(18.0), (0, 90)), (TRIANGLE, (0, 180)), (TRIANGLE, (0, 90, 180, 270))],
)
def test_whatever_comes_out_is_right(outline: Polygon, turns: tuple[int, ...]) -> None:
    side = "left" if len(turns) < 3 else "top"
    film = NestRegion("film", 105, 74, box(5, 5, 100, 69), repeat=True, fill=side)  # type: ignore[arg-type]
    some = (NestItem("many", outline, turns, quantity=30), NestItem("few", box(0, 0, 20, 6), turns, quantity=3))
    request = Request(some, (film,), 1.5)
    told = list(lattice(request, Task(500, 0, 1)))
    plain = nest(replace(request, effort=Effort("one", 1), engines=("fill",)))
    for one in told:
        assert one.positions is not None
        assert faults(request, replace(plain, positions=one.positions, left_out=())) == []
    assert told


def test_many_stars_take_less_film_and_fewer_than_a_dozen_are_left_alone() -> None:
    arms = [((7.0 if k % 2 == 0 else 3.1), math.pi * (k / 5 + 0.5)) for k in range(10)]
    star = Polygon([(r * math.cos(turn), r * math.sin(turn)) for r, turn in arms])
    film = replace(FILM, width=297, height=210, usable=box(5, 5, 292, 205))
    some = replace(DISCS, items=(NestItem("star", star, quantity=150),), regions=(film,), effort=Effort("some", 210))
    used = {name: nest(replace(some, engines=(name,))).bound.used for name in ("fill", "lattice")}
    assert used["lattice"] < 0.98 * used["fill"]
    assert suited(DISCS) is DISCS.items[0]
    few = replace(DISCS.items[0], quantity=FEWEST - 1)
    for other in (
        replace(DISCS, items=(few,)),
        replace(DISCS, items=(replace(DISCS.items[0], outline=box(0, 0, 9, 4)),)),
        replace(DISCS, items=(replace(DISCS.items[0], group="pair"),)),
        replace(DISCS, items=(*DISCS.items, NestItem("field", box(0, 0, 150, 100)))),
        replace(DISCS, pins=(Pin("disc", 0, "film", 40.0, 40.0),)),
        replace(DISCS, regions=(replace(FILM, keep_outs=(box(0, 0, 20, 20),)),)),
        replace(DISCS, regions=(FILM, replace(FILM, key="other"))),
    ):
        assert suited(other) is None and list(lattice(other, Task(500, 0, 1))) == []
