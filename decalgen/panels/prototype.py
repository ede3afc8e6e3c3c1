"""A panel that nobody has measured yet, from the full-size vehicle and the scale. See `full_size`."""

from __future__ import annotations

from typing import ClassVar

from decalgen.core.values import dataclass
from decalgen.panels.developed import Developed, need_positive, rectangle_sides
from decalgen.panels.kinds import PanelKind
from decalgen.panels.readings import MeasuredValue
from decalgen.panels.uncertainty import Values


@dataclass(frozen=True, kw_only=True)
class Prototype(PanelKind):
    """A panel that nobody has measured yet: its full-size width and height, and the scale."""

    name: ClassVar[str] = "prototype"
    about: ClassVar[str] = "not measured yet: the full-size vehicle by the scale"
    needs: ClassVar[tuple[frozenset[str], ...]] = (frozenset({"prototype"}),)
    by_scale: ClassVar[bool] = True

    def measured(self) -> dict[str, MeasuredValue]:
        """Nothing was."""
        return {}

    def develop(self, values: Values) -> Developed:
        """A rectangle."""
        need_positive(values, "width", "height")
        outline, sides = rectangle_sides(values["width"], values["height"])
        return Developed(outline, sides, values["width"], values["height"])
