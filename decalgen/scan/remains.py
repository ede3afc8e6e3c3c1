"""What is left of an original, as it is measured: dots on its edges in mm, its light, and what a fit says of it."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import field

import numpy as np
from numpy.typing import NDArray

from decalgen.colour.spaces import Light
from decalgen.colour.value import Colour
from decalgen.core.arrays import FloatArray
from decalgen.core.values import dataclass
from decalgen.scan.colours import WHITE
from decalgen.scan.edges import THIN, edge_dots
from decalgen.scan.light import PixelWindow, Scan, lab_of
from decalgen.scan.scale import ScanScale

SCANNER_OFF = 0.004
"""Standard error of the place of a whole edge on a home scanner, mm: the carriage jitters (4 to 20 µm at worst were
seen; common practice, no source). It does not shrink with the count of dots."""
NEAR_PIXELS = 0.7
"""A dot belongs to an edge of a fit that passes it nearer than this, or than `NEAR_MM` if that is more."""
NEAR_MM = 0.035
ALIGNED = math.cos(math.radians(20))
"""And whose direction is nearly its own."""
THIN_MM = 0.3
"""Scratches are no wider (common practice, no source)."""
LITTLE = 0.15
"""A value with less of its edges left is not to be trusted."""
SHOWN = 0.4
"""A piece of an edge of which this share has dots is there."""
TELLING = 20.0
"""An ink that is further from torn paper and from the ground (CIE76) shows by itself where the pattern is."""


@dataclass(frozen=True)
class Remains:
    """Dots on edges, in mm, with their normals; the scan itself, and the colour of the ground, linear. ``solid``: which
    dots are of edges of areas, not of scratches and other thin lines; ``pixel``: mm."""

    scan: Scan
    scale: ScanScale
    window: PixelWindow
    at: FloatArray
    normal: FloatArray
    solid: NDArray[np.bool_]
    ground: FloatArray
    pixel: float

    @property
    def near(self) -> float:
        """How near to an edge of a fit a dot that belongs to it is, mm."""
        return max(NEAR_MM, NEAR_PIXELS * self.pixel)

    @property
    def counted(self) -> int:
        """How many dots a fit is held against."""
        return int(self.solid.sum())

    def light_at(self, places: FloatArray) -> FloatArray:
        """Linear light at places in mm, along the last axis."""
        flat = places.reshape(-1, 2)
        return self.scan.light_at(self.scale.to_pixels(flat)).reshape(*places.shape[:-1], 3)

    def holds(self, places: FloatArray) -> NDArray[np.bool_]:
        """Whether places in mm, along the last axis, are in the window."""
        at = self.scale.to_pixels(places.reshape(-1, 2)).reshape(places.shape)
        left, top, right, bottom = self.window
        inside = (at[..., 0] >= left) & (at[..., 0] < right) & (at[..., 1] >= top) & (at[..., 1] < bottom)
        return np.asarray(inside, bool)

    def is_telling(self, ink: FloatArray) -> bool:
        """Whether an ink, linear, cannot be taken for torn paper or for the ground."""
        own = lab_of(ink)
        return all(float(np.linalg.norm(own - lab_of(other))) > TELLING for other in (WHITE, self.ground))


def remains_in(scan: Scan, window: PixelWindow, scale: ScanScale, ground: FloatArray) -> Remains:
    """What is in a window of a scan."""
    left, top, right, bottom = window
    middle = np.array([(left + right) / 2, (top + bottom) / 2])
    pixel = scale.pixel_mm(middle)
    dots = edge_dots(scan, window, max(THIN, THIN_MM / pixel))
    solid = ~dots.thin
    if solid.sum() < 0.2 * len(dots):
        solid = np.ones(len(dots), bool)
    normal = scale.directions(dots.at, dots.normal)
    return Remains(scan, scale, window, scale.to_mm(dots.at), normal, solid, ground, pixel)


@dataclass(frozen=True)
class FoundValue:
    """A value with its standard uncertainty, in mm or ``unit``; ``share``: how much of the edges that tell it is still
    there, 0 to 1; ``doubt``: why it is not to be trusted, '' if it is. ``least``: it is at least this."""

    name: str
    value: float
    u: float
    share: float
    unit: str = "mm"
    doubt: str = ""
    least: bool = False


@dataclass(frozen=True)
class FitEdge:
    """An edge of a fit, points in mm, and whether it is still there."""

    points: tuple[tuple[float, float], ...]
    there: bool


@dataclass(frozen=True)
class PatternFit:
    """A pattern as it was fitted. ``inks``: its colours, linear light; ``parts``: the number of the ink of each of its
    parts, None for a gap: of checks the cell at the upper left and the one beside it, of stripes each from the top or
    the left, of a roundel each ring from the outside in; ``upright``: of stripes. ``score``: how much of the dots and
    of its own edges it explains, 0 to 1."""

    kind: str
    values: tuple[FoundValue, ...]
    inks: tuple[Light, ...]
    parts: tuple[int | None, ...]
    score: float
    upright: bool = False
    edges: tuple[FitEdge, ...] = field(repr=False, default=())

    @property
    def colours(self) -> list[str]:
        """Its inks as they were scanned, '#rrggbb'."""
        return [Colour.from_linear(ink).hex for ink in self.inks]

    def value(self, name: str) -> float:
        """One of its values by its name."""
        return next(one.value for one in self.values if one.name == name)


def fit_edge(points: FloatArray, there: NDArray[np.bool_]) -> FitEdge:
    """A piece of an edge through points, mm, one a row, by which of its steps have a dot."""
    return FitEdge(tuple((float(x), float(y)) for x, y in points), bool(there.size and there.mean() >= SHOWN))


def plain_inks(inks: Iterable[FloatArray]) -> tuple[Light, ...]:
    """Inks as a fit has them."""
    return tuple((float(r), float(g), float(b)) for r, g, b in inks)


def little_left(share: float, edges_are: str = "its edges are") -> str:
    """Why a value is not to be trusted of whose edges only this share is left; '' where it is enough."""
    if share >= LITTLE:
        return ""
    return f"only {share:.0%} of {edges_are} left"


def turned(points: FloatArray, angle: float) -> FloatArray:
    """Points in axes that are turned by so much, radians."""
    cos, sin = math.cos(angle), math.sin(angle)
    return np.asarray(points @ np.array([[cos, -sin], [sin, cos]]), float)


def shares(explained: int, dots: int, there: float, whole: float) -> float:
    """The score of a fit, from the share of the dots that are on its edges, which tells more, and that of its edges
    that have dots."""
    if not dots or not whole > 0:
        return 0.0
    return float(min(explained / dots, 1.0) ** 0.6 * min(there / whole, 1.0) ** 0.4)


def tukey(rest: FloatArray, spread: float) -> FloatArray:
    """Weights of what is left over, 0 for what is far off (J. W. Tukey's biweight, tuned by 4.685)."""
    return np.asarray(np.maximum(1 - (rest / (4.685 * spread)) ** 2, 0.0) ** 2, float)


def spread_of(rest: FloatArray, least: float) -> float:
    """The standard deviation of the bulk of it, by the median."""
    return max(1.4826 * float(np.median(np.abs(rest))), least) if len(rest) else least


def covered(along: FloatArray, low: float, high: float, step: float) -> NDArray[np.bool_]:
    """Which of the steps from ``low`` to ``high`` have a dot in them."""
    count = max(1, round((high - low) / step))
    hit = np.floor((along - low) / (high - low) * count).astype(np.int64)
    found = np.zeros(count, bool)
    found[hit[(hit >= 0) & (hit < count)]] = True
    return found
