"""A kind and its readings become a `Panel`: paint, uncertainty, obstacles, and what looks wrong."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from shapely.geometry import box

from decalgen.errors import Finding, Place
from decalgen.lengths import Quantity
from decalgen.panels import uncertainty
from decalgen.panels.base import Obstacle, Panel, PanelError, Shifts
from decalgen.panels.kinds import Developed, PanelKind, Values
from decalgen.panels.obstacles import ObstacleKind

Quantities = Mapping[str, Quantity]


@dataclass(frozen=True)
class _Plan:
    """Everything needed to build the panel again with other numbers."""

    kind: PanelKind
    name: str
    values: Quantities
    paint: Quantity
    obstacles: Mapping[str, ObstacleKind]
    spots: Mapping[str, Quantities]
    places: Mapping[str, Place]
    place: Place | None

    def painted(self, shifts: Shifts) -> dict[str, float]:
        """The kind's values, paint included, with readings shifted."""
        coat = uncertainty.shifted({"paint": self.paint}, shifts)["paint"]
        values = uncertainty.shifted(self.values, shifts)
        return {key: value + self.kind.faces.get(key, 0.0) * coat for key, value in values.items()}

    def panel(self, shifts: Shifts) -> Panel:
        """The panel with plain sizes."""
        developed = self.kind.develop(self.painted(shifts))
        coat = uncertainty.shifted({"paint": self.paint}, shifts)["paint"]
        obstacles = tuple(
            Obstacle(
                label,
                kind.draw(uncertainty.shifted(self.spots[label], shifts), coat),
                kind.clearance,
                kind.gap,
                self.places.get(f"obstacles.{label}", self.place),
            )
            for label, kind in self.obstacles.items()
        )
        return Panel(
            self.name,
            self.kind.name,
            developed.outline,
            Quantity(developed.width),
            Quantity(developed.height),
            _plain(developed),
            obstacles,
            place=self.place,
            surface=developed.surface,
            sides=developed.sides,
            shifted=self.panel,
        )


def assemble(
    kind: PanelKind,
    name: str,
    obstacles: Mapping[str, ObstacleKind],
    place: Place | None,
    places: Mapping[str, Place],
    scale: str,
) -> Panel:
    """See `PanelKind.build`."""
    readings = {key: _named(value, name, key) for key, value in kind.measured().items()}
    paint = _named(kind.paint, name, "paint") if kind.paint is not None else Quantity(0.0)
    settled = kind.settle(readings, name, place)
    for label, obstacle in obstacles.items():
        obstacle.check(label, places.get(f"obstacles.{label}", place))
    known = {part for quantity in readings.values() for part, _ in quantity.parts}
    spots = {
        label: {key: _named(q, f"{name}.{label}", key, known) for key, q in obstacle.readings().items()}
        for label, obstacle in obstacles.items()
    }
    plan = _Plan(kind, name, settled.values, paint, obstacles, spots, places, place)
    try:
        panel = plan.panel({})
    except PanelError as error:
        raise PanelError(error.message, fix=error.fix, place=error.place or place) from None
    inputs = {**settled.values, "paint": paint}
    sizes = uncertainty.propagate(lambda values: _measure(kind, values), inputs, _dimensions(kind, plan.painted({})))
    for found in panel.obstacles:
        _refuse_outside(panel, found)
    findings: tuple[Finding, ...] = settled.findings
    return replace(
        panel,
        width=sizes["width"],
        height=sizes["height"],
        sizes=tuple(sizes.items()),
        readings=tuple((f"{name}.{key}", quantity) for key, quantity in readings.items()),
        findings=findings,
    )


def _measure(kind: PanelKind, values: Values) -> dict[str, float]:
    coat = values["paint"]
    developed = kind.develop({key: value + kind.faces.get(key, 0.0) * coat for key, value in values.items()})
    return {"width": developed.width, "height": developed.height, **developed.sizes}


def _dimensions(kind: PanelKind, values: Values) -> Mapping[str, int]:
    return kind.develop(values).dimensions


def _plain(developed: Developed) -> tuple[tuple[str, Quantity], ...]:
    sizes = {"width": developed.width, "height": developed.height, **developed.sizes}
    return tuple((key, Quantity(value, developed.dimensions.get(key, 1))) for key, value in sizes.items())


def _named(value: Quantity | float, owner: str, key: str, known: frozenset[str] | set[str] = frozenset()) -> Quantity:
    """A reading whose one part carries its own name; one that leans on known readings keeps theirs."""
    quantity = value if isinstance(value, Quantity) else Quantity(float(value))
    if not quantity.parts or any(part in known for part, _ in quantity.parts):
        return quantity
    return Quantity(quantity.value, quantity.dimension, ((f"{owner}.{key.replace('_', ' ')}", quantity.u),))


def _refuse_outside(panel: Panel, obstacle: Obstacle) -> None:
    """An obstacle that touches the panel nowhere was measured from another corner."""
    shape = obstacle.outline.polygon
    if shape.intersects(panel.outline.polygon):
        return
    x0, y0, x1, y1 = shape.bounds
    inside = box(0, 0, panel.width.value, panel.height.value)
    where = "beside" if not shape.intersects(inside) else "in a corner outside"
    raise PanelError(
        f"'{obstacle.name}' ({x0:.2f} to {x1:.2f} mm across, {y0:.2f} to {y1:.2f} mm up) lies {where} the panel "
        f"'{panel.name}', {panel.width.value:.2f} x {panel.height.value:.2f} mm",
        fix="measure its position from the panel's lower left corner as you look at it",
        place=obstacle.place,
    )
