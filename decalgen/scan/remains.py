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
from decalgen.scan.colours import GROUND_ALIKE, PAPER_ALIKE, WHITE
from decalgen.scan.edges import THIN, edge_dots
from decalgen.scan.light import PixelWindow, Scan, lab_of, window_middle
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
TEAR_ALIKE = 7.0
"""An edge with a side this near to the ground or to torn paper (CIE76) may be a tear."""
TEAR_LENIENT = 0.7
"""By so much less does a tear inside a pattern count against it than another edge that it does not explain."""
SHOWN = 0.4
"""A piece of an edge of which this share has dots is there."""
TELLING = 20.0
"""An ink that is further from torn paper and from the ground (CIE76) shows by itself where the pattern is."""


@dataclass(frozen=True)
class Remains:
    """Dots on edges, in mm, with their normals; the scan itself, and the colour of the ground, linear. ``solid``: which
    dots are of edges of areas, not of scratches and other thin lines, and clear, not faint; ``faint``: which are of
    edges between colours that hardly differ, ``torn``: of edges with the ground or torn paper on one side; ``pixel``:
    mm."""

    scan: Scan
    scale: ScanScale
    window: PixelWindow
    at: FloatArray
    normal: FloatArray
    solid: NDArray[np.bool_]
    faint: NDArray[np.bool_]
    torn: NDArray[np.bool_]
    ground: FloatArray
    pixel: float

    @property
    def near(self) -> float:
        """How near to an edge of a fit a dot that belongs to it is, mm."""
        return max(NEAR_MM, NEAR_PIXELS * self.pixel)

    def score(
        self, on: NDArray[np.bool_], inside: NDArray[np.bool_], seen: tuple[float, float], others: int = 0
    ) -> float:
        """How much a fit explains, 0 to 1: from the share of the dots that are on its edges (``on``, and ``others``),
        which tells more, and that of its edges that have dots (``seen``: of how many mm). Dots on tears inside of it
        count less against it."""
        off = self.solid & ~on
        against = int(off.sum()) - TEAR_LENIENT * int((off & self.torn & inside).sum())
        own = int(on.sum()) + others
        if not own or not seen[1] > 0:
            return 0.0
        return float((own / (own + max(against - others, 0.0))) ** 0.6 * min(seen[0] / seen[1], 1.0) ** 0.4)

    def light_at(self, places: FloatArray) -> FloatArray:
        """Linear light at places in mm, along the last axis."""
        flat = places.reshape(-1, 2)
        return self.scan.light_at(self.scale.to_pixels(flat)).reshape(*places.shape[:-1], 3)

    def calm_light_at(self, places: FloatArray) -> FloatArray:
        """The same, each the mean of 3 × 3 pixels, against noise."""
        flat = self.scale.to_pixels(places.reshape(-1, 2))
        light = sum(self.scan.light_at(flat + np.array((i, j))) for i in (-1, 0, 1) for j in (-1, 0, 1))
        return np.asarray(light, float).reshape(*places.shape[:-1], 3) / 9

    def shows_ink(self, places: FloatArray) -> NDArray[np.bool_]:
        """Whether places in mm, along the last axis, look like neither the ground nor torn paper."""
        lab = lab_of(self.calm_light_at(places))
        off = [np.linalg.norm(lab - lab_of(one), axis=-1) for one in (self.ground, WHITE)]
        return np.asarray((off[0] > GROUND_ALIKE) & (off[1] > PAPER_ALIKE), bool)

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
    middle = window_middle(window)
    pixel = scale.pixel_mm(middle)
    thin = max(THIN, THIN_MM / pixel)
    clear = edge_dots(scan, window, thin)
    solid = ~clear.thin
    if solid.sum() < 0.2 * len(clear):
        solid = np.ones(len(clear), bool)
    pale = edge_dots(scan, window, thin, faint=True)
    pale = pale.where(~pale.thin & ~_beside(pale.at, clear.at, window))
    at, normal = (np.concatenate((getattr(clear, name), getattr(pale, name))) for name in ("at", "normal"))
    beside = [np.concatenate((getattr(clear, name), getattr(pale, name))) for name in ("before", "after")]
    off = [np.linalg.norm(lab_of(side) - lab_of(one), axis=1) for side in beside for one in (ground, WHITE)]
    torn = np.min(off, axis=0) < TEAR_ALIKE
    faint = np.arange(len(at)) >= len(clear)
    solid = np.concatenate((solid, np.zeros(len(pale), bool)))
    normal = scale.directions(at, normal)
    return Remains(scan, scale, window, scale.to_mm(at), normal, solid, faint, torn, ground, pixel)


def _beside(at: FloatArray, others: FloatArray, window: PixelWindow) -> NDArray[np.bool_]:
    """Which places are within two or three pixels of one of the others."""
    left, top, right, bottom = window
    taken = np.zeros((bottom - top + 8, right - left + 8), bool)
    columns, rows = np.floor(others - (left, top)).astype(np.int64).T + 4
    for i in range(-2, 3):
        for j in range(-2, 3):
            taken[(rows + j).clip(0, len(taken) - 1), (columns + i).clip(0, taken.shape[1] - 1)] = True
    columns, rows = np.floor(at - (left, top)).astype(np.int64).T + 4
    return np.asarray(taken[rows.clip(0, len(taken) - 1), columns.clip(0, taken.shape[1] - 1)], bool)


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
    the left, of a roundel each ring from the outside in, of a cross its arms, the edge round them and the field; empty
    where the inks say it: of slanted stripes and chevrons that of a stripe, then that of what is between two, if that
    is printed, of a star its own; ``upright``: of stripes; ``points``: where chevrons
    point (up, down, left, right), where the arms of a cross do (sides, corners). ``score``: how much of the dots and
    of its own edges it explains, 0 to 1."""

    kind: str
    values: tuple[FoundValue, ...]
    inks: tuple[Light, ...]
    parts: tuple[int | None, ...]
    score: float
    upright: bool = False
    edges: tuple[FitEdge, ...] = field(repr=False, default=())
    points: str = ""

    @property
    def heading(self) -> str:
        """What it is, in words."""
        return self.kind

    @property
    def remarks(self) -> tuple[str, ...]:
        """What else is to be told of it, in words."""
        return ()

    @property
    def colours(self) -> list[str]:
        """Its inks, '#rrggbb'."""
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
