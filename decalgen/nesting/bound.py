"""What no layout can beat: a piece takes its area and half the gap round it."""

from __future__ import annotations

import math
from collections.abc import Sequence

import shapely

from decalgen.nesting.frame import Frame, frame_of, shapes_of
from decalgen.nesting.model import Bound, Request


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
    return least_length(frame, request.gap, piece_area(request), _longest(request, frame))


def _longest(request: Request, frame: Frame) -> float:
    """The length of the longest piece at its shortest."""
    return max((min(s.width for s in shapes_of(i, frame)) for i in request.items if i.quantity), default=0.0)


def bound_of(request: Request, used: Sequence[tuple[int, float]], all_placed: bool) -> Bound:
    """The bound for a request, beside what a nest of it used.

    ``used``: for each sheet the place of its region, and how far it is used.
    """
    needed = piece_area(request)
    frames = [frame_of(region, i) for i, region in enumerate(request.regions)]
    sheets = _fewest(request, frames, needed)
    if not used or needed <= 0:
        return Bound(sheets, 0.0, all_placed, 0.0)
    gap = request.gap
    frame = frames[used[0][0]]
    spent = sum(sheet_area(frames[index], gap) for index, _ in used[:-1])
    spent += sheet_area(frames[used[-1][0]], gap, used[-1][1])
    least, length = needed, 0.0
    if all(index == used[0][0] for index, _ in used) and (frame.region.repeat or len(frames) == 1):
        full = sheet_area(frame, gap)
        tail = max(needed - (sheets - 1) * full, 0.0)
        rest = least_length(frame, gap, tail, _longest(request, frame) if sheets == 1 else 0.0)
        length = (sheets - 1) * (frame.bounds[2] - frame.bounds[0]) + rest
        least = (sheets - 1) * film_area(frame) + film_area(frame, rest)
        spent = (len(used) - 1) * film_area(frame) + film_area(frame, used[-1][1])
    saving = max(0.0, 100 * (1 - least / spent)) if all_placed and spent > 0 else 0.0
    return Bound(sheets, length, all_placed and len(used) <= sheets, saving)


def _fewest(request: Request, frames: list[Frame], needed: float) -> int:
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
