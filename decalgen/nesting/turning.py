"""Turning and moving outlines; quarter turns exact, so that a turned rectangle is still a rectangle."""

from __future__ import annotations

import math

import numpy as np
import shapely
from shapely.geometry import Polygon

from decalgen.core.arrays import FloatArray
from decalgen.core.geometry import Side
from decalgen.nesting.model import NestItem, NestPosition, NestRegion

QUARTERS: dict[Side, int] = {"left": 0, "bottom": 270, "right": 180, "top": 90}
"""The turn that brings the side filled to the left."""


def cos_sin(turn: int) -> tuple[float, float]:
    """Cosine and sine of a turn in degrees; exact for quarter turns."""
    exact = {0: (1.0, 0.0), 90: (0.0, 1.0), 180: (-1.0, 0.0), 270: (0.0, -1.0)}.get(turn % 360)
    return exact or (math.cos(math.radians(turn)), math.sin(math.radians(turn)))


def turned(points: FloatArray, turn: int) -> FloatArray:
    """FloatArray turned about the origin; +0.0 rids the result of negative zeros."""
    c, s = cos_sin(turn)
    if turn % 90 == 0:
        c, s = round(c), round(s)
        x, y = points[:, 0], points[:, 1]
        columns = (x * c, y * c) if s == 0 else (-y * s, x * s)
        return np.asarray(np.column_stack(columns) + 0.0, dtype=np.float64)
    return np.asarray(points @ np.array([[c, s], [-s, c]]), dtype=np.float64)


def ring(polygon: Polygon) -> FloatArray:
    """The outer ring as points, anticlockwise, the first not repeated."""
    points: FloatArray = np.asarray(shapely.get_coordinates(polygon.exterior)[:-1], dtype=np.float64)
    return points if polygon.exterior.is_ccw else points[::-1].copy()


def turned_polygon(polygon: Polygon, turn: int) -> Polygon:
    """A polygon with its holes, turned about the origin."""
    if turn % 360 == 0:
        return polygon
    moved = shapely.transform(polygon, lambda points: turned(np.asarray(points), turn))
    assert isinstance(moved, Polygon)
    return moved


def placed(item: NestItem, position: NestPosition) -> Polygon:
    """The outline where it lies on its sheet."""
    return moved(item.outline, position)


def body(item: NestItem, position: NestPosition) -> Polygon:
    """The outline where it lies, without its openings."""
    polygon = item.outline
    if item.openings:
        polygon = Polygon(polygon.exterior, [o.exterior for o in item.openings])
    return moved(polygon, position)


def moved(polygon: Polygon, position: NestPosition) -> Polygon:
    """A polygon turned and moved as a position says."""
    result = turned_polygon(polygon, position.turn)
    shift = np.array((position.x, position.y))
    shifted = shapely.transform(result, lambda points: np.asarray(points) + shift)
    assert isinstance(shifted, Polygon)
    return shifted


def region_turn(region: NestRegion) -> int:
    """The quarter turn that brings the side filled to the left."""
    return QUARTERS[region.side]
