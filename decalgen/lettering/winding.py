"""Closed contours to areas by the non-zero winding rule.

A glyph may be drawn as strokes lying over each other, and a counter need not run the other way than its
letter, so neither the direction of a contour nor its nesting says what is ink. The arrangement of all
edges does: cut them at every crossing, take each face of the arrangement once, and count how often the
contours run round a point inside it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
import numpy.typing as npt
import shapely
from shapely.geometry import MultiPolygon

from decalgen.core.arrays import FloatArray
from decalgen.lettering.stems import edges_of
from decalgen.lettering.typeface import LetteringError

GRIDS = (None, 1e-8, 1e-6)
"""How edges are cut at their crossings: in floating point, else on a grid so wide (ems, or what the
contours are in)."""
FEW = 400
"""So few edges are cut without a look at them first: even if each crossed every other, it would be soon done."""
MOST_CONTOURS = 4_000
MOST_NEAR, MOST_CROSSINGS = 200_000, 5_000
"""Pairs of edges whose boxes meet, and that meet themselves, neighbours left out. Of the faces that come with decalgen
no glyph has 2000 of the first."""
MOST_STEPS = 40_000_000
"""Faces of the arrangement times edges."""
AT_ONCE = 2_000_000
"""Steps that are taken together, which keeps memory small."""


def winding_numbers(contours: Sequence[FloatArray], points: FloatArray) -> npt.NDArray[np.int64]:
    """How often the closed ``contours`` (first point not repeated) run anticlockwise round each of
    ``points``."""
    starts, ends = edges_of(contours)
    share = max(1, AT_ONCE // len(starts))
    parts = [_wound(starts, ends, points[first : first + share]) for first in range(0, len(points), share)]
    return np.concatenate(parts) if parts else np.zeros(0, dtype=np.int64)


def _wound(starts: FloatArray, ends: FloatArray, points: FloatArray) -> npt.NDArray[np.int64]:
    px, py = points[:, 0, None], points[:, 1, None]
    x0, y0, x1, y1 = starts[:, 0], starts[:, 1], ends[:, 0], ends[:, 1]
    side = (x1 - x0) * (py - y0) - (px - x0) * (y1 - y0)
    up = (y0 <= py) & (y1 > py) & (side > 0)
    down = (y0 > py) & (y1 <= py) & (side < 0)
    return np.asarray(up.sum(axis=1) - down.sum(axis=1), dtype=np.int64)


def nonzero(contours: Sequence[FloatArray], sliver: float) -> MultiPolygon:
    """The areas the contours wind round, without overlaps; faces smaller than ``sliver`` are noise and
    dropped. Raises `LetteringError` for contours that cross more often than those of letters do."""
    return _wound_area(contours, sliver, lambda numbers: numbers != 0)


def positive(contours: Sequence[FloatArray], sliver: float) -> MultiPolygon:
    """The areas that contours wind round anticlockwise, as `nonzero` has them: where the two edges of an outline have
    crossed each other, what lies between them runs the other way and is nothing."""
    return _wound_area(contours, sliver, lambda numbers: numbers > 0)


def _wound_area(
    contours: Sequence[FloatArray], sliver: float, inked: Callable[[npt.NDArray[np.int64]], npt.NDArray[np.bool_]]
) -> MultiPolygon:
    """What contours wind round so often as is ``inked``, as areas without overlaps."""
    closed = [c for c in map(_tidy, contours) if len(c) >= 3]
    if not closed:
        return MultiPolygon()
    _check_crossings(closed)
    cells, numbers = _cells(closed, sliver)
    merged = shapely.union_all(cells[inked(numbers)])
    return MultiPolygon([_without_specks(p, sliver) for p in shapely.get_parts(merged) if p.area > sliver])


def _check_crossings(contours: Sequence[FloatArray]) -> None:
    """Raises `LetteringError` before edges are cut that have too many crossings: n edges can have n squared."""
    count = sum(map(len, contours))
    if count <= FEW:
        return
    if len(contours) > MOST_CONTOURS:
        raise _tangled()
    edges = shapely.linestrings(np.stack(edges_of(contours), axis=1))
    tree = shapely.STRtree(edges)
    near = crossings = 0
    share = max(1, AT_ONCE // count)
    for first in range(0, count, share):
        one, other = tree.query(edges[first : first + share])
        one += first
        apart = other > one + 1
        one, other = one[apart], other[apart]
        near += len(one)
        if near <= MOST_NEAR:
            crossings += int(shapely.intersects(edges[one], edges[other]).sum())
        if near > MOST_NEAR or crossings > MOST_CROSSINGS:
            raise _tangled()


def _tangled() -> LetteringError:
    return LetteringError("the outlines of a letter of this face cross too often", "choose another face")


def _cells(contours: Sequence[FloatArray], sliver: float) -> tuple[npt.NDArray[np.object_], npt.NDArray[np.int64]]:
    """The faces of the arrangement, and how often the contours run round each.

    Edges that all but coincide can be cut wrongly in floating point, and a face is lost. The areas of all faces, each
    times its winding number, must come to the signed area of the contours; where they do not, the edges are cut again
    on a grid.
    """
    rings = [shapely.linestrings(np.vstack((c, c[:1]))) for c in contours]
    signed = sum(_signed_area(c) for c in contours)
    best: tuple[float, npt.NDArray[np.object_], npt.NDArray[np.int64]] | None = None
    for grid in GRIDS:
        noded = shapely.union_all(rings, grid_size=grid)
        cells = np.asarray(shapely.get_parts(shapely.polygonize([noded])), dtype=np.object_)
        numbers = np.zeros(0, dtype=np.int64)
        if len(cells) * sum(map(len, contours)) > MOST_STEPS:
            raise _tangled()
        if len(cells):
            inside = shapely.get_coordinates(shapely.point_on_surface(cells))
            numbers = winding_numbers(contours, inside)
        off = abs(float((shapely.area(cells) * numbers).sum()) - signed)
        if best is None or off < best[0]:
            best = off, cells, numbers
        if off <= 10 * sliver:
            break
    assert best is not None
    return best[1], best[2]


def _signed_area(contour: FloatArray) -> float:
    x, y = contour[:, 0], contour[:, 1]
    return float((x * np.roll(y, -1) - np.roll(x, -1) * y).sum()) / 2


def _tidy(contour: FloatArray) -> FloatArray:
    """Without repeated points: a closing point equal to the first, a node set twice."""
    keep = np.any(contour != np.roll(contour, 1, axis=0), axis=1)
    return contour[keep]


def _without_specks(polygon: shapely.Polygon, sliver: float) -> shapely.Polygon:
    if len(polygon.interiors) == 0:
        return polygon
    holes = [ring for ring in polygon.interiors if shapely.Polygon(ring).area > sliver]
    return shapely.Polygon(polygon.exterior, holes)
