"""Chevrons: bands that meet at the middle line, or slanted one way only."""

from __future__ import annotations

import math
from typing import Annotated, ClassVar

from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from decalgen.core import keys
from decalgen.core.geometry import rectangle, rotation, transform, translation
from decalgen.core.values import dataclass
from decalgen.shapes.bands import Band, check_pitch, filling, meeting, row
from decalgen.shapes.base import Box, Inked
from decalgen.shapes.pieces import by_ink, chosen_inks, grown
from decalgen.shapes.registry import shape

TURNS = {"right": 0.0, "up": 90.0, "left": 180.0, "down": 270.0}


@shape
@dataclass(frozen=True)
class Chevrons:
    """Chevrons that point up, down, left or right.

    With a count they take just the room they need along their direction; without one they cover the whole area.
    Their width is measured square across a band, as stripes are. Not centred, all bands slant one way: the left arm
    alone goes right across. Several inks take turns without a gap, one ink leaves gaps as wide as the bands, unless
    a gap is given.

    Raises `ShapeError` for bands that are too many.
    """

    name: ClassVar[str] = "chevrons"
    about: ClassVar[str] = "chevrons or one-handed slanted bands, a few or a whole area of them"
    needs: ClassVar[tuple[frozenset[str], ...]] = (frozenset({"ink"}), frozenset({"inks"}))
    reads: ClassVar[bool] = False
    example: ClassVar[dict[str, object]] = {
        "inks": ("harbour teal", "rope cream"),
        "stripe_width": 2.5,
        "direction": "up",
    }
    example_box: ClassVar[Box] = Box(26.0, 8.0)

    stripe_width: Annotated[float, keys.Size("width of a band, measured square across it")]
    ink: Annotated[str | None, keys.InkName("their ink; or give `inks`")] = None
    inks: Annotated[
        tuple[str, ...] | None,
        keys.Many("inks of the bands, in turn from the back", of=keys.InkName(), example=("black", "white")),
    ] = None
    direction: Annotated[str, keys.Choice("where they point", ("up", "down", "left", "right"))] = "up"
    angle: Annotated[float, keys.Angle("between an arm and the direction they point in", least=10.0, most=80.0)] = 45.0
    centred: Annotated[bool, keys.Flag("arms on both sides of the middle line; no: slanted one way")] = True
    count: Annotated[int | None, keys.Count("how many; if left out, as many as cover the area", example="3")] = None
    gap: Annotated[float | None, keys.Length("between two bands, square across", least=0.0, example="1 mm")] = None
    shift: Annotated[float, keys.Length("moves the bands in the direction they point in", example="0.5 mm")] = 0.0
    width: Annotated[float | None, keys.Size("width; if left out, what they take, or the box's", example="20 mm")] = (
        None
    )
    height: Annotated[float | None, keys.Size("height; if left out, what they take, or the box's", example="6 mm")] = (
        None
    )
    ground: Annotated[str | None, keys.InkName("ink under and between the bands; if left out, bare")] = None

    def __post_init__(self) -> None:
        chosen_inks(self.ink, self.inks, self.name)
        check_pitch(*self._steps)

    def extent(self, box: Box) -> Box:
        """Its own size; with a count, along the direction, what the bands take."""
        level = self.direction in ("left", "right")
        across = (self.height or box.height) if level else (self.width or box.width)
        along = (self.width if level else self.height) or self._room(across)
        if along is None:
            along = box.width if level else box.height
        return Box(along, across) if level else Box(across, along)

    def draw(self, size: Box, run_on: float = 0.0) -> tuple[Inked, ...]:
        """The ground, then one area an ink; bands run on along themselves."""
        inks = chosen_inks(self.ink, self.inks, self.name)
        run_on = max(0.0, run_on)
        level = self.direction in ("left", "right")
        frame = size if level else Box(size.height, size.width)
        turn = rotation(TURNS[self.direction])
        x, y, _, _ = transform(rectangle(0, 0, *frame), turn).bounds
        areas = []
        for band in self._bands(frame):
            placed = transform(transform(self._arms(band, frame, run_on), turn), translation(-x, -y))
            areas.append((inks[band.index % len(inks)], placed))
        bands = by_ink(areas)
        return bands if self.ground is None else (Inked(self.ground, grown(size, run_on)), *bands)

    @property
    def _lean(self) -> float:
        """How far an arm falls back for each mm it goes outward."""
        return 1 / math.tan(math.radians(self.angle))

    @property
    def _steps(self) -> tuple[float, float]:
        """Width of a band and distance to the next, along the direction."""
        gap = self.gap
        if gap is None:
            gap = 0.0 if self.inks and len(self.inks) > 1 else self.stripe_width
        s = math.sin(math.radians(self.angle))
        return self.stripe_width / s, (self.stripe_width + gap) / s

    def _reach(self, across: float) -> float:
        """How far an arm's outer end lies behind its inner one."""
        return self._lean * (across / 2 if self.centred else across)

    def _room(self, across: float) -> float | None:
        """What the counted bands take along their direction."""
        if self.count is None:
            return None
        width, pitch = self._steps
        return self._reach(across) + (self.count - 1) * pitch + width

    def _bands(self, frame: Box) -> list[Band]:
        """Bands of the distance ahead, an arm's falling back made up for."""
        width, pitch = self._steps
        reach = self._reach(frame.height)
        if self.count is None:
            bands = filling(0.0, frame.width + reach, width, pitch, self.shift)
        else:
            bands = row(self.count, width, pitch, (frame.width + reach) / 2 + self.shift)
        return list(meeting(bands, 0.0, frame.width + reach))

    def _arms(self, band: Band, frame: Box, run_on: float) -> BaseGeometry:
        """One band pointing right in ``frame``."""
        area = grown(frame, run_on)
        middle = frame.height / 2 if self.centred else 0.0
        ends = [0.0 - run_on, frame.height + run_on]
        if self.centred:
            ends.insert(1, middle)
        far = 2 * (frame.width + frame.height + run_on) * (1 + self._lean)

        def ahead(value: float, v: float) -> float:
            if math.isinf(value):
                return math.copysign(far, value)
            return value - self._lean * (abs(v - middle) if self.centred else v)

        front = [(ahead(band.high, v), v) for v in ends]
        back = [(ahead(band.low, v), v) for v in reversed(ends)]
        return area.intersection(Polygon([*front, *back]))
