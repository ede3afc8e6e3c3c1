"""A border: a keyline inside the decal's edge."""

from __future__ import annotations

import math
from typing import Annotated, ClassVar

from shapely.geometry import Polygon

from decalgen.core import keys
from decalgen.core.geometry import arc_steps, region, rounded
from decalgen.core.values import dataclass
from decalgen.shapes.base import Box, Inked, ShapeError
from decalgen.shapes.pieces import run_out
from decalgen.shapes.registry import shape


@shape
@dataclass(frozen=True)
class Border:
    """A keyline that follows the decal's cut line at a constant distance.

    In a group, where there is no cut line, it follows the group's rectangle, whose corners may be rounded. With an
    inset of 0 it lies on the edge and runs on over it.

    Raises `ShapeError` where the inset leaves no room for it.
    """

    name: ClassVar[str] = "border"
    about: ClassVar[str] = "a keyline that follows the cut line"
    reads: ClassVar[bool] = False
    example: ClassVar[dict[str, object]] = {"ink": "night sea", "line_width": 0.5, "inset": 0.8, "corner_radius": 2.0}
    example_box: ClassVar[Box] = Box(20.0, 10.0)

    ink: Annotated[str, keys.InkName("its ink")]
    line_width: Annotated[float, keys.Size("width of the line")]
    inset: Annotated[float, keys.Length("from the edge to the line", least=0.0)] = 0.0
    corner_radius: Annotated[
        float, keys.Length("of the edge's corners, where there is no cut line to follow", least=0.0)
    ] = 0.0

    def extent(self, box: Box) -> Box:
        """The whole box."""
        return box

    def draw(self, size: Box, run_on: float = 0.0) -> tuple[Inked, ...]:
        """One area along the rectangle."""
        outer = self._inside(size, self.inset)
        if outer is None:
            raise ShapeError(f"an inset of {self.inset:g} mm leaves no room for the border", "make the inset smaller")
        inner = self._inside(size, self.inset + self.line_width)
        line = outer if inner is None else outer.difference(inner)
        return (Inked(self.ink, run_out(line, size, run_on)),)

    def follow(self, cut: Polygon, run_on: float = 0.0) -> tuple[Inked, ...]:
        """One area along the cut line (mm, in the decal's coordinates)."""
        outer = cut if self.inset == 0 and run_on <= 0 else _offset(cut, run_on if self.inset == 0 else -self.inset)
        if outer.is_empty:
            raise ShapeError(f"an inset of {self.inset:g} mm leaves no room for the border", "make the inset smaller")
        return (Inked(self.ink, region(outer.difference(_offset(cut, -self.inset - self.line_width)))),)

    def _inside(self, size: Box, by: float) -> Polygon | None:
        """The rectangle in by ``by``; its corners keep their centres."""
        width, height = size.width - 2 * by, size.height - 2 * by
        if width <= 0 or height <= 0:
            return None
        radius = min(self.corner_radius, size.width / 2, size.height / 2)
        radius = max(0.0, radius - by)
        return rounded(width, height, (radius,) * 4, by, by).polygon


def _offset(cut: Polygon, by: float) -> Polygon:
    """Mitred, since the cut line's own curves are already flattened: every corner of it is nearly straight or real."""
    steps = arc_steps(abs(by), math.pi / 2)
    return cut.buffer(by, quad_segs=steps, join_style="mitre", mitre_limit=5.0)
