"""Chevrons that fill a rectangle, found in remains: which way they point, their slant, width, pitch. Pure; mm,
radians."""

from __future__ import annotations

import math
from functools import partial

import numpy as np

from decalgen.core.arrays import FloatArray
from decalgen.scan.frames import PatternFrame
from decalgen.scan.outlines import FigureEdges, LaidFigure, box_edges, clipped, in_frame, is_promising, joined, lay
from decalgen.scan.remains import PatternFit, Remains, plain_inks
from decalgen.scan.slanting import (
    FEW_EDGES,
    SlantDots,
    dots_in,
    doubted,
    frame_values,
    framed_score,
    inks_in,
    phase_of,
    sizes_told,
    slant_of,
    spots_in,
    strength_of,
)

MOST_BANDS = 120
LEAST_SHARE = 0.25
REACH = 0.2
"""The first guess is right to this share of the narrower of band and gap."""
SIDES = 4
MIDDLES = 40
STEEP = (math.tan(math.radians(80)), math.tan(math.radians(10)))
"""How far an arm falls back for each mm outward lies between the second and the first."""


def fit_chevrons(remains: Remains, frame: PatternFrame, upright: bool) -> PatternFit | None:
    """``upright``: they point up or down, else left or right. None where there are none in a frame."""
    dots = dots_in(remains, frame)
    if dots is None:
        return None
    frame = _balanced(frame, dots, remains, upright)
    slant = slant_of(_folded(dots, frame, upright), remains)
    if slant is None or abs(math.sin(slant.way)) < 1e-3:
        return None
    lean = -math.cos(slant.way) / math.sin(slant.way)
    if not STEEP[1] <= abs(lean) <= STEEP[0]:
        return None
    sine = math.sin(slant.way)
    first, last = sorted((-slant.start / sine, -(slant.start + slant.width) / sine))
    pitch = slant.pitch / abs(sine)
    low, high = frame.box[2:] if upright else frame.box[:2]
    across = np.diff(frame.box[:2] if upright else frame.box[2:])[0]
    reach = abs(lean) * across / 2
    numbers = np.arange(math.floor((low - reach - first) / pitch) - 1, math.ceil((high + reach - first) / pitch) + 2)
    if len(numbers) > MOST_BANDS:
        return None
    figure = partial(_figure, numbers=numbers, upright=upright)
    start = np.array([frame.turn, *frame.box, lean, pitch, first, last - first])
    firm = [n + 1 for n in range(4) if not frame.sure[n]]
    near = REACH * min(slant.width, slant.pitch - slant.width)
    if not is_promising(remains, figure(start), near, remains.solid):
        return None
    laid = lay(remains, figure, start, min(near, 6 * remains.pixel), firm)
    return _told(remains, laid, len(numbers), frame.sure, upright)


def _balanced(frame: PatternFrame, dots: SlantDots, remains: Remains, upright: bool) -> PatternFrame:
    """A frame of which one end of the arms is torn off, with that side as far from where the arms meet as the other:
    the middle at which those of both halves are most in phase."""
    first = 0 if upright else 2
    if sum(frame.sure[first : first + 2]) != 1:
        return frame
    lost, kept = (first, first + 1) if frame.sure[first + 1] else (first + 1, first)
    few = SlantDots(*(getattr(dots, name)[:: max(1, len(dots.at) // 800)] for name in ("at", "normal", "change")))
    best = (0.0, frame)
    for share in np.linspace(0.35, 0.98, MIDDLES):
        box = list(frame.box)
        box[lost] = box[kept] + 2 * share * (box[lost] - box[kept])
        sure = tuple(n == lost or one for n, one in enumerate(frame.sure))
        tried = PatternFrame(frame.turn, (box[0], box[1], box[2], box[3]), (sure[0], sure[1], sure[2], sure[3]))
        folded = _folded(few, tried, upright)
        best = max(best, (strength_of(folded, remains), tried), key=lambda one: one[0])
    return best[1]


def _swapped(places: FloatArray, upright: bool) -> FloatArray:
    """From axes of the frame to along and across the way they point, and back."""
    return np.asarray(places[:, ::-1] if upright else places, float)


def _folded(dots: SlantDots, frame: PatternFrame, upright: bool) -> SlantDots:
    """The dots along and across, those of one half laid over the other's."""
    at, normal = _swapped(dots.at, upright).copy(), _swapped(dots.normal, upright).copy()
    middle = sum(frame.box[:2] if upright else frame.box[2:]) / 2
    side = np.where(at[:, 1] < middle, -1.0, 1.0)
    at[:, 1] = side * (at[:, 1] - middle)
    normal[:, 1] *= side
    return SlantDots(at, normal, dots.change)


def _figure(values: FloatArray, numbers: FloatArray, upright: bool) -> FigureEdges:
    """The sides of the frame, then of each band its back and its front on one arm, then on the other, by turn, left,
    right, foot, head, lean, pitch, start and width along the way they point."""
    turn, left, right, foot, head, lean, pitch, start, width = values
    box = (left, right, foot, head)
    along, across = ((foot, head), (left, right)) if upright else ((left, right), (foot, head))
    middle = (across[0] + across[1]) / 2
    tips = np.concatenate((start + numbers * pitch, start + width + numbers * pitch))
    at = np.column_stack((tips, np.full(len(tips), middle)))
    arms = []
    for side, half in ((1.0, (middle, across[1])), (-1.0, (across[0], middle))):
        way = np.array((-lean, side)) / math.hypot(lean, 1.0)
        arm = clipped(at, np.repeat(way[None], len(at), axis=0), (*along, *half))
        arms.append(FigureEdges(_swapped(arm.at, upright), _swapped(arm.way, upright), arm.low, arm.high))
    return joined(box_edges(box), *arms, turn=float(turn))


def _told(
    remains: Remains, laid: LaidFigure, count: int, sure: tuple[bool, bool, bool, bool], upright: bool
) -> PatternFit | None:
    turn, left, right, foot, head, lean, pitch, start, width = laid.values
    if not (0 < width < pitch and right > left and head > foot):
        return None
    spots = spots_in(laid)
    middle = (left + right) / 2 if upright else (foot + head) / 2
    along, across = _swapped(spots, upright).T
    phase = phase_of(along + lean * np.abs(across - middle) - start, float(width), float(pitch))
    inks = inks_in(remains, phase, laid.middle + in_frame(spots, float(turn)))
    edges = np.arange(SIDES, SIDES + 4 * count)
    share = laid.share_of(edges)
    if inks is None or share < LEAST_SHARE:
        return None
    score = framed_score(remains, laid, inks)
    relative = max(remains.scale.across, remains.scale.up)
    ahead = bool(lean > 0)
    far = (3 if ahead else 4) if upright else (1 if ahead else 2)

    def own(v: FloatArray) -> float:
        return inks.width_of(float(v[8]), float(v[6])) / math.hypot(1.0, v[5])

    def back(v: FloatArray) -> float:
        """The back of a band, from the back of the frame on."""
        low = inks.start_of(float(v[7]), float(v[8]))
        if ahead:
            return low - float(v[far])
        return float(v[far]) - low - inks.width_of(float(v[8]), float(v[6]))

    def gap(v: FloatArray) -> float:
        return float(v[6] / math.hypot(1.0, v[5])) - own(v)

    told = sizes_told(laid, count, arms=2).by(inks)
    turns = math.floor(back(laid.values) / pitch + 0.5)
    values = frame_values(remains, laid, sure)
    values[2:2] = [
        doubted(laid.found("stripe width", own, share, relative), told.width, FEW_EDGES),
        doubted(laid.found("gap", gap, share, relative), told.between, FEW_EDGES),
        doubted(laid.found("shift", lambda v: back(v) - turns * float(v[6]), share), sure[far - 1]),
        laid.found_angle("arm angle", lambda v: math.atan2(1.0, abs(float(v[5]))), share),
    ]
    points = ("up" if ahead else "down") if upright else ("right" if ahead else "left")
    return PatternFit("chevrons", tuple(values), plain_inks(inks.colours), (), score, upright, laid.drawn, points)
