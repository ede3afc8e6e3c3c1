"""Stretches of a curve, and what is added before and after it. Pure; mm, radians."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

import numpy as np

from decalgen.core.curves.clothoid import Clothoid, arc, steps, straight
from decalgen.core.curves.curve import Curve
from decalgen.core.geometry import Segment

NOTHING = 1e-9
"""A shorter piece is none, mm."""


def stretch(curve: Curve, start: float, end: float) -> Curve:
    """What lies from ``start`` to ``end`` mm along a curve; on a closed one ``end`` may lie before ``start``, and what
    is left is open."""
    if curve.closed and end <= start:
        return Curve((*stretch(curve, start, curve.length).pieces, *stretch(curve, 0.0, end).pieces))
    found = []
    for piece, begin in zip(curve.pieces, curve.starts.tolist(), strict=False):
        a, b = max(0.0, start - begin), min(piece.length, end - begin)
        if b - a > NOTHING:
            found.append(_part(piece, a, b))
    return Curve(tuple(found))


def _part(piece: Clothoid, a: float, b: float) -> Clothoid:
    if a <= NOTHING and b >= piece.length - NOTHING:
        return piece
    change = (piece.end_curvature - piece.start_curvature) / piece.length
    x, y = (steps(np.array([piece]), np.array([a]))[0] + piece[:2]).tolist()
    way = piece.direction + piece.start_curvature * a + change * a * a / 2
    return Clothoid(x, y, way, piece.start_curvature + change * a, piece.start_curvature + change * b, b - a)


def extended(curve: Curve, before: float, after: float) -> Curve:
    """An open curve that goes on straight at its ends, ``before`` and ``after`` mm."""
    first, last = curve.pieces[0], curve.pieces[-1]
    pieces = list(curve.pieces)
    if before > NOTHING:
        x, y = first.x - before * math.cos(first.direction), first.y - before * math.sin(first.direction)
        pieces.insert(0, Clothoid(x, y, first.direction, 0.0, 0.0, before))
    if after > NOTHING:
        pieces.append(Clothoid(*curve.end, last.direction + last.turn, 0.0, 0.0, after))
    return Curve(tuple(pieces))


def led_in(curve: Curve, before: float, after: float) -> Curve:
    """An open curve with a lead-in of ``before`` mm and a lead-out of ``after`` mm: clothoids that come from straight
    into its bend."""
    first, last = curve.pieces[0], curve.pieces[-1]
    pieces = list(curve.pieces)
    if before > NOTHING:
        way = first.direction - first.start_curvature * before / 2
        row = Clothoid(0.0, 0.0, way, 0.0, first.start_curvature, before)
        dx, dy = steps(np.array([row]), np.array([before]))[0].tolist()
        pieces.insert(0, row._replace(x=first.x - dx, y=first.y - dy))
    if after > NOTHING:
        pieces.append(Clothoid(*curve.end, last.direction + last.turn, last.end_curvature, 0.0, after))
    return Curve(tuple(pieces))


def along_segments(segments: Iterable[Segment], closed: bool = False) -> Curve:
    """Straight lines and arcs that follow each other, as a curve."""
    pieces = []
    for one in segments:
        if math.dist(one.start, one.end) <= NOTHING:
            continue
        if one.centre is None:
            pieces.append(straight(one.start, one.end))
        else:
            pieces.append(arc(one.start, one.end, one.centre, one.anticlockwise))
    return Curve(_merged(pieces), closed)


def _merged(pieces: Sequence[Clothoid]) -> tuple[Clothoid, ...]:
    """Straight lines in one line as one: what was developed or cut comes in many."""
    found: list[Clothoid] = []
    for piece in pieces:
        last = found[-1] if found else None
        flat = last is not None and not any((last.start_curvature, piece.start_curvature))
        if last is not None and flat and abs(math.remainder(piece.direction - last.direction, math.tau)) < NOTHING:
            found[-1] = last._replace(length=last.length + piece.length)
        else:
            found.append(piece)
    return tuple(found)
