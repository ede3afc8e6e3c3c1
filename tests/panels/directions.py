"""Directions in the view and on the film, measured on what `as_cut` makes of a line."""

from __future__ import annotations

import math

from shapely.geometry import LineString

from decalgen.panels.base import Surface
from decalgen.panels.views import as_cut

NEAR = 1e-3


def cut_angle(surface: Surface, seen: tuple[float, float], degrees: float) -> float:
    """The direction on the film, in degrees, of a line that looks ``degrees`` in the view at the point ``seen``."""
    dx, dy = math.cos(math.radians(degrees)) * NEAR, math.sin(math.radians(degrees)) * NEAR
    line = as_cut(LineString([(seen[0] - dx, seen[1] - dy), (seen[0] + dx, seen[1] + dy)]), surface)
    (ax, ay), (bx, by) = line.coords[0], line.coords[-1]
    return math.degrees(math.atan2(by - ay, bx - ax))
