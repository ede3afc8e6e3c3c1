"""Panels that are bent one way and taper: part of a cone, from two chords, two rises and the slant length.

A cone develops into an annular sector: on the film the generators meet in one point, at R/sin(a) from an edge of
radius R, where a is half the angle of the cone; angles round the axis shrink by sin(a). Written here so that a
cone that hardly tapers stays exact, where the sector's centre goes to infinity.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Annotated, ClassVar

from decalgen.core import keys
from decalgen.core.errors import Place
from decalgen.core.geometry import Outline, Point, Segment, segment_radius, translation
from decalgen.core.lengths import Quantity
from decalgen.core.values import dataclass
from decalgen.panels.base import PanelError, SpacePoint
from decalgen.panels.cylinder import check_segment, segment_angle, segment_arc
from decalgen.panels.developed import RECTANGLE_SIDES, Developed, Settled, need_positive
from decalgen.panels.kinds import PanelKind
from decalgen.panels.readings import MeasuredValue
from decalgen.panels.uncertainty import Values


@dataclass(frozen=True, slots=True)
class ConeSurface:
    """Film on a cone seen square to its axis. ``radius`` at the bottom, ``sine`` of half the cone's angle (negative
    where it widens upward), ``corner``: the film's middle bottom point from the panel's origin, ``chord`` the
    widest chord."""

    radius: float
    sine: float
    corner: Point
    chord: float

    @property
    def bend(self) -> float:
        """The radius at the bottom."""
        return self.radius

    def film(self, along: float, turn: float) -> Point:
        """The film point ``along`` mm up the middle generator from the bottom and ``turn`` radians round the axis."""
        theta = turn * self.sine
        x = (self.radius - along * self.sine) * turn * _sinc(theta)
        y = along * math.cos(theta) + self.radius * turn * turn * self.sine * _versine(theta)
        return x + self.corner[0], y + self.corner[1]

    def cone(self, point: Point) -> tuple[float, float]:
        """The inverse of `film`: up the generator (mm) and round the axis (radians)."""
        x, y = point[0] - self.corner[0], point[1] - self.corner[1]
        # (rho1 - along)² = x² + (rho1 - y)², rearranged to stay finite while sine goes to zero
        q = x * x + y * y
        tip = self.radius - y * self.sine
        root = math.sqrt(max(self.radius**2 - 2 * self.radius * y * self.sine + q * self.sine**2, 0.0))
        along = (2 * self.radius * y - q * self.sine) / (self.radius + root)
        theta = math.atan2(x * self.sine, tip)
        turn = theta / self.sine if abs(self.sine) > 1e-9 else x / tip
        return along, turn

    def to_panel(self, point: Point) -> Point:
        """As seen square to the axis."""
        along, turn = self.cone(point)
        height = along * math.sqrt(1 - self.sine**2)
        return self.chord / 2 + (self.radius - along * self.sine) * math.sin(turn), height

    def to_flat(self, point: Point) -> Point:
        """From what is seen to the film."""
        along = point[1] / math.sqrt(1 - self.sine**2)
        radius = self.radius - along * self.sine
        out = point[0] - self.chord / 2
        if radius <= 0 or abs(out) > radius:
            raise PanelError(
                f"a point {abs(out):.2f} mm from the middle is not seen on a radius of {max(radius, 0):.2f} mm",
                fix="keep what is drawn as seen within the panel",
            )
        return self.film(along, math.asin(out / radius))

    def to_space(self, point: Point) -> SpacePoint:
        """On the cone; z from the axis."""
        along, turn = self.cone(point)
        x, y = self.to_panel(point)
        return SpacePoint(x, y, (self.radius - along * self.sine) * math.cos(turn))


def _sinc(x: float) -> float:
    return math.sin(x) / x if abs(x) > 1e-8 else 1.0


def _versine(x: float) -> float:
    """(1 - cos x)/x²."""
    half = _sinc(x / 2)
    return half * half / 2


@dataclass(frozen=True, kw_only=True)
class Cone(PanelKind):
    """A panel bent one way that tapers: most bonnets. Its side edges are straight on the film."""

    name: ClassVar[str] = "cone"
    about: ClassVar[str] = "bent one way and tapering, like most bonnets"
    needs: ClassVar[tuple[frozenset[str], ...]] = (
        frozenset({"bottom chord", "bottom rise", "top chord", "top rise", "slant length"}),
    )
    faces: ClassVar[Mapping[str, float]] = {"bottom chord": 2, "top chord": 2, "slant length": 2}

    bottom_chord: Annotated[MeasuredValue, keys.Readings("straight across the bottom edge", example="24.20 mm ± 0.05")]
    bottom_rise: Annotated[
        MeasuredValue,
        keys.Readings("height of the middle of the bottom edge above its chord", example="1.10 mm ± 0.10", depth=True),
    ]
    top_chord: Annotated[MeasuredValue, keys.Readings("straight across the top edge", example="20.60 mm ± 0.05")]
    top_rise: Annotated[
        MeasuredValue,
        keys.Readings("height of the middle of the top edge above its chord", example="0.90 mm ± 0.10", depth=True),
    ]
    slant_length: Annotated[MeasuredValue, keys.Readings("along the panel up the middle", example="19.50 mm ± 0.05")]

    def settle(self, readings: Mapping[str, Quantity], name: str, place: Place | None) -> Settled:
        """As read."""
        for end in ("bottom", "top"):
            check_segment(readings[f"{end} chord"].value, readings[f"{end} rise"].value, end)
        return Settled(readings)

    def develop(self, values: Values) -> Developed:
        """A piece of an annular sector."""
        need_positive(values, "slant length")
        slant = values["slant length"]
        ends = []
        for end in ("bottom", "top"):
            chord, rise = values[f"{end} chord"], values[f"{end} rise"]
            check_segment(chord, rise, end, most=0.75)
            ends.append((segment_radius(chord, rise), segment_angle(chord, rise) / 2, segment_arc(chord, rise)))
        (low, low_turn, low_arc), (high, high_turn, high_arc) = ends
        sine = (low - high) / slant
        if abs(sine) >= 0.999:
            raise PanelError(
                f"radius {low:.2f} mm at the bottom and {high:.2f} mm at the top cannot be {slant:g} mm apart",
                fix="measure both rises again: a small error there makes a large one in the radius",
            )
        base = ConeSurface(low, sine, (0.0, 0.0), max(values["bottom chord"], values["top chord"]))
        corners = [
            base.film(0.0, -low_turn),
            base.film(0.0, low_turn),
            base.film(slant, high_turn),
            base.film(slant, -high_turn),
        ]
        middles = [base.film(0.0, 0.0), base.film(slant, 0.0)]
        left = min(point[0] for point in corners)
        right = max(point[0] for point in corners)
        foot = min(point[1] for point in (*corners, *middles))
        head = max(point[1] for point in (*corners, *middles))
        a, b, c, d = corners
        outline = Outline(
            (
                _edge(a, b, low, sine, True),
                Segment(b, c),
                _edge(c, d, low, sine, False),
                Segment(d, a),
            )
        ).moved(translation(-left, -foot))
        sizes = {
            **{key: values[key] for key in ("bottom chord", "bottom rise", "top chord", "top rise", "slant length")},
            "bottom arc": low_arc,
            "top arc": high_arc,
            "bottom radius": low,
            "top radius": high,
        }
        surface = ConeSurface(low, sine, (-left, -foot), base.chord)
        return Developed(outline, RECTANGLE_SIDES, right - left, head - foot, sizes, surface)


def _edge(start: Point, end: Point, radius: float, sine: float, forward: bool) -> Segment:
    """An edge of the sector: an arc round the point where the generators meet, or a straight line where that lies
    so far off that the arc is straight to a nanometre."""
    half = math.dist(start, end) / 2
    if abs(sine) * half * half / radius < 2e-6:
        return Segment(start, end)
    return Segment(start, end, (0.0, radius / sine), forward == (sine > 0))
