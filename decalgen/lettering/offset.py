"""Letters made bolder or lighter by different amounts across and upright, corners kept sharp."""

from __future__ import annotations

import shapely
from shapely.geometry import MultiPolygon

SQUASH = 1000.0
"""An offset along one axis is a mitred buffer on an outline stretched this much along the other, where the buffer
then moves nothing that could be seen."""

MITRE = 6.0
_LEAST = 1e-7


def offset(region: MultiPolygon, dx: float, dy: float) -> MultiPolygon:
    """The area with every upright edge moved outward by ``dx`` and every level one by ``dy`` mm (inward if negative).

    Where both go the same way, slanting edges move by an amount between the two; where they do not, ``dx`` is done
    first, then ``dy``.
    """
    if abs(dx) < _LEAST:
        dx = 0.0
    if abs(dy) < _LEAST:
        dy = 0.0
    if dx == 0.0 and dy == 0.0:
        return region
    if dx * dy > 0 and 1 / SQUASH < dx / dy < SQUASH:
        return _buffered(region, dx, dx / dy)
    if dx:
        region = _buffered(region, dx, SQUASH)
    if dy:
        # Stretching y by 1 / SQUASH and buffering by dy / SQUASH is stretching x instead.
        region = _buffered(region, dy / SQUASH, 1 / SQUASH)
    return region


def _buffered(region: MultiPolygon, distance: float, stretch: float) -> MultiPolygon:
    # Points closer than this give a mitred buffer directions made of rounding noise.
    clean = shapely.remove_repeated_points(region, 1e-6)
    tall = shapely.transform(clean, lambda xy: xy * (1.0, stretch))
    grown = shapely.buffer(tall, distance, join_style="mitre", mitre_limit=MITRE)
    back = shapely.transform(grown, lambda xy: xy / (1.0, stretch))
    return MultiPolygon([p for p in shapely.get_parts(back) if isinstance(p, shapely.Polygon) and not p.is_empty])
