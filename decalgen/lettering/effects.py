"""Lettering with an outline, an inline or a shadow: each a separate area, so that each can have its ink."""

from __future__ import annotations

import math
from typing import Literal

import shapely
from shapely.geometry import MultiPolygon, Polygon

from decalgen.core.geometry import TOLERANCE, Region, arc_steps, region
from decalgen.lettering.typeface import LetteringError

Corners = Literal["sharp", "round"]

ONE_CORNER = 1e-8
"""Corners nearer to one another are one, mm."""
MITRE = 2.5
"""Sharp points of an outline end after so many of its widths (a W would otherwise grow spikes)."""


def outlined(area: Region, width: float, gap: float = 0.0, corners: Corners = "round") -> MultiPolygon:
    """A band of ``width`` mm round the letters, ``gap`` mm off them; it does not lie under them."""
    _checked(width, "an outline")
    if not (math.isfinite(gap) and gap >= 0):
        raise LetteringError(f"a gap of {gap:g} mm is out of range", "use 0 or more")
    inner = area if gap == 0 else grown(area, gap, corners)
    return region(grown(area, gap + width, corners).difference(inner))


def inlined(area: Region, width: float, inset: float, corners: Corners = "sharp") -> MultiPolygon:
    """A band of ``width`` mm inside the letters, ``inset`` mm from their edge.

    Raises `LetteringError` where the strokes are too thin for it.
    """
    _checked(width, "an inline")
    _checked(inset, "an inset")
    outer = grown(area, -inset, corners)
    if outer.is_empty:
        raise LetteringError(
            f"the strokes are too thin for an inline {inset:g} mm from their edge",
            "use a bolder face or a smaller inset",
        )
    return region(outer.difference(grown(area, -inset - width, corners)))


def filled(area: Region, width: float, inset: float, corners: Corners = "sharp") -> MultiPolygon:
    """The letters without their inline: what is printed in the letters' own ink."""
    return region(area.difference(inlined(area, width, inset, corners)))


def shadowed(area: Region, dx: float, dy: float, kind: Literal["cast", "solid"] = "solid") -> MultiPolygon:
    """The shadow beside letters, shifted by ``dx``, ``dy`` mm: solid as of letters with depth, or cast on a ground.

    It does not lie under the letters.
    """
    if not (math.isfinite(dx) and math.isfinite(dy) and (dx or dy)):
        raise LetteringError("a shadow needs a direction", "give how far it goes across and up, in mm")
    thrown = shapely.affinity.translate(area, dx, dy) if kind == "cast" else _swept(area, dx, dy)
    # Corners that are one but for rounding would make it cross itself wherever it is turned.
    return region(shapely.set_precision(thrown.difference(area), ONE_CORNER))


def _swept(area: Region, dx: float, dy: float) -> MultiPolygon:
    """All that the letters pass over while they are shifted."""
    parts: list[Polygon] = [area, shapely.affinity.translate(area, dx, dy)]
    for polygon in shapely.get_parts(area):
        for ring in (polygon.exterior, *polygon.interiors):
            points = shapely.get_coordinates(ring)
            for (x0, y0), (x1, y1) in zip(points.tolist(), points[1:].tolist(), strict=False):
                if abs((x1 - x0) * dy - (y1 - y0) * dx) > 1e-12:
                    parts.append(Polygon([(x0, y0), (x1, y1), (x1 + dx, y1 + dy), (x0 + dx, y0 + dy)]))
    return region(shapely.union_all(parts))


def grown(area: Region, by: float, corners: Corners = "round") -> MultiPolygon:
    """The letters bolder by ``by`` mm on each edge (lighter if negative)."""
    if corners == "sharp":
        return region(shapely.buffer(area, by, join_style="mitre", mitre_limit=MITRE))
    steps = max(2, arc_steps(abs(by), math.pi / 2, TOLERANCE))
    return region(shapely.buffer(area, by, quad_segs=steps))


def _checked(value: float, what: str) -> None:
    if not (math.isfinite(value) and 0.001 <= value <= 1000):
        raise LetteringError(f"{what} of {value:g} mm is out of range", "use 0.05 mm or more")
