"""Where labels stand beside their own pieces: every place tried at once, then chosen so that none is in another's way.

A label is read as that of the nearest piece, so it lies clearly nearer to its own than to any other. Pure; mm.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from decalgen.core.arrays import FloatArray
from decalgen.core.values import dataclass
from decalgen.sheet.labels import Label
from decalgen.sheet.waste import COARSE, IntArray, Waste, anchored, grown, walk

OFF = 0.175
LOOSE = (0.3, 0.45, 0.65)
"""From a piece to a label beside it, mm: at first, and where there is no room so close."""
STEP = 0.7
"""How finely places along an outline are tried, mm."""
NEAR = 0.8
"""A label beside its piece is less far from it, mm."""
FARTHER = 0.2 + 2 * COARSE
TIMES = 1.5
"""Any other piece is so much, and so many times, farther away."""
APART = 0.2 + 2 * COARSE
BESIDE = 0.8
"""Labels keep so far above and below one another, mm, and so far beside: 1 close before 32 reads as 132."""
KEPT = 48
"""So many of a piece's places are kept, the best."""
DEEP = 3
"""So many labels may be moved for one that finds no place."""


@dataclass(frozen=True)
class Places:
    """Places for labels, sorted by piece and then by cost. ``own``: which piece's (n); ``boxes`` (n, 4), mm; ``kind``:
    which of the piece's labels (n); ``cost`` (n)."""

    own: IntArray
    boxes: FloatArray
    kind: IntArray
    cost: FloatArray

    def of(self, piece: int) -> slice:
        """Those of a piece."""
        first, last = np.searchsorted(self.own, [piece, piece + 1])
        return slice(int(first), int(last))


def places(
    waste: Waste,
    drawn: NDArray[np.object_],
    labels: Sequence[Sequence[Label]],
    which: Sequence[int],
    offs: Sequence[float] = (OFF,),
) -> Places:
    """The best places beside each of the pieces ``which``, clear of all that is ``drawn`` in the waste; ``labels``: of
    every piece, all its forms; ``offs``: how far from the piece, mm."""
    tried = [_tried(waste, labels, which, off) for off in offs]
    own = np.concatenate([row[0] for row in tried])
    boxes = np.concatenate([row[1] for row in tried])
    kind = np.concatenate([row[2] for row in tried])
    free = waste.free(boxes, drawn)
    own, boxes, kind = own[free], boxes[free], kind[free]
    mine, other = _distances(waste, boxes, own)
    good = (mine < NEAR) & (other >= mine + FARTHER) & (other >= TIMES * mine + COARSE)
    own, boxes, kind, mine, other = own[good], boxes[good], kind[good], mine[good], other[good]
    flat = [np.array([[one.small, one.form] for one in each], dtype=float) for each in labels]
    traits = np.array([flat[o][k] for o, k in zip(own, kind, strict=True)]).reshape(-1, 2)
    cost = traits[:, 0] + 0.4 * traits[:, 1] - 0.4 * np.minimum(other - mine, 2.0) + 0.5 * mine
    order = np.lexsort((np.arange(len(own)), cost, own))
    rank = np.arange(len(own)) - np.searchsorted(own[order], own[order])
    order = order[rank < KEPT]
    return Places(own[order], boxes[order], kind[order], cost[order])


def _tried(
    waste: Waste, labels: Sequence[Sequence[Label]], which: Sequence[int], off: float
) -> tuple[IntArray, FloatArray, IntArray]:
    owns, boxes, kinds = [np.empty(0, np.intp)], [np.empty((0, 4))], [np.empty(0, np.intp)]
    for piece, area in zip(which, grown(waste.outers[list(which)], off), strict=True):
        points, ways = walk(area, STEP)
        # Beside what curves away, a box touches with its corner.
        curved = np.abs(ways).min(axis=1) > 0.03
        points = np.concatenate([points, points[curved]])
        ways = np.concatenate([ways, np.clip(40.0 * ways[curved], -1.0, 1.0)])
        sizes = np.array([(one.width, one.height) for one in labels[piece]])
        count, forms = len(points), len(sizes)
        boxes.append(anchored(np.tile(points, (forms, 1)), np.tile(ways, (forms, 1)), np.repeat(sizes, count, axis=0)))
        kinds.append(np.repeat(np.arange(forms), count))
        owns.append(np.full(count * forms, piece, np.intp))
    return np.concatenate(owns), np.concatenate(boxes), np.concatenate(kinds)


def _distances(waste: Waste, boxes: FloatArray, own: IntArray) -> tuple[FloatArray, FloatArray]:
    """How far each box is from its own piece, and from the nearest other one (at most 3 mm)."""
    mine, other = np.full(len(boxes), np.inf), np.full(len(boxes), 3.0)
    one, piece, apart = waste.near(boxes, 3.0)
    same = piece == own[one]
    mine[one[same]] = apart[same]
    np.minimum.at(other, one[~same], apart[~same])
    return mine, other


class PlacedLabels:
    """Which place each piece's label takes."""

    def __init__(self, found: Places) -> None:
        self.found = found
        self.taken: dict[int, int] = {}
        pieces = np.unique(found.own)
        self._spans = {int(p): found.of(int(p)) for p in pieces}
        self._near = self._neighbours(pieces)

    def _neighbours(self, pieces: IntArray) -> Mapping[int, IntArray]:
        """For each piece those whose labels might meet its."""
        hulls = np.array(
            [
                [*self.found.boxes[s][:, :2].min(axis=0), *self.found.boxes[s][:, 2:].max(axis=0)]
                for s in self._spans.values()
            ]
        ).reshape(-1, 4)
        near = {}
        for n, hull in enumerate(hulls):
            meet = _meeting(hulls, hull)
            meet[n] = False
            near[int(pieces[n])] = pieces[meet]
        return near

    def make(self) -> dict[int, int]:
        """The place of each piece that has one, by the piece: pieces with few places first, the cheapest free place;
        where there is none, labels in the way are moved."""
        spans = self._spans
        for piece in sorted(spans, key=lambda p: (spans[p].stop - spans[p].start, p)):
            self._seat(piece, DEEP, frozenset())
        for _ in range(2):
            for piece in sorted(self.taken):
                row = self.taken.pop(piece)
                blocked = self._blockers(piece).any(axis=1)
                self.taken[piece] = min(row, spans[piece].start + int(np.argmin(blocked)))
        return self.taken

    def _blockers(self, piece: int) -> np.ndarray[tuple[int, int], np.dtype[np.bool_]]:
        """Of each place of a piece (rows), which of the neighbours' labels (columns, in order) are in the way."""
        there = [self.taken[int(p)] for p in self._near[piece] if int(p) in self.taken]
        a, b = self.found.boxes[self._spans[piece]][:, None, :], self.found.boxes[there][None, :, :]
        return np.asarray(
            (a[..., 0] < b[..., 2] + BESIDE)
            & (b[..., 0] < a[..., 2] + BESIDE)
            & (a[..., 1] < b[..., 3] + APART)
            & (b[..., 1] < a[..., 3] + APART)
        )

    def _seat(self, piece: int, deep: int, moving: frozenset[int]) -> bool:
        first = self._spans[piece].start
        blocked = self._blockers(piece)
        counts = blocked.sum(axis=1)
        free = np.flatnonzero(counts == 0)
        if len(free):
            self.taken[piece] = first + int(free[0])
            return True
        if deep == 0:
            return False
        there = [int(p) for p in self._near[piece] if int(p) in self.taken]
        tried = set(moving)
        for place in np.flatnonzero(counts == 1):
            other = there[int(np.argmax(blocked[place]))]
            if other in tried:
                continue
            tried.add(other)
            before = self.taken.pop(other)
            self.taken[piece] = first + int(place)
            if self._seat(other, deep - 1, moving | {piece, other}):
                return True
            del self.taken[piece]
            self.taken[other] = before
        return False


def _meeting(boxes: FloatArray, one: FloatArray) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
    return np.asarray(
        (boxes[:, 0] < one[2] + BESIDE)
        & (one[0] < boxes[:, 2] + BESIDE)
        & (boxes[:, 1] < one[3] + APART)
        & (one[1] < boxes[:, 3] + APART)
    )
