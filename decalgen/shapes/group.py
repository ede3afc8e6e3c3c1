"""A group: elements in a box of their own, which is turned, mirrored, repeated or clipped as one."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Annotated, ClassVar

import shapely
from shapely.geometry import MultiPolygon, Polygon

from decalgen.core import keys
from decalgen.core.geometry import (
    SLIVER,
    Matrix,
    Region,
    multiply,
    polygons,
    rectangle,
    rotation,
    transform,
    translation,
)
from decalgen.core.values import dataclass
from decalgen.shapes.base import Box, Element, Inked, Shape, ShapeError, Sides, moved
from decalgen.shapes.pieces import EDGE, check_cells, check_points
from decalgen.shapes.placing import ALL, edge_sides, place, window
from decalgen.shapes.registry import shape
from decalgen.shapes.roundel import Roundel
from decalgen.shapes.star import Star

DEEPEST = 8
"""Groups in groups beyond this are a slip."""


@shape
@dataclass(frozen=True)
class Group:
    """Several elements in a box of their own, used as one shape.

    Without a size the group takes the whole box. It can be repeated in a row, turned, mirrored (lettering in it keeps
    its reading) and clipped to its box. Turned by other than quarter turns it needs a width and a height, and does not
    run on.

    Raises `ShapeError` for groups too deep in each other and for copies that are too many.
    """

    name: ClassVar[str] = "group"
    about: ClassVar[str] = "several elements as one: turned, mirrored, repeated, clipped"
    reads: ClassVar[bool] = False
    example: ClassVar[dict[str, object]] = {
        "elements": (
            Element(Roundel(("plum dark", "oat cream"), ratios=(10.0, 9.0))),
            Element(Star("harbour teal", diameter=7.0, in_circle=True)),
        ),
        "width": 10.0,
        "height": 10.0,
        "count": 3,
        "pitch_x": 11.0,
    }
    example_box: ClassVar[Box] = Box(34.0, 12.0)

    elements: Annotated[tuple[Element, ...], keys.Elements("the shapes in it, the last on top")]
    width: Annotated[float | None, keys.Size("width of its box; if left out, what there is")] = None
    height: Annotated[float | None, keys.Size("height of its box; if left out, what there is")] = None
    turn: Annotated[float, keys.Angle("turns it anticlockwise", example="45°", beside=("width", "height"))] = 0.0
    mirror: Annotated[bool, keys.Flag("swaps left and right in it; lettering is not mirrored")] = False
    count: Annotated[int, keys.Count("how many copies")] = 1
    pitch_x: Annotated[float, keys.Length("how far to the right the next copy lies")] = 0.0
    pitch_y: Annotated[float, keys.Length("how far up the next copy lies", example="11 mm")] = 0.0
    clip: Annotated[bool, keys.Flag("cuts off what reaches out of its box")] = False

    def __post_init__(self) -> None:
        if _depth(self) > DEEPEST:
            raise ShapeError(f"groups lie more than {DEEPEST} deep in each other", "use fewer groups")
        if not self._straight and not (self.width and self.height):
            raise ShapeError("a turned group needs a size", "give the group a `width` and a `height`")

    def extent(self, box: Box) -> Box:
        """All copies, turned."""
        _, one, _ = self._frame(box)
        return Box(one.width + (self.count - 1) * abs(self.pitch_x), one.height + (self.count - 1) * abs(self.pitch_y))

    def draw(self, size: Box, run_on: float = 0.0) -> tuple[Inked, ...]:
        """Copy by copy, the areas of all elements."""
        return self.draw_on(size, run_on, ALL)

    def draw_on(self, size: Box, run_on: float, sides: Sides) -> tuple[Inked, ...]:
        """As ``draw``, running on over these sides only."""
        inner, one, turn = self._frame(size)
        run_on = max(0.0, run_on) if self._straight else 0.0
        first_x = max(0.0, -self.pitch_x) * (self.count - 1)
        first_y = max(0.0, -self.pitch_y) * (self.count - 1)
        drawn: dict[Sides, tuple[Inked, ...]] = {}
        areas: list[Inked] = []
        for number in range(self.count):
            corner = (first_x + number * self.pitch_x, first_y + number * self.pitch_y)
            real = edge_sides(one, corner, size, sides)
            if real not in drawn:
                drawn[real] = self._once(inner, turn, run_on, real)
                points = sum(shapely.get_num_coordinates(area.region) for area in drawn[real])
                check_points(points * self.count)
                check_cells(len(drawn[real]) * self.count, "areas")
            shift = translation(*corner)
            areas += [moved(area, shift) for area in drawn[real]]
        return tuple(areas)

    def mirrored(self) -> Shape:
        """The group for the other hand: elements mirrored, turned and repeated the other way; lettering readable."""
        return replace(self, mirror=not self.mirror, turn=-self.turn, pitch_x=-self.pitch_x)

    @property
    def _straight(self) -> bool:
        return self.turn % 90 == 0

    def _frame(self, box: Box) -> tuple[Box, Box, Matrix]:
        """The inner box, what one copy of it takes once turned, and the matrix that turns it."""
        quarter = self.turn % 180 == 90
        room_x = box.width - (self.count - 1) * abs(self.pitch_x)
        room_y = box.height - (self.count - 1) * abs(self.pitch_y)
        width = self.width or (room_y if quarter else room_x)
        height = self.height or (room_x if quarter else room_y)
        if width <= EDGE or height <= EDGE:
            raise ShapeError(f"{self.count} copies of this group do not fit", "give fewer, or a smaller pitch")
        turn = rotation(self.turn)
        x0, y0, x1, y1 = transform(rectangle(0, 0, width, height), turn).bounds
        one = Box(height, width) if quarter else Box(width, height) if self._straight else Box(x1 - x0, y1 - y0)
        return Box(width, height), one, multiply(translation(-x0, -y0), turn)

    def _once(self, inner: Box, turn: Matrix, run_on: float, real: Sides) -> tuple[Inked, ...]:
        """One copy, turned into its place."""
        quarters = round(self.turn / 90) % 4
        sides: Sides = tuple(real[(i + quarters) % 4] for i in range(4))  # type: ignore[assignment]
        areas = place(self.elements, inner, run_on, self.mirror, sides)
        if self.clip:
            view, own = rectangle(*window(inner, sides, run_on)), rectangle(0, 0, *inner)
            areas = tuple(replace(a, region=_clipped(a.region, view, own)) for a in areas)
        return tuple(moved(a, turn) for a in areas if not a.region.is_empty)


def _clipped(area: Region, view: Polygon, own: Polygon) -> MultiPolygon:
    """What of an area shows in a view of a group's own box, which may be wider by what runs on. What begins beyond the
    box runs on from nothing, and is left out."""
    seen = polygons(area.intersection(view))
    return MultiPolygon([part for part in seen if part.intersection(own).area > SLIVER])


def inside_groups(elements: Sequence[Element]) -> Iterator[Element]:
    """The elements that are no groups themselves, those that stand inside groups among them, in order."""
    for element in elements:
        if isinstance(element.shape, Group):
            yield from inside_groups(element.shape.elements)
        else:
            yield element


def _depth(group: Group) -> int:
    return 1 + max((_depth(e.shape) for e in group.elements if isinstance(e.shape, Group)), default=0)
