"""Where a closed row of points is best divided into lines and arcs. Pure; pixels.

All divisions are weighed against each other by dynamic programming: each piece costs what it leaves over, and a sum for
being there. Around each break some points are free, for there a scan rounds every corner off.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from decalgen.core.arrays import FloatArray
from decalgen.core.values import dataclass
from decalgen.scan.tracing.moments import MOST_SWEEP, PointSums, Stretches

STEP = 0.5
"""The points are so far apart."""
FREE = 1.75
"""So far to each side of a break points are free, or a fifth of the piece if that is less."""
A_PIECE = 40.0
"""What a piece costs, in squared standard distances, halved: points beside each other are off alike."""
AN_ARC = 8.0
"""What an arc costs more."""
LEAST_LONG = 2.5
"""No piece is shorter."""
MOST_NODES = 420
ROUNDS = 3

Numbers = NDArray[np.int64]


@dataclass(frozen=True)
class EdgePiece:
    """A piece from point ``first`` to ``last`` (gone round: ``last`` may be beyond the end), as a line through ``mean``
    or an arc round ``middle``; ``along``: the direction of the line; ``turns_left``: of the arc."""

    first: int
    last: int
    is_arc: bool
    mean: FloatArray
    middle: FloatArray
    radius: float
    along: FloatArray
    turns_left: bool

    @property
    def normal(self) -> FloatArray:
        """Square to the line, to its left."""
        return np.array([-self.along[1], self.along[0]])


def pieces_of(points: FloatArray, off: float) -> list[EdgePiece]:
    """The lines and arcs of a closed row of points, `STEP` apart; ``off``: how far points are off, standard."""
    sums = PointSums(points)
    n = len(points)
    stride = max(2, -(-n // MOST_NODES))
    # Begun anywhere first; then again at one of the breaks that were found, so that none is there by chance.
    start = 0
    breaks: Numbers = np.array([0, n], np.int64)
    for _ in range(2):
        nodes = np.unique(np.append(np.arange(start, start + n, stride, dtype=np.int64), start + n))
        breaks = _cheapest(sums, nodes, off)
        start = int(breaks[len(breaks) // 2]) % n
    breaks = _moved(sums, breaks, off, n, stride)
    return _as_pieces(sums, breaks, off)


def _inner(first: Numbers, last: Numbers) -> tuple[Numbers, Numbers]:
    free = np.minimum(round(FREE / STEP), (last - first) // 5)
    return first + free, last - free


def _costs(
    sums: PointSums, first: Numbers, last: Numbers, off: float
) -> tuple[FloatArray, NDArray[np.bool_], Stretches]:
    """The cost of each piece, and whether it is an arc."""
    found = sums.stretches(*_inner(first, last))
    line = found.line_left / (2 * off**2) + A_PIECE
    arc = found.circle_left / (2 * off**2) + A_PIECE + AN_ARC
    arc[(last - first) * STEP > MOST_SWEEP * found.radius] = np.inf
    best = np.minimum(line, arc)
    best[(last - first) * STEP < LEAST_LONG] += 40.0
    return best, arc < line, found


def _cheapest(sums: PointSums, nodes: Numbers, off: float) -> Numbers:
    count = len(nodes)
    i, j = np.triu_indices(count, 1)
    cost = np.full((count, count), np.inf)
    cost[i, j] = _costs(sums, nodes[i], nodes[j], off)[0]
    best = np.full(count, np.inf)
    best[0] = 0.0
    came = np.zeros(count, np.int64)
    for end in range(1, count):
        ways = best[:end] + cost[:end, end]
        came[end] = int(ways.argmin())
        best[end] = ways[came[end]]
    found = [count - 1]
    while found[-1]:
        found.append(int(came[found[-1]]))
    return np.asarray(nodes[np.array(found[::-1])], np.int64)


def _moved(sums: PointSums, breaks: Numbers, off: float, n: int, stride: int) -> Numbers:
    """Each break where the two pieces beside it cost least together."""
    count = len(breaks) - 1
    if count < 2:
        return breaks
    reach = stride + 2
    at = breaks[:-1].copy()
    for _ in range(ROUNDS):
        for k in range(count):
            before = at[k - 1] - (n if k == 0 else 0)
            after = at[(k + 1) % count] + (n if k == count - 1 else 0)
            tried = np.arange(max(before + 2, at[k] - reach), min(after - 2, at[k] + reach) + 1)
            if not len(tried):
                continue
            # Stretches begin within the first round.
            lift = -(before // n) * n if before < 0 else 0
            one = _costs(sums, np.full(len(tried), before + lift), tried + lift, off)[0]
            lift = (tried // n) * n
            other = _costs(sums, tried - lift, after - lift, off)[0]
            at[k] = tried[int((one + other).argmin())]
    return np.append(at, at[0] + n)


def _as_pieces(sums: PointSums, breaks: Numbers, off: float) -> list[EdgePiece]:
    n = len(sums.points) // 2
    lift = (breaks[:-1] // n) * n
    first, last = breaks[:-1] - lift, breaks[1:] - lift
    _, arcs, found = _costs(sums, first, last, off)
    pieces = []
    for k, (a, b, arc) in enumerate(zip(first.tolist(), last.tolist(), arcs.tolist(), strict=True)):
        along = found.along[k] * (1.0 if found.along[k] @ (sums.points[b] - sums.points[a]) > 0 else -1.0)
        inside = sums.points[(a + b) // 2] - sums.points[a]
        left = bool(along[0] * inside[1] - along[1] * inside[0] < 0)
        pieces.append(EdgePiece(a, b, arc, found.mean[k], found.middle[k], float(found.radius[k]), along, left))
    return pieces
