"""How flat film lies on each kind of panel: film ↔ what is seen squarely ↔ space. Pure; millimetres.

The film of a flat, leaning, rolled or conical panel is an exact development: lengths on the film are lengths on
the panel. A dome cannot be developed; its film keeps the distances from its middle (see `dome`).
"""

from __future__ import annotations

import math

from decalgen.core.geometry import Point
from decalgen.core.values import dataclass
from decalgen.panels.base import PanelError, SpacePoint


@dataclass(frozen=True, slots=True)
class FlatSurface:
    """Film on a flat panel seen squarely: all coordinates agree."""

    @property
    def bend(self) -> float:
        """Nothing bends."""
        return 0.0

    def to_panel(self, point: Point) -> Point:
        """The same point."""
        return point

    def to_flat(self, point: Point) -> Point:
        """The same point."""
        return point

    def to_space(self, point: Point) -> SpacePoint:
        """The same point at z = 0."""
        return SpacePoint(point[0], point[1], 0.0)


@dataclass(frozen=True, slots=True)
class RolledSurface:
    """Film round a cylinder of ``radius``; ``arc`` is the developed length, ``upright`` turns the bend to run up
    the panel instead of across it."""

    radius: float
    arc: float
    upright: bool = False

    @property
    def bend(self) -> float:
        """The radius."""
        return self.radius

    @property
    def chord(self) -> float:
        """The straight distance between both ends of the arc."""
        return 2 * self.radius * math.sin(self.arc / 2 / self.radius)

    def to_panel(self, point: Point) -> Point:
        """Along the arc to along the chord."""
        s, t = self._swap(point)
        return self._swap((self.chord / 2 + self.radius * math.sin((s - self.arc / 2) / self.radius), t))

    def to_flat(self, point: Point) -> Point:
        """Along the chord to along the arc."""
        u, t = self._swap(point)
        sine = (u - self.chord / 2) / self.radius
        if abs(sine) > 1:
            raise PanelError(
                f"a point {abs(u - self.chord / 2):.2f} mm from the middle is not seen on a radius of "
                f"{self.radius:.2f} mm",
                fix="keep what is drawn as seen within the panel",
            )
        return self._swap((self.arc / 2 + self.radius * math.asin(sine), t))

    def to_space(self, point: Point) -> SpacePoint:
        """On the cylinder; z = 0 at the chord."""
        x, y = self.to_panel(point)
        s, _ = self._swap(point)
        edge = math.cos(self.arc / 2 / self.radius)
        return SpacePoint(x, y, self.radius * (math.cos((s - self.arc / 2) / self.radius) - edge))

    def _swap(self, point: Point) -> Point:
        return (point[1], point[0]) if self.upright else point
