"""Slanted stripes that fill a rectangle, found in remains: their slant, width, pitch and place. Pure; mm,
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
    Slant,
    dots_in,
    doubted,
    frame_values,
    framed_score,
    inks_in,
    phase_of,
    sizes_told,
    slant_of,
    spots_in,
)

MOST_STRIPES = 120
LEAST_SHARE = 0.25
REACH = 0.2
"""The first guess is right to this share of the narrower of stripe and gap."""
SIDES = 4
"""The sides of the frame are the first edges of the figure."""


def fit_slanted(remains: Remains, frame: PatternFrame) -> PatternFit | None:
    """None where no equal stripes run at a slant to a frame."""
    dots = dots_in(remains, frame)
    slant = None if dots is None else slant_of(dots, remains)
    if slant is None:
        return None
    if not 0 <= slant.way < math.pi:
        # The same stripes, their way turned round.
        slant = Slant(slant.way % math.pi, slant.pitch, -slant.start - slant.width, slant.width)
    corners = np.array([(x, y) for x in frame.box[:2] for y in frame.box[2:]])
    across = corners @ (-math.sin(slant.way), math.cos(slant.way))
    numbers = np.arange(
        math.floor((across.min() - slant.start) / slant.pitch) - 1,
        math.ceil((across.max() - slant.start) / slant.pitch) + 2,
    )
    if len(numbers) > MOST_STRIPES:
        return None
    figure = partial(_figure, numbers=numbers)
    start = np.array([frame.turn, *frame.box, slant.way, slant.pitch, slant.start, slant.width])
    firm = [6] if _seen(figure(start), numbers)[0] < 2 else []
    firm += [n + 1 for n in range(4) if not frame.sure[n]]
    reach = REACH * min(slant.width, slant.pitch - slant.width)
    if not is_promising(remains, figure(start), reach, remains.solid):
        return None
    laid = lay(remains, figure, start, min(reach, 6 * remains.pixel), firm)
    return _told(remains, laid, len(numbers), frame.sure)


def _figure(values: FloatArray, numbers: FloatArray) -> FigureEdges:
    """The sides of the frame, then both edges of each stripe, by turn, left, right, foot, head, way, pitch, start and
    width."""
    turn, left, right, foot, head, way, pitch, start, width = values
    box = (left, right, foot, head)
    along, left_of = np.array((math.cos(way), math.sin(way))), np.array((-math.sin(way), math.cos(way)))
    across = np.concatenate((start + numbers * pitch, start + width + numbers * pitch))
    lines = clipped(across[:, None] * left_of, np.repeat(along[None], len(across), axis=0), box)
    return joined(box_edges(box), lines, turn=float(turn))


def _seen(edges: FigureEdges, numbers: FloatArray) -> tuple[int, int]:
    """How many starts and how many ends of stripes are in the frame."""
    there = edges.length[SIDES:] > 0
    return int(there[: len(numbers)].sum()), int(there[len(numbers) :].sum())


def _told(remains: Remains, laid: LaidFigure, count: int, sure: tuple[bool, bool, bool, bool]) -> PatternFit | None:
    turn, left, right, foot, head, way, pitch, start, width = laid.values
    if not (0 < width < pitch and right > left and head > foot):
        return None
    spots = spots_in(laid)
    phase = phase_of(spots @ (-math.sin(way), math.cos(way)) - start, float(width), float(pitch))
    inks = inks_in(remains, phase, laid.middle + in_frame(spots, float(turn)))
    if inks is None:
        return None
    edges = np.arange(SIDES, SIDES + 2 * count)
    share = laid.share_of(edges)
    if share < LEAST_SHARE:
        return None
    score = framed_score(remains, laid, inks)
    relative = max(remains.scale.across, remains.scale.up)
    values = frame_values(remains, laid, sure)

    def own(v: FloatArray) -> float:
        return inks.width_of(float(v[8]), float(v[6]))

    def middle(v: FloatArray) -> float:
        """From the middle of the frame to the middle of a stripe, to the left of its way."""
        low = inks.start_of(float(v[7]), float(v[8]))
        off = (v[1] + v[2]) * -math.sin(v[5]) + (v[3] + v[4]) * math.cos(v[5])
        return float(low + own(v) / 2 - off / 2)

    told = sizes_told(laid, count).by(inks)
    turns = round(middle(laid.values) / pitch)
    values[2:2] = [
        doubted(laid.found("stripe width", own, share, relative), told.width, FEW_EDGES),
        doubted(laid.found("pitch", lambda v: float(v[6]), share, relative), told.pitch, FEW_EDGES),
        doubted(laid.found("shift", lambda v: middle(v) - turns * float(v[6]), share), all(sure)),
        laid.found_angle("stripe angle", lambda v: float(v[5]) % math.pi, share),
    ]
    return PatternFit("slanted stripes", tuple(values), plain_inks(inks.colours), (), score, edges=laid.drawn)
