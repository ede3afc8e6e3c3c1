"""Cutting ticks: where the knife goes in, in the waste in line with each cut line, which is not printed. Pure; mm.

All eight of a straight-sided piece, as a rule needs both ends of a cut line, four of any other. Where a neighbour is
close a tick is drawn shorter; only where no tick of the least length has room is it left out.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import STRtree
from shapely.geometry import Polygon

from decalgen.artwork.build import Artwork
from decalgen.core import style
from decalgen.core.arrays import FloatArray
from decalgen.core.document import Line
from decalgen.core.values import dataclass
from decalgen.sheet.pieces import Placed
from decalgen.sheet.waste import CLEAR, COARSE, BoolArray, IntArray, Waste

OFF = 0.3
"""From a piece with its bleed to its ticks, mm."""
LENGTHS = (0.9, 0.8, 0.7, 0.6, 0.5)
"""How long a tick may be, mm, the longest that has room (common practice, no source)."""
HALF = style.LINE_MARK / 2
OWN_CLEAR = 0.1 + COARSE
"""Ticks keep so far from pieces, furniture and used film, mm."""
PARTNER = 3.0
"""A tick with another in line with it, no farther away than this, mm, may give way to a number."""
IN_LINE = 0.02
"""Two ticks no farther beside each other, mm, are one to the eye and serve both cut lines."""

Areas = NDArray[np.object_]


@dataclass(frozen=True)
class Ticks:
    """The ticks of all pieces. ``own``: whose (n); ``starts`` and ``ways`` (n, 2): the end at the piece and the way
    from it; ``lengths`` (n), mm: 0 where there is no room."""

    own: IntArray
    starts: FloatArray
    ways: FloatArray
    lengths: FloatArray

    def lines(self, longest: float = LENGTHS[0]) -> NDArray[np.object_]:
        """All of them as lines, none longer than asked for."""
        return _lines(self.starts, self.ways, np.minimum(self.lengths, longest))

    def areas(self, longest: float = LENGTHS[0], but: BoolArray | None = None, beside: float = 0.0) -> Areas:
        """The ink of those that are drawn, ``but`` some; ``beside``: with so much on either side, mm."""
        there = self.lengths > 0
        if but is not None:
            there &= ~but
        found: Areas = shapely.buffer(self.lines(longest)[there], HALF, cap_style="flat")
        if beside:
            found = shapely.box(*(shapely.bounds(found).reshape(-1, 4) + np.array([-beside, 0.0, beside, 0.0])).T)
        return found

    def drawn(self) -> tuple[Line, ...]:
        """What to print."""
        ends = self.starts + self.ways * self.lengths[:, None]
        return tuple(
            Line(((float(a[0]), float(a[1])), (float(b[0]), float(b[1]))), style.LINE_MARK, style.TEXT)
            for a, b, length in zip(self.starts, ends, self.lengths, strict=True)
            if length > 0
        )


def ticks(placed: Sequence[Placed], waste: Waste) -> Ticks:
    """The ticks of all pieces, each as long as there is room for."""
    own, starts, ways = [], [], []
    for n, one in enumerate(placed):
        a, b, c, d, e, f = one.matrix
        matrix = np.array([[a, c], [b, d]])
        for start, way in _spots(one.piece.artwork):
            own.append(n)
            starts.append(matrix @ start + (e, f))
            ways.append(matrix @ way)
    empty = np.empty((0, 2))
    found = Ticks(
        np.array(own, dtype=np.intp),
        np.array(starts).reshape(-1, 2) if own else empty,
        np.array(ways).reshape(-1, 2) if own else empty,
        np.zeros(len(own)),
    )
    return _apart(_fitted(found, waste))


def given_way(found: Ticks, taken: NDArray[np.object_]) -> Ticks:
    """The ticks, shorter where they would come too close to what is printed in ``taken``, or left out."""
    lengths = found.lengths.copy()
    if not len(taken):
        return found
    tree = STRtree(taken)
    met = np.unique(tree.query(found.lines(), predicate="dwithin", distance=CLEAR + HALF)[0])
    met = met[lengths[met] > 0]
    before, lengths[met] = lengths[met].copy(), 0.0
    for length in LENGTHS:
        todo = met[(lengths[met] == 0) & (before >= length)]
        lines = _lines(found.starts[todo], found.ways[todo], np.full(len(todo), length))
        blocked = np.unique(tree.query(lines, predicate="dwithin", distance=CLEAR + HALF)[0])
        lengths[np.delete(todo, blocked)] = length
    return replace(found, lengths=lengths)


def shorter(found: Ticks, area: Polygon) -> Ticks:
    """The ticks, those that reach into an area as short as may be."""
    lengths = found.lengths.copy()
    met = shapely.intersects(found.lines(), area) & (lengths > 0)
    lengths[met] = LENGTHS[-1]
    return replace(found, lengths=lengths)


def spare(found: Ticks) -> BoolArray:
    """Which ticks may give way to a number: those with another in line and near that stays."""
    result = np.zeros(len(found.own), dtype=bool)
    drawn = np.flatnonzero(found.lengths > 0)
    lines = found.lines()[drawn]
    one, other = STRtree(lines).query(lines, predicate="dwithin", distance=PARTNER)
    one, other = drawn[one], drawn[other]
    in_line = (one != other) & _in_line(found, one, other)
    for a, b in zip(one[in_line], other[in_line], strict=True):
        result[a] |= not result[b]
    return result


def _spots(artwork: Artwork) -> list[tuple[FloatArray, FloatArray]]:
    """Where the ticks of a piece begin, in the artwork's coordinates, and their ways: in line with its sides at each
    corner of a straight-sided one, else at its four outermost points."""
    cut = artwork.cut_polygon
    x0, y0, x1, y1 = cut.bounds
    left, low, right, high = artwork.outer.bounds
    if _straight(cut):
        ends = [((left - OFF, y), (-1, 0)) for y in (y0, y1)] + [((right + OFF, y), (1, 0)) for y in (y0, y1)]
        ends += [((x, low - OFF), (0, -1)) for x in (x0, x1)] + [((x, high + OFF), (0, 1)) for x in (x0, x1)]
    else:
        points = shapely.get_coordinates(cut.exterior)

        def outermost(axis: int, value: float) -> float:
            there = points[np.abs(points[:, axis] - value) < 1e-9]
            return float(there[len(there) // 2][1 - axis])

        ends = [((left - OFF, outermost(0, x0)), (-1, 0)), ((right + OFF, outermost(0, x1)), (1, 0))]
        ends += [((outermost(1, y0), low - OFF), (0, -1)), ((outermost(1, y1), high + OFF), (0, 1))]
    return [(np.array(start, dtype=float), np.array(way, dtype=float)) for start, way in ends]


def _straight(cut: Polygon) -> bool:
    """Whether the cut line has four sides to cut along with a rule; what is taken out inside does not count."""
    x0, y0, x1, y1 = cut.bounds
    return bool(Polygon(cut.exterior).area > 0.9 * (x1 - x0) * (y1 - y0))


def _fitted(found: Ticks, waste: Waste) -> Ticks:
    """Each as long as it keeps clear of all pieces, its own among them, furniture, used film and the margins."""
    lengths = np.zeros(len(found.own))
    nobody = np.full(len(found.own), -1, dtype=np.intp)
    for length in LENGTHS:
        todo = np.flatnonzero(lengths == 0)
        lines = _lines(found.starts[todo], found.ways[todo], np.full(len(todo), length))
        lengths[todo[waste.off(lines, nobody[todo], OWN_CLEAR + HALF)]] = length
    return replace(found, lengths=lengths)


def _apart(found: Ticks) -> Ticks:
    """Ticks of neighbours that would touch without being in line, both shorter until they do not, or as short as may
    be: a cross is still read, a missing tick is not."""
    lengths = found.lengths.copy()
    for length in LENGTHS[1:]:
        drawn = np.flatnonzero(lengths > 0)
        lines = _lines(found.starts[drawn], found.ways[drawn], lengths[drawn])
        one, other = STRtree(lines).query(lines, predicate="dwithin", distance=2 * HALF + 0.1)
        one, other = drawn[one], drawn[other]
        met = np.unique(one[(one != other) & ~_in_line(found, one, other)])
        if not len(met):
            break
        lengths[met] = np.minimum(lengths[met], length)
    return replace(found, lengths=lengths)


def _in_line(found: Ticks, one: IntArray, other: IntArray) -> BoolArray:
    way, between = found.ways[one], found.starts[other] - found.starts[one]
    beside = np.abs(way[:, 0] * between[:, 1] - way[:, 1] * between[:, 0])
    lean = np.abs(way[:, 0] * found.ways[other][:, 1] - way[:, 1] * found.ways[other][:, 0])
    return np.asarray((beside <= IN_LINE) & (lean < 1e-6))


def _lines(starts: FloatArray, ways: FloatArray, lengths: FloatArray) -> NDArray[np.object_]:
    ends = starts + ways * lengths[:, None]
    found: NDArray[np.object_] = shapely.linestrings(np.stack([starts, ends], axis=1))
    return found
