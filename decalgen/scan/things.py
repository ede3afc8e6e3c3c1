"""What lies on the glass: the outlines of things that differ from the ground, found on a reduced picture. Pure."""

from __future__ import annotations

import math

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from decalgen.core.arrays import FloatArray
from decalgen.core.errors import DecalgenError
from decalgen.core.pixels.contour import half_contour
from decalgen.core.values import dataclass
from decalgen.scan.edges import smoothed
from decalgen.scan.light import PixelWindow, Scan, lab_of

LONG_SIDE = 700
"""The reduced picture has about so many pixels along its longer side."""
APART = 6.0
"""What differs by more from the ground (CIE76) is something: the gap of 6 is above the noise of home scanners
(common practice, no source)."""
FAINT_APART = 2.5
"""The same without noise, on a mean of many pixels."""
DUST = 0.0004
"""Smaller things than this share of the picture are dust."""
RIM = 0.02
"""The ground is what is seen most along the picture's rim, so deep, as a share of its shorter side."""
MOST_CHANGES = 30_000
"""Where ground and something else change places more often on the reduced picture, there is no ground."""


class GroundError(DecalgenError):
    """A picture without an even ground."""

    exit_code = 2


@dataclass(frozen=True)
class Things:
    """Outlines in pixels of the whole scan, y down, the largest first, with the colour of the ground between them.
    ``faint``: outlines of all that differs from the ground at all; they take along pale parts of things."""

    outlines: tuple[Polygon, ...]
    ground: FloatArray
    reduced_by: int
    faint: tuple[Polygon, ...] = ()


def things_on(scan: Scan, within: PixelWindow | None = None) -> Things:
    """The things in a window of a scan, or in all of it; holes are filled."""
    left, top, right, bottom = window = within or scan.whole
    light, by = _reduced(scan, window)
    ground = _along_rim(light)
    far = np.linalg.norm(lab_of(light) - lab_of(ground), axis=2)
    mask = np.clip(127.5 + 20 * (far - APART), 0, 255).astype(np.uint8)
    shown = mask > 127
    if int((shown[1:] != shown[:-1]).sum() + (shown[:, 1:] != shown[:, :-1]).sum()) > MOST_CHANGES:
        raise GroundError(
            f"there is no even ground in '{scan.name}'",
            fix="lay the original on paper of one colour, or give the part that holds it with --part",
        )
    least = DUST * (right - left) * (bottom - top)
    outlines = _outlines(mask, (left, top), by, least)
    # Averages of a few of these pixels hardly vary, so less of a difference counts.
    calm = np.linalg.norm(lab_of(smoothed(light.astype(np.float32), 1.0).astype(np.float64)) - lab_of(ground), axis=2)
    faint = np.clip(127.5 + 40 * (calm - FAINT_APART), 0, 255).astype(np.uint8)
    return Things(outlines, ground, by, _outlines(faint, (left, top), by, least))


def _outlines(mask: NDArray[np.uint8], start: tuple[int, int], by: int, least: float) -> tuple[Polygon, ...]:
    """The outlines, in pixels of the scan, of what is on a reduced picture that starts there, the largest first."""
    found = []
    for area in half_contour(_closed(mask)).geoms:
        line = np.asarray(area.exterior.coords)
        found.append(Polygon(np.column_stack((start[0] + by * line[:, 0], start[1] + by * (len(mask) - line[:, 1])))))
    return tuple(sorted((one for one in found if one.area > least), key=lambda one: -one.area))


def ground_of(scan: Scan, within: PixelWindow) -> FloatArray:
    """The colour, linear, that is seen most along the rim of a window."""
    return _along_rim(_reduced(scan, within)[0])


def _reduced(scan: Scan, window: PixelWindow) -> tuple[FloatArray, int]:
    """Means of squares of pixels, linear, worked out in strips for memory, and the side of a square, pixels."""
    left, top, right, bottom = window
    by = max(1, math.ceil(max(right - left, bottom - top) / LONG_SIDE))
    columns, rows = (right - left) // by, (bottom - top) // by
    made = np.empty((rows, columns, 3))
    for row in range(0, rows, 64):
        end = min(row + 64, rows)
        part = scan.light((left, top + row * by, left + columns * by, top + end * by))
        made[row:end] = part.reshape(end - row, by, columns, by, 3).mean(axis=(1, 3))
    return made, by


def _along_rim(light: FloatArray) -> FloatArray:
    """The median of what is along the rim."""
    deep = max(2, round(RIM * min(light.shape[:2])))
    inside = np.zeros(light.shape[:2], bool)
    inside[deep:-deep, deep:-deep] = True
    return np.asarray(np.median(light[~inside], axis=0), float)


def _closed(mask: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Gaps of a pixel or two bridged: greatest, then least, of 5 × 5."""
    for pick, fill in ((np.maximum, 0), (np.minimum, 255)):
        for axis in (0, 1):
            wide = np.pad(mask, [(2, 2) if n == axis else (0, 0) for n in (0, 1)], constant_values=fill)
            size = mask.shape[axis]
            mask = pick.reduce([np.take(wide, np.arange(n, n + size), axis=axis) for n in range(5)])
    return mask


def window_round(outlines: tuple[Polygon, ...], scan: Scan) -> PixelWindow:
    """The part of a scan that holds outlines."""
    left, top, right, bottom = shapely.total_bounds(outlines)
    return scan.inside((math.floor(left), math.floor(top), math.ceil(right), math.ceil(bottom)))
