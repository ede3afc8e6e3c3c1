"""Roundels: discs in one another, by their diameters or the ratios of them."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Annotated, ClassVar

from decalgen.core import keys
from decalgen.core.geometry import arc_steps, circle
from decalgen.core.values import dataclass
from decalgen.shapes.base import Box, Inked, ShapeError
from decalgen.shapes.pieces import EDGE, by_ink, check_points
from decalgen.shapes.registry import shape


@shape
@dataclass(frozen=True)
class Roundel:
    """A disc, or rings round a disc, their inks named from the outside in.

    The rings' sizes are given as diameters or as the ratios of the diameters (1, 3, 5 as well as 5, 3, 1); left out,
    all rings are equally wide. A roundel does not run on: where the cut line follows its rim, the bleed grows there.

    Raises `ShapeError` where inks and sizes do not match, or the sizes do not go one way.
    """

    name: ClassVar[str] = "roundel"
    about: ClassVar[str] = "a disc or rings, by diameters or their ratios; one or a row of them"
    reads: ClassVar[bool] = False
    example: ClassVar[dict[str, object]] = {"inks": ("deep wood", "oat cream", "rust"), "ratios": (6.0, 5.0, 2.0)}
    example_box: ClassVar[Box] = Box(12.0, 12.0)

    inks: Annotated[tuple[str, ...], keys.Many("inks from the outer ring to the middle", of=keys.InkName(), most=40)]
    diameter: Annotated[
        float | None, keys.Size("outer diameter; if left out, as large as the box lets it", example="8 mm")
    ] = None
    ratios: Annotated[
        tuple[float, ...] | None,
        keys.Many("ratios of the diameters, such as 1, 3, 5", of=keys.Number(least=1e-6), most=40),
    ] = None
    diameters: Annotated[
        tuple[float, ...] | None,
        keys.Many("the diameters themselves, instead", of=keys.Size(), most=40, example=("8 mm", "6 mm", "3 mm")),
    ] = None
    count: Annotated[int, keys.Count("how many, side by side", example="2")] = 1
    pitch: Annotated[
        float | None, keys.Size("from one middle to the next; if left out, they touch", example="9 mm")
    ] = None

    def __post_init__(self) -> None:
        outer = self.rings(self.diameter or 1.0)[0]
        if self.count > 1 and self.pitch and (self.diameter or self.diameters) and self.pitch < outer - EDGE:
            raise ShapeError("the roundels overlap", "give a `pitch` of at least the diameter")

    def rings(self, outer: float) -> tuple[float, ...]:
        """The diameters from the outside in, mm. Raises `ShapeError`."""
        given = self.diameters or self.ratios
        if self.diameters and (self.ratios or self.diameter):
            raise ShapeError("the roundel has its size twice", "give either `diameters`, or `diameter` and `ratios`")
        if not given:
            return tuple(outer * (len(self.inks) - i) / len(self.inks) for i in range(len(self.inks)))
        if len(given) != len(self.inks):
            raise ShapeError(
                f"the roundel has {len(self.inks)} inks but {len(given)} sizes", "give one size for each ink"
            )
        down = given if given[0] >= given[-1] else given[::-1]
        if any(a <= b for a, b in pairwise(down)):
            raise ShapeError(
                "the roundel's sizes do not get smaller from ring to ring",
                "list them from the outer ring to the middle, or the other way round",
            )
        return down if self.diameters else tuple(outer * ratio / down[0] for ratio in down)

    def extent(self, box: Box) -> Box:
        """The row of discs."""
        if self.diameters:
            outer = max(self.diameters)
        else:
            across = (box.width - (self.count - 1) * self.pitch) if self.pitch else box.width / self.count
            outer = self.diameter or min(across, box.height)
        if not outer > 0:
            raise ShapeError("there is no room for the row of roundels", "give a smaller `pitch` or `count`")
        return Box(outer + (self.count - 1) * (self.pitch or outer), outer)

    def draw(self, size: Box, run_on: float = 0.0) -> tuple[Inked, ...]:
        """Discs from the largest to the smallest, each over the last."""
        outer = size.height
        rings = self.rings(outer)
        pitch = self.pitch or outer
        if self.count > 1 and pitch < outer - EDGE:
            raise ShapeError("the roundels overlap", "give a `pitch` of at least the diameter")
        check_points(self.count * len(rings) * 4 * arc_steps(outer / 2, math.pi / 2))
        areas: list[Inked] = []
        for i, (ink, diameter) in enumerate(zip(self.inks, rings, strict=True)):
            if i and ink == self.inks[i - 1]:
                continue  # a disc on its own ink shows no edge
            discs = [circle((outer / 2 + n * pitch, outer / 2), diameter / 2) for n in range(self.count)]
            areas += by_ink((ink, disc) for disc in discs)
        return tuple(areas)
