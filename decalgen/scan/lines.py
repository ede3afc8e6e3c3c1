"""Straight edges of a pattern: the directions they run in, and where each lies. Pure; mm, radians."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from decalgen.core.arrays import FloatArray
from decalgen.core.values import dataclass
from decalgen.scan.remains import ALIGNED, SCANNER_OFF, Remains, covered, spread_of, tukey, turned

COARSE = math.radians(1.5)
LEAST_LONG = 0.10
"""A line shows along at least this share of the pattern's extent."""


RUN_PIXELS = 14.0
"""And without a gap over so many pixels, or else over most of its length: a ragged tear does not."""
DENSE = 0.6
OUTER_PIXELS = 3.0
"""An edge is where ink ends if it is no further from there."""
OUTER_RUN_PIXELS = 10.0
"""There a shorter run is enough, if its dots are as close to a straight line as this, pixels."""
OUTER_ROUGH = 0.2
MOST_DIRECTIONS = 3
MOST_TRIED = 150
BESIDE_PIXELS = 6.0
"""Edges nearer to each other push each other aside."""
ALONE = 0.3
"""Where more than this share of an edge is alone, that part tells where it is."""
ROUGH = 0.27
"""An edge whose dots are further from a straight line, pixels (standard deviation), and that is short, is a tear."""
SHORT = 0.5
"""It is short if less than this share of a side is seen."""
PARALLEL = 0.2
"""Where another edge with more of its dots than this share runs along it, as a scratch does, neither is trusted."""
LEANING = 0.012
"""An edge that leans more from its family is a scratch that crosses it."""


@dataclass(frozen=True)
class LineFamily:
    """The dots on edges that run one way. ``across``: their places square to the edges, ``along``: along them;
    ``thin``: which are of thin lines."""

    across: FloatArray
    along: FloatArray
    thin: NDArray[np.bool_]

    def __len__(self) -> int:
        return len(self.across)


@dataclass(frozen=True)
class FoundLine:
    """A straight edge at ``place`` with its standard uncertainty, mm, seen over so many mm of it, from ``low`` to
    ``high``; ``thin``: it is of a thin line; ``rival``: another runs close along it, as a scratch does;
    ``rough``: the standard deviation of its dots from it, pixels."""

    place: float
    u: float
    seen: float
    low: float
    high: float
    thin: bool = False
    rival: bool = False
    rough: float = 0.0


def main_directions(remains: Remains, chosen: NDArray[np.bool_] | None = None) -> list[float]:
    """Directions in which two square families of edges may run, by their normals, -45 to 45 degrees, the likeliest
    first: the family that is across is nearest to level. Scratches and tears have some too, so others follow.
    ``chosen``: the dots that are asked; None: all but those of thin lines."""
    normal = remains.normal[remains.solid if chosen is None else chosen]
    if len(normal) < 40:
        return []
    angle = np.arctan2(normal[:, 1], normal[:, 0])
    quarter = math.pi / 2
    bins = 180
    hits = np.bincount((np.mod(angle, quarter) / quarter * bins).astype(int) % bins, minlength=bins).astype(float)
    wide = np.sum([np.roll(hits, n) for n in (-2, -1, 0, 1, 2)], axis=0)
    found: list[float] = []
    taken: list[int] = []
    for peak in np.argsort(-wide, kind="stable")[:60]:
        if len(taken) == MOST_DIRECTIONS or wide[peak] < 0.25 * wide.max():
            break
        if any(min(abs(peak - one), bins - abs(peak - one)) < 10 for one in taken):
            continue
        taken.append(int(peak))
        best = (int(peak) + 0.5) / bins * quarter
        found.append(_sharpest(remains, best - quarter if best > quarter / 2 else best))
    return found


def _sharpest(remains: Remains, best: float) -> float:
    """The direction near one in which the edges gather most on lines."""
    for reach, count in ((COARSE, 31), (COARSE / 10, 21)):
        tried = best + np.linspace(-reach, reach, count)
        best = float(max(tried, key=lambda one: _sharpness(remains, one)))
    return best


def families(remains: Remains, angle: float, solid: bool = False) -> tuple[LineFamily, LineFamily]:
    """The upright family (its lines cross the axis at ``angle``), then the level one; ``solid``: without thin lines."""
    chosen = remains.solid if solid else np.ones(len(remains.at), bool)
    places, normals = turned(remains.at[chosen], angle), turned(remains.normal[chosen], angle)
    upright = np.abs(normals[:, 0]) > ALIGNED
    level = np.abs(normals[:, 1]) > ALIGNED
    thin = (~remains.solid & ~remains.faint)[chosen]
    return (
        LineFamily(places[upright, 0], places[upright, 1], thin[upright]),
        LineFamily(places[level, 1], places[level, 0], thin[level]),
    )


def _sharpness(remains: Remains, angle: float) -> float:
    total = 0.0
    for family in families(remains, angle, solid=True):
        if len(family):
            bins = np.floor((family.across - family.across.min()) / (remains.pixel / 2)).astype(int)
            total += float((np.bincount(bins).astype(float) ** 2).sum())
    return total


def lines_of(family: LineFamily, remains: Remains, least: float = 0.0) -> list[FoundLine]:
    """The straight edges of a family, by place. ``least``: the shortest that counts, mm; 0: by the extent."""
    if len(family) < 12:
        return []
    low, high = family.along.min(), family.along.max()
    least = least or max(LEAST_LONG * float(high - low), 8 * remains.pixel)
    step = remains.pixel / 4
    start = float(family.across.min()) - 2 * remains.pixel
    hits = np.bincount(np.floor((family.across - start) / step).astype(int)).astype(float)
    heaped = np.convolve(hits, np.ones(7), "same")
    found: list[FoundLine] = []
    tried: list[float] = []
    for peak in np.argsort(-heaped, kind="stable"):
        if heaped[peak] * remains.pixel < least or len(tried) > MOST_TRIED:
            break
        place = start + (float(peak) + 0.5) * step
        if any(abs(place - one) < remains.pixel for one in tried):
            continue
        tried.append(place)
        if any(abs(place - one.place) < 3 * remains.pixel for one in found):
            continue
        line = _line_at(family, place, remains)
        if line.seen >= least and not any(abs(line.place - one.place) < 2 * remains.pixel for one in found):
            found.append(line)
    return sorted(found, key=lambda one: one.place)


def outermost_line(family: LineFamily, place: float, remains: Remains) -> FoundLine | None:
    """The edge of a family beside a place where ink ends, if a short run of it is straight: what is torn ends in tips,
    not in a straight run just in this direction."""
    offs = family.across[np.abs(family.across - place) < OUTER_PIXELS * remains.pixel] - place
    if len(offs) < 5:
        return None
    step = remains.pixel / 4
    heaped = np.convolve(np.bincount(np.floor(offs / step + 4 * OUTER_PIXELS).astype(int)), np.ones(5), "same")
    start = place + (float(heaped.argmax()) + 0.5 - 4 * OUTER_PIXELS) * step
    line = _line_at(family, start, remains, OUTER_RUN_PIXELS)
    beside = abs(line.place - place) < OUTER_PIXELS * remains.pixel
    return line if line.seen > 0 and line.rough < OUTER_ROUGH and beside else None


def _line_at(family: LineFamily, place: float, remains: Remains, least_run: float = RUN_PIXELS) -> FoundLine:
    near = np.abs(family.across - place) < 1.5 * remains.near
    for _ in range(6):
        rest = family.across[near] - place
        weight = tukey(rest, spread_of(rest, 0.1 * remains.pixel))
        if not weight.sum() > 0:
            break
        place += float((weight * rest).sum() / weight.sum())
        near = np.abs(family.across - place) < remains.near
    along = family.along[near]
    if len(along) < 4:
        return FoundLine(place, 1.0, 0.0, 0.0, 0.0)
    low, high = float(along.min()), float(along.max())
    there = covered(along, low, high + 1e-9, 1.5 * remains.pixel)
    seen = float(there.mean()) * (high - low)
    slope = float(np.polyfit(along - along.mean(), family.across[near] - place, 1)[0]) if high > low else 0.0
    leans = abs(slope) > LEANING and abs(slope) * seen > 0.8 * remains.pixel
    whole = longest_run(there) * 1.5 >= least_run or float(there.mean()) > DENSE
    if leans or not whole:
        seen = 0.0
    thin = float(family.thin[near].mean()) > 0.5
    rest = family.across[near] - place
    alone, parallel = _alone(family, place, along, remains)
    rival = float(alone.mean()) < ALONE or parallel > PARALLEL * len(along)
    if not rival and not alone.all():
        along, rest = along[alone], rest[alone]
        weight = tukey(rest, spread_of(rest, 0.1 * remains.pixel))
        place += float((weight * rest).sum() / max(float(weight.sum()), 1e-9))
        rest = family.across[near][alone] - place
    return FoundLine(place, line_u(rest, along), seen, low, high, thin, rival, float(np.std(rest)) / remains.pixel)


def is_ragged(line: FoundLine, side: float) -> bool:
    """Whether an edge may be a tear; ``side``: how long it would be as a whole, mm."""
    return line.rough > ROUGH and line.seen < SHORT * side


def _alone(family: LineFamily, place: float, along: FloatArray, remains: Remains) -> tuple[NDArray[np.bool_], int]:
    """Which dots of an edge have no other edge close beside them, by how far along it they are; and how many dots
    beside it are on one line that runs along it, not across."""
    off = np.abs(family.across - place)
    close = (off > max(1.5 * remains.near, 1.3 * remains.pixel)) & (off < BESIDE_PIXELS * remains.pixel)
    low = float(along.min()) - 4 * remains.pixel
    steps = np.floor((along - low) / remains.pixel).astype(np.int64)
    others = np.floor((family.along[close] - low) / remains.pixel).astype(np.int64)
    taken = np.zeros(int(steps.max()) + 6, bool)
    for n in range(-3, 4):
        taken[(others + n)[(others + n >= 0) & (others + n < len(taken))]] = True
    inside = close & (family.along > along.min()) & (family.along < along.max())
    beside = (family.across[inside] - place) / remains.pixel
    heaped = np.convolve(
        np.bincount(np.floor(2 * (beside + BESIDE_PIXELS)).astype(np.int64), minlength=3), np.ones(3), "same"
    )
    return ~taken[steps], int(heaped.max()) if len(beside) else 0


def longest_run(there: NDArray[np.bool_]) -> int:
    """The longest run of steps that are there; single gaps do not end it."""
    best = run = gap = 0
    for one in there.tolist():
        gap = 0 if one else gap + 1
        run = run + 1 if gap < 2 else 0
        best = max(best, run)
    return best


def line_u(rest: FloatArray, along: FloatArray) -> float:
    """The standard uncertainty of an edge's place: from the scatter between stretches of it, as neighbours err alike,
    and the scanner's own."""
    groups = np.floor(along).astype(int)
    groups -= groups.min()
    count = np.bincount(groups)
    means = np.bincount(groups, rest)[count > 3] / count[count > 3]
    if len(means) < 3:
        return math.hypot(SCANNER_OFF, float(np.std(rest)) / math.sqrt(max(len(rest) / 6, 1.0)))
    return math.hypot(SCANNER_OFF, float(np.std(means, ddof=1)) / math.sqrt(len(means)))
