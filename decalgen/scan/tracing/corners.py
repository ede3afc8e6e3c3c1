"""Corners of a traced outline: where lines and arcs cross that a scan has rounded off, and round corners. Pure; pixels.

Half of the light of a corner of angle a lies further in than its tip: about 0.47 px / tan(a / 2) where a scan is
unsharp by 0.7 px (half the light of a Gaussian lies within 0.674 of its standard deviation).
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from decalgen.core.arrays import FloatArray
from decalgen.core.values import dataclass
from decalgen.scan.tracing.breaks import STEP, EdgePiece

SHORT = 6.0
"""Pieces that are shorter may be what is left of a corner, pixels; so may several up to `SHORTS` together."""
SHORTS = 9.0
TIP = 0.47
LENIENT = 1.4
MORE = 0.3
"""A tip may be further away than that by this factor and so many pixels."""
SMOOTH = math.radians(14)
"""Pieces that meet at a smaller angle run on into each other."""
CORNER_PIXELS = 3.0
"""A corner lies no further from the points, but for twice what is rounded off."""
MOST_ROUND = math.radians(160)
"""A round corner turns by no more."""


@dataclass(frozen=True)
class Joint:
    """Where two pieces meet, pixels, and whether they run on into each other."""

    place: FloatArray
    smooth: bool


def without_tips(points: FloatArray, pieces: Sequence[EdgePiece]) -> list[EdgePiece]:
    """Without the short pieces that are nothing but the rounding off of a sharp corner."""
    kept = list(pieces)
    at = 0
    while at < len(kept) and len(kept) > 3:
        for many in (2, 1):
            run = [kept[(at + n) % len(kept)] for n in range(many)]
            before, after = kept[at - 1], kept[(at + many) % len(kept)]
            if len(kept) - many >= 3 and _is_tip(points, run, before, after):
                gone = {id(one) for one in run}
                kept = [one for one in kept if id(one) not in gone]
                break
        else:
            at += 1
    return kept


def _is_tip(points: FloatArray, run: Sequence[EdgePiece], before: EdgePiece, after: EdgePiece) -> bool:
    lengths = [(one.last - one.first) * STEP for one in run]
    if max(lengths) > SHORT or sum(lengths) > SHORTS:
        return False
    if min(before.last - before.first, after.last - after.first) * STEP < max(lengths):
        return False
    n = len(points)
    part = points[np.arange(run[0].first, run[0].first + round(sum(lengths) / STEP) + 1) % n]
    spot = part[len(part) // 2]
    found = crossing(before, after, spot, 2 * CORNER_PIXELS)
    if found is None:
        return False
    turn = abs(_turn(way(before, part[0], points), way(after, part[-1], points)))
    if turn < SMOOTH:
        return False
    return float(np.hypot(*(part - found).T).min()) < LENIENT * tip_depth(turn) + MORE


def tip_depth(turn: float) -> float:
    """How far a scan rounds off a corner at which an outline turns by so much, pixels."""
    return TIP / math.tan(max(math.pi - turn, 0.25) / 2)


def joint_of(points: FloatArray, before: EdgePiece, after: EdgePiece) -> Joint:
    """Where two pieces that follow each other meet."""
    n = len(points)
    gap = (after.first - before.last) % n
    spot = points[(before.last + gap // 2) % n]
    angle = abs(_turn(way(before, spot, points), way(after, spot, points)))
    lines = not (before.is_arc or after.is_arc)
    smooth = angle <= SMOOTH and not lines and gap == 0
    if not smooth:
        found = crossing(before, after, spot, CORNER_PIXELS + 2 * tip_depth(angle) + gap * STEP / 2)
        if found is not None:
            return Joint(found, False)
    feet = [foot(piece, spot) for piece in (before, after)]
    return Joint(np.asarray((feet[0] + feet[1]) / 2, float), smooth)


def _turn(one: FloatArray, other: FloatArray) -> float:
    return math.remainder(math.atan2(other[1], other[0]) - math.atan2(one[1], one[0]), math.tau)


def way(piece: EdgePiece, spot: FloatArray, points: FloatArray) -> FloatArray:
    """The direction of a piece at a place beside it."""
    if not piece.is_arc:
        return piece.along
    away = spot - piece.middle
    found = np.array([-away[1], away[0]])
    return found if piece.turns_left else -found


def crossing(before: EdgePiece, after: EdgePiece, spot: FloatArray, reach: float) -> FloatArray | None:
    """Where two pieces cross within reach of a place; None where they do not."""
    near = [one for one in _crossings(before, after) if math.dist(one, spot) < reach]
    return min(near, key=lambda one: math.dist(one, spot)) if near else None


def _crossings(one: EdgePiece, other: EdgePiece) -> list[FloatArray]:
    if not one.is_arc and not other.is_arc:
        matrix = np.array([one.normal, other.normal])
        if abs(np.linalg.det(matrix)) < 0.02:
            return []
        return [np.linalg.solve(matrix, np.array([one.normal @ one.mean, other.normal @ other.mean]))]
    if one.is_arc and other.is_arc:
        apart = other.middle - one.middle
        far = float(np.hypot(*apart))
        if far < 1e-9:
            return []
        along = (far**2 + one.radius**2 - other.radius**2) / (2 * far)
        unit = apart / far
        base, across, square = one.middle + along * unit, np.array([-unit[1], unit[0]]), one.radius**2 - along**2
    else:
        arc, line = (one, other) if one.is_arc else (other, one)
        off = float(line.normal @ (line.mean - arc.middle))
        base, across, square = arc.middle + off * line.normal, line.along, arc.radius**2 - off**2
    if square < 0:
        return []
    return [np.asarray(base + sign * math.sqrt(square) * across, float) for sign in (1.0, -1.0)]


def foot(piece: EdgePiece, spot: FloatArray) -> FloatArray:
    """The place on a piece nearest to another."""
    if piece.is_arc:
        away = spot - piece.middle
        return np.asarray(piece.middle + away * (piece.radius / max(float(np.hypot(*away)), 1e-9)), float)
    return np.asarray(spot - piece.normal * float(piece.normal @ (spot - piece.mean)), float)


def round_corner(
    points: FloatArray, before: EdgePiece, arc: EdgePiece, after: EdgePiece
) -> tuple[FloatArray, float] | None:
    """Where two lines cross between which an arc runs from one into the other, and the radius there; None where it is
    no such arc."""
    if before.is_arc or after.is_arc or not arc.is_arc:
        return None
    turn = _turn(before.along, after.along)
    if not SMOOTH < abs(turn) < MOST_ROUND or (turn > 0) != arc.turns_left:
        return None
    # An arc that turns by much less than its lines do between them does not run into both.
    n = len(points)
    if not 0.4 < (arc.last - arc.first) * STEP / arc.radius / abs(turn) < 1.8:
        return None
    place = _crossings(before, after)[0]
    half = (math.pi - abs(turn)) / 2
    inward = after.along - before.along
    inward = inward / max(float(np.hypot(*inward)), 1e-9)
    part = points[np.arange(arc.first + 2, arc.last - 1) % n] - place
    if len(part) < 3:
        return None
    # The middle lies radius / sin(half) inward; points are one radius away from it.
    radius = arc.radius
    for _ in range(12):
        away = part - inward * (radius / math.sin(half))
        far = np.maximum(np.hypot(*away.T), 1e-9)
        slope = -(away @ inward) / far / math.sin(half) - 1.0
        radius -= float(slope @ (far - radius)) / max(float(slope @ slope), 1e-12)
    return (place, radius) if 0.4 * arc.radius < radius < 2.0 * arc.radius else None
