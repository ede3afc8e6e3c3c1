"""The most that could be left of a sheet in one rectangle: what no arrangement beats. Lengths in mm, areas in mm²."""

from __future__ import annotations

import math

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import affinity
from shapely.geometry import Polygon

from decalgen.nesting.bound import sheet_area
from decalgen.nesting.frame import Frame, blocked, shapes_of
from decalgen.nesting.model import NestItem

LINES = 40
"""Lines across and up a sheet, besides those along the edges of what is used on it."""

STEPS = 24
"""Halvings to find how large a rectangle lies in an outline."""


def most_left(
    frame: Frame, gap: float, needed: float, items: tuple[NestItem, ...], pinned: tuple[Polygon, ...] = ()
) -> float:
    """An area no free rectangle exceeds on a sheet that holds ``needed`` mm² of spread pieces, all of ``items`` among
    them, and ``pinned`` outlines where they lie in the frame.

    A rectangle that keeps the gap to every piece, spread by half of it, overlaps no spread piece; and it lies wholly
    beside each piece, or wholly above or below it.
    """
    x0, y0, x1, y1 = frame.bounds
    wide, high = x1 - x0, y1 - y0
    most = min(_empty(frame, gap, pinned), _beside_all(sheet_area(frame, gap) - needed, wide, high, gap))
    for item in items:
        if item.quantity:
            sizes = {_inside(Polygon(shape.points)) for shape in shapes_of(item, frame)}
            most = min(most, max(_beside_one(wide, high, a, b, gap) for a, b in sizes))
    return max(most, 0.0)


def _beside_all(room: float, wide: float, high: float, gap: float) -> float:
    """The largest w by h, at most ``wide`` by ``high``, that takes no more than ``room`` when spread by half the
    gap."""
    room -= math.pi * gap**2 / 4
    if wide * high + gap * (wide + high) <= room:
        return wide * high
    best = 0.0
    # Among sides of one spread area the square is largest; the nearest to it that the sheet allows is best.
    square = math.sqrt(max(room, 0.0) + gap**2) - gap
    for width in (min(max(square, _other(high, room, gap)), wide), min(square, wide)):
        best = max(best, width * min(_other(width, room, gap), high))
    return best


def _other(side: float, room: float, gap: float) -> float:
    """The side beside ``side`` with which a rectangle takes ``room`` when spread."""
    return max((room - gap * side) / (side + gap), 0.0) if side + gap > 0 else 0.0


def _beside_one(wide: float, high: float, a: float, b: float, gap: float) -> float:
    """The largest rectangle beside one of a by b, or above it."""
    across, up = wide - a, high - b
    # Corner to corner two rectangles may be nearer along both sides, down to this; it pays only on tiny sheets.
    apart = gap if min(across, up) >= 1.21 * gap else gap / math.sqrt(2)
    return max(max(across - apart, 0.0) * high, max(up - apart, 0.0) * wide)


def _inside(outline: Polygon) -> tuple[float, float]:
    """A rectangle that lies in an outline, as its box and as large as it goes; (0, 0) where none does."""
    x0, y0, x1, y1 = outline.bounds
    frame, about = shapely.box(x0, y0, x1, y1), ((x0 + x1) / 2, (y0 + y1) / 2)
    shell = Polygon(outline.exterior).buffer(1e-9)
    if shell.covers(frame):
        return x1 - x0, y1 - y0
    low, high = 0.0, 1.0
    for _ in range(STEPS):
        middle = (low + high) / 2
        inside = shell.covers(affinity.scale(frame, middle, middle, origin=about))
        low, high = (middle, high) if inside else (low, middle)
    return (x1 - x0) * low, (y1 - y0) * low


def _empty(frame: Frame, gap: float, pinned: tuple[Polygon, ...]) -> float:
    """What no free rectangle exceeds on the sheet before anything but what is pinned is laid on it.

    On a grid of cells all but those that are taken altogether count as free, so the figure errs to the high side.
    """
    clear = frame.region.keep_out_clearance
    grown = [k.buffer(clear) for k in frame.keep_outs] + [outline.buffer(gap) for outline in pinned]
    taken = np.array(grown + blocked(frame), dtype=object)
    x0, y0, x1, y1 = frame.bounds
    if not len(taken):
        return (x1 - x0) * (y1 - y0)
    edges = [shape.bounds for shape in (*frame.keep_outs, *pinned, *taken)]
    xs = _lines(x0, x1, [edge[i] for edge in edges for i in (0, 2)])
    ys = _lines(y0, y1, [edge[i] for edge in edges for i in (1, 3)])
    cells = shapely.box(*(v.ravel() for v in (*np.meshgrid(xs[:-1], ys[:-1]), *np.meshgrid(xs[1:], ys[1:]))))
    full = np.zeros(len(cells), dtype=bool)
    full[shapely.STRtree(cells).query(shapely.buffer(taken, 1e-9), predicate="contains")[1]] = True
    free = ~full.reshape(len(ys) - 1, len(xs) - 1)
    tall, best = np.zeros(len(xs) - 1), 0.0
    for row, step in zip(free, np.diff(ys), strict=True):
        tall = np.where(row, tall + step, 0.0)
        stack: list[tuple[float, float]] = []
        for x, height in zip(xs.tolist(), [*tall.tolist(), 0.0], strict=True):
            start = x
            while stack and stack[-1][1] >= height:
                start, high = stack.pop()
                best = max(best, high * (x - start))
            stack.append((start, height))
    return best


def _lines(low: float, high: float, edges: list[float]) -> NDArray[np.float64]:
    """Lines at even distances, and one along each edge."""
    inside = [edge for edge in edges if low < edge < high]
    return np.unique(np.concatenate([np.linspace(low, high, LINES + 1), inside]))
