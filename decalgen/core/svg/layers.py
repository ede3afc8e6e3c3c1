"""Areas laid over each other in painting order: what is seen of each ink, as one region. Pure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import groupby

from shapely.geometry import MultiPolygon

from decalgen.core.geometry import EMPTY, boxes_meet, region, union
from decalgen.core.geometry import Region as Area

Seen = Mapping[str, MultiPolygon]


def seen(painted: Sequence[tuple[str, Area]]) -> dict[str, MultiPolygon]:
    """By ink what is left of it under later paint, the inks in the order they first appear.

    Neighbours of one ink are joined first. Then the lower half of the layers loses what the upper half covers, each
    half done in the same way: so every layer is crossed with a few large areas instead of with all that lie above it.
    """
    layers = []
    for ink, items in groupby(painted, key=lambda one: one[0]):
        parts = [area for _, area in items]
        layers.append((ink, region(parts[0]) if len(parts) == 1 else union(parts)))
    if not layers:
        return {}
    found, _ = _halves(layers)
    order = dict.fromkeys(ink for ink, _ in layers)
    return {ink: found[ink] for ink in order if ink in found and not found[ink].is_empty}


def _halves(layers: Sequence[tuple[str, MultiPolygon]]) -> tuple[Seen, MultiPolygon]:
    """What is seen of some layers by ink, and all that they cover."""
    if len(layers) == 1:
        return dict(layers), layers[0][1]
    middle = len(layers) // 2
    (lower, below), (upper, above) = _halves(layers[:middle]), _halves(layers[middle:])
    found = dict(upper)
    for ink, area in lower.items():
        left = region(area.difference(above)) if boxes_meet(area, above) else area
        found[ink] = region(left.union(found[ink])) if not found.get(ink, EMPTY).is_empty else left
    return found, region(below.union(above))
