"""Sides of a panel that a decal is cut along: wheel arches, and any other side of an outline."""

from __future__ import annotations

from collections.abc import Collection

import shapely
from shapely.geometry import LineString, MultiPolygon, Polygon

from decalgen.core.geometry import SLIVER, polygons, region
from decalgen.panels.base import Panel
from decalgen.panels.clearance import side_lines

MEETS = 1e-6
"""Film this close to a side has been cut there, mm."""
SHARED = 1e-3
"""Less of a side than this is a mere corner, mm."""


def nameable(panel: Panel) -> tuple[str, ...]:
    """The sides that a job may name: those of an outline ('side 2'), each of which keeps its name on the other hand."""
    return tuple(dict.fromkeys(side for side in panel.sides if side.startswith("side ")))


def arches(panel: Panel) -> tuple[str, ...]:
    """The sides of an outline that are hollow, as a wheel arch is."""
    known = nameable(panel)
    if not known:
        return ()
    whole = panel.outline.polygon
    found = []
    for name, lines in side_lines(panel.outline, panel.sides).items():
        line = lines if isinstance(lines, LineString) else shapely.line_merge(lines)
        if name not in known or not isinstance(line, LineString) or len(line.coords) < 3:
            continue
        opening = Polygon(line.coords)
        if opening.is_valid and opening.area > SLIVER and not whole.covers(opening.representative_point()):
            found.append(name)
    return tuple(found)


def beyond(cut: Polygon, panel: Panel, names: Collection[str]) -> dict[str, MultiPolygon]:
    """What of a cut line lies beyond the named sides and no others, by the first side it lies beyond."""
    mine = [name for name in nameable(panel) if name in names]
    outside = polygons(cut.difference(panel.outline.polygon)) if mine else []
    lines = side_lines(panel.outline, panel.sides) if outside else {}
    found: dict[str, list[Polygon]] = {}
    for part in outside:
        near = part.buffer(MEETS)
        over = [name for name, line in lines.items() if line.intersection(near).length > SHARED]
        if over and all(name in mine for name in over):
            found.setdefault(over[0], []).append(part)
    return {name: region(MultiPolygon(parts)) for name, parts in found.items()}
