"""Edges between colours, found to a small part of a pixel: where the light has half changed from one side's to the
other's, in linear light. Pure; pixels, x to the right and y down, the middle of the first pixel at 0.5, 0.5.

Each edge is judged by the colours beside it alone, so paper that has yellowed or faded unevenly does not move it.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from decalgen.core.arrays import FloatArray
from decalgen.core.values import dataclass
from decalgen.scan.light import PixelWindow, Scan, lab_of

LightArray = NDArray[np.float32]
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
THIN = 5.0
"""A line with its two sides nearer to each other, pixels, is thin."""
THIN_APART = 9.0
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


def edge_dots(scan: Scan, window: PixelWindow, thin: float = THIN) -> EdgeDots:
    """The dots on all edges in a window of a scan. ``thin``: so near are the two sides of a thin line, pixels."""
    left, top, right, bottom = window
    rim = math.ceil(thin) + 5
    found = []
    for start in range(top, bottom, STRIP_ROWS):
        end = min(start + STRIP_ROWS, bottom)
        wide = scan.inside((left - rim, start - rim, right + rim, end + rim))
        dots = _in_strip(smoothed(scan.light(wide), SIGMA), thin)
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


def _in_strip(light: LightArray, thin: float) -> EdgeDots:
    """Ridges of the gradient, then each moved to where its light has half changed."""
    root = np.cbrt(light)
    across, down = np.zeros_like(root), np.zeros_like(root)
    across[:, 1:-1] = (root[:, 2:] - root[:, :-2]) / 2
    down[1:-1] = (root[2:] - root[:-2]) / 2
    # The direction in which all three channels change most (the structure tensor's own).
    xx, yy, xy = ((a * b).sum(axis=2) for a, b in ((across, across), (down, down), (across, down)))
    turn = 0.5 * np.arctan2(2 * xy, xx - yy)
    size = np.sqrt(np.maximum((xx + yy) / 2 + np.sqrt(((xx - yy) / 2) ** 2 + xy**2), 0.0))
    size[:2], size[-2:], size[:, :2], size[:, -2:] = 0.0, 0.0, 0.0, 0.0
    rows, columns = np.nonzero(size > STEEP)
    angle = turn[rows, columns].astype(np.float64)
    normal = np.column_stack((np.cos(angle), np.sin(angle)))
    at = np.column_stack((columns, rows)) + 0.5
    here = size[rows, columns]
    layer = size[..., None]
    beside = [sampled(layer, at + side * normal)[:, 0] for side in (1.0, -1.0)]
    ridge = (here >= beside[0]) & (here > beside[1])
    # The ridge lies off to the darker side; a second look from where the light has half changed sees both sides alike.
    at, normal, *_ = _half_way(light, at[ridge], normal[ridge])
    at, normal, before, after = _half_way(light, at, normal)
    return EdgeDots(at, normal, before, after, _thin(light, at, normal, thin))


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


def _half_way(light: LightArray, at: FloatArray, normal: FloatArray) -> tuple[FloatArray, ...]:
    """Of places near an edge, one a row, with normals: where its light has half changed, the normals, and the colours
    before and after; without those beside which there is no edge."""
    steps = np.arange(-REACH, REACH + STEP / 2, STEP)
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
    good = (off[best, pick] < 1.5) & (apart > LEAST_APART)
    moved = at + places[best, pick][:, None] * normal
    return moved[good], normal[good], before[good], after[good]


def _thin(light: LightArray, at: FloatArray, normal: FloatArray, reach: float) -> NDArray[np.bool_]:
    """Which dots have the same colour on both sides, so far from them."""
    sides = [lab_of(sampled(light, at + way * reach * normal)) for way in (-1.0, 1.0)]
    return np.asarray(np.linalg.norm(sides[1] - sides[0], axis=1) < THIN_APART, bool)
