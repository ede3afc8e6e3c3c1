"""What is seen of a picture by points on it: an outline with corners, or a smooth curve. Pure; mm on the picture."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Annotated

from shapely.geometry import MultiPolygon, Polygon

from decalgen.core.geometry import Point, rectangle, region
from decalgen.core.values import dataclass
from decalgen.shapes import coursed, outline
from decalgen.shapes.base import Box, ShapeError
from decalgen.shapes.pieces import EDGE

BEYOND = 0.02
"""An outline that reaches no further over a side of the picture, mm, is taken back to it: sizes are read so finely."""
_FROM = ", from the lower left corner of the picture as its file has it"
_CURVE_POINTS = replace(
    coursed.POINTS,
    about=coursed.POINTS.about + _FROM,
    example=(("2 mm", "5 mm"), ("6 mm", "2 mm"), ("10 mm", "5 mm"), ("6 mm", "8 mm")),
)


@dataclass(frozen=True)
class PictureOutline:
    """An outline on a picture, given as that of the shape `outline`."""

    points: Annotated[tuple[Point, ...], replace(outline.POINTS, about=outline.POINTS.about + _FROM)]
    radii: Annotated[tuple[float, ...], outline.RADII] = ()
    rises: Annotated[tuple[float, ...], outline.RISES] = ()
    curves: Annotated[tuple[int, ...], outline.CURVES] = ()
    smooth_joins: outline.SmoothJoins = ()
    directions: outline.SideDirections = ()
    within: outline.SidesWithin = None

    def area(self) -> Polygon:
        """What is in it. Raises `ShapeError`."""
        drawn = outline.DrawnOutline(
            "",
            self.points,
            self.radii,
            self.rises,
            self.curves,
            self.smooth_joins,
            self.directions,
            self.within,
        )
        return drawn.rings()[0].polygon


@dataclass(frozen=True)
class PictureCurve:
    """A smooth closed curve on a picture, given as that of the shape `curve`."""

    points: Annotated[tuple[Point, ...], _CURVE_POINTS]
    corners: coursed.CurveCorners = ()
    directions: coursed.CurveDirections = ()
    straights: coursed.CurveStraights = ()
    arcs: coursed.CurveArcs = ()
    within: coursed.CurveWithin = None

    @property
    def is_closed(self) -> bool:
        """Always: what is seen has an inside."""
        return True

    def area(self) -> Polygon:
        """What is in it. Raises `ShapeError`."""
        area = Polygon(coursed.curve_of(self).points())
        if area.area < EDGE:
            raise ShapeError("the curve has no area", "give points that are not in one line")
        return area


def seen_by(line: PictureOutline | PictureCurve, name: str, size: Box) -> MultiPolygon:
    """What is seen of the picture ``name`` inside a line on it. Raises `ShapeError` where that leaves the picture."""
    room = f"{size.width:.2f} \N{MULTIPLICATION SIGN} {size.height:.2f} mm"
    for number, (x, y) in enumerate(line.points, 1):
        if max(_over((x, y, x, y), size).values()) > BEYOND:
            raise ShapeError(
                f"point {number}, ({x:.4g}, {y:.4g}) mm, is not on the picture '{name}', which is {room}",
                f"write it between 0 and {_down(size.width)}, 0 and {_down(size.height)} mm, "
                "measured from the picture's lower left corner",
            )
    area = line.area()
    side, over = max(_over(area.bounds, size).items(), key=lambda one: one[1])
    if over > BEYOND:
        raise ShapeError(
            f"between its points the outline of '{name}' reaches {over:.2f} mm beyond the picture at the {side}",
            f"move the points near the {side} inward, or make it less bent there",
        )
    return region(area.intersection(rectangle(0.0, 0.0, *size)))


def _over(bounds: Sequence[float], size: Box) -> dict[str, float]:
    """How far something reaches over each side, mm; negative where it does not."""
    x0, y0, x1, y1 = bounds
    return {"left": -x0, "bottom": -y0, "right": x1 - size.width, "top": y1 - size.height}


def _down(mm: float) -> str:
    return f"{math.floor(mm * 100 + 1e-6) / 100:g}"
