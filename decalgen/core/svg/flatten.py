"""Segments to points, close enough once the whole transform is known. Pure."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np

from decalgen.core.arrays import FloatArray
from decalgen.core.geometry import IDENTITY, Matrix, arc_steps
from decalgen.core.svg.numbers import stretch
from decalgen.core.svg.paths import BezierTo, EllipseTo, LineTo, Subpath, SvgSegment
from decalgen.core.svg.text import SvgError
from decalgen.core.values import dataclass

MOST_POINTS = 500_000
"""More points of one drawing are a slip or a hostile file."""
STRAIGHTEST = 0.35
"""A curve is never drawn by chords that turn by more, radians, where it is going to be stroked."""
NEXT_TO = 1e-3
"""How near to an end of a curve the point beside it is, in steps."""


class PointCount:
    """How many points a drawing has so far."""

    def __init__(self, most: int = MOST_POINTS) -> None:
        self.left = most

    def take(self, count: int) -> None:
        """Raises `SvgError` where there are too many."""
        self.left -= count
        if self.left < 0:
            raise SvgError(f"it has more than {MOST_POINTS // 1000} 000 points", "simplify its paths")


@dataclass(frozen=True, eq=False)
class FlatLine:
    """A subpath as points; ``corners`` are the numbers of those where two segments meet. The last point of a closed one
    is its first."""

    points: FloatArray
    corners: tuple[int, ...]
    closed: bool

    @property
    def chords(self) -> FloatArray:
        """How long each of its chords is."""
        return np.asarray(np.hypot(*np.diff(self.points, axis=0).T))


def flatten(
    subpath: Subpath, count: PointCount, tolerance: float, matrix: Matrix = IDENTITY, reach: float = 0.0
) -> FlatLine:
    """The points of a subpath under a matrix, within ``tolerance`` of the true line, in the matrix' units; with
    ``reach`` close enough also for the parallels that far from it. Raises `SvgError` for too many points."""
    last = subpath.start
    parts: list[FloatArray] = [np.array([last])]
    corners = []
    total = 1
    for segment in subpath.segments:
        found = _points(last, segment, tolerance, matrix, reach)
        count.take(len(found))
        corners.append(total - 1)
        total += len(found)
        parts.append(found)
        last = segment.end
    points = np.vstack(parts)
    a, b, c, d, e, f = matrix
    if matrix != IDENTITY:
        points = points @ np.array([[a, b], [c, d]]) + (e, f)
    return FlatLine(points, tuple(corners[1:]), subpath.closed)


def _points(
    start: tuple[float, float], segment: SvgSegment, tolerance: float, matrix: Matrix, reach: float
) -> FloatArray:
    """The points of a segment after its start, not yet under the matrix."""
    if isinstance(segment, LineTo):
        return np.array([segment.end])
    if isinstance(segment, EllipseTo):
        radius = max(segment.rx, segment.ry) * stretch(matrix)
        steps = arc_steps(radius, segment.sweep, tolerance * radius / (radius + reach) if reach else tolerance)
        angles = segment.start + segment.sweep * _shares(steps, reach)
        x, y = segment.rx * np.cos(angles), segment.ry * np.sin(angles)
        c, s = math.cos(segment.turn), math.sin(segment.turn)
        points = np.column_stack((segment.centre[0] + c * x - s * y, segment.centre[1] + s * x + c * y))
        points[-1] = segment.end
        return points
    return _bezier(np.array([start, *segment.points]), segment, tolerance, matrix, reach)


def _bezier(control: FloatArray, segment: BezierTo, tolerance: float, matrix: Matrix, reach: float) -> FloatArray:
    """Evenly split (Wang's bound on the distance from the chords: d(d-1)/8 · max|second difference|/n²)."""
    degree = len(control) - 1
    second = control[:-2] - 2 * control[1:-1] + control[2:]
    a, b, c, d = matrix[:4]
    bend = float(np.hypot(*(second @ np.array([[a, b], [c, d]])).T).max())
    steps = max(1, math.ceil(math.sqrt(degree * (degree - 1) / 8 * bend / tolerance)))
    points = _split(control, _shares(steps, reach))
    if reach and steps > 1:
        # A parallel of it is longer than it by how far it turns.
        turn = min(STRAIGHTEST, math.sqrt(8 * tolerance / reach))
        chords = np.diff(np.vstack((control[:1], points)), axis=0)
        ways = np.arctan2(chords[:, 1], chords[:, 0])
        turns = np.abs((np.diff(ways) + math.pi) % (2 * math.pi) - math.pi)
        sharpest = float(turns.max())
        if sharpest > turn:
            points = _split(control, _shares(steps * min(8, math.ceil(sharpest / turn)), reach))
    points[-1] = segment.end
    return points


def _shares(steps: int, reach: float) -> FloatArray:
    """Where to split, from after the start to the end. What is stroked gets a point right beside each end, so that
    caps and joins have the direction of the line, not that of its first chord."""
    even = np.arange(1, steps + 1) / steps
    if not reach:
        return even
    beside = NEXT_TO / steps
    return np.concatenate(([beside], even[:-1], [1 - beside, 1.0]))


def _split(control: FloatArray, shares: FloatArray) -> FloatArray:
    t = shares[:, None]
    rows = [np.broadcast_to(one, (len(shares), 2)) for one in control]
    while len(rows) > 1:
        rows = [one + (other - one) * t for one, other in pairwise(rows)]
    return np.array(rows[0])
