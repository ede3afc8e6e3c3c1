"""Handles, gaps, rivets and vents, as they stand in a job file under a panel's ``obstacles``.

Coordinates run along the film from the panel's lower left corner, mm; with ``seen: yes`` they are read squarely,
as one sees the panel. Paint that comes after measuring makes what stands out grow and a gap close.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from itertools import pairwise
from typing import Annotated, ClassVar

import shapely
from shapely.geometry import LineString, Polygon

from decalgen.core import keys
from decalgen.core.errors import Place
from decalgen.core.geometry import Outline, Point, circle, fault_of_ring, polygons, rounded, translation
from decalgen.core.values import dataclass
from decalgen.panels.base import PanelError
from decalgen.panels.readings import MeasuredValue, as_readings

ObstaclePoint = tuple[MeasuredValue, MeasuredValue]
SizeMap = Mapping[str, float]

_SPOT = keys.Two("x and y, mm", of=keys.Readings("x or y", positive=False), example=("16 mm", "8 mm"))


def _spot(spot: ObstaclePoint, what: str) -> dict[str, MeasuredValue]:
    x, y = spot
    return {f"{what} x": x, f"{what} y": y}


def _first(measured: MeasuredValue) -> float:
    return as_readings(measured)[0].value.value


@dataclass(frozen=True, kw_only=True)
class ObstacleKind:
    """What all obstacles share. ``readings`` are the measured numbers, ``draw`` makes the outline from them."""

    name: ClassVar[str] = ""
    about: ClassVar[str] = ""

    clearance: Annotated[float, keys.Length("how far a decal keeps away", least=0.0, example="0.3 mm")] = 0.0
    gap: Annotated[bool, keys.Flag("a shut line that a decal may be split at")] = False
    seen: Annotated[bool, keys.Flag("position and size are as seen squarely, not along the panel")] = False

    def readings(self) -> dict[str, MeasuredValue]:
        """Everything measured, by a name of its own."""
        raise NotImplementedError

    def draw(self, numbers: SizeMap, paint: float = 0.0) -> Outline:
        """The outline from plain numbers; ``paint`` mm more on every face of the body."""
        raise NotImplementedError

    def middle(self, numbers: SizeMap, paint: float = 0.0) -> tuple[Point, ...]:
        """The line along its middle, end to end; nothing where it has no length to speak of."""
        return ()

    def check(self, label: str, place: Place | None) -> None:
        """Raises `PanelError` for a size that is nothing or less."""
        for key, measured in self.readings().items():
            if not key.endswith((" x", " y")) and _first(measured) <= 0:
                raise PanelError(
                    f"the {key} of '{label}' is {_first(measured):g} mm",
                    fix="a size is greater than zero",
                    place=place,
                )

    def _growth(self, paint: float) -> float:
        """How far each side moves outward: raised parts grow, gaps close."""
        return -paint if self.gap else paint


@dataclass(frozen=True, kw_only=True)
class RectangleObstacle(ObstacleKind):
    """An upright rectangle: a door handle, a vent, a flap."""

    name: ClassVar[str] = "rectangle"
    about: ClassVar[str] = "width and height, and where its lower left corner is"

    rectangle: Annotated[
        ObstaclePoint, keys.Two("width and height", of=keys.Readings("size"), example=("3.0 mm", "0.8 mm"))
    ]
    at: Annotated[ObstaclePoint, _SPOT]
    corner_radius: Annotated[float, keys.Length("radius of all four corners", least=0.0, example="0.2 mm")] = 0.0

    def readings(self) -> dict[str, MeasuredValue]:
        """Width, height, x and y."""
        width, height = self.rectangle
        return {"width": width, "height": height, **_spot(self.at, "at")}

    def draw(self, numbers: SizeMap, paint: float = 0.0) -> Outline:
        """Four sides, corners round if asked."""
        more = self._growth(paint)
        wide, high = numbers["width"] + 2 * more, numbers["height"] + 2 * more
        return rounded(
            max(wide, 0.0),
            max(high, 0.0),
            (max(self.corner_radius + more, 0.0) if self.corner_radius else 0.0,) * 4,
            numbers["at x"] + paint - more,
            numbers["at y"] + paint - more,
        )

    def middle(self, numbers: SizeMap, paint: float = 0.0) -> tuple[Point, ...]:
        """Along its longer way."""
        return _lengthwise(numbers, self._growth(paint), paint)


@dataclass(frozen=True, kw_only=True)
class CircleObstacle(ObstacleKind):
    """A rivet, a filler cap, a lamp, a wheel arch."""

    name: ClassVar[str] = "circle"
    about: ClassVar[str] = "diameter, and where its centre is"

    circle: Annotated[MeasuredValue, keys.Readings("diameter", example="1.2 mm")]
    at: Annotated[ObstaclePoint, _SPOT]

    def readings(self) -> dict[str, MeasuredValue]:
        """Diameter, x and y of the centre."""
        return {"diameter": self.circle, **_spot(self.at, "at")}

    def draw(self, numbers: SizeMap, paint: float = 0.0) -> Outline:
        """One full circle as four arcs."""
        radius = max(numbers["diameter"] / 2 + self._growth(paint), 0.0)
        corner = (numbers["at x"] + paint - radius, numbers["at y"] + paint - radius)
        return rounded(2 * radius, 2 * radius, (radius,) * 4, *corner)


@dataclass(frozen=True, kw_only=True)
class SlotObstacle(ObstacleKind):
    """A slot with round ends: a louvre, a sliding-door rail."""

    name: ClassVar[str] = "slot"
    about: ClassVar[str] = "overall width and height, and where its lower left corner is; its short ends are round"

    slot: Annotated[
        ObstaclePoint, keys.Two("overall width and height", of=keys.Readings("size"), example=("4.0 mm", "0.8 mm"))
    ]
    at: Annotated[ObstaclePoint, _SPOT]

    def readings(self) -> dict[str, MeasuredValue]:
        """Width, height, x and y."""
        width, height = self.slot
        return {"width": width, "height": height, **_spot(self.at, "at")}

    def draw(self, numbers: SizeMap, paint: float = 0.0) -> Outline:
        """Two sides and two half circles."""
        more = self._growth(paint)
        wide, high = max(numbers["width"] + 2 * more, 0.0), max(numbers["height"] + 2 * more, 0.0)
        radius = min(wide, high) / 2
        return rounded(wide, high, (radius,) * 4, numbers["at x"] + paint - more, numbers["at y"] + paint - more)

    def middle(self, numbers: SizeMap, paint: float = 0.0) -> tuple[Point, ...]:
        """From one round end to the other."""
        return _lengthwise(numbers, self._growth(paint), paint)


@dataclass(frozen=True, kw_only=True)
class LineObstacle(ObstacleKind):
    """A shut line: a gap of even width along a line of points."""

    name: ClassVar[str] = "line"
    about: ClassVar[str] = "the points along its middle, and the width of the gap"

    line: Annotated[
        tuple[ObstaclePoint, ...],
        keys.Many(
            "points along its middle", of=_SPOT, least=2, most=100, example=(("8 mm", "0 mm"), ("8 mm", "11.6 mm"))
        ),
    ]
    width: Annotated[MeasuredValue, keys.Readings("width of the gap", example="0.40 mm")]
    gap: Annotated[bool, keys.Flag("a shut line that a decal may be split at")] = True

    def readings(self) -> dict[str, MeasuredValue]:
        """The width and every point."""
        points: dict[str, MeasuredValue] = {}
        for number, spot in enumerate(self.line, 1):
            points |= _spot(spot, f"point {number}")
        return {"width": self.width, **points}

    def check(self, label: str, place: Place | None) -> None:
        """Raises `PanelError` also for two points in one place."""
        super().check(label, place)
        points = [(_first(x), _first(y)) for x, y in self.line]
        if any(a == b for a, b in pairwise(points)):
            raise PanelError(f"two points of '{label}' are the same", fix="leave one of them out", place=place)

    def draw(self, numbers: SizeMap, paint: float = 0.0) -> Outline:
        """A band as wide as the gap; its ends reach half a width beyond the last points, so that a line drawn to
        the very edge of a panel cuts it through even when it comes in at a slant."""
        wide = self._wide(numbers, paint)
        band = LineString(self._points(numbers, paint)).buffer(wide / 2, cap_style="square", join_style="mitre")
        return Outline.from_polygon(_largest(band))

    def middle(self, numbers: SizeMap, paint: float = 0.0) -> tuple[Point, ...]:
        """Its points; the ends reach as far as the band does."""
        points = self._points(numbers, paint)
        more = self._wide(numbers, paint) / 2
        return (_beyond(points[1], points[0], more), *points[1:-1], _beyond(points[-2], points[-1], more))

    def _wide(self, numbers: SizeMap, paint: float) -> float:
        return max(numbers["width"] + 2 * self._growth(paint), 1e-4)

    def _points(self, numbers: SizeMap, paint: float) -> list[Point]:
        return [
            (numbers[f"point {n} x"] + paint, numbers[f"point {n} y"] + paint) for n in range(1, len(self.line) + 1)
        ]


@dataclass(frozen=True, kw_only=True)
class OutlineObstacle(ObstacleKind):
    """Anything else, by the points round it: a window, a grille, a badge."""

    name: ClassVar[str] = "outline"
    about: ClassVar[str] = "the points round it"

    outline: Annotated[
        tuple[ObstaclePoint, ...],
        keys.Many(
            "points round it",
            of=_SPOT,
            least=3,
            most=60,
            example=(("2 mm", "4 mm"), ("8 mm", "4 mm"), ("7 mm", "9 mm"), ("3 mm", "9 mm")),
        ),
    ]

    def readings(self) -> dict[str, MeasuredValue]:
        """Every point."""
        points: dict[str, MeasuredValue] = {}
        for number, spot in enumerate(self.outline, 1):
            points |= _spot(spot, f"point {number}")
        return points

    def check(self, label: str, place: Place | None) -> None:
        """Raises `PanelError` for an outline that crosses itself."""
        super().check(label, place)
        if fault := fault_of_ring([(_first(x), _first(y)) for x, y in self.outline]):
            raise PanelError(
                f"the outline of '{label}' {fault}",
                fix="give the points in order, once round",
                place=place,
            )

    def draw(self, numbers: SizeMap, paint: float = 0.0) -> Outline:
        """Straight from point to point."""
        n = len(self.outline)
        ring = Polygon([(numbers[f"point {i} x"], numbers[f"point {i} y"]) for i in range(1, n + 1)])
        if not paint:
            return Outline.from_polygon(shapely.orient_polygons(ring))
        grown = _largest(ring.buffer(self._growth(paint), join_style="mitre"))
        return Outline.from_polygon(shapely.orient_polygons(grown)).moved(translation(paint, paint))


def _lengthwise(numbers: SizeMap, more: float, paint: float) -> tuple[Point, ...]:
    """The middle line of a box, along its longer way."""
    wide, high = max(numbers["width"] + 2 * more, 0.0), max(numbers["height"] + 2 * more, 0.0)
    x, y = numbers["at x"] + paint - more, numbers["at y"] + paint - more
    if wide >= high:
        return (x, y + high / 2), (x + wide, y + high / 2)
    return (x + wide / 2, y), (x + wide / 2, y + high)


def _beyond(a: Point, b: Point, more: float) -> Point:
    """The point ``more`` mm beyond b, coming from a."""
    length = math.dist(a, b)
    return b[0] + (b[0] - a[0]) / length * more, b[1] + (b[1] - a[1]) / length * more


def _largest(geometry: shapely.Geometry) -> Polygon:
    found = polygons(geometry)
    return max(found, key=lambda polygon: polygon.area) if found else circle((0.0, 0.0), 1e-4)


OBSTACLES: tuple[type[ObstacleKind], ...] = (
    RectangleObstacle,
    CircleObstacle,
    SlotObstacle,
    LineObstacle,
    OutlineObstacle,
)
