"""Bleed along edges that no shape runs on over by itself: arcs, slanted sides, the corners between. Pure.

Shapes run on over the sides of their own extent (`shapes.base`). What is left is a cut line that coincides with the
edge of an area, such as a roundel's rim or the rounded corner of a field: there the area is pushed straight out.
"""

from __future__ import annotations

from dataclasses import replace

import shapely
from shapely.geometry import LineString, MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from decalgen.core.geometry import EMPTY, region, union
from decalgen.shapes.base import Inked

ON_EDGE = 1e-5
"""An area's edge nearer to the cut line than this, mm, lies on it."""


def grow_over_edge(inked: list[Inked], edge: Polygon, outer: Polygon) -> list[Inked]:
    """Each area with what it needs in the band between ``edge`` and ``outer``, areas staying disjoint.

    What shapes already ran on over the edge stands. Where nothing is drawn at the edge, nothing grows.
    """
    band = region(outer.difference(edge))
    # To see that an area lies wholly inside costs far less than to cut it, and most do.
    shapely.prepare(edge)
    reaches = [not edge.contains_properly(i.region) for i in inked]
    # Only what comes near the cut line is looked at: the holes that letters leave in their ground do not.
    near = [_near(i.region, edge) if does else EMPTY for i, does in zip(inked, reaches, strict=True)]
    reaching = [area for area, does in zip(near, reaches, strict=True) if does]
    taken = union(area.intersection(band) for area in reaching)
    if region(band.difference(taken)).is_empty:
        return inked
    distance = max(shapely.hausdorff_distance(edge.exterior, outer.exterior), ON_EDGE)
    grown: list[Inked] = []
    pushed: list[MultiPolygon] = []
    for area, does in zip(near, reaches, strict=True):
        push = _pushed(area, edge, distance) if does else EMPTY
        free = region(push.intersection(band).difference(taken)) if not push.is_empty else EMPTY
        taken = taken if free.is_empty else union([taken, free])
        pushed.append(free)
    open_edge = _outside_of(reaching, edge, distance)
    rest = region(band.difference(union([taken, open_edge])))
    gaps: dict[int, list[BaseGeometry]] = {}
    for gap in rest.geoms:
        # Only a corner between pushed stretches is filled: beside a slanted stripe the band stays as it is.
        touch = [free.intersection(gap.buffer(ON_EDGE)).area for free in pushed]
        best = max(range(len(touch)), key=touch.__getitem__, default=None)
        if best is not None and touch[best] > 0:
            gaps.setdefault(best, []).append(gap)
    for index, (item, free) in enumerate(zip(inked, pushed, strict=True)):
        extra = [free, *gaps.get(index, [])]
        grown.append(replace(item, region=union([item.region, *extra])) if any(not g.is_empty for g in extra) else item)
    return grown


def _near(area: MultiPolygon, edge: Polygon) -> MultiPolygon:
    """An area without the parts and holes that lie inside ``edge``, farther from it than what lies on it may."""
    rings = shapely.get_rings(shapely.get_parts(area))
    inner = shapely.contains_properly(edge, rings) & (shapely.distance(rings, edge.exterior) > 3 * ON_EDGE)
    parts = []
    number = 0
    for part in area.geoms:
        count = 1 + len(part.interiors)
        own, far = rings[number : number + count], inner[number : number + count]
        if not far[0]:
            parts.append(Polygon(own[0], [hole for hole, gone in zip(own[1:], far[1:], strict=True) if not gone]))
        number += count
    return MultiPolygon(parts)


def _pushed(area: MultiPolygon, edge: Polygon, distance: float) -> BaseGeometry:
    """The stretch of cut line that an area ends on, pushed straight out by ``distance``.

    Where it already runs on, its outline only crosses the cut line, and nothing is pushed.
    """
    return _push_out(_lines(edge.exterior.intersection(area.boundary.buffer(ON_EDGE))), edge, distance)


def _outside_of(areas: list[MultiPolygon], edge: Polygon, distance: float) -> BaseGeometry:
    """The band beyond stretches of cut line where nothing is drawn."""
    covered = union(areas).buffer(2 * ON_EDGE)
    return _push_out(_lines(edge.exterior.difference(covered)), edge, distance)


def _push_out(lines: list[LineString], edge: Polygon, distance: float) -> BaseGeometry:
    strips = [line.buffer(distance, cap_style="flat", join_style="mitre", mitre_limit=2.0) for line in lines]
    return union(strips).difference(edge) if strips else EMPTY


def _lines(geometry: BaseGeometry) -> list[LineString]:
    merged = shapely.line_merge(shapely.union_all([g for g in _parts(geometry) if g.length > 10 * ON_EDGE]))
    return [g for g in _parts(merged) if g.length > 10 * ON_EDGE]


def _parts(geometry: BaseGeometry) -> list[LineString]:
    if isinstance(geometry, LineString):
        return [] if geometry.is_empty else [LineString(geometry.coords)]
    return [line for part in getattr(geometry, "geoms", ()) for line in _parts(part)]
