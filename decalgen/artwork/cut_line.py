"""The cut line of a decal: its outline before and after the bare margin. Pure; mm in the artwork's coordinates."""

from __future__ import annotations

import math
from collections.abc import Sequence

import shapely
from shapely.geometry import MultiPolygon, Polygon

from decalgen.artwork.bleed import ON_EDGE
from decalgen.artwork.on_panel import corner_on
from decalgen.core.errors import FitError
from decalgen.core.geometry import Outline, Segment, arc_steps, fault_of_ring, polygons, rounded, translation
from decalgen.job.model import Decal, Job
from decalgen.shapes.base import Box
from decalgen.shapes.pieces import EDGE

ROUND = 0.002
"""An outline this near to a circle is one, mm."""


def base_outline(decal: Decal, job: Job, box: Box, drawn: MultiPolygon, bleed: float = 0.0) -> Outline:
    """The outline the artwork fills, before any bare margin. ``drawn`` is all that was painted, and runs on by
    ``bleed``.

    Raises FitError where a cut line along the artwork would fall apart, or a free outline crosses itself.
    """
    cut = decal.cut
    if cut.kind == "round":
        return ellipse(box.width, box.height)
    if cut.kind == "artwork":
        return _along(decal, drawn, bleed)
    if cut.kind == "panel":
        panel = job.panel(decal.panel)
        x, y = corner_on(panel, decal.at, box)
        return panel.outline.moved(translation(-x, -y))
    if cut.kind == "outline":
        outline = rounded_polygon(cut.points, cut.radii or (cut.corner_radius,) * len(cut.points))
        if not outline.polygon.is_valid:
            raise FitError(
                f"the cut line of '{decal.name}' {fault_of_ring(cut.points) or 'crosses itself at its round corners'}",
                fix="list its points in order, once round",
                place=decal.place,
            )
        return outline
    return rounded(box.width, box.height, (cut.corner_radius,) * 4)


def with_margin(base: Outline, margin: float) -> Outline:
    """The outline grown by a bare margin, corners round with the margin as radius; arcs stay arcs where they can."""
    if margin <= 0:
        return base
    grown = _grow_arcs(base, margin)
    # Where a corner is next to straight, its arc may run back over a side by a rounding.
    if grown is not None and grown.polygon.is_valid:
        return grown
    shape = base.polygon.buffer(margin, quad_segs=arc_steps(margin, math.pi / 2))
    return Outline.from_polygon(Polygon(shape.exterior))


def ellipse(width: float, height: float) -> Outline:
    """An ellipse in a box; a circle keeps its arcs."""
    rx, ry = width / 2, height / 2
    if abs(rx - ry) < 1e-9:
        c = (rx, rx)
        points = [(2 * rx, rx), (rx, 2 * rx), (0.0, rx), (rx, 0.0)]
        return Outline(tuple(Segment(points[i], points[(i + 1) % 4], c) for i in range(4)))
    steps = 4 * arc_steps(max(rx, ry), math.pi / 2)
    ring = [
        (rx + rx * math.cos(2 * math.pi * i / steps), ry + ry * math.sin(2 * math.pi * i / steps)) for i in range(steps)
    ]
    return Outline.from_polygon(Polygon(ring))


def rounded_polygon(points: Sequence[tuple[float, float]], radii: Sequence[float]) -> Outline:
    """A polygon with a radius at each corner, anticlockwise whatever the order given; too large radii are reduced."""
    pts, rs = list(points), list(radii)
    if not Polygon(pts).exterior.is_ccw:
        pts, rs = pts[::-1], rs[::-1]
    n = len(pts)
    corners: list[tuple[tuple[float, float], tuple[float, float], tuple[float, float] | None, bool]] = []
    for i in range(n):
        before, here, after = pts[i - 1], pts[i], pts[(i + 1) % n]
        corners.append(_corner(before, here, after, rs[i]))
    segments: list[Segment] = []
    for i, (start, end, centre, left) in enumerate(corners):
        previous = corners[i - 1][1]
        if math.dist(previous, start) > 1e-9:
            segments.append(Segment(previous, start))
        if centre is not None:
            segments.append(Segment(start, end, centre, left))
    return Outline(tuple(segments))


def _corner(
    before: tuple[float, float], here: tuple[float, float], after: tuple[float, float], radius: float
) -> tuple[tuple[float, float], tuple[float, float], tuple[float, float] | None, bool]:
    a, b = math.dist(before, here), math.dist(here, after)
    u = ((before[0] - here[0]) / a, (before[1] - here[1]) / a)
    v = ((after[0] - here[0]) / b, (after[1] - here[1]) / b)
    cross = u[0] * v[1] - u[1] * v[0]
    half = math.acos(max(-1.0, min(1.0, u[0] * v[0] + u[1] * v[1]))) / 2
    if radius <= 1e-9 or abs(cross) < 1e-9:
        return here, here, None, True
    reach = min(radius / math.tan(half), a / 2, b / 2)
    radius = reach * math.tan(half)
    start = (here[0] + u[0] * reach, here[1] + u[1] * reach)
    end = (here[0] + v[0] * reach, here[1] + v[1] * reach)
    away = radius / math.sin(half)
    mid = ((u[0] + v[0]) / 2, (u[1] + v[1]) / 2)
    size = math.hypot(*mid)
    centre = (here[0] + mid[0] / size * away, here[1] + mid[1] / size * away)
    return start, end, centre, cross < 0


def _along(decal: Decal, drawn: MultiPolygon, bleed: float) -> Outline:
    """The outer outline of all that is drawn. With a bare margin it may come in parts that the margin joins."""
    parts = polygons(drawn)
    if not parts:
        raise FitError(
            f"'{decal.name}' draws nothing, so there is nothing to cut along", fix="add a shape", place=decal.place
        )
    if len(parts) > 1:
        reach = max(decal.margin or 0.5, 0.05)
        joined = polygons(drawn.buffer(reach).buffer(-reach + 1e-6))
        if len(joined) > 1:
            x0, y0, x1, y1 = drawn.bounds
            cut_off = min(x0, y0, decal.width.value - x1, decal.height.value - y1) < EDGE
            raise FitError(
                f"a cut line along the artwork of '{decal.name}' falls apart into {len(joined)} pieces",
                fix="use `cut: rectangle`, or a larger `margin`"
                + ("; or a larger decal, if its edge cuts off what joins them" if cut_off else ""),
                place=decal.place,
            )
        parts = joined
    ring = Polygon(parts[0].exterior)
    disc = _as_circle(ring)
    # Only from an edge that it lies on does artwork run on.
    if disc is None or (bleed > 0 and shapely.hausdorff_distance(ring.exterior, disc.polygon.exterior) > ON_EDGE / 2):
        return Outline.from_polygon(ring)
    return disc


def _as_circle(ring: Polygon) -> Outline | None:
    """The circle that a flattened outline stands for, with its arcs; None where it is none. The corners of a rectangle
    lie on a circle too: the middles of its sides do not."""
    x0, y0, x1, y1 = ring.bounds
    disc = ellipse(x1 - x0, x1 - x0).moved(translation(x0, y0))
    if abs((x1 - x0) - (y1 - y0)) > ROUND or ring.symmetric_difference(disc.polygon).area > ROUND * ring.length:
        return None
    return disc


def _grow_arcs(base: Outline, margin: float) -> Outline | None:
    """The exact offset of a convex outline of lines and outward arcs; None where that is not so."""
    segments = [s for s in base.segments if math.dist(s.start, s.end) > 1e-9]
    if any(s.centre is not None and not s.anticlockwise for s in segments) or len(segments) > 64:
        return None
    if abs(base.polygon.convex_hull.area - base.polygon.area) > 1e-6 * base.polygon.area:
        return None
    moved = [_offset(s, margin) for s in segments]
    out: list[Segment] = []
    for i, segment in enumerate(moved):
        previous = moved[i - 1]
        if math.dist(previous.end, segment.start) > 1e-9:
            out.append(Segment(previous.end, segment.start, segments[i].start))
        out.append(segment)
    return Outline(tuple(out))


def _offset(s: Segment, d: float) -> Segment:
    if s.centre is None:
        length = math.dist(s.start, s.end)
        nx, ny = (s.end[1] - s.start[1]) / length * d, -(s.end[0] - s.start[0]) / length * d
        return Segment((s.start[0] + nx, s.start[1] + ny), (s.end[0] + nx, s.end[1] + ny))
    cx, cy = s.centre
    radius = math.dist(s.start, s.centre)
    k = (radius + d) / radius
    return Segment(
        (cx + (s.start[0] - cx) * k, cy + (s.start[1] - cy) * k),
        (cx + (s.end[0] - cx) * k, cy + (s.end[1] - cy) * k),
        s.centre,
    )
