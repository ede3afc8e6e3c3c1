"""Lengths as people type them, and expressions over measured names; pure.

(The parser is being written below this value type.)
"""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Quantity:
    """A value in mm (dimension 1), a plain number (0) or mm² (2), with what makes it uncertain.

    ``parts`` holds, for each reading it depends on, the signed standard uncertainty that reading contributes
    (sensitivity × u, first order: JCGM 100:2008, 5.1.2), in the quantity's own unit.
    """

    value: float
    dimension: int = 1
    parts: tuple[tuple[str, float], ...] = ()

    @property
    def u(self) -> float:
        """Combined standard uncertainty; readings are independent of each other."""
        return math.sqrt(sum(part * part for _, part in self.parts))
