"""Obstacles that were traced on the tape with a red or blue pen: rings as circles, rectangles or outlines, strokes as
lines, dots as circles. Needs scipy (the extra `scan`); without it none is read, and that is said. Pure; mm of the
sheet, y up."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import LineString, Polygon

from decalgen.core.arrays import FloatArray
from decalgen.core.pixels.contour import half_contour
from decalgen.core.values import dataclass
from decalgen.scan.template.ink import InkMap
from decalgen.scan.template.values import TemplateDoubt

LEAST_PEN = 0.18
"""What a pen takes from one colour more than from another, as density."""
LEAST_MM2 = 0.25
MOST_MARKS = 60
ROUND = 0.08
"""A ring is a circle where its radius differs by less, as a share of it, standard."""
SQUARE = 0.87
"""And a rectangle where it fills so much of the box round it."""
LEAN = math.radians(4)
DOT = 1.6
"""A blob less long than this many times its width is a dot."""
BEND_MM = 0.25
"""A stroke bends where it strays by more from the line between its ends."""
NEEDS_SCIPY = TemplateDoubt(
    "obstacles traced in pen are seen and were left out: to read them needs scipy, which is not installed",
    'type `pip install "decalgen[scan]"` and read it again, or add them to the panel by hand',
)


@dataclass(frozen=True)
class SheetMark:
    """A mark as it lies on the sheet. ``at``: of a circle its middle, of a stroke points along it, of a ring points
    round it; ``wide``: of the stroke; ``size``: of a circle its diameter."""

    kind: str
    at: FloatArray
    wide: float
    size: float = 0.0


@dataclass(frozen=True)
class FoundMarks:
    """The marks inside a panel, from left to right, and what is in doubt because not all of them were read."""

    marks: tuple[SheetMark, ...]
    doubts: tuple[TemplateDoubt, ...] = ()


def marks_in(ink: InkMap, panel: Polygon) -> FoundMarks:
    """What was traced inside a panel. ``panel``: its outline, mm of the sheet."""
    traced = ink.pen > LEAST_PEN
    try:
        from scipy import ndimage
    except ImportError:
        # Tape without a pen's mark is as well read without scipy.
        return FoundMarks((), (NEEDS_SCIPY,) if float(traced.sum()) * ink.mm**2 >= LEAST_MM2 else ())
    labels, count = ndimage.label(traced, structure=np.ones((3, 3)))
    if not count:
        return FoundMarks(())
    found = []
    for number, part in enumerate(ndimage.find_objects(labels), 1):
        mask = labels[part] == number
        if float(mask.sum()) * ink.mm**2 < LEAST_MM2:
            continue
        mark = _mark(mask, (part[1].start, part[0].start), ink, ndimage)
        if mark is not None and panel.contains(LineString(mark.at).centroid if len(mark.at) > 1 else _point(mark.at)):
            found.append(mark)
    found.sort(key=lambda one: float(one.at[:, 0].mean()))
    if len(found) <= MOST_MARKS:
        return FoundMarks(tuple(found))
    said = f"{len(found)} marks in pen are seen on the panel, and the {MOST_MARKS} furthest to the left were read"
    doubt = TemplateDoubt(said, "cover what is not an obstacle, and scan it again")
    return FoundMarks(tuple(found[:MOST_MARKS]), (doubt,))


def _point(at: FloatArray) -> Any:
    from shapely.geometry import Point

    return Point(at[0])


def _mark(mask: NDArray[np.bool_], start: tuple[int, int], ink: InkMap, ndimage: Any) -> SheetMark | None:
    mask = np.pad(mask, 2)
    filled = ndimage.binary_fill_holes(mask)
    inside = filled & ~mask
    edge = _ring(filled, start, ink)
    if edge is None:
        return None
    if float(inside.sum()) * ink.mm**2 > 0.2:
        inner = _ring(inside, start, ink)
        if inner is None:
            return None
        wide = 2 * (Polygon(edge).area - Polygon(inner).area) / (Polygon(edge).length + Polygon(inner).length)
        # The obstacle is what the middle of the stroke goes round.
        middle = Polygon(edge).buffer(-wide / 2)
        if middle.geom_type != "Polygon" or middle.is_empty:
            return None
        return _closed(middle, wide)
    return _stroke(Polygon(edge), mask, start, ink)


def _ring(mask: NDArray[np.bool_], start: tuple[int, int], ink: InkMap) -> FloatArray | None:
    """The outline of a mask, mm of the sheet."""
    parts = half_contour((mask * 255).astype(np.uint8)).geoms
    if not len(parts):
        return None
    line = np.asarray(max(parts, key=lambda one: one.area).exterior.coords)
    cells = np.column_stack((line[:, 0] - 2 + start[0], len(mask) - line[:, 1] - 2 + start[1]))
    return ink.to_mm(np.asarray(cells, float))


def _closed(ring: Polygon, wide: float) -> SheetMark:
    middle = np.array(ring.centroid.coords[0])
    radii = np.linalg.norm(np.asarray(ring.exterior.coords) - middle, axis=1)
    if float(radii.std() / radii.mean()) < ROUND / 2:
        return SheetMark("circle", middle[None], wide, 2 * math.sqrt(ring.area / math.pi))
    box = np.asarray(ring.minimum_rotated_rectangle.exterior.coords)[:-1]
    if ring.area > SQUARE * Polygon(box).area:
        # As large as the ring is, not as its furthest points are.
        about = box.mean(axis=0)
        return SheetMark("rectangle", about + (box - about) * math.sqrt(ring.area / Polygon(box).area), wide)
    return SheetMark("outline", np.asarray(ring.simplify(BEND_MM / 2).exterior.coords)[:-1], wide)


def _stroke(blob: Polygon, mask: NDArray[np.bool_], start: tuple[int, int], ink: InkMap) -> SheetMark | None:
    wide = 2 * blob.area / blob.length
    box = np.asarray(blob.minimum_rotated_rectangle.exterior.coords)[:-1]
    sides = [math.dist(box[0], box[1]), math.dist(box[1], box[2])]
    if max(sides) < DOT * min(sides):
        return SheetMark("circle", np.array(blob.centroid.coords[0])[None], wide, 2 * math.sqrt(blob.area / math.pi))
    rows, columns = np.nonzero(mask)
    cells = np.column_stack((columns - 2 + start[0], rows - 2 + start[1])) + 0.5
    at = ink.to_mm(np.asarray(cells, float))
    order = _along(at, wide)
    line = LineString(order).simplify(BEND_MM) if len(order) > 1 else None
    return SheetMark("line", np.asarray(line.coords), wide) if line is not None else None


def _along(at: FloatArray, wide: float) -> FloatArray:
    """Places along the middle of a stroke: means of slices across the way from one end to the other."""
    middle = at.mean(axis=0)
    way = np.linalg.svd(at - middle, full_matrices=False)[2][0]
    s = (at - middle) @ way
    count = max(2, int(np.ptp(s) / max(wide, 0.2)))
    slot = np.minimum(((s - s.min()) / max(np.ptp(s), 1e-9) * count).astype(int), count - 1)
    means = np.array([at[slot == n].mean(axis=0) for n in range(count) if (slot == n).any()])
    # Out to the ends of the stroke, which a shut line reaches.
    first = means[0] + way * (s.min() - (means[0] - middle) @ way)
    last = means[-1] + way * (s.max() - (means[-1] - middle) @ way)
    return np.vstack((first, means[1:-1], last))
