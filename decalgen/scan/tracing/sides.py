"""A closed row of points as an outline of straight sides, arcs, round corners and smooth curves. Pure; mm.

Corners lie where the lines and arcs beside them cross, not on the points, which a scan has rounded off there.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely

from decalgen.core.arrays import FloatArray
from decalgen.core.curves.curved import CurvedSides
from decalgen.core.geometry import Point
from decalgen.core.rings import RingError, closed_ring
from decalgen.core.values import dataclass
from decalgen.scan.tracing.breaks import STEP, EdgePiece, pieces_of
from decalgen.scan.tracing.corners import joint_of, round_corner, tip_depth, without_tips

ROUND_OFF = 0.35
"""A ring is a circle if its points are off by no more than this share of the tolerance (root mean square)."""
LEAST_CURVE = 3
"""So many arcs that run on into each other are a smooth curve."""
SHARE = 0.2
"""What a point may be off, standard, as a share of the tolerance, when pieces are weighed first."""
LEAST_OFF = 0.08
"""Points are off by so many pixels at least: noise, and the steps between pixels."""
ROUNDS = 3
MOST_POINTS = 500
NO_WORSE = 1.1
"""Round corners and smooth curves serve if they are off by no more than this many times what arcs are."""
WELL_WITHIN = 0.5
LEAST_POINTS = 16
"""Rings of fewer even points are too small to be fitted."""


@dataclass(frozen=True)
class TracedLoop:
    """``points``: corners, anticlockwise, with ``radii``; ``rises``: of each side, outward; ``curves``: numbers of
    sides that bend smoothly, ``joins``: of points at which they run on from the side beside them; ``off``: how far
    the points that it was traced from lie off at most, and ``rms`` on the whole, mm."""

    points: tuple[Point, ...]
    radii: tuple[float, ...]
    rises: tuple[float, ...]
    curves: tuple[int, ...] = ()
    joins: tuple[int, ...] = ()
    off: float = 0.0
    rms: float = 0.0

    def line(self) -> FloatArray:
        """It as chords, x, y; closed. Raises `RingError`."""
        curved = CurvedSides(self.curves, self.joins) if self.curves else None
        return np.asarray(closed_ring(self.points, self.radii, self.rises, curved).polygon.exterior.coords, float)


def traced_ring(points: FloatArray, pixel: float, tolerance: float) -> TracedLoop:
    """A closed row of points, mm, as sides within the tolerance; as its own points where that is not to be had."""
    even = _evenly(points, STEP * pixel)
    if len(even) < LEAST_POINTS:
        return _as_it_is(points, tolerance)
    found = _circle(even, tolerance)
    if found is not None:
        return found
    best: TracedLoop | None = None
    off = SHARE * tolerance
    for _ in range(ROUNDS):
        off = max(off, LEAST_OFF * pixel)
        tried = _ring(even, pixel, off, tolerance)
        if tried is not None and (best is None or tried.off < best.off):
            best = tried
        if best is not None and best.off <= tolerance:
            return best
        off /= 2.5
    return best if best is not None else _as_it_is(points, tolerance)


def _evenly(points: FloatArray, step: float) -> FloatArray:
    """A closed row of points anew, evenly about a step apart, anticlockwise."""
    whole = np.vstack((points, points[:1]))
    along = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(whole, axis=0).T))))
    count = max(4, round(float(along[-1]) / step))
    at = np.linspace(0.0, float(along[-1]), count, endpoint=False)
    found = np.column_stack([np.interp(at, along, whole[:, n]) for n in (0, 1)])
    x, y = found.T
    turns = float((x * np.roll(y, -1) - y * np.roll(x, -1)).sum()) > 0
    return found if turns else found[::-1]


def _circle(points: FloatArray, tolerance: float) -> TracedLoop | None:
    middle = points.mean(axis=0)
    radius = 0.0
    for _ in range(10):
        away = points - middle
        far = np.maximum(np.hypot(*away.T), 1e-9)
        slope = np.column_stack((-away / far[:, None], -np.ones(len(far))))
        step = np.linalg.lstsq(slope, radius - far, rcond=None)[0]
        middle, radius = middle + step[:2], radius + float(step[2])
    left = np.hypot(*(points - middle).T) - radius
    rms = math.sqrt(float((left**2).mean()))
    if rms > ROUND_OFF * tolerance:
        return None
    x, y = map(float, middle)
    ends = ((x, y - radius), (x, y + radius))
    return TracedLoop(ends, (0.0, 0.0), (radius, radius), off=float(np.abs(left).max()), rms=rms)


def _as_it_is(points: FloatArray, tolerance: float) -> TracedLoop:
    """Its own points, thinned to the tolerance or to as many as an outline may have."""
    for share in (0.5, 1.0, 2.0, 4.0, 8.0):
        line = shapely.simplify(shapely.Polygon(points), share * tolerance).exterior
        if len(line.coords) <= MOST_POINTS:
            break
    kept = np.asarray(line.coords)[:-1]
    rows = tuple((float(x), float(y)) for x, y in (kept if line.is_ccw else kept[::-1])[:MOST_POINTS])
    none = (0.0,) * len(rows)
    return TracedLoop(rows, none, none, off=share * tolerance, rms=share * tolerance / 2)


def _ring(points: FloatArray, pixel: float, off: float, tolerance: float) -> TracedLoop | None:
    """Points as sides, by how far each may be off, standard; None where that is no outline."""
    small = points / pixel
    pieces = without_tips(small, pieces_of(small, off / pixel))
    count = len(pieces)
    if count < 2:
        return None
    joints = [joint_of(small, pieces[k - 1], pieces[k]) for k in range(count)]
    nodes = [one.place * pixel for one in joints]
    rises = [_rise(points, piece, nodes[k], nodes[(k + 1) % count]) for k, piece in enumerate(pieces)]
    plain = TracedLoop(tuple((float(x), float(y)) for x, y in nodes), (0.0,) * count, tuple(rises))
    smooth = [one.smooth for one in joints]
    curved = {k for run in _curved_runs(pieces, smooth) for k in run}
    judge = _RingJudge(points, pixel, _gaps(pieces, len(points)))
    tries = [_rounded(small, pieces, plain, pixel)]
    if curved:
        tries = [_curved(plain, curved, smooth, halves) for halves in (False, True)]
    base = judge.judged(plain)
    allowed = max(tolerance, base.off * NO_WORSE if base else 0.0)
    judged = [one for one in map(judge.judged, tries) if one is not None and one.off <= allowed]
    # The first that is well within the tolerance, else the best.
    well = (one for one in judged if one.off <= WELL_WITHIN * tolerance)
    return next(well, None) or min(judged, key=lambda one: one.off, default=base)


def _gaps(pieces: Sequence[EdgePiece], count: int) -> list[int]:
    """The numbers of the points that are of no piece: tips that a scan has rounded off."""
    found: list[int] = []
    for k, piece in enumerate(pieces):
        gap = (piece.first - pieces[k - 1].last) % count
        found += [(pieces[k - 1].last + n) % count for n in range(1, gap)]
    return found


def _rise(points: FloatArray, piece: EdgePiece, start: FloatArray, end: FloatArray) -> float:
    """How far an arc between two corners stands out to the right of its chord, nearest to its points."""
    chord = math.dist(start, end)
    if not piece.is_arc or chord < 1e-9:
        return 0.0
    n = len(points)
    inner = points[np.arange(piece.first + 1, piece.last) % n]
    unit = (end - start) / chord
    out = np.array([unit[1], -unit[0]])
    along, away = (inner - start) @ unit, (inner - start) @ out
    middle = np.abs(along / chord - 0.5) < 0.2
    rise = float(away[middle].mean()) if middle.any() else float(away.mean())
    for _ in range(12):
        left, more = (_off_arc(along, away, chord, value) for value in (rise, rise + 1e-5 * chord))
        slope = (more - left) / (1e-5 * chord)
        step = -float(left @ slope) / max(float(slope @ slope), 1e-12)
        rise += max(-0.2 * chord, min(0.2 * chord, step))
    return rise if abs(rise) < 0.5 * chord else math.copysign(0.5 * chord, rise)


def _off_arc(along: FloatArray, away: FloatArray, chord: float, rise: float) -> FloatArray:
    """How far points lie outside of the arc over a chord."""
    if abs(rise) < 1e-9 * chord:
        return away
    radius = chord * chord / (8 * rise) + rise / 2
    far = np.hypot(along - chord / 2, away - (rise - radius))
    return np.asarray((far - abs(radius)) * (1.0 if rise > 0 else -1.0), float)


def _rounded(small: FloatArray, pieces: Sequence[EdgePiece], plain: TracedLoop, pixel: float) -> TracedLoop:
    """With arcs that run from one line into another as round corners."""
    count = len(pieces)
    found = {k: round_corner(small, pieces[k - 1], pieces[k], pieces[(k + 1) % count]) for k in range(count)}
    corners = {k: one for k, one in found.items() if one is not None}
    rows: list[tuple[Point, float, float]] = []
    for k in range(count):
        if k in corners:
            (x, y), radius = corners[k]
            rows.append(((float(x) * pixel, float(y) * pixel), radius * pixel, 0.0))
        elif (k - 1) % count not in corners:
            rows.append((plain.points[k], 0.0, plain.rises[k]))
    points, radii, rises = zip(*rows, strict=True)
    return TracedLoop(points, radii, rises)


def _curved_runs(pieces: Sequence[EdgePiece], smooth: Sequence[bool]) -> list[list[int]]:
    """Runs of arcs, by their numbers from 0, that run on into each other."""
    count = len(pieces)
    if all(smooth) and all(piece.is_arc for piece in pieces):
        return [list(range(count))] if count >= LEAST_CURVE else []
    cuts = [k for k in range(count) if not smooth[k] or not pieces[k].is_arc or not pieces[k - 1].is_arc]
    found = []
    for n, cut in enumerate(cuts):
        end = cuts[(n + 1) % len(cuts)] + (count if n == len(cuts) - 1 else 0)
        run = [k % count for k in range(cut, end)]
        if len(run) >= LEAST_CURVE and all(pieces[k].is_arc for k in run):
            found.append(run)
    return found


def _curved(plain: TracedLoop, curved: set[int], smooth: Sequence[bool], halves: bool) -> TracedLoop:
    """With these arcs, by their numbers from 0, as smooth curves through their ends, or through their middles too."""
    count = len(plain.points)
    nodes = np.array(plain.points)
    rows: list[Point] = []
    rises: list[float] = []
    numbers: list[int] = []
    joins: list[int] = []
    for k in range(count):
        parts = [plain.points[k]]
        if k in curved and halves:
            way = nodes[(k + 1) % count] - nodes[k]
            way = way / max(float(np.hypot(*way)), 1e-9)
            x, y = (nodes[k] + nodes[(k + 1) % count]) / 2 + plain.rises[k] * np.array([way[1], -way[0]])
            parts.append((float(x), float(y)))
        if smooth[k] and (k in curved) != ((k - 1) % count in curved):
            joins.append(len(rows) + 1)
        for part in parts:
            rows.append(part)
            rises.append(0.0 if k in curved else plain.rises[k])
            if k in curved:
                numbers.append(len(rows))
    return TracedLoop(tuple(rows), (0.0,) * len(rows), tuple(rises), tuple(numbers), tuple(joins))


def _rounded_off(ring: TracedLoop) -> list[tuple[Point, float]]:
    """How far from each sharp corner a scan rounds it off, pixels."""
    nodes = np.array(ring.points)
    ways = np.roll(nodes, -1, axis=0) - nodes
    turns = np.arctan2(ways[:, 1], ways[:, 0])
    found = []
    for k, (at, radius) in enumerate(zip(ring.points, ring.radii, strict=True)):
        turn = abs(math.remainder(float(turns[k] - turns[k - 1]), math.tau))
        if not radius:
            found.append((at, 2.2 * tip_depth(turn) + 0.5))
    return found


@dataclass(frozen=True)
class _RingJudge:
    """Points that a ring is held against, mm; ``gaps``: numbers of those that do not count."""

    points: FloatArray
    pixel: float
    gaps: list[int]

    def judged(self, ring: TracedLoop) -> TracedLoop | None:
        """With how far the points lie off, those beside sharp corners left out; None where it is no outline."""
        if len(ring.points) > MOST_POINTS:
            return None
        try:
            line = shapely.LinearRing(ring.line())
        except RingError:
            return None
        if not line.is_simple:
            return None
        spots = shapely.points(self.points)
        counts = np.ones(len(spots), bool)
        counts[self.gaps] = False
        for at, reach in _rounded_off(ring):
            counts &= shapely.distance(shapely.Point(at), spots) > reach * self.pixel
        off = shapely.distance(line, spots)[counts]
        if not len(off):
            return None
        return replace(ring, off=float(off.max()), rms=math.sqrt(float((off**2).mean())))
