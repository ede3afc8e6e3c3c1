"""Flat panels: a rectangle, and one that tapers."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, ClassVar

from decalgen.core import keys
from decalgen.core.errors import Place
from decalgen.core.lengths import Quantity
from decalgen.core.values import dataclass
from decalgen.panels.adjust import adjust
from decalgen.panels.base import PanelError
from decalgen.panels.developed import RECTANGLE_SIDES, Developed, Settled, need_positive, polygon_sides, rectangle_sides
from decalgen.panels.kinds import PanelKind
from decalgen.panels.readings import MeasuredValue, disagreement
from decalgen.panels.uncertainty import Values


@dataclass(frozen=True, kw_only=True)
class Flat(PanelKind):
    """A flat rectangle."""

    name: ClassVar[str] = "flat"
    about: ClassVar[str] = "a flat rectangle"
    needs: ClassVar[tuple[frozenset[str], ...]] = (frozenset({"width", "height"}),)
    faces: ClassVar[Mapping[str, float]] = {"width": 2, "height": 2}

    width: Annotated[MeasuredValue, keys.Readings("from side to side", example="22.40 mm ± 0.05")]
    height: Annotated[MeasuredValue, keys.Readings("from bottom to top", example="11.60 mm ± 0.05")]

    def develop(self, values: Values) -> Developed:
        """The rectangle itself."""
        need_positive(values, "width", "height")
        outline, sides = rectangle_sides(values["width"], values["height"])
        return Developed(outline, sides, values["width"], values["height"])


@dataclass(frozen=True, kw_only=True)
class Tapered(PanelKind):
    """A flat panel with level top and bottom of different width."""

    name: ClassVar[str] = "tapered"
    about: ClassVar[str] = "flat, with top and bottom of different width"
    needs: ClassVar[tuple[frozenset[str], ...]] = (
        frozenset({"bottom width", "top width", "height"}),
        frozenset({"bottom width", "left inset", "right inset", "height"}),
    )
    faces: ClassVar[Mapping[str, float]] = {"bottom width": 2, "top width": 2, "height": 2}

    bottom_width: Annotated[MeasuredValue, keys.Readings("width along the bottom", example="31.0 mm ± 0.25")]
    height: Annotated[MeasuredValue, keys.Readings("height, square to the bottom", example="6.4 mm ± 0.25")]
    top_width: Annotated[MeasuredValue | None, keys.Readings("width along the top", example="28.6 mm ± 0.25")] = None
    left_inset: Annotated[
        MeasuredValue | None,
        keys.Readings(
            "how far the top's left end is in from the bottom's; if left out, even",
            positive=False,
            example="1.2 mm ± 0.25",
        ),
    ] = None
    right_inset: Annotated[
        MeasuredValue | None,
        keys.Readings("how far the top's right end is in from the bottom's", positive=False, example="1.2 mm ± 0.25"),
    ] = None

    def settle(self, readings: Mapping[str, Quantity], name: str, place: Place | None) -> Settled:
        """Bottom width, top width, left inset, height."""
        given = dict(readings)
        bottom, top = given["bottom width"], given.get("top width")
        left, right = given.get("left inset"), given.get("right inset")
        if top is not None and left is not None and right is not None:
            used = {f"{name}.{key}": given[key] for key in ("bottom width", "top width", "left inset", "right inset")}
            agreed = adjust(
                used,
                lambda x: dict(zip(used, (x[0], x[1], x[2], x[0] - x[1] - x[2]), strict=True)),
                (bottom.value, top.value, left.value),
            )
            bottom, top, left = agreed.unknowns
            values = {"bottom width": bottom, "top width": top, "left inset": left, "height": given["height"]}
            return Settled(values, disagreement(agreed, used, name, place))
        if left is not None and right is not None:
            top = bottom - left - right
            if top.value <= 0:
                raise PanelError(
                    f"the two sides cross before they reach the top: {left.value:g} mm and {right.value:g} mm in from "
                    f"a bottom of {bottom.value:g} mm",
                    fix="measure the top width instead, or the insets again",
                )
        if top is None:
            raise PanelError("the top width is not known", fix="add top width, or both left inset and right inset")
        if left is None:
            left = (bottom - top) * 0.5 if right is None else bottom - top - right
        return Settled({"bottom width": bottom, "top width": top, "left inset": left, "height": given["height"]})

    def develop(self, values: Values) -> Developed:
        """A quadrilateral; its origin is the lower left corner of the box round it."""
        need_positive(values, "bottom width", "top width", "height")
        bottom, top, height = values["bottom width"], values["top width"], values["height"]
        inset = values["left inset"]
        least, most = min(0.0, inset), max(bottom, inset + top)
        if most - least > bottom + top:
            raise PanelError(
                f"the top lies wholly beside the bottom: left inset {inset:g} mm, bottom width {bottom:g} mm",
                fix="measure the insets again; a top that reaches further out has a negative inset",
            )
        points = [(0.0, 0.0), (bottom, 0.0), (inset + top, height), (inset, height)]
        outline, sides = polygon_sides([(x - least, y) for x, y in points], RECTANGLE_SIDES)
        sizes = {"bottom width": bottom, "top width": top, "left inset": inset, "right inset": bottom - top - inset}
        return Developed(outline, sides, most - least, height, sizes, corner=(least, 0.0))
