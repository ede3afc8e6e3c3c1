"""How thick a letter is at each place of its outline: how far the stroke's other edge lies, straight across. Pure."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
from shapely.geometry import MultiPolygon

from decalgen.core.arrays import FloatArray
from decalgen.core.geometry import by_shape
from decalgen.lettering.stems import Rings, edges_of, rings_of

FACING = -math.cos(math.radians(60))
"""The cosine of the angle between the two edges of a stroke: 60 degrees from parallel at most."""
LONG = 0.12
"""An edge longer than this share of the letter is straight: it is looked across from several places."""
PLACES = np.array((0.1, 0.3, 0.5, 0.7, 0.9))
BEYOND, PARALLEL = 0.6, -math.cos(math.radians(10))
"""A straight edge is seen beyond its ends by this share of its length by one that runs along it: the diagonal of a bold
N lies between two notches that do not come as far as each other."""
CORNER, SHARP = math.radians(25), math.radians(95)
"""Curves that turn by more where they meet have a notch there; a curve and a straight edge by more than the second, or
every counter's corner would be one."""
FAN = np.radians((-30.0, -15.0, 0.0, 15.0, 30.0))
AT_ONCE = 400_000
"""Pairs of places and edges that are looked at together, which keeps memory small."""

Indices = npt.NDArray[np.int64]


class Middles(NamedTuple):
    """Points on the middle lines of a letter's strokes, counted from its lower left corner, the direction straight
    across each, how thick the stroke is there, mm, the number of the edge it is seen from, and how long that is, mm."""

    points: FloatArray
    across: FloatArray
    thickness: FloatArray
    owners: Indices
    lengths: FloatArray


class Thickness(NamedTuple):
    """Of each edge, in the order of `rings_of`, how thick the stroke is that it bounds, mm; not a number where there is
    none, as at the end of a stroke. ``necks``: of the corner that each edge starts from, where that is a notch, how far
    the ink behind it reaches, mm; else not a number. ``straight``: whether both sides of the notch are."""

    edges: FloatArray
    necks: FloatArray
    straight: npt.NDArray[np.bool_]
    middles: Middles


class OutlineSides(NamedTuple):
    """All edges of some rings: where each starts, where from there it goes, its length, its outward direction."""

    starts: FloatArray
    along: FloatArray
    lengths: FloatArray
    outward: FloatArray

    @property
    def size(self) -> float:
        """How far the rings go across or upright, whichever is more, mm."""
        return float((self.starts.max(axis=0) - self.starts.min(axis=0)).max())


def sides_of(rings: Rings) -> OutlineSides:
    """The edges of rings that run as those of `rings_of` do, in their order."""
    starts, ends = edges_of(rings)
    along = ends - starts
    lengths = np.hypot(along[:, 0], along[:, 1])
    outward = np.column_stack((along[:, 1], -along[:, 0])) / np.where(lengths > 0, lengths, 1.0)[:, None]
    return OutlineSides(starts, along, lengths, outward)


def parts_by_ring(rings: Rings) -> list[slice]:
    """Of what is known of all edges in a row, the part of each ring."""
    ends = np.cumsum([len(ring) for ring in rings]).tolist()
    return [slice(end - len(ring), end) for ring, end in zip(rings, ends, strict=True)]


@by_shape
def thickness_of(area: MultiPolygon) -> Thickness:
    """The thickness at each edge, at each notch, and along the middle lines of all strokes: each is seen from both its
    edges."""
    rings = rings_of(area)
    outline = sides_of(rings)
    owners, places = _places(outline)
    distances = _looked(outline, places, owners, -outline.outward[owners])
    known = np.isfinite(distances)
    seen = owners[known]
    across = outline.outward[seen]
    points = places[known] - across * (distances[known] / 2)[:, None]
    left, bottom, _, _ = area.bounds
    middles = Middles(points - np.array((left, bottom)), across, distances[known], seen, outline.lengths[seen])
    return Thickness(_by_edge(distances, owners, len(outline.starts)), *_necks(rings, outline), middles)


def middles_of(area: MultiPolygon) -> Middles:
    """The middle lines alone, counted from the area's left edge and the baseline."""
    found = thickness_of(area).middles
    return found._replace(points=found.points + np.array((0.0, area.bounds[1])))


def _places(outline: OutlineSides) -> tuple[Indices, FloatArray]:
    """Places on the edges to look across from, and which edge each is on."""
    straight = outline.lengths > LONG * outline.size
    counts = np.where(straight, len(PLACES), np.where(outline.lengths > 0, 1, 0))
    owners = np.repeat(np.arange(len(counts)), counts)
    shares = [PLACES if is_straight else PLACES[2:3] for is_straight in straight[counts > 0].tolist()]
    return owners, outline.starts[owners] + outline.along[owners] * np.concatenate(shares)[:, None]


def _looked(
    outline: OutlineSides, places: FloatArray, owners: Indices, into: FloatArray, facing: bool = True
) -> FloatArray:
    """From each place into the ink: how far the first edge lies; not a number where that does not face it (``facing``
    False: where there is none)."""
    found = np.full(len(places), np.nan)
    share = max(1, AT_ONCE // len(outline.starts))
    for first in range(0, len(places), share):
        part = slice(first, first + share)
        found[part] = _looked_at_once(outline, places[part], owners[part], into[part], facing)
    return found


def _looked_at_once(
    outline: OutlineSides, places: FloatArray, owners: Indices, into: FloatArray, facing: bool
) -> FloatArray:
    dx, dy = into[:, 0, None], into[:, 1, None]
    ax, ay = outline.along[None, :, 0], outline.along[None, :, 1]
    px = outline.starts[None, :, 0] - places[:, 0, None]
    py = outline.starts[None, :, 1] - places[:, 1, None]
    with np.errstate(divide="ignore", invalid="ignore"):
        turned = dx * ay - dy * ax
        far = (px * ay - py * ax) / turned
        share = (px * dy - py * dx) / turned
    met = (share >= -1e-9) & (share <= 1 + 1e-9)
    alike = -(outline.outward @ into.T).T
    if facing:
        straight = (outline.lengths > LONG * outline.size)[None, :]
        met |= (share >= -BEYOND) & (share <= 1 + BEYOND) & (alike < PARALLEL) & straight
    rows = np.arange(len(places))
    met[rows, owners] = False
    far = np.where(met & (far > 1e-9), far, np.inf)
    nearest = far.argmin(axis=1)
    distance = far[rows, nearest]
    seen = np.isfinite(distance) & ((alike[rows, nearest] < FACING) | (not facing))
    return np.where(seen, distance, np.nan)


def _by_edge(distances: FloatArray, owners: Indices, count: int) -> FloatArray:
    """Of the places on one edge the thinnest but one: at an end of a straight edge another stroke may begin, and a look
    then goes along that."""
    found = np.full(count, np.nan)
    by_edge: dict[int, list[float]] = {}
    for owner, distance in zip(owners.tolist(), distances.tolist(), strict=True):
        by_edge.setdefault(owner, []).append(distance)
    for owner, seen in by_edge.items():
        known = sorted(one for one in seen if math.isfinite(one))
        if 5 * len(known) >= 2 * len(seen):
            found[owner] = known[min(1, len(known) - 1)]
    return found


def _necks(rings: Rings, outline: OutlineSides) -> tuple[FloatArray, npt.NDArray[np.bool_]]:
    """How far the ink behind each notch reaches, and whether its sides are straight: straight on from one of those, as
    from the crotch of a W, within a fan from others."""
    numbers = np.arange(len(outline.starts))
    before = np.concatenate([np.roll(numbers[part], 1) for part in parts_by_ring(rings)])
    back, out, lengths = outline.outward[before], outline.outward, outline.lengths
    turn = np.arctan2(back[:, 0] * out[:, 1] - back[:, 1] * out[:, 0], (back * out).sum(axis=1))
    long = LONG * outline.size
    straight = np.minimum(lengths, lengths[before]) >= long
    notches = np.flatnonzero(turn < np.where(np.maximum(lengths, lengths[before]) < long, -CORNER, -SHARP))
    found = np.full(len(out), np.nan)
    if not len(notches):
        return found, straight
    into = -(back[notches] + out[notches])
    fan = np.where(straight[notches][:, None], 0.0, FAN[None, :])
    angles = np.arctan2(into[:, 1], into[:, 0])[:, None] + fan
    rays = np.column_stack((np.cos(angles).ravel(), np.sin(angles).ravel()))
    owners = np.repeat(notches, len(FAN))
    looks = _looked(outline, outline.starts[owners] + 1e-6 * rays, owners, rays, facing=False)
    found[notches] = np.where(np.isfinite(looks), looks, np.inf).reshape(-1, len(FAN)).min(axis=1)
    return found, straight
