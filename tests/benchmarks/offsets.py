"""How far the edges of bands lie from another library's parallels, on 500 random curves; run by hand.

Beside each curve, at a random distance to one side, lies a band of a random width. The line is divided to within 0.1 µm
and grown, shrunk or set off by GEOS (`buffer`, `offset_curve`). Closed and open curves are compared both ways: from
each place of either edge to the nearest of the other. Near the ends of an open one the two differ by what they are, as
GEOS ends square to its last chord and goes round the end from behind: what lies nearer to an end is left out.
The suite looks at 60 of them (tests/core/curves/test_band.py).
"""

from __future__ import annotations

import math
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

import numpy as np
import shapely
from shapely.geometry import LineString, MultiPolygon, Polygon

from decalgen.core.curves.band import Lanes, stripes
from decalgen.core.curves.course import CurveError, curve_through
from decalgen.core.curves.curve import Curve
from decalgen.core.curves.widths import Widths
from tests.core.curves.sets import random_courses

COUNT = 500
FINE = 0.0001
"""How finely the line is divided for GEOS, mm."""


def closed_apart(curve: Curve, found: MultiPolygon, near: float, far: float, side: float) -> float:
    loop = Polygon(curve.points(FINE)[:-1])
    out = -side if loop.exterior.is_ccw else side
    a, b = (loop.buffer(out * by, quad_segs=400) for by in (near, far))
    expected = a.difference(b) if out < 0 else b.difference(a)
    if found.is_empty or expected.is_empty:
        return 0.0 if max(found.area, expected.area) < 1e-4 else math.inf
    return float(shapely.hausdorff_distance(found.boundary, expected.boundary))


def open_apart(curve: Curve, found: MultiPolygon, near: float, far: float, side: float) -> float:
    line = LineString(curve.points(FINE))
    lines = [shapely.offset_curve(line, side * by, quad_segs=400) for by in (near, far)]
    ends = curve.places(np.array([0.0, curve.length]))
    rim = found.boundary
    away = shapely.multipoints(ends).buffer(far + 0.2)
    worst = 0.0
    for places, other in (
        (shapely.get_coordinates(shapely.union_all(lines)), rim),
        (shapely.get_coordinates(shapely.segmentize(rim, 0.05)), shapely.union_all(lines)),
    ):
        points = shapely.points(places)
        inner = points[~shapely.intersects(points, away)]
        if len(inner):
            worst = max(worst, float(shapely.distance(inner, other).max()))
    return worst


def main() -> int:
    rng = np.random.default_rng(5)
    apart: dict[str, list[float]] = {"closed": [], "open": []}
    left = 0
    for number, course in enumerate(random_courses(seed=77, count=COUNT)):
        try:
            curve = curve_through(course)
        except CurveError:
            left += 1
            continue
        near, width = float(rng.uniform(0.05, 3.0)), float(rng.uniform(0.1, 2.0))
        side = float(rng.choice([-1.0, 1.0]))
        (found,) = stripes(curve, Lanes(curve.length, Widths((0.0,), (width,)), near=side * near))
        compare = closed_apart if curve.closed else open_apart
        off = compare(curve, found, near, near + width, side)
        apart["closed" if curve.closed else "open"].append(off)
        if off > 0.002:
            print(f"curve {number}: {off * 1000:.1f} µm at {side * near:.2f} mm, {width:.2f} mm wide", flush=True)
    for kind, offs in apart.items():
        print(
            f"{len(offs)} {kind}: median {1000 * float(np.median(offs)):.2f} µm, furthest {1000 * max(offs):.2f} µm, "
            f"{sum(off > 0.002 for off in offs)} beyond 2 µm"
        )
    print(f"{left} sets end in a message")
    return 1 if any(off > 0.002 for offs in apart.values() for off in offs) else 0


if __name__ == "__main__":
    sys.exit(main())
