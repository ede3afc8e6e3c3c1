"""Parallels: the lines at a stated distance beside a curve. Pure; mm.

The curve is flattened ten times finer than what is printed. Closed curves are grown by GEOS, which cleans where a
parallel crosses itself, with round corners divided as finely. Beside an open curve run its own normals, which end
square to it; GEOS draws where that line would come too near to the curve.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon

from decalgen.core.arrays import FloatArray
from decalgen.core.curves.course import CurveError
from decalgen.core.curves.curve import Curve
from decalgen.core.geometry import TOLERANCE
from decalgen.core.values import dataclass

FINE = TOLERANCE / 10
"""How far the chords of a curve lie from it whose parallel is drawn, mm."""
THINNED = TOLERANCE / 2
"""What is drawn afterwards may lie so much further off, mm, for a third of its points."""


class Bend(NamedTuple):
    """The tightest bend to a side: its radius, and how far along the curve it lies, mm."""

    radius: float
    along: float


@dataclass(frozen=True)
class Parallel:
    """The lines at ``distance`` mm to the left of a curve (negative: to the right), closed where the curve is.

    None or several where it ran into itself; ``too_tight`` then is the bend it does not fit into, if there is one.
    """

    distance: float
    lines: tuple[LineString, ...]
    too_tight: Bend | None = None

    @property
    def trouble(self) -> str:
        """What became of it, in words; empty for one whole line."""
        side = "left" if self.distance > 0 else "right"
        what = f"the parallel {abs(self.distance):g} mm to the {side}"
        if not self.lines:
            return f"{what} has nothing left: the curve is too small for it"
        if self.too_tight:
            radius, along = self.too_tight
            return f"{what} loses a piece: the curve bends round {radius:.2f} mm at {along:.1f} mm along it"
        if len(self.lines) > 1:
            return f"{what} falls into {len(self.lines)} parts: the curve comes too near to itself"
        return ""


def tightest(curve: Curve, left: bool) -> Bend:
    """The tightest bend to a side; infinite where the curve does not bend to it."""
    return Bend(*curve.least_radius(left))


def parallel(curve: Curve, distance: float, *, sharp: bool = False) -> Parallel:
    """The parallel of a curve at ``distance`` mm to its left (negative: to its right).

    Round a corner it keeps its distance in an arc, or comes to a point if ``sharp``. Raises `CurveError` for no
    distance.
    """
    if abs(distance) < TOLERANCE:
        raise CurveError(f"a parallel cannot lie {distance:g} mm beside its curve", fix="give at least 0.001 mm")
    style = {"quad_segs": _quarter(abs(distance)), "join_style": "mitre" if sharp else "round", "mitre_limit": 4.0}
    bend = tightest(curve, distance > 0)
    points, along = curve.points_and_stations(FINE)
    if curve.closed:
        area = Polygon(points[:-1])
        outward = -distance if shapely.is_ccw(area.exterior) else distance
        found = shapely.buffer(area, outward, **style)
        lines = [ring for part in shapely.get_parts(found) for ring in (part.exterior, *part.interiors)]
    else:
        line = shapely.linestrings(points)
        beside = _by_normals(curve, along, points, distance)
        clean = bend.radius > abs(distance) and beside.is_simple and beside.distance(line) > abs(distance) - TOLERANCE
        lines = [beside] if clean else list(shapely.get_parts(shapely.offset_curve(line, distance, **style)))
    kept = [LineString(one.coords) for one in lines if one.length > TOLERANCE]
    thinned = tuple(shapely.simplify(np.array(kept, dtype=object), THINNED)) if kept else ()
    return Parallel(distance, thinned, bend if bend.radius < abs(distance) else None)


def _by_normals(curve: Curve, along: FloatArray, points: FloatArray, distance: float) -> LineString:
    """The places at the distance square to the curve."""
    ways = curve.directions(along)
    return shapely.linestrings(points + distance * np.column_stack((-np.sin(ways), np.cos(ways))))


def _quarter(radius: float) -> int:
    """How many chords keep a quarter of a circle within `FINE`."""
    return max(1, math.ceil(math.pi / (4 * math.acos(max(0.0, 1 - FINE / radius)))))
