"""Any free area as one piece among others: what the separation engine needs to nest on more than a plain
strip.

Pieces are spread by half the gap. All that is not free round and between the sheets becomes one outline as
high as the strip: islands are joined to the rest by hair-thin bridges, and a slit opens each free area to the
outside, so that the outline has no holes. When the strip is hardly longer than this outline, every piece lies
in a free area.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from shapely.geometry import MultiPolygon, Polygon
from shapely.ops import nearest_points

from decalgen.core.values import dataclass
from decalgen.nesting.convex import add, convex_parts, part_of, round_part, superset
from decalgen.nesting.frame import Frame, blocked
from decalgen.nesting.turning import ring

BRIDGE = 0.02
SLIT = 0.01
MARGIN = 4.0
UNITS = 1e5


@dataclass(frozen=True)
class Hall:
    """Sheets side by side in one outline. ``offsets``: how far each sheet was moved to the right."""

    outline: Polygon
    offsets: tuple[float, ...]

    @property
    def length(self) -> float:
        x0, _, x1, _ = self.outline.bounds
        return float(x1 - x0)

    @property
    def height(self) -> float:
        _, y0, _, y1 = self.outline.bounds
        return float(y1 - y0)


def spread(polygon: Polygon, distance: float) -> Polygon | MultiPolygon:
    """A polygon and all within a distance of it, never less."""
    outline = superset(ring(polygon), [ring(Polygon(hole)) for hole in polygon.interiors])
    if distance <= 0:
        return outline
    disc = round_part(int(np.ceil(distance * UNITS)))
    assert disc is not None
    parts = []
    for points in convex_parts(outline):
        part = part_of([(int(x), int(y)) for x, y in np.rint(points * UNITS).astype(np.int64)])
        parts.append(Polygon(np.array(add(part, disc).path) / UNITS))
    joined = shapely.union_all(parts)
    assert isinstance(joined, Polygon | MultiPolygon)
    return joined


def hall_of(frames: Sequence[Frame], gap: float, taken: Sequence[Sequence[Polygon]], limit: float = 0.0) -> Hall:
    """The hall of some sheets; ``taken``: pieces already on each; ``limit``: use the last one so far, mm."""
    free: list[Polygon | MultiPolygon] = []
    offsets = []
    x = 0.0
    for index, (frame, pieces) in enumerate(zip(frames, taken, strict=True)):
        area = _free(frame, gap, pieces, limit if index == len(frames) - 1 else 0.0)
        x0, _, x1, _ = area.bounds
        offsets.append(x - x0)
        free.append(shapely.transform(area, lambda points, dx=x - x0: points + np.array((dx, 0.0))))
        x += x1 - x0 + MARGIN
    everywhere = shapely.union_all(free)
    x0, y0, x1, y1 = everywhere.bounds
    block = shapely.box(x0 - MARGIN, y0 - MARGIN, x1 + MARGIN, y1 + MARGIN)
    return Hall(_opened(_joined(block.difference(everywhere))), tuple(offsets))


def _free(frame: Frame, gap: float, pieces: Sequence[Polygon], limit: float) -> Polygon | MultiPolygon:
    """Where spread pieces may lie on a sheet."""
    x0, y0, x1, y1 = frame.bounds
    if limit > 0:
        x1 = min(x1, x0 + limit)
    half = gap / 2
    area: Polygon | MultiPolygon
    if frame.usable.convex_hull.area - frame.usable.area < 1e-9:
        inner = shapely.intersection(frame.usable, shapely.box(x0, y0, x1, y1))
        area = inner.buffer(half, join_style="mitre", mitre_limit=100.0)
    else:
        # A spread piece may pass over a dent narrower than the gap, so dents are not made smaller.
        area = shapely.box(x0 - half, y0 - half, x1 + half, y1 + half)
        area = area.difference(shapely.union_all(blocked(frame)))
    clearance = frame.region.keep_out_clearance - half
    taken = [spread(k, max(0.0, clearance)) for k in frame.keep_outs] + [spread(p, half) for p in pieces]
    return area.difference(shapely.union_all(taken)) if taken else area


def _joined(area: Polygon | MultiPolygon) -> Polygon:
    """Islands joined to the rest by bridges, the nearest first."""
    while isinstance(area, MultiPolygon):
        parts = sorted(area.geoms, key=lambda p: -p.area)
        main, rest = parts[0], parts[1:]
        island = min(rest, key=lambda p: float(main.distance(p)))
        a, b = nearest_points(main, island)
        line = shapely.LineString([a, b]) if a.distance(b) > 0 else a
        bridge = line.buffer(BRIDGE / 2, cap_style="square")
        area = shapely.union_all([*parts, bridge])
    return area


def _opened(area: Polygon) -> Polygon:
    """Each hole opened by a slit to the right of its rightmost point."""
    far = area.bounds[2] + 1.0
    for _ in range(len(area.interiors) + 1):
        if not area.interiors:
            break
        hole = area.interiors[0]
        points = shapely.get_coordinates(hole)
        x, y = points[np.lexsort((points[:, 1], -points[:, 0]))[0]]
        cut = shapely.difference(area, shapely.box(x - SLIT, y - SLIT / 2, far, y + SLIT / 2))
        area = cut if isinstance(cut, Polygon) else max(cut.geoms, key=lambda p: p.area)
    return area
