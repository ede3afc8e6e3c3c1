"""Panels bent one way: part of a cylinder, known by chord and rise.

Radius R = c²/8h + h/2 and developed length s = 2R·asin(c/2R) of a circular segment with chord c and rise h are
in every handbook of engineering tables; a chord taken for the arc is the commonest mistake in measuring.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated, ClassVar

from decalgen import fields as mark
from decalgen.lengths import Quantity
from decalgen.panels.base import PanelError
from decalgen.panels.kinds import Developed, PanelKind, Values, need_positive, rectangle_sides
from decalgen.panels.surfaces import RolledSurface


def segment_radius(chord: float, rise: float) -> float:
    """The radius of a circular segment, mm."""
    return chord * chord / (8 * rise) + rise / 2


def segment_arc(chord: float, rise: float) -> float:
    """The arc of a circular segment, mm; also right above half a circle and for hardly any rise."""
    # 2·atan2 keeps its digits where asin(c/2R) loses them, near half a circle and near none
    half_angle = 2 * math.atan2(2 * rise, chord)
    return 2 * segment_radius(chord, rise) * half_angle


@dataclass(frozen=True, kw_only=True)
class Cylinder(PanelKind):
    """A panel bent one way."""

    name: ClassVar[str] = "cylinder"
    about: ClassVar[str] = "bent one way, like a roof or a bonnet"
    needs: ClassVar[tuple[frozenset[str], ...]] = (frozenset({"chord", "rise", "length"}),)
    faces: ClassVar[dict[str, float]] = {"chord": 2, "length": 2}

    chord: Annotated[Quantity, mark.Measure("straight across the bend, from edge to edge")]
    rise: Annotated[Quantity, mark.Measure("how far the middle stands above the chord")]
    length: Annotated[Quantity, mark.Measure("along the straight direction")]
    bend: Annotated[str, mark.Choice("which way the bend runs as one looks at it", options=("across", "up"))] = "across"

    def develop(self, values: Values) -> Developed:
        """A rectangle as wide (or as high) as the arc."""
        need_positive(values, ("chord", "rise", "length"))
        chord, rise, length = values["chord"], values["rise"], values["length"]
        if rise > chord / 2:
            raise PanelError(
                f"the rise {rise:g} mm is more than half the chord {chord:g} mm",
                fix="measure the rise from the straight line between both edges; "
                "a panel bent further than half round is measured with tape",
            )
        arc, radius = segment_arc(chord, rise), segment_radius(chord, rise)
        upright = self.bend == "up"
        width, height = (length, arc) if upright else (arc, length)
        outline, sides = rectangle_sides(width, height)
        sizes = {"chord": chord, "rise": rise, "length": length, "arc": arc, "radius": radius}
        return Developed(outline, sides, width, height, sizes, RolledSurface(radius, arc, upright))
