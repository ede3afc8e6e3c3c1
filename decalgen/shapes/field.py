"""A filled rectangle, each corner with a radius of its own."""

from __future__ import annotations

from typing import Annotated, ClassVar

from decalgen.core import keys
from decalgen.core.geometry import rounded
from decalgen.core.values import dataclass
from decalgen.shapes.base import Box, Inked
from decalgen.shapes.pieces import run_out
from decalgen.shapes.registry import shape


@shape
@dataclass(frozen=True)
class Field:
    """A filled rectangle.

    It may have its own size and round corners; radii too large for a side are reduced together. Straight sides run
    on outward; a rounded corner does not (where the cut line follows it, the bleed grows along the arc).
    """

    name: ClassVar[str] = "field"
    about: ClassVar[str] = "a filled rectangle, corners round if you like"
    reads: ClassVar[bool] = False
    example: ClassVar[dict[str, object]] = {"ink": "harbour teal", "corner_radius": 1.5}
    example_box: ClassVar[Box] = Box(20.0, 8.0)

    ink: Annotated[str, keys.InkName("its ink")]
    width: Annotated[float | None, keys.Size("width; if left out, the whole width of the box", example="20 mm")] = None
    height: Annotated[float | None, keys.Size("height; if left out, the whole height of the box", example="6 mm")] = (
        None
    )
    corner_radius: Annotated[float, keys.Length("radius of all four corners", least=0.0)] = 0.0
    corner_radii: Annotated[
        tuple[float, ...] | None,
        keys.Many(
            "four radii: lower left, lower right, upper right, upper left",
            of=keys.Length(least=0.0),
            least=4,
            most=4,
            example=("0 mm", "0 mm", "1.5 mm", "1.5 mm"),
        ),
    ] = None

    def extent(self, box: Box) -> Box:
        """Its own size, or the box's where left out."""
        return Box(self.width or box.width, self.height or box.height)

    def draw(self, size: Box, run_on: float = 0.0) -> tuple[Inked, ...]:
        """One area."""
        body = rounded(size.width, size.height, self.corner_radii or (self.corner_radius,) * 4).polygon
        return (Inked(self.ink, run_out(body, size, run_on)),)
