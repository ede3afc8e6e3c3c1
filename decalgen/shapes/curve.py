"""A smooth curve through measured points: an area, or a line of one width."""

from __future__ import annotations

import math
from functools import lru_cache
from typing import TYPE_CHECKING, Annotated, ClassVar

from shapely.geometry import MultiPolygon, Polygon

from decalgen.core import keys
from decalgen.core.geometry import Point, region, transform, translation
from decalgen.core.values import dataclass
from decalgen.shapes.base import Box, Inked, ShapeError
from decalgen.shapes.coursed import (
    POINTS,
    CurveArcs,
    CurveCorners,
    CurveDirections,
    CurveStraights,
    CurveWithin,
    curve_of,
    outward_ends,
)
from decalgen.shapes.pieces import EDGE, grown, run_out
from decalgen.shapes.registry import shape

if TYPE_CHECKING:
    from decalgen.core.curves.curve import Curve


@shape
@dataclass(frozen=True)
class DrawnCurve:
    """A smooth curve through measured points: filled, or a line of one width.

    Its curvature changes evenly from point to point, so that points of a circle give the circle. Points are told by
    their numbers, the first is 1. Pieces can be straight, or an arc through three points; at a corner it may turn
    sharply. With ``within`` the points are moved by no more than their ±, so that it bends evenly. It is placed by its
    size, or stays where its points are, measured from the lower left corner of the box, with ``in place``; the square
    ends of a line that then lie on a side of its box run on over it.

    Raises `ShapeError` for a curve that crosses itself, or turns sharply where no corner is.
    """

    name: ClassVar[str] = "curve"
    about: ClassVar[str] = "a smooth curve through measured points, filled or as a line"
    reads: ClassVar[bool] = False
    example: ClassVar[dict[str, object]] = {
        "ink": "harbour teal",
        "points": ((0.0, 4.6), (3.0, 0.6), (11.0, 1.6), (20.0, 0.4), (23.0, 4.4), (16.0, 8.0), (6.0, 8.0)),
    }
    example_box: ClassVar[Box] = Box(26.0, 12.0)

    ink: Annotated[str, keys.InkName("its ink")]
    points: Annotated[tuple[Point, ...], POINTS]
    line_width: Annotated[float | None, keys.Size("width of the line; if left out, the curve is filled")] = None
    closed: Annotated[
        bool | None,
        keys.Flag(
            "whether it returns to its first point; if left out, a line does not, a filled curve does",
            beside=("line width",),
        ),
    ] = None
    ends: Annotated[
        str,
        keys.Choice(
            "how the ends of a line look",
            ("square", "round", "pointed"),
            beside=("line width",),
            example="pointed",
        ),
    ] = "square"
    point_length: Annotated[
        float | None,
        keys.Size(
            "over what length a pointed end narrows; if left out, twice the line width", beside=("line width", "ends")
        ),
    ] = None
    corners: CurveCorners = ()
    directions: CurveDirections = ()
    straights: CurveStraights = ()
    arcs: CurveArcs = ()
    within: CurveWithin = None
    in_place: Annotated[bool, keys.Flag("its points are measured from the lower left corner of the box")] = False

    def __post_init__(self) -> None:
        if self.line_width is None:
            if self.closed is False:
                raise ShapeError("an open curve has no area to fill", "add `line width`, or remove `closed`")
            if self.ends != "square":
                raise ShapeError("a filled curve has no ends", "add `line width`, or remove `ends`")
        elif self.closed and self.ends != "square":
            raise ShapeError("a closed line has no ends", "remove `ends` or `closed`")
        if self.point_length is not None and self.ends != "pointed":
            raise ShapeError("`point length` is for pointed ends", "add ends: pointed, or remove `point length`")
        if _area(self).area < EDGE:
            raise ShapeError("the curve has no area", "give points that are not in one line, or a `line width`")

    @property
    def is_closed(self) -> bool:
        """Whether it returns to its first point."""
        return self.line_width is None if self.closed is None else self.closed

    def extent(self, box: Box) -> Box:
        """What the curve takes, or the box, in place."""
        x0, y0, x1, y1 = _area(self).bounds
        return box if self.in_place else Box(x1 - x0, y1 - y0)

    @property
    def zero(self) -> Point:
        """Where its points are measured from, mm from the lower left corner of its extent."""
        x0, y0, _, _ = (0.0, 0.0, 0.0, 0.0) if self.in_place else _area(self).bounds
        return -x0, -y0

    def draw(self, size: Box, run_on: float = 0.0) -> tuple[Inked, ...]:
        """One area."""
        area = _area(self)
        if not self.in_place:
            area = transform(area, translation(-area.bounds[0], -area.bounds[1]))
            return (Inked(self.ink, run_out(area, size, run_on)),)
        # What reaches beyond the box is its own run-on.
        long = _area_run_on(self, size) if self._runs_on(size) else area
        if region(long.intersection(grown(size, 0.0))).is_empty:
            x0, y0, x1, y1 = area.bounds
            raise ShapeError(
                f"the curve lies outside of its box: from ({x0:.4g}, {y0:.4g}) to ({x1:.4g}, {y1:.4g}) mm",
                f"move its points to between 0 and {size.width:g}, 0 and {size.height:g} mm, or remove `in place`",
            )
        beyond = run_out(long, size, run_on).intersection(grown(size, max(0.0, run_on)))
        return (Inked(self.ink, region(beyond)),)

    def _runs_on(self, size: Box) -> bool:
        return not self.is_closed and self.ends == "square" and any(outward_ends(curve_of(self), *size))


@lru_cache(maxsize=64)
def _area(drawn: DrawnCurve) -> MultiPolygon:
    """The area in the coordinates of its points."""
    curve = curve_of(drawn)
    return region(Polygon(curve.points())) if drawn.line_width is None else _line(drawn, curve)


def _line(drawn: DrawnCurve, curve: Curve) -> MultiPolygon:
    from decalgen.core.curves.band import band

    width = drawn.line_width or 0.0
    point = drawn.point_length or 2 * width
    if drawn.ends == "pointed" and 2 * point > curve.length:
        raise ShapeError(
            f"two pointed ends of {point:g} mm do not fit a line of {curve.length:.2f} mm",
            f"write point length: {math.floor(curve.length * 50) / 100:g} mm, or less",
        )
    return band(curve, width, drawn.ends, point)  # type: ignore[arg-type]


def _area_run_on(drawn: DrawnCurve, size: Box) -> MultiPolygon:
    """The area of a line whose ends on a side of its box go on beyond it, straight ahead."""
    from decalgen.core.curves.stretches import extended

    curve = curve_of(drawn)
    reach = size.width + size.height
    before, after = (reach if out else 0.0 for out in outward_ends(curve, *size))
    return _line(drawn, extended(curve, before, after))
