"""What would settle a verdict that is not known: which reading to take again, and how finely. Pure; mm."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping

from decalgen.core.instruments import Instrument, instrument
from decalgen.core.lengths import Quantity
from decalgen.panels.uncertainty import COVERAGE

TRIED = ("steel rule", "vernier", "caliper")
"""Instruments that are proposed, the coarsest first."""
MOST_READINGS = 5
"""Nobody is asked to read one size more often."""
FINEST = 0.005
"""No reading of a model's panel is finer than ±0.005 mm (a micrometer on paint; common practice, no source)."""


def reading_called(reading: str) -> str:
    """'door.width' as one says it; the radius of an arc gives way to its rise, which tells its height more surely, and
    so does that of a panel bent nearly half round (`bend`)."""
    panel, found, key = reading.partition(".")
    arc = re.fullmatch(r"arc (\d+)", key)
    if arc:
        return f"the rise of side {arc[1]} of {panel} (`arc rises`, in place of its radius)"
    if key == "bend":
        return f"the rise of {panel} (`rise`, in place of its radius)"
    return f"{key} of {panel}" if found else reading


def measure_again(reading: str) -> str:
    """What to do about a reading: 'measure width of door again', 'measure the rise of side 2 of wing …'."""
    called = reading_called(reading)
    return f"measure {called}" if called.startswith("the rise") else f"measure {called} again"


def settling(amount: Quantity, reading: str, readings: Mapping[str, Quantity], margin: float) -> str:
    """How finely, or how often with what, ``reading`` has to be read so that a clearance of ``amount`` is told from
    nothing; '' where that cannot be said of one reading.

    ``readings``: all of the panel, by name. ``margin``: what drawing leaves open, mm.
    """
    parts = dict(amount.parts)
    mine = abs(parts.get(reading, 0.0))
    goal = (abs(amount.value) + margin) / COVERAGE
    if not mine or not amount.u or goal <= margin:
        return ""
    rest = math.sqrt(max(0.0, amount.u**2 - mine**2))
    bend = reading.endswith(".bend")
    # Nearly half round the rise is about the radius, and the length along the bend grows by twice what the rise does.
    source = readings.get(reading.removesuffix("bend") + "radius" if bend else reading)
    own = abs(dict(source.parts).get(reading, 0.0)) if source else 0.0
    if bend and source:
        own = mine / 2
    if goal <= rest or not source or not own:
        times = amount.u / goal
        return f"not by itself enough: every reading would have to be {times:.1f} times as fine"
    left = math.sqrt(goal**2 - rest**2)
    # An arc's rise moves its crown one to one, whatever its radius did.
    need = left if re.fullmatch(r".*\.arc \d+", reading) else own * left / mine
    limit = need * math.sqrt(3)
    if limit < FINEST:
        return f"that would take ± {limit:.3f} mm, finer than a panel can be read"
    return f"± {_down(limit)} mm would settle it{_with(abs(source.value), need)}"


def _down(limit: float) -> str:
    """A limit rounded down, so that it is still enough."""
    digits = 2 if limit >= 0.02 else 3
    return f"{math.floor(limit * 10**digits) / 10**digits:.{digits}f}"


def _with(size: float, need: float) -> str:
    """The coarsest instrument that reads so finely, and how often."""
    for tool in map(instrument, TRIED):
        times = _times(tool, size, need)
        if times:
            often = "once" if times == 1 else f"{times} times"
            return f", a {tool.name} read {often}"
    return ""


def _times(tool: Instrument, size: float, need: float) -> int:
    """How many readings of an instrument are fine enough; 0 where none are."""
    return next((n for n in range(1, MOST_READINGS + 1) if size <= tool.reach and tool.u(size, n) <= need), 0)
