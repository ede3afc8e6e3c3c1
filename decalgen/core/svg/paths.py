"""The outlines of shapes and paths as segments: lines, curves, and arcs that stay arcs (SVG 1.1, 8 and 9)."""

from __future__ import annotations

import cmath
import math
import re
from dataclasses import field
from typing import Any

from decalgen.core.geometry import Point
from decalgen.core.svg.numbers import MOST
from decalgen.core.svg.text import SvgError
from decalgen.core.values import dataclass

MOST_NUMBERS = 500_000
"""More numbers in one path are a slip or a hostile file."""
_FIRST_STRANGE = re.compile(r"[^\s\d,.+\-eEMmZzLlHhVvCcSsQqTtAa]")
_NUMBER = re.compile(r"\d+")


@dataclass(frozen=True, slots=True)
class LineTo:
    """A straight segment to a point."""

    end: Point


@dataclass(frozen=True, slots=True)
class BezierTo:
    """A curve to its last point: with two points a quadratic, with three a cubic one."""

    points: tuple[Point, ...]

    @property
    def end(self) -> Point:
        """Where it ends."""
        return self.points[-1]


@dataclass(frozen=True, slots=True)
class EllipseTo:
    """An arc of an ellipse: round ``centre``, half axes ``rx`` and ``ry`` turned by ``turn``, from the angle ``start``
    on by ``sweep``, all radians; ``end`` is where it ends to the last bit."""

    centre: Point
    rx: float
    ry: float
    turn: float
    start: float
    sweep: float
    end: Point


SvgSegment = LineTo | BezierTo | EllipseTo


@dataclass(frozen=True)
class Subpath:
    """A line of segments from a point; ``closed`` back to it."""

    start: Point
    segments: list[SvgSegment] = field(default_factory=list)
    closed: bool = False


@dataclass(frozen=True)
class PathRead:
    """What a path draws, and whether it breaks off at a mistake."""

    subpaths: tuple[Subpath, ...]
    broken: bool = False


class _PathPen:
    """Takes what fontTools reads from a path."""

    def __init__(self) -> None:
        self.found: list[Subpath] = []
        self.at: Point = (0.0, 0.0)

    def moveTo(self, point: Point) -> None:
        self.at = _sound(point)
        self.found.append(Subpath(self.at))

    def lineTo(self, point: Point) -> None:
        self._to(LineTo(_sound(point)))

    def curveTo(self, *points: Point) -> None:
        self._to(BezierTo(tuple(map(_sound, points))))

    qCurveTo = curveTo

    def arcTo(self, rx: float, ry: float, turn: float, large: bool, sweep: bool, end: Point) -> None:
        self._to(arc(self.at, rx, ry, turn, large, sweep, _sound(end)))

    def closePath(self) -> None:
        last = self.found[-1]
        self.found[-1] = Subpath(last.start, last.segments, True)
        self.at = last.start

    def endPath(self) -> None:
        pass

    def _to(self, segment: SvgSegment) -> None:
        self.found[-1].segments.append(segment)
        self.at = segment.end


def _sound(point: Point) -> Point:
    if not (abs(point[0]) <= MOST and abs(point[1]) <= MOST):
        raise ValueError("out of range")
    return point


def path(data: str) -> PathRead:
    """The segments of a path up to the first mistake in it (SVG 1.1, F.2). Raises `SvgError` for a path of too many
    points."""
    from fontTools.svgLib.path.parser import parse_path

    if sum(1 for _ in _NUMBER.finditer(data)) > MOST_NUMBERS:
        raise SvgError(f"a path has more than {MOST_NUMBERS // 1000} 000 numbers", "simplify it")
    strange = _FIRST_STRANGE.search(data)
    pen: Any = _PathPen()
    broken = strange is not None
    try:
        parse_path(data[: strange.start()] if strange else data, pen)
    # What is missing or no number, each in its own way.
    except (ValueError, IndexError, TypeError, OverflowError):
        broken = True
    return PathRead(tuple(pen.found), broken)


def arc(start: Point, rx: float, ry: float, degrees: float, large: bool, sweep: bool, end: Point) -> SvgSegment:
    """An arc from its ends (SVG 1.1, F.6): without radii straight; radii too small are made larger."""
    rx, ry = abs(rx), abs(ry)
    if rx == 0 or ry == 0 or start == end:
        return LineTo(end)
    turn = math.radians(degrees)
    back = cmath.exp(-1j * turn)
    half = complex(start[0] - end[0], start[1] - end[1]) / 2 * back
    too_far = (half.real / rx) ** 2 + (half.imag / ry) ** 2
    if too_far > 1:
        rx, ry = rx * math.sqrt(too_far), ry * math.sqrt(too_far)
    x, y = half.real / rx, half.imag / ry
    apart = x * x + y * y
    away = math.sqrt(max(0.0, 1 / apart - 1)) * (-1 if large == sweep else 1)
    centre = complex(away * y * rx, -away * x * ry)
    from_, to = (complex((p - centre).real / rx, (p - centre).imag / ry) for p in (half, -half))
    first = cmath.phase(from_)
    swept = cmath.phase(to / from_)
    if sweep and swept <= 0:
        swept += 2 * math.pi
    elif not sweep and swept >= 0:
        swept -= 2 * math.pi
    middle = centre / back + complex(start[0] + end[0], start[1] + end[1]) / 2
    return EllipseTo((middle.real, middle.imag), rx, ry, turn, first, swept, end)


def ellipse(cx: float, cy: float, rx: float, ry: float) -> Subpath:
    """A whole ellipse in four arcs, from its right-hand end."""
    ends = ((cx, cy + ry), (cx - rx, cy), (cx, cy - ry), (cx + rx, cy))
    quarter = math.pi / 2
    arcs = [EllipseTo((cx, cy), rx, ry, 0.0, n * quarter, quarter, end) for n, end in enumerate(ends)]
    return Subpath((cx + rx, cy), list(arcs), True)


def box(x: float, y: float, width: float, height: float, rx: float = 0.0, ry: float = 0.0) -> Subpath:
    """A rectangle, with round corners where both radii are given (SVG 1.1, 9.2)."""
    rx, ry = min(rx, width / 2), min(ry, height / 2)
    right, foot = x + width, y + height
    if rx <= 0 or ry <= 0:
        return Subpath((x, y), [LineTo(p) for p in ((right, y), (right, foot), (x, foot), (x, y))], True)
    found: list[SvgSegment] = []
    quarter = math.pi / 2
    corners = (
        ((right - rx, y), (right - rx, y + ry), -quarter, (right, y + ry)),
        ((right, foot - ry), (right - rx, foot - ry), 0.0, (right - rx, foot)),
        ((x + rx, foot), (x + rx, foot - ry), quarter, (x, foot - ry)),
        ((x, y + ry), (x + rx, y + ry), 2 * quarter, (x + rx, y)),
    )
    for begin, centre, angle, end in corners:
        found += [LineTo(begin), EllipseTo(centre, rx, ry, 0.0, angle, quarter, end)]
    return Subpath((x + rx, y), found, True)


def polygon(given: tuple[float, ...], closed: bool) -> Subpath | None:
    """A line through points given as x, y in turn; None without any. An odd number at the end is left out."""
    points = list(zip(given[::2], given[1::2], strict=False))
    if not points:
        return None
    found: list[SvgSegment] = [LineTo(point) for point in points[1:]]
    if closed:
        found.append(LineTo(points[0]))
    return Subpath(points[0], found, closed)
