"""A value with what makes it uncertain, and its arithmetic (first order, JCGM 100:2008, 5.1.2)."""

from __future__ import annotations

import math
from collections.abc import Iterable

from decalgen.core.values import dataclass


@dataclass(frozen=True, slots=True)
class Quantity:
    """A value in mm (dimension 1), a plain number (0) or mm² (2), with what makes it uncertain.

    ``parts`` holds, for each reading it depends on, the signed standard uncertainty that reading contributes
    (sensitivity × u, first order: JCGM 100:2008, 5.1.2), in the quantity's own unit. Two quantities that depend
    on one reading correlate through it exactly: ``q - q`` has no uncertainty left.

    The operators raise ValueError where a length meets a plain number or the dimension leaves 0 … 2, and
    ZeroDivisionError.
    """

    value: float
    dimension: int = 1
    parts: tuple[tuple[str, float], ...] = ()

    @property
    def u(self) -> float:
        """Combined standard uncertainty; readings are independent of each other."""
        return math.sqrt(sum(part * part for _, part in self.parts))

    def expanded(self, k: float = 2.0) -> float:
        """The expanded uncertainty U = k · u."""
        return k * self.u

    def __add__(self, other: Quantity) -> Quantity:
        return propagate(self.value + other.value, self._same(other), ((1.0, self), (1.0, other)))

    def __sub__(self, other: Quantity) -> Quantity:
        return propagate(self.value - other.value, self._same(other), ((1.0, self), (-1.0, other)))

    def __neg__(self) -> Quantity:
        return propagate(-self.value, self.dimension, ((-1.0, self),))

    def __mul__(self, other: Quantity | float) -> Quantity:
        right = other if isinstance(other, Quantity) else Quantity(float(other), 0)
        dimension = self.dimension + right.dimension
        if dimension > 2:
            raise ValueError("this is a volume, and nothing here takes one")
        return propagate(self.value * right.value, dimension, ((right.value, self), (self.value, right)))

    def __rmul__(self, other: float) -> Quantity:
        return self * other

    def __truediv__(self, other: Quantity | float) -> Quantity:
        right = other if isinstance(other, Quantity) else Quantity(float(other), 0)
        dimension = self.dimension - right.dimension
        if dimension < 0:
            raise ValueError("a plain number cannot be divided by a length")
        value = self.value / right.value
        return propagate(value, dimension, ((1.0 / right.value, self), (-value / right.value, right)))

    def _same(self, other: Quantity) -> int:
        if self.dimension != other.dimension:
            raise ValueError(f"{kind(self.dimension)} and {kind(other.dimension)} cannot be added")
        return self.dimension


def propagate(value: float, dimension: int, terms: Iterable[tuple[float, Quantity]]) -> Quantity:
    """``value`` as a function of quantities; each term: its sensitivity (the partial derivative), the quantity.

    Contributions of one reading are added with their signs; those that cancel are dropped.
    """
    parts: dict[str, float] = {}
    for sensitivity, quantity in terms:
        for name, part in quantity.parts:
            parts[name] = parts.get(name, 0.0) + sensitivity * part
    return Quantity(value, dimension, tuple((name, part) for name, part in parts.items() if part))


def kind(dimension: int) -> str:
    """How a dimension is called in a message."""
    return ("a plain number", "a length", "an area")[dimension]
