"""Panels curved both ways: boot lids, domed roofs, wings.

No flat film fits them without stretching (`strain` says how much). Here the film keeps all distances from the
middle of the panel, where it touches first; in a direction at angle t to the width the radius of the normal
section follows from both radii by Euler's theorem, 1/R(t) = cos²t/R + sin²t/R'.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Annotated, ClassVar

from decalgen.core import keys
from decalgen.core.errors import Finding, Place
from decalgen.core.geometry import Point, segment_radius
from decalgen.core.lengths import Quantity
from decalgen.core.values import dataclass
from decalgen.panels.adjust import adjust
from decalgen.panels.base import PanelError, SpacePoint
from decalgen.panels.cylinder import check_segment
from decalgen.panels.developed import Developed, Settled, need_positive, rectangle_sides
from decalgen.panels.kinds import PanelKind
from decalgen.panels.readings import MeasuredValue, disagreement
from decalgen.panels.uncertainty import Values, propagate


@dataclass(frozen=True, slots=True)
class DomeSurface:
    """Film on a dome of radii ``across`` and ``up``. ``middle`` is its middle on the film, ``seen`` in the view."""

    across: float
    up: float
    middle: Point
    seen: Point

    @property
    def bend(self) -> float:
        """The smaller radius."""
        return min(self.across, self.up)

    @property
    def gauss(self) -> float:
        """The Gaussian curvature, 1/mm²."""
        return 1.0 / (self.across * self.up)

    def to_panel(self, point: Point) -> Point:
        """From along the skin to straight across."""
        x, y = point[0] - self.middle[0], point[1] - self.middle[1]
        out = math.hypot(x, y)
        if out == 0:
            return self.seen
        radius = self._radius(x / out, y / out)
        share = radius * math.sin(out / radius) / out
        return self.seen[0] + x * share, self.seen[1] + y * share

    def to_flat(self, point: Point) -> Point:
        """From straight across to along the skin."""
        x, y = point[0] - self.seen[0], point[1] - self.seen[1]
        out = math.hypot(x, y)
        if out == 0:
            return self.middle
        radius = self._radius(x / out, y / out)
        if out > radius:
            raise PanelError(
                f"a point {out:.2f} mm from the middle is not seen on a radius of {radius:.2f} mm",
                fix="keep what is drawn as seen within the panel",
            )
        share = radius * math.asin(out / radius) / out
        return self.middle[0] + x * share, self.middle[1] + y * share

    def to_space(self, point: Point) -> SpacePoint:
        """z = 0 at the middle, negative away from it."""
        x, y = point[0] - self.middle[0], point[1] - self.middle[1]
        out = math.hypot(x, y)
        radius = self._radius(x / out, y / out) if out else self.bend
        return SpacePoint(*self.to_panel(point), radius * (math.cos(out / radius) - 1))

    def _radius(self, cosine: float, sine: float) -> float:
        return 1.0 / (cosine * cosine / self.across + sine * sine / self.up)


@dataclass(frozen=True, kw_only=True)
class Dome(PanelKind):
    """A panel curved both ways. Its flat outline is as wide and as high as the skin along its middle lines; towards
    the corners the skin reaches a little further, so a decal that fits the outline fits the panel."""

    name: ClassVar[str] = "dome"
    about: ClassVar[str] = "curved both ways, like a boot lid"
    needs: ClassVar[tuple[frozenset[str], ...]] = tuple(
        frozenset({"width", "height", f"{a} across", f"{b} up"}) for a in ("radius", "rise") for b in ("radius", "rise")
    )
    faces: ClassVar[Mapping[str, float]] = {"width": 2, "height": 2, "radius across": 1, "radius up": 1}
    curved: ClassVar[bool] = True

    width: Annotated[
        MeasuredValue, keys.Readings("straight across the panel from edge to edge", example="28.00 mm ± 0.05")
    ]
    height: Annotated[
        MeasuredValue, keys.Readings("straight up the panel from edge to edge", example="16.00 mm ± 0.05")
    ]
    radius_across: Annotated[
        MeasuredValue | None, keys.Readings("radius of the bend across", example="60 mm ± 2", depth=True)
    ] = None
    radius_up: Annotated[
        MeasuredValue | None, keys.Readings("radius of the bend up", example="40 mm ± 2", depth=True)
    ] = None
    rise_across: Annotated[
        MeasuredValue | None, keys.Readings("rise over the chord across", example="1.7 mm ± 0.1", depth=True)
    ] = None
    rise_up: Annotated[
        MeasuredValue | None, keys.Readings("rise over the chord up", example="0.8 mm ± 0.1", depth=True)
    ] = None
    chord_across: Annotated[
        MeasuredValue | None,
        keys.Readings(
            "chord the rise across was read over; if left out, the width",
            example="20.0 mm ± 0.1",
            beside=("rise across",),
        ),
    ] = None
    chord_up: Annotated[
        MeasuredValue | None,
        keys.Readings(
            "chord the rise up was read over; if left out, the height", example="12.0 mm ± 0.1", beside=("rise up",)
        ),
    ] = None

    def settle(self, readings: Mapping[str, Quantity], name: str, place: Place | None) -> Settled:
        """Width, height and both radii."""
        values = {key: readings[key] for key in ("width", "height")}
        findings: tuple[Finding, ...] = ()
        for way, whole in (("across", "width"), ("up", "height")):
            known: dict[str, Quantity] = {}
            if f"radius {way}" in readings:
                need_positive({f"radius {way}": readings[f"radius {way}"].value}, f"radius {way}")
                known[f"{name}.radius {way}"] = readings[f"radius {way}"]
            if f"rise {way}" in readings:
                chord, rise = readings.get(f"chord {way}", readings[whole]), readings[f"rise {way}"]
                check_segment(chord.value, rise.value)
                known[f"{name}.rise {way}"] = propagate(
                    lambda v: {"radius": segment_radius(v["chord"], v["rise"])}, {"chord": chord, "rise": rise}
                )["radius"]
            if not known:
                raise PanelError(f"the bend {way} is not known", fix=f"add radius {way}, or rise {way}")
            radius = next(iter(known.values()))
            if len(known) == 2:
                agreed = adjust(known, lambda x, keys=tuple(known): dict.fromkeys(keys, x[0]), (radius.value,))  # type: ignore[misc]
                radius = agreed.unknowns[0]
                findings += disagreement(agreed, known, name, place)
            values[f"radius {way}"] = radius
        return Settled(values, findings)

    def develop(self, values: Values) -> Developed:
        """The rectangle of both middle lines."""
        need_positive(values, "width", "height", "radius across", "radius up")
        lengths = []
        for way, whole in (("across", "width"), ("up", "height")):
            chord, radius = values[whole], values[f"radius {way}"]
            if chord > 2 * radius:
                raise PanelError(
                    f"a {whole} of {chord:g} mm does not go on a radius of {radius:g} mm",
                    fix=f"the {whole} is at most twice the radius; measure the rise {way} again",
                )
            lengths.append(2 * radius * math.asin(chord / 2 / radius))
        width, height = lengths
        outline, sides = rectangle_sides(width, height)
        sizes = {
            "seen width": values["width"],
            "seen height": values["height"],
            "radius across": values["radius across"],
            "radius up": values["radius up"],
        }
        surface = DomeSurface(
            values["radius across"],
            values["radius up"],
            (width / 2, height / 2),
            (values["width"] / 2, values["height"] / 2),
        )
        return Developed(outline, sides, width, height, sizes, surface)
