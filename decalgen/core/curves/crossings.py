"""Where a curve crosses or touches itself. Pure; mm."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from decalgen.core.arrays import FloatArray
from decalgen.core.curves.curve import Curve
from decalgen.core.geometry import Point

ROUNDED = 7
"""Digits of a millimetre: places that are nearer touch."""


class Crossing(NamedTuple):
    """Where a curve meets itself, and the pieces (from 0) that meet there."""

    at: Point
    one: int
    other: int


def first_crossing(curve: Curve) -> Crossing | None:
    """The crossing that lies first along the curve; None for a curve that keeps clear of itself."""
    points, along = curve.points_and_stations()
    # What folds back onto itself does so to the last bit.
    points = np.round(points, ROUNDED)
    if shapely.linestrings(points).is_simple:
        return None
    chords = shapely.linestrings(np.stack((points[:-1], points[1:]), axis=1))
    one, other = shapely.STRtree(chords).query(chords, predicate="intersects")
    last = len(chords) - 1
    apart = (other > one + 1) & ~(curve.closed & (one == 0) & (other == last))
    # Neighbours share a point; they cross where one folds back onto the other.
    beside = (other == one + 1) | (curve.closed & (one == last) & (other == 0))
    folded = beside & _folds(points, one)
    met = np.flatnonzero(apart | folded)
    if not len(met):
        return None
    first = met[np.lexsort((other[met], one[met]))[0]]
    a, b = int(one[first]), int(other[first])
    spot = shapely.point_on_surface(shapely.intersection(chords[a], chords[b]))
    piece = np.searchsorted(curve.starts, (along[[a, b]] + along[[a + 1, b + 1]]) / 2, side="right") - 1
    return Crossing((float(spot.x), float(spot.y)), int(piece[0]), int(piece[1]))


def _folds(points: FloatArray, at: NDArray[np.intp]) -> NDArray[np.bool_]:
    """Whether the chord after each goes back over it."""
    way = np.diff(points, axis=0)
    after = way[(at + 1) % len(way)]
    here = way[at]
    across = np.abs(here[:, 0] * after[:, 1] - here[:, 1] * after[:, 0])
    answer: NDArray[np.bool_] = ((here * after).sum(axis=1) < 0) & (across < 1e-12)
    return answer
