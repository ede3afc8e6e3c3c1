"""What ink lies at a point, asked of the drawn areas the way a knife meets them: the last painted one wins."""

from __future__ import annotations

from collections.abc import Sequence

from shapely.geometry import Point

from decalgen.core.geometry import region, union
from decalgen.shapes.base import Inked


def ink_at(areas: Sequence[Inked], x: float, y: float) -> str | None:
    """The ink seen at a point; None where the film is bare."""
    return next((a.ink for a in reversed(areas) if a.region.covers(Point(x, y))), None)


def near_edge(areas: Sequence[Inked], x: float, y: float, within: float = 0.01) -> bool:
    """Whether an outline passes so near that the ink at the point cannot be decided."""
    return any(a.region.boundary.distance(Point(x, y)) < within for a in areas)


def seen(areas: Sequence[Inked]) -> dict[str, float]:
    """The area of each ink that can be seen, mm²: what lies above covers what lies below."""
    shown: dict[str, float] = {}
    above = region(union([]))
    for area in reversed(areas):
        left = area.region.difference(above)
        shown[area.ink] = shown.get(area.ink, 0.0) + float(left.area)
        above = union([above, area.region])
    return shown
