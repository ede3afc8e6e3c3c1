"""Guarded acceptance of a length (JCGM 106:2012, 8.3): with the tolerance T, the standard uncertainty u of what was
read and its deviation d, a size is passed where ``|d| <= min(T, 1.3 T - 1.645 u)``. So an error of 1.3 T is passed at
most once in twenty, whatever the instrument. Pure; mm."""

from __future__ import annotations

import math

from decalgen.core.instruments import CALIPER, Instrument

OVER = 1.3
"""An error so many times the tolerance is passed no more often than ``RISK``."""
RISK = 0.05
QUANTILE = 1.645
"""Of the normal distribution for that risk, one-sided (JCGM 100:2008, table G.1: 1.645 for 90 % between both sides)."""


def room_of(allowed: float, u: float) -> float:
    """How far off a length may be read and pass; less than 0 where no reading is fine enough."""
    return min(allowed, OVER * allowed - QUANTILE * u)


def passing(length: float, share: float, tool: Instrument = CALIPER, readings: int = 3) -> tuple[float, float]:
    """Between which two means of some readings a bar passes, in whole hundredths of a millimetre; where no reading of
    the instrument is fine enough the first is the larger."""
    room = room_of(share * length, tool.u_lines(length, readings))
    return math.ceil((length - room) * 100 - 1e-6) / 100, math.floor((length + room) * 100 + 1e-6) / 100
