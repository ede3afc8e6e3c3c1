"""The closed outline on a template: what the outside cannot reach through gaps in the pencil. Needs scipy (the extra
`scan`). Pure.

A ball too large for the gaps is rolled round the pencil from outside; what it cannot reach is inside, and both grow
until they meet, which they do at the line. A large ball closes long gaps, a small one comes into narrow parts: the one
whose outline has most pencil counts.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import Polygon

from decalgen.core.arrays import FloatArray
from decalgen.core.geometry import signed_area
from decalgen.core.pixels.contour import half_contour
from decalgen.core.values import dataclass
from decalgen.scan.edges import LightArray
from decalgen.scan.template.ink import COARSE, InkMap
from decalgen.scan.template.values import TemplateError

BALLS_MM = (3.4, 2.7, 2.1, 1.6, 1.2, 0.9, 0.6)
LEAST_SHARE = 0.55
"""An outline has pencil along this share of it at least."""
RIVAL_SHARE = 0.06
RIVAL_AREA = 0.02
SPECK_MM = 1.2
NEAR_MM = 0.4
CLOSE_MM = 0.35
LEAST_AREA_MM2 = 12.0
NOISE = 5.0
LEAST_INK = 0.05
OF_STRONG_INK = 0.25
NONE = (
    "rub every edge of the panel once round, with gaps of less than 5 mm, or give the corners with --points; check "
    "that the picture is that of a template"
)


@dataclass(frozen=True)
class ClosedOutline:
    """``ring``: places round it, anticlockwise, mm of the sheet. ``rival``: whether another ball gives another one that
    is nearly as likely."""

    ring: FloatArray
    share: float
    rival: bool


def closed_outline(ink: InkMap, tape: Polygon | None) -> ClosedOutline:
    """The outline with most pencil along it. ``tape``: the outline of the tape, pixels: what is dark right along it is
    its shadow. Raises TemplateError where there is none, or scipy is missing."""
    ndimage = _ndimage()
    by = max(1, round(1 / (ink.mm * COARSE)))
    mm = ink.mm * by
    density = _means(ink.pencil, by)
    if tape is not None:
        density = np.where(_along(tape, density.shape, ink, by, mm), 0.0, density).astype(np.float32)
    line = _pencil(density, mm, ndimage)
    pad = round((BALLS_MM[0] + 0.6) / mm)
    line = np.pad(line, pad)
    far = ndimage.distance_transform_edt(~line) * mm
    found: list[tuple[float, NDArray[np.bool_]]] = []
    for ball in BALLS_MM:
        area = _inside(far, ball, mm, ndimage)
        if area is not None:
            rim = area & ~ndimage.binary_erosion(area)
            found.append((float((far[rim] < NEAR_MM).mean()), area))
    if not found or max(found, key=lambda one: one[0])[0] < LEAST_SHARE:
        raise TemplateError("no closed outline is seen in pencil", fix=NONE)
    share, best = max(found, key=lambda one: one[0])
    rival = any(
        other > share - RIVAL_SHARE and float((area ^ best).sum()) > RIVAL_AREA * float(best.sum())
        for other, area in found
    )
    soft = ndimage.gaussian_filter(best.astype(np.float32), 1.0)
    rings = half_contour(np.clip(soft * 255, 0, 255).astype(np.uint8)).geoms
    ring = np.asarray(max(rings, key=lambda one: one.area).exterior.coords)[:-1]
    cells = np.column_stack((ring[:, 0] - pad, len(best) - ring[:, 1] - pad)) * by
    at = ink.to_mm(cells)
    return ClosedOutline(at if signed_area([(x, y) for x, y in at.tolist()]) > 0 else at[::-1], share, rival)


def _ndimage() -> Any:
    """Raises TemplateError where scipy is not installed."""
    try:
        from scipy import ndimage
    except ImportError:
        raise TemplateError(
            "finding the corners by itself needs scipy, which is not installed",
            fix='type `pip install "decalgen[scan]"`, or give the corners with --points',
        ) from None
    return ndimage


def _means(values: LightArray, by: int) -> LightArray:
    rows, columns = values.shape[0] // by * by, values.shape[1] // by * by
    squares = values[:rows, :columns].reshape(rows // by, by, columns // by, by)
    return np.asarray(squares.mean(axis=(1, 3)), np.float32)


def _along(tape: Polygon, shape: tuple[int, ...], ink: InkMap, by: int, mm: float) -> NDArray[np.bool_]:
    """The cells near the rim of the tape, and all outside it."""
    import shapely

    side = ink.by * by
    x = ink.start[0] + (np.arange(shape[1]) + 0.5) * side
    y = ink.start[1] + (np.arange(shape[0]) + 0.5) * side
    inner = tape.buffer(-0.9 * side / mm)
    if inner.is_empty:
        return np.zeros(shape, bool)
    shapely.prepare(inner)
    return np.asarray(~shapely.contains_xy(inner, *np.meshgrid(x, y)), bool)


def _pencil(density: LightArray, mm: float, ndimage: Any) -> NDArray[np.bool_]:
    """What is pencil: what is dark, and what is less dark and joined to it, without specks."""
    middle = float(np.median(density))
    noise = 1.4826 * float(np.median(np.abs(density - middle)))
    strong = float(np.percentile(density[density > LEAST_INK], 90)) if (density > LEAST_INK).any() else 1.0
    low = max(LEAST_INK, middle + NOISE * noise, OF_STRONG_INK * strong)
    labels, count = ndimage.label(density > low, structure=np.ones((3, 3)))
    if not count:
        raise TemplateError("no pencil is seen on the template", fix=NONE)
    numbers = np.arange(1, count + 1)
    dark = ndimage.maximum(density, labels, numbers) > 2 * low
    boxes = ndimage.find_objects(labels)
    long = np.array([max(part.stop - part.start for part in one) * mm > SPECK_MM for one in boxes])
    kept = np.concatenate([[False], dark & long])
    return np.asarray(kept[labels], bool)


def _nearer(seeds: NDArray[np.bool_], inner: NDArray[np.bool_], ndimage: Any) -> NDArray[np.bool_]:
    """Which cells are nearer to a seed that is inside than to one outside."""
    rows, columns = ndimage.distance_transform_edt(~seeds, return_distances=False, return_indices=True)
    return np.asarray(inner[rows, columns], bool)


def _inside(far: FloatArray, ball: float, mm: float, ndimage: Any) -> NDArray[np.bool_] | None:
    """What a ball does not reach from outside; None where it reaches all."""
    labels, count = ndimage.label(far > ball)
    outer = labels[0, 0]
    if count < 2 or not outer:
        return None
    grown = _nearer(labels > 0, labels != outer, ndimage)
    # Round a corner the ball stays further off outside than inside; from near the line both are alike.
    grown = _nearer(far > min(ball, CLOSE_MM), grown, ndimage)
    parts, number = ndimage.label(grown)
    if not number:
        return None
    sizes = ndimage.sum_labels(grown, parts, np.arange(1, number + 1))
    area = ndimage.binary_fill_holes(parts == 1 + int(np.argmax(sizes)))
    return np.asarray(area, bool) if float(area.sum()) * mm**2 > LEAST_AREA_MM2 else None
