"""The raster of a sheet against shapely's own distances."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from shapely.geometry import MultiPolygon, Point, Polygon, box
from shapely.geometry.base import BaseGeometry

from decalgen.sheet.raster import CELL, Raster

BOUNDS = (3.0, -2.0, 15.1, 9.3)
OPENING = Polygon(box(2.0, -3.0, 16.0, 12.0).exterior.coords, [box(4.0, 0.0, 14.0, 8.0).exterior.coords])
THINGS: list[list[BaseGeometry]] = [
    [Point(8.0, 4.0).buffer(2.5)],
    [Polygon([(4.0, 0.0), (9.0, 1.0), (5.5, 7.7)])],
    # The same, drawn the other way round.
    [Polygon([(5.5, 7.7), (9.0, 1.0), (4.0, 0.0)])],
    # An opening; areas that overlap, one in the opening of another; one that reaches out on every side.
    [Point(8.0, 4.0).buffer(3.0).difference(Point(8.0, 4.0).buffer(2.0))],
    [box(4.0, 1.0, 9.0, 3.0), box(6.0, 0.0, 7.0, 8.0), Point(6.5, 2.0).buffer(1.0)],
    [OPENING, Point(9.0, 4.0).buffer(1.0), box(13.0, 7.0, 30.0, 40.0)],
    [MultiPolygon([box(4.0, 1.0, 5.0, 2.0), box(8.0, 6.0, 9.0, 7.0)])],
    [box(-40.0, -40.0, -30.0, -30.0), box(20.0, 0.0, 30.0, 5.0)],
    [],
]


@pytest.mark.parametrize("far", [0.0, 0.11, 0.3, 1.2])
@pytest.mark.parametrize("things", THINGS)
def test_cells_within_a_distance_are_those_whose_middles_are(things: list[BaseGeometry], far: float) -> None:
    """All that are so near, and none that is 3 % of the distance farther: corners are rounded with short sides."""
    raster = Raster(BOUNDS)
    areas = np.array(things, dtype=object)
    near = np.zeros(raster.shape, dtype=bool)
    where, cells = raster.within(areas, far)
    near[where] = cells
    rows, columns = np.indices(raster.shape)
    middles = shapely.points(raster.middles(rows, columns))
    apart = np.full(raster.shape, np.inf)
    for area in things:
        apart = np.minimum(apart, shapely.distance(area, middles))
    assert near[apart <= far - 1e-9].all() and not near[apart > far * 1.03 + 1e-9].any()
    assert things == [] or far < 1.0 or near.any() or things == THINGS[-2]


def test_it_covers_the_box() -> None:
    raster = Raster(BOUNDS)
    rows, columns = raster.shape
    assert columns * CELL >= 12.1 and (columns - 1) * CELL < 12.1 and rows * CELL >= 11.3 and (rows - 1) * CELL < 11.3
    assert raster.middles(np.array([0]), np.array([2])) == pytest.approx(np.array([[3.375, -1.925]]))
