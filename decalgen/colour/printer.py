"""What the colour side knows of a printer; the swatch sheet's readings replace its defaults."""

from __future__ import annotations

from typing import Protocol

from decalgen.colour.model import FLOOR, INTERNAL_REFLECTION
from decalgen.colour.value import Colour, ColourError
from decalgen.colour.white import DEFAULT_OPACITY, MOST_PASSES, check_opacity
from decalgen.core.values import dataclass


class Profile(Protocol):
    """What is asked of a printer's ICC profile (`icc.CmykProfile` is one)."""

    @property
    def name(self) -> str:
        """How the profile calls itself."""

    def proof(self, colour: Colour) -> Colour:
        """How the printer shows a colour on its white paper, paper taken as white."""


@dataclass(frozen=True)
class PrinterColour:
    """Colour values of a printer. ``floor``: Y of its darkest patch; ``k2``: internal reflection;
    ``opacity``: one pass of its white; ``misregister``: how far two inks or passes may lie apart, mm; the
    smallest line, gap and cap height that held on the swatch sheet, mm (None: not measured)."""

    name: str = "any printer"
    white: bool = False
    profile: Profile | None = None
    floor: float = FLOOR
    k2: float = INTERNAL_REFLECTION
    opacity: float = DEFAULT_OPACITY
    passes: int = 2
    misregister: float = 0.15
    smallest_line: float | None = None
    smallest_gap: float | None = None
    smallest_caps: float | None = None
    smallest_caps_reversed: float | None = None
    patches: tuple[tuple[str, Colour], ...] = ()
    """Measured looks of named inks on white paper; they replace the wanted colours as what really is
    printed."""

    def __post_init__(self) -> None:
        check_opacity(self.opacity)
        if not 1 <= self.passes <= MOST_PASSES:
            raise ColourError(f"{self.passes} passes of white", fix=f"write between 1 and {MOST_PASSES} passes")
        if not 0 <= self.floor < 0.5:
            raise ColourError(
                f"the darkest patch reads Y = {self.floor:g}",
                fix="give Y as a part of white, from 0 to below 0.5 (about 0.01)",
            )
        if not 0 <= self.misregister <= 2:
            raise ColourError(
                f"a misregister of {self.misregister:g} mm",
                fix="measure it on the swatch sheet: 0 to 2 mm, often 0.15",
            )

    def measured(self, ink: str) -> Colour | None:
        """The measured look of an ink, if there is one."""
        return dict(self.patches).get(ink)
