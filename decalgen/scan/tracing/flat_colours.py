"""The flat colours of a part of a scan, and which of them each pixel is of. Pure; linear light."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from decalgen.core.arrays import FloatArray
from decalgen.core.values import dataclass
from decalgen.scan.colours import ALIKE_LAB, main_colour
from decalgen.scan.edges import SIGMA, LightArray, pick_around, smoothed
from decalgen.scan.light import lab_of

CALM = 2.5
"""A pixel whose neighbours to both sides differ by less (CIE76) is of one colour, not of an edge."""
GROUND_NEAR = 4.5
"""A colour that differs less from the ground (CIE76) is the ground; a pale ink differs from a lid by little more."""
LEAST_SHARE = 0.002
"""A colour is one of its own if this share of the calm pixels is of it."""
MOST_SEEN = 60_000
"""So many calm pixels tell the colours."""
MOST_COLOURS = 8
NEAR_PIXELS = 4
"""A pixel on an edge is of a colour that is seen calm so near to it, if any is."""
MELTING = 0.4
"""Two colours are one that fades if they meet without an edge at so many pixels, as a share of the root of the smaller
one's."""
STRIP_ROWS = 256

NumberArray = NDArray[np.int8]


@dataclass(frozen=True)
class FlatColours:
    """``colours``: linear, the ground first; ``number``: of each pixel's colour; ``calm``: which pixels are on no
    edge."""

    colours: tuple[FloatArray, ...]
    number: NumberArray
    calm: NDArray[np.bool_]


def flat_colours(light: LightArray, ground: FloatArray) -> FlatColours:
    """The colours of a part of a scan, rows × columns × 3."""
    soft = smoothed(light, SIGMA)
    lab = np.empty_like(soft)
    # In strips, for memory.
    for row in range(0, len(soft), STRIP_ROWS):
        lab[row : row + STRIP_ROWS] = lab_of(soft[row : row + STRIP_ROWS].astype(np.float64))
    calm = _calm(lab)
    some = soft[calm]
    seen = some[:: max(1, len(some) // MOST_SEEN)].astype(np.float64)
    colours = [np.asarray(ground, float)]
    while len(colours) <= MOST_COLOURS:
        but = [(other, GROUND_NEAR if other is colours[0] else ALIKE_LAB) for other in colours]
        one = main_colour(seen, but, LEAST_SHARE)
        if one is None:
            break
        colours.append(one)
    return _melted(colours, _nearest(lab, colours, calm), calm)


def _calm(lab: LightArray) -> NDArray[np.bool_]:
    found = np.zeros(lab.shape[:2], bool)
    across, down = lab[1:-1, 2:] - lab[1:-1, :-2], lab[2:, 1:-1] - lab[:-2, 1:-1]
    found[1:-1, 1:-1] = ((across**2).sum(axis=2) < CALM**2) & ((down**2).sum(axis=2) < CALM**2)
    return found


def _nearest(lab: LightArray, colours: list[FloatArray], calm: NDArray[np.bool_]) -> NumberArray:
    """The number of the colour that each pixel is nearest to; on an edge among those that are calm beside it."""
    far = [((lab - lab_of(one).astype(np.float32)) ** 2).sum(axis=2) for one in colours]
    number = np.argmin(far, axis=0).astype(np.int8)
    for n, one in enumerate(far):
        one[~calm & ~pick_around(calm & (number == n), NEAR_PIXELS, np.maximum)] += 1e6
    return np.asarray(np.argmin(far, axis=0), np.int8)


def _melted(colours: list[FloatArray], number: NumberArray, calm: NDArray[np.bool_]) -> FlatColours:
    """With colours that go over into each other without an edge as one; the ground takes none along."""
    count = len(colours)
    sizes = np.bincount(number[calm], minlength=count).astype(float)
    meet = np.zeros((count, count))
    for a, b, both in (
        (number[1:], number[:-1], calm[1:] & calm[:-1]),
        (number[:, 1:], number[:, :-1], calm[:, 1:] & calm[:, :-1]),
    ):
        pairs = a[both].astype(np.int64) * count + b[both]
        meet += np.bincount(pairs, minlength=count * count).reshape(count, count)
    meet += meet.T
    into = list(range(count))
    for one in range(1, count):
        for other in range(one + 1, count):
            if meet[one, other] > max(8.0, MELTING * np.sqrt(min(sizes[one], sizes[other]))):
                into[other] = into[one]
    kept = sorted(set(into))
    table = np.array([kept.index(one) for one in into], np.int8)
    return FlatColours(tuple(colours[n] for n in kept), table[number], calm)
