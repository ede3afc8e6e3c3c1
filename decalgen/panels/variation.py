"""A panel when the truth of one reading lies a little off."""

from __future__ import annotations

from dataclasses import replace

from decalgen.core.geometry import Outline, Point, Segment
from decalgen.core.lengths import Quantity
from decalgen.panels.base import Panel, PanelError


def shifted_panel(panel: Panel, name: str, z: float) -> Panel:
    """The panel with the reading ``name`` shifted by z standard uncertainties. One put together by hand, or whose
    shifted readings make no panel, is stretched as far as its width and height depend on that reading."""
    known = panel.variants.get((name, z))
    if known is None:
        known = panel.variants[name, z] = _shifted(panel, name, z)
    return known


def _shifted(panel: Panel, name: str, z: float) -> Panel:
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
