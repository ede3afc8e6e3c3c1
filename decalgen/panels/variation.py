"""A panel, and a decal held to it, when the truth of one reading lies a little off."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely
from shapely.geometry import Polygon

from decalgen.geometry import Outline, Segment
from decalgen.lengths import Quantity
from decalgen.panels.base import Panel, PanelError, Point


def shifted_panel(panel: Panel, name: str, z: float) -> Panel:
    """The panel with the reading ``name`` shifted by z standard uncertainties. One put together by hand, or whose
    shifted readings make no panel, is stretched as far as its width and height depend on that reading."""
    if panel.shifted is not None:
        try:
            return panel.shifted({name: z})
        except PanelError:
            pass
    dx, dy = (z * dict(size.parts).get(name, 0.0) for size in (panel.width, panel.height))
    return _resized(panel, dx, dy) if dx or dy else panel


def _resized(panel: Panel, dx: float, dy: float) -> Panel:
    fx, fy = 1 + dx / panel.width.value, 1 + dy / panel.height.value

    def move(point: Point) -> Point:
        return point[0] * fx, point[1] * fy

    segments = tuple(
        Segment(move(s.start), move(s.end), None if s.centre is None else move(s.centre), s.anticlockwise)
        for s in panel.outline.segments
    )
    return replace(
        panel,
        outline=Outline(segments),
        width=Quantity(panel.width.value + dx),
        height=Quantity(panel.height.value + dy),
    )


def stretched(cut: Polygon, size: tuple[Quantity, Quantity], steps: Sequence[tuple[float, float]]) -> Polygon:
    """The cut line moved and stretched: for x and for y how far its artwork's lower left corner moves and how much
    its artwork grows, mm. The margin round the artwork keeps its width."""
    (mx, gx), (my, gy) = steps
    if not (mx or gx or my or gy):
        return cut
    x0, y0, x1, y1 = cut.bounds
    width, height = size[0].value, size[1].value
    left, foot = (x0 + x1 - width) / 2, (y0 + y1 - height) / 2

    def move(points: np.ndarray[tuple[int, ...], np.dtype[np.float64]]) -> object:
        across = np.clip((points[:, 0] - left) / width, 0.0, 1.0)
        up = np.clip((points[:, 1] - foot) / height, 0.0, 1.0)
        return np.column_stack((points[:, 0] + mx + across * gx, points[:, 1] + my + up * gy))

    moved: Polygon = shapely.transform(cut, move)
    return moved
