"""A bent word in a box of its own, whose foot rises as stated: its heads rise until it is as high as the box."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from decalgen.lettering.typeface import LetteringError
from decalgen.shapes.base import Box, ShapeError
from decalgen.shapes.lettering_arched import MET_MM, STEP_MM, ArchedLine, LaidLine, rounded_down, rounded_up, solved
from decalgen.shapes.lettering_on_curves import by_rise

SHARES = (0.4, 0.3, 0.2, 0.1)
"""The most that the heads rise, of the word's width, and what is tried where that is too much."""
LEAST_MM = 1e-3
"""Over a level foot the heads rise by at least so much: else it is a plain word."""
WIDTHS = 12


def headed(arched: ArchedLine, box: Box, fills: bool) -> LaidLine:
    """As high as its box: ``fills``, with the cap height at which it is as wide, too, or else at its own. Raises
    `ShapeError`, `LetteringError`."""
    if fills:
        return _as_wide(arched, box)
    cap = arched.setter.cap
    laid = _as_high(arched, cap, box.height)
    if laid.ink.width > box.width + STEP_MM / 10:
        fix = f"write width: {rounded_up(laid.ink.width):g} mm"
        try:
            held = rounded_down(_as_wide(arched, box).line.cap_height)
        except (ShapeError, LetteringError):
            held = 0.0
        raise ShapeError(
            f"bent capitals {cap:g} mm high do not go into a box of {box.width:g} \N{MULTIPLICATION SIGN} "
            f"{box.height:g} mm",
            fix + (f", or cap height: {held:g} mm" if held > 0 else ""),
        )
    return laid


def _as_wide(arched: ArchedLine, box: Box) -> LaidLine:
    """At the cap height at which it is as wide as its box as well."""
    cap = box.width / arched.straight(1.0).width
    for _ in range(WIDTHS):
        laid = _as_high(arched, cap, box.height)
        wide = laid.ink.width / box.width
        if abs(wide - 1) < 1e-7:
            break
        cap /= wide
    return laid


def _as_high(arched: ArchedLine, cap: float, height: float) -> LaidLine:
    """At a cap height, with the heads that make it so high: the higher they rise, the higher it is."""
    rise = arched.arc.rise or 0.0
    way = arched.arc.way

    own = replace(arched, setter=replace(arched.setter, cap=cap))
    # What the heads do changes nothing in how the feet go round.
    radius = by_rise(own, rise).radius if rise and arched.bend == "fan" else None

    def laid(up: float) -> LaidLine:
        one = replace(own, arc=replace(own.arc, head_rise=way * up))
        return one.upright(cap, rise) if radius is None else one.round(cap, radius)

    low, least = _lowest(laid, rise, way)
    high, most = _highest(laid, own.straight(cap).width)
    if height < least.ink.height - MET_MM:
        raise ShapeError(
            f"a box {height:g} mm high is too low for capitals of {cap:.4g} mm on a foot that rises {rise:g} mm",
            f"write height: {rounded_up(least.ink.height):g} mm or more",
        )
    if height > most.ink.height + MET_MM:
        raise ShapeError(
            f"a box {height:g} mm high is too high for capitals of {cap:.4g} mm: their heads would rise too steeply",
            f"write height: {rounded_down(most.ink.height):g} mm or less",
        )
    for end in (least, most):
        if abs(end.ink.height - height) < MET_MM:
            return end

    def over(up: float) -> tuple[float, LaidLine]:
        one = laid(up)
        return one.ink.height - height, one

    share = (height - least.ink.height) / (most.ink.height - least.ink.height)
    return solved(over, low + share * (high - low), low, high)


def _lowest(laid: Callable[[float], LaidLine], rise: float, way: float) -> tuple[float, LaidLine]:
    """With level heads, or where those leave no room over a foot that rises, with heads that rise as it does."""
    low = 0.0 if rise else LEAST_MM
    try:
        return low, laid(low)
    except LetteringError:
        low = max(0.0, way * rise)
        return low, laid(low)


def _highest(laid: Callable[[float], LaidLine], width: float) -> tuple[float, LaidLine]:
    """With heads as high as they go."""
    for share in SHARES[:-1]:
        try:
            return share * width, laid(share * width)
        except LetteringError:
            continue
    return SHARES[-1] * width, laid(SHARES[-1] * width)
