"""Stars of any number of points."""

from __future__ import annotations

import math
from typing import Annotated, ClassVar

from shapely.geometry import Polygon

from decalgen.core import keys
from decalgen.core.values import dataclass
from decalgen.shapes.base import Box, Inked, ShapeError
from decalgen.shapes.pieces import run_out
from decalgen.shapes.registry import shape

PENTAGRAM = (3 - math.sqrt(5)) / 2
"""Inner to outer radius of the five-pointed star whose edges run straight from point to point: 1/phi^2 = 0.381966."""


@shape
@dataclass(frozen=True)
class Star:
    """A star, one point up unless it is turned.

    Left out, the inner ratio is the one that makes the edges run straight through from point to point, as in the
    pentagram (0.381966 for five points). Its place is that of its outline; inside a roundel say ``in circle``, and
    the middle of the circle through its points counts instead.

    Raises `ShapeError` for an inner ratio of 1 or more.
    """

    name: ClassVar[str] = "star"
    about: ClassVar[str] = "a star of three or more points"
    reads: ClassVar[bool] = False
    example: ClassVar[dict[str, object]] = {"ink": "harbour teal"}
    example_box: ClassVar[Box] = Box(12.0, 12.0)

    ink: Annotated[str, keys.InkName("its ink")]
    points: Annotated[int, keys.Count("how many points", least=3, most=100, example="6")] = 5
    inner_ratio: Annotated[
        float | None,
        keys.Number("radius of the inner corners to that of the points", least=0.01, most=1.0, example="0.5"),
    ] = None
    turn: Annotated[float, keys.Angle("turns it anticlockwise", example="36°")] = 0.0
    diameter: Annotated[
        float | None,
        keys.Size("of the circle through its points; if left out, as large as the box lets it", example="6 mm"),
    ] = None
    in_circle: Annotated[bool, keys.Flag("takes the place of the circle through its points")] = False

    def __post_init__(self) -> None:
        if self.inner_ratio is not None and not 0 < self.inner_ratio < 1:
            raise ShapeError(
                f"a star with an inner ratio of {self.inner_ratio:g} has no points",
                "give a ratio between 0 and 1; 0.382 makes the usual five-pointed star",
            )

    @property
    def ratio(self) -> float:
        """The inner radius to the outer one."""
        if self.inner_ratio is not None:
            return self.inner_ratio
        if self.points < 5:
            return PENTAGRAM
        return math.cos(2 * math.pi / self.points) / math.cos(math.pi / self.points)

    def extent(self, box: Box) -> Box:
        """The star's own width and height, or its circle's."""
        x0, y0, x1, y1 = self._frame()
        width, height = x1 - x0, y1 - y0
        scale = self.diameter / 2 if self.diameter else min(box.width / width, box.height / height)
        return Box(width * scale, height * scale)

    def draw(self, size: Box, run_on: float = 0.0) -> tuple[Inked, ...]:
        """One area. Points that touch a side do not run on."""
        x0, y0, x1, _ = self._frame()
        scale = size.width / (x1 - x0)
        star = Polygon([((x - x0) * scale, (y - y0) * scale) for x, y in self._ring()])
        return (Inked(self.ink, run_out(star, size, run_on)),)

    def _ring(self) -> list[tuple[float, float]]:
        """The corners on the unit circle and inside it."""
        start = math.pi / 2 + math.radians(self.turn)
        radii = (1.0, self.ratio)
        turns = ((radii[i % 2], start + math.pi * i / self.points) for i in range(2 * self.points))
        return [(r * math.cos(a), r * math.sin(a)) for r, a in turns]

    def _frame(self) -> tuple[float, float, float, float]:
        if self.in_circle:
            return (-1.0, -1.0, 1.0, 1.0)
        x0, y0, x1, y1 = Polygon(self._ring()).bounds
        return (x0, y0, x1, y1)
