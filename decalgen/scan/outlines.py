"""A figure of straight edges laid over remains: all its values at once, by robust least squares on the dots near its
edges, with their uncertainty and how much of each edge is there. Pure; mm, radians.

A figure is a function from its values to its edges, always as many in the same order: an edge that the values leave no
room for has no length.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from decalgen.core.arrays import FloatArray
from decalgen.core.values import dataclass
from decalgen.scan.remains import (
    SCANNER_OFF,
    FitEdge,
    FoundValue,
    Remains,
    covered,
    fit_edge,
    little_left,
    spread_of,
    tukey,
    turned,
)

MOST_DOTS = 3000
"""Of more only so many are fitted to, evenly."""
ROUNDS = 9
CLOSER = 0.55
"""What counts as near shrinks by this from round to round."""
ALONG_WAY = 0.26
"""Sine of how far the edge of a dot may run askew of its edge of the figure."""
CORNER_PIXELS = 2.5
"""At a corner an edge turns: nearer dots do not tell where it is."""
STRETCH_MM = 1.0
"""Dots of so long a stretch of an edge err alike."""
STRETCH_DRAWN = 0.5
PROMISING = 0.3
"""A first guess that so few of the dots are near is none."""
STEP = 1e-4
RIDGE = 1e-6
"""Holds a value still that no dot tells."""


@dataclass(frozen=True)
class FigureEdges:
    """Straight edges, one a row: through ``at`` along ``way`` (of length 1), from ``low`` to ``high`` along it."""

    at: FloatArray
    way: FloatArray
    low: FloatArray
    high: FloatArray

    def __len__(self) -> int:
        return len(self.at)

    @property
    def length(self) -> FloatArray:
        """Of each, mm; 0 for one that is not there."""
        return np.maximum(self.high - self.low, 0.0)


Figure = Callable[[FloatArray], FigureEdges]
"""From values to edges, in mm about the middle of the dots."""


@dataclass(frozen=True)
class LaidFigure:
    """A figure as it was laid. ``values``: fitted; ``cover``: their covariance; ``edges``: in mm about ``middle``;
    ``share``: how much of each edge is there, and ``there``: which steps of it; ``on``: which dots of the remains are
    on an edge."""

    figure: Figure
    values: FloatArray
    cover: FloatArray
    edges: FigureEdges
    share: FloatArray
    on: NDArray[np.bool_]
    there: tuple[NDArray[np.bool_], ...]
    middle: FloatArray

    @property
    def drawn(self) -> tuple[FitEdge, ...]:
        """The edges in stretches of half a millimetre."""
        found: list[FitEdge] = []
        for n, there in enumerate(self.there):
            if not len(there):
                continue
            low, high = float(self.edges.low[n]), float(self.edges.high[n])
            marks = np.linspace(low, high, max(1, round((high - low) / STRETCH_DRAWN)) + 1)
            ends = self.middle + self.edges.at[n] + marks[:, None] * self.edges.way[n]
            pieces = np.array_split(there, len(marks) - 1)
            found += [fit_edge(ends[k : k + 2], piece) for k, piece in enumerate(pieces)]
        return tuple(found)

    def share_of(self, which: Sequence[int] | NDArray[np.int64]) -> float:
        """How much of some edges together is there."""
        length = self.edges.length[which]
        return float((self.share[which] * length).sum() / max(length.sum(), 1e-9))

    def u_of(self, reckon: Callable[[FloatArray], float]) -> float:
        """The standard uncertainty of what is reckoned from the values."""
        here = reckon(self.values)
        slope = np.array([(reckon(self.values + STEP * one) - here) / STEP for one in np.eye(len(self.values))])
        return math.sqrt(max(float(slope @ self.cover @ slope), 0.0))

    def found(
        self,
        name: str,
        reckon: Callable[[FloatArray], float],
        share: float,
        relative: float = 0.0,
        least: bool = False,
    ) -> FoundValue:
        """A length reckoned from the values; ``relative``: the uncertainty of the scale there, as a share."""
        value = reckon(self.values)
        u = math.hypot(self.u_of(reckon), relative * value)
        return FoundValue(name, value, u, share, "mm", "" if least else little_left(share), least)

    def found_angle(self, name: str, reckon: Callable[[FloatArray], float], share: float) -> FoundValue:
        """An angle, reckoned in radians, told in degrees."""
        u = max(math.degrees(self.u_of(reckon)), 0.01)
        return FoundValue(name, math.degrees(reckon(self.values)), u, share, "\N{DEGREE SIGN}", little_left(share))

    def score(self, remains: Remains, inside: NDArray[np.bool_]) -> float:
        """How much of the dots and of itself it explains; ``inside``: which dots lie in it."""
        length = self.edges.length
        return remains.score(self.on, inside, (float((self.share * length).sum()), float(length.sum())))


def middle_of(remains: Remains) -> FloatArray:
    """What figures are laid about, mm."""
    return np.asarray(np.median(remains.at, axis=0), float)


def in_frame(at: FloatArray, turn: float) -> FloatArray:
    """Places in axes of a figure that lies turned by so much: the other way than `turned`."""
    return turned(at, -turn)


def lines_between(ends: FloatArray) -> FigureEdges:
    """FigureEdges from their two ends: n × 2 × 2."""
    way = ends[:, 1] - ends[:, 0]
    length = np.linalg.norm(way, axis=1)
    way = way / np.maximum(length, 1e-12)[:, None]
    return FigureEdges(ends[:, 0], way, np.zeros(len(ends)), length)


def clipped(at: FloatArray, way: FloatArray, box: tuple[float, float, float, float]) -> FigureEdges:
    """Lines through places, one a row, as far as they are in a box (left, right, foot, head)."""
    low, high = np.full(len(at), -np.inf), np.full(len(at), np.inf)
    for axis in (0, 1):
        run = np.where(np.abs(way[:, axis]) < 1e-9, 1e-9, way[:, axis])
        both = np.stack([(side - at[:, axis]) / run for side in box[2 * axis : 2 * axis + 2]])
        low, high = np.maximum(low, both.min(axis=0)), np.minimum(high, both.max(axis=0))
    return FigureEdges(at, way, low, high)


def box_edges(box: tuple[float, float, float, float]) -> FigureEdges:
    """The four sides of a box: left, right, foot, head."""
    left, right, foot, head = box
    corners = [[(left, foot), (left, head)], [(right, foot), (right, head)]]
    corners += [[(left, foot), (right, foot)], [(left, head), (right, head)]]
    return lines_between(np.array(corners, float))


def joined(*parts: FigureEdges, turn: float = 0.0) -> FigureEdges:
    """All of some edges, turned."""
    at, way = (np.concatenate([getattr(one, name) for one in parts]) for name in ("at", "way"))
    low, high = (np.concatenate([getattr(one, name) for one in parts]) for name in ("low", "high"))
    return FigureEdges(in_frame(at, turn), in_frame(way, turn), low, high)


def lay(
    remains: Remains,
    figure: Figure,
    start: FloatArray,
    reach: float,
    firm: Sequence[int] = (),
    corner: float = CORNER_PIXELS,
) -> LaidFigure:
    """The figure laid from a first guess that is right to about ``reach`` mm; the values numbered in ``firm`` are not
    looked for. ``corner``: dots so near to the end of an edge, pixels, do not tell where it is."""
    middle = middle_of(remains)
    chosen = np.nonzero(remains.solid | remains.faint)[0]
    chosen = chosen[np.linspace(0, len(chosen) - 1, min(MOST_DOTS, len(chosen))).astype(int)]
    at, normal = remains.at[chosen] - middle, remains.normal[chosen]
    values = start.astype(float)
    loose = np.array([n for n in range(len(values)) if n not in firm])
    rim = corner * remains.pixel
    rows = rest = np.zeros(0)
    owner = np.zeros(0, int)
    for _ in range(ROUNDS):
        near = max(reach, remains.near)
        edges = figure(values)
        owner, off = _owners(at, normal, edges, near, rim)
        held = owner >= 0
        if held.sum() < 2 * len(values):
            break
        owner, rest = owner[held], off[held]
        rows = _slopes(figure, values, edges, at[held], owner)[:, loose]
        weight = np.sqrt(tukey(rest, max(spread_of(rest, 0.05 * remains.pixel), near / 6)))
        square = (rows * weight[:, None]).T @ (rows * weight[:, None])
        square += RIDGE * max(float(np.trace(square)), 1e-9) * np.eye(len(loose))
        step = np.zeros(len(values))
        step[loose] = np.linalg.solve(square, rows.T @ (weight**2 * rest))
        values = values + step
        reach *= CLOSER
    return _laid(remains, figure, values, middle, _cover(at, normal, figure, values, (remains, rim), loose))


def is_promising(remains: Remains, edges: FigureEdges, reach: float, dots: NDArray[np.bool_]) -> bool:
    """Whether enough of some dots are near the edges of a first guess."""
    chosen = np.nonzero(dots)[0]
    if not len(chosen):
        return False
    chosen = chosen[np.linspace(0, len(chosen) - 1, min(600, len(chosen))).astype(int)]
    at = remains.at[chosen] - middle_of(remains)
    owner, _ = _owners(at, remains.normal[chosen], edges, max(reach, remains.near), -reach)
    return float((owner >= 0).mean()) > PROMISING


def _owners(
    at: FloatArray, normal: FloatArray, edges: FigureEdges, near: float, rim: float
) -> tuple[NDArray[np.int64], FloatArray]:
    """Of each dot the edge it is nearest to, -1 for none, and how far off it is, to the left of the edge's way."""
    off, along = _places(at, edges)
    askew = np.abs(normal @ edges.way.T)
    fits = (askew < ALONG_WAY) & (np.abs(off) < near) & (along > edges.low + rim) & (along < edges.high - rim)
    far = np.where(fits, np.abs(off), np.inf)
    owner = far.argmin(axis=1)
    pick = np.arange(len(at))
    return np.where(np.isfinite(far[pick, owner]), owner, -1), off[pick, owner]


def _places(at: FloatArray, edges: FigureEdges) -> tuple[FloatArray, FloatArray]:
    """How far each dot, one a row, is to the left of each edge, and how far along it."""
    left = np.column_stack((-edges.way[:, 1], edges.way[:, 0]))
    return (
        at @ left.T - (edges.at * left).sum(axis=1),
        at @ edges.way.T - (edges.at * edges.way).sum(axis=1),
    )


def _slopes(
    figure: Figure, values: FloatArray, edges: FigureEdges, at: FloatArray, owner: NDArray[np.int64]
) -> FloatArray:
    """By how much each dot's edge moves to the left as each value grows."""
    rows = np.empty((len(at), len(values)))
    here = _off(at, edges, owner)
    for n in range(len(values)):
        moved = values.copy()
        moved[n] += STEP
        rows[:, n] = (here - _off(at, figure(moved), owner)) / STEP
    return rows


def _off(at: FloatArray, edges: FigureEdges, owner: NDArray[np.int64]) -> FloatArray:
    way, rest = edges.way[owner], at - edges.at[owner]
    return np.asarray(way[:, 0] * rest[:, 1] - way[:, 1] * rest[:, 0], float)


def _cover(
    at: FloatArray,
    normal: FloatArray,
    figure: Figure,
    values: FloatArray,
    judged: tuple[Remains, float],
    loose: NDArray[np.int64],
) -> FloatArray:
    """The covariance of the values: dots of one stretch of an edge err alike, so each stretch counts once, and none is
    better than the scanner."""
    remains, rim = judged
    cover = np.zeros((len(values), len(values)))
    edges = figure(values)
    owner, off = _owners(at, normal, edges, remains.near, rim)
    held = owner >= 0
    if not held.any():
        return cover + np.eye(len(values))
    owner, off = owner[held], off[held]
    along = _places(at[held], edges)[1][np.arange(len(owner)), owner]
    key = owner * 10_000 + np.floor((along - edges.low[owner]) / STRETCH_MM).astype(int).clip(0, 9999)
    _, stretch, count = np.unique(key, return_inverse=True, return_counts=True)
    rows = _slopes(figure, values, edges, at[held], owner)
    means = np.column_stack([np.bincount(stretch, column) / count for column in (off, *rows.T)])
    enough = count > 3
    rest, slope = means[enough, 0], means[enough, 1:][:, loose]
    spare = len(rest) - len(loose)
    if spare < 1:
        return cover + 0.01 * np.eye(len(values))
    spread = math.hypot(SCANNER_OFF, math.sqrt(float((rest**2).sum()) / spare))
    found = np.linalg.pinv(slope.T @ slope, rcond=1e-9) * spread**2
    cover[np.ix_(loose, loose)] = found
    return cover


def _laid(remains: Remains, figure: Figure, values: FloatArray, middle: FloatArray, cover: FloatArray) -> LaidFigure:
    """With how much of each edge is there."""
    edges = figure(values)
    at = remains.at - middle
    owner = np.full(len(at), -1)
    share = np.zeros(len(edges))
    steps = [np.zeros(0, bool)] * len(edges)
    for start in range(0, len(at), 20_000):
        part = slice(start, start + 20_000)
        owner[part] = _owners(at[part], remains.normal[part], edges, remains.near, -remains.near)[0]
    for n in range(len(edges)):
        low, high = float(edges.low[n]), float(edges.high[n])
        if high - low < remains.pixel:
            continue
        along = (at[owner == n] - edges.at[n]) @ edges.way[n]
        steps[n] = covered(along, low, high, 1.5 * remains.pixel)
        share[n] = float(steps[n].mean())
    return LaidFigure(figure, values, cover, edges, share, owner >= 0, tuple(steps), middle)
