"""Edges between colours, found to a small part of a pixel: where the light has half changed from one side's to the
other's, in linear light. Pure; pixels, x to the right and y down, the middle of the first pixel at 0.5, 0.5.

Each edge is judged by the colours beside it alone, so paper that has yellowed or faded unevenly does not move it.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from decalgen.core.arrays import FloatArray
from decalgen.core.values import dataclass
from decalgen.scan.light import PixelWindow, Scan, lab_of

LightArray = NDArray[np.float32]
Held = TypeVar("Held", bound=np.generic)
SIGMA = 0.8
"""Of the smoothing against noise, pixels: a straight edge stays where it is, one of radius R moves by SIGMA² / 2R."""
REACH = 3.0
"""How far to each side of an edge its two colours are looked for, pixels."""
STEP = 0.5
STEEP = 0.02
"""The least change of the cube root of light over a pixel at an edge."""
LEAST_APART = 7.0
"""The least CIE76 difference of the colours beside an edge: less is shade or paper."""
STRIP_ROWS = 512
"""So many rows are worked on at a time, for memory."""
FAINT_SIGMA = 2.0
"""The same for faint edges, which are told from noise by more of what is round them alone."""
SHARP = 2.5
"""An edge has changed by half or more within so many times the smoothing, and a pixel."""
FAINT_REACH = 6.0
FAINT_STEEP = 0.0025
FAINT_APART = (2.5, 25.0)
"""The CIE76 difference of the colours beside a faint edge, as of a pale ink on a white lid."""
THIN = 5.0
"""A line with its two sides nearer to each other, pixels, is thin."""
THIN_APART = 9.0
THIN_SHARE = 0.6
"""The colours on both sides of a thin line differ by less (CIE76), and by less than this share of what they differ by
from its own."""
PARTS = ("at", "normal", "before", "after", "thin")
MOST_DOTS = 120_000
"""Of more edge dots only so many are kept, evenly."""


@dataclass(frozen=True)
class EdgeDots:
    """Dots on edges, one a row. ``at``: where; ``normal``: of length 1, square to the edge, from ``before`` to
    ``after``, the linear colours beside it; ``thin``: of a line so thin that both its sides are near, as of a
    scratch."""

    at: FloatArray
    normal: FloatArray
    before: FloatArray
    after: FloatArray
    thin: NDArray[np.bool_]

    def __len__(self) -> int:
        return len(self.at)

    def where(self, chosen: NDArray[np.bool_] | NDArray[np.int64]) -> EdgeDots:
        """Some of them."""
        return EdgeDots(*(getattr(self, name)[chosen] for name in PARTS))


_Sides = tuple[FloatArray, FloatArray, FloatArray, FloatArray]
"""Of places on edges: where, the normals, the colours before and after."""


@dataclass(frozen=True)
class _EdgeSearch:
    """How edges are looked for; see the constants."""

    sigma: float
    reach: float
    steep: float
    apart: tuple[float, float]


_CLEAR = _EdgeSearch(SIGMA, REACH, STEEP, (LEAST_APART, math.inf))
_FAINT = _EdgeSearch(FAINT_SIGMA, FAINT_REACH, FAINT_STEEP, FAINT_APART)
_CLOSER = _EdgeSearch(SIGMA, REACH, FAINT_STEEP, FAINT_APART)


def edge_dots(scan: Scan, window: PixelWindow, thin: float = THIN, faint: bool = False) -> EdgeDots:
    """The dots on all clear edges in a window of a scan, or on the faint ones alone. ``thin``: so near are the two
    sides of a thin line, pixels."""
    look = _FAINT if faint else _CLEAR
    left, top, right, bottom = window
    rim = math.ceil(max(thin, look.reach) + 3 * look.sigma) + 3
    found = []
    for start in range(top, bottom, STRIP_ROWS):
        end = min(start + STRIP_ROWS, bottom)
        wide = scan.inside((left - rim, start - rim, right + rim, end + rim))
        dots = _in_strip(scan.light(wide), thin, look)
        shifted = dots.at + np.array(wide[:2], float)
        inside = (shifted[:, 1] >= start) & (shifted[:, 1] < end) & (shifted[:, 0] >= left) & (shifted[:, 0] < right)
        found.append(replace(dots, at=shifted).where(inside))
    whole = EdgeDots(*(np.concatenate([getattr(one, name) for one in found]) for name in PARTS))
    if len(whole) > MOST_DOTS:
        whole = whole.where(np.linspace(0, len(whole) - 1, MOST_DOTS).astype(np.int64))
    return whole


def smoothed(values: LightArray, sigma: float) -> LightArray:
    """Rows × columns × channels, smoothed by a Gaussian; the outermost values run on."""
    reach = max(1, round(3 * sigma))
    weights = np.exp(-0.5 * (np.arange(-reach, reach + 1) / sigma) ** 2).astype(np.float32)
    weights /= weights.sum()
    for axis in (0, 1):
        pads = [(reach, reach) if n == axis else (0, 0) for n in range(values.ndim)]
        wide = np.pad(values, pads, mode="edge")
        size = values.shape[axis]
        values = sum(weight * np.take(wide, np.arange(n, n + size), axis=axis) for n, weight in enumerate(weights))
    return values


def pick_around(values: NDArray[Held], reach: int, pick: np.ufunc) -> NDArray[Held]:
    """The greatest (``pick``: np.maximum) or the least (np.minimum) of each square of 2·reach + 1 values to a side,
    rows × columns and what each holds; the outermost values run on."""
    for axis in (0, 1):
        size = values.shape[axis]
        pads = [(reach, reach) if n == axis else (0, 0) for n in range(values.ndim)]
        wide = np.pad(values, pads, mode="edge")
        values = wide.take(np.arange(size), axis=axis)
        for n in range(1, 2 * reach + 1):
            pick(values, wide.take(np.arange(n, n + size), axis=axis), out=values)
    return values


def _in_strip(raw: LightArray, thin: float, look: _EdgeSearch) -> EdgeDots:
    """Ridges of the gradient, then each moved to where its light has half changed."""
    light = smoothed(raw, look.sigma)
    root = np.cbrt(light)
    across, down = np.zeros_like(root), np.zeros_like(root)
    across[:, 1:-1] = (root[:, 2:] - root[:, :-2]) / 2
    down[1:-1] = (root[2:] - root[:-2]) / 2
    # The direction in which all three channels change most (the structure tensor's own).
    xx, yy, xy = ((a * b).sum(axis=2) for a, b in ((across, across), (down, down), (across, down)))
    turn = 0.5 * np.arctan2(2 * xy, xx - yy)
    size = np.sqrt(np.maximum((xx + yy) / 2 + np.sqrt(((xx - yy) / 2) ** 2 + xy**2), 0.0))
    size[:2], size[-2:], size[:, :2], size[:, -2:] = 0.0, 0.0, 0.0, 0.0
    rows, columns = np.nonzero(size > look.steep)
    angle = turn[rows, columns].astype(np.float64)
    normal = np.column_stack((np.cos(angle), np.sin(angle)))
    at = np.column_stack((columns, rows)) + 0.5
    here = size[rows, columns]
    layer = size[..., None]
    beside = [sampled(layer, at + side * normal)[:, 0] for side in (1.0, -1.0)]
    ridge = (here >= beside[0]) & (here > beside[1])
    # The ridge lies off to the darker side; a second look from where the light has half changed sees both sides alike.
    at, normal, *_ = _half_way(light, at[ridge], normal[ridge], look)
    dots = _half_way(light, at, normal, look)
    if look is _FAINT and len(dots[0]):
        # So much smoothing lets other edges near by push a faint one aside.
        light = smoothed(raw, SIGMA)
        dots = _half_way(light, dots[0], dots[1], _CLOSER)
    return EdgeDots(*dots, _thin(light, dots, max(thin, look.reach)))


def sampled(values: LightArray, at: FloatArray) -> FloatArray:
    """Values between the middles of pixels, one row a place; beyond the picture the outermost run on."""
    high, wide = values.shape[:2]
    x = np.clip(at[:, 0] - 0.5, 0.0, wide - 1.001)
    y = np.clip(at[:, 1] - 0.5, 0.0, high - 1.001)
    column, row = x.astype(np.int64), y.astype(np.int64)
    fx, fy = (x - column)[:, None], (y - row)[:, None]
    upper = values[row, column] * (1 - fx) + values[row, column + 1] * fx
    lower = values[row + 1, column] * (1 - fx) + values[row + 1, column + 1] * fx
    return np.asarray(upper * (1 - fy) + lower * fy, float)


def changed(profile: FloatArray, before: FloatArray, after: FloatArray) -> tuple[FloatArray, NDArray[np.bool_]]:
    """How much of the change from ``before`` to ``after`` is done at each step (rows) of profiles (columns) of light,
    and between which steps it comes to one half."""
    change = after - before
    share = ((profile - before) * change).sum(axis=2) / np.maximum((change**2).sum(axis=1), 1e-12)
    return share, (share[:-1] < 0.5) & (share[1:] >= 0.5)


def _half_way(light: LightArray, at: FloatArray, normal: FloatArray, look: _EdgeSearch) -> _Sides:
    """Of places near an edge, one a row, with normals: where its light has half changed, the normals, and the colours
    before and after; without those beside which there is no edge."""
    steps = np.arange(-look.reach, look.reach + STEP / 2, STEP)
    profile = np.stack([sampled(light, at + step * normal) for step in steps])
    ends = round(1.0 / STEP)
    before, after = profile[: ends + 1].mean(axis=0), profile[-ends - 1 :].mean(axis=0)
    share, crosses = changed(profile, before, after)
    # The crossing of one half that is nearest the middle.
    rise = np.where(crosses, share[1:] - share[:-1], 1.0)
    places = steps[:-1, None] + STEP * (0.5 - share[:-1]) / rise
    off = np.where(crosses, np.abs(places), np.inf)
    best = off.argmin(axis=0)
    pick = np.arange(len(at))
    apart = np.linalg.norm(lab_of(after) - lab_of(before), axis=1)
    good = (off[best, pick] < 1.5) & (apart > look.apart[0]) & (apart < look.apart[1])
    # A gentle slope, as of uneven fading, has no place: most of an edge's change is near it.
    near = np.abs(steps) <= SHARP * look.sigma + 1.0
    good &= (share[near][0] < 0.25) & (share[near][-1] > 0.75)
    moved = at + places[best, pick][:, None] * normal
    return moved[good], normal[good], before[good], after[good]


def _thin(light: LightArray, dots: _Sides, reach: float) -> NDArray[np.bool_]:
    """Which dots have the same colour on both sides, so far from them."""
    at, normal, before, after = dots
    sides = [lab_of(sampled(light, at + way * reach * normal)) for way in (-1.0, 1.0)]
    apart = np.linalg.norm(lab_of(after) - lab_of(before), axis=1)
    return np.asarray(np.linalg.norm(sides[1] - sides[0], axis=1) < np.minimum(THIN_APART, THIN_SHARE * apart), bool)
