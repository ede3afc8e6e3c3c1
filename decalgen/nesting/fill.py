"""The exact fill: each piece at the leftmost, then lowest, free place, with true outlines.

A sheet keeps, for each shape, the free places of its reference point as separate areas. An area is brought up
to date with the pieces placed since only when it might hold the next place, so most of the sheet is never
touched. States share their parts: a search can go back to any state at no cost.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import pyclipper

from decalgen.core.values import dataclass
from decalgen.nesting.convex import GridPath, add
from decalgen.nesting.nofit import Catalogue, GridBounds, Ground, NoFit, Solid, box_of, nofit_of

FreeArea = tuple[int, int, GridBounds, tuple[GridPath, ...], int]
"""Leftmost and lowest point, bounds, outlines (outer ones and holes), and how many placed pieces it knows
of."""

CHUNK = 4
"""Forbidden polygons taken off at a time: many at once overlap one another, which clips slowly."""


@dataclass(frozen=True)
class Lying:
    """A solid in place, in units."""

    solid: Solid
    x: int
    y: int


class SheetState:
    """One sheet part filled. `copy` is cheap; areas are never changed, only replaced.

    ``fields``: boxes of the sheet that a solid must lie in one of; none of them means the whole sheet.
    """

    __slots__ = ("areas", "catalogue", "fields", "ground", "placed", "reach")

    def __init__(self, ground: Ground, catalogue: Catalogue) -> None:
        self.ground = ground
        self.catalogue = catalogue
        self.placed: list[Lying] = []
        self.areas: dict[int, tuple[FreeArea, ...]] = {}
        self.reach = ground.box[0]
        self.fields: tuple[GridBounds, ...] = ()

    def copy(self) -> SheetState:
        """The same state, to go on from."""
        twin = SheetState.__new__(SheetState)
        twin.ground, twin.catalogue, twin.reach, twin.fields = self.ground, self.catalogue, self.reach, self.fields
        twin.placed = self.placed.copy()
        twin.areas = self.areas.copy()
        return twin

    def find(self, solid: Solid) -> tuple[int, int] | None:
        """The leftmost, then lowest, free place; None where there is none."""
        areas = self.areas.get(solid.ident)
        if areas is None:
            if self.fields:
                areas = tuple(sorted((a for field in self.fields for a in self._fresh(solid, field)), key=_first))
            else:
                areas = self.ground.fresh.get(solid.ident)
                if areas is None:
                    areas = self.ground.fresh[solid.ident] = self._fresh(solid, self.ground.box)
            self.areas[solid.ident] = areas
        known = len(self.placed)
        if not areas:
            return None
        if areas[0][4] != known:
            work = list(areas)
            while work and work[0][4] != known:
                area = work.pop(0)
                work += self._update(area, solid, known)
                work.sort(key=_first)
            areas = tuple(work)
            self.areas[solid.ident] = areas
            if not areas:
                return None
        return areas[0][0], areas[0][1]

    def beside(self, solid: Solid, box: GridBounds) -> tuple[int, int] | None:
        """The free place where the solid and a box together span least; None where there is none."""
        known = len(self.placed)
        areas: list[FreeArea] = []
        if self.find(solid) is not None:
            work = list(self.areas[solid.ident])
            while work:
                area = work.pop()
                if area[4] == known:
                    areas.append(area)
                else:
                    work += self._update(area, solid, known)
            self.areas[solid.ident] = tuple(sorted(areas, key=_first))
        x, y = box[0] - solid.box[0], box[1] - solid.box[1]
        places = (place for area in areas for path in area[3] for place in _along(path, x, y))
        return min(places, key=lambda at: (span(box, moved_box(solid.box, *at)), at), default=None)

    def place(self, solid: Solid, x: int, y: int) -> None:
        """Put a solid down."""
        self.placed.append(Lying(solid, x, y))
        self.reach = max(self.reach, x + solid.box[2])

    def _fresh(self, solid: Solid, field: GridBounds) -> tuple[FreeArea, ...]:
        """The free areas of an empty sheet, inside a box of it."""
        x0, y0, x1, y1 = self.ground.box
        x0, y0, x1, y1 = max(x0, field[0]), max(y0, field[1]), min(x1, field[2]), min(y1, field[3])
        left, low, right, high = x0 - solid.box[0], y0 - solid.box[1], x1 - solid.box[2], y1 - solid.box[3]
        if left >= right or low >= high:
            return ()
        start: GridPath = [(left, low), (right, low), (right, high), (left, high)]
        walls = [add(wall, part) for wall in self.ground.walls for part in solid.negated]
        clip = [path for path, box in nofit_of(walls).paths if _meet(box, (left, low, right, high))] if walls else []
        if not clip:
            return ((left, low, (left, low, right, high), (start,), 0),)
        return tuple(sorted(areas_of(difference([start], clip), 0), key=_first))

    def _update(self, area: FreeArea, solid: Solid, known: int) -> list[FreeArea]:
        """An area without what the pieces placed since forbid."""
        _, _, (x0, y0, x1, y1), paths, upto = area
        clip: list[GridPath] = []
        nofit = self.catalogue.nofit
        for index in range(upto, known):
            lying = self.placed[index]
            forbidden: NoFit = nofit(lying.solid, solid)
            x, y = lying.x, lying.y
            a0, b0, a1, b1 = forbidden.box
            if a0 + x >= x1 or a1 + x <= x0 or b0 + y >= y1 or b1 + y <= y0:
                continue
            for path, (a0, b0, a1, b1) in forbidden.paths:
                if a0 + x < x1 and a1 + x > x0 and b0 + y < y1 and b1 + y > y0:
                    clip.append([(px + x, py + y) for px, py in path])
            if len(clip) >= CHUNK:
                known = index + 1
                break
        if not clip:
            return [(area[0], area[1], area[2], paths, known)]
        return areas_of(difference(paths, clip), known)


def _first(area: FreeArea) -> tuple[int, int, GridBounds]:
    """What areas are sorted by. Not the outlines: clipping gives them as lists, others are tuples."""
    return area[:3]


def _along(path: GridPath, x: int, y: int) -> Iterator[tuple[int, int]]:
    """Corners of a path, and on its edges along the axes the points nearest to a place."""
    x0, y0 = path[-1]
    for x1, y1 in path:
        yield x1, y1
        if x0 == x1:
            yield x0, min(max(y, min(y0, y1)), max(y0, y1))
        elif y0 == y1:
            yield min(max(x, min(x0, x1)), max(x0, x1)), y0
        x0, y0 = x1, y1


def moved_box(box: GridBounds, x: int, y: int) -> GridBounds:
    """A box moved."""
    return box[0] + x, box[1] + y, box[2] + x, box[3] + y


def _meet(a: GridBounds, b: GridBounds) -> bool:
    return a[0] < b[2] and a[2] > b[0] and a[1] < b[3] and a[3] > b[1]


def hull(a: GridBounds, b: GridBounds) -> GridBounds:
    """The box round two boxes."""
    return min(a[0], b[0]), min(a[1], b[1]), max(a[2], b[2]), max(a[3], b[3])


def span(a: GridBounds, b: GridBounds) -> int:
    """Width and height of the box round two boxes, added."""
    x0, y0, x1, y1 = hull(a, b)
    return x1 - x0 + y1 - y0


def difference(subject: Sequence[GridPath], clip: Sequence[GridPath]) -> list[GridPath]:
    """Areas without others."""
    clipper = pyclipper.Pyclipper()
    clipper.AddPaths(subject, pyclipper.PT_SUBJECT, True)
    clipper.AddPaths(clip, pyclipper.PT_CLIP, True)
    found: list[GridPath] = clipper.Execute(pyclipper.CT_DIFFERENCE, pyclipper.PFT_EVENODD, pyclipper.PFT_NONZERO)
    return found


def areas_of(paths: Sequence[GridPath], known: int) -> list[FreeArea]:
    """Separate areas: each outer ring with the holes that may be its own."""
    if len(paths) == 1:
        x, y = min(paths[0])
        return [(x, y, box_of(paths[0]), (paths[0],), known)]
    outer: list[tuple[GridBounds, list[GridPath]]] = []
    holes: list[GridPath] = []
    for path in paths:
        if _twice_area(path) > 0:
            outer.append((box_of(path), [path]))
        else:
            holes.append(path)
    for hole in holes:
        x, y = hole[0]
        owners = [o for o in outer if o[0][0] <= x <= o[0][2] and o[0][1] <= y <= o[0][3]]
        if len(owners) > 1:
            # Cannot be told apart by bounds: keep them together as one area.
            box = (
                min(o[0][0] for o in owners),
                min(o[0][1] for o in owners),
                max(o[0][2] for o in owners),
                max(o[0][3] for o in owners),
            )
            outer = [o for o in outer if o not in owners]
            outer.append((box, [p for o in owners for p in o[1]] + [hole]))
        elif owners:
            owners[0][1].append(hole)
    result = []
    for box, group in outer:
        x, y = min(min(path) for path in group)
        result.append((x, y, box, tuple(group), known))
    return result


def _twice_area(path: GridPath) -> int:
    total = 0
    x0, y0 = path[-1]
    for x1, y1 in path:
        total += x0 * y1 - x1 * y0
        x0, y0 = x1, y1
    return total
