"""What every kind of panel has in common: readings in, a developed outline out.

A kind is a frozen dataclass whose fields carry marks (`decalgen.fields`). It names the combinations of readings
that make it (``needs``), says which of them grow when paint is added (``faces``), and develops plain numbers into
an outline (`PanelKind.develop`). Everything with uncertainty is done once, in `assembly`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, fields
from itertools import pairwise
from typing import Annotated, Any, ClassVar

from decalgen import fields as mark
from decalgen.errors import Finding, Place
from decalgen.geometry import Outline, Segment
from decalgen.lengths import Quantity
from decalgen.panels.base import Panel, PanelError, Surface
from decalgen.panels.obstacles import ObstacleKind
from decalgen.panels.surfaces import FlatSurface

Values = Mapping[str, float]


@dataclass(frozen=True)
class Developed:
    """A panel from plain numbers: its flat outline, a name for each segment, its size and further sizes, mm.

    ``dimensions`` gives the dimension of sizes that are not lengths (an angle: 0).
    """

    outline: Outline
    sides: tuple[str, ...]
    width: float
    height: float
    sizes: Mapping[str, float] = field(default_factory=dict)
    surface: Surface = FlatSurface()
    dimensions: Mapping[str, int] = field(default_factory=dict)


@dataclass(frozen=True)
class Settled:
    """Readings made one value each, and what was noticed on the way."""

    values: Mapping[str, Quantity]
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, kw_only=True)
class PanelKind:
    """What all kinds share."""

    name: ClassVar[str] = ""
    about: ClassVar[str] = ""
    needs: ClassVar[tuple[frozenset[str], ...]] = ()
    """The combinations of keys of a job file that make this kind."""
    faces: ClassVar[Mapping[str, float]] = {}
    """By how many coats of paint each reading grows: 2 for an outside size, 1 for a radius."""

    paint: Annotated[
        Quantity | None,
        mark.Measure("paint that comes on each face after measuring; left out: measured as painted", positive=False),
    ] = None

    def measured(self) -> dict[str, Any]:
        """Every reading that was given, by field name."""
        common = {item.name for item in fields(PanelKind)}
        found = {item.name: getattr(self, item.name) for item in fields(self) if item.name not in common}
        return {name: value for name, value in found.items() if _is_reading(value)}

    def settle(self, readings: Mapping[str, Quantity], name: str, place: Place | None) -> Settled:
        """One independent value each for what `develop` needs. Raises `PanelError`."""
        return Settled(readings)

    def develop(self, values: Values) -> Developed:
        """The flat outline from plain numbers. Raises `PanelError` where they make no panel."""
        raise NotImplementedError

    def build(
        self,
        name: str,
        obstacles: Mapping[str, ObstacleKind] | None = None,
        place: Place | None = None,
        *,
        places: Mapping[str, Place] | None = None,
        scale: str = "",
    ) -> Panel:
        """The panel. ``places`` holds the place of each key ('width', 'obstacles.handle') for messages.

        Raises `PanelError` for readings that make no panel, with the place and the fix.
        """
        from decalgen.panels.assembly import assemble

        return assemble(self, name, obstacles or {}, place, places or {}, scale)


def _is_reading(value: object) -> bool:
    return isinstance(value, Quantity | float) and not isinstance(value, bool)


def polygon_sides(points: Sequence[tuple[float, float]], names: Sequence[str]) -> tuple[Outline, tuple[str, ...]]:
    """A closed outline of straight sides, each with its name."""
    ring = [*points, points[0]]
    return Outline(tuple(Segment(a, b) for a, b in pairwise(ring))), tuple(names)


RECTANGLE_SIDES = ("bottom", "right", "top", "left")


def rectangle_sides(width: float, height: float) -> tuple[Outline, tuple[str, ...]]:
    """An upright rectangle from the origin."""
    return polygon_sides([(0.0, 0.0), (width, 0.0), (width, height), (0.0, height)], RECTANGLE_SIDES)


def need_positive(values: Values, keys: Sequence[str]) -> None:
    """Raises `PanelError` for the first of these values that is nothing or less."""
    for key in keys:
        if values[key] <= 0:
            raise PanelError(
                f"{key.replace('_', ' ')} is {values[key]:g} mm", fix="a size is more than nothing; measure it again"
            )
