"""A panel as the rest of the program sees it: a flat outline with measured sizes and obstacles."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import field
from functools import cached_property
from typing import Literal, NamedTuple, Protocol, runtime_checkable

from decalgen.core.errors import DecalgenError, Finding, Place
from decalgen.core.geometry import Outline, Point
from decalgen.core.lengths import Quantity
from decalgen.core.values import dataclass

Shifts = Mapping[str, float]
"""Readings by name and how far each is shifted, in units of its own standard uncertainty."""


class PanelError(DecalgenError):
    """Readings that make no panel: a mistake in a job file, with the fix."""

    exit_code = 2


class SpacePoint(NamedTuple):
    """A point of a panel's skin, mm: x to the right and y up as one looks at it squarely, z towards the eye."""

    x: float
    y: float
    z: float


@runtime_checkable
class Surface(Protocol):
    """How flat film lies on the panel. The view is what one sees looking at the panel squarely (a side view for
    a door, a plan for a bonnet); its origin is the lower left corner of what is seen. Millimetres."""

    @property
    def bend(self) -> float:
        """The smallest radius of curvature, mm; 0 where nothing bends (straight lines stay straight)."""
        ...

    def to_panel(self, point: Point) -> Point:
        """Where a point of the flat film is seen in the view."""
        ...

    def to_flat(self, point: Point) -> Point:
        """The point of the flat film that is seen there. Raises `PanelError` where no film can be seen."""
        ...

    def to_space(self, point: Point) -> SpacePoint:
        """Where a point of the flat film lies in space."""
        ...


@dataclass(frozen=True)
class Obstacle:
    """A handle, gap, rivet or vent. ``outline`` lies in the panel's flat coordinates, mm; a decal keeps
    ``clearance`` mm away from it. ``gap`` is True for a shut line that a decal may be split at. ``middle`` is the line
    along its middle, end to end, that film can be slit along; empty where it has none."""

    name: str
    outline: Outline
    clearance: float = 0.0
    gap: bool = False
    place: Place | None = field(default=None, compare=False)
    """Where the file says so; a line more above it changes nothing."""
    middle: tuple[Point, ...] = ()


@dataclass(frozen=True)
class Panel:
    """A measured panel, developed flat: origin at its lower left corner, x right, y up, mm.

    ``width`` and ``height`` are those of the flat outline, with their uncertainty. ``sizes`` are the names an
    expression may use (``panel.width``, ``panel.chord`` …). ``sides`` names each segment of the outline.
    ``readings`` are the readings everything depends on, under the names found in the parts of every quantity.
    ``findings`` is what building it has noticed. ``shifted`` builds the panel again with readings shifted by so
    many of their standard uncertainties; None for a panel put together by hand.
    """

    name: str
    kind: str
    outline: Outline
    width: Quantity
    height: Quantity
    sizes: tuple[tuple[str, Quantity], ...] = ()
    obstacles: tuple[Obstacle, ...] = ()
    hand: Literal["left", "right"] | None = None
    place: Place | None = field(default=None, compare=False)
    """Where the file says so; a line more above it changes nothing."""
    surface: Surface | None = None
    sides: tuple[str, ...] = ()
    readings: tuple[tuple[str, Quantity], ...] = ()
    findings: tuple[Finding, ...] = ()
    unmeasured: tuple[str, ...] = ()
    """Its readings that are still to be taken; sizes were assumed for them."""
    free: tuple[str, ...] = ()
    """Its edges (left, right, bottom, top) that something can be folded over."""
    shifted: Callable[[Shifts], Panel] | None = field(default=None, compare=False, repr=False)

    @cached_property
    def variants(self) -> dict[tuple[str, float], Panel]:
        """The panel with one reading shifted by so many standard uncertainties, as far as it was asked for: each decal
        that lies on it asks for the same ones."""
        return {}

    @cached_property
    def other_hand(self) -> list[Panel]:
        """Its mirror image, once that was asked for."""
        return []
