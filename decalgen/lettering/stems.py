"""How a letter is built: its stem, crossbar and slant, measured on its outline as a reader would with a rule.

Font tables name stems too, but not always truly, and not at every setting of a variable face. Lines laid across the
outline do. Which letter is measured follows a fixed order (an H first), so that a word and its original are measured at
the same place.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import shapely
from shapely.geometry import MultiPolygon

from decalgen.core.arrays import FloatArray

Rings = Sequence[FloatArray]


class _Stem(NamedTuple):
    low: float
    high: float
    last: bool = False


class _StrokeBar(NamedTuple):
    low: float
    high: float
    where: str


# Letters with straight stems, best first, and between which shares of the letter's height the stem stands free.
_STEMS: dict[str, _Stem] = {
    "H": _Stem(0.18, 0.82), "E": _Stem(0.18, 0.82), "F": _Stem(0.18, 0.7),
    "L": _Stem(0.3, 0.8), "T": _Stem(0.2, 0.6), "D": _Stem(0.3, 0.7), "B": _Stem(0.18, 0.82),
    "P": _Stem(0.2, 0.4), "R": _Stem(0.15, 0.35), "K": _Stem(0.18, 0.82), "U": _Stem(0.5, 0.85),
    "N": _Stem(0.18, 0.6), "M": _Stem(0.18, 0.5), "1": _Stem(0.25, 0.5, True), "4": _Stem(0.05, 0.15, True),
    "h": _Stem(0.15, 0.45), "n": _Stem(0.2, 0.55), "m": _Stem(0.2, 0.55), "r": _Stem(0.2, 0.5), "u": _Stem(0.5, 0.85),
    "b": _Stem(0.75, 0.9), "k": _Stem(0.75, 0.9), "p": _Stem(0.08, 0.2),
    # All stroke: what stretches a word makes these thicker, so that no other letter can be brought to the same stem.
    "I": _Stem(0.25, 0.75), "l": _Stem(0.3, 0.7), "i": _Stem(0.15, 0.5),
    # No straight stem: the wall of a bowl, where it is thinnest about half way up.
    "O": _Stem(0.45, 0.55), "Q": _Stem(0.45, 0.55), "C": _Stem(0.45, 0.55), "G": _Stem(0.45, 0.55),
    "0": _Stem(0.45, 0.55), "6": _Stem(0.3, 0.36), "9": _Stem(0.64, 0.7, True), "8": _Stem(0.25, 0.3),
    "3": _Stem(0.25, 0.3, True), "o": _Stem(0.45, 0.55), "c": _Stem(0.45, 0.55), "e": _Stem(0.4, 0.5),
}  # fmt: skip

# Letters with straight crossbars, best first: between which shares of the width the bar lies free, and which it is.
_BARS: dict[str, _StrokeBar] = {
    "H": _StrokeBar(0.45, 0.55, "middle"), "E": _StrokeBar(0.5, 0.62, "top"), "F": _StrokeBar(0.5, 0.62, "top"),
    "T": _StrokeBar(0.15, 0.25, "top"), "L": _StrokeBar(0.5, 0.7, "bottom"), "Z": _StrokeBar(0.72, 0.82, "bottom"),
    "A": _StrokeBar(0.46, 0.54, "bottom"), "5": _StrokeBar(0.5, 0.7, "top"), "7": _StrokeBar(0.15, 0.35, "top"),
    "2": _StrokeBar(0.65, 0.8, "bottom"), "z": _StrokeBar(0.72, 0.82, "bottom"), "e": _StrokeBar(0.45, 0.55, "middle"),
    # No straight one: the wall of a bowl, at its crown.
    "O": _StrokeBar(0.45, 0.55, "top"), "Q": _StrokeBar(0.45, 0.55, "top"), "C": _StrokeBar(0.48, 0.58, "top"),
    "G": _StrokeBar(0.48, 0.58, "top"), "S": _StrokeBar(0.45, 0.55, "top"), "D": _StrokeBar(0.4, 0.5, "top"),
    "B": _StrokeBar(0.4, 0.5, "top"), "P": _StrokeBar(0.4, 0.5, "top"), "R": _StrokeBar(0.4, 0.5, "top"),
    "U": _StrokeBar(0.45, 0.55, "bottom"), "J": _StrokeBar(0.4, 0.5, "bottom"), "0": _StrokeBar(0.45, 0.55, "top"),
    "8": _StrokeBar(0.45, 0.55, "top"), "9": _StrokeBar(0.45, 0.55, "top"), "3": _StrokeBar(0.45, 0.55, "top"),
    "6": _StrokeBar(0.45, 0.55, "bottom"), "o": _StrokeBar(0.45, 0.55, "top"), "c": _StrokeBar(0.48, 0.58, "top"),
    "s": _StrokeBar(0.45, 0.55, "top"),
}  # fmt: skip

MOST_BAR = 0.7
"""No crossbar takes up more of its letter's height."""
STEM_LETTERS = "".join(_STEMS)
CROSSBAR_LETTERS = "".join(_BARS)


def stem_of(letter: str, rings: Rings, lines: int = 9) -> float:
    """The horizontal thickness of the letter's stem, the least along so many ``lines``; not a number without one."""
    rule = _STEMS[letter]
    _, bottom, _, top = bounds(rings)
    heights = bottom + (top - bottom) * np.linspace(rule.low, rule.high, lines)
    edges = edges_of(rings)
    widths = [spans[-1 if rule.last else 0] for spans in (_across(edges, y) for y in heights.tolist()) if spans]
    return min((float(b - a) for a, b in widths), default=math.nan)


def crossbar_of(letter: str, rings: Rings, lines: int = 5) -> float:
    """The vertical thickness of the letter's crossbar, measured as `stem_of` does; not a number where there is a stem
    at its place, as in a J with serifs."""
    rule = _BARS[letter]
    left, bottom, right, top = bounds(rings)
    edges = edges_of([ring[:, ::-1] for ring in rings])
    found: list[float] = []
    for x in left + (right - left) * np.linspace(rule.low, rule.high, lines):
        spans = _across(edges, float(x))
        if not spans:
            continue
        if rule.where == "top":
            a, b = spans[-1]
        elif rule.where == "bottom":
            a, b = spans[0]
        else:
            a, b = min(spans, key=lambda s: abs((s[0] + s[1]) / 2 - (bottom + top) / 2))
        found.append(b - a)
    least = min(found, default=math.nan)
    return least if least < MOST_BAR * (top - bottom) else math.nan


def slant_of(rings: Rings) -> float:
    """The lean of the left stem of a small n, degrees from the vertical, to the right positive.

    A small letter, because the capitals of a script are drawn too freely to have a slant.
    """
    _, bottom, _, top = bounds(rings)
    low, high = (across(rings, bottom + (top - bottom) * share) for share in (0.2, 0.5))
    if not low or not high:
        return 0.0
    lean = (sum(high[0]) - sum(low[0])) / 2
    degrees = math.degrees(math.atan2(lean, 0.3 * (top - bottom)))
    return degrees if abs(degrees) > 0.05 else 0.0


def across(rings: Rings, y: float) -> list[tuple[float, float]]:
    """The stretches of ink along a horizontal line (non-zero rule), left to right."""
    return _across(edges_of(rings), y)


def edges_of(rings: Rings) -> tuple[FloatArray, FloatArray]:
    """Where each edge of closed rings (first point not repeated) starts, and where it ends."""
    starts = np.concatenate(list(rings))
    ends = np.concatenate([part for ring in rings for part in (ring[1:], ring[:1])])
    return starts, ends


def _across(edges: tuple[FloatArray, FloatArray], y: float) -> list[tuple[float, float]]:
    starts, ends = edges
    y0, y1 = starts[:, 1], ends[:, 1]
    hit = (y0 <= y) != (y1 <= y)
    if not hit.any():
        return []
    y0, y1 = y0[hit], y1[hit]
    x = starts[hit, 0] + (ends[hit, 0] - starts[hit, 0]) * ((y - y0) / (y1 - y0))
    spans: list[tuple[float, float]] = []
    turns = 0
    begun = 0.0
    # A handful of crossings: plain sorting beats arrays here.
    for at, upward in sorted(zip(x.tolist(), (y1 > y0).tolist(), strict=True)):
        before = turns
        turns += 1 if upward else -1
        if before == 0:
            begun = at
        elif turns == 0 and at > begun:
            spans.append((begun, at))
    return spans


def bounds(rings: Rings) -> tuple[float, float, float, float]:
    """Left, bottom, right and top of contours."""
    points = np.concatenate(list(rings))
    (left, bottom), (right, top) = points.min(axis=0), points.max(axis=0)
    return float(left), float(bottom), float(right), float(top)


def rings_of(region: MultiPolygon) -> list[FloatArray]:
    """The contours of an area, outer ones anticlockwise and holes clockwise, so that the non-zero rule reads them."""
    found: list[FloatArray] = []
    for polygon in region.geoms:
        turned = shapely.geometry.polygon.orient(polygon)
        for ring in (turned.exterior, *turned.interiors):
            found.append(np.asarray(shapely.get_coordinates(ring)[:-1], dtype=np.float64))
    return found


def counts_of(region: MultiPolygon) -> tuple[int, int]:
    """Of how many pieces an area is, and how many holes they have."""
    return len(region.geoms), sum(len(part.interiors) for part in region.geoms)
