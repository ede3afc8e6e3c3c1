"""Crosses: right to the sides or couped, upright or as a saltire, with fimbriation."""

from __future__ import annotations

import math
from itertools import accumulate
from typing import Annotated, ClassVar

from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from decalgen.core import keys
from decalgen.core.geometry import rectangle, rotation, transform, translation, union
from decalgen.core.values import dataclass
from decalgen.shapes.base import Box, Inked, ShapeError
from decalgen.shapes.pieces import EDGE, grown, run_out
from decalgen.shapes.registry import shape


@shape
@dataclass(frozen=True)
class Cross:
    """A cross whose arms run to the sides, or a couped one that stands free.

    A full cross may have its middle off centre; its arms are a fifth of its height wide unless told otherwise. A
    couped cross is as large as the box lets it, its arms as long as they are wide (arm ratio 1). Fimbriation is
    listed from the cross outward, each width square across.

    Raises `ShapeError` for arms that do not fit and for fimbriation that lacks an ink or a width.
    """

    name: ClassVar[str] = "cross"
    about: ClassVar[str] = "a cross to the sides or couped, or a saltire, with fimbriation"
    reads: ClassVar[bool] = False
    example: ClassVar[dict[str, object]] = {
        "ink": "harbour teal",
        "arm_width": 2.0,
        "centre_x": 8.0,
        "fimbriation": (1.0,),
        "fimbriation_inks": ("rope cream",),
    }
    example_box: ClassVar[Box] = Box(22.0, 16.0)

    ink: Annotated[str, keys.InkName("its ink")]
    couped: Annotated[bool, keys.Flag("free-standing, its arms cut off square")] = False
    saltire: Annotated[bool, keys.Flag("set diagonally, as an X")] = False
    arm_width: Annotated[float | None, keys.Size("width of the arms, square across")] = None
    arm_ratio: Annotated[
        float | None,
        keys.Number(
            "couped: length of one arm to its width; if left out, 1",
            least=0.05,
            most=50.0,
            example="1.5",
            beside=("couped",),
        ),
    ] = None
    width: Annotated[float | None, keys.Size("width; if left out, the whole width of the box", example="12 mm")] = None
    height: Annotated[float | None, keys.Size("height; if left out, the whole height of the box", example="8 mm")] = (
        None
    )
    centre_x: Annotated[float | None, keys.Length("from the left side to the middle of the upright arm")] = None
    centre_y: Annotated[float | None, keys.Length("from the bottom to the middle of the level arm", example="4 mm")] = (
        None
    )
    fimbriation: Annotated[
        tuple[float, ...],
        keys.Many(
            "widths of the edges round it, from the cross outward",
            of=keys.Size(),
            most=10,
            example="0.5 mm",
            beside=("fimbriation inks",),
        ),
    ] = ()
    fimbriation_inks: Annotated[
        tuple[str, ...],
        keys.Many(
            "their inks, in the same order", of=keys.InkName(), most=10, example="white", beside=("fimbriation",)
        ),
    ] = ()

    def __post_init__(self) -> None:
        if len(self.fimbriation) != len(self.fimbriation_inks):
            raise ShapeError(
                f"the cross has {len(self.fimbriation)} fimbriation widths but {len(self.fimbriation_inks)} inks",
                "give one of `fimbriation inks` for each width",
            )
        centred = self.centre_x is None and self.centre_y is None
        if self.couped and not centred:
            raise ShapeError("a couped cross has no `centre x` or `centre y`", "place it with `at`")
        if self.saltire and not centred:
            raise ShapeError("a full saltire runs from corner to corner", "leave out `centre x` and `centre y`")

    def extent(self, box: Box) -> Box:
        """The area a full cross runs across; the square a couped one takes, fimbriation included."""
        room = Box(self.width or box.width, self.height or box.height)
        if not self.couped:
            return room
        if self.arm_width and self.arm_ratio:
            side = self._side(self.arm_width, self.arm_width * (1 + 2 * self.arm_ratio))
        else:
            side = min(room)
        return Box(side, side)

    def draw(self, size: Box, run_on: float = 0.0) -> tuple[Inked, ...]:
        """The outermost fimbriation first, the cross last."""
        edges = [0.0, *accumulate(self.fimbriation)]
        inks = [self.ink, *self.fimbriation_inks]
        if self.couped:
            areas = [run_out(self._standing(size, edge), size, run_on) for edge in edges]
        else:
            areas = [self._across(size, edge, max(0.0, run_on)) for edge in edges]
        return tuple(Inked(ink, area) for ink, area in zip(reversed(inks), reversed(areas), strict=True))

    def _side(self, arm: float, span: float) -> float:
        """The square a couped cross of that arm width and span takes, fimbriation included."""
        edge = sum(self.fimbriation)
        return (span + arm + 4 * edge) / math.sqrt(2) if self.saltire else span + 2 * edge

    def _arms(self, side: float) -> tuple[float, float]:
        """Arm width and span of a couped cross in a square."""
        edge = sum(self.fimbriation)
        ratio = self.arm_ratio or 1.0
        if self.saltire:
            both = side * math.sqrt(2) - 4 * edge
            arm = self.arm_width or both / (2 + 2 * ratio)
            return arm, both - arm
        span = side - 2 * edge
        return self.arm_width or span / (1 + 2 * ratio), span

    def _standing(self, size: Box, edge: float) -> BaseGeometry:
        """A couped cross, its outline out by ``edge``."""
        arm, span = self._arms(size.width)
        if not 0 < arm < span - EDGE:
            raise ShapeError(
                f"arms {arm:g} mm wide do not fit a cross {span:g} mm across", "make it larger, or its arms narrower"
            )
        half, long = arm / 2 + edge, span / 2 + edge
        body = union([rectangle(-long, -half, long, half), rectangle(-half, -long, half, long)])
        turned = transform(body, rotation(45.0)) if self.saltire else body
        return transform(turned, translation(size.width / 2, size.height / 2))

    def _across(self, size: Box, edge: float, run_on: float) -> BaseGeometry:
        """A cross or saltire to the sides, its arms wider by ``edge`` on both sides, running on along themselves."""
        half = (self.arm_width or size.height / 5) / 2 + edge
        if self.saltire:
            arms = [_diagonal(size, half, run_on, falls) for falls in (False, True)]
            return union(arm.intersection(grown(size, run_on)) for arm in arms)
        x = size.width / 2 if self.centre_x is None else self.centre_x
        y = size.height / 2 if self.centre_y is None else self.centre_y
        left, right = _clipped(x - half, x + half, size.width, run_on)
        low, high = _clipped(y - half, y + half, size.height, run_on)
        out, w, h = 0.0 - run_on, size.width + run_on, size.height + run_on
        return union([rectangle(left, out, right, h), rectangle(out, low, w, high)])


def _clipped(low: float, high: float, length: float, run_on: float) -> tuple[float, float]:
    """An arm's edges; what lies on a side of the extent runs on beyond it. Raises `ShapeError`."""
    if high <= EDGE or low >= length - EDGE:
        raise ShapeError("an arm of the cross lies outside it", "give a `centre x` and `centre y` inside its size")
    return (-run_on if low <= EDGE else low, length + run_on if high >= length - EDGE else high)


def _diagonal(size: Box, half: float, run_on: float, falls: bool) -> Polygon:
    """The band about one diagonal of the extent."""
    cx, cy = size.width / 2, size.height / 2
    length = math.hypot(size.width, size.height)
    c, s = size.width / length, (-1 if falls else 1) * size.height / length
    far = length + 2 * run_on + half
    corners = ((-far, -half), (far, -half), (far, half), (-far, half))
    return Polygon([(cx + u * c - v * s, cy + u * s + v * c) for u, v in corners])
