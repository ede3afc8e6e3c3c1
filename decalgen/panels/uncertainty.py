"""From the uncertainty of readings to that of what follows from them: JCGM 100:2008 section 5, and beyond first order.

First order takes the slope where the readings stand. Where what follows bends (an arc by its radius near a half circle,
a chord nearly as long as its circle is wide) the slope says too little: what follows is also worked out with each
reading at both ends of its U, and the part of that reading is never less than half the larger change there.

A `Quantity` carries one signed part a reading (sensitivity × standard uncertainty), so correlation through a
shared reading is kept without a covariance matrix (JCGM 100:2008, 5.2 and F.1.2).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

from decalgen.core.lengths import Quantity
from decalgen.panels.base import PanelError

COVERAGE = 2.0
"""k of the expanded uncertainty behind every verdict: about 95 % (JCGM 100:2008, 6.3)."""

STEP = 0.01
"""The step of a central difference, in standard uncertainties: its error is of order STEP² of the third
derivative, and a double still leaves ten digits."""

BENT = 0.15
"""A change at one end of U that is larger than the slope makes it by no more than this share is left to the slope: U
then still covers 93 % (a normal value beyond 2/1.15 on one side: 4.1 % in place of 2.3 %)."""

Values = Mapping[str, float]


def expanded(quantity: Quantity) -> float:
    """U = k·u with k = 2, in the quantity's unit."""
    return quantity.expanded(COVERAGE)


def part_names(inputs: Mapping[str, Quantity]) -> tuple[str, ...]:
    """Every reading the inputs depend on, each once, in order of first sight."""
    return tuple(dict.fromkeys(name for quantity in inputs.values() for name, part in quantity.parts if part))


def shifted(inputs: Mapping[str, Quantity], shifts: Mapping[str, float]) -> dict[str, float]:
    """The inputs' values with each reading shifted by so many of its standard uncertainties."""
    return {
        key: quantity.value + sum(part * shifts.get(name, 0.0) for name, part in quantity.parts)
        for key, quantity in inputs.items()
    }


def widened(slope: float, above: float | None, below: float | None) -> float:
    """A reading's part, with its sign: ``slope`` is the change for one standard uncertainty, ``above`` and ``below``
    the change at either end of U (k = `COVERAGE`), None where there is none."""
    most = max((abs(change) for change in (above, below) if change is not None), default=0.0) / COVERAGE
    if most <= abs(slope) * (1 + BENT):
        return slope
    if slope:
        return math.copysign(most, slope)
    ends = (above or 0.0) - (below or 0.0)
    return math.copysign(most, ends)


def propagate(
    function: Callable[[Values], Mapping[str, float]],
    inputs: Mapping[str, Quantity],
    dimensions: Mapping[str, int] | None = None,
) -> dict[str, Quantity]:
    """Every result of ``function`` with its parts; ``dimensions`` gives those that are not lengths."""
    results = function(shifted(inputs, {}))
    parts: dict[str, list[tuple[str, float]]] = {key: [] for key in results}
    for name in part_names(inputs):
        above = function(shifted(inputs, {name: STEP}))
        below = function(shifted(inputs, {name: -STEP}))
        high, low = (_at_end(function, shifted(inputs, {name: k})) for k in (COVERAGE, -COVERAGE))
        for key in results:
            part = (above[key] - below[key]) / (2 * STEP)
            ends = [None if far is None else far[key] - results[key] for far in (high, low)]
            part = widened(part, *ends)
            if abs(part) > 1e-13:
                parts[key].append((name, part))
    kinds = dimensions or {}
    return {key: Quantity(value, kinds.get(key, 1), tuple(parts[key])) for key, value in results.items()}


def _at_end(function: Callable[[Values], Mapping[str, float]], values: Values) -> Mapping[str, float] | None:
    """The results at an end of U; None where the readings there make nothing."""
    try:
        return function(values)
    except (PanelError, ValueError, ZeroDivisionError):
        return None


def share(quantity: Quantity) -> tuple[str, float] | None:
    """The reading that contributes most, and its share of the variance (0 … 1); None where nothing is uncertain."""
    summed: dict[str, float] = {}
    for name, part in quantity.parts:
        summed[name] = summed.get(name, 0.0) + part
    variance = sum(part * part for part in summed.values())
    if variance <= 0:
        return None
    name = max(summed, key=lambda key: (abs(summed[key]), key))
    return name, summed[name] ** 2 / variance
