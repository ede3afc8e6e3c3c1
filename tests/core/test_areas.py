"""Unions of areas that lie side by side, and what is remembered of areas by their shape."""

from __future__ import annotations

import math

import pytest
import shapely
from shapely.affinity import scale, translate
from shapely.geometry import MultiPolygon, Polygon

from decalgen.core import geometry
from decalgen.core.geometry import by_shape, circle, rectangle, region, union, union_of_tiles


def same(one: MultiPolygon, other: MultiPolygon) -> bool:
    """Whether two areas are one but for where their rings begin."""
    return bool(one.symmetric_difference(other).area < 1e-9) and len(one.geoms) == len(other.geoms)


@pytest.mark.parametrize("turn", [0.0, 0.3, 1.1])
def test_inks_knocked_out_of_each_other_are_united_as_any_areas_are(turn: float) -> None:
    ground = Polygon([(9 * math.cos(a), 9 * math.sin(a)) for a in (turn, turn + 2, turn + 4)])
    spots = [circle((math.cos(n) * n / 2, math.sin(n) * n / 2), 0.3 + n / 10) for n in range(6)]
    tiles = [region(ground.difference(shapely.union_all(spots))), union(spots)]
    assert same(union_of_tiles(tiles), union(tiles))


def test_tiles_whose_edges_have_other_corners_are_united_all_the_same() -> None:
    """The long side of one is met by two short ones, with a corner in its middle."""
    tiles = [region(rectangle(0, 0, 4, 1)), region(rectangle(0, 1, 1.7, 2)), region(rectangle(1.7, 1, 4, 2))]
    whole = union_of_tiles(tiles)
    assert whole.equals(rectangle(0, 0, 4, 2)) and len(whole.geoms) == 1


def test_areas_that_overlap_are_united_all_the_same() -> None:
    tiles = [region(rectangle(0, 0, 2, 2)), region(rectangle(1, 1, 3, 3))]
    assert union_of_tiles(tiles).area == pytest.approx(7.0)
    assert union_of_tiles([tiles[0], tiles[0]]).area == pytest.approx(4.0)


def test_an_area_is_judged_once_wherever_it_lies() -> None:
    asked: list[Polygon] = []

    @by_shape
    def holes(area: Polygon) -> int:
        asked.append(area)
        return len(area.interiors)

    ring = circle((3.0, 2.0), 2.0).difference(circle((3.0, 2.0), 1.0))
    for dx, dy in ((0.0, 0.0), (1 / 3, -7.1), (40.0, 0.1)):
        assert holes(translate(ring, dx, dy)) == 1
    assert len(asked) == 1
    # Another size, another turn, the hole left out: other shapes.
    others = [scale(ring, 1.001, 1.001), scale(ring, -1, 1), Polygon(ring.exterior)]
    assert [holes(one) for one in others] == [1, 1, 0]
    assert len(asked) == 4


def test_no_more_shapes_are_remembered_than_so_many(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(geometry, "SHAPES", 3)
    asked: list[float] = []
    judge = by_shape(lambda area: asked.append(area.area))
    for size in (1, 2, 3, 4, 1):
        judge(rectangle(0, 0, size, 1))
    assert asked == [1, 2, 3, 4, 1]
