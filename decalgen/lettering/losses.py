"""What a letter lost on being forced: its strokes are looked for where they should be, one by one. Counting pieces and
holes does not tell: a stroke that goes may open one counter while another closes. Pure."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
import shapely
from shapely.geometry import MultiPolygon
from shapely.geometry.base import BaseGeometry

from decalgen.core.arrays import FloatArray
from decalgen.core.geometry import leant
from decalgen.lettering.forcing import Forcing
from decalgen.lettering.narrow_places import thin_length
from decalgen.lettering.stems import counts_of
from decalgen.lettering.thickness import Middles, middles_of

KEPT = 0.4
"""A stroke is lost where less than this share of what it should be is left of it, or nothing."""
HAIRLINE = 0.3
"""A stroke is a hairline where it is thinner than this share of a stem."""
THICKEST = 1.5
"""What is thicker than so many stems is no stroke."""
LENGTH = 0.15
"""So long, as a share of the letter, a stroke has to be: less is a corner, or where two strokes meet."""
BAR, MORE = 0.12, 0.08
"""A place that is thinner than a hairline is seen where it is as long as the first share of the letter, and longer by
the second than before."""
ASIDE = (-0.3, 0.0, 0.3)
"""Where across a stroke it is looked for, as shares of its thickness: beside its middle line too."""


class Losses(NamedTuple):
    """Whether a letter lost a stroke, or a counter; and the thinnest stroke that it has beside stems several times as
    thick, mm, without end where there is none."""

    stroke: bool
    counter: bool
    hairline: float


def losses(
    before: MultiPolygon,
    after: MultiPolygon,
    forced: Forcing,
    natural: tuple[float, float],
    strokes: tuple[float, float],
) -> Losses:
    """What a letter of a face lost by what was done to it. ``natural``: stem and crossbar as the face has them, mm;
    ``strokes``: as they should be."""
    pieces, holes = counts_of(before)
    pieces_now, holes_now = counts_of(after)
    middles = _of_strokes(middles_of(before), natural)
    if not len(middles.points):
        return Losses(pieces_now != pieces, holes_now < holes, math.inf)
    wanted = _wanted(middles, natural, strokes)
    across = _across(middles, forced)
    upright = leant(after, -forced.lean)
    has = np.zeros(len(wanted))
    for there in _there(middles, before, upright, forced):
        left = np.flatnonzero(has < KEPT * wanted)
        if not len(left):
            break
        has[left] = np.maximum(has[left], _has(upright, there[left], across[left], wanted[left], forced.swell))
    left, bottom, right, top = before.bounds
    least = LENGTH * max(right - left, top - bottom)
    lost = _length(middles, has < KEPT * wanted)
    thin = has < HAIRLINE * strokes[0]
    hairline = float(has[thin].max()) if _length(middles, thin) > least else math.inf
    if min(forced.swell) < 0:
        hairline = min(hairline, _thinned(before, after, HAIRLINE * natural[0], HAIRLINE * strokes[0]))
    return Losses(lost > least or pieces_now != pieces, holes_now != holes and lost <= least, max(hairline, 0.0))


def _thinned(before: MultiPolygon, after: MultiPolygon, usual: float, limit: float) -> float:
    """How thick the thinnest place of a letter is that was no hairline before, mm, as where two notches have grown
    towards each other: no middle line of a stroke lies there. Without end where there is none."""
    now = thin_length(after, limit)
    if now < BAR or now < thin_length(before, usual) + MORE:
        return math.inf
    low, high = 0.0, limit
    for _ in range(5):
        middle = (low + high) / 2
        low, high = (low, middle) if thin_length(after, middle) >= BAR else (middle, high)
    return high


def _length(middles: Middles, where: npt.NDArray[np.bool_]) -> float:
    """How much of the strokes, mm, something is true of; of a straight edge where it is so all along: the end of a
    stroke that was made thinner draws back."""
    edges = np.setdiff1d(middles.owners[where], middles.owners[~where])
    lengths = dict(zip(middles.owners.tolist(), middles.lengths.tolist(), strict=True))
    # Every stroke is seen from both its edges.
    return float(sum(lengths[edge] for edge in edges.tolist())) / 2


def _of_strokes(middles: Middles, natural: tuple[float, float]) -> Middles:
    """Without what lies between the two ends of a stroke."""
    usual = np.hypot(natural[0] * middles.across[:, 0], natural[1] * middles.across[:, 1])
    strokes = middles.thickness < THICKEST * usual
    return Middles(
        middles.points[strokes],
        middles.across[strokes],
        middles.thickness[strokes],
        middles.owners[strokes],
        middles.lengths[strokes],
    )


def _wanted(middles: Middles, natural: tuple[float, float], strokes: tuple[float, float]) -> FloatArray:
    """How thick each stroke should be: its share of a stem or a crossbar."""
    across, up = middles.across[:, 0], middles.across[:, 1]
    usual = np.hypot(natural[0] * across, natural[1] * up)
    wanted = np.hypot(strokes[0] * across, strokes[1] * up)
    return np.asarray(middles.thickness * wanted / usual)


def _there(middles: Middles, before: MultiPolygon, upright: MultiPolygon, forced: Forcing) -> list[FloatArray]:
    """The middle lines where the letter is now: as a stem lies that was swollen, and as its box was stretched. Strokes
    of other thickness lie between the two."""
    as_stems = middles.points * np.array(forced.scale) + np.array(forced.swell) + np.array((forced.left, 0.0))
    _, bottom, _, top = before.bounds
    x0, y0, x1, y1 = upright.bounds
    wide = before.bounds[2] - before.bounds[0]
    shares = (middles.points - np.array((0.0, bottom))) / np.array((wide, top - bottom))
    as_box = np.array((x0, y0)) + shares * np.array((x1 - x0, y1 - y0))
    return [as_stems, as_box]


def _across(middles: Middles, forced: Forcing) -> FloatArray:
    turned = middles.across / np.array(forced.scale)
    return np.asarray(turned / np.hypot(turned[:, 0], turned[:, 1])[:, None])


def _has(
    after: MultiPolygon, there: FloatArray, across: FloatArray, wanted: FloatArray, swell: tuple[float, float]
) -> FloatArray:
    """How thick the ink is at some points, mm, or a little beside them: across the stroke, and along it as far as its
    ends were moved."""
    shapely.prepare(after)
    edge = after.boundary
    found = np.zeros(len(there))
    along = np.column_stack((-across[:, 1], across[:, 0]))
    moved = along * np.hypot(along[:, 0] * swell[0], along[:, 1] * swell[1])[:, None]
    for by in (0.0, 1.0, -1.0):
        left = np.flatnonzero(found < KEPT * wanted)
        if not len(left):
            break
        for aside in ASIDE:
            points = there[left] + by * moved[left] + across[left] * (aside * wanted[left])[:, None]
            found[left] = np.maximum(found[left], _thick(after, edge, points))
    return found


def _thick(area: MultiPolygon, edge: BaseGeometry, points: FloatArray) -> FloatArray:
    """Twice how far points lie from the edge of an area, mm; 0 outside of it."""
    if not len(points):
        return np.zeros(0)
    inside = shapely.contains_xy(area, points[:, 0], points[:, 1])
    return np.where(inside, 2 * shapely.distance(shapely.points(points), edge), 0.0)
