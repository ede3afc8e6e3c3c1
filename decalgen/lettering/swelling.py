"""Letters made bolder or lighter stroke by stroke: a hairline by less than a stem, so that it stays beside it what it
was; and kept on their lines."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
import shapely
from shapely.geometry import MultiPolygon, Polygon, box

from decalgen.core.arrays import FloatArray
from decalgen.core.geometry import by_shape, polygons
from decalgen.lettering.offset import MITRE, offset
from decalgen.lettering.stems import edges_of, rings_of
from decalgen.lettering.thickness import parts_by_ring, sides_of, thickness_of
from decalgen.lettering.winding import positive

EVEN = 0.85
"""A stroke of this share of the stem, or more, is swollen as the stem is."""
FEW = 0.03
"""Less of the outline than this share bounds no stroke of its own, but a corner."""
SMOOTH = math.cos(math.radians(25))
"""Edges that turn by less are parts of a curve."""
BLEND = 0.8
"""Along a curve a share passes into another within so many stems, and a notch tells as far."""
LEAST = 0.3
SPECK = 1e-9
UNFOLDED = 8
"""So many times it is looked for edges that were turned round: where some go, their neighbours may be."""
OFF_LINE = 1e-6
"""So far, mm, a letter may be off its lines: less than is drawn."""
FOOT, LEVEL = 0.06, 0.03
"""A level edge stands on a letter's line where it is not farther from its end than the first share of its height, and
longer than the second."""


def swollen(
    area: MultiPolygon, left: float, scale: tuple[float, float], by: tuple[float, float], strokes: tuple[float, float]
) -> MultiPolygon:
    """An area whose ink begins at ``left``, moved to begin at 0 and stretched by ``scale`` across and upright, its
    strokes then made thicker by twice ``by`` mm (thinner if negative) where they are as thick as ``strokes`` (stem and
    crossbar of the face, mm), and by so much less where they are thinner. Head and foot come to lie where those of a
    straight letter do.
    """
    stretched = shapely.transform(area, lambda xy: (xy - np.array((left, 0.0))) * scale)
    if by == (0.0, 0.0):
        return stretched
    shares = _shares(area, strokes)
    grown = offset(stretched, *by) if shares is None else _moved_out(stretched, by, shares)
    return grown if grown.is_empty else _on_its_lines(grown, stretched, by[1])


class _Shares(NamedTuple):
    """How thick the stroke at each edge is, as a share of a stem or a crossbar, 1 at most; and how many times as far as
    an edge the notch that it starts from may grow, ``blunt``: it ends there, and its sides go where they would."""

    edges: FloatArray
    most: FloatArray
    blunt: npt.NDArray[np.bool_]


@by_shape
def _shares(area: MultiPolygon, strokes: tuple[float, float]) -> _Shares | None:
    """None for a letter of even strokes."""
    stem, bar = strokes
    if not math.isfinite(stem):
        return None
    bar = bar if math.isfinite(bar) else stem
    rings = rings_of(area)
    sides = sides_of(rings)
    lengths = sides.lengths
    usual = np.hypot(stem * sides.outward[:, 0], bar * sides.outward[:, 1])
    thickness = thickness_of(area)
    shares = np.minimum(thickness.edges / usual, 1.0)
    necks = thickness.necks / min(stem, bar)
    thin = lengths[shares < EVEN].sum()
    if thin < FEW * lengths.sum() and not (necks < EVEN).any():
        return None
    # What a straight notch grows into gets thinner from both sides, as a stroke does.
    most = np.where(thickness.straight, np.maximum(2 * necks - 1, LEAST), np.where(necks < EVEN, necks, MITRE))
    most = np.where(np.isfinite(necks), np.minimum(most, MITRE), MITRE)
    necks = np.where(thickness.straight | ~(necks < EVEN), np.inf, necks)
    found = [
        _blended(ring, shares[part], necks[part], BLEND * stem)
        for ring, part in zip(rings, parts_by_ring(rings), strict=True)
    ]
    return _Shares(np.concatenate(found), most, thickness.straight & (most < MITRE))


def _blended(ring: FloatArray, shares: FloatArray, necks: FloatArray, reach: float) -> FloatArray:
    """The shares of a ring's edges, without jumps along its curves; where none is known, those nearby. A notch that has
    little ink behind it grows by less, and so does what lies within ``reach`` mm of it."""
    _, _, lengths, out = sides_of([ring])
    begins = np.cumsum(lengths) - lengths
    whole = float(lengths.sum())
    known = np.isfinite(shares)
    runs = np.cumsum((out * np.roll(out, 1, axis=0)).sum(axis=1) <= SMOOTH)
    runs = np.where(runs == runs[-1], runs[0] if runs[0] == 0 else runs[-1], runs) if len(runs) else runs
    middles = begins + lengths / 2
    apart = np.abs(middles[:, None] - middles[None, :])
    apart = np.maximum(np.minimum(apart, whole - apart) - lengths[None, :] / 2, 0.0)
    weights = np.maximum(0.0, 1.0 - apart / reach) * np.minimum(lengths, reach)[None, :]
    weights = weights * known[None, :] * (runs[:, None] == runs[None, :])
    total = weights.sum(axis=1)
    mean = (weights * np.where(known, shares, 0.0)[None, :]).sum(axis=1) / np.where(total > 0, total, 1.0)
    straight = known & (lengths > reach)
    found = np.where(straight, shares, np.where(total > 0, mean, 1.0))
    for place in np.flatnonzero(np.isfinite(necks)).tolist():
        far = np.abs(middles - begins[place])
        far = np.minimum(far, whole - far) / reach
        limit = necks[place] + (1.0 - necks[place]) * np.minimum(far, 1.0)
        found = np.where(straight, found, np.minimum(found, limit))
    return np.asarray(np.where(np.isfinite(found), found, 1.0))


def _moved_out(area: MultiPolygon, by: tuple[float, float], shares: _Shares) -> MultiPolygon:
    """Every edge moved outward by its share."""
    left, _, right, _ = area.bounds
    rings = rings_of(area)
    made = [
        _ring_moved(ring, by, _Shares(shares.edges[part], shares.most[part], shares.blunt[part]))
        for ring, part in zip(rings, parts_by_ring(rings), strict=True)
    ]
    # As wide as a letter of even strokes would be: what is measured is the width.
    low, high = min(ring[:, 0].min() for ring in made), max(ring[:, 0].max() for ring in made)
    if high - low > OFF_LINE:
        wide = (right - left + 2 * by[0]) / (high - low)
        made = [np.column_stack((left - by[0] + (ring[:, 0] - low) * wide, ring[:, 1])) for ring in made]
    rest = iter(made)
    plain = MultiPolygon([Polygon(next(rest), [next(rest) for _ in one.interiors]) for one in area.geoms])
    return plain if plain.is_valid else positive(made, SPECK)


def _ring_moved(ring: FloatArray, by: tuple[float, float], shares: _Shares) -> FloatArray:
    _, along, lengths, out = sides_of([ring])
    back = np.roll(out, 1, axis=0)
    far = _far(out, by) * shares.edges
    before = np.roll(far, 1)
    cross = back[:, 0] * out[:, 1] - back[:, 1] * out[:, 0]
    corner = np.abs(cross) > math.sin(math.radians(15))
    safe = np.where(corner, cross, 1.0)[:, None]
    # Where the two edges, moved, meet; along a curve, where they nearly go on in each other, between them.
    across = before * out[:, 1] - far * back[:, 1]
    up = far * back[:, 0] - before * out[:, 0]
    met = np.column_stack((across, up)) / safe
    between = back + out
    between /= np.maximum(np.hypot(between[:, 0], between[:, 1]), 1e-12)[:, None]
    share = (shares.edges + np.roll(shares.edges, 1)) / 2
    even = share[:, None] * between * np.array(by)
    moved = np.where(corner[:, None], met, even)
    longer = np.maximum(np.abs(far), np.abs(before))
    most = np.where(far < 0, shares.most, MITRE) * longer
    size = np.maximum(np.hypot(moved[:, 0], moved[:, 1]), 1e-12)
    found = ring + moved * np.minimum(1.0, most / size)[:, None]
    found = _unfolded(np.asarray(found), along, out, (out * ring).sum(axis=1) + far)
    blunt = np.flatnonzero(shares.blunt & (far < 0) & (size > most))
    if not len(blunt):
        return np.asarray(found)
    towards = moved[blunt] / size[blunt][:, None]
    over = (size - most)[blunt][:, None]
    tips = ring[blunt] + moved[blunt]
    steps = along / np.where(lengths > 0, lengths, 1.0)[:, None]
    came, goes = np.roll(steps, 1, axis=0)[blunt], steps[blunt]
    found[blunt] = tips - came * over / np.maximum((came * towards).sum(axis=1), 0.1)[:, None]
    others = tips + goes * over / np.maximum(-(goes * towards).sum(axis=1), 0.1)[:, None]
    return np.insert(found, blunt + 1, others, axis=0)


def _unfolded(moved: FloatArray, along: FloatArray, out: FloatArray, lines: FloatArray) -> FloatArray:
    """A moved ring without the edges that were turned round, as those of a corner that is rounded by less than it was
    moved: the edges on either side of them are drawn on until they meet. ``lines``: how far each edge's line is from
    the origin, along ``out``."""
    gone = np.zeros(len(moved), dtype=np.bool_)
    found = moved
    for _ in range(UNFOLDED):
        turned = ((np.roll(found, -1, axis=0) - found) * along).sum(axis=1) < -1e-12
        if not (turned & ~gone).any():
            break
        gone |= turned
        if (~gone).sum() < 3:
            return moved
        found = found.copy()
        left = np.flatnonzero(~gone).tolist()
        for one, other in zip(left, [*left[1:], left[0]], strict=True):
            between = np.arange(one + 1, other + 1 + (len(moved) if other <= one else 0)) % len(moved)
            cross = out[one, 0] * out[other, 1] - out[one, 1] * out[other, 0]
            if len(between) < 2:
                continue
            middle = moved[between].mean(axis=0)
            if abs(cross) > math.sin(math.radians(5)):
                a, b = lines[one], lines[other]
                met = np.array((a * out[other, 1] - b * out[one, 1], b * out[one, 0] - a * out[other, 0])) / cross
                reach = np.ptp(moved[between], axis=0).max()
                middle = met if np.hypot(*(met - middle)) <= MITRE * reach else middle
            found[between] = middle
    return found


def _far(out: FloatArray, by: tuple[float, float]) -> FloatArray:
    """How far an edge that faces a direction goes: a curve passes evenly from what is added across to what is added
    upright, of which one may be negative."""
    return np.asarray(by[0] * out[:, 0] ** 2 + by[1] * out[:, 1] ** 2)


def _on_its_lines(grown: MultiPolygon, stretched: MultiPolygon, by: float) -> MultiPolygon:
    """What ends short of its lines, or over them, is brought there; a point that still stands over them, as that of an
    M that was drawn out, is cut off."""
    _, bottom, _, top = grown.bounds
    _, low, _, high = stretched.bounds
    low, high = low - by, high + by
    if abs(bottom - low) < OFF_LINE and abs(top - high) < OFF_LINE:
        return grown
    foot, head = _lines(stretched)
    foot, head = foot - by, head + by
    has_foot, has_head = _lines(grown, (foot, head))
    if abs(has_foot - foot) + abs(has_head - head) > OFF_LINE and has_head - has_foot > OFF_LINE:
        up = (head - foot) / (has_head - has_foot)
        moved = shapely.transform(grown, lambda xy: np.column_stack((xy[:, 0], foot + (xy[:, 1] - has_foot) * up)))
        grown = MultiPolygon(shapely.get_parts(moved).tolist())
    left, bottom, right, top = grown.bounds
    if bottom > low - OFF_LINE and top < high + OFF_LINE:
        return grown
    cut = grown.intersection(box(left - 1, low, right + 1, high))
    return MultiPolygon(polygons(cut))


def _lines(area: MultiPolygon, near: tuple[float, float] | None = None) -> tuple[float, float]:
    """The line a letter stands on and the one it reaches: of its level edges there the outermost, or the nearest to
    ``near``; of a letter that is pointed, or round, its lowest and its highest point."""
    _, bottom, _, top = area.bounds
    starts, ends = edges_of(rings_of(area))
    along = np.abs(ends - starts)
    high = top - bottom
    level = starts[(along[:, 1] < 1e-6) & (along[:, 0] > LEVEL * high), 1]
    found: list[float] = []
    for end, wanted in zip((bottom, top), near or (bottom, top), strict=True):
        there = level[np.abs(level - end) < FOOT * high]
        found.append(float(there[np.abs(there - wanted).argmin()]) if len(there) else end)
    return found[0], found[1]
