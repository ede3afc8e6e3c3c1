"""The gate: no arrangement leaves the nest unless float64 geometry, apart from any engine's own, finds no fault
with it."""

from __future__ import annotations

from collections import Counter, defaultdict

import numpy as np
import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from decalgen.core.values import dataclass
from decalgen.nesting.model import MAX_LENGTH, TOLERANCE, LeftOut, NestItem, NestPosition, NestRegion, Request
from decalgen.nesting.turning import body, placed

NOISE = 1e-9
"""What float64 itself may lose between an arrangement and its check, mm."""


@dataclass(frozen=True)
class Fault:
    """What is wrong with an arrangement. ``pieces``: the positions' places in the arrangement."""

    kind: str
    message: str
    pieces: tuple[int, ...] = ()


def gate(request: Request, positions: tuple[NestPosition, ...], left_out: tuple[LeftOut, ...]) -> list[Fault]:
    """Every fault of a nest: pieces missing or doubled, turns not allowed, gap, edges, keep-outs, pins,
    groups."""
    items = {item.key: item for item in request.items}
    regions = {region.key: region for region in request.regions}
    unknown = references(request, positions)
    faults = _counts(request, positions, left_out) + unknown
    if unknown:
        return faults
    faults += _turns(positions, items) + _sheets(positions, regions)
    faults += _pins(request, positions) + _groups(request, positions)
    by_sheet: dict[int, list[int]] = defaultdict(list)
    for i, position in enumerate(positions):
        by_sheet[position.sheet].append(i)
    for indices in by_sheet.values():
        region = regions[positions[indices[0]].region]
        here = [positions[i] for i in indices]
        bodies = np.array([body(items[p.item], p) for p in here])
        outlines = np.array([placed(items[p.item], p) for p in here])
        faults += _inside(region, outlines, indices, here)
        faults += _clear_of(region, outlines, indices, here)
        faults += _apart(request.gap, bodies, indices, here)
    return faults


def _counts(request: Request, positions: tuple[NestPosition, ...], left_out: tuple[LeftOut, ...]) -> list[Fault]:
    seen = Counter((p.item, p.copy) for p in positions)
    seen.update((entry.item, copy) for entry in left_out for copy in entry.copies)
    wanted = {(item.key, copy) for item in request.items for copy in range(item.quantity)}
    faults = [Fault("count", f"{key}, copy {copy + 1}, is missing") for key, copy in sorted(wanted - set(seen))]
    for (key, copy), times in seen.items():
        if (key, copy) not in wanted:
            faults.append(Fault("count", f"{key}, copy {copy + 1}, was not asked for"))
        elif times > 1:
            faults.append(Fault("count", f"{key}, copy {copy + 1}, is there {times} times"))
    return faults


def references(request: Request, positions: tuple[NestPosition, ...]) -> list[Fault]:
    """Positions of no piece or no film of the request, or at no place: nothing further can be said of them."""
    items = {item.key for item in request.items}
    regions = {region.key for region in request.regions}
    faults = []
    for i, p in enumerate(positions):
        if p.item not in items or p.region not in regions:
            faults.append(Fault("reference", f"{p.item} on {p.region}: unknown", (i,)))
        elif not np.isfinite((p.x, p.y)).all() or max(abs(p.x), abs(p.y)) > 100 * MAX_LENGTH:
            faults.append(Fault("reference", f"{p.item}: has no place", (i,)))
    return faults


def _turns(positions: tuple[NestPosition, ...], items: dict[str, NestItem]) -> list[Fault]:
    return [
        Fault("turn", f"{p.item}: turned by {p.turn}, which is not allowed", (i,))
        for i, p in enumerate(positions)
        if p.turn % 360 not in {turn % 360 for turn in items[p.item].turns}
    ]


def _sheets(positions: tuple[NestPosition, ...], regions: dict[str, NestRegion]) -> list[Fault]:
    region_of: dict[int, str] = {}
    for p in positions:
        if region_of.setdefault(p.sheet, p.region) != p.region:
            return [Fault("sheet", f"sheet {p.sheet + 1} is both {region_of[p.sheet]} and {p.region}")]
    often = Counter(region_of.values())
    return [
        Fault("sheet", f"{key} is there once but used {count} times")
        for key, count in often.items()
        if count > 1 and not regions[key].repeat
    ]


def _pins(request: Request, positions: tuple[NestPosition, ...]) -> list[Fault]:
    where = {(p.item, p.copy): p for p in positions}
    faults = []
    for pin in request.pins:
        p = where.get((pin.item, pin.copy))
        if p is None or (p.region, p.x, p.y, p.turn % 360) != (pin.region, pin.x, pin.y, pin.turn % 360):
            faults.append(Fault("pin", f"{pin.item}, copy {pin.copy + 1}, is not where it was pinned"))
    return faults


def _groups(request: Request, positions: tuple[NestPosition, ...]) -> list[Fault]:
    group_of = {item.key: item.group for item in request.items if item.group}
    if not group_of:
        return []
    wanted: Counter[str] = Counter()
    for item in request.items:
        if item.group:
            wanted[item.group] += item.quantity
    sheets: dict[str, Counter[int]] = defaultdict(Counter)
    for p in positions:
        if p.item in group_of:
            sheets[group_of[p.item]][p.sheet] += 1
    return [
        Fault("group", f"the group {name} is not together on one sheet")
        for name, count in sheets.items()
        if len(count) > 1 or sum(count.values()) != wanted[name]
    ]


def _inside(region: NestRegion, outlines: np.ndarray, indices: list[int], here: list[NestPosition]) -> list[Fault]:
    wide = region.usable.buffer(TOLERANCE + NOISE, join_style="mitre")
    shapely.prepare(wide)
    return [
        Fault("edge", f"{here[i].item} reaches past the usable area of {region.key}", (indices[i],))
        for i in np.flatnonzero(~shapely.covers(wide, outlines))
    ]


def _clear_of(region: NestRegion, outlines: np.ndarray, indices: list[int], here: list[NestPosition]) -> list[Fault]:
    faults = []
    for keep_out in region.keep_outs:
        for i in np.flatnonzero(~apart(outlines, keep_out, region.keep_out_clearance)):
            clearance = f"{region.keep_out_clearance:g} mm"
            message = f"{here[i].item} is nearer than {clearance} to a used part of {region.key}"
            faults.append(Fault("keep-out", message, (indices[i],)))
    return faults


def _apart(gap: float, bodies: np.ndarray, indices: list[int], here: list[NestPosition]) -> list[Fault]:
    tree = shapely.STRtree(bodies)
    left, right = tree.query(bodies, predicate="dwithin", distance=gap)
    pairs = left < right
    left, right = left[pairs], right[pairs]
    if not len(left):
        return []
    close = ~apart(bodies[left], bodies[right], gap)
    faults = []
    for a, b in zip(left[close], right[close], strict=True):
        both = f"{here[a].item} and {here[b].item}"
        message = f"{both} are {_distance(bodies[a], bodies[b], gap)} mm apart, not {gap:g} mm"
        if shapely.intersection(bodies[a], bodies[b]).area > TOLERANCE**2:
            message = f"{both} overlap"
        faults.append(Fault("gap", message, (indices[a], indices[b])))
    return faults


def _distance(a: BaseGeometry, b: BaseGeometry, gap: float) -> str:
    """To a hundredth of a millimetre, or more finely where that would look like the gap itself."""
    distance = float(shapely.distance(a, b))
    return f"{distance:.2f}" if float(f"{distance:.2f}") < gap else f"{distance:.6f}"


def apart(a: np.ndarray | BaseGeometry, b: np.ndarray | Polygon, distance: float) -> np.ndarray:
    """Whether areas keep a distance, to within `TOLERANCE`.

    A distance of 0 cannot tell touching from overlapping, so there both shrink by half the tolerance first.
    """
    if distance > TOLERANCE:
        return np.asarray(shapely.distance(a, b) >= distance - TOLERANCE - NOISE)
    small = (TOLERANCE + NOISE) / 2
    return ~np.asarray(
        shapely.intersects(shapely.buffer(a, -small, join_style="mitre"), shapely.buffer(b, -small, join_style="mitre"))
    )
