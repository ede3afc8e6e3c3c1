"""Requests and arrangements as lines of text between the nest and its engines; numbers come through exactly."""

from __future__ import annotations

import json
from dataclasses import asdict
from typing import Any

import shapely
from shapely.geometry import Polygon

from decalgen.nesting.engine import Found, Task
from decalgen.nesting.model import Effort, NestItem, NestPosition, NestRegion, Pin, Request


def pack_job(where: str, request: Request, task: Task) -> str:
    """One line that tells a worker what to do."""
    return json.dumps({"where": where, "request": _request(request), "task": asdict(task)})


def unpack_job(line: str) -> tuple[str, Request, Task]:
    """The reverse of `pack_job`."""
    data = json.loads(line)
    task = data["task"]
    task["start"] = tuple(NestPosition(**p) for p in task["start"])
    task["sheets"] = tuple(task["sheets"])
    return data["where"], _read_request(data["request"]), Task(**task)


def pack_found(found: Found) -> str:
    """One line that tells of an arrangement."""
    rows = None if found.positions is None else [[*asdict(p).values()] for p in found.positions]
    return json.dumps({"positions": rows, "steps": found.steps})


def unpack_found(line: str) -> Found:
    """The reverse of `pack_found`. Raises `ValueError` for a line that is not one."""
    try:
        data = json.loads(line)
        rows = data["positions"]
        positions = None if rows is None else tuple(_position(row) for row in rows)
        return Found(positions, int(data["steps"]))
    except (KeyError, TypeError, OverflowError) as problem:
        raise ValueError(str(problem)) from problem


def _position(row: list[Any]) -> NestPosition:
    """A position of a row of values, each of its kind."""
    item, copy, region, sheet, x, y, turn = row
    if not (isinstance(item, str) and isinstance(region, str) and all(type(n) is int for n in (copy, sheet, turn))):
        raise ValueError("a position of other kinds of values")
    return NestPosition(item, copy, region, sheet, float(x), float(y), turn)


def _request(request: Request) -> dict[str, Any]:
    return {
        "items": [
            {
                "key": i.key,
                "outline": _ring(i.outline),
                "turns": i.turns,
                "priority": i.priority,
                "quantity": i.quantity,
                "group": i.group,
                "openings": [_ring(o) for o in i.openings],
            }
            for i in request.items
        ],
        "regions": [
            {
                "key": r.key,
                "width": r.width,
                "height": r.height,
                "usable": _rings(r.usable),
                "keep_outs": [_rings(k) for k in r.keep_outs],
                "keep_out_clearance": r.keep_out_clearance,
                "repeat": r.repeat,
                "fill": r.fill,
            }
            for r in request.regions
        ],
        "gap": request.gap,
        "seed": request.seed,
        "effort": asdict(request.effort),
        "remnant": request.remnant,
        "pins": [asdict(pin) for pin in request.pins],
    }


def _read_request(data: dict[str, Any]) -> Request:
    items = tuple(
        NestItem(
            i["key"],
            Polygon(i["outline"]),
            tuple(i["turns"]),
            i["priority"],
            i["quantity"],
            i["group"],
            tuple(Polygon(o) for o in i["openings"]),
        )
        for i in data["items"]
    )
    regions = tuple(
        NestRegion(
            r["key"],
            r["width"],
            r["height"],
            _polygon(r["usable"]),
            tuple(_polygon(k) for k in r["keep_outs"]),
            r["keep_out_clearance"],
            r["repeat"],
            r["fill"],
        )
        for r in data["regions"]
    )
    return Request(
        items,
        regions,
        data["gap"],
        data["seed"],
        Effort(**data["effort"]),
        remnant=data["remnant"],
        pins=tuple(Pin(**pin) for pin in data["pins"]),
    )


def _ring(polygon: Polygon) -> list[list[float]]:
    ring: list[list[float]] = shapely.get_coordinates(polygon.exterior).tolist()
    return ring


def _rings(polygon: Polygon) -> list[list[list[float]]]:
    return [shapely.get_coordinates(r).tolist() for r in (polygon.exterior, *polygon.interiors)]


def _polygon(rings: list[list[list[float]]]) -> Polygon:
    return Polygon(rings[0], rings[1:])
