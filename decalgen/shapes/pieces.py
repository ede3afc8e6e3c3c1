"""Small things several shapes need: areas gathered by ink, sides that run on, the overall limit. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import shapely
from shapely.geometry.base import BaseGeometry

from decalgen.core.geometry import Region, rectangle, region, union
from decalgen.shapes.base import Box, Inked, ShapeError

CELLS = 20_000
"""More cells, stripes or copies than this is a slip or a hostile file, not a livery."""
POINTS = 500_000
"""The same for the points of all outlines of one shape."""
EDGE = 1e-6
"""What lies this near to a side, mm, lies on it."""


def check_cells(count: float, what: str) -> None:
    """Raises `ShapeError` for more than `CELLS` of something."""
    if not count <= CELLS:
        shown = f"{count:,.0f}".replace(",", " ")
        raise ShapeError(f"{shown} {what} are too many", f"use at most {CELLS // 1000} 000, or larger ones")


def check_points(count: float) -> None:
    """Raises `ShapeError` for more than `POINTS` points of outlines."""
    if not count <= POINTS:
        raise ShapeError("this makes too many areas to draw", "use fewer, or smaller ones")


def chosen_inks(ink: str | None, inks: Sequence[str] | None, shape: str) -> tuple[str, ...]:
    """The inks of a shape that takes either `ink` or `inks`. Raises `ShapeError` unless just one is given."""
    if (ink is None) == (not inks):
        raise ShapeError(f"the {shape} needs either `ink` or `inks`", "give one ink, or a list that is used in turn")
    return (ink,) if ink is not None else tuple(inks or ())


def by_ink(areas: Iterable[tuple[str | None, BaseGeometry]], grid: bool = False) -> tuple[Inked, ...]:
    """One area an ink, in the order the inks first appear; abutting cells of one ink merge. None prints nothing.

    ``grid``: the areas are cells whose common edges have the same corners, which merges much faster.
    """
    gathered: dict[str, list[BaseGeometry]] = {}
    for ink, area in areas:
        if ink is not None and not area.is_empty:
            gathered.setdefault(ink, []).append(area)
    merge = (lambda parts: region(shapely.coverage_union_all(parts))) if grid else union
    merged = ((ink, merge(parts)) for ink, parts in gathered.items())
    return tuple(Inked(ink, area) for ink, area in merged if not area.is_empty)


def grown(size: Box, by: float) -> Region:
    """The extent with a band of ``by`` mm on all sides."""
    return rectangle(0.0 - by, 0.0 - by, size.width + by, size.height + by)


def run_out(area: BaseGeometry, size: Box, run_on: float) -> Region:
    """``area``, and whatever of it meets a side of the extent pushed straight out; in a corner, out to the corner."""
    whole = region(area)
    if run_on <= 0 or whole.is_empty:
        return whole
    w, h = size
    corners = {(x, y): _holds(whole, x, y, size) for x in (0.0, w) for y in (0.0, h)}
    arms: list[BaseGeometry] = []
    for y, out in ((0.0, -run_on), (h, h + run_on)):
        for a, b in _along(whole, y, axis=1):
            a = -run_on if a <= EDGE and corners[0.0, y] else max(a, 0.0)
            b = w + run_on if b >= w - EDGE and corners[w, y] else min(b, w)
            arms.append(rectangle(a, min(y, out), b, max(y, out)))
    for x, out in ((0.0, -run_on), (w, w + run_on)):
        for a, b in _along(whole, x, axis=0):
            arms.append(rectangle(min(x, out), max(a, 0.0), max(x, out), min(b, h)))
    return union([whole, *arms])


def _along(area: BaseGeometry, at: float, axis: int) -> list[tuple[float, float]]:
    """The stretches of a side (x or y = ``at``) that edges of ``area`` lie along, from where to where."""
    spans: list[tuple[float, float]] = []
    for polygon in area.geoms:
        for ring in (polygon.exterior, *polygon.interiors):
            points = shapely.get_coordinates(ring)
            on = abs(points[:, axis] - at) <= EDGE
            for i in range(len(points) - 1):
                if on[i] and on[i + 1]:
                    a, b = sorted((float(points[i, 1 - axis]), float(points[i + 1, 1 - axis])))
                    if b - a > EDGE:
                        spans.append((a, b))
    merged: list[tuple[float, float]] = []
    for a, b in sorted(spans):
        if merged and a <= merged[-1][1] + EDGE:
            merged[-1] = (merged[-1][0], max(b, merged[-1][1]))
        else:
            merged.append((a, b))
    return merged


def _holds(area: BaseGeometry, x: float, y: float, size: Box) -> bool:
    """Whether the area fills the extent's corner: both sides that meet there run along it."""
    rows = _along(area, y, axis=1)
    columns = _along(area, x, axis=0)
    return any(a <= x + EDGE and b >= x - EDGE for a, b in rows) and any(
        a <= y + EDGE and b >= y - EDGE for a, b in columns
    )
