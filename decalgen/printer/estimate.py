"""How a printer stretches and leans, as it was found: values with their uncertainty, and the map that undoes it."""

from __future__ import annotations

from decalgen.core.values import dataclass


@dataclass(frozen=True)
class Estimate:
    """A value with its standard uncertainty."""

    value: float
    u: float

    @property
    def expanded(self) -> float:
        """U with k = 2."""
        return 2 * self.u


def inverse(x: float, y: float, lean: float) -> tuple[float, float, float]:
    """Scale in x, scale in y and lean of the map that undoes (x·X + lean·Y, y·Y)."""
    return 1 / x, 1 / y, -lean / (x * y)
