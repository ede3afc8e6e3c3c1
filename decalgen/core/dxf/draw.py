"""A DXF drawing to flat areas: open lines joined end to end, closed ones filled, one inside another a hole. Pure; mm.

Lines have no width in such a drawing: what counts is what they enclose. Of areas in several inks the smaller lies on
top, since a drawing of outlines says nothing of what is painted first.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence

import numpy as np

from decalgen.core.arrays import FloatArray
from decalgen.core.dxf.entities import DxfDrawing, DxfLine
from decalgen.core.geometry import TOLERANCE
from decalgen.core.svg.crossings import CrossingCount
from decalgen.core.svg.draw import NotFlat, SvgArea, SvgDrawn
from decalgen.core.svg.fills import filled

JOINED_MM = 0.02
"""Ends nearer to each other than this are one point (common practice, no source)."""
MOST_AT_A_POINT = 16


def draw_dxf(drawing: DxfDrawing, scale: float, inks: Mapping[str, str]) -> SvgDrawn:
    """The areas of a drawing at ``scale`` mm to its unit. ``inks``: by name, each with its '#rrggbb'; what lies on a
    layer of an ink's name has that ink's colour. Raises `SvgError` for a drawing without end."""
    lines, left = drawing.lines(TOLERANCE / scale)
    by_name = {name.casefold(): colour for name, colour in inks.items()}
    loops: dict[str, list[FloatArray]] = defaultdict(list)
    open_ones: dict[str, list[DxfLine]] = defaultdict(list)
    for line in lines:
        colour = by_name.get(line.layer.casefold(), line.colour)
        if line.closed:
            loops[colour].append(line.points * scale)
        else:
            open_ones[colour].append(line)
    for colour, some in open_ones.items():
        closed, loose = joined([line.points * scale for line in some])
        loops[colour] += closed
        for number in loose:
            left.setdefault("an outline that does not close", []).append(_ends(some[number], scale))
    crossings = CrossingCount()
    for every in loops.values():
        crossings.take(every)
    areas = [SvgArea(colour, filled(some, True)) for colour, some in loops.items()]
    areas = sorted((one for one in areas if not one.area.is_empty), key=lambda one: -one.area.area)
    return SvgDrawn(tuple(areas), tuple(NotFlat(what, tuple(dict.fromkeys(where))) for what, where in left.items()))


def _ends(line: DxfLine, scale: float) -> str:
    x, y = line.points[-1] * scale
    return f"{line.where} that ends at {x:.2f}, {y:.2f} mm"


def joined(lines: Sequence[FloatArray]) -> tuple[list[FloatArray], list[int]]:
    """Open lines put end to end, nearest first, into loops; and the numbers of those that go into none."""
    closed, parts = [], []
    for number, line in enumerate(lines):
        if len(line) > 2 and math.dist(line[0], line[-1]) <= JOINED_MM:
            closed.append(line)
        else:
            parts.append(number)
    partner = _partners([lines[number] for number in parts])
    left, done = [], [False] * len(parts)
    for first in range(len(parts)):
        if done[first]:
            continue
        # Back to an end that goes on nowhere, or once round.
        chain, way, back = first, 0, 0
        while (2 * chain + way) in partner and back <= len(parts):
            other = partner[2 * chain + way]
            chain, way, back = other // 2, 1 - other % 2, back + 1
            if chain == first and way == 0:
                break
        start, row, found = (chain, way), [], []
        while not done[chain]:
            done[chain] = True
            line = lines[parts[chain]]
            row.append(line if way == 0 else line[::-1])
            found.append(parts[chain])
            end = 2 * chain + 1 - way
            if end not in partner:
                break
            chain, way = partner[end] // 2, partner[end] % 2
        else:
            if (chain, way) == start:
                closed.append(np.concatenate([one[:-1] for one in row]))
                continue
        left += found
    return closed, left


def _partners(lines: Sequence[FloatArray]) -> dict[int, int]:
    """The ends that are one point, two and two, nearest first: 2 n is the first end of line n, 2 n + 1 its last."""
    ends = [tuple(map(float, line[at])) for line in lines for at in (0, -1)]
    cells: dict[tuple[int, int], list[int]] = defaultdict(list)
    for number, (x, y) in enumerate(ends):
        cells[math.floor(x / JOINED_MM), math.floor(y / JOINED_MM)].append(number)
    pairs = []
    for number, (x, y) in enumerate(ends):
        for other in _near(cells, math.floor(x / JOINED_MM), math.floor(y / JOINED_MM)):
            apart = math.dist((x, y), ends[other])
            if number < other and apart <= JOINED_MM and number // 2 != other // 2:
                pairs.append((apart, number, other))
    found: dict[int, int] = {}
    for _, one, other in sorted(pairs):
        if one not in found and other not in found:
            found[one], found[other] = other, one
    return found


def _near(cells: Mapping[tuple[int, int], Sequence[int]], column: int, row: int) -> Iterable[int]:
    for x in (column - 1, column, column + 1):
        for y in (row - 1, row, row + 1):
            # Many ends at one point are a star of lines, not an outline.
            yield from cells.get((x, y), ())[:MOST_AT_A_POINT]
