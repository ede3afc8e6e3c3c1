"""What every kind of panel has in common: readings in, a developed outline out.

A kind is a frozen dataclass whose fields carry marks (`decalgen.core.keys`). It names the combinations of readings
that make it (``needs``), says which of them grow when paint is added (``faces``), and develops plain numbers into
an outline (`PanelKind.develop`). Everything with uncertainty is done once, in `assembly`.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any, ClassVar

from decalgen.core import keys
from decalgen.core.errors import Place
from decalgen.core.lengths import Quantity
from decalgen.core.values import dataclass
from decalgen.panels.assembly import assemble
from decalgen.panels.base import Panel
from decalgen.panels.developed import Developed, Settled
from decalgen.panels.full_size import FullSize
from decalgen.panels.obstacles import ObstacleKind
from decalgen.panels.readings import MeasuredValue
from decalgen.panels.uncertainty import Values


@dataclass(frozen=True, kw_only=True)
class PanelKind:
    """What all kinds share."""

    name: ClassVar[str] = ""
    about: ClassVar[str] = ""
    needs: ClassVar[tuple[frozenset[str], ...]] = ()
    """The combinations of keys of a job file that make this kind."""
    faces: ClassVar[Mapping[str, float]] = {}
    """By how many coats of paint each value grows: 2 for an outside size, 1 for a radius."""
    by_scale: ClassVar[bool] = False
    """Whether its sizes come from the full-size vehicle by the scale, and nothing was measured."""
    curved: ClassVar[bool] = False
    """Whether it bends both ways, so that film must stretch or pucker."""

    instrument: Annotated[
        str,
        keys.Text(
            "what all readings without ± were taken with: caliper, steel rule, scan 600 dpi …",
            most=60,
            example="steel rule",
        ),
    ] = ""
    paint: Annotated[
        MeasuredValue | None,
        keys.Readings(
            "paint that comes on each face after measuring; if left out, measured as painted",
            positive=False,
            example="0.03 mm",
        ),
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
        return assemble(self, name, obstacles or {}, place, places or {}, scale)


def _plain(cls: Any) -> Any:
    """The class untyped: `fields.specs` is cached, and the type checker doubts that a class can be hashed."""
    return cls
