"""The bleed is grown from what comes near the cut line; the rest of the artwork has no part in it."""

from __future__ import annotations

import math

import pytest
from shapely.geometry import MultiPolygon, Polygon

from decalgen.artwork import bleed
from decalgen.artwork.bleed import grow_over_edge
from decalgen.core.geometry import circle, rectangle, region, union
from decalgen.shapes.base import Inked


def drawn(edge: Polygon, count: int) -> list[Inked]:
    """A ground that ends on the edge, spots of another ink in it and knocked out of it, one of them on the edge."""
    x0, y0, x1, y1 = edge.bounds
    spots = [
        circle((x0 + (x1 - x0) * (n + 0.5) / count, y0 + (y1 - y0) * (0.5 + 0.2 * math.sin(n))), 0.4)
        for n in range(count)
    ]
    dots = union([*spots, circle((x0, (y0 + y1) / 2), 0.5)])
    return [Inked("navy", region(edge.difference(dots))), Inked("cream", region(dots.intersection(edge)))]


@pytest.mark.parametrize(
    "edge", [rectangle(0, 0, 12, 5), circle((6, 4), 4), Polygon([(0, 0), (12, 1), (11, 6), (1, 5)])]
)
@pytest.mark.parametrize("count", [0, 1, 7])
def test_what_lies_inside_changes_nothing(monkeypatch: pytest.MonkeyPatch, edge: Polygon, count: int) -> None:
    inked = drawn(edge, count)
    outer = edge.buffer(0.5, join_style="mitre", mitre_limit=2.0)
    near = grow_over_edge(inked, edge, outer)
    assert near[0].region.area > inked[0].region.area
    monkeypatch.setattr(bleed, "_near", lambda area, edge: area)
    whole = grow_over_edge(inked, edge, outer)
    assert [one.region.wkb for one in near] == [one.region.wkb for one in whole]


def test_holes_on_the_edge_and_parts_beyond_it_are_near() -> None:
    edge = rectangle(0, 0, 10, 10)
    ground = Polygon(edge.exterior, [rectangle(1e-5, 4, 1, 5).exterior, rectangle(4, 4, 5, 5).exterior])
    beyond, inside = rectangle(9, 9, 10.2, 10.2), rectangle(2, 2, 3, 3)
    near = bleed._near(MultiPolygon([ground, beyond, inside]), edge)
    assert [len(part.interiors) for part in near.geoms] == [1, 0]
    assert near.geoms[1].equals(beyond)
