"""Every mistake in a request, said before any engine sees it."""

from __future__ import annotations

import math

import numpy as np
import shapely
from shapely.geometry import Polygon
from shapely.validation import explain_validity

from decalgen.nesting.engine import ENTRIES
from decalgen.nesting.gate import gate
from decalgen.nesting.model import (
    MAX_LENGTH,
    MAX_PIECES,
    MAX_POINTS,
    MAX_SHEETS,
    NestingError,
    NestItem,
    NestPosition,
    NestRegion,
    Request,
)


def validate(request: Request) -> None:
    """Raise `NestingError` for the first thing wrong with a request."""
    _number(request.gap, "the gap")
    if request.gap < 0:
        raise NestingError(f"the gap is {request.gap:g} mm", "give a gap of 0 mm or more")
    if request.gap > 100:
        raise NestingError(f"the gap is {request.gap:g} mm", "give a gap of at most 100 mm; 1 to 2 mm is usual")
    if request.effort.steps < 1:
        raise NestingError("the effort has no steps", "give it at least one")
    if request.time_limit is not None and not request.time_limit > 0:
        raise NestingError(f"the time limit is {request.time_limit} s", "give a time above 0 s, or none")
    if not request.regions:
        raise NestingError("there is no film to nest onto", "add a film")
    _count(request)
    _unique([item.key for item in request.items], "decal")
    _unique([region.key for region in request.regions], "film")
    for item in request.items:
        _item(item)
    for region in request.regions:
        _region(region)
    _pins(request)
    unknown = [name for name in request.engines or () if name not in ENTRIES]
    if unknown:
        raise NestingError(f"there is no engine '{unknown[0]}'", "use one of: " + ", ".join(ENTRIES))


def _count(request: Request) -> None:
    pieces = 0
    for item in request.items:
        if item.quantity < 0:
            raise NestingError(f"{item.key}: {item.quantity} copies", "give 0 copies or more")
        pieces += item.quantity
    if pieces > MAX_PIECES:
        most = max(request.items, key=lambda item: item.quantity)
        raise NestingError(
            f"{pieces} pieces are too many; {most.key} alone has {most.quantity} copies",
            f"nest at most {MAX_PIECES} pieces at a time",
        )


def _unique(keys: list[str], what: str) -> None:
    seen: set[str] = set()
    for key in keys:
        if key in seen:
            raise NestingError(f"two entries for the {what} '{key}'", "give each its own name")
        seen.add(key)


def _item(item: NestItem) -> None:
    _polygon(item.outline, f"{item.key}: its outline")
    if item.outline.interiors:
        raise NestingError(f"{item.key}: its outline has holes", "give the outer line, and large holes as openings")
    if not item.turns:
        raise NestingError(f"{item.key}: no turn is allowed", "allow at least one, such as 0")
    for opening in item.openings:
        _polygon(opening, f"{item.key}: an opening")
        if not item.outline.contains_properly(opening):
            raise NestingError(f"{item.key}: an opening reaches past the outline", "keep openings inside the outline")
    if len(item.openings) > 1 and shapely.union_all(item.openings).area < sum(o.area for o in item.openings) - 1e-9:
        raise NestingError(f"{item.key}: two openings overlap", "join them to one")


def _region(region: NestRegion) -> None:
    for value, what in ((region.width, "width"), (region.height, "height")):
        _number(value, f"{region.key}: its {what}")
        if not 0 < value <= MAX_LENGTH:
            raise NestingError(f"{region.key}: its {what} is {value:g} mm", f"give 0 to {MAX_LENGTH:g} mm")
    if region.usable.is_empty or (region.usable.is_valid and region.usable.area <= 0):
        raise NestingError(
            f"{region.key}: the film ({region.width:g} x {region.height:g} mm) is smaller than its margins",
            "use a larger film or smaller margins",
        )
    _polygon(region.usable, f"{region.key}: its usable area")
    for polygon in region.keep_outs:
        _polygon(polygon, f"{region.key}: a used part")
    _number(region.keep_out_clearance, f"{region.key}: the clearance round used parts")
    if region.keep_out_clearance < 0:
        raise NestingError(f"{region.key}: the clearance is {region.keep_out_clearance:g} mm", "give 0 mm or more")


def _pins(request: Request) -> None:
    items = {item.key: item for item in request.items}
    regions = {region.key: region for region in request.regions}
    taken: set[tuple[str, int]] = set()
    for pin in request.pins:
        item, region = items.get(pin.item), regions.get(pin.region)
        if item is None or not 0 <= pin.copy < item.quantity:
            raise NestingError(f"a pin for {pin.item}, copy {pin.copy + 1}, but there is no such piece", "unpin it")
        if region is None:
            raise NestingError(f"{pin.item}: pinned onto '{pin.region}', which is not there", "unpin it")
        if not 0 <= pin.number < (MAX_SHEETS if region.repeat else 1):
            raise NestingError(f"{pin.item}: pinned onto a sheet of {pin.region} that is not there", "unpin it")
        if (pin.item, pin.copy) in taken:
            raise NestingError(f"{pin.item}, copy {pin.copy + 1}, is pinned twice", "pin it once")
        _number(pin.x, f"{pin.item}: where it is pinned")
        _number(pin.y, f"{pin.item}: where it is pinned")
        taken.add((pin.item, pin.copy))
    _pins_lie(request)


def _pins_lie(request: Request) -> None:
    """Pinned pieces keep the rules among themselves; nothing can be nested round a fault."""
    if not request.pins:
        return
    keys = list(dict.fromkeys((pin.region, pin.number) for pin in request.pins))
    pinned = tuple(
        NestPosition(p.item, p.copy, p.region, keys.index((p.region, p.number)), p.x, p.y, p.turn) for p in request.pins
    )
    for fault in gate(request, pinned, ()):
        if fault.kind in ("turn", "edge", "keep-out", "gap"):
            raise NestingError(f"pinned where it cannot lie: {fault.message}", "move the pin, or unpin it")


def _number(value: float, what: str) -> None:
    if not math.isfinite(value):
        raise NestingError(f"{what} is not a number ({value})", "give a length in mm")


def _polygon(polygon: Polygon, what: str) -> None:
    if not isinstance(polygon, Polygon) or polygon.is_empty:
        raise NestingError(f"{what} is empty", "draw a closed line round an area")
    points = shapely.get_coordinates(polygon)
    if not np.isfinite(points).all():
        raise NestingError(f"{what} has a point that is not a number", "give every point in mm")
    if len(points) > MAX_POINTS:
        raise NestingError(f"{what} has {len(points)} points", f"simplify it to under {MAX_POINTS}")
    if np.abs(points).max() > MAX_LENGTH:
        raise NestingError(f"{what} reaches {np.abs(points).max():g} mm", f"keep it within {MAX_LENGTH:g} mm")
    if not polygon.is_valid:
        why = explain_validity(polygon)
        if "[" in why:
            x, y = why.split("[")[1].rstrip("]").split()[:2]
            raise NestingError(
                f"{what} crosses or touches itself at ({float(x):.2f}, {float(y):.2f}) mm",
                "draw it as one closed line that never meets itself",
            )
        raise NestingError(f"{what} is not a simple area", "draw it as one closed line that never meets itself")
    if polygon.area < 1e-6:
        raise NestingError(f"{what} has no area", "draw a closed line round an area")
