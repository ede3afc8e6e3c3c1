"""Where the edge of a panel is seen beside a course that is roughly along it: in a pencil line, or where a photo
changes colour. Pure; mm of the sheet.

Pencil lies on the face and stops a little beyond the edge, so the edge is looked for near the outer border of the line.
How far inside that border it is (`BORDER_MM`) is an assumption about pencil and tape that no picture can tell; typed
sizes can.
"""

from __future__ import annotations

from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from decalgen.core.arrays import FloatArray
from decalgen.core.values import dataclass
from decalgen.scan.edges import LightArray, sampled, smoothed
from decalgen.scan.light import PixelWindow, Scan, lab_of, window_middle
from decalgen.scan.scale import ScanScale
from decalgen.scan.template.ink import InkMap

STEP_MM = 0.04
BORDER_MM = 0.045
"""The edge is so far inside the outer border of a pencil line (half way between none and all of the reach beyond it
that pencil was seen to have; common practice, no source)."""
LEAST_DENSITY = 0.07
OF_STRONG = 0.3
"""A line is there where it has this share of the density of the stronger parts of the outline."""
LEAST_CHANGE = 8.0
"""The least CIE76 change over an edge in a photo."""


class EdgeFinder(Protocol):
    """Looks for the edge on lines square to a course."""

    def find(self, places: FloatArray, out: FloatArray, reach: float) -> tuple[FloatArray, NDArray[np.bool_]]:
        """How far outward of each place the edge is, mm, and whether it is seen at all."""


def _steps(reach: float) -> FloatArray:
    count = round(reach / STEP_MM)
    return np.asarray(np.arange(-count, count + 1) * STEP_MM, float)


@dataclass(frozen=True)
class PencilEdges:
    """The outer border of a pencil line. ``least``: the density that counts as pencil."""

    ink: InkMap
    least: float = LEAST_DENSITY

    def profile(self, places: FloatArray, out: FloatArray, reach: float) -> tuple[FloatArray, FloatArray]:
        """Steps outward, and the density at each (rows) for each place (columns)."""
        steps = _steps(reach)
        return steps, self.ink.pencil_at(places[None] + steps[:, None, None] * out[None])

    def find(self, places: FloatArray, out: FloatArray, reach: float) -> tuple[FloatArray, NDArray[np.bool_]]:
        """See EdgeFinder."""
        steps, density = self.profile(places, out, reach + 0.5)
        pick = np.arange(len(places))
        near = np.where(np.abs(steps) <= reach, np.exp(-((steps / (1.2 * reach)) ** 2)), 0.0)
        top = (density * near[:, None]).argmax(axis=0)
        high = density[top, pick]
        # From the top outward to where half of it is left.
        beyond = (np.arange(len(steps))[:, None] > top) & (density < high / 2)
        first = np.where(beyond.any(axis=0), beyond.argmax(axis=0), len(steps) - 1)
        upper, lower = density[first - 1, pick], density[first, pick]
        share = np.clip((upper - high / 2) / np.maximum(upper - lower, 1e-6), 0.0, 1.0)
        border = steps[first - 1] + share * STEP_MM
        there = (high > self.least) & beyond.any(axis=0) & (np.abs(steps[top]) < reach)
        return border - BORDER_MM, there

    def tuned(self, places: FloatArray, out: FloatArray, reach: float) -> PencilEdges:
        """With the least density by what is seen along a whole outline."""
        _, density = self.profile(places, out, reach)
        strong = float(np.percentile(density.max(axis=0), 75))
        return PencilEdges(self.ink, max(LEAST_DENSITY, OF_STRONG * strong))


@dataclass(frozen=True)
class ColourEdges:
    """Where the colour of a photo changes most. ``lab``: CIE L*a*b* of a window that starts at ``start``, pixels."""

    lab: LightArray
    start: tuple[int, int]
    scale: ScanScale
    mm: float

    def find(self, places: FloatArray, out: FloatArray, reach: float) -> tuple[FloatArray, NDArray[np.bool_]]:
        """See EdgeFinder."""
        wide = max(2, round(2 * self.mm / STEP_MM))
        steps = _steps(reach + wide * STEP_MM)
        at = places[None] + steps[:, None, None] * out[None]
        cells = self.scale.to_pixels(at.reshape(-1, 2)) - self.start
        lab = sampled(self.lab, cells).reshape(len(steps), len(places), 3)
        change = np.linalg.norm(lab[2 * wide :] - lab[: -2 * wide], axis=2)
        middle = steps[wide:-wide]
        weight = np.exp(-((middle / (1.2 * reach)) ** 2))
        top = np.clip((change * weight[:, None]).argmax(axis=0), 1, len(middle) - 2)
        pick = np.arange(len(places))
        low, high, beyond = change[top - 1, pick], change[top, pick], change[top + 1, pick]
        bend = np.minimum(low + beyond - 2 * high, -1e-9)
        off = middle[top] + STEP_MM * np.clip((low - beyond) / bend / 2, -1, 1)
        return off, (high > LEAST_CHANGE) & (np.abs(off) < 0.98 * reach)


def colour_edges(scan: Scan, window: PixelWindow, scale: ScanScale) -> ColourEdges:
    """The colours of a window, against noise."""
    left, top, _, _ = window
    lab = lab_of(smoothed(scan.light(window), 0.8).astype(np.float64)).astype(np.float32)
    mm = scale.pixel_mm(window_middle(window))
    return ColourEdges(lab, (left, top), scale, mm)
