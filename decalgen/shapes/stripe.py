"""Straight stripes: one or several, at any angle, with square or slanted ends."""

from __future__ import annotations

import math
from typing import Annotated, ClassVar

from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from decalgen.core import keys
from decalgen.core.geometry import Region, rectangle, rotation, transform, translation
from decalgen.core.values import dataclass
from decalgen.shapes.bands import Band, check_pitch, filling, meeting, row
from decalgen.shapes.base import Box, Inked, ShapeError
from decalgen.shapes.pieces import by_ink, chosen_inks, grown
from decalgen.shapes.registry import shape

WHOLE = Band(-math.inf, math.inf, 0)


@shape
@dataclass(frozen=True)
class Stripe:
    """One or several parallel stripes.

    A level or upright stripe takes just its own width and runs from side to side, unless it has a length; at another
    angle stripes cross the whole area (the box, or a width and height of their own) as a slanted pattern, and the
    middle one goes through its middle. Several stripes abut when there are several inks, and are one stripe width
    apart when there is one, unless a pitch is given.

    Raises `ShapeError` for stripes that overlap or have no width, and for ends that cross each other.
    """

    name: ClassVar[str] = "stripe"
    about: ClassVar[str] = "straight stripes at any angle, one or several, ends square or slanted"
    needs: ClassVar[tuple[frozenset[str], ...]] = (frozenset({"ink"}), frozenset({"inks"}))
    reads: ClassVar[bool] = False
    example: ClassVar[dict[str, object]] = {
        "ink": "harbour teal",
        "stripe_width": 2.0,
        "count": 3,
        "pitch": 3.0,
        "start_slant": -30.0,
        "end_slant": 30.0,
    }
    example_box: ClassVar[Box] = Box(30.0, 12.0)

    stripe_width: Annotated[float, keys.Size("width of one stripe, measured square across it")]
    ink: Annotated[str | None, keys.InkName("its ink; or give `inks`")] = None
    inks: Annotated[
        tuple[str, ...] | None,
        keys.Many(
            "inks of the stripes, in turn from the top or the left", of=keys.InkName(), example=("black", "white")
        ),
    ] = None
    angle: Annotated[
        float, keys.Angle("direction it runs in: 0 level, 90 upright, 45 rising to the right", example="45°")
    ] = 0.0
    count: Annotated[int, keys.Count("how many stripes")] = 1
    fill: Annotated[bool, keys.Flag("as many stripes as it takes to cover the area, instead of a count")] = False
    pitch: Annotated[float | None, keys.Size("from the middle of one stripe to the middle of the next")] = None
    shift: Annotated[
        float, keys.Length("shifts the stripes at right angles to their length, inside their area", example="0.5 mm")
    ] = 0.0
    length: Annotated[
        float | None, keys.Size("length along itself; if left out, from side to side", example="20 mm")
    ] = None
    width: Annotated[
        float | None, keys.Size("width of the area; if left out, the whole width of the box", example="20 mm")
    ] = None
    height: Annotated[
        float | None, keys.Size("height of the area; if left out, what the stripes take", example="6 mm")
    ] = None
    start_slant: Annotated[
        float, keys.Angle("how far the starting end leans from square, degrees; positive as italics", -80.0, 80.0)
    ] = 0.0
    end_slant: Annotated[float, keys.Angle("the same for the other end", -80.0, 80.0)] = 0.0
    ground: Annotated[
        str | None, keys.InkName("ink under and between the stripes; if left out, bare", example="white")
    ] = None

    def __post_init__(self) -> None:
        chosen_inks(self.ink, self.inks, self.name)
        check_pitch(self.stripe_width, self._pitch)
        if (self.start_slant or self.end_slant) and not (self._straight or self._free):
            raise ShapeError("slanted ends at this angle need a length", "give the stripe a `length`")

    def extent(self, box: Box) -> Box:
        """What the stripes take: themselves if level, upright or of a given length, otherwise the area."""
        if self._free:
            x0, y0, x1, y1 = self._turned(self._piece(self._ends_box, WHOLE)).bounds
            return Box(x1 - x0, y1 - y0)
        across = None if self.fill else self._across
        if self._level:
            return Box(self.length or self.width or box.width, self.height or across or box.height)
        if self._upright:
            return Box(self.width or across or box.width, self.length or self.height or box.height)
        return Box(self.width or box.width, self.height or box.height)

    def draw(self, size: Box, run_on: float = 0.0) -> tuple[Inked, ...]:
        """The ground, then one area an ink."""
        inks = chosen_inks(self.ink, self.inks, self.name)
        cut = self._slanted if not (self._straight or self._free) else self._square
        ground, areas = cut(size, max(0.0, run_on))
        last = 0 if self.fill else self.count - 1
        stripes = by_ink((inks[(last - band.index) % len(inks)], area) for band, area in reversed(areas))
        return stripes if self.ground is None else (Inked(self.ground, ground), *stripes)

    @property
    def _level(self) -> bool:
        return self.angle % 180 == 0

    @property
    def _upright(self) -> bool:
        return self.angle % 180 == 90

    @property
    def _straight(self) -> bool:
        return self.angle % 90 == 0

    @property
    def _free(self) -> bool:
        return self.length is not None and not self._straight

    @property
    def _pitch(self) -> float:
        if self.pitch is not None:
            return self.pitch
        return self.stripe_width if self.inks and len(self.inks) > 1 else 2 * self.stripe_width

    @property
    def _across(self) -> float:
        return (self.count - 1) * self._pitch + self.stripe_width

    @property
    def _ends_box(self) -> Box:
        return Box(self.length or 0.0, self._across)

    def _bands(self, low: float, high: float, middle: float) -> list[Band]:
        middle += self.shift
        if self.fill:
            bands = filling(low, high, self.stripe_width, self._pitch, middle - self.stripe_width / 2)
        else:
            bands = row(self.count, self.stripe_width, self._pitch, middle)
        return list(meeting(bands, low, high))

    def _square(self, size: Box, run_on: float) -> tuple[Region, list[tuple[Band, BaseGeometry]]]:
        """Level, upright, or a piece of given length: drawn along x, then turned into its extent.

        A piece at another angle touches its extent with corners only, and so does not run on.
        """
        if self._free:
            frame, run_on = self._ends_box, 0.0
        else:
            frame = size if self._level else Box(size.height, size.width)
        x, y, _, _ = self._turned(rectangle(0, 0, *frame) if self._straight else self._piece(frame, WHOLE)).bounds
        move = translation(-x, -y)
        bands = self._bands(0.0, frame.height, frame.height / 2)
        return (
            transform(self._turned(self._piece(frame, WHOLE, run_on)), move),
            [(band, transform(self._turned(self._piece(frame, band, run_on)), move)) for band in bands],
        )

    def _turned(self, area: BaseGeometry) -> BaseGeometry:
        return transform(area, rotation(self.angle))

    def _piece(self, frame: Box, band: Band, run_on: float = 0.0) -> Polygon:
        """One band between the ends, along x in ``frame``; square ends and the outer sides run on straight out."""
        low, high = max(band.low, 0.0), min(band.high, frame.height)
        a, b = self._ends(frame, low, run_on)
        c, d = self._ends(frame, high, run_on)
        under = [(a, -run_on), (b, -run_on)] if run_on and math.isinf(band.low) else []
        over = [(d, high + run_on), (c, high + run_on)] if run_on and math.isinf(band.high) else []
        return Polygon([(a, low), *under, (b, low), (d, high), *over, (c, high)])

    def _ends(self, frame: Box, v: float, run_on: float) -> tuple[float, float]:
        """Where the stripes start and end at height ``v`` across; both ends touch the frame."""
        first, last = (math.tan(math.radians(slant)) for slant in (self.start_slant, self.end_slant))
        start = v * first if first >= 0 else (v - frame.height) * first
        end = frame.width + ((v - frame.height) * last if last >= 0 else v * last)
        if end - start < 1e-9:
            raise ShapeError("the slanted ends of the stripe cross each other", "make it longer, or slant it less")
        return start - (0.0 if first else run_on), end + (0.0 if last else run_on)

    def _slanted(self, size: Box, run_on: float) -> tuple[Region, list[tuple[Band, BaseGeometry]]]:
        """Across the whole area, running on along themselves."""
        area = grown(size, run_on)
        c, s = math.cos(math.radians(self.angle)), math.sin(math.radians(self.angle))
        cx, cy = size.width / 2, size.height / 2
        reach = 2 * (size.width + size.height + run_on)
        high = (abs(s) * size.width + abs(c) * size.height) / 2

        def strip(band: Band) -> BaseGeometry:
            low, top = max(band.low, -reach), min(band.high, reach)
            corners = ((-reach, low), (reach, low), (reach, top), (-reach, top))
            return area.intersection(Polygon([(cx + u * c - v * s, cy + u * s + v * c) for u, v in corners]))

        return area, [(band, strip(band)) for band in self._bands(-high, high, 0.0)]
