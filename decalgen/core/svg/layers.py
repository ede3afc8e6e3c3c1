"""Areas laid over each other in painting order: what is seen of each ink, as one region. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

import shapely
from shapely.geometry import MultiPolygon

from decalgen.core.geometry import Region as Area
from decalgen.core.geometry import region, union


def seen(painted: Sequence[tuple[str, Area]]) -> dict[str, MultiPolygon]:
    """By ink what is left of it under later paint, the inks in the order they first appear.

    Neighbours of one ink are joined first; then each layer loses what lies above it and meets it.
    """
    layers = []
    for ink, items in groupby(painted, key=lambda one: one[0]):
        parts = [area for _, area in items]
        layers.append((ink, region(parts[0]) if len(parts) == 1 else union(parts)))
    areas = [area for _, area in layers]
    tree = shapely.STRtree(areas)
    found: dict[str, list[Area]] = {}
    for number, (ink, area) in enumerate(layers):
        above = [areas[one] for one in sorted(tree.query(area)) if one > number]
        left = region(area.difference(union(above))) if above else area
        if not left.is_empty:
            found.setdefault(ink, []).append(left)
    return {ink: region(parts[0]) if len(parts) == 1 else union(parts) for ink, parts in found.items()}
