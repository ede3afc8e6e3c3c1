"""What slanted stripes and chevrons share: the frame they fill, and where equal stripes at a slant to it lie. Pure; mm,
radians."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from decalgen.core.arrays import FloatArray
from decalgen.core.values import dataclass
from decalgen.scan.colours import WHITE, alike, ink_of
from decalgen.scan.frames import PatternFrame
from decalgen.scan.light import lab_of
from decalgen.scan.outlines import LaidFigure, middle_of
from decalgen.scan.remains import LITTLE, FoundValue, Remains, turned

ASKEW = math.sin(math.radians(6))
"""What runs nearer to a side of the frame is no slanted edge."""
SAME_WAY = math.cos(math.radians(10))
BESIDE_PIXELS = 2.5
LEAST_DOTS = 40
LEAST_PART = 0.12
"""Slanted edges have at least this share of all dots."""
IN_PHASE = 0.85
"""The largest pitch that explains this share of what the best explains is it."""
STRONG = 0.5
LEAST_PIXELS = 8.0
"""Of a pitch: narrower stripes blur into one another."""
SPOTS = (90, 60)
RIM = 0.12
"""Of a stripe: its rim is not looked at."""
EVEN = 0.5
"""Stripes that show less of their own ink are none."""


@dataclass(frozen=True)
class Slant:
    """Stripes that run along ``way``: from ``start`` over ``width``, again after each ``pitch``, square across to the
    left of that way."""

    way: float
    pitch: float
    start: float
    width: float


@dataclass(frozen=True)
class SlantDots:
    """Dots in the axes of a frame, with their normals, and by how much the colour (CIE Lab) changes along each."""

    at: FloatArray
    normal: FloatArray
    change: FloatArray


def dots_in(remains: Remains, frame: PatternFrame) -> SlantDots | None:
    """The dots inside a frame that run at a slant to it; None where they are too few."""
    at = turned(remains.at - middle_of(remains), frame.turn)
    normal = turned(remains.normal, frame.turn)
    left, right, foot, head = frame.box
    rim = 3 * remains.pixel
    chosen = (at > (left + rim, foot + rim)).all(axis=1) & (at < (right - rim, head - rim)).all(axis=1)
    chosen &= remains.solid & (np.abs(normal).min(axis=1) > ASKEW)
    if chosen.sum() < max(LEAST_DOTS, LEAST_PART * len(at)):
        return None
    own, way = remains.at[chosen], remains.normal[chosen]
    beside = [lab_of(remains.light_at(own + side * BESIDE_PIXELS * remains.pixel * way)) for side in (1.0, -1.0)]
    return SlantDots(at[chosen], normal[chosen], beside[0] - beside[1])


def slant_of(dots: SlantDots, remains: Remains) -> Slant | None:
    """The stripes along which most edges run, None where they are not in phase."""
    angle = np.arctan2(dots.normal[:, 1], dots.normal[:, 0])
    bins = 180
    hits = np.bincount((np.mod(angle, math.pi) / math.pi * bins).astype(int) % bins, minlength=bins).astype(float)
    wide = np.sum([np.roll(hits, n) for n in (-2, -1, 0, 1, 2)], axis=0)
    best = (int(wide.argmax()) + 0.5) / bins * math.pi
    for reach, count in ((math.radians(2.0), 33), (math.radians(0.2), 21)):
        tried = best + np.linspace(-reach, reach, count)
        best = float(max(tried, key=lambda one: _sharpness(dots, one, remains.pixel)))
    parted = _parted(dots, best)
    found = None if parted is None else _in_phase(*parted, LEAST_PIXELS * remains.pixel)
    # The normal of the stripes is to the left of their way.
    return None if found is None else Slant(best - math.pi / 2, *found)


def strength_of(dots: SlantDots, remains: Remains) -> float:
    """How well the edges are in phase, 0 to 1, in the direction most of them run in."""
    angle = np.mod(np.arctan2(dots.normal[:, 1], dots.normal[:, 0]), math.pi)
    hits = np.histogram(angle, 90, (0.0, math.pi))[0]
    peak = (int(hits.argmax()) + 0.5) / 90 * math.pi
    near = np.abs(np.mod(angle - peak + math.pi / 2, math.pi) - math.pi / 2) < math.radians(3)
    best = float(np.median(angle[near])) if near.any() else peak
    parted = _parted(dots, best)
    if parted is None:
        return 0.0
    found = _strengths(*parted, LEAST_PIXELS * remains.pixel)
    share = sum(map(len, parted)) / len(dots.at)
    return 0.0 if found is None else share * float(found[2].max())


def _parted(dots: SlantDots, normal: float) -> tuple[FloatArray, FloatArray] | None:
    """How far across the edges are that run so: those at which the colour changes one way, then the other."""
    across, same = _across(dots, normal)
    if same.sum() < LEAST_DOTS:
        return None
    facing = np.sign((dots.normal[same] * (math.cos(normal), math.sin(normal))).sum(axis=1))
    change = dots.change[same] * facing[:, None]
    rises = change @ np.linalg.svd(change, full_matrices=False)[2][0] > 0
    return across[rises], across[~rises]


def _across(dots: SlantDots, normal: float) -> tuple[FloatArray, NDArray[np.bool_]]:
    """How far the dots of edges that run so are across them, and which these are."""
    way = np.array((math.cos(normal), math.sin(normal)))
    same = np.abs(dots.normal @ way) > SAME_WAY
    return dots.at[same] @ way, same


def _sharpness(dots: SlantDots, normal: float, pixel: float) -> float:
    across, _ = _across(dots, normal)
    if not len(across):
        return 0.0
    hits = np.bincount(np.floor((across - across.min()) / (pixel / 2)).astype(int)).astype(float)
    return float((hits**2).sum())


def _in_phase(rises: FloatArray, falls: FloatArray, least: float) -> tuple[float, float, float] | None:
    """Pitch, start and width of the stripes between edges that rise and edges that fall: the largest pitch with which
    both are in phase."""
    found = _strengths(rises, falls, least)
    if found is None:
        return None
    waves, sums, strength = found
    if float(strength.max()) < STRONG:
        return None
    for n, wave in enumerate(waves):
        near = strength[max(n - 4, 0) : n + 5]
        if strength[n] >= near.max() and strength[n] >= IN_PHASE * strength.max():
            pitch = float(1 / wave)
            start, end = (float(np.angle(one[n])) / (2 * np.pi) * pitch for one in sums)
            width = (end - start) % pitch
            if least / 3 < width < pitch - least / 3:
                return pitch, start, width
    return None


def _strengths(
    rises: FloatArray, falls: FloatArray, least: float
) -> tuple[FloatArray, list[NDArray[np.complex128]], FloatArray] | None:
    """Waves a mm, the mean phases of both sorts of edges at each, and how strong the weaker is."""
    extent = float(np.ptp(np.percentile(np.concatenate((rises, falls)), (1, 99))))
    if min(len(rises), len(falls)) < 12 or extent < least:
        return None
    waves = np.arange(0.6 / extent, 1 / least, 0.1 / extent)
    few = [one[:: max(1, len(one) // 300)] for one in (rises, falls)]
    sums = [np.exp(2j * np.pi * waves[:, None] * one[None]).mean(axis=1) for one in few]
    return waves, sums, np.minimum(np.abs(sums[0]), np.abs(sums[1]))


def phase_of(off: FloatArray, width: float, pitch: float) -> FloatArray:
    """Where places are that lie so far across from the start of a stripe, mm: 0 to 1 in one, 1 to 2 between two."""
    place = np.mod(off, pitch)
    return np.where(place < width, place / width, 1 + (place - width) / (pitch - width))


@dataclass(frozen=True)
class TwoInks:
    """The ink of stripes, that of what is between them (None: bare), and how much of what shows ink is of its own."""

    stripe: FloatArray
    between: FloatArray | None
    evenness: float
    swapped: bool
    """What lies from start over width is what is between."""

    @property
    def colours(self) -> list[FloatArray]:
        """The inks that are printed, that of the stripes first."""
        return [self.stripe] if self.between is None else [self.stripe, self.between]

    def start_of(self, start: float, width: float) -> float:
        """Where the stripes begin, by what lies from ``start`` over ``width``."""
        return start + width if self.swapped else start

    def width_of(self, width: float, pitch: float) -> float:
        """How wide the stripes are, by what lies over ``width``."""
        return pitch - width if self.swapped else width

    def covers(self, width: float, pitch: float) -> float:
        """The share of the frame that is printed."""
        return 1.0 if self.between is not None else self.width_of(width, pitch) / pitch


def inks_in(remains: Remains, phase: FloatArray, spots: FloatArray) -> TwoInks | None:
    """The inks at ``spots``, mm, one a row; ``phase``: where each is, 0 to 1 in a stripe, 1 to 2 between two. The
    darker is that of the stripes. None where there are not two."""
    in_stripe = (phase > RIM) & (phase < 1 - RIM)
    between = (phase > 1 + RIM) & (phase < 2 - RIM)
    light = remains.calm_light_at(spots)
    found = [ink_of(light[which], remains.ground) if which.any() else None for which in (in_stripe, between)]
    if alike(found[0], found[1]):
        return None
    swapped = found[0] is None or (found[1] is not None and float(found[1].sum()) < float(found[0].sum()))
    known = [(ink, which) for ink, which in zip(found, (in_stripe, between), strict=True) if ink is not None]
    colours = np.array([lab_of(one) for one in (*(ink for ink, _ in known), remains.ground, WHITE)])
    nearest = np.linalg.norm(lab_of(light)[:, None] - colours[None], axis=2).argmin(axis=1)
    every = (nearest < len(known)) & (in_stripe | between)
    own = sum(int(((nearest == n) & which).sum()) for n, (_, which) in enumerate(known))
    even = own / max(int(every.sum()), 1)
    stripe, other = found[::-1] if swapped else found
    return None if stripe is None or even < EVEN else TwoInks(stripe, other, even, swapped)


def frame_values(remains: Remains, laid: LaidFigure, sure: tuple[bool, bool, bool, bool]) -> list[FoundValue]:
    """Width, height and turn of a frame whose values come first in a figure: turn, left, right, foot, head; its sides
    are the first four edges."""
    share = [laid.share_of([n]) for n in range(4)]
    scale = remains.scale
    return [
        laid.found("width", lambda v: float(v[2] - v[1]), min(share[:2]), scale.across, not all(sure[:2])),
        laid.found("height", lambda v: float(v[4] - v[3]), min(share[2:]), scale.up, not all(sure[2:])),
        laid.found_angle("angle", lambda v: float(v[0]), max(share)),
    ]


def doubted(value: FoundValue, sure: bool, doubt: str = "a side that it is measured from is torn off") -> FoundValue:
    """A value, in doubt where it is not sure: a place in the frame where a side of it that tells the place was not
    found, or a size of stripes that no edges tell (`FEW_EDGES`)."""
    return value if sure or value.doubt else replace(value, doubt=doubt)


FEW_EDGES = "too few edges of stripes are seen to tell it"


class SizesTold(NamedTuple):
    """Whether the edges that are seen tell the pitch, the width from start to end, and that from an end to the next
    start; two of them tell the third."""

    pitch: bool
    width: bool
    between: bool

    def by(self, inks: TwoInks) -> SizesTold:
        """The same with the width of the stripes as the width, and that of what is between as the other."""
        return self._replace(width=self.between, between=self.width) if inks.swapped else self


def sizes_told(laid: LaidFigure, count: int, arms: int = 1) -> SizesTold:
    """``count``: stripes of the figure; after its four sides come, for each of its ``arms``, the starts of all stripes
    and then their ends."""
    starts, ends = np.any(laid.share[4:].reshape(arms, 2, count) >= LITTLE, axis=0, keepdims=True)[0]
    found = (
        max(int(starts.sum()), int(ends.sum())) >= 2,
        bool((starts & ends).any()),
        bool((ends[:-1] & starts[1:]).any()),
    )
    return SizesTold(*(one or sum(found) >= 2 for one in found))


def spots_in(laid: LaidFigure) -> FloatArray:
    """Places all over the frame, in its axes, one a row."""
    _, left, right, foot, head = laid.values[:5]
    both = np.meshgrid(
        *(np.linspace(a, b, n + 2)[1:-1] for (a, b), n in zip(((left, right), (foot, head)), SPOTS, strict=True)),
        indexing="ij",
    )
    return np.stack(both, axis=-1).reshape(-1, 2)


def inside_frame(remains: Remains, laid: LaidFigure) -> NDArray[np.bool_]:
    """Which dots lie in the frame, its rim included."""
    turn, left, right, foot, head = laid.values[:5]
    at = turned(remains.at - laid.middle, float(turn))
    near = remains.near
    inside = (at > (left - near, foot - near)).all(axis=1) & (at < (right + near, head + near)).all(axis=1)
    return np.asarray(inside, bool)


def framed_score(remains: Remains, laid: LaidFigure, inks: TwoInks) -> float:
    """How much a figure in a frame explains of which stripes cover a share: a side is seen only where ink is. Its last
    values are the pitch of the stripes, a start and the width from there."""
    covers = inks.covers(float(laid.values[8]), float(laid.values[6]))
    length = laid.edges.length.copy()
    seen = laid.share * length
    length[:4] *= covers
    seen[:4] = np.minimum(seen[:4], length[:4])
    told = (float(seen.sum()), float(length.sum()))
    return remains.score(laid.on, inside_frame(remains, laid), told) * inks.evenness
