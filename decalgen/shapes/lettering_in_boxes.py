"""An arched word in a box of its own: as large as it holds, or at its own cap height."""

from __future__ import annotations

import math

from decalgen.shapes.base import Box, ShapeError
from decalgen.shapes.lettering_arched import (
    STEP_MM,
    ArchedLine,
    LaidLine,
    rounded_down,
    rounded_up,
    set_in,
    solved,
)
from decalgen.shapes.lettering_modes import SetLettering

SEEN = 0.2
"""The flattest arch that is seen as one: half of how far it goes round, radians."""
TRIALS = 16


def boxed(arched: ArchedLine, box: Box, fills: bool) -> SetLettering:
    """Arched so that it is as high as its box: ``fills``, with the cap height at which it is as wide, too, or else at
    its own in the middle. Raises `ShapeError`, `LetteringError`."""
    if arched.arc.rise is not None:
        from decalgen.shapes.lettering_heads import headed

        laid = headed(arched, box, fills)
    else:
        laid = _filling(arched, box) if fills else _keeping(arched, box)
    x0, y0, x1, _ = laid.bounds
    return set_in(arched.setter, laid, box, (box.width - x0 - x1) / 2, -y0)


def _keeping(arched: ArchedLine, box: Box) -> LaidLine:
    """At its own cap height."""
    cap = arched.setter.cap

    def over(half: float) -> tuple[float, LaidLine]:
        laid = arched.half_round(cap, half)
        return laid.ink.height - box.height, laid

    flat, (most, steep) = arched.straight(cap), arched.steepest(cap)
    if flat.height >= box.height:
        raise _no_room(arched, box, None)
    if steep.ink.height < box.height:
        raise ShapeError(
            f"a box {box.height:g} mm high is too high: this lettering would go more than half round",
            f"write height: {rounded_down(steep.ink.height):g} mm or less",
        )
    laid = solved(over, 2 * math.atan(2 * (box.height - flat.height) / flat.width), 0.0, most)
    if laid.ink.width > box.width + STEP_MM / 10:
        raise _no_room(arched, box, laid.ink)
    return laid


def _no_room(arched: ArchedLine, box: Box, ink: Box | None) -> ShapeError:
    """What is said of a box that is too small: the box that the cap height needs, the cap height that the box holds."""
    cap = arched.setter.cap
    need = ink or arched.half_round(cap, SEEN).ink
    sizes = [one for one in zip(("width", "height"), need, box, strict=True) if one[1] > one[2] + STEP_MM / 10]
    fix = "write " + " and ".join(f"{key}: {rounded_up(own):g} mm" for key, own, _ in sizes)
    try:
        held = rounded_down(_filling(arched, box).line.cap_height)
    except ShapeError:
        held = 0.0
    if held > 0:
        fix += f", or cap height: {held:g} mm"
    return ShapeError(
        f"arched capitals {cap:g} mm high do not go into a box of {box.width:g} \N{MULTIPLICATION SIGN} "
        f"{box.height:g} mm",
        fix,
    )


def _filling(arched: ArchedLine, box: Box) -> LaidLine:
    """At the cap height at which it fills the box both ways."""
    flat = arched.straight(1.0)
    size = box.width / flat.width
    most = arched.most(size)

    def over(half: float) -> tuple[float, LaidLine]:
        nonlocal size
        for _ in range(4):
            laid = arched.half_round(size, min(half, arched.most(size)))
            wide = laid.ink.width / box.width
            if abs(wide - 1) < 1e-9:
                break
            size /= wide
        return laid.ink.height - box.height, laid

    low, high = size * flat.height, over(most)[1].ink.height
    first = 2 * math.atan(2 * (box.height - low) / box.width)
    if low < box.height <= high:
        return solved(over, first, 0.0, most)
    # A short word in a box gets lower again the further it goes round, since it has to get smaller.
    halves = [SEEN + (most - SEEN) * n / TRIALS for n in range(TRIALS + 1)]
    heights = [over(half)[1].ink.height for half in halves]
    for n in range(TRIALS):
        if heights[n] >= box.height > heights[n + 1]:
            return solved(lambda half: _turned_over(over(half)), 0.0, halves[n], halves[n + 1])
        if heights[n] < box.height <= heights[n + 1]:
            return solved(over, 0.0, halves[n], halves[n + 1])
    raise _out_of_reach(box, heights)


def _turned_over(found: tuple[float, LaidLine]) -> tuple[float, LaidLine]:
    return -found[0], found[1]


def _out_of_reach(box: Box, heights: list[float]) -> ShapeError:
    """What is said of a box that no arch of the word fills."""
    what = f"a box of {box.width:g} \N{MULTIPLICATION SIGN} {box.height:g} mm is too"
    if box.height < min(heights):
        return ShapeError(
            f"{what} low for this lettering to arch in it", f"write height: {rounded_up(min(heights)):g} mm or more"
        )
    return ShapeError(
        f"{what} high: this lettering would go more than half round",
        f"write height: {rounded_down(max(heights)):g} mm or less",
    )
