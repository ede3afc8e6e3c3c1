"""Letters bent: their outlines drawn to a curve, stems square to it or upright, or between a foot and a head. Pure; mm.

Straight sides are divided before they are bent, so finely that no chord of what is bent lies further than the
tolerance from it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import NamedTuple

import numpy as np
import shapely
from shapely.geometry import MultiPolygon
from shapely.geometry.base import BaseGeometry

from decalgen.core.arrays import FloatArray
from decalgen.core.curves.band import FINE
from decalgen.core.curves.curve import Curve
from decalgen.core.curves.parallels import corners, turn_before
from decalgen.core.geometry import TOLERANCE, arc_steps, region, segment_radius
from decalgen.core.values import dataclass
from decalgen.lettering.along import SHARES, Beside, TooLong
from decalgen.lettering.outlines import Letter, TextLine
from decalgen.lettering.text import Align
from decalgen.lettering.typeface import LetteringError

MIDDLE = 0.5
"""Letters that are bent keep their width at half the cap height, on both sides of a curve."""
STEEPEST = math.radians(75)
"""Where a foot runs steeper, upright letters are all but torn apart."""
LEAST_LEFT = 0.2
"""Between a head and a foot that near each other so much of the cap height has to be left."""


@dataclass(frozen=True)
class BentLetters:
    """Letters bent to a curve. ``start`` and ``end``: how far along it (upright: how far to the right) their ink begins
    and ends, mm."""

    letters: tuple[Letter, ...]
    start: float
    end: float


def fanned(line: TextLine, curve: Curve, align: Align = "centre", head_rise: float | None = None) -> BentLetters:
    """A line bent to a curve, stems square to it, heads to the left as it runs.

    Widths are kept half the cap height above the curve. ``head_rise``: capitals end on an arc over the heads of both
    ends, which stand so far over their chord in its middle, mm; without it they are as high everywhere. Raises
    `LetteringError` for a line longer than the curve, a curve with a corner, letters that reach over the centre of a
    bend, and a head that leaves too little room.
    """
    _check_even(curve)
    top = max(line.cap_height, max(letter.region.bounds[3] for letter in line.letters))
    beside = Beside(curve, top, MIDDLE * line.cap_height / top, MIDDLE * line.cap_height / top)
    if line.width > beside.length + FINE:
        raise TooLong(line.width, beside.length)
    shift = (beside.length - line.width) * SHARES[align]

    ends = beside.along(np.array([shift, shift + line.width]))
    cap, head = line.cap_height, None
    if head_rise is not None:
        head = _head_over(curve, ends, cap, head_rise)

    def bent(xy: FloatArray) -> FloatArray:
        along = beside.along(xy[:, 0] + shift)
        places, ahead = curve.places(along), curve.normals(along)
        up = xy[:, 1:] if head is None else xy[:, 1:] * head.far(places, ahead)[:, None] / cap
        answer: FloatArray = places + up * ahead
        return answer

    bend = curve.most_curvature + (head.bend if head else 0.0)
    # A step is longer along a hollow curve than beside it, and what slants bends with its height, too.
    longer = 1 / (1 - MIDDLE * line.cap_height * max(0.0, float(curve.table[:, 3:5].max())))
    step = _step(2 * longer * longer * bend * (1 + bend * top))
    return BentLetters(_drawn(line.letters, step, bent), float(ends[0]), float(ends[1]))


class HeadArc(NamedTuple):
    """An arc, or a straight line, that capitals square to a curve end on: a place on it, the direction square to its
    chord, and its centre (None: straight), with how fast heights change along it for the division of what is bent."""

    start: FloatArray
    across: FloatArray
    centre: FloatArray | None
    bend: float

    def far(self, places: FloatArray, ahead: FloatArray) -> FloatArray:
        """How far it lies from places in directions, mm; not a number where it does not lie ahead."""
        if self.centre is None:
            straight: FloatArray = ((self.start - places) @ self.across) / (ahead @ self.across)
            return straight
        away = places - self.centre
        along = (away * ahead).sum(axis=1)
        radius = float(np.hypot(*(self.start - self.centre)))
        # The centre lies below a head that rises, above one that dips.
        way = math.copysign(1.0, float((self.start - self.centre) @ self.across))
        with np.errstate(invalid="ignore"):
            round_: FloatArray = -along + way * np.sqrt(along**2 - (away * away).sum(axis=1) + radius**2)
        return round_


def _head_over(curve: Curve, ends: FloatArray, cap: float, rise: float) -> HeadArc:
    """The arc over the heads of capitals at both ends. Raises `LetteringError`."""
    start, end = curve.places(ends) + cap * curve.normals(ends)
    chord = float(np.hypot(*(end - start)))
    along = (end - start) / max(chord, 1e-9)
    square = np.array([-along[1], along[0]])
    if abs(rise) > 0.49 * chord:
        raise LetteringError(
            f"a head rise of {abs(rise):g} mm is too much for heads that are {chord:.2f} mm apart",
            f"write head rise: {math.floor(49 * chord) / 100:g} mm or less",
        )
    centre, bend = None, 0.0
    if abs(rise) > FINE:
        radius = segment_radius(chord, rise)
        centre = (start + end) / 2 + (rise - radius) * square
        bend = 1 / abs(radius)
    head = HeadArc(start, square, centre, bend)
    at = np.linspace(float(ends[0]), float(ends[1]), 200)
    far = np.nan_to_num(head.far(curve.places(at), curve.normals(at)), nan=0.0)
    left = float(far.min())
    if left < LEAST_LEFT * cap:
        raise LetteringError(
            f"between head and foot {max(left, 0.0):.2f} mm are left for capitals {cap:g} mm high",
            "let the head rise more, or the foot less",
        )
    steep = float(np.abs(np.diff(far) / np.diff(at)).max()) / cap
    return head._replace(bend=bend + 2 * steep)


def _check_even(curve: Curve) -> None:
    """Raises `LetteringError` for a curve that turns sharply."""
    cuts = corners(curve)
    if cuts:
        at = max(cuts, key=lambda index: abs(turn_before(curve, index)))
        raise LetteringError(
            f"the baseline turns sharply {float(curve.starts[at]):.3g} mm along it, where letters cannot be bent",
            "let a straight and an arc meet in one direction, or leave out `bend`",
        )


class HeightLine(NamedTuple):
    """A foot or a head as heights over places from left to right, both mm, with the greatest second derivative."""

    x: FloatArray
    y: FloatArray
    bend: float

    def at(self, x: FloatArray) -> FloatArray:
        """Heights."""
        answer: FloatArray = np.interp(x, self.x, self.y)
        return answer


def across(curve: Curve) -> HeightLine:
    """A curve as heights. Raises `LetteringError` where it does not run from left to right, or runs too steeply."""
    points, along = curve.points_and_stations(FINE)
    ways = np.remainder(curve.directions(along) + math.pi, 2 * math.pi) - math.pi
    worst = int(np.abs(ways).argmax())
    if abs(ways[worst]) > STEEPEST:
        raise LetteringError(
            f"at {float(along[worst]):.3g} mm along it the baseline runs at {math.degrees(float(ways[worst])):.0f} "
            "degrees, too steep for letters with upright stems",
            "write bend: fan, or give a baseline from left to right, at most 75 degrees steep",
        )
    bend = float((np.abs(curve.curvatures(along)) / np.cos(ways) ** 3).max())
    return HeightLine(points[:, 0], points[:, 1], bend)


def rising(width: float, rise: float) -> HeightLine:
    """An arc from (0, 0) to (``width``, 0) whose middle is ``rise`` mm higher, or lower where that is negative."""
    if abs(rise) < FINE:
        return HeightLine(np.array([0.0, width]), np.zeros(2), 0.0)
    radius = segment_radius(width, abs(rise))
    half = math.asin(min(1.0, width / 2 / radius))
    count = max(2, arc_steps(radius, 2 * half, FINE))
    angles = np.linspace(-half, half, count + 1)
    x, y = width / 2 + radius * np.sin(angles), radius * (np.cos(angles) - math.cos(half))
    return HeightLine(x, y if rise > 0 else -y, 1 / radius / max(math.cos(half), 1e-3) ** 3)


def upright(line: TextLine, foot: HeightLine, head: HeightLine | None = None, align: Align = "centre") -> BentLetters:
    """A line of lettering between a foot and a head that each are straight or curved; its stems stay upright and keep
    their width. Without a head the letters are as high everywhere as on a straight line.

    Heights of ``head`` are counted from the cap line. Raises `LetteringError` for a line longer than its foot, and
    where foot and head leave too little room.
    """
    first, room = float(foot.x[0]), float(foot.x[-1] - foot.x[0])
    if line.width > room + FINE:
        raise TooLong(line.width, room)
    shift = first + (room - line.width) * SHARES[align]
    cap, steep = line.cap_height, 0.0
    if head is not None:
        every = np.union1d(foot.x, head.x)
        left = cap + head.at(every) - foot.at(every)
        steep = float(np.abs(np.diff(left) / np.diff(every)).max()) / cap
        if float(left.min()) < LEAST_LEFT * cap:
            raise LetteringError(
                f"between head and foot {float(left.min()):.2f} mm are left for capitals {cap:g} mm high",
                "let the head rise more, or the foot less",
            )

    def bent(xy: FloatArray) -> FloatArray:
        x = xy[:, 0] + shift
        low = foot.at(x)
        high = xy[:, 1] if head is None else xy[:, 1] * (cap + head.at(x) - low) / cap
        return np.column_stack((x, low + high))

    top = max(1.0, max(letter.region.bounds[3] for letter in line.letters) / cap)
    step = _step(2 * top * (foot.bend + (head.bend if head else 0.0)) + 2 * steep)
    return BentLetters(_drawn(line.letters, step, bent), shift, shift + line.width)


def _step(bend: float) -> float:
    """How long a chord may be of what bends with a curvature."""
    return math.sqrt(8 * TOLERANCE / bend) if bend > 1e-9 else math.inf


def _drawn(letters: Sequence[Letter], step: float, bent: Callable[[FloatArray], FloatArray]) -> tuple[Letter, ...]:
    """Letters with every point moved, straight sides divided before."""
    found = []
    for letter in letters:
        area = _moved(shapely.segmentize(letter.region, step) if math.isfinite(step) else letter.region, bent)
        left, _, right, _ = area.bounds
        origin = float(bent(np.array([[letter.origin, 0.0]]))[0, 0])
        found.append(replace(letter, region=area, left=left, right=right, origin=origin))
    return tuple(found)


def _moved(area: BaseGeometry, bent: Callable[[FloatArray], FloatArray]) -> MultiPolygon:
    """An area with every point moved. What is bent hardly ever touches itself; where it does, it is cleaned."""
    rings = shapely.get_rings(shapely.get_parts(area))
    ends = np.cumsum(shapely.get_num_coordinates(rings))
    points = bent(shapely.get_coordinates(rings))
    # The last bits of a sum differ by its place among others, and a ring has to close.
    points[ends - 1] = points[np.concatenate(([0], ends[:-1]))]
    found = shapely.set_coordinates(shapely.multipolygons(shapely.get_parts(area)), points)
    return found if found.is_valid else region(found.buffer(0))
