"""No-fit polygons: where the reference point of one shape must not lie because of another, in whole units."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

import numpy as np
import pyclipper
from shapely.geometry import Polygon

from decalgen.core.arrays import FloatArray
from decalgen.core.values import dataclass
from decalgen.nesting.convex import ConvexPart, Edge, GridPath, add, convex_parts, fewer, part_of, round_part, superset
from decalgen.nesting.frame import Frame, TurnedShape, blocked
from decalgen.nesting.turning import ring

UNITS = 2e6
"""Whole units to the millimetre: half a nanometre, so that rounding stays well within the gate's tolerance."""

ROUGH = 0.01
"""How much further than needed a no-fit polygon may reach in slanted directions, mm; the fewer its points."""

MOST_PARTS = 24
"""A no-fit polygon of more convex parts than this is joined to few outlines once, or each clipping would do it anew:
two rings with round openings are hundreds of parts to one another."""

GridBounds = tuple[int, int, int, int]


@dataclass(frozen=True, eq=False)
class ConvexParts:
    """Convex parts that cover a shape, and the same turned by half a turn about the origin."""

    parts: tuple[ConvexPart, ...]
    negated: tuple[ConvexPart, ...]
    key: tuple[tuple[int, int, tuple[Edge, ...]], ...]
    """What tells it from others, whatever order they are made in."""


@dataclass(frozen=True, eq=False)
class Solid:
    """A shape at one turn in whole units, its reference point at the origin. ``ident`` is its place in the
    catalogue."""

    ident: int
    shape: TurnedShape
    box: GridBounds
    outline: ConvexParts
    filled: ConvexParts
    """The outline without its openings."""

    @property
    def parts(self) -> tuple[ConvexPart, ...]:
        return self.outline.parts

    @property
    def negated(self) -> tuple[ConvexPart, ...]:
        return self.outline.negated

    @property
    def width(self) -> int:
        return self.box[2] - self.box[0]

    @property
    def height(self) -> int:
        return self.box[3] - self.box[1]

    def holds(self, other: Solid, gap: int) -> bool:
        """Whether the other could lie in an opening, as far as their boxes tell."""
        sizes = ((one.max(axis=0) - one.min(axis=0)) * UNITS - 2 * gap for one in self.shape.openings)
        return any(other.width <= width + 1 and other.height <= height + 1 for width, height in sizes)


@dataclass(frozen=True)
class NoFit:
    """Polygons whose union is forbidden, holes running the other way round, and the bounds of each and of all."""

    paths: tuple[tuple[GridPath, GridBounds], ...]
    box: GridBounds


class Catalogue:
    """All shapes of one nest, and the no-fit polygons between them, worked out when first asked for.

    ``slack``: units added to every gap, for a second try should rounding ever fail the gate.
    """

    def __init__(self, gap: float, slack: int = 0) -> None:
        self.units = UNITS
        self.slack = slack
        self.gap = int(np.ceil(gap * UNITS - 1e-6)) + slack
        self.solids: list[Solid] = []
        self._nofit: dict[tuple[int, int], NoFit] = {}

    def add(self, shape: TurnedShape) -> Solid:
        """The solid of a shape."""
        low, high = shape.points.min(axis=0), shape.points.max(axis=0)
        box = tuple(int(v) for v in np.rint(np.concatenate((low, high)) * self.units))
        points = shape.points.tobytes()
        outline, filled = _parts(points, tuple(one.tobytes() for one in shape.openings)), _parts(points, ())
        solid = Solid(len(self.solids), shape, (box[0], box[1], box[2], box[3]), outline, filled)
        self.solids.append(solid)
        return solid

    def nofit(self, fixed: Solid, moving: Solid) -> NoFit:
        """Where ``moving`` must not have its reference point when ``fixed`` has its own at the origin."""
        key = (fixed.ident, moving.ident)
        found = self._nofit.get(key)
        if found is None:
            inside = fixed.holds(moving, self.gap) or moving.holds(fixed, self.gap)
            a, b = (fixed.outline, moving.outline) if inside else (fixed.filled, moving.filled)
            found = self._nofit[key] = _between(a, b, self.gap)
        return found


@lru_cache(maxsize=1024)
def _grown(outline: ConvexParts, gap: int) -> tuple[ConvexPart, ...]:
    """The parts of a shape with the gap round them."""
    disc = round_part(gap)
    return tuple(part if disc is None else add(part, disc) for part in outline.parts)


@lru_cache(maxsize=20_000)
def _between(fixed: ConvexParts, moving: ConvexParts, gap: int) -> NoFit:
    """The no-fit polygon of one shape round another: the same in every nest of the same pieces.

    That of the second round the first is the same turned by half a turn, so one of the two is worked out: always that
    of the lesser, whichever is asked for first.
    """
    if moving.key < fixed.key:
        other = _between(moving, fixed, gap)
        paths = tuple(([(-x, -y) for x, y in path], _turned(box)) for path, box in other.paths)
        return NoFit(paths, _turned(other.box))
    return nofit_of([fewer(add(a, b), ROUGH * UNITS) for a in _grown(fixed, gap) for b in moving.negated])


def _turned(box: GridBounds) -> GridBounds:
    """A box turned by half a turn about the origin."""
    return -box[2], -box[3], -box[0], -box[1]


def nofit_of(parts: list[ConvexPart]) -> NoFit:
    """A no-fit polygon of convex parts; of a few, what lies inside another is left for the clipping."""
    rings = [part.path for part in parts]
    if len(rings) > MOST_PARTS:
        rings = _joined(rings)
    paths = tuple((path, box_of(path)) for path in rings)
    boxes = [box for _, box in paths]
    return NoFit(
        paths,
        (min(b[0] for b in boxes), min(b[1] for b in boxes), max(b[2] for b in boxes), max(b[3] for b in boxes)),
    )


def _joined(rings: list[GridPath]) -> list[GridPath]:
    """The union of polygons, a few at a time: all at once would cross one another far too often."""
    groups = [_union(rings[i : i + MOST_PARTS]) for i in range(0, len(rings), MOST_PARTS)]
    while len(groups) > 1:
        pairs = [groups[i : i + 2] for i in range(0, len(groups), 2)]
        groups = [_union([path for group in pair for path in group]) for pair in pairs]
    return groups[0]


def _union(rings: list[GridPath]) -> list[GridPath]:
    """The union of polygons, holes running the other way round."""
    clipper = pyclipper.Pyclipper()
    clipper.AddPaths(rings, pyclipper.PT_SUBJECT, True)
    found: list[GridPath] = clipper.Execute(pyclipper.CT_UNION, pyclipper.PFT_NONZERO, pyclipper.PFT_NONZERO)
    return [[(x, y) for x, y in path] for path in found]


def box_of(path: GridPath) -> GridBounds:
    """Bounds of a path."""
    # One loop by hand takes less than half the time of four calls of min and max, and this runs after every clipping.
    x0, y0 = x1, y1 = path[0]
    for x, y in path:
        if x < x0:
            x0 = x
        elif x > x1:
            x1 = x
        if y < y0:
            y0 = y
        elif y > y1:
            y1 = y
    return x0, y0, x1, y1


def _whole(points: FloatArray) -> GridPath:
    """Points rounded to whole units."""
    return [(int(x), int(y)) for x, y in np.rint(points * UNITS).astype(np.int64)]


@lru_cache(maxsize=2048)
def _parts(points: bytes, openings: tuple[bytes, ...]) -> ConvexParts:
    """The parts of a shape, kept for every nest; its rings as bytes of pairs of floats."""
    outline, *holes = (np.frombuffer(ring).reshape(-1, 2) for ring in (points, *openings))
    parts = tuple(part_of(_whole(one)) for one in convex_parts(superset(outline, holes)))
    key = tuple((part.x, part.y, part.edges) for part in parts)
    return ConvexParts(parts, tuple(part.negated() for part in parts), key)


class Ground:
    """One sheet in whole units: bounds, and the convex parts of all that is not free."""

    def __init__(self, frame: Frame, catalogue: Catalogue) -> None:
        self.frame = frame
        units = catalogue.units
        x0, y0, x1, y1 = frame.bounds
        # A unit outwards, so that what fits exactly still has a place of more than no size.
        grow = 1 - catalogue.slack
        self.box: GridBounds = (
            int(np.rint(x0 * units)) - grow,
            int(np.rint(y0 * units)) - grow,
            int(np.rint(x1 * units)) + grow,
            int(np.rint(y1 * units)) + grow,
        )
        walls = [part_of(_whole(p)) for polygon in blocked(frame) for p in convex_parts(polygon)]
        disc = round_part(int(np.ceil(frame.region.keep_out_clearance * units - 1e-6)) + catalogue.slack)
        for polygon in frame.keep_outs:
            outline = superset(ring(polygon), [ring(Polygon(h)) for h in polygon.interiors])
            for points in convex_parts(outline):
                part = part_of(_whole(points))
                walls.append(part if disc is None else add(part, disc))
        self.walls = tuple(walls)
        self.fresh: dict[int, Any] = {}
