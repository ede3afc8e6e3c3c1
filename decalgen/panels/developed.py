"""A panel as plain numbers make it: its flat outline with a name for each side. Pure; mm."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import field
from itertools import pairwise

from decalgen.core.errors import Finding
from decalgen.core.geometry import Outline, Point, Segment
from decalgen.core.lengths import Quantity
from decalgen.core.values import dataclass
from decalgen.panels.base import PanelError, Surface
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
            raise PanelError(f"the {key} is {values[key]:g} mm", fix="a size is greater than zero; measure it again")
