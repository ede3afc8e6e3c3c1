"""The right panel from the left one: same readings, everything mirrored."""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

from decalgen.core.geometry import Point, apply, mirror_x
from decalgen.core.values import dataclass
from decalgen.panels.base import Panel, SpacePoint, Surface

_SWAP = {"left": "right", "right": "left"}


@dataclass(frozen=True, slots=True)
class MirroredSurface:
    """Another surface seen in a mirror; ``film`` and ``view`` are its widths, mm."""

    inner: Surface
    film: float
    view: float

    @property
    def bend(self) -> float:
        """As before."""
        return self.inner.bend

    @property
    def folds(self) -> bool:
        """As before."""
        return bool(getattr(self.inner, "folds", False))

    def to_panel(self, point: Point) -> Point:
        """As before, mirrored."""
        x, y = self.inner.to_panel((self.film - point[0], point[1]))
        return self.view - x, y

    def to_flat(self, point: Point) -> Point:
        """As before, mirrored."""
        x, y = self.inner.to_flat((self.view - point[0], point[1]))
        return self.film - x, y

    def to_space(self, point: Point) -> SpacePoint:
        """As before, mirrored."""
        x, y, z = self.inner.to_space((self.film - point[0], point[1]))
        return SpacePoint(self.view - x, y, z)


def mirrored(panel: Panel, hand: Literal["left", "right"] | None = "right", name: str | None = None) -> Panel:
    """The panel of the other side. It depends on the same readings, so both sides stay correlated."""
    matrix = mirror_x(panel.width.value)
    again = panel.shifted
    surface = panel.surface
    return replace(
        panel,
        name=name or panel.name,
        hand=hand,
        outline=panel.outline.moved(matrix),
        sides=tuple(_SWAP.get(side, side) for side in reversed(panel.sides)),
        free=tuple(_SWAP.get(side, side) for side in panel.free),
        obstacles=tuple(
            replace(
                item, outline=item.outline.moved(matrix), middle=tuple(apply(matrix, point) for point in item.middle)
            )
            for item in panel.obstacles
        ),
        surface=None if surface is None else _mirror(surface, panel),
        shifted=None if again is None else lambda shifts: mirrored(again(shifts), hand, name),
    )


def _mirror(surface: Surface, panel: Panel) -> Surface:
    film, middle = panel.width.value, panel.height.value / 2
    if hasattr(surface, "gauss"):
        return surface  # a dome is the same on both sides
    view = surface.to_panel((0.0, middle))[0] + surface.to_panel((film, middle))[0]
    return MirroredSurface(surface, film, view)
