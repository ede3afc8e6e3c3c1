"""What no layout can beat: a piece takes its area and half the gap round it."""

from __future__ import annotations

import math

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


def bound_of(request: Request, sheets_used: int, used_area: float, all_placed: bool) -> Bound:
    """The bound for a request, beside what a nest of it used."""
    needed = piece_area(request)
    frames = [frame_of(region, i) for i, region in enumerate(request.regions)]
    sheets = _fewest(request, frames, needed)
    least, length = needed, 0.0
    if frames and needed > 0:
        frame = frames[0]
        longest = max(min(s.width for s in shapes_of(i, frame)) for i in request.items if i.quantity)
        if all(_alike(frame, other) for other in frames[1:]):
            full = sheet_area(frame, request.gap)
            rest = needed - (sheets - 1) * full
            tail = least_length(frame, request.gap, max(rest, 0.0), longest if sheets == 1 else 0.0)
            extent = frame.bounds[2] - frame.bounds[0]
            length = (sheets - 1) * extent + tail
            least = length * (frame.bounds[3] - frame.bounds[1])
    saving = 0.0 if used_area <= 0 or not all_placed else max(0.0, 100 * (1 - least / used_area))
    return Bound(sheets, length, all_placed and sheets_used <= sheets, saving)


def _alike(a: Frame, b: Frame) -> bool:
    return a.bounds == b.bounds and a.usable.equals(b.usable) and not a.keep_outs and not b.keep_outs


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
