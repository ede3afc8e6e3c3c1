"""How far a cut line stays clear of a panel's edges and obstacles; negative where it does not. Plain numbers, mm."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np
import shapely
from shapely.geometry import LineString, MultiLineString, Polygon
from shapely.geometry.base import BaseGeometry

from decalgen.core.geometry import Outline, Point
from decalgen.panels.base import Obstacle, Panel

SAMPLES = 200
"""Points along the boundary of an overlap, to find its depth."""


def side_lines(outline: Outline, sides: Sequence[str]) -> dict[str, MultiLineString | LineString]:
    """The outline's sides by name; a side without a name is an 'edge'."""
    found: dict[str, list[list[tuple[float, float]]]] = {}
    for number, segment in enumerate(outline.segments):
        name = sides[number] if number < len(sides) else "edge"
        found.setdefault(name, []).append(segment.points())
    return {
        name: shapely.linestrings(lines[0]) if len(lines) == 1 else MultiLineString(lines)
        for name, lines in found.items()
    }


def to_sides(cut: BaseGeometry, outline: Outline, sides: Sequence[str]) -> dict[str, float]:
    """The clearance to each side. Where the cut line crosses a side, minus how far it reaches beyond it: square to
    a straight side, to the nearest point of a curved one."""
    lines = side_lines(outline, sides)
    ring = outline.polygon
    if ring.contains(cut):
        return dict(zip(lines, shapely.distance(cut, list(lines.values())).tolist(), strict=True))
    inside = cut.intersection(ring)
    near = shapely.distance(inside if not inside.is_empty else cut, list(lines.values()))
    clear = dict(zip(lines, near.tolist(), strict=True))
    reaching = _reaching(cut, ring, lines)
    for name in lines:
        if name in reaching:
            clear[name] = -reaching[name][1]
        elif clear[name] < 1e-9:
            clear[name] = 0.0
    return clear


def _reaching(
    cut: BaseGeometry, ring: Polygon, lines: Mapping[str, BaseGeometry]
) -> dict[str, tuple[tuple[float, float], float]]:
    """The point of a cut line that reaches farthest beyond each side, and how far; sides it keeps within are left
    out."""
    points = _samples(cut.difference(ring))
    distances = shapely.distance(shapely.points(points)[:, None], np.array(list(lines.values()))[None, :])
    least = distances.min(axis=1)
    found = {}
    for column, (name, line) in enumerate(lines.items()):
        mine = (distances[:, column] <= least + 1e-9) & (least > 1e-9)
        if mine.any():
            beyond = _square(points[mine], line) if _straight(line) else distances[mine, column]
            x, y = points[mine][int(beyond.argmax())]
            found[name] = (float(x), float(y)), float(beyond.max())
    return found


def to_obstacle(cut: Polygon, obstacle: Obstacle) -> float:
    """The clearance to an obstacle beyond the one it asks for; minus the depth of the overlap where they overlap."""
    shape = obstacle.outline.polygon
    if not cut.intersects(shape):
        return float(cut.distance(shape)) - obstacle.clearance
    return -math.dist(*overlap_line(cut, shape)) - obstacle.clearance


def dimension_line(cut: Polygon, panel: Panel, to: str) -> tuple[Point, Point] | None:
    """Where a drawing shows the clearance to a side or obstacle: the nearest points of the cut line and of it; where
    the cut line reaches beyond a side, its farthest point and the foot on the side; where it lies on an obstacle, the
    way out. None for what has no such line (the room across), and where both touch."""
    found = side_lines(panel.outline, panel.sides)
    if to in found and not panel.outline.polygon.covers(cut):
        reaching = _reaching(cut, panel.outline.polygon, found)
        if to in reaching:
            point, depth = reaching[to]
            foot = _foot(point, found[to])
            return (point, foot) if depth > 1e-6 else None
    target: BaseGeometry | None = found.get(to)
    for item in panel.obstacles:
        if item.name == to:
            if cut.intersects(item.outline.polygon):
                return _drawn(*overlap_line(cut, item.outline.polygon))
            target = item.outline.polygon.exterior
    if target is None:
        return None
    line = shapely.shortest_line(cut.exterior, target)
    return _drawn(*((float(x), float(y)) for x, y in line.coords))


def _drawn(a: Point, b: Point) -> tuple[Point, Point] | None:
    """A line between two points; None where they are the same."""
    return (a, b) if math.dist(a, b) > 1e-6 else None


def overlap_line(cut: Polygon, shape: Polygon) -> tuple[Point, Point]:
    """How far the cut line must move to come clear of an obstacle, as the line between where its deepest point lies
    and where that would have to lie; both the same where they only touch.

    For convex outlines this is the shortest way out there is: it is square to a side of one of them (separating axis
    theorem). Where one is hollow it is the deepest point of the overlap and the nearest border: no way out is shorter.
    """
    overlap = cut.intersection(shape)
    if overlap.area <= 0:
        x, y = (float(z) for z in shapely.get_coordinates(shapely.shortest_line(cut, shape))[0])
        return (x, y), (x, y)
    if _convex(cut) and _convex(shape):
        return _way_out(cut, shape, overlap)
    points = _samples(overlap)
    spots = shapely.points(points)
    far = [shapely.distance(spots, edge) for edge in (cut.exterior, shape.exterior)]
    depths, edge = max(zip(far, (cut.exterior, shape.exterior), strict=True), key=lambda found: float(found[0].max()))
    at = int(depths.argmax())
    near = shapely.get_coordinates(shapely.shortest_line(spots[at], edge))[1]
    return (float(points[at][0]), float(points[at][1])), (float(near[0]), float(near[1]))


def _way_out(cut: Polygon, shape: Polygon, overlap: BaseGeometry) -> tuple[Point, Point]:
    """The shortest way out of one convex outline for another; drawn from the middle of what lies deepest."""
    film, thing = (np.asarray(shapely.get_coordinates(one.exterior)) for one in (cut, shape))
    sides = np.concatenate([np.diff(film, axis=0), np.diff(thing, axis=0)])
    lengths = np.hypot(sides[:, 0], sides[:, 1])
    sides = sides[lengths > 1e-9] / lengths[lengths > 1e-9, None]
    normals = np.column_stack([sides[:, 1], -sides[:, 0]])
    normals = np.concatenate([normals, -normals])
    depths = (film @ normals.T).max(axis=0) - (thing @ normals.T).min(axis=0)
    normal, depth = normals[int(depths.argmin())], float(depths.min())
    both = np.asarray(shapely.get_coordinates(overlap))
    least = float((thing @ normal).min())
    # What lies deepest may lie beside the film; then the line is drawn there.
    lowest = next(deep for some in (both, thing) if len(deep := some[some @ normal < least + 1e-6]))
    middle = (lowest.min(axis=0) + lowest.max(axis=0)) / 2
    x, y = float(middle[0]), float(middle[1])
    return (x, y), (x + depth * float(normal[0]), y + depth * float(normal[1]))


def _convex(shape: Polygon) -> bool:
    """Whether an outline is convex, but for what flattening curves leaves."""
    return bool(not shape.interiors and shape.convex_hull.area - shape.area <= 1e-6 * shape.area)


def _samples(geometry: BaseGeometry) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
    border = geometry.boundary
    return np.asarray(shapely.get_coordinates(shapely.segmentize(border, max(border.length / SAMPLES, 1e-6))))


def _foot(point: Point, line: BaseGeometry) -> Point:
    """Square below a point on a straight side, produced if need be; the nearest point of a curved one."""
    if not _straight(line):
        near = shapely.shortest_line(line, shapely.Point(point)).coords[0]
        return float(near[0]), float(near[1])
    (ax, ay), (bx, by) = line.coords
    share = ((point[0] - ax) * (bx - ax) + (point[1] - ay) * (by - ay)) / ((bx - ax) ** 2 + (by - ay) ** 2)
    return ax + share * (bx - ax), ay + share * (by - ay)


def _straight(line: BaseGeometry) -> bool:
    return isinstance(line, LineString) and len(line.coords) == 2


def _square(
    points: np.ndarray[tuple[int, ...], np.dtype[np.float64]], line: BaseGeometry
) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
    (ax, ay), (bx, by) = line.coords
    length = math.hypot(bx - ax, by - ay)
    return np.asarray(np.abs((points[:, 0] - ax) * (by - ay) - (points[:, 1] - ay) * (bx - ax)) / length)
