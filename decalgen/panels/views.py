"""Between what is meant as seen and what must be cut: geometry carried from the view to the film and back.

A stripe that is to look straight, level or at 45 degrees in a side view is drawn in the view and carried to the
film with `as_cut`; the film cut along the result looks as meant once it lies on the panel.
"""

from __future__ import annotations

import math
from typing import TypeVar

import shapely
from shapely.geometry.base import BaseGeometry

from decalgen.core.geometry import TOLERANCE
from decalgen.panels.base import PanelError, Surface

G = TypeVar("G", bound=BaseGeometry)

NUDGE = 1e-5
"""mm; small against every radius, large against rounding."""


def as_cut(geometry: G, surface: Surface) -> G:
    """Geometry drawn as seen squarely, on the flat film. Raises `PanelError` where no film can be seen."""
    return _carried(geometry, surface.to_flat, surface.bend)


def as_seen(geometry: G, surface: Surface) -> G:
    """Geometry on the flat film, as it is seen squarely once it lies on the panel."""
    return _carried(geometry, surface.to_panel, surface.bend)


def folds_away(geometry: BaseGeometry, surface: Surface) -> bool:
    """Whether film of this outline goes round an edge and out of sight: on each face what is straight on the film looks
    straight, square to that face, and there is no one view of both."""
    if not getattr(surface, "folds", False):
        return False
    for x, y in shapely.get_coordinates(geometry).tolist():
        try:
            back = surface.to_flat(surface.to_panel((x, y)))
        except PanelError:
            return True
        if math.dist(back, (x, y)) > TOLERANCE:
            return True
    return False


def _carried(geometry: G, move: object, bend: float) -> G:
    """Every point moved; sides are split first, so finely that what lies between bends by less than the tolerance."""
    if bend > 0:
        # A chord of length l leaves a curve of radius R by l²/8R; half the tolerance, for curves bent both ways.
        geometry = shapely.segmentize(geometry, math.sqrt(4 * bend * TOLERANCE))

    def each(points: object) -> object:
        import numpy as np

        return np.array([move((float(x), float(y))) for x, y in np.asarray(points)])  # type: ignore[operator]

    carried: G = shapely.transform(geometry, each)
    return carried
