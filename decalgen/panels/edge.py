"""Decals that go round an edge: two flat faces and the radius between them.

Round a right angle of radius r the film needs pi/2·r, not the 2r that both faces measure to their corner.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Annotated, ClassVar

from decalgen.core import keys
from decalgen.core.errors import Place
from decalgen.core.geometry import Point
from decalgen.core.lengths import Quantity
from decalgen.core.values import dataclass
from decalgen.panels.base import PanelError, SpacePoint
from decalgen.panels.developed import Developed, Settled, need_positive, rectangle_sides
from decalgen.panels.kinds import PanelKind
from decalgen.panels.readings import MeasuredValue
from decalgen.panels.uncertainty import Values


@dataclass(frozen=True, slots=True)
class EdgeSurface:
    """Film from a first face over an edge to a second one, seen square to the first. ``start`` mm of the film lie
    flat before the bend of ``radius`` and ``turn`` radians; ``across``: the edge runs upright, film bends across."""

    start: float
    radius: float
    turn: float
    upright: bool = False

    @property
    def bend(self) -> float:
        """The radius of the edge."""
        return self.radius

    @property
    def folds(self) -> bool:
        """Film goes round its edge."""
        return True

    @property
    def arc(self) -> float:
        """Film on the bend, mm."""
        return self.radius * self.turn

    def to_panel(self, point: Point) -> Point:
        """As seen square to the first face."""
        s, t = self._swap(point)
        return self._swap((self._profile(s)[0], t))

    def to_flat(self, point: Point) -> Point:
        """The film that is seen there. Raises `PanelError` beyond what one sees from the first face."""
        seen, t = self._swap(point)
        if seen <= self.start:
            return point
        out = seen - self.start
        if self.turn < math.pi / 2 and out > self.radius * math.sin(self.turn):
            beyond = (out - self.radius * math.sin(self.turn)) / math.cos(self.turn)
            return self._swap((self.start + self.arc + beyond, t))
        if out > self.radius * (1 + 1e-9):
            raise PanelError(
                f"a point {seen:.2f} mm up is not seen: the edge ends the first face at "
                f"{self.start + self.radius:.2f} mm",
                fix="give what lies on the second face along the film",
            )
        return self._swap((self.start + self.radius * math.asin(min(out / self.radius, 1.0)), t))

    def to_space(self, point: Point) -> SpacePoint:
        """z = 0 on the first face, negative behind it."""
        s, _ = self._swap(point)
        x, y = self.to_panel(point)
        return SpacePoint(x, y, self._profile(s)[1])

    def _profile(self, s: float) -> Point:
        on = s - self.start
        if on <= 0:
            return s, 0.0
        angle = min(on / self.radius, self.turn) if self.radius > 0 else self.turn
        rest = max(on - self.arc, 0.0)
        out = self.radius * math.sin(angle) + rest * math.cos(self.turn)
        back = self.radius * (1 - math.cos(angle)) + rest * math.sin(self.turn)
        return self.start + out, -back

    def _swap(self, point: Point) -> Point:
        return point if self.upright else (point[1], point[0])


@dataclass(frozen=True, kw_only=True)
class EdgeWrap(PanelKind):
    """Two flat faces with a round edge between them, covered by one decal."""

    name: ClassVar[str] = "edge wrap"
    about: ClassVar[str] = "two flat faces and the round edge between them"
    needs: ClassVar[tuple[frozenset[str], ...]] = (frozenset({"first face", "second face", "edge radius", "length"}),)
    faces: ClassVar[Mapping[str, float]] = {"first face": 2, "second face": 2, "edge radius": 1, "length": 2}

    first_face: Annotated[
        MeasuredValue, keys.Readings("the face one looks at, to its outer corner", example="12.00 mm ± 0.05")
    ]
    second_face: Annotated[
        MeasuredValue, keys.Readings("the face behind the edge, to its outer corner", example="6.00 mm ± 0.05")
    ]
    edge_radius: Annotated[MeasuredValue, keys.Readings("outer radius of the edge", example="1.0 mm ± 0.1", depth=True)]
    length: Annotated[MeasuredValue, keys.Readings("along the edge", example="30.00 mm ± 0.05")]
    turn: Annotated[
        MeasuredValue | None,
        keys.Readings("how far the edge turns; if left out, a right angle", angle=True, example="88° ± 2", depth=True),
    ] = None
    edge: Annotated[str, keys.Choice("where the second face is, from the first", options=("above", "right"))] = "above"

    def settle(self, readings: Mapping[str, Quantity], name: str, place: Place | None) -> Settled:
        """With the right angle where no turn was read."""
        return Settled({"turn": Quantity(90.0, 0), **readings})

    def develop(self, values: Values) -> Developed:
        """Both faces and the arc in one rectangle."""
        need_positive(values, "first face", "second face", "edge radius", "length")
        first, second, radius = values["first face"], values["second face"], values["edge radius"]
        if not 0 < values["turn"] < 175:
            said = f"the turn is {values['turn']:g} degrees"
            raise PanelError(said, fix="give 90 for a right angle; it is below 175")
        turn = math.radians(values["turn"])
        setback = radius * math.tan(turn / 2)
        if setback > min(first, second):
            raise PanelError(
                f"an edge radius of {radius:g} mm takes {setback:.2f} mm of each face, more than the "
                f"{min(first, second):g} mm there is",
                fix="measure each face to where its corner would be if it were sharp",
            )
        arc = radius * turn
        girth = first + second - 2 * setback + arc
        upright = self.edge == "right"
        length = values["length"]
        width, height = (girth, length) if upright else (length, girth)
        outline, sides = rectangle_sides(width, height)
        sizes = {
            **{key: values[key] for key in ("first face", "second face", "edge radius", "length")},
            "edge arc": arc,
            "edge start": first - setback,
            "edge end": first - setback + arc,
        }
        return Developed(outline, sides, width, height, sizes, EdgeSurface(first - setback, radius, turn, upright))
