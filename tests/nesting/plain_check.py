"""Whether a nest is right, judged without the library the gate stands on: distances by plain sums over edges, overlaps
by the pyclipper library. Slow, and shares nothing with what it judges but the positions. Lengths in mm.

``made_up`` makes small jobs from a number, for this and for the benchmark.
"""

from __future__ import annotations

import math
import random
from collections import Counter

import numpy as np
import pyclipper
from numpy.typing import NDArray
from shapely.geometry import Point, Polygon, box

from decalgen.nesting import Effort, Nest, NestItem, NestPosition, NestRegion, Request

Points = NDArray[np.float64]

FINE = 2.0**30
"""Units of a millimetre in which overlaps are looked for."""

NEAR = 2e-6
"""What is no nearer than this to a limit, mm, keeps it: gaps are kept to a millionth, and sums round."""


def made_up(seed: int) -> Request:
    """A small job made up from a number: boxes, discs, slanted stripes and crosses onto whole or part-used films."""
    draw = random.Random(seed)

    def outline() -> Polygon:
        w, h = draw.uniform(2, 40), draw.uniform(2, 20)
        lean = draw.uniform(-6, 6)
        disc = Point(0, 0).buffer(draw.uniform(2, 9), quad_segs=6)
        slanted = Polygon([(0, 0), (w, 0), (w + lean, h), (lean, h)])
        arm = draw.uniform(2, 7)
        cross = box(0, arm, 3 * arm, 2 * arm).union(box(arm, 0, 2 * arm, 3 * arm))
        return draw.choice([box(0, 0, w, h), disc, slanted, cross])

    turns = [(0,), (0, 180), (0, 90, 180, 270), (0, 45, 90)]
    group = draw.random() < 0.3
    items = tuple(
        NestItem(
            f"decal {n}",
            outline(),
            draw.choice(turns),
            draw.randrange(3),
            draw.randint(1, 5),
            "pair" if group and n < 2 else "",
        )
        for n in range(draw.randint(1, 7))
    )
    w, h = draw.choice([(148.0, 105.0), (105.0, 148.0), (210.0, 148.0)])
    outs = tuple(
        box(x, y, x + draw.uniform(5, 50), y + draw.uniform(5, 50)).buffer(draw.uniform(0, 4), quad_segs=4)
        for x, y in [(draw.uniform(0, w), draw.uniform(0, h)) for _ in range(draw.randrange(3))]
    )
    film = NestRegion("film", w, h, box(5, 5, w - 5, h - 5), outs, draw.choice([0.0, 0.5, 2.0]), draw.random() < 0.5)
    gap = draw.choice([0.0, 0.3, 1.0, 2.0, 2.5])
    return Request(items, (film,), gap, seed, Effort("short", 150), remnant=draw.choice(["rectangle", "strip"]))


def faults(request: Request, found: Nest) -> list[str]:
    """What is wrong with a nest, in words; nothing where it is right. For outlines without openings, and areas that
    pieces lie in without holes."""
    items = {item.key: item for item in request.items}
    regions = {region.key: region for region in request.regions}
    told = [f"{p.item} is turned by {p.turn}" for p in found.positions if p.turn % 360 not in _turns(items[p.item])]
    told += _counted(request, found)
    lying = [(p, _outline(items[p.item], p)) for p in found.positions]
    for n, (p, points) in enumerate(lying):
        region = regions[p.region]
        if _outside(points, _ring(region.usable)) > NEAR:
            told.append(f"{p.item} lies outside the film")
        for out in region.keep_outs:
            told += _too_near(p.item, points, "a used part", _ring(out), region.keep_out_clearance)
        for other, its in lying[:n]:
            if other.sheet == p.sheet:
                told += _too_near(p.item, points, other.item, its, request.gap)
    return told


def _turns(item: NestItem) -> set[int]:
    return {turn % 360 for turn in item.turns}


def _counted(request: Request, found: Nest) -> list[str]:
    """Every copy lies once, or is said to be left out; one sheet is of one film."""
    there = Counter((p.item, p.copy) for p in found.positions)
    there.update((one.item, copy) for one in found.left_out for copy in one.copies)
    wanted = Counter((item.key, copy) for item in request.items for copy in range(item.quantity))
    films = {(p.sheet, p.region) for p in found.positions}
    told = [] if there == wanted else ["pieces are missing, or there twice"]
    return told if len(films) == len({sheet for sheet, _ in films}) else [*told, "a sheet is of two films"]


def _ring(area: Polygon) -> Points:
    points: Points = np.array(area.exterior.coords[:-1], dtype=float)
    return points


def _outline(item: NestItem, p: NestPosition) -> Points:
    turn = math.radians(p.turn)
    x, y = _ring(item.outline).T
    a, b = math.cos(turn), math.sin(turn)
    return np.column_stack([a * x - b * y + p.x, b * x + a * y + p.y])


def _too_near(name: str, one: Points, other_name: str, other: Points, gap: float) -> list[str]:
    apart = 0.0 if _common(one, other) > NEAR else min(_off(one, other).min(), _off(other, one).min())
    if _common(one, other) > NEAR or apart < gap - NEAR:
        return [f"{name} lies {apart:.6f} mm from {other_name}, {gap:g} mm are asked for"]
    return []


def _off(points: Points, ring: Points) -> Points:
    """How far each point lies from the nearest edge of a ring: what two outlines that do not cross are apart."""
    start, way = ring, np.roll(ring, -1, axis=0) - ring
    long = (way**2).sum(axis=1)
    at = points[:, None, :] - start[None, :, :]
    part = np.clip((at * way).sum(axis=2) / np.where(long > 0, long, 1.0), 0.0, 1.0)
    found: Points = np.hypot(*np.moveaxis(at - part[:, :, None] * way, 2, 0)).min(axis=1)
    return found


def _outside(points: Points, ring: Points) -> float:
    """How far an outline sticks out of a ring: its area outside, over its length, mm."""
    return _area(points, ring, pyclipper.CT_DIFFERENCE) / _length(points)


def _common(one: Points, other: Points) -> float:
    """How far two outlines reach into each other: their common area over the length of the shorter, mm."""
    apart = max((one.min(axis=0) - other.max(axis=0)).max(), (other.min(axis=0) - one.max(axis=0)).max())
    if apart > 0:
        return 0.0
    return _area(one, other, pyclipper.CT_INTERSECTION) / min(_length(one), _length(other))


def _length(points: Points) -> float:
    return float(np.hypot(*(np.roll(points, -1, axis=0) - points).T).sum())


def _area(one: Points, other: Points, what: int) -> float:
    clipper = pyclipper.Pyclipper()
    for points, kind in ((one, pyclipper.PT_SUBJECT), (other, pyclipper.PT_CLIP)):
        clipper.AddPath([(int(x), int(y)) for x, y in np.rint(points * FINE)], kind, True)
    left = clipper.Execute(what, pyclipper.PFT_NONZERO, pyclipper.PFT_NONZERO)
    return abs(sum(pyclipper.Area(path) for path in left)) / FINE**2
