"""Crosses found in remains: upright or as a saltire, on a field or free-standing, with an edge round them or without.
Pure; mm, radians."""

from __future__ import annotations

import itertools
import math
from functools import partial

import numpy as np

from decalgen.core.arrays import FloatArray
from decalgen.core.values import dataclass
from decalgen.scan.colours import WHITE, alike, ink_of
from decalgen.scan.frames import PatternFrame
from decalgen.scan.light import lab_of
from decalgen.scan.lines import FoundLine, families, lines_of
from decalgen.scan.outlines import (
    FigureEdges,
    LaidFigure,
    box_edges,
    clipped,
    in_frame,
    is_promising,
    joined,
    lay,
    lines_between,
    middle_of,
)
from decalgen.scan.remains import FoundValue, PatternFit, Remains, plain_inks, turned
from decalgen.scan.slanting import frame_values, inside_frame, spots_in

MOST_LINES = 7
MOST_TRIED = 4
MOST_WIDTHS = 2
LONE = 0.2
"""What one edge alone counts for, beside a pair."""
SAME_MM = 0.15
"""Both arms are as wide, and an edge round them as wide on all sides, to this, before they are fitted."""
LEAST_SHARE = 0.3
LEAST_PART = 0.12
"""So many of all dots run along a diagonal."""
EVEN = 0.75
"""Of what shows ink in the arms, so much is of theirs."""
NARROW = (0.04, 0.7)
"""The arms' width lies between these shares of the shorter side."""
RIM = 0.85
"""How much of a width is looked at for its ink."""
SIDES = 4
ARM_EDGES = 4
LEAST_ARM = 0.25
"""Of each arm so much of its edges is there: one alone is a stripe."""
ASKEW = math.radians(8)


@dataclass(frozen=True)
class _Sort:
    """``field``: it lies on one; ``saltire``: its arms run from corner to corner; ``edged``: an edge runs round it."""

    field: bool
    saltire: bool = False
    edged: bool = False


def fit_cross(remains: Remains, frame: PatternFrame) -> PatternFit | None:
    """None where there is no cross in a frame."""
    found = [_upright(remains, frame), _saltire(remains, frame)]
    return max((one for one in found if one is not None), key=lambda one: one.score, default=None)


def _upright(remains: Remains, frame: PatternFrame) -> PatternFit | None:
    x, y = turned(middle_of(remains)[None], frame.turn)[0]
    pairs: list[list[_Pair]] = []
    lone: list[list[float]] = []
    for family, middle, sides in zip(
        families(remains, frame.turn), (x, y), (frame.box[:2], frame.box[2:]), strict=True
    ):
        lines = [one for one in lines_of(family, remains) if not one.thin]
        inner = [one for one in lines if all(abs(one.place - middle - side) > 4 * remains.pixel for side in sides)]
        lone.append([one.place - middle for one in inner])
        pairs.append(_pairs(inner, middle))
    _add_lone(pairs, lone)
    best: PatternFit | None = None
    crossed = [(one, two) for one, two in itertools.product(*pairs) if abs(one[1] - two[1]) < SAME_MM]
    crossed.sort(key=lambda both: -(both[0][2] + both[1][2]))
    for one, two in crossed[:MOST_TRIED]:
        round_ = next((b[0][1] / 2 - one[1] / 2 for b in crossed if _is_round(b, (one, two))), 0.0)
        start = np.array([frame.turn, *frame.box, one[0], two[0], (one[1] + two[1]) / 2, round_])
        for sort in (_Sort(True, edged=round_ > 0), _Sort(False)):
            made = _laid(remains, frame, start, sort)
            if made is not None and (best is None or made.score > best.score):
                best = made
    return best


_Pair = tuple[float, float, float]
"""The middle of two edges, how far apart they are, and how much of both is seen."""


def _pairs(lines: list[FoundLine], middle: float) -> list[_Pair]:
    most = sorted(lines, key=lambda one: -one.seen)[:MOST_LINES]
    return [
        ((a.place + b.place) / 2 - middle, abs(a.place - b.place), a.seen + b.seen)
        for a, b in itertools.combinations(most, 2)
    ]


def _add_lone(pairs: list[list[_Pair]], lone: list[list[float]]) -> None:
    """Pairs of which one edge is gone: as wide as a pair that is seen of the other arm."""
    whole = [sorted(one, key=lambda pair: -pair[2])[:MOST_WIDTHS] for one in pairs]
    for n in (0, 1):
        for place, (_, width, seen), side in itertools.product(lone[n], whole[1 - n], (0.5, -0.5)):
            pairs[n].append((place + side * width, width, LONE * seen))


def _is_round(outer: tuple[_Pair, _Pair], inner: tuple[_Pair, _Pair]) -> bool:
    """Whether two pairs of edges run as far round two others."""
    return all(
        abs(a[0] - b[0]) < SAME_MM and 2 * SAME_MM < a[1] - b[1] < b[1] for a, b in zip(outer, inner, strict=True)
    )


def _saltire(remains: Remains, frame: PatternFrame) -> PatternFit | None:
    """Of dots that run along a diagonal, how far they are from it tells the width of the arms."""
    normal = turned(remains.normal[remains.solid], frame.turn)
    frame = _completed(frame, normal)
    left, right, foot, head = frame.box
    at = turned(remains.at[remains.solid] - middle_of(remains), frame.turn) - ((left + right) / 2, (foot + head) / 2)
    long = math.hypot(right - left, head - foot)
    offs = []
    for side in (1.0, -1.0):
        across = np.array((-side * (head - foot), right - left)) / long
        along = np.abs(normal @ across) > math.cos(math.radians(6))
        offs.append(np.abs(at[along] @ across))
    off = np.concatenate(offs)
    off = off[off < NARROW[1] / 2 * min(right - left, head - foot)]
    if len(off) < max(40, LEAST_PART * len(normal)):
        return None
    step = remains.pixel / 2
    heaped = np.convolve(np.bincount((off / step).astype(int)).astype(float), np.ones(5), "same")
    peaks = [n for n in np.argsort(-heaped, kind="stable")[:60] if heaped[n] >= 0.4 * heaped.max()]
    first = peaks[0]
    other = next((n for n in peaks if abs(n - first) * step > SAME_MM), None)
    widths = [(first + 0.5) * step] + ([] if other is None else [(other + 0.5) * step])
    narrow = min(widths)
    best: PatternFit | None = None
    for edge in {0.0, max(widths) - narrow}:
        base = narrow if edge else widths[0]
        start = np.array([frame.turn, *frame.box, 0.0, 0.0, 2 * base, edge])
        made = _laid(remains, frame, start, _Sort(True, True, edge > 0))
        if made is not None and (best is None or made.score > best.score):
            best = made
    return best


def _completed(frame: PatternFrame, normal: FloatArray) -> PatternFrame:
    """A frame of which one side is torn off, with that side by the slope of the diagonals: most slanted edges run along
    them."""
    if sum(frame.sure) != 3:
        return frame
    slope = np.arctan2(np.abs(normal[:, 0]), np.abs(normal[:, 1]))
    slope = slope[(slope > ASKEW) & (slope < math.pi / 2 - ASKEW)]
    if len(slope) < 40:
        return frame
    heaped = np.convolve(np.histogram(slope, 180, (0.0, math.pi / 2))[0], np.ones(3), "same")
    tangent = math.tan((int(heaped.argmax()) + 0.5) / 180 * math.pi / 2)
    lost = frame.sure.index(False)
    width, height = frame.size
    box = list(frame.box)
    long = height / tangent if lost < 2 else width * tangent
    box[lost] = box[lost - 1] + long if lost % 2 else box[lost + 1] - long
    return PatternFrame(frame.turn, (box[0], box[1], box[2], box[3]), (True, True, True, True))


def _figure(values: FloatArray, sort: _Sort) -> FigureEdges:
    """The sides of the frame, or the ends of the arms, then the edges of the arms, and of what runs round them; by
    turn, left, right, foot, head, the arms' middle, their width, and that of the edge round them."""
    turn, left, right, foot, head, x, y, arm, edge = values
    box = (left, right, foot, head)
    if sort.saltire:
        x, y = (left + right) / 2, (foot + head) / 2
        ways = np.array(((right - left, head - foot), (right - left, foot - head)))
        ways /= math.hypot(right - left, head - foot)
    else:
        ways = np.eye(2)
    middle = np.array((x, y))
    halves = [arm / 2, arm / 2 + edge] if sort.edged else [arm / 2]
    sides = box_edges(box) if sort.field else lines_between(np.array(_ends(box, (x, y), arm / 2)))
    arms = [_arms(middle, ways, half, box) for half in halves]
    return joined(sides, *arms, turn=float(turn))


_Box = tuple[float, float, float, float]


def _ends(box: _Box, middle: tuple[float, float], half: float) -> list[list[tuple[float, float]]]:
    """The ends of upright arms, in the order of the sides of a frame."""
    (left, right, foot, head), (x, y) = box, middle
    return [
        [(left, y - half), (left, y + half)],
        [(right, y - half), (right, y + half)],
        [(x - half, foot), (x + half, foot)],
        [(x - half, head), (x + half, head)],
    ]


def _arms(middle: FloatArray, ways: FloatArray, half: float, box: _Box) -> FigureEdges:
    """The edges of two arms, as far as they are in a box and not in the other arm."""
    left_of = np.column_stack((-ways[:, 1], ways[:, 0]))
    parts = []
    for own, other in ((0, 1), (1, 0)):
        at = np.array([middle + side * half * left_of[own] for side in (1.0, -1.0)])
        way = np.repeat(ways[own][None], 2, axis=0)
        whole = clipped(at, way, box)
        step = float(ways[own] @ left_of[other])
        place = (at - middle) @ left_of[other]
        both = np.stack(((half - place) / step, (-half - place) / step))
        parts.append(FigureEdges(at, way, whole.low, np.minimum(both.min(axis=0), whole.high)))
        parts.append(FigureEdges(at, way, np.maximum(both.max(axis=0), whole.low), whole.high))
    return joined(*parts)


def _laid(remains: Remains, frame: PatternFrame, start: FloatArray, sort: _Sort) -> PatternFit | None:
    short = min(frame.box[1] - frame.box[0], frame.box[3] - frame.box[2])
    if not NARROW[0] * short < start[7] < NARROW[1] * short:
        return None
    firm = [*([5, 6] if sort.saltire else []), *([] if sort.edged else [8])]
    firm += [n + 1 for n in range(4) if not frame.sure[n]]
    figure = partial(_figure, sort=sort)
    if not is_promising(remains, figure(start), 4 * remains.pixel, remains.solid):
        return None
    laid = lay(remains, figure, start, 4 * remains.pixel, firm)
    arm, edge = laid.values[7:]
    if not NARROW[0] * short < arm < NARROW[1] * short or edge < 0 or laid.values[2] <= laid.values[1]:
        return None
    share = laid.share_of(np.arange(SIDES, len(laid.edges)))
    inks = _inks(remains, laid, sort)
    arms = [laid.share_of(np.arange(first, first + ARM_EDGES)) for first in (SIDES, SIDES + ARM_EDGES)]
    if inks is None or share < LEAST_SHARE or min(arms) < LEAST_ARM:
        return None
    return _told(remains, laid, sort, frame, inks)


def _apart(laid: LaidFigure, sort: _Sort, spots: FloatArray) -> FloatArray:
    """How far places in the axes of the frame are from the nearer arm's middle line."""
    _, left, right, foot, head, x, y, _, _ = laid.values
    if not sort.saltire:
        return np.asarray(np.abs(spots - (x, y)).min(axis=1), float)
    long = math.hypot(right - left, head - foot)
    off = spots - ((left + right) / 2, (foot + head) / 2)
    ways = [(-side * (head - foot), right - left) for side in (1.0, -1.0)]
    return np.asarray(np.abs([off @ way / long for way in ways]).min(axis=0), float)


def _inks(remains: Remains, laid: LaidFigure, sort: _Sort) -> list[FloatArray | None] | None:
    """The inks of the arms, of what runs round them, of the field (None: bare); None where they do not differ."""
    spots = spots_in(laid)
    apart = _apart(laid, sort, spots)
    half, edge = laid.values[7] / 2, laid.values[8]
    light = remains.calm_light_at(laid.middle + in_frame(spots, float(laid.values[0])))
    slack = (1 - RIM) * half
    places = [apart < half - slack]
    if sort.edged:
        places.append(np.abs(apart - half - edge / 2) < RIM * edge / 2)
    places.append(apart > half + edge + slack)
    found = [ink_of(light[one], remains.ground) if one.any() else None for one in places]
    if found[0] is None or any(alike(a, b) for a, b in itertools.pairwise(found)):
        return None
    if sort.field == (found[-1] is None) or (sort.edged and found[1] is None):
        return None
    colours = [(n, lab_of(one)) for n, one in enumerate(found) if one is not None]
    known = np.array([*(one for _, one in colours), lab_of(remains.ground), lab_of(WHITE)])
    nearest = np.linalg.norm(lab_of(light)[:, None] - known[None], axis=2).argmin(axis=1)
    for n, (part, _) in enumerate(colours):
        inked = places[part] & (nearest < len(colours))
        if not inked.any() or float((nearest[inked] == n).mean()) < EVEN:
            return None
    return found


def _told(
    remains: Remains, laid: LaidFigure, sort: _Sort, frame: PatternFrame, inks: list[FloatArray | None]
) -> PatternFit:
    share = laid.share_of(np.arange(SIDES, len(laid.edges)))
    scale = remains.scale
    relative = max(scale.across, scale.up)
    values = frame_values(remains, laid, frame.sure)
    told: list[FoundValue] = [laid.found("arm width", lambda v: float(v[7]), share, relative)]
    if not sort.saltire:
        told.append(laid.found("centre x", lambda v: float(v[5] - v[1]), share, scale.across, not frame.sure[0]))
        told.append(laid.found("centre y", lambda v: float(v[6] - v[3]), share, scale.up, not frame.sure[2]))
    if sort.edged:
        told.append(laid.found("edge width", lambda v: float(v[8]), share, relative))
    values[2:2] = told
    score = laid.score(remains, inside_frame(remains, laid))
    plain = [one for one in inks if one is not None]
    parts = [None if one is None else n for n, one in enumerate(inks)]
    if not sort.edged:
        parts.insert(1, None)
    points = "corners" if sort.saltire else "sides"
    return PatternFit("cross", tuple(values), plain_inks(plain), tuple(parts), score, edges=laid.drawn, points=points)
