"""How a reading may have come to be so far from the others of the same size: the slips of eye and hand that are known
(common practice, no source). Pure."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from statistics import median

from decalgen.core.lengths.units import INCH_MM

NEAR = 0.15
"""As near as a slip set right has to come to the others, mm; for a small size `NEAR_SHARE` of it."""
NEAR_SHARE = 0.05
NEAR_INCH = 0.02
"""The same for a reading in inches, as a share: it has few digits."""


def misreading(values: Sequence[float]) -> str:
    """What the odd one of some readings looks like, ending in a colon; '' where it looks like nothing that is known.
    Of two readings either may be the odd one."""
    middle = median(values)
    odd = max(values, key=lambda value: abs(value - middle))
    pairs = [(odd, middle)] if len(values) > 2 else [(values[0], values[1]), (values[1], values[0])]
    one = f"{odd:.2f}" if len(values) > 2 else "one of them"
    for read, right in pairs:
        for out in (10, 1):
            if abs(abs(read - right) - out) <= _near(right):
                return f"{one} looks {out} mm out: "
    for read, right in pairs:
        if any(abs(other - right) <= _near(right) for other in _with_swapped_digits(read)):
            return f"two digits of {one} look swapped: "
        if right and abs(read * INCH_MM / right - 1) <= NEAR_INCH:
            return f"{one} looks like inches: "
        if right and any(abs(read * factor - right) <= _near(right) for factor in (0.1, 10)):
            return f"the point of {one} looks one place off: "
    return ""


def _near(right: float) -> float:
    return min(NEAR, NEAR_SHARE * abs(right))


def _with_swapped_digits(value: float) -> list[float]:
    """A reading of two decimals with any two digits beside each other swapped, the point left where it is."""
    digits = f"{value:.2f}"
    places = [n for n, sign in enumerate(digits) if sign != "."]
    found = []
    for one, other in pairwise(places):
        swapped = [*digits]
        swapped[one], swapped[other] = swapped[other], swapped[one]
        found.append(float("".join(swapped)))
    return found
