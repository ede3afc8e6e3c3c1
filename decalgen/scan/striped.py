"""Stripes, bands and plain rectangles found in remains: their edges, widths and gaps, ends, corner radius. Pure; mm."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from decalgen.colour.spaces import Light
from decalgen.core.arrays import FloatArray
from decalgen.core.values import dataclass
from decalgen.scan.colours import WHITE, alike, ink_of
from decalgen.scan.light import lab_of
from decalgen.scan.lines import OUTER_PIXELS, FoundLine, LineFamily, families, is_ragged, lines_of, outermost_line
from decalgen.scan.remains import (
    ALIGNED,
    THIN_MM,
    FitEdge,
    FoundValue,
    PatternFit,
    Remains,
    covered,
    fit_edge,
    little_left,
    plain_inks,
    turned,
)
from decalgen.scan.rounded import corner_radius

NEAR_EDGE_MM = 0.6
"""What is this near to an edge is beside it."""
BEYOND = 0.15
"""Where ink shows beyond the outermost edge over this share of it, that is not the end of the pattern."""
MOST_BANDS = 60
SPAN_RIM_MM = 0.8
"""How far beyond the edges ink is looked for."""
_IN = (0.25, 0.5, 0.75)
"""Where in a stripe."""
SCRATCH_BLUR_PIXELS = 1.5
"""A scratch looks so much wider than it is."""


Placer = Callable[[FloatArray, FloatArray], FloatArray]
"""From places across and along the stripes to mm."""


@dataclass(frozen=True)
class _Strip:
    """A band from one edge to the next, in its ink (linear), None: the ground or torn paper."""

    low: FoundLine
    high: FoundLine
    ink: FloatArray | None


@dataclass(frozen=True)
class _Laid:
    """A striped rectangle in axes of its own: the edges across the stripes, the ends along them, where they were
    found (False: only as far as ink is seen)."""

    strips: tuple[_Strip, ...]
    ends: tuple[FoundLine, FoundLine]
    sure: tuple[bool, bool, bool, bool]
    """Foot and head across, then start and end along."""
    upright: bool
    angle: float

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Across from and to, along from and to."""
        return self.strips[0].low.place, self.strips[-1].high.place, self.ends[0].place, self.ends[1].place


def fit_striped(remains: Remains, angle: float, upright: bool) -> PatternFit | None:
    """``upright``: with upright stripes, else level ones. None where there are no two parallel edges."""
    laid = _laid(remains, angle, upright)
    return None if laid is None else _told(remains, laid)


def _laid(remains: Remains, angle: float, upright: bool) -> _Laid | None:
    across, along = _families(remains, angle, upright)
    place = _placer(angle, upright)
    lines = _with_outermost(remains, across, lines_of(across, remains), place)
    if not 2 <= len(lines) <= MOST_BANDS:
        return None
    low, high = np.percentile(across.along, (1, 99))
    strips = _strips(remains, lines, (float(low), float(high)), place)
    if not strips:
        return None
    box = (strips[0].low.place, strips[-1].high.place)
    ends = _ends(remains, along, box, _ink_span(remains, strips, (float(low), float(high)), place))
    sure = (
        not _ink_beyond(remains, strips[0].low, -1, place) and not is_ragged(strips[0].low, float(high - low)),
        not _ink_beyond(remains, strips[-1].high, 1, place) and not is_ragged(strips[-1].high, float(high - low)),
        ends[0].seen > 0,
        ends[1].seen > 0,
    )
    return _Laid(tuple(strips), ends, sure, upright, angle)


def _families(remains: Remains, angle: float, upright: bool) -> tuple[LineFamily, LineFamily]:
    """The dots on the edges of the stripes, then those on their ends."""
    crossing, level = families(remains, angle)
    return (crossing, level) if upright else (level, crossing)


def _placer(angle: float, upright: bool) -> Placer:
    def place(across: FloatArray, along: FloatArray) -> FloatArray:
        both = np.stack((across, along) if upright else (along, across), axis=-1)
        return turned(both.reshape(-1, 2), -angle).reshape(both.shape)

    return place


def _strips(remains: Remains, lines: list[FoundLine], span: tuple[float, float], place: Placer) -> list[_Strip]:
    """The bands between edges; where two neighbours look the same, the edge between them goes."""
    along = np.linspace(*span, 160)

    @cache
    def between(low: float, high: float) -> tuple[FloatArray | None, FloatArray | None, FloatArray | None]:
        """The ink between two edges, and that beside each."""
        rim = min(0.3 * (high - low), 2 * remains.pixel)
        across = np.linspace(low + rim, high - rim, 9)
        light = remains.calm_light_at(place(*np.meshgrid(across, along, indexing="ij")))
        # Colours fade from one side to the other, so neighbours are compared where they meet.
        near = [across[across <= low + NEAR_EDGE_MM], across[across >= high - NEAR_EDGE_MM]]
        parts = (light, light[: max(1, len(near[0]))], light[-max(1, len(near[1])) :])
        whole, first, last = (ink_of(part.reshape(-1, 3), remains.ground) for part in parts)
        return whole, first, last

    while len(lines) >= 2:
        seen = [between(low.place, high.place) for low, high in pairwise(lines)]
        inks = [one[0] for one in seen]
        if inks[0] is None:
            lines = lines[1:]
            continue
        if inks[-1] is None:
            lines = lines[:-1]
            continue
        scratch = next((n for n in range(len(inks)) if _is_scratch(lines, inks, n, remains)), None)
        if scratch is not None:
            lines = _mended(lines, inks, scratch)
            continue
        same = [
            n for n in range(len(inks) - 1) if alike(inks[n], inks[n + 1]) or _meet_alike(seen[n][2], seen[n + 1][1])
        ]
        if not same:
            return [_Strip(lines[n], lines[n + 1], ink) for n, ink in enumerate(inks)]
        weakest = min(same, key=lambda n: lines[n + 1].seen)
        lines = [*lines[: weakest + 1], *lines[weakest + 2 :]]
    return []


def _meet_alike(one: FloatArray | None, other: FloatArray | None) -> bool:
    return one is not None and other is not None and alike(one, other)


def _is_scratch(lines: list[FoundLine], inks: list[FloatArray | None], n: int, remains: Remains) -> bool:
    """Whether a band is a thin line of which far less is seen than of others, or that is paler, towards paper, than
    what is beside it."""
    low, high = lines[n], lines[n + 1]
    if high.place - low.place > THIN_MM + SCRATCH_BLUR_PIXELS * remains.pixel:
        return False
    if max(low.seen, high.seen) < 0.6 * max(one.seen for one in lines):
        return True
    if not (low.thin and high.thin):
        return False
    own, beside = inks[n], next((inks[m] for m in (n - 1, n + 1) if 0 <= m < len(inks) and inks[m] is not None), None)
    if own is None or beside is None:
        return True
    change, paler = lab_of(own) - lab_of(beside), lab_of(WHITE) - lab_of(beside)
    return float(change @ paler) > 0.85 * float(np.linalg.norm(change) * np.linalg.norm(paler))


def _mended(lines: list[FoundLine], inks: list[FloatArray | None], n: int) -> list[FoundLine]:
    """Without a scratch: both its edges go where the same is on both its sides; else it runs along an edge, and the
    edge that is seen more stays."""
    inner = 0 < n < len(inks) - 1
    if inner and alike(inks[n - 1], inks[n + 1]):
        return [*lines[:n], *lines[n + 2 :]]
    weaker = n if lines[n].seen < lines[n + 1].seen else n + 1
    return [*lines[:weaker], *lines[weaker + 1 :]]


def _ends(
    remains: Remains, family: LineFamily, box: tuple[float, float], span: tuple[float, float]
) -> tuple[FoundLine, FoundLine]:
    """The two outermost edges square to the stripes, or how far ink is seen."""
    inside = (family.along > box[0] - remains.near) & (family.along < box[1] + remains.near)
    part = LineFamily(family.across[inside], family.along[inside], family.thin[inside])
    least = max(0.15 * (box[1] - box[0]), 6 * remains.pixel)
    lines = lines_of(part, remains, least)
    reach = 0.25 * (span[1] - span[0])
    found = []
    for end, way in ((span[0], 1), (span[1], -1)):
        near = [one for one in lines if way * (one.place - end) < reach and not is_ragged(one, box[1] - box[0])]
        outer = min(near, key=lambda one: way * one.place) if near else None
        far = outer is None or way * (outer.place - end) > max(0.3, 6 * remains.pixel)
        if far:
            outer = outermost_line(part, end, remains)
            far = outer is None
        found.append(FoundLine(end, 0.1, 0.0, *box) if far or outer is None else outer)
    return found[0], found[1]


def _with_outermost(remains: Remains, family: LineFamily, lines: list[FoundLine], place: Placer) -> list[FoundLine]:
    """With the edges where ink begins and ends, if little of them is left."""
    if len(family) < 12:
        return lines
    rim = np.array((-SPAN_RIM_MM, SPAN_RIM_MM))
    sides = [np.percentile(axis, (0.5, 99.5)) + rim for axis in (family.across, family.along)]
    across, along = (np.arange(low, high, 1.5 * remains.pixel) for low, high in sides)
    ink = remains.shows_ink(place(*np.meshgrid(across, along, indexing="ij")))
    rows = np.nonzero((ink[:, :-2] & ink[:, 1:-1] & ink[:, 2:]).any(axis=1))[0]
    if not len(rows):
        return lines
    for end in across[rows[[0, -1]]]:
        if any(abs(one.place - end) < 2 * OUTER_PIXELS * remains.pixel for one in lines):
            continue
        found = outermost_line(family, float(end), remains)
        if found is not None:
            lines = sorted((*lines, found), key=lambda one: one.place)
    return lines


def _ink_span(remains: Remains, strips: list[_Strip], span: tuple[float, float], place: Placer) -> tuple[float, float]:
    """From where to where along the stripes ink is seen; ``span``: about, by the edges."""
    across = np.array(
        [s.low.place + n * (s.high.place - s.low.place) for s in strips if s.ink is not None for n in _IN]
    )
    along = np.arange(span[0] - SPAN_RIM_MM, span[1] + SPAN_RIM_MM, remains.pixel)
    ink = remains.shows_ink(place(*np.meshgrid(across, along, indexing="ij")))
    in_strip = ink.reshape(-1, len(_IN), len(along)).sum(axis=1) >= 2
    # One pixel alone is noise, or a hair.
    run = in_strip[:, :-2] & in_strip[:, 1:-1] & in_strip[:, 2:]
    seen = np.nonzero(run.any(axis=0))[0]
    return span if not len(seen) else (float(along[seen[0]]), float(along[seen[-1] + 2]))


def _ink_beyond(remains: Remains, line: FoundLine, way: int, place: Placer) -> bool:
    along = np.linspace(line.low, line.high, 200)
    across = line.place + way * remains.pixel * np.array([3.5, 5.0])
    ink = remains.shows_ink(place(*np.meshgrid(across, along, indexing="ij")))
    return float(ink.all(axis=0).mean()) > BEYOND


def _told(remains: Remains, laid: _Laid) -> PatternFit:
    edges, seen, whole = _edges(remains, laid)
    radius, round_hits = corner_radius(remains, laid.box, laid.angle, (laid.upright, *laid.sure[2:]))
    scale = remains.scale
    relative = (scale.across, scale.up) if laid.upright else (scale.up, scale.across)
    values = []
    left = [one[0] / max(one[1], 1e-9) for one in seen]
    strips = laid.strips
    if len(strips) > 1:
        # Told from the top, or the left, as inks of a shape are.
        order = range(len(strips)) if laid.upright else range(len(strips) - 1, -1, -1)
        for number, n in enumerate(order, 1):
            one = strips[n]
            name = f"{'gap' if one.ink is None else 'stripe'} {number} width"
            values.append(_between(name, (one.low, one.high), relative[0], min(left[n], left[n + 1])))
    sides = (strips[0].low, strips[-1].high)
    across = _between("width" if laid.upright else "height", sides, relative[0], min(left[0], left[len(strips)]))
    across = replace(across, least=not all(laid.sure[:2]))
    along = _between("height" if laid.upright else "width", laid.ends, relative[1], min(left[-2:]))
    if not all(laid.sure[2:]):
        along = replace(along, least=True, doubt="")
    values += [across, along] if laid.upright else [along, across]
    if radius is not None:
        values.append(radius)
    values.append(FoundValue("angle", math.degrees(laid.angle), 0.05, min(left), "\N{DEGREE SIGN}"))
    inks, parts = _inks(laid)
    score = remains.score(*_explained(remains, laid), (sum(one[0] for one in seen), whole), round_hits)
    score *= _evenness(remains, laid, [None if n is None else np.array(inks[n]) for n in parts])
    kind = "rectangle" if len(strips) == 1 else "stripes"
    return PatternFit(kind, tuple(values), inks, parts, score, laid.upright, tuple(edges))


def _evenness(remains: Remains, laid: _Laid, inks: list[FloatArray | None]) -> float:
    """How much of what shows ink along the stripes, told in their order, is of their own and not of another's."""
    known = np.array([lab_of(one) for one in (*(ink for ink in inks if ink is not None), remains.ground, WHITE)])
    along = np.linspace(laid.ends[0].place, laid.ends[1].place, 120)
    place = _placer(laid.angle, laid.upright)
    own = every = 0
    for strip, ink in zip(laid.strips if laid.upright else laid.strips[::-1], inks, strict=True):
        if ink is None:
            continue
        across = strip.low.place + np.array(_IN) * (strip.high.place - strip.low.place)
        lab = lab_of(remains.calm_light_at(place(*np.meshgrid(across, along, indexing="ij"))))
        off = np.linalg.norm(lab[..., None, :] - known, axis=-1)
        nearest = known[off.argmin(axis=-1)]
        inked = off.argmin(axis=-1) < len(known) - 2
        every += int(inked.sum())
        own += int((inked & (nearest == lab_of(ink)).all(axis=-1)).sum())
    return own / every if every else 1.0


def _between(name: str, lines: tuple[FoundLine, FoundLine], relative: float, share: float) -> FoundValue:
    """How far apart two edges are; ``relative``: the uncertainty of the scale there, as a share."""
    low, high = lines
    size = high.place - low.place
    u = math.hypot(math.hypot(low.u, high.u), relative * size)
    return FoundValue(name, size, u, share, "mm", _doubt(share, low, high))


def _doubt(share: float, *lines: FoundLine) -> str:
    beside = "another edge runs close along one of its own: a scratch, or a thin line"
    return little_left(share) or (beside if any(one.rival for one in lines) else "")


def _inks(laid: _Laid) -> tuple[tuple[Light, ...], tuple[int | None, ...]]:
    """The inks without repeats, and of each stripe, from the top or the left, its number."""
    inks: list[FloatArray] = []
    parts: list[int | None] = []
    for strip in laid.strips if laid.upright else laid.strips[::-1]:
        if strip.ink is None:
            parts.append(None)
            continue
        number = next((n for n, ink in enumerate(inks) if alike(ink, strip.ink)), len(inks))
        if number == len(inks):
            inks.append(strip.ink)
        parts.append(number)
    return plain_inks(inks), tuple(parts)


def _edges(remains: Remains, laid: _Laid) -> tuple[list[FitEdge], list[tuple[float, float]], float]:
    """All edges, in stretches, and for each line how many mm of how many are there; the ends come last."""
    low, high, start, end = laid.box
    across, along = _families(remains, laid.angle, laid.upright)
    place = _placer(laid.angle, laid.upright)
    places = [strip.low.place for strip in laid.strips] + [laid.strips[-1].high.place]
    jobs = [(across, at, start, end, False) for at in places]
    jobs += [(along, one.place, low, high, True) for one in laid.ends]
    found, seen, whole = [], [], 0.0
    for family, at, first, last, is_end in jobs:
        on = (np.abs(family.across - at) < remains.near) & (family.along > first) & (family.along < last)
        there = covered(family.along[on], first, last, 1.5 * remains.pixel)
        seen.append((float(there.mean()) * (last - first), last - first))
        whole += last - first
        marks = np.linspace(first, last, max(1, round((last - first) / 0.5)) + 1)
        for part, a, b in zip(np.array_split(there, len(marks) - 1), marks[:-1], marks[1:], strict=True):
            ends = np.array([at, at]), np.array([a, b])
            found.append(fit_edge(place(*(ends if not is_end else ends[::-1])), part))
    return found, seen, whole


def _explained(remains: Remains, laid: _Laid) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """Which dots are on the edges, and which lie inside the outermost."""
    low, high, start, end = laid.box
    order = slice(None) if laid.upright else slice(None, None, -1)
    across, along = turned(remains.at, laid.angle)[:, order].T
    ways = np.abs(turned(remains.normal, laid.angle))[:, order].T > ALIGNED
    near = remains.near
    inside = (across > low - near) & (across < high + near) & (along > start - near) & (along < end + near)
    on = np.zeros(len(across), bool)
    for place in [low, *(strip.high.place for strip in laid.strips)]:
        on |= ways[0] & (np.abs(across - place) < near)
    for end_ in laid.ends:
        on |= ways[1] & (np.abs(along - end_.place) < near)
    return on & inside, inside
