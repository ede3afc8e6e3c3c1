"""Sides of a panel that are smooth curves through its points: their arcs, and what is to be known of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from decalgen.core.curves.arcs import OFF_MM
from decalgen.core.curves.course import CurveError
from decalgen.core.curves.curved import CurvedSides
from decalgen.core.curves.sides import smooth_sides
from decalgen.core.geometry import Point, Segment
from decalgen.panels.base import PanelError


def arcs_of_curves(
    points: Sequence[Point], rises: Sequence[float], curved: CurvedSides
) -> Mapping[int, Sequence[Segment]]:
    """The arcs of each side that is part of a curve, in the order that its points are given in. Raises `PanelError`."""
    try:
        # As finely as a cutter follows it: a panel is measured far more coarsely.
        return smooth_sides(points, rises, curved, OFF_MM)
    except CurveError as error:
        raise PanelError(error.message, fix=error.fix) from None
