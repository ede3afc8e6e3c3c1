"""Flat panels: a rectangle."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, ClassVar

from decalgen import fields as mark
from decalgen.lengths import Quantity
from decalgen.panels.kinds import Developed, PanelKind, Values, need_positive, rectangle_sides


@dataclass(frozen=True, kw_only=True)
class Flat(PanelKind):
    """A flat rectangle."""

    name: ClassVar[str] = "flat"
    about: ClassVar[str] = "a flat rectangle"
    needs: ClassVar[tuple[frozenset[str], ...]] = (frozenset({"width", "height"}),)
    faces: ClassVar[dict[str, float]] = {"width": 2, "height": 2}

    width: Annotated[Quantity, mark.Measure("width")]
    height: Annotated[Quantity, mark.Measure("height")]

    def develop(self, values: Values) -> Developed:
        """The rectangle itself."""
        need_positive(values, ("width", "height"))
        outline, sides = rectangle_sides(values["width"], values["height"])
        return Developed(outline, sides, values["width"], values["height"])
