"""Lettering along a curve: letters turned to it, never bent, at distances that look even. Pure; mm.

A line's own distances are kept at a height above the curve that differs with the bend: where the letters' heads lean
together half the cap height, where they lean apart a quarter, so that the gaps come out as on a straight line in the
middle (measured on three faces at radii from 3 to 20 cap heights). Curvature is that of `core.curves`: positive where
the curve turns left, which is towards the heads.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise
from typing import Literal, NamedTuple

import numpy as np
import shapely

from decalgen.core.arrays import FloatArray
from decalgen.core.curves.clothoid import Clothoid
from decalgen.core.curves.curve import Curve
from decalgen.core.values import dataclass
from decalgen.lettering.outlines import Letter, TextLine
from decalgen.lettering.printable import joined_script
from decalgen.lettering.text import Align
from decalgen.lettering.typeface import LetteringError, check_size

ArcSide = Literal["outside", "inside"]
HOLLOW, ROUND = 0.5, 0.25
"""At which share of the cap height the distances of a straight line are kept, by the side of the curve."""
FOOT = 0.1
"""What lies lower than this, in cap heights, is the foot that a letter stands on."""
ROUNDS, NEAR = 12, 1e-4
"""How often, and to within what, mm, pairs are opened."""
OPENED_MM = 0.02
"""A pair that is opened by less, half a dot at 600 dpi, is not told."""
SHARES: dict[Align, float] = {"left": 0.0, "centre": 0.5, "right": 1.0}


class Beside:
    """Lengths beside a curve, at a share of the cap height above it, and the lengths along the curve that they come to.

    With curvature k a step ds along the curve is (1 - k q cap) ds beside it; a piece of clothoid turns evenly, so both
    follow from each other by a root. Raises `LetteringError` for a bend whose centre the capitals reach over.
    """

    def __init__(self, curve: Curve, cap: float, hollow: float = HOLLOW, rounded: float = ROUND) -> None:
        radius, at = curve.least_radius(True)
        if radius <= cap:
            raise LetteringError(
                f"capitals {cap:g} mm high reach over the centre of a bend of {radius:.3g} mm radius, {at:.3g} mm "
                "along their baseline",
                "use a smaller cap height or a flatter baseline",
            )
        rows = _one_sided(curve)
        reach = np.where(rows[:, 1] + rows[:, 2] > 0, hollow, rounded) * cap
        self._steady = 1 - reach * rows[:, 1]
        self._change = -reach * (rows[:, 2] - rows[:, 1]) / rows[:, 0]
        lengths = rows[:, 0]
        self._along = np.concatenate(([0.0], np.cumsum(lengths)))
        beside = (self._steady + self._change * lengths / 2) * lengths
        self._beside = np.concatenate(([0.0], np.cumsum(beside)))

    @property
    def length(self) -> float:
        """How long the line beside the curve is."""
        return float(self._beside[-1])

    def along(self, beside: FloatArray) -> FloatArray:
        """The lengths along the curve; beyond its ends it is run on evenly."""
        at = np.clip(np.searchsorted(self._beside, beside, side="right") - 1, 0, len(self._steady) - 1)
        rest = beside - self._beside[at]
        steady, change = self._steady[at], self._change[at]
        root = np.sqrt(np.maximum(steady * steady + 2 * change * rest, 1e-12))
        answer: FloatArray = self._along[at] + 2 * rest / (steady + root)
        return answer


def _one_sided(curve: Curve) -> FloatArray:
    """The curve's pieces, cut where they change from hollow to round: length, curvature at start and end."""
    found = []
    for *_, first, last, length in curve.pieces:
        if first * last < 0:
            share = first / (first - last)
            found += [(length * share, first, 0.0), (length * (1 - share), 0.0, last)]
        else:
            found.append((length, first, last))
    return np.array(found, dtype=np.float64)


class Opened(NamedTuple):
    """Two neighbours that were moved apart, and by how much, mm."""

    pair: str
    by: float


@dataclass(frozen=True)
class Stood:
    """Letters on a curve. ``start`` and ``end``: how far along it their ink begins and ends, mm; ``opened``: the pairs
    that would have come too near; ``tightest``: the least radius of its hollow bends under them, mm."""

    letters: tuple[Letter, ...]
    start: float
    end: float
    opened: tuple[Opened, ...]
    tightest: float


def stood_along(line: TextLine, curve: Curve, align: Align = "centre", least: float = 0.0, held: bool = False) -> Stood:
    """A line of lettering with its baseline on a curve, heads to the left of it as it runs.

    Each letter is turned about the middle of its ink, which is what the eye sees upright, and lies so that its foot is
    as far under the curve in the middle as over it at the ends. A pair that comes nearer than ``least`` mm is opened
    alone; one that is nearer on a straight line already only to what it has there, unless ``held``. Letters of a script
    may join. Raises `LetteringError` for a line longer than the curve.
    """
    beside = Beside(curve, line.cap_height)
    wanted = _wanted(line, least, held)
    middles = np.array([(letter.left + letter.right) / 2 for letter in line.letters])
    more = np.zeros(len(middles))
    for _ in range(ROUNDS):
        width = line.width + float(more[-1])
        if width > beside.length + NEAR:
            raise TooLong(width, beside.length)
        start = (beside.length - width) * SHARES[align]
        spots = beside.along(start + middles + more)
        frames = zip(line.letters, *_frames(curve, spots), strict=True)
        letters = [_stood(letter, line.cap_height, at, way, bend) for letter, at, way, bend in frames]
        short = np.array([w - a.region.distance(b.region) for w, (a, b) in zip(wanted, pairwise(letters), strict=True)])
        if not (short > NEAR).any():
            break
        more[1:] += np.cumsum(np.where(short > NEAR, 1.1 * short, 0.0))
    added = np.diff(more)
    opened = [Opened(f"{line.letters[i].text}{line.letters[i + 1].text}", float(by)) for i, by in enumerate(added)]
    ends = beside.along(np.array([start, start + width]))
    return Stood(
        tuple(letters),
        float(ends[0]),
        float(ends[1]),
        tuple(one for one in opened if one.by > OPENED_MM),
        least_hollow(curve, float(ends[0]), float(ends[1])),
    )


class TooLong(LetteringError):
    """Lettering ``width`` mm wide that its curve has only ``room`` mm for."""

    def __init__(self, width: float, room: float) -> None:
        self.width, self.room = width, room
        super().__init__(
            f"{width:.2f} mm of lettering do not go on a baseline with room for {room:.2f} mm",
            "use a smaller cap height or a longer baseline",
        )


def _wanted(line: TextLine, least: float, held: bool) -> list[float]:
    """How far apart each pair has to be, mm."""
    if joined_script(line.letters[0].face):
        return [0.0] * (len(line.letters) - 1)
    straight = (a.region.distance(b.region) for a, b in pairwise(line.letters))
    return [least if held else min(least, apart) for apart in straight]


def _frames(curve: Curve, spots: FloatArray) -> tuple[Sequence[tuple[float, float]], Sequence[float], Sequence[float]]:
    """Places, directions and curvatures of a curve."""
    return curve.places(spots).tolist(), curve.directions(spots).tolist(), curve.curvatures(spots).tolist()


def _stood(letter: Letter, cap: float, spot: Sequence[float], way: float, bend: float) -> Letter:
    """A letter turned so that its baseline touches the curve under the middle of its ink, with its foot at rest."""
    middle = (letter.left + letter.right) / 2
    c, s = math.cos(way), math.sin(way)
    up = bend / 2 * _foot(letter, cap)
    x, y = spot[0] - s * up, spot[1] + c * up
    region = shapely.affinity.affine_transform(letter.region, (c, -s, s, c, x - c * middle, y - s * middle))
    left, _, right, _ = region.bounds
    return replace(letter, region=region, left=left, right=right, origin=spot[0])


def _foot(letter: Letter, cap: float) -> float:
    """The middle between the least and the greatest square of a foot's distance from the middle of the ink, mm²: so far
    a curve of curvature 2 leaves the foot's own line. 0 for what has none, as an apostrophe."""
    xy = shapely.get_coordinates(letter.region)
    low = xy[np.abs(xy[:, 1]) < FOOT * cap, 0] - (letter.left + letter.right) / 2
    if not len(low):
        return 0.0
    a, b = float(low.min()), float(low.max())
    nearest = 0.0 if a <= 0 <= b else min(a * a, b * b)
    return (nearest + max(a * a, b * b)) / 2


def least_hollow(curve: Curve, start: float, end: float) -> float:
    """The least radius of the bends to the left between two places on a curve, mm; infinite without one."""
    inner = curve.starts[(curve.starts > start) & (curve.starts < end)]
    # A piece may begin with another curvature than that with which the one before ends.
    spots = np.concatenate(([start, end], inner, inner - 1e-9))
    bend = float(curve.curvatures(spots).max())
    return 1 / bend if bend > 1e-12 else math.inf


def circle_curve(radius: float, side: ArcSide) -> Curve:
    """A circle about the origin as a baseline: outside, letters stand on it and read over its top, clockwise; inside,
    they stand towards its centre and read over its foot, anticlockwise. It begins opposite."""
    bend = (-1.0 if side == "outside" else 1.0) / radius
    y = -radius if side == "outside" else radius
    return Curve((Clothoid(0.0, y, math.pi, bend, bend, 2 * math.pi * radius),))


def stood_on_arc(
    line: TextLine,
    radius: float,
    *,
    side: ArcSide = "outside",
    least: float = 0.0,
    held: bool = False,
) -> Stood:
    """A line with its baseline on a circle of ``radius`` mm about the origin, its middle at the top, inside at the
    foot. Raises `LetteringError` where it does not go round, or would reach over the centre."""
    check_size("radius", radius)
    if side not in ("outside", "inside"):
        raise LetteringError(f"'{side}' is not a side of an arc", "use outside or inside")
    if side == "inside" and line.cap_height >= radius:
        raise LetteringError(
            f"letters {line.cap_height:g} mm high reach over the centre of a circle of {radius:g} mm radius",
            "use a smaller cap height or a larger radius",
        )
    try:
        return stood_along(line, circle_curve(radius, side), least=least, held=held)
    except TooLong:
        raise LetteringError(
            f"{line.width:.1f} mm of lettering do not go round a circle of {radius:g} mm radius",
            "use a smaller cap height or a larger radius",
        ) from None
