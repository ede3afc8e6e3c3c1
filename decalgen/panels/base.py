"""A panel as the rest of the program sees it: a flat outline with measured sizes and obstacles."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from decalgen.errors import Place
from decalgen.geometry import Outline
from decalgen.lengths import Quantity


@dataclass(frozen=True)
class Obstacle:
    """A handle, gap, rivet or vent. ``outline`` lies in the panel's flat coordinates, mm; a decal keeps
    ``clearance`` mm away from it. ``gap`` is True for a shut line that a decal may be split at."""

    name: str
    outline: Outline
    clearance: float = 0.0
    gap: bool = False
    place: Place | None = None


@dataclass(frozen=True)
class Panel:
    """A measured panel, developed flat: origin at its lower left corner, x right, y up, mm.

    ``width`` and ``height`` are those of the flat outline, with their uncertainty. ``sizes`` are the names an
    expression may use (``panel.width``, ``panel.chord`` …).
    """

    name: str
    kind: str
    outline: Outline
    width: Quantity
    height: Quantity
    sizes: tuple[tuple[str, Quantity], ...] = ()
    obstacles: tuple[Obstacle, ...] = ()
    hand: Literal["left", "right"] | None = None
    place: Place | None = None
