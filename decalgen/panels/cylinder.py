"""Panels bent one way: part of a cylinder, by chord and rise, by radius, by angle, or by tape.

Radius R = c²/8h + h/2 and developed length s = 2R·asin(c/2R) of a circular segment with chord c and rise h stand
in every handbook of engineering tables; a chord taken for the arc is the commonest mistake in measuring.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Annotated, ClassVar

from decalgen.core import keys
from decalgen.core.errors import Finding, Place
from decalgen.core.geometry import segment_radius
from decalgen.core.lengths import Quantity
from decalgen.core.values import dataclass
from decalgen.panels.adjust import adjust
from decalgen.panels.base import PanelError, Surface
from decalgen.panels.developed import Developed, Settled, need_positive, rectangle_sides
from decalgen.panels.half_circles import LEFT_OPEN, opening
from decalgen.panels.kinds import PanelKind
from decalgen.panels.readings import MeasuredValue, disagreement
from decalgen.panels.surfaces import FlatSurface, RolledSurface
from decalgen.panels.uncertainty import BENT, COVERAGE, Values


def segment_angle(chord: float, rise: float) -> float:
    """The angle of a circular segment at its centre, radians."""
    # atan2 keeps its digits where asin(c/2R) loses them, near half a circle and near none
    return 4 * math.atan2(2 * rise, chord)


def segment_arc(chord: float, rise: float) -> float:
    """The arc of a circular segment, mm."""
    return segment_radius(chord, rise) * segment_angle(chord, rise)


def check_segment(chord: float, rise: float, what: str = "", most: float = 0.5 + 1e-9) -> None:
    """Raises `PanelError` for a chord and rise that no panel has; ``most`` is the largest rise for a chord of 1."""
    lead = f"{what} " if what else ""
    if not chord > 0:
        raise PanelError(f"the {lead}chord is {chord:g} mm", fix="a size is greater than zero; measure it again")
    if not rise > 0:
        raise PanelError(
            f"the {lead}rise is {rise:g} mm",
            fix="a panel without rise is flat: give width and height; measure a hollow one with tape",
        )
    if rise > chord * most:
        raise PanelError(
            f"the {lead}rise {rise:g} mm is more than half the chord {chord:g} mm",
            fix="measure the rise from the straight line between both edges; "
            "measure a panel bent further than half round with tape",
        )


ROUND = ("chord", "rise", "radius", "angle", "tape")


@dataclass(frozen=True, kw_only=True)
class Cylinder(PanelKind):
    """A panel bent one way. More readings than needed are combined and compared."""

    name: ClassVar[str] = "cylinder"
    about: ClassVar[str] = "bent one way, like a roof or a bonnet"
    needs: ClassVar[tuple[frozenset[str], ...]] = tuple(
        frozenset({*bend, along})
        for along in ("length", "height", "width")
        for bend in (
            {"chord", "rise"},
            {"radius", "chord"},
            {"radius", "angle"},
            {"radius", "rise"},
            {"chord", "angle"},
            {"rise", "angle"},
            {"tape"},
        )
    )
    faces: ClassVar[Mapping[str, float]] = {"chord": 2, "length": 2, "tape": 2}

    chord: Annotated[
        MeasuredValue | None, keys.Readings("straight across the bend, from edge to edge", example="24.20 mm ± 0.05")
    ] = None
    rise: Annotated[
        MeasuredValue | None,
        keys.Readings("height of the middle above the chord", example="1.10 mm ± 0.10", depth=True),
    ] = None
    radius: Annotated[MeasuredValue | None, keys.Readings("radius of the bend", example="67 mm ± 2", depth=True)] = None
    angle: Annotated[
        MeasuredValue | None,
        keys.Readings("angle from edge to edge at the centre", angle=True, example="20.8° ± 0.5", depth=True),
    ] = None
    tape: Annotated[
        MeasuredValue | None, keys.Readings("along the bend, with tape laid on", example="24.4 mm ± 0.2")
    ] = None
    length: Annotated[
        MeasuredValue | None, keys.Readings("along the straight direction", example="19.50 mm ± 0.05")
    ] = None
    height: Annotated[
        MeasuredValue | None,
        keys.Readings("along the straight direction, where the bend runs across", example="19.50 mm ± 0.05"),
    ] = None
    width: Annotated[
        MeasuredValue | None,
        keys.Readings(
            "along the straight direction, where the bend runs up", example="19.50 mm ± 0.05", beside=("bend",)
        ),
    ] = None
    bend: Annotated[str, keys.Choice("which way the bend runs as one looks at it", options=("across", "up"))] = "across"

    def settle(self, readings: Mapping[str, Quantity], name: str, place: Place | None) -> Settled:
        """Chord and rise (or the tape alone), and the length."""
        length = self._along(readings)
        for key in ("radius", "tape"):
            if key in readings:
                need_positive({key: readings[key].value}, key)
        bend = {f"{name}.{key}": readings[key] for key in ROUND if key in readings}
        if list(bend) == [f"{name}.tape"]:
            return Settled({"tape": bend[f"{name}.tape"], "length": length})
        given = {key: readings[key].value for key in ROUND if key in readings}
        _tape_longer(readings)
        if set(given) == {"chord", "radius"}:
            half_round = _by_chord_and_radius(readings["chord"], readings["radius"], name, place)
            if half_round:
                return Settled({**half_round[0], "length": length}, half_round[1])
        start = _start(given)
        check_segment(*start)
        if len(bend) == 2 and "chord" in given and "rise" in given:
            return Settled({"chord": readings["chord"], "rise": readings["rise"], "length": length})

        def model(unknowns: Sequence[float]) -> dict[str, float]:
            chord, rise = unknowns
            if chord <= 0 or rise <= 0:
                raise ValueError("no segment")
            whole = {
                "chord": chord,
                "rise": rise,
                "radius": segment_radius(chord, rise),
                "angle": math.degrees(segment_angle(chord, rise)),
                "tape": segment_arc(chord, rise),
            }
            return {f"{name}.{key}": whole[key] for key in given}

        agreed = adjust(bend, model, start)
        chord, rise = agreed.unknowns
        return Settled(
            {"chord": chord, "rise": rise, "length": length},
            disagreement(agreed, bend, name, place) + _chord_for_arc(readings, name, place),
        )

    def develop(self, values: Values) -> Developed:
        """A rectangle as wide (or as high) as the arc."""
        need_positive(values, "length", "tape")
        length = values["length"]
        surface: Surface = FlatSurface()
        if "tape" in values:
            arc = values["tape"]
            sizes = {"length": length, "arc": arc}
        else:
            chord, rise = values["chord"], values["rise"]
            # a half-round panel must bear a reading shifted by its uncertainty
            check_segment(chord, rise, most=0.75)
            arc, radius = segment_arc(chord, rise), segment_radius(chord, rise)
            surface = RolledSurface(radius, arc, self.bend == "up")
            angle = math.degrees(segment_angle(chord, rise))
            sizes = {"chord": chord, "rise": rise, "length": length, "arc": arc, "radius": radius, "angle": angle}
        width, height = (length, arc) if self.bend == "up" else (arc, length)
        outline, sides = rectangle_sides(width, height)
        return Developed(outline, sides, width, height, sizes, surface, {"angle": 0})

    def _along(self, readings: Mapping[str, Quantity]) -> Quantity:
        """The straight size, under whichever name it was given."""
        named = "height" if self.bend == "across" else "width"
        other = "width" if self.bend == "across" else "height"
        if other in readings:
            raise PanelError(
                f"the {other} of a panel bent {self.bend} follows from its bend",
                fix=f"leave {other} out, or write 'bend: {'up' if self.bend == 'across' else 'across'}'",
            )
        both = [readings[key] for key in ("length", named) if key in readings]
        if len(both) != 1:
            what = "is given twice" if both else "is missing"
            raise PanelError(f"the size along the straight direction {what}", fix="give one of length and " + named)
        return both[0]


def _by_chord_and_radius(
    chord: Quantity, radius: Quantity, name: str, place: Place | None
) -> tuple[dict[str, Quantity], tuple[Finding, ...]] | None:
    """Chord and rise of a bend that is nearly half round, by its radius; None where the radius tells the rise well, or
    contradicts the chord beyond doubt."""
    need_positive({"chord": chord.value}, "chord")
    excess = radius - chord * 0.5
    open_ = opening(chord.value / 2, excess)
    if not open_.told or excess.value < -3 * excess.u:
        return None
    what = f"it is bent nearly half round: chord and radius leave its rise open by {open_.by:.2f} mm"
    fix = "measure the rise, or along the bend with tape"
    # Half a circle is the end of what is open, not beyond it: what `widened` leaves to the slope is added here.
    # It is called `bend`, not `radius`: no finer reading of the radius settles it, only one of the rise.
    rise = Quantity(open_.height, 1, ((f"{name}.bend", open_.by * (1 + BENT) / COVERAGE),))
    found = Finding("note", "height-open", name, what, fix, place, open_.by, LEFT_OPEN)
    return {"chord": chord, "rise": rise}, (found,)


def _tape_longer(readings: Mapping[str, Quantity]) -> None:
    """Raises `PanelError` for a tape along the bend that is shorter than the chord straight across, whatever else is
    given: it is nowhere so. Only where the rise says that both differ by less than they can be read to is it chance."""
    if "tape" not in readings or "chord" not in readings:
        return
    tape, chord = readings["tape"], readings["chord"]
    if tape.value >= chord.value:
        return
    chance = 2 * (tape - chord).u
    if "rise" in readings and chord.value > 0:
        more = 8 * readings["rise"].value ** 2 / (3 * chord.value)
        if more <= chance and chord.value - tape.value <= chance:
            return
    raise PanelError(
        f"the tape {tape.value:g} mm is shorter than the chord {chord.value:g} mm: along a bend it is longer",
        fix="lay the tape on along the bend, mark it, lift it and measure it flat; or measure the chord again",
    )


def _chord_for_arc(readings: Mapping[str, Quantity], name: str, place: Place | None) -> tuple[Finding, ...]:
    """The commonest slip: the tape was pulled straight across."""
    if "tape" not in readings or "chord" not in readings or "rise" not in readings:
        return ()
    tape, chord = readings["tape"], readings["chord"]
    arc = segment_arc(chord.value, readings["rise"].value)
    if abs(tape.value - chord.value) > 0.25 * (arc - chord.value) or arc - chord.value < 2 * (tape - chord).u:
        return ()
    return (
        Finding(
            "warning",
            "chord-for-arc",
            name,
            f"the tape reads {tape.value:.2f} mm, which is the chord; over this rise the arc is {arc:.2f} mm",
            "lay the tape on along the bend, mark it, lift it and measure it flat",
            place,
        ),
    )


def _start(given: Mapping[str, float]) -> tuple[float, float]:
    """A chord and rise to begin with, from whichever two readings there are. Raises `PanelError`."""
    if "chord" in given and "rise" in given:
        return given["chord"], given["rise"]
    radius, angle = given.get("radius"), math.radians(given.get("angle", 0.0))
    if "angle" in given and not 0 < angle <= math.pi:
        raise PanelError(
            f"the angle is {given['angle']:g} degrees",
            fix="give the angle from edge to edge at the centre, up to 180; further round, measure with tape",
        )
    if "tape" in given and "chord" in given:
        excess = given["tape"] - given["chord"]
        if excess <= 0:
            raise PanelError(
                f"the tape {given['tape']:g} mm is no longer than the chord {given['chord']:g} mm",
                fix="lay the tape on along the bend, or give the rise instead",
            )
        return given["chord"], math.sqrt(3 * excess * given["chord"] / 8)
    if "tape" in given and "rise" in given:
        # s² = c² + 16h²/3 to first order
        return math.sqrt(max(given["tape"] ** 2 - 16 / 3 * given["rise"] ** 2, 0.04 * given["tape"] ** 2)), given[
            "rise"
        ]
    if radius is None:
        if "tape" in given:
            radius = given["tape"] / angle
        elif "chord" in given:
            radius = given["chord"] / 2 / math.sin(angle / 2)
        else:
            radius = given["rise"] / (1 - math.cos(angle / 2))
    elif "angle" not in given:
        angle = _angle_on(radius, given)
    return 2 * radius * math.sin(angle / 2), radius * (1 - math.cos(angle / 2))


def _angle_on(radius: float, given: Mapping[str, float]) -> float:
    """The angle on a known radius, from chord, tape or rise."""
    if "chord" in given:
        if given["chord"] > 2 * radius:
            raise PanelError(
                f"the chord {given['chord']:g} mm is more than twice the radius {radius:g} mm",
                fix="a circle is no wider than twice its radius; measure both again",
            )
        return 2 * math.asin(given["chord"] / 2 / radius)
    if "tape" in given:
        if given["tape"] > math.pi * radius:
            raise PanelError(
                f"the tape {given['tape']:g} mm goes further than half round a radius of {radius:g} mm",
                fix="leave the radius out: the tape alone is enough",
            )
        return given["tape"] / radius
    return 2 * math.acos(max(-1.0, 1 - given["rise"] / radius))
