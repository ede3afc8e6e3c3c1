"""Lettering on a circle, on an arc by its rise, or along a curve through points: turned or bent."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from decalgen.core.errors import DecalgenError
from decalgen.shapes.base import Box, ShapeError
from decalgen.shapes.lettering_arched import (
    HALF_ROUND,
    UPRIGHT_MOST,
    ArchedLine,
    LaidLine,
    rounded_down,
    rounded_up,
    set_in,
    solved,
)
from decalgen.shapes.lettering_groups import Along
from decalgen.shapes.lettering_modes import SetLettering, Setter, one_line

if TYPE_CHECKING:
    from decalgen.core.curves.curve import Curve


def on_an_arc(arched: ArchedLine) -> SetLettering:
    """By its radius in the box of its circle; by its rise in a box of its capitals. Raises `ShapeError`,
    `LetteringError`."""
    arc = arched.arc
    if arc.radius is not None:
        return _on_circle(arched, arc.radius)
    assert arc.rise is not None
    laid = by_rise(arched, arc.rise)
    x0, _, x1, _ = laid.bounds
    low, high = _capitals(arched, laid)
    return set_in(arched.setter, laid, Box(x1 - x0, high - low), -x0, -low)


def _on_circle(arched: ArchedLine, radius: float) -> SetLettering:
    """The extent is round the centre of the circle, as far as the capitals go."""
    cap = arched.setter.cap
    half = radius + (cap if arched.arc.side == "outside" else 0.0)
    if arched.bend != "upright":
        return set_in(arched.setter, arched.round(cap, radius), Box(2 * half, 2 * half), half, half)
    width = arched.line(cap)[0].width
    if width / 2 >= radius * math.sin(UPRIGHT_MOST):
        raise ShapeError(
            f"with upright stems {width:.2f} mm of lettering do not go on a circle of {radius:g} mm radius",
            f"write radius: {rounded_up(width / 2 / math.sin(UPRIGHT_MOST)):g} mm or more, or bend: fan",
        )
    rise = radius - math.sqrt(radius * radius - width * width / 4)
    ends = (radius - rise) * arched.arc.way
    laid = arched.upright(cap, rise)
    return set_in(arched.setter, laid, Box(2 * half, 2 * half), half - width / 2, half + ends)


def by_rise(arched: ArchedLine, rise: float) -> LaidLine:
    """On the arc that rises so far from the ends of the ink to its middle."""
    cap = arched.setter.cap
    width = arched.line(cap)[0].width
    if arched.bend == "upright":
        most = width / 2 * math.tan(UPRIGHT_MOST / 2)
        if abs(rise) > most:
            raise ShapeError(
                f"with upright stems a rise of {rise:g} mm is too much for {width:.2f} mm of lettering",
                f"write rise: {rounded_down(most):g} mm or less, or bend: fan",
            )
        return arched.upright(cap, rise)
    # What the heads do changes nothing in how the feet go round.
    plain = replace(arched, arc=replace(arched.arc, head_rise=None))
    widest, steep = plain.steepest(cap)
    most = steep.rise
    if rise > most:
        tight = f"a rise of {rise:g} mm bends this lettering too tightly for capitals of {cap:g} mm"
        half = f"a rise of {rise:g} mm is more than half the chord of this lettering, {2 * most:.2f} mm at most"
        held = rounded_down(most)
        fix = f"write rise: {held:g} mm or less" if held > 0 else "remove `arc`: this lettering is too short to arch"
        raise ShapeError(half if widest == HALF_ROUND else tight, fix)

    def over(half: float) -> tuple[float, LaidLine]:
        laid = plain.half_round(cap, half)
        return laid.rise - rise, laid

    laid = solved(over, 2 * math.atan(2 * rise / width), 0.0, widest)
    return laid if arched.arc.head_rise is None else arched.round(cap, laid.radius)


def _capitals(arched: ArchedLine, laid: LaidLine) -> tuple[float, float]:
    """From where to where the capitals of an arched word go, from the ends of its foot to the top of its head."""
    cap, arc = laid.line.cap_height, arched.arc
    way = arc.way
    if arched.bend == "upright":
        head = laid.rise if arc.head_rise is None else arc.head_rise
        return min(0.0, way * laid.rise), cap + max(0.0, way * head)
    foot = laid.radius - laid.rise
    ends = foot * (laid.radius + way * cap) / laid.radius
    if arc.head_rise is not None:
        low, high = (foot, ends) if arc.side == "outside" else (-laid.radius, -ends)
        return low, high + max(0.0, way * arc.head_rise)
    return (foot, laid.radius + cap) if arc.side == "outside" else (-laid.radius, -ends)


def along_points(text: tuple[str, ...], along: Along, setter: Setter, align: str, bend: str) -> SetLettering:
    """Along a curve through points of the box. Raises `ShapeError`, `LetteringError`."""
    from decalgen.lettering.along import TooLong
    from decalgen.shapes.coursed import curve_of

    words = one_line(text, "along")
    curve = curve_of(along)
    try:
        laid = _laid_along(words, curve, setter, align, bend)
    except TooLong as long:
        cap = rounded_down(setter.cap * min(long.room, curve.length) / long.width)
        try:
            _laid_along(words, curve, replace(setter, cap=cap), align, bend)
        except DecalgenError:
            raise long from None
        raise ShapeError(long.message, f"write cap height: {cap:g} mm or less, or give it a longer baseline") from None
    return replace(set_in(setter, laid, Box(0.0, 0.0), 0.0, 0.0), whole=True)


def _laid_along(words: str, curve: Curve, setter: Setter, align: Any, bend: str) -> LaidLine:
    from decalgen.lettering.along import stood_along
    from decalgen.lettering.bending import across, fanned, upright

    line, changes = setter.line(words)
    if bend == "fan":
        return LaidLine(line, fanned(line, curve, align).letters, 0.0, changes=changes)
    if bend == "upright":
        return LaidLine(line, upright(line, across(curve), align=align).letters, 0.0, changes=changes)
    stood = stood_along(line, curve, align, *setter.gap)
    return LaidLine(line, stood.letters, 0.0, math.inf, stood.opened, stood.tightest, changes)
