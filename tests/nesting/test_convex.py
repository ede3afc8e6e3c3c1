"""Outlines in convex parts: they fill the outline, and are the parts that joining every two in turn gives."""

from __future__ import annotations

import random

import numpy as np
import pytest
import shapely
from shapely.geometry import Point, Polygon, box

from decalgen.core.arrays import FloatArray
from decalgen.nesting.convex import _corners, _is_convex, _join, _merge, _triangles, convex_parts


def outlines(seed: int, count: int) -> list[Polygon]:
    """Outlines of discs and boxes that overlap, with dents and some of them with openings."""
    draw = random.Random(seed)
    found: list[Polygon] = []
    while len(found) < count:
        discs = [Point(draw.uniform(0, 20), draw.uniform(0, 20)).buffer(draw.uniform(1, 5), quad_segs=3) for _ in "123"]
        corners = [(draw.uniform(0, 15), draw.uniform(0, 15)) for _ in "123"]
        boxes = [box(x, y, x + draw.uniform(1, 9), y + draw.uniform(1, 9)) for x, y in corners]
        found += [one for one in shapely.get_parts(shapely.union_all([*discs, *boxes])) if isinstance(one, Polygon)]
    return found[:count]


def ring_of(outline: Polygon) -> FloatArray:
    points = shapely.get_coordinates(outline.exterior)[:-1]
    return points if outline.exterior.is_ccw else points[::-1]


def joined_one_by_one(ring: FloatArray, parts: list[list[int]]) -> list[list[int]]:
    """The plain way: the first two of all that can be joined, from the beginning again after each."""
    corners = _corners(ring)
    pairs = ((i, j) for i in range(len(parts)) for j in range(i + 1, len(parts)))
    for i, j in pairs:
        one = _join(parts[i], parts[j])
        if one and _is_convex(corners, one):
            rest = [part for n, part in enumerate(parts) if n != j]
            return joined_one_by_one(ring, [*rest[:i], one, *rest[i + 1 :]])
    return parts


@pytest.mark.parametrize("seed", range(5))
def test_parts_are_those_of_the_plain_way(seed: int) -> None:
    for outline in outlines(seed, 8):
        ring = ring_of(outline)
        triangles = _triangles(ring)
        # As they are cut off they fit one another well; in any other order more ways of joining them are tried.
        random.Random(seed).shuffle(triangles)
        expected = joined_one_by_one(ring, [part.copy() for part in triangles])
        assert _merge(_corners(ring), triangles) == expected


@pytest.mark.parametrize("seed", range(3))
def test_parts_are_convex_and_fill_the_outline(seed: int) -> None:
    for outline in outlines(seed, 8):
        parts = [Polygon(part) for part in convex_parts(outline)]
        assert all(part.convex_hull.area == pytest.approx(part.area, abs=1e-6) for part in parts)
        assert sum(part.area for part in parts) == pytest.approx(outline.area)
        assert shapely.union_all(parts).symmetric_difference(outline).area == pytest.approx(0.0, abs=1e-6)


def test_a_row_of_many_rounded_pieces_has_few_parts() -> None:
    """Forty discs that overlap, 1200 corners: fewer than four parts a disc, with the dents between them."""
    row = shapely.union_all([Point(1.6 * n, 0).buffer(1.0, quad_segs=12) for n in range(40)])
    assert isinstance(row, Polygon)
    parts = convex_parts(row)
    assert 40 <= len(parts) < 160
    assert float(np.sum([Polygon(part).area for part in parts])) == pytest.approx(row.area)
