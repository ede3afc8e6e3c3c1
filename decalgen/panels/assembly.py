"""A kind and its readings become a `Panel`: paint, uncertainty, obstacles, and what looks wrong."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Protocol

from shapely.geometry import LineString

from decalgen.core.errors import Finding, Place
from decalgen.core.geometry import Outline, translation
from decalgen.core.instruments import InstrumentError
from decalgen.core.lengths import Quantity
from decalgen.core.values import dataclass
from decalgen.panels import doubts, uncertainty
from decalgen.panels.base import Obstacle, Panel, PanelError, Shifts
from decalgen.panels.developed import Developed, Settled
from decalgen.panels.full_size import FullSize, prototype_findings, prototype_readings
from decalgen.panels.obstacles import ObstacleKind
from decalgen.panels.readings import MeasuredValue, settle
from decalgen.panels.uncertainty import Values
from decalgen.panels.views import as_cut

Quantities = Mapping[str, Quantity]

_LISTS = {"point": "outline", "arc": "arcs", "rise": "arc rises"}
"""The key of a job file under which numbered readings stand."""


class Measured(Protocol):
    """What is asked of a kind of panel with its readings; see `decalgen.panels.kinds.PanelKind`."""

    @property
    def name(self) -> str: ...
    @property
    def faces(self) -> Mapping[str, float]: ...
    @property
    def by_scale(self) -> bool: ...
    @property
    def instrument(self) -> str: ...
    @property
    def paint(self) -> MeasuredValue | None: ...
    @property
    def prototype(self) -> FullSize | None: ...

    def measured(self) -> dict[str, MeasuredValue]: ...
    def angles(self) -> frozenset[str]: ...
    def settle(self, readings: Quantities, name: str, place: Place | None) -> Settled: ...
    def develop(self, values: Values) -> Developed: ...


@dataclass(frozen=True)
class _Plan:
    """Everything needed to build the panel again with other numbers."""

    kind: Measured
    name: str
    values: Quantities
    paint: Quantity
    obstacles: Mapping[str, ObstacleKind]
    spots: Mapping[str, Quantities]
    places: Mapping[str, Place]
    place: Place | None
    nominal: tuple[Panel, Developed] | None = None
    """The panel as read: what a shifted reading does not touch is taken from it."""

    def developed(self, values: Values) -> Developed:
        """The kind's development with the paint on; ``values`` hold 'paint' too."""
        coat = values["paint"]
        faces = self.kind.faces
        return self.kind.develop(
            {key: value + faces.get(key, 0.0) * coat for key, value in values.items() if key != "paint"}
            | ({"coat": coat} if coat else {})
        )

    def inputs(self) -> dict[str, Quantity]:
        """All that the outline depends on."""
        return {**self.values, "paint": self.paint}

    def panel(self, shifts: Shifts) -> Panel:
        """The panel with plain sizes."""
        if self.nominal is not None and not _touched(self.inputs(), shifts):
            return self.beside(*self.nominal, shifts)
        values = uncertainty.shifted(self.inputs(), shifts)
        developed = self.developed(values)
        return Panel(
            self.name,
            self.kind.name,
            developed.outline,
            Quantity(developed.width),
            Quantity(developed.height),
            tuple((key, Quantity(v, developed.dimensions.get(key, 1))) for key, v in _sizes(developed).items()),
            tuple(self.obstacle(label, developed, values["paint"], shifts) for label in self.obstacles),
            place=self.place,
            surface=developed.surface,
            sides=developed.sides,
        )

    def beside(self, nominal: Panel, developed: Developed, shifts: Shifts) -> Panel:
        """The panel as read but for the obstacles whose own readings are shifted."""
        touched = {label for label, spots in self.spots.items() if _touched(spots, shifts)}
        if not touched:
            return nominal
        coat = self.paint.value
        return replace(
            nominal,
            obstacles=tuple(
                self.obstacle(item.name, developed, coat, shifts) if item.name in touched else item
                for item in nominal.obstacles
            ),
        )

    def obstacle(self, label: str, developed: Developed, coat: float, shifts: Shifts) -> Obstacle:
        """One obstacle, in the panel's flat coordinates."""
        kind = self.obstacles[label]
        numbers = uncertainty.shifted(self.spots[label], shifts)
        x, y = developed.corner
        drawn = kind.draw(numbers, coat).moved(translation(-x, -y))
        middle = tuple((px - x, py - y) for px, py in kind.middle(numbers, coat))
        if kind.seen:
            drawn = Outline.from_polygon(as_cut(drawn.polygon, developed.surface))
            if middle:
                line = as_cut(LineString(middle), developed.surface)
                middle = tuple((float(px), float(py)) for px, py in line.coords)
        place = self.places.get(f"obstacles.{label}", self.place)
        return Obstacle(label, drawn, kind.clearance, kind.gap, place, middle)


def assemble(
    kind: Measured,
    name: str,
    obstacles: Mapping[str, ObstacleKind],
    place: Place | None,
    places: Mapping[str, Place],
    scale: float | None,
) -> Panel:
    """See `decalgen.panels.kinds.PanelKind.build`."""
    try:
        return _assemble(kind, name, obstacles, place, places, scale)
    except (PanelError, InstrumentError) as error:
        raise PanelError(f"panel '{name}': {error.message}", fix=error.fix, place=error.place or place) from None


def _assemble(
    kind: Measured,
    name: str,
    obstacles: Mapping[str, ObstacleKind],
    place: Place | None,
    places: Mapping[str, Place],
    scale: float | None,
) -> Panel:
    measured: dict[str, MeasuredValue] = dict(kind.measured())
    if kind.by_scale:
        measured |= prototype_readings(kind.prototype, scale, name)
    angles = kind.angles()
    readings: dict[str, Quantity] = {}
    findings: list[Finding] = []
    assumed: list[str] = []
    for key, value in {**measured, **({"paint": kind.paint} if kind.paint is not None else {})}.items():
        where = places.get(key) or places.get(_LISTS.get(key.split()[0], key)) or place
        settled = settle(value, f"{name}.{key}", by=kind.instrument, angle=key in angles, subject=name, place=where)
        readings[key] = settled.quantity
        findings += settled.findings
        findings += doubts.uncertain(settled.quantity, key, name, where)
        if settled.assumed:
            assumed.append(key)
    findings += doubts.assumed(assumed, name, place)
    paint = readings.pop("paint", Quantity(0.0))
    resolved = kind.settle(readings, name, place)
    findings += resolved.findings
    plan = _Plan(
        kind,
        name,
        resolved.values,
        paint,
        obstacles,
        {
            label: _spots(obstacle, name, label, kind, readings, places.get(f"obstacles.{label}", place))
            for label, obstacle in obstacles.items()
        },
        places,
        place,
    )
    panel = plan.panel({})
    plan = replace(plan, nominal=(panel, plan.developed(uncertainty.shifted(plan.inputs(), {}))))
    dimensions = {key: quantity.dimension for key, quantity in panel.sizes}
    sizes = uncertainty.propagate(lambda values: _sizes(plan.developed(values)), plan.inputs(), dimensions)
    findings += doubts.units(sizes, scale, name, place)
    for obstacle in panel.obstacles:
        findings += doubts.obstacle(panel, obstacle)
    findings += prototype_findings(
        kind.prototype, scale, sizes, name, places.get("prototype", place), not kind.by_scale
    )
    return replace(
        panel,
        width=sizes["width"],
        height=sizes["height"],
        sizes=tuple(sizes.items()),
        readings=tuple(_named_readings(name, {**readings, "paint": paint}, plan.spots)),
        findings=tuple(findings),
        shifted=plan.panel,
    )


def _touched(quantities: Quantities, shifts: Shifts) -> bool:
    return any(name in shifts for quantity in quantities.values() for name, _ in quantity.parts)


def _spots(
    obstacle: ObstacleKind, name: str, label: str, kind: Measured, readings: Quantities, place: Place | None
) -> Quantities:
    """The obstacle's numbers, each with its uncertainty under a name of its own; one worked out from the panel's
    readings stays correlated with them."""
    obstacle.check(label, place)
    known = frozenset(part for quantity in readings.values() for part, _ in quantity.parts)
    return {
        key: settle(value, f"{name}.{label} {key}", by=kind.instrument, known=known, subject=name, place=place).quantity
        for key, value in obstacle.readings().items()
    }


def _named_readings(name: str, readings: Quantities, spots: Mapping[str, Quantities]) -> Iterator[tuple[str, Quantity]]:
    for key, quantity in readings.items():
        yield f"{name}.{key}", quantity
    for label, numbers in spots.items():
        for key, quantity in numbers.items():
            yield f"{name}.{label} {key}", quantity


def _sizes(developed: Developed) -> dict[str, float]:
    return {"width": developed.width, "height": developed.height, **developed.sizes}
