"""Closed contours to areas by the non-zero winding rule.

A glyph may be drawn as strokes lying over each other, and a counter need not run the other way than its
letter, so neither the direction of a contour nor its nesting says what is ink. The arrangement of all
edges does: cut them at every crossing, take each face of the arrangement once, and count how often the
contours run round a point inside it.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt
import shapely
from shapely.geometry import MultiPolygon

Points = npt.NDArray[np.float64]


def winding_numbers(contours: Sequence[Points], points: Points) -> npt.NDArray[np.int64]:
    """How often the closed ``contours`` (first point not repeated) run anticlockwise round each of
    ``points``."""
    starts = np.concatenate(contours)
    ends = np.concatenate([np.roll(c, -1, axis=0) for c in contours])
    px, py = points[:, 0, None], points[:, 1, None]
    x0, y0, x1, y1 = starts[:, 0], starts[:, 1], ends[:, 0], ends[:, 1]
    side = (x1 - x0) * (py - y0) - (px - x0) * (y1 - y0)
    up = (y0 <= py) & (y1 > py) & (side > 0)
    down = (y0 > py) & (y1 <= py) & (side < 0)
    return np.asarray(up.sum(axis=1) - down.sum(axis=1), dtype=np.int64)


def nonzero(contours: Sequence[Points], sliver: float) -> MultiPolygon:
    """The areas the contours wind round, without overlaps; faces smaller than ``sliver`` are noise and
    dropped."""
    closed = [_tidy(c) for c in contours]
    closed = [c for c in closed if len(c) >= 3]
    if not closed:
        return MultiPolygon()
    rings = [np.vstack((c, c[:1])) for c in closed]
    noded = shapely.union_all([shapely.linestrings(r) for r in rings])
    cells = shapely.get_parts(shapely.polygonize([noded]))
    if len(cells) == 0:
        return MultiPolygon()
    inside = shapely.get_coordinates(shapely.point_on_surface(cells))
    inked = cells[winding_numbers(closed, inside) != 0]
    merged = shapely.union_all(inked)
    return MultiPolygon([_without_specks(p, sliver) for p in shapely.get_parts(merged) if p.area > sliver])


def _tidy(contour: Points) -> Points:
    """Without repeated points: a closing point equal to the first, a node set twice."""
    keep = np.any(contour != np.roll(contour, 1, axis=0), axis=1)
    return contour[keep]


def _without_specks(polygon: shapely.Polygon, sliver: float) -> shapely.Polygon:
    if len(polygon.interiors) == 0:
        return polygon
    holes = [ring for ring in polygon.interiors if shapely.Polygon(ring).area > sliver]
    return shapely.Polygon(polygon.exterior, holes)
