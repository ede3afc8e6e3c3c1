"""What no arrangement can beat: a piece takes its area and half the gap round it."""

from __future__ import annotations

import math

import shapely

from decalgen.nesting.frame import Frame, frame_of, shapes_of
from decalgen.nesting.model import Request


def piece_area(request: Request) -> float:
    """The film all pieces take together, mm²: each outline spread by half the gap.

    Spread with a polygon inside the disc, so the figure errs to the low side, as a bound must.
    """
    total = 0.0
    for item in request.items:
        spread = item.outline.buffer(request.gap / 2, quad_segs=16).area
        total += item.quantity * float(spread - sum(o.area for o in item.openings))
    return total


def sheet_area(frame: Frame, gap: float, length: float | None = None) -> float:
    """The film a sheet has for spread pieces, up to ``length`` from the side filled.

    Spread pieces may reach half the gap past the usable area, and half the gap into a used part's clearance.
    """
    usable = frame.usable
    if length is not None:
        x0, y0, _, y1 = frame.bounds
        usable = shapely.intersection(usable, shapely.box(x0, y0, x0 + length, y1))
    if usable.is_empty:
        return 0.0
    wide = usable.buffer(gap / 2, join_style="mitre")
    spread = frame.region.keep_out_clearance - gap / 2
    if frame.keep_outs:
        used = shapely.union_all([k.buffer(spread, quad_segs=16) for k in frame.keep_outs])
        wide = wide.difference(used)
    return float(wide.area)


def film_area(frame: Frame, length: float | None = None) -> float:
    """The free film of a sheet, mm², up to ``length`` from the side filled."""
    free = frame.usable
    if length is not None:
        x0, y0, _, y1 = frame.bounds
        free = shapely.intersection(free, shapely.box(x0, y0, x0 + length, y1))
    for keep_out in frame.keep_outs:
        free = free.difference(keep_out.buffer(frame.region.keep_out_clearance))
    return float(free.area)


def least_length(frame: Frame, gap: float, needed: float, longest: float) -> float:
    """The shortest used length on one sheet that could hold ``needed`` mm² and a piece ``longest`` mm
    long."""
    x0, _, x1, _ = frame.bounds
    low, high = 0.0, x1 - x0
    if sheet_area(frame, gap) <= needed:
        return high
    for _ in range(40):
        middle = (low + high) / 2
        low, high = (low, middle) if sheet_area(frame, gap, middle) >= needed else (middle, high)
    return max(low, longest)


def least_used(request: Request) -> float:
    """The least used length of a nest on one sheet, the first; 0 where it has used parts (they break the order)."""
    frame = frame_of(request.regions[0], 0)
    if frame.keep_outs or not any(item.quantity for item in request.items):
        return 0.0
    return least_length(frame, request.gap, piece_area(request), longest(request, frame))


def longest(request: Request, frame: Frame) -> float:
    """The length of the longest piece at its shortest."""
    return max((min(s.width for s in shapes_of(i, frame)) for i in request.items if i.quantity), default=0.0)


def fewest_sheets(request: Request, frames: list[Frame], needed: float) -> int:
    """Fewest sheets by area: the largest ones first."""
    if needed <= 0:
        return 0
    areas = sorted(((sheet_area(f, request.gap), f.region.repeat) for f in frames), reverse=True)
    count = 0
    for area, repeat in areas:
        if repeat and area > 0:
            return count + math.ceil(needed / area - 1e-9)
        count += 1
        needed -= area
        if needed <= 1e-9:
            break
    return max(count, 1)
