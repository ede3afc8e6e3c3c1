"""Flat panels that lean away from the eye: what is measured squarely is shortened by the cosine of the lean.

A side, a tailgate or a screen leans from the vertical; a bonnet seen from above leans from the level. A stripe
that is to look 45 degrees is drawn at atan(1/cos lean).
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Annotated, ClassVar

from decalgen.core import keys
from decalgen.core.errors import Place
from decalgen.core.geometry import Point
from decalgen.core.lengths import Quantity
from decalgen.core.values import dataclass
from decalgen.panels.adjust import adjust
from decalgen.panels.base import PanelError, SpacePoint
from decalgen.panels.developed import Developed, Settled, need_positive, rectangle_sides
from decalgen.panels.kinds import PanelKind
from decalgen.panels.readings import MeasuredValue, disagreement
from decalgen.panels.uncertainty import Values

MOST = 80.0
"""A panel that leans further can hardly be seen, degrees."""


@dataclass(frozen=True, slots=True)
class LeaningSurface:
    """Film on a flat panel that leans ``lean`` radians from being square to the eye; ``sideways``: its right end
    goes back instead of its top."""

    lean: float
    sideways: bool = False

    @property
    def bend(self) -> float:
        """Nothing bends."""
        return 0.0

    def to_panel(self, point: Point) -> Point:
        """Shortened."""
        x, y = point
        short = math.cos(self.lean)
        return (x * short, y) if self.sideways else (x, y * short)

    def to_flat(self, point: Point) -> Point:
        """Lengthened again."""
        x, y = point
        short = math.cos(self.lean)
        return (x / short, y) if self.sideways else (x, y / short)

    def to_space(self, point: Point) -> SpacePoint:
        """z = 0 at the near edge, negative behind it."""
        x, y = self.to_panel(point)
        return SpacePoint(x, y, -(point[0] if self.sideways else point[1]) * math.sin(self.lean))


@dataclass(frozen=True, kw_only=True)
class Leaning(PanelKind):
    """A flat rectangle measured as one sees it, leaning."""

    name: ClassVar[str] = "leaning"
    about: ClassVar[str] = "a flat rectangle that leans away from the eye, measured as seen"
    needs: ClassVar[tuple[frozenset[str], ...]] = (
        frozenset({"width", "height", "lean"}),
        frozenset({"width", "height", "run"}),
    )
    faces: ClassVar[Mapping[str, float]] = {"width": 2, "height": 2}

    width: Annotated[MeasuredValue, keys.Readings("width as seen squarely", example="30.00 mm ± 0.05")]
    height: Annotated[MeasuredValue, keys.Readings("height as seen squarely", example="9.00 mm ± 0.05")]
    lean: Annotated[
        MeasuredValue | None,
        keys.Readings("from the vertical, or of a bonnet from the level", angle=True, example="35° ± 1", depth=True),
    ] = None
    run: Annotated[
        MeasuredValue | None, keys.Readings("how far it goes back over the rise", example="6.3 mm ± 0.1", depth=True)
    ] = None
    rise: Annotated[
        MeasuredValue | None,
        keys.Readings(
            "over which the run was measured; if left out, over all of it",
            example="9.0 mm ± 0.1",
            beside=("run",),
            depth=True,
        ),
    ] = None
    back: Annotated[str, keys.Choice("which end goes back", options=("top", "right"))] = "top"

    def settle(self, readings: Mapping[str, Quantity], name: str, place: Place | None) -> Settled:
        """Width and height as seen, and the lean in degrees."""
        seen = {key: readings[key] for key in ("width", "height")}
        lean, run = readings.get("lean"), readings.get("run")
        if run is None:
            if "rise" in readings or lean is None:
                raise PanelError("the lean is not known", fix="add lean (degrees), or run (mm back over the rise)")
            return Settled({**seen, "lean": lean})
        rise = readings.get("rise", seen["height" if self.back == "top" else "width"])
        if rise.value <= 0 or run.value < 0:
            raise PanelError(
                f"run {run.value:g} mm over rise {rise.value:g} mm is not a lean", fix="a size is greater than zero"
            )
        # The lean from run over rise is worked out by the adjustment too, so that the parts come out right.
        used = {f"{name}.run": run, f"{name}.rise": rise, **({f"{name}.lean": lean} if lean is not None else {})}

        def model(unknowns: Sequence[float]) -> dict[str, float]:
            degrees, up = unknowns
            whole = {"run": up * math.tan(math.radians(degrees)), "rise": up, "lean": degrees}
            return {key: whole[key.rpartition(".")[2]] for key in used}

        start = (math.degrees(math.atan2(run.value, rise.value)), rise.value)
        agreed = adjust(used, model, start, (0, 1))
        return Settled({**seen, "lean": agreed.unknowns[0]}, disagreement(agreed, used, name, place))

    def develop(self, values: Values) -> Developed:
        """The true rectangle."""
        need_positive(values, "width", "height")
        width, height, degrees = values["width"], values["height"], values["lean"]
        if not -MOST <= degrees <= MOST:
            raise PanelError(
                f"a lean of {degrees:g} degrees leaves next to nothing to see",
                fix="measure the panel square to its own face, and leave the lean out",
            )
        lean = math.radians(degrees)
        sideways = self.back == "right"
        sizes = {"seen width": width, "seen height": height, "lean": degrees}
        if sideways:
            width /= math.cos(lean)
        else:
            height /= math.cos(lean)
        outline, sides = rectangle_sides(width, height)
        return Developed(outline, sides, width, height, sizes, LeaningSurface(lean, sideways), {"lean": 0})
