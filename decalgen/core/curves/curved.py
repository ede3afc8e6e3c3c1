"""Which sides of an outline are smooth curves, and what is known of them. Pure; mm."""

from __future__ import annotations

from decalgen.core.values import dataclass


@dataclass(frozen=True)
class CurvedSides:
    """Sides of an outline that bend smoothly, by number from 1: side n runs from point n to the next.

    ``joins``: points at which they run on from the straight or the arc beside them; ``directions``: number of a point
    and degrees anticlockwise from the right, along the outline as its points are listed; ``within``: ± of the points
    between two of them, mm: each is moved by no more.
    """

    sides: tuple[int, ...] = ()
    joins: tuple[int, ...] = ()
    directions: tuple[tuple[float, float], ...] = ()
    within: float | None = None
