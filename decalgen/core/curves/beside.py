"""What lies to the left of a curve and to its right. Pure; mm."""

from __future__ import annotations

import numpy as np
import shapely
from shapely.geometry import LineString, Point, Polygon
from shapely.geometry.base import BaseGeometry

from decalgen.core.arrays import FloatArray
from decalgen.core.curves.curve import Curve

HAIR = 1e-5
"""So far beside the middle of a chord it is asked what lies there, mm."""


def beside(curve: Curve, points: FloatArray, reach: float) -> tuple[BaseGeometry, BaseGeometry]:
    """What lies on the wrong side for something to the left of a curve, and for something to its right, within
    ``reach`` mm of it: its right alone, its left alone. An open curve parts them with its ends going on straight; what
    both sides of it come together in, as between the turns of a spiral, is neither. A closed one parts the plane.
    ``points``: the ends of its chords, from its start to its end, each once.
    """
    if curve.closed:
        loop = Polygon(points)
        around = loop.envelope.buffer(reach).difference(loop)
        return (around, loop) if shapely.is_ccw(loop.exterior) else (loop, around)
    ways = curve.directions(np.array([0.0, curve.length]))
    far = float(np.hypot(*np.ptp(points, axis=0))) + 3 * reach
    ahead = np.column_stack((np.cos(ways), np.sin(ways))) * [[-far], [far]]
    ends = points[[0, -1]] + ahead
    line = LineString(np.vstack((ends[:1], points, ends[1:])))
    rim = LineString(points).buffer(1.5 * reach).boundary
    chords = np.diff(points, axis=0)
    aside = HAIR * np.column_stack((-chords[:, 1], chords[:, 0])) / np.hypot(*chords.T)[:, None]
    middles = points[:-1] + chords / 2
    found: tuple[list[BaseGeometry], list[BaseGeometry]] = ([], [])
    for cell in shapely.get_parts(shapely.polygonize([shapely.union_all([rim, line])])):
        shapely.prepare(cell)
        left, right = (bool(shapely.contains_xy(cell, middles + side * aside).any()) for side in (1, -1))
        if not left and not right:
            left = _leftward(line, cell.representative_point())
            right = not left
        if left != right:
            found[1 if left else 0].append(cell)
    return shapely.union_all(found[0]), shapely.union_all(found[1])


def _leftward(line: LineString, point: Point) -> bool:
    """Whether a point lies to the left of the nearest place of a line; at a corner, of both its chords together."""
    place = line.project(point)
    before, here, after = (line.interpolate(min(max(place + step, 0.0), line.length)) for step in (-HAIR, 0.0, HAIR))
    return bool((after.x - before.x) * (point.y - here.y) > (after.y - before.y) * (point.x - here.x))
