"""What every kind of panel has in common: readings in, a developed outline out.

A kind is a frozen dataclass whose fields carry marks (`decalgen.core.keys`). It names the combinations of readings
that make it (``needs``), says which of them grow when paint is added (``faces``), and develops plain numbers into
an outline (`PanelKind.develop`). Everything with uncertainty is done once, in `assembly`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Annotated, Any, ClassVar

from decalgen.core import keys
from decalgen.core.errors import Finding, Place
from decalgen.core.geometry import Outline, Point, Segment
from decalgen.core.lengths import Quantity
from decalgen.panels.base import Panel, PanelError, Surface
from decalgen.panels.obstacles import ObstacleKind
from decalgen.panels.readings import MeasuredValue
from decalgen.panels.surfaces import FlatSurface
from decalgen.panels.uncertainty import Values


@dataclass(frozen=True)
class Developed:
    """A panel from plain numbers: its flat outline, a name for each segment, its size and further sizes, mm.

    ``dimensions`` gives the dimension of sizes that are not lengths (an angle: 0). ``corner`` is the point of the
    measured coordinates that became the origin.
    """

    outline: Outline
    sides: tuple[str, ...]
    width: float
    height: float
    sizes: Mapping[str, float] = field(default_factory=dict)
    surface: Surface = field(default_factory=FlatSurface)
    dimensions: Mapping[str, int] = field(default_factory=dict)
    corner: Point = (0.0, 0.0)


@dataclass(frozen=True)
class Settled:
    """Readings made one independent value each, and what was noticed on the way."""

    values: Mapping[str, Quantity]
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True)
class FullSize:
    """Sizes of the full-size vehicle, mm."""

    width: Annotated[float | None, keys.Length("across the panel at full size", least=1.0, most=50000.0)] = None
    height: Annotated[float | None, keys.Length("up the panel at full size", least=1.0, most=50000.0)] = None


@dataclass(frozen=True, kw_only=True)
class PanelKind:
    """What all kinds share."""

    name: ClassVar[str] = ""
    about: ClassVar[str] = ""
    needs: ClassVar[tuple[frozenset[str], ...]] = ()
    """The combinations of keys of a job file that make this kind."""
    faces: ClassVar[Mapping[str, float]] = {}
    """By how many coats of paint each value grows: 2 for an outside size, 1 for a radius."""
    curved: ClassVar[bool] = False
    """Whether it bends both ways, so that film must stretch or pucker."""

    instrument: Annotated[
        str, keys.Text("what all readings without ± were taken with: caliper, steel rule, scan 600 dpi …", most=60)
    ] = ""
    paint: Annotated[
        MeasuredValue | None,
        keys.Readings("paint that comes on each face after measuring; left out: measured as painted", positive=False),
    ] = None
    prototype: Annotated[
        FullSize | None, keys.Block("the full-size vehicle, to compare with by the job's scale", of=FullSize)
    ] = None

    def measured(self) -> dict[str, MeasuredValue]:
        """Every reading that was given, by name."""
        common = ("instrument", "paint", "prototype")
        return {
            spec.key: value
            for spec in keys.specs(_plain(type(self)))
            if isinstance(spec.kind, keys.Measure)
            and spec.name not in common
            and (value := getattr(self, spec.name)) is not None
        }

    def angles(self) -> frozenset[str]:
        """The readings that are degrees."""
        return frozenset(
            spec.key
            for spec in keys.specs(_plain(type(self)))
            if isinstance(spec.kind, keys.Readings) and spec.kind.angle
        )

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
        scale: float | None = None,
    ) -> Panel:
        """The panel. ``places`` holds the place of each key ('width', 'obstacles.handle') for messages; ``scale``
        is the denominator of the model's scale.

        Raises `PanelError` for readings that make no panel, with the place and the fix.
        """
        from decalgen.panels.assembly import assemble

        return assemble(self, name, obstacles or {}, place, places or {}, scale)


def _plain(cls: Any) -> Any:
    """The class untyped: `fields.specs` is cached, and the type checker doubts that a class can be hashed."""
    return cls


def polygon_sides(points: Sequence[Point], names: Sequence[str]) -> tuple[Outline, tuple[str, ...]]:
    """A closed outline of straight sides, each with its name."""
    ring = [*points, points[0]]
    return Outline(tuple(Segment(a, b) for a, b in pairwise(ring))), tuple(names)


RECTANGLE_SIDES = ("bottom", "right", "top", "left")


def rectangle_sides(width: float, height: float) -> tuple[Outline, tuple[str, ...]]:
    """An upright rectangle from the origin."""
    return polygon_sides([(0.0, 0.0), (width, 0.0), (width, height), (0.0, height)], RECTANGLE_SIDES)


def need_positive(values: Values, *keys: str) -> None:
    """Raises `PanelError` for the first of these values that is nothing or less."""
    for key in keys:
        if key in values and not values[key] > 0:
            raise PanelError(f"the {key} is {values[key]:g} mm", fix="a size is more than nothing; measure it again")
