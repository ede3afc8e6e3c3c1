"""A curve of clothoids: place, direction and curvature by the length along it, and its chords. Pure; mm, radians."""

from __future__ import annotations

import math
from functools import cached_property

import numpy as np

from decalgen.core.arrays import FloatArray
from decalgen.core.curves.clothoid import Clothoid, steps
from decalgen.core.geometry import TOLERANCE, Point
from decalgen.core.values import dataclass

UNEVEN = 1.2
"""Stepped by the root of curvature, a chord over which curvature changes its sign lies up to 1.196 times as far off as
one of even curvature."""
MOST_TURN = math.pi / 4
"""A chord spans no more of a turn, however small the curve."""


@dataclass(frozen=True)
class Curve:
    """Pieces of curve, each of which starts where the one before ends; a ``closed`` one ends where it starts.

    Curvature is positive where it turns left. A place is told by the length along the curve from its start, mm; beyond
    its ends it is that of the end, on a closed curve it goes round.
    """

    pieces: tuple[Clothoid, ...]
    closed: bool = False

    @cached_property
    def table(self) -> FloatArray:
        """The pieces, one a row."""
        return np.array(self.pieces, dtype=np.float64)

    @cached_property
    def starts(self) -> FloatArray:
        """The length along the curve at which each piece starts, and that at which the last ends."""
        return np.concatenate(([0.0], np.cumsum(self.table[:, 5])))

    @property
    def length(self) -> float:
        """Its length, mm."""
        return float(self.starts[-1])

    def places(self, along: FloatArray) -> FloatArray:
        """The points ``along`` mm from its start: x, y."""
        rows, rest = self._found(along)
        answer: FloatArray = rows[:, :2] + steps(rows, rest)
        return answer

    def directions(self, along: FloatArray) -> FloatArray:
        """Its directions there, radians; at a corner that with which it goes on."""
        rows, u = self._found(along)
        answer: FloatArray = rows[:, 2] + rows[:, 3] * u + (rows[:, 4] - rows[:, 3]) / rows[:, 5] / 2 * u * u
        return answer

    def curvatures(self, along: FloatArray) -> FloatArray:
        """Its curvatures there, 1/mm."""
        rows, u = self._found(along)
        answer: FloatArray = rows[:, 3] + (rows[:, 4] - rows[:, 3]) / rows[:, 5] * u
        return answer

    def normals(self, along: FloatArray) -> FloatArray:
        """Unit vectors there, square to it, to the left: x, y."""
        ways = self.directions(along)
        return np.column_stack((-np.sin(ways), np.cos(ways)))

    @cached_property
    def most_curvature(self) -> float:
        """Its greatest curvature to either side, 1/mm. Within a piece it lies at an end."""
        return float(np.abs(self.table[:, 3:5]).max())

    def _found(self, along: FloatArray) -> tuple[FloatArray, FloatArray]:
        """The piece of each place, and how far along the piece it lies."""
        along = np.asarray(along, dtype=np.float64)
        if self.closed:
            along = np.remainder(along, self.length)
        along = np.clip(along, 0.0, self.length)
        index = np.clip(np.searchsorted(self.starts, along, side="right") - 1, 0, len(self.pieces) - 1)
        return self.table[index], along - self.starts[index]

    @cached_property
    def end(self) -> Point:
        """Where it ends."""
        last = self.table[-1:]
        x, y = (last[:, :2] + steps(last, last[:, 5]))[0].tolist()
        return x, y

    def stations(self, tolerance: float = TOLERANCE) -> FloatArray:
        """Lengths along the curve such that no chord between two lies further than ``tolerance`` mm from it. The ends
        of pieces are among them, and the curve's own start and end.

        Steps are even in the integral of the root of curvature: a chord h lies h² / 8 times the curvature off.
        """
        fine = tolerance / UNEVEN
        parts = [_piece_stations(one, fine) + at for one, at in zip(self.pieces, self.starts[:-1], strict=True)]
        return np.concatenate([*parts, self.starts[-1:]])

    def points(self, tolerance: float = TOLERANCE) -> FloatArray:
        """The curve as chords within ``tolerance`` mm: x, y. A closed one ends as it starts."""
        return self.points_and_stations(tolerance)[0]

    def points_and_stations(self, tolerance: float = TOLERANCE) -> tuple[FloatArray, FloatArray]:
        """The ends of its chords, and how far along the curve each lies."""
        along = self.stations(tolerance)
        points = np.vstack((self.places(along[:-1]), [self.pieces[0][:2] if self.closed else self.end]))
        return points, along

    def least_radius(self, left: bool) -> tuple[float, float]:
        """The least radius of its bends to the left (or to the right), mm, and how far along the curve it lies;
        infinite where it has none. Within a piece curvature only grows or falls, so it lies at an end of one."""
        way = 1.0 if left else -1.0
        bends = way * np.concatenate((self.table[:, 3], self.table[:, 4]))
        at = int(bends.argmax())
        where = float(np.concatenate((self.starts[:-1], self.starts[1:]))[at])
        return (1 / float(bends[at]) if bends[at] > 1e-12 else math.inf), where


def _piece_stations(piece: Clothoid, tolerance: float) -> FloatArray:
    """Where a piece is divided, its start included and its end left out."""
    first, last, length = piece.start_curvature, piece.end_curvature, piece.length
    if abs(last - first) < 1e-9 * (abs(first) + abs(last)) or max(abs(first), abs(last)) < 1e-12:
        bend = abs(first + last) / 2
        count = length * math.sqrt(bend / (8 * tolerance))
        n = _count(count, bend * length)
        return np.linspace(0.0, length, n, endpoint=False)
    low, high = (math.copysign(abs(k) ** 1.5, k) for k in (first, last))
    change = (last - first) / length
    count = abs((high - low) / change) * (2 / 3) / math.sqrt(8 * tolerance)
    turning = abs(first * abs(first) - last * abs(last)) / 2 / abs(change)
    n = _count(count, turning)
    level = low + (high - low) * np.arange(n) / n
    bends = np.copysign(np.abs(level) ** (2 / 3), level)
    answer: FloatArray = np.clip((bends - first) / change, 0.0, length)
    answer[0] = 0.0
    return answer


def _count(by_distance: float, turning: float) -> int:
    return max(1, math.ceil(by_distance - 1e-9), math.ceil(turning / MOST_TURN - 1e-9))
