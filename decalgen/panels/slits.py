"""Slits: open cuts from a decal's edge inward, along the shut lines it lies over or where its panel strains it.

Film that is slit stays one piece: along a shut line that runs right across it a bridge is left.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator

import shapely
from shapely.geometry import LineString, Polygon
from shapely.ops import substring

from decalgen.core.geometry import SLIVER, polygons
from decalgen.panels.base import Panel
from decalgen.panels.strain import strain

BRIDGE = 2.0
"""Film left uncut on a line that runs right across, mm: enough to slide it off its paper in one piece (common
practice, no source)."""
SHORTEST = 0.3
"""A slit shorter than this does nothing, mm (common practice, no source)."""
REACHES = 1e-6
KERF = 1e-4
"""How wide a slit is taken to be when parts are counted, mm."""


def slits(film: Polygon, panel: Panel, along: Collection[str], advised: bool) -> tuple[LineString, ...]:
    """The slits of film with this outline in the panel's flat coordinates, each from the edge inward.

    ``along`` names gaps of the panel; ``advised``: those that its double curvature calls for too. Raises `PanelError`
    as `strain.strain` does.
    """
    found = [
        piece
        for item in panel.obstacles
        if item.name in along and item.middle
        for part in _lines(LineString(item.middle).intersection(film))
        for piece in _held(part, film)
        if piece.length >= SHORTEST
    ]
    if advised:
        bent = strain(film, panel)
        found += [_from_edge(line, film) for line in bent.slits] if bent is not None else []
    return tuple(found)


def parts_left(film: Polygon, cuts: Collection[LineString]) -> int:
    """Into how many parts the slits would cut the film; 1 is as it should be."""
    if not cuts:
        return 1
    opened = film.difference(shapely.union_all([line.buffer(KERF, cap_style="square") for line in cuts]))
    return len([part for part in polygons(opened) if part.area > SLIVER])


def _lines(geometry: shapely.Geometry) -> Iterator[LineString]:
    """The lines of a geometry; what the film's edge has cut apart at a bend is joined again."""
    if isinstance(geometry, shapely.MultiLineString):
        geometry = shapely.line_merge(geometry)
    for part in getattr(geometry, "geoms", [geometry]):
        if isinstance(part, LineString) and part.length > 0:
            yield part


def _held(part: LineString, film: Polygon) -> Iterator[LineString]:
    """A line that ends within the film is slit whole, one from edge to edge all but its bridge."""
    border = film.boundary
    if not all(border.distance(shapely.Point(end)) < REACHES for end in (part.coords[0], part.coords[-1])):
        yield _from_edge(part, film)
        return
    whole = part.length
    # As near the middle of the film as may be, but never at its edge, where the bridge would tear.
    spot = min(max(part.project(film.centroid), whole / 4), 3 * whole / 4)
    if whole > BRIDGE:
        yield substring(part, 0.0, max(spot - BRIDGE / 2, 0.0))
        yield substring(part, whole, min(spot + BRIDGE / 2, whole))


def _from_edge(line: LineString, film: Polygon) -> LineString:
    """The line, beginning at its end nearer the film's edge."""
    first, last = (film.boundary.distance(shapely.Point(end)) for end in (line.coords[0], line.coords[-1]))
    return line if first <= last else LineString(line.coords[::-1])
