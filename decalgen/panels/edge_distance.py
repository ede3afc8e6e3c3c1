"""How far a cut line lies from the edges of its panel, along a level and an upright line: what one measures to place a
decal. Negative where it reaches over the edge. Pure; mm.

A decal touches each side of the box round it somewhere; from there a straight line is drawn outward to the panel's
edge. Where the edge leans, the distance is taken at the end of the decal's side that is nearer to it, which is a corner
one can see. Each distance has its uncertainty from the panel's readings, as the clearances of `fit` have.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

import numpy as np
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from decalgen.core.arrays import FloatArray
from decalgen.core.geometry import Point, Side
from decalgen.core.lengths import Quantity
from decalgen.core.values import dataclass
from decalgen.panels.base import Panel
from decalgen.panels.clearance import to_obstacle
from decalgen.panels.fit import carried, reading_names, slopes
from decalgen.panels.uncertainty import expanded
from decalgen.panels.variation import shifted_panel

SIDES: tuple[Side, ...] = ("left", "right", "bottom", "top")
SHARES = (0.5, 0.3, 0.7, 0.15, 0.85, 0.02, 0.98)
"""Where along a straight side of a decal its distance may be drawn, in the order in which they are tried."""
LEVEL = 0.005
"""Distances that differ by less, mm, are told alike."""
CHOSEN = 0.005
"""A distance whose U is less, mm, is one that the job sets."""
_NEAR = 1e-6


@dataclass(frozen=True)
class EdgeDistance:
    """The way from a panel's edge to a decal's on one side: ``edge`` and ``decal`` are its ends in the panel's flat
    coordinates; ``at`` says which corner of the decal it is taken at, '' where any place on that side will do."""

    side: Side
    edge: Point
    decal: Point
    amount: Quantity
    at: str = ""

    @property
    def expanded(self) -> float:
        """U (k = 2), mm."""
        return expanded(self.amount)

    @property
    def chosen(self) -> bool:
        """Whether the job sets it, so that no reading changes it."""
        return self.expanded < CHOSEN


Choose = Callable[[Mapping[Side, EdgeDistance]], Sequence[Side]]


def edge_distances(
    cut: Polygon,
    panel: Panel,
    anchor: tuple[float, float] = (0.5, 0.5),
    grown: float | None = None,
    others: Sequence[BaseGeometry] = (),
    choose: Choose | None = None,
) -> dict[Side, EdgeDistance]:
    """The distance on every side from which a straight line reaches the panel's edge.

    ``anchor`` and ``grown`` as in `fit`; ``others``: what the drawn lines had better not cross; ``choose``: of the
    distances as they are, those to give, as only these are worked out again for each reading; None: all."""
    found: dict[Side, tuple[Point, Point, str, float]] = {}
    for side in SIDES:
        way = _way(side, cut, panel, others)
        if way is not None:
            found[side] = way
    plain = {
        side: EdgeDistance(side, edge, decal, Quantity(_length(side, edge, decal)), word)
        for side, (edge, decal, word, _) in found.items()
    }
    chosen = tuple(plain) if choose is None else choose(plain)
    base = {str(side): plain[side].amount.value for side in chosen}
    parts: dict[str, list[tuple[str, float]]] = {side: [] for side in base}
    for name in reading_names(panel):

        def at(z: float, name: str = name) -> dict[str, float]:
            moved = shifted_panel(panel, name, z)
            film = _film(cut, panel, moved, anchor, grown)
            new = {}
            for side in chosen:
                ends = _ends(side, film, moved, found[side][3])
                if ends is not None:
                    new[str(side)] = _length(side, *ends)
            return new

        for key, part in slopes(base, at).items():
            if abs(part) > 1e-12:
                parts[key].append((name, part))
    return {side: replace(plain[side], amount=Quantity(base[side], 1, tuple(parts[side]))) for side in chosen}


def obstacle_distance(
    cut: Polygon, panel: Panel, obstacle: str, anchor: tuple[float, float] = (0.5, 0.5), grown: float | None = None
) -> Quantity:
    """How far a cut line lies from the outline of an obstacle of that name, in any direction; negative where it lies
    on it. ``anchor`` and ``grown`` as above."""

    def between(film: Polygon, where: Panel) -> dict[str, float]:
        there = [item for item in where.obstacles if item.name == obstacle]
        return {item.name: to_obstacle(film, item) + item.clearance for item in there}

    base = between(cut, panel)
    parts: list[tuple[str, float]] = []
    for name in reading_names(panel):

        def at(z: float, name: str = name) -> dict[str, float]:
            moved = shifted_panel(panel, name, z)
            return between(_film(cut, panel, moved, anchor, grown), moved)

        parts += [(name, part) for part in slopes(base, at).values() if abs(part) > 1e-12]
    return Quantity(base[obstacle], 1, tuple(parts))


def _film(cut: Polygon, panel: Panel, moved: Panel, anchor: tuple[float, float], grown: float | None) -> Polygon:
    """Where the film comes to lie when the panel turns out to be ``moved``."""
    if grown is None:
        return carried(cut, panel, moved, anchor)
    return moved.outline.polygon.buffer(grown) if grown > 0 else moved.outline.polygon


def _way(
    side: Side, cut: Polygon, panel: Panel, others: Sequence[BaseGeometry]
) -> tuple[Point, Point, str, float] | None:
    """Both ends, where it is taken, and at which share of the decal's side."""
    low, high = (_ends(side, cut, panel, share) for share in (0.0, 1.0))
    words = ("lower", "upper") if side in ("left", "right") else ("left", "right")
    if low is None or high is None:
        one, share, word = (high, 1.0, words[1]) if low is None else (low, 0.0, words[0])
        return None if one is None else (*one, f"at its {word} end", share)
    near, far = _length(side, *low), _length(side, *high)
    if abs(near - far) > LEVEL:
        share, word = (0.0, words[0]) if near < far else (1.0, words[1])
        return (*(low if near < far else high), f"at its {word} end", share)
    tried = [(share, ends) for share in SHARES if (ends := _ends(side, cut, panel, share)) is not None]
    # Bulging edges: the same at both ends and another between them.
    tried = [(s, ends) for s, ends in tried if abs(_length(side, *ends) - near) <= LEVEL] or [(0.0, low)]
    share, ends = min(tried, key=lambda one: sum(LineString(one[1]).intersection(o).length > 1e-6 for o in others))
    return (*ends, "", share)


def _ends(side: Side, cut: Polygon, panel: Panel, share: float) -> tuple[Point, Point] | None:
    """The ends of the line at a share of the decal's side, from its lower or left end: at the panel, at the decal."""
    axis = 0 if side in ("left", "right") else 1
    far = side in ("right", "top")
    ring = np.asarray(cut.exterior.coords)
    most = ring[:, axis].max() if far else ring[:, axis].min()
    along = ring[np.abs(ring[:, axis] - most) < _NEAR][:, 1 - axis]
    across = float(along.min() + share * (along.max() - along.min()))
    edge = _crossing(np.asarray(panel.outline.polygon.exterior.coords), axis, across, float(most), far)
    if edge is None:
        return None
    if axis == 0:
        return (edge, across), (float(most), across)
    return (across, edge), (across, float(most))


def _crossing(ring: FloatArray, axis: int, across: float, start: float, far: bool) -> float | None:
    """Where a line along an axis meets a ring: the outermost crossing on the side of a decal's edge at ``start``."""
    a, b = ring[:-1], ring[1:]
    u, v = a[:, 1 - axis], b[:, 1 - axis]
    hit = (np.minimum(u, v) <= across + _NEAR) & (np.maximum(u, v) >= across - _NEAR) & (np.abs(v - u) > _NEAR)
    if not hit.any():
        return None
    t = np.clip((across - u[hit]) / (v[hit] - u[hit]), 0.0, 1.0)
    crossings = a[hit][:, axis] + t * (b[hit][:, axis] - a[hit][:, axis])
    outward = crossings[crossings >= start - _NEAR] if far else crossings[crossings <= start + _NEAR]
    if len(outward):
        # The first edge that one meets going outward is the one a rule is held to.
        return float(outward.min() if far else outward.max())
    return float(crossings.max() if far else crossings.min())


def _length(side: Side, edge: Point, decal: Point) -> float:
    """From the edge inward to the decal; negative where it reaches over."""
    if side == "left":
        return decal[0] - edge[0]
    if side == "right":
        return edge[0] - decal[0]
    return decal[1] - edge[1] if side == "bottom" else edge[1] - decal[1]
