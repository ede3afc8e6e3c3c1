"""What a nest uses of its film beside what no nest of the same pieces can do without, in what it was asked to keep."""

from __future__ import annotations

from collections.abc import Sequence

from shapely.geometry import Polygon

from decalgen.nesting.bound import fewest_sheets, film_area, least_length, longest, piece_area, sheet_area
from decalgen.nesting.frame import Frame, frame_of
from decalgen.nesting.model import Bound, NestPosition, Request, SheetUse
from decalgen.nesting.most import most_left
from decalgen.nesting.remnant import area
from decalgen.nesting.turning import placed, turned_polygon


def bound_of(request: Request, used: Sequence[SheetUse], all_placed: bool) -> Bound:
    """The bound for a request, beside what a nest of it used.

    Used is the film up to the last piece where a strip is kept, and else all but the largest free rectangle.
    """
    needed = piece_area(request)
    frames = [frame_of(region, i) for i, region in enumerate(request.regions)]
    sheets = fewest_sheets(request, frames, needed)
    if not used or needed <= 0:
        return Bound(sheets, 0.0, all_placed, 0.0, 0.0)
    by_key = {frame.region.key: frame for frame in frames}
    on = [by_key[use.region] for use in used]
    alike = all(frame is on[0] for frame in on) and (on[0].region.repeat or len(frames) == 1)
    length = 0.0
    tail, frame = needed, on[0]
    if alike:
        tail = max(needed - (sheets - 1) * sheet_area(frame, request.gap), 0.0)
        rest = least_length(frame, request.gap, tail, longest(request, frame) if sheets == 1 else 0.0)
        length = (sheets - 1) * (frame.bounds[2] - frame.bounds[0]) + rest
    if not all_placed:
        return Bound(sheets, length, False, 0.0, 0.0)
    if not alike:
        spent, least = _spent_of_any(request, used, on), needed
    elif request.remnant == "strip":
        spent = (len(used) - 1) * film_area(frame) + film_area(frame, used[-1].used_length)
        least = (sheets - 1) * film_area(frame) + film_area(frame, rest)
    else:
        spent = len(used) * film_area(frame) - max(area(use.remnant) for use in used)
        together, pinned = (request.items, _pinned(request, frame)) if sheets == 1 else ((), ())
        least = sheets * film_area(frame) - most_left(frame, request.gap, tail, together, pinned)
    return Bound(sheets, length, len(used) <= sheets, spent, min(max(least, 0.0), spent))


def _pinned(request: Request, frame: Frame) -> tuple[Polygon, ...]:
    """The outlines of pinned pieces in the frame of the only sheet."""
    items = {item.key: item for item in request.items}
    lie = [NestPosition(pin.item, pin.copy, pin.region, 0, pin.x, pin.y, pin.turn) for pin in request.pins]
    return tuple(turned_polygon(placed(items[one.item], one), frame.turn) for one in lie)


def _spent_of_any(request: Request, used: Sequence[SheetUse], on: Sequence[Frame]) -> float:
    """What is used of sheets that differ, where only areas can be compared: the film spread pieces may lie on."""
    spent = sum(sheet_area(frame, request.gap) for frame in on)
    if request.remnant == "rectangle":
        return spent - max(area(use.remnant) for use in used)
    last = sheet_area(on[-1], request.gap, used[-1].used_length)
    return spent - sheet_area(on[-1], request.gap) + last
