"""From positions to a nest: how good an arrangement is, what each sheet holds, what was left out and why."""

from __future__ import annotations

from collections import defaultdict

from decalgen.core.geometry import Bounds
from decalgen.nesting.bound import film_area
from decalgen.nesting.frame import Frame, frame_of, pieces_of, shapes_of
from decalgen.nesting.model import LeftOut, Nest, NestPosition, Request, SheetUse
from decalgen.nesting.remnant import area, largest_rectangle, obstacles, strip
from decalgen.nesting.saving import bound_of
from decalgen.nesting.turning import placed, turned_polygon

Score = tuple[tuple[int, ...], int, float, float]
"""Left out by priority, the highest first; sheets; minus the remnant, mm²; used length, mm. Less is
better."""


def left_out_by_priority(request: Request, positions: list[NestPosition]) -> tuple[int, ...]:
    """How many pieces are left out, a number for each priority, the highest first."""
    count: dict[int, int] = {item.priority: 0 for item in request.items}
    rank = {item.key: item.priority for item in request.items}
    for item in request.items:
        count[item.priority] += item.quantity
    for position in positions:
        count[rank[position.item]] -= 1
    return tuple(count[priority] for priority in sorted(count, reverse=True))


def used_lengths(request: Request, positions: list[NestPosition]) -> dict[int, float]:
    """Used length of every sheet, mm."""
    items = {item.key: item for item in request.items}
    frames = {region.key: frame_of(region, i) for i, region in enumerate(request.regions)}
    reach: dict[int, float] = defaultdict(float)
    boxes: dict[tuple[str, int], float] = {}
    for p in positions:
        frame = frames[p.region]
        x, _, turn = frame.into(p.x, p.y, p.turn)
        if (p.item, turn) not in boxes:
            boxes[p.item, turn] = float(turned_polygon(items[p.item].outline, turn).bounds[2])
        reach[p.sheet] = max(reach[p.sheet], x + boxes[p.item, turn] - frame.bounds[0])
    return dict(reach)


def quick_score(request: Request, positions: list[NestPosition]) -> tuple[tuple[int, ...], int, float]:
    """The score without the remnant, for comparing many arrangements: left out, sheets, length used of the last
    one."""
    lengths = used_lengths(request, positions)
    last = lengths[max(lengths)] if lengths else 0.0
    return left_out_by_priority(request, positions), len(lengths), round(last, 4)


def score(request: Request, positions: list[NestPosition]) -> Score:
    """The whole score of an arrangement."""
    left, sheets, last = quick_score(request, positions)
    best = max((area(use.remnant) for use in measure(request, positions)), default=0.0)
    return left, sheets, -round(best, 1), last


def measure(request: Request, positions: list[NestPosition]) -> tuple[SheetUse, ...]:
    """What each sheet of an arrangement holds and has left."""
    items = {item.key: item for item in request.items}
    frames = {region.key: frame_of(region, i) for i, region in enumerate(request.regions)}
    lengths = used_lengths(request, positions)
    by_sheet: dict[int, list[NestPosition]] = defaultdict(list)
    for p in positions:
        by_sheet[p.sheet].append(p)
    numbers: dict[str, int] = defaultdict(int)
    uses = []
    for sheet in sorted(by_sheet):
        here = by_sheet[sheet]
        frame = frames[here[0].region]
        bounds = frame.bounds
        outlines = [turned_polygon(placed(items[p.item], p), frame.turn) for p in here]
        if request.remnant == "strip":
            box = strip(bounds, lengths[sheet], request.gap)
        else:
            box = largest_rectangle(bounds, obstacles(frame, outlines, request.gap))
        uses.append(
            SheetUse(
                region=frame.region.key,
                number=numbers[frame.region.key],
                pieces=len(here),
                used_length=lengths[sheet],
                length=bounds[2] - bounds[0],
                piece_area=sum(o.area for o in outlines),
                free_area=film_area(frame),
                remnant=_on_region(frame, box),
            )
        )
        numbers[frame.region.key] += 1
    return tuple(uses)


def _on_region(frame: Frame, box: Bounds | None) -> Bounds | None:
    if box is None:
        return None
    back = frame_of_turn(frame)
    ax, ay, _ = back.into(box[0], box[1], 0)
    bx, by, _ = back.into(box[2], box[3], 0)
    return min(ax, bx), min(ay, by), max(ax, bx), max(ay, by)


def frame_of_turn(frame: Frame) -> Frame:
    """A frame that turns the other way."""
    return Frame(frame.index, frame.region, -frame.turn % 360, frame.usable, frame.keep_outs)


def build(
    request: Request,
    positions: list[NestPosition],
    engine: str,
    steps: int,
    complete: bool,
    notes: tuple[str, ...],
) -> Nest:
    """The nest of an arrangement."""
    uses = measure(request, positions)
    left = left_out(request, positions)
    bound = bound_of(request, uses, not left)
    return Nest(tuple(positions), left, uses, bound, engine, steps, complete, notes)


def left_out(request: Request, positions: list[NestPosition], brief: bool = False) -> tuple[LeftOut, ...]:
    """The pieces that went nowhere, each with the size it would need and the largest free size.

    ``brief``: only which they are.
    """
    there = {(p.item, p.copy) for p in positions}
    missing: dict[int, list[int]] = defaultdict(list)
    for piece in pieces_of(request):
        if (request.items[piece.item].key, piece.copy) not in there:
            missing[piece.item].append(piece.copy)
    if not missing:
        return ()
    if brief:
        nothing = (0.0, 0.0)
        return tuple(LeftOut(request.items[i].key, tuple(c), nothing, nothing, "") for i, c in missing.items())
    frames = [frame_of(region, i) for i, region in enumerate(request.regions)]
    now = _largest_free(request, positions, frames)
    empty = _size(max((largest_rectangle(f.bounds, obstacles(f, [], request.gap)) for f in frames), key=area))
    entries = []
    for index, copies in sorted(missing.items()):
        item = request.items[index]
        boxes = [(s.width, s.height) for f in frames for s in shapes_of(item, f)]
        needs = min(boxes, key=lambda b: (max(b), b))
        what = f"{item.key} ({len(copies)} of {item.quantity}) needs {needs[0]:.2f} x {needs[1]:.2f} mm"
        fits = any(
            (w <= empty[0] + 1e-6 and h <= empty[1] + 1e-6) or (h <= empty[0] + 1e-6 and w <= empty[1] + 1e-6)
            for w, h in boxes
        )
        if not fits:
            free = empty
            reason = f"{what}; the largest free rectangle of any film is {free[0]:.2f} x {free[1]:.2f} mm"
        else:
            free = now
            reason = f"{what}; what is left free is {free[0]:.2f} x {free[1]:.2f} mm at most"
            if item.group:
                reason += f", and the group {item.group} stays together"
        entries.append(LeftOut(item.key, tuple(copies), needs, free, reason))
    return tuple(entries)


def _largest_free(request: Request, positions: list[NestPosition], frames: list[Frame]) -> tuple[float, float]:
    """The largest rectangle still free on any sheet, opened or not."""
    items = {item.key: item for item in request.items}
    by_sheet: dict[int, list[NestPosition]] = defaultdict(list)
    for p in positions:
        by_sheet[p.sheet].append(p)
    opened = {here[0].region for here in by_sheet.values()}
    unopened = [f for f in frames if f.region.key not in opened]
    found = [largest_rectangle(f.bounds, obstacles(f, [], request.gap)) for f in unopened]
    keys = {f.region.key: f for f in frames}
    for here in by_sheet.values():
        frame = keys[here[0].region]
        outlines = [turned_polygon(placed(items[p.item], p), frame.turn) for p in here]
        found.append(largest_rectangle(frame.bounds, obstacles(frame, outlines, request.gap)))
    return _size(max(found, key=area, default=None))


def _size(box: Bounds | None) -> tuple[float, float]:
    return (0.0, 0.0) if box is None else (box[2] - box[0], box[3] - box[1])
