"""From pixels to millimetres: by dots per inch, by reference bars, by four known points. Pure.

A scale is a projective matrix from pixels (y down) to mm (y up), with the standard uncertainty of a length across and
up, as shares of it. For home scanners the resolution that a file states is off by up to `DPI_OFF` in each axis (common
practice, no source).
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from decalgen.core.arrays import FloatArray
from decalgen.core.errors import DecalgenError
from decalgen.core.lengths.units import INCH_MM
from decalgen.core.values import dataclass
from decalgen.scan.lens import Lens

DPI_OFF = 0.005
DPI = (72.0, 4800.0)
"""No scan that can be measured on has fewer or more dots per inch."""
POINT_OFF = 1.0
"""A point that was read off a picture by eye is off by up to so many pixels."""
FLAT_MM = 0.03
"""Where four points fit an evenly stretched picture this well, it is a flat scan, not a photo seen askew."""
ALONG = math.radians(20)
"""A bar that leans less is along an axis."""


class ScaleError(DecalgenError):
    """A reference that gives no scale."""

    exit_code = 2


@dataclass(frozen=True)
class Depth:
    """How far the object lies nearer to the camera than the reference, mm, give or take ``off``, and how far the camera
    is from the reference."""

    nearer: float
    off: float
    camera: float


@dataclass(frozen=True)
class ScanScale:
    """``matrix``: 3 × 3, from pixels to mm. ``across``, ``up``: standard uncertainty of a length, as a share of it.
    ``told``: where it comes from, in words; ``warnings``: what leaves it in doubt; ``lens``: whose bend is taken out of
    pixels first."""

    matrix: FloatArray
    across: float
    up: float
    told: str
    warnings: tuple[str, ...] = ()
    lens: Lens | None = None

    def to_mm(self, at: FloatArray) -> FloatArray:
        """Places, one a row, from pixels to mm."""
        return mapped(self.matrix, self.lens.straightened(at) if self.lens else at)

    def to_pixels(self, at: FloatArray) -> FloatArray:
        """The other way."""
        straight = mapped(_inverse(self.matrix), at)
        return self.lens.bent(straight) if self.lens else straight

    def pixel_mm(self, at: FloatArray) -> float:
        """How large a pixel is at a place, mm."""
        places = self.to_mm(at + np.array([(0.0, 0.0), (1.0, 0.0), (0.0, 1.0)]))
        return float(np.sqrt(abs(np.linalg.det(places[1:] - places[0]))))

    def directions(self, at: FloatArray, normal: FloatArray) -> FloatArray:
        """Normals of edges, one a row, in mm: of length 1, square to the edge as it is in truth."""
        along = np.column_stack((-normal[:, 1], normal[:, 0]))
        tangent = self.to_mm(at + 0.5 * along) - self.to_mm(at - 0.5 * along)
        tangent /= np.maximum(np.linalg.norm(tangent, axis=1), 1e-12)[:, None]
        return np.column_stack((-tangent[:, 1], tangent[:, 0]))


def _inverse(matrix: FloatArray) -> FloatArray:
    return np.asarray(np.linalg.inv(matrix), float)


def mapped(matrix: FloatArray, at: FloatArray) -> FloatArray:
    """Places through a projective matrix."""
    whole = np.column_stack((at, np.ones(len(at)))) @ matrix.T
    return np.asarray(whole[:, :2] / whole[:, 2:], float)


def by_dpi(dpi: tuple[float, float], typed: bool) -> ScanScale:
    """Raises ScaleError for dots per inch that no scan has."""
    if not all(DPI[0] <= one <= DPI[1] for one in dpi):
        across, down = (f"{one:.3g}" for one in dpi)
        shown = across if across == down else f"{across} \N{MULTIPLICATION SIGN} {down}"
        raise ScaleError(
            f"{shown} dpi is not what a scan has",
            fix="type the scanner's setting, as in --dpi 300, or lay a card down and give --beside card",
        )
    told = f"{dpi[0]:.4g} dpi, {'as typed' if typed else 'as the file says'}"
    off = DPI_OFF / math.sqrt(3)
    doubt = f"the size rests on the dpi alone, which a scanner misses by up to {DPI_OFF:.1%} in each axis"
    return ScanScale(np.diag([INCH_MM / dpi[0], -INCH_MM / dpi[1], 1.0]), off, off, told, (doubt,))


@dataclass(frozen=True)
class Bar:
    """A length of ``mm`` ± ``off`` from one place of the picture to another, pixels."""

    start: tuple[float, float]
    end: tuple[float, float]
    mm: float
    off: float = 0.0

    @property
    def pixels(self) -> float:
        """Its length in the picture."""
        return math.dist(self.start, self.end)

    @property
    def off_share(self) -> float:
        """Its standard uncertainty, both ends read by eye, as a share of it."""
        return math.hypot(self.off / self.mm, math.sqrt(2) * POINT_OFF / self.pixels) / math.sqrt(3)


def by_bars(bars: Sequence[Bar], rough: ScanScale | None) -> ScanScale:
    """One bar gives the scale along itself; the other axis is then taken from ``rough``, with its doubt, or as the same
    where there is none. Raises ScaleError for bars that are of no use."""
    for bar in bars:
        if bar.pixels < 20 * POINT_OFF or not bar.mm > 0:
            raise ScaleError("a bar needs a length, and ends that lie apart in the picture", fix=_BAR)
    if len(bars) == 1:
        return _by_one_bar(bars[0], rough)
    if len(bars) != 2:
        raise ScaleError("one bar or two give a scale", fix=_BAR)
    squares = np.array([[(b.end[0] - b.start[0]) ** 2, (b.end[1] - b.start[1]) ** 2] for b in bars])
    leaning = abs(np.linalg.det(squares)) / (squares[0].sum() * squares[1].sum())
    if leaning < 0.5:
        raise ScaleError("both bars lie along the same axis", fix="give one across the picture and one down it")
    across, down = np.linalg.solve(squares, np.array([b.mm**2 for b in bars]))
    if min(across, down) <= 0:
        raise ScaleError("the bars' lengths do not go together", fix=_BAR)
    flat = 0 if squares[0, 0] > squares[0, 1] else 1
    told = f"bars of {bars[flat].mm:g} mm across and {bars[1 - flat].mm:g} mm down the picture"
    matrix = np.diag([math.sqrt(across), -math.sqrt(down), 1.0])
    return ScanScale(matrix, bars[flat].off_share, bars[1 - flat].off_share, told)


def _by_one_bar(bar: Bar, rough: ScanScale | None) -> ScanScale:
    lean = math.atan2(abs(bar.end[1] - bar.start[1]), abs(bar.end[0] - bar.start[0]))
    if ALONG < lean < math.pi / 2 - ALONG:
        raise ScaleError(
            "a single bar has to lie along an axis of the picture", fix="give a second one, along the other"
        )
    pitch, level = bar.mm / bar.pixels, lean <= ALONG
    other = (abs(rough.matrix[1, 1]) if level else abs(rough.matrix[0, 0])) if rough else pitch
    off = DPI_OFF / math.sqrt(3)
    axis, unknown = ("across", "down") if level else ("down", "across")
    source = "is taken from the dpi" if rough else "is taken as the same"
    doubt = f"one bar tells the scale {axis} the picture; the one {unknown} it {source}, ± {DPI_OFF:.1%}: lay a second"
    told = f"a bar of {bar.mm:g} mm {axis} the picture"
    if level:
        return ScanScale(np.diag([pitch, -other, 1.0]), bar.off_share, off, told, (doubt,))
    return ScanScale(np.diag([other, -pitch, 1.0]), off, bar.off_share, told, (doubt,))


_BAR = "give each bar its two ends and its length, as in --bar '120,80 1301,82 = 100 mm'"


@dataclass(frozen=True)
class CardCorners:
    """Four points of a picture that are corners of a rectangle of known size. ``places``: pixels, from the lower left
    as it is seen, anticlockwise; ``off``: how far each is out, standard, pixels; ``size``: width and height, mm, and
    ``size_off``: the largest error of each; ``lens``: whose bend is in the places."""

    places: FloatArray
    off: float
    size: tuple[float, float]
    size_off: tuple[float, float]
    told: str
    lens: Lens | None = None


def by_corners(corners: CardCorners, about: FloatArray) -> ScanScale:
    """By a rectangle; the uncertainty is that of lengths at the place ``about``, pixels. Raises ScaleError for points
    on a line."""
    lens = corners.lens
    if lens:
        corners = replace(corners, places=lens.straightened(corners.places))
        about = lens.straightened(about)
    places = corners.places
    check_corners(places)
    sides = np.linalg.norm(np.roll(places, -1, axis=0) - places, axis=1)
    truth = _rectangle(corners.size)
    flat = _affine(places, truth)
    seen_flat = float(np.linalg.norm(mapped(flat, places) - truth, axis=1).max())
    limit = max(FLAT_MM, 4 * corners.off * corners.size[0] / float(sides[0]))
    solve = _affine if seen_flat < limit else homography
    matrix = solve(places, truth)
    across, up = _spread(solve, corners, matrix, about)
    relative = [off / math.sqrt(3) / size for off, size in zip(corners.size_off, corners.size, strict=True)]
    told = corners.told if solve is _affine else f"{corners.told}, seen askew"
    if lens:
        told = f"{told}, the bend of the lens taken out ({lens.bow:.1f} pixels)"
    return ScanScale(matrix, math.hypot(across, relative[0]), math.hypot(up, relative[1]), told, lens=lens)


def check_corners(places: FloatArray) -> None:
    """Raises ScaleError for four points of which three lie on a line."""
    sides = np.linalg.norm(np.roll(places, -1, axis=0) - places, axis=1)
    hull = abs(sum(_cross(places[n], places[(n + 1) % 4]) for n in range(4))) / 2
    thin = min(
        abs(_cross(places[b] - places[a], places[c] - places[a])) for a, b, c in itertools.combinations(range(4), 3)
    )
    if thin < 0.02 * float(sides.max()) ** 2 or hull < 100:
        raise ScaleError(
            "three of the four points lie on a line, or two are the same",
            fix="give the four corners of the rectangle, in order round it",
        )


Solver = Callable[[FloatArray, FloatArray], FloatArray]
"""From places in pixels and in mm to a matrix."""


def _rectangle(size: tuple[float, float]) -> FloatArray:
    return np.array([(0.0, 0.0), (size[0], 0.0), size, (0.0, size[1])])


def _cross(one: FloatArray, other: FloatArray) -> float:
    return float(one[0] * other[1] - one[1] * other[0])


def _affine(places: FloatArray, truth: FloatArray) -> FloatArray:
    rows = np.column_stack((places, np.ones(len(places))))
    found = np.linalg.lstsq(rows, truth, rcond=None)[0]
    return np.vstack((found.T, (0.0, 0.0, 1.0)))


def homography(places: FloatArray, truth: FloatArray) -> FloatArray:
    """The projective matrix through four pairs of points or nearest to more (R. Hartley, A. Zisserman, Multiple View
    Geometry, 2nd edition, 4.1, with its normalisation)."""
    shifts = []
    for points in (places, truth):
        middle = points.mean(axis=0)
        size = math.sqrt(2) / float(np.linalg.norm(points - middle, axis=1).mean())
        shifts.append(np.array([[size, 0, -size * middle[0]], [0, size, -size * middle[1]], [0, 0, 1]]))
    rows = []
    for (x, y), (u, v) in zip(mapped(shifts[0], places), mapped(shifts[1], truth), strict=True):
        rows += [(x, y, 1, 0, 0, 0, -u * x, -u * y, -u), (0, 0, 0, x, y, 1, -v * x, -v * y, -v)]
    found = np.linalg.svd(np.array(rows))[2][-1].reshape(3, 3)
    whole = np.linalg.inv(shifts[1]) @ found @ shifts[0]
    return np.asarray(whole / whole[2, 2], float)


def _spread(solve: Solver, corners: CardCorners, matrix: FloatArray, about: FloatArray) -> tuple[float, float]:
    """How much a length at a place changes with each corner's error, across and up, as shares (JCGM 100:2008,
    5.1.2)."""
    truth = _rectangle(corners.size)
    middle = mapped(matrix, about[None])[0]
    reach = min(corners.size) / 4
    ends = mapped(_inverse(matrix), middle + reach * np.array([(-1, 0), (1, 0), (0, -1), (0, 1)]))
    total = np.zeros(2)
    for corner, axis in itertools.product(range(4), range(2)):
        moved = corners.places.copy()
        moved[corner, axis] += corners.off
        left, right, low, high = mapped(solve(moved, truth), ends)
        total += (np.array([math.dist(left, right), math.dist(low, high)]) / (2 * reach) - 1) ** 2
    return float(math.sqrt(total[0])), float(math.sqrt(total[1]))


def at_depth(scale: ScanScale, depth: Depth) -> ScanScale:
    """The scale of what lies nearer to the camera than the reference: it looks larger by nearer/(camera − nearer).
    Raises ScaleError for a depth that is not small beside the distance."""
    if abs(depth.nearer) + depth.off >= depth.camera / 2:
        raise ScaleError(
            "the depth has to be small beside the camera's distance", fix="as in --depth '2 mm ± 1' --camera 400mm"
        )
    share = 1 - depth.nearer / depth.camera
    off = depth.off / math.sqrt(3) / (depth.camera - depth.nearer)
    matrix = np.diag([share, share, 1.0]) @ scale.matrix
    told = f"{scale.told}, the object {depth.nearer:g} mm nearer than it"
    return ScanScale(matrix, math.hypot(scale.across, off), math.hypot(scale.up, off), told, scale.warnings, scale.lens)
