"""How large a drawing is, and the matrix from its outermost units to millimetres (SVG 1.1, 7.2 and 7.8)."""

from __future__ import annotations

from decalgen.core.geometry import IDENTITY, Matrix, multiply
from decalgen.core.svg.numbers import PX_MM, SvgLength, fit, length, numbers
from decalgen.core.svg.text import SvgError
from decalgen.core.svg.tree import SvgNode
from decalgen.core.values import dataclass

ViewBox = tuple[float, float, float, float]


@dataclass(frozen=True)
class SvgPage:
    """``width`` and ``height``: pixels of CSS, both 0 where the drawing has no size at all; ``real``: whether they say
    how large it is on paper; ``inner``: from the drawing's units to these pixels."""

    width: float
    height: float
    real: bool
    inner: Matrix

    @property
    def size_mm(self) -> tuple[float, float]:
        """The same in millimetres, by 96 pixels to the inch."""
        return self.width * PX_MM, self.height * PX_MM

    def matrix(self, scale: float) -> Matrix:
        """To millimetres, y up from the foot of the page; ``scale``: millimetres to the pixel."""
        return multiply((scale, 0.0, 0.0, -scale, 0.0, scale * self.height), self.inner)


def page_of(root: SvgNode) -> SvgPage:
    """The page of a drawing. Raises `SvgError` for one without an area."""
    box = view_box(root)
    given = [_stated(root.get(name)) for name in ("width", "height")]
    sides = [one.px(0.0) if one is not None else None for one in given]
    real = any(one is not None and one.is_real for one in given)
    if any(one is not None and one.unit in ("", "px") for one in given):
        real = False
    if box is not None:
        if sides[0] is None and sides[1] is None:
            sides = [box[2], box[3]]
        elif sides[0] is None and sides[1] is not None:
            sides[0] = sides[1] * box[2] / box[3]
        elif sides[1] is None and sides[0] is not None:
            sides[1] = sides[0] * box[3] / box[2]
    width, height = sides
    if width is None or height is None:
        return SvgPage(0.0, 0.0, False, IDENTITY)
    if width <= 0 or height <= 0:
        raise SvgError("its page has no area", "give its svg element a width and a height", root.line)
    inner = fit(box, width, height, root.get("preserveAspectRatio")) if box else IDENTITY
    return SvgPage(width, height, real, inner or IDENTITY)


def view_box(node: SvgNode) -> ViewBox | None:
    """The view box of an element; None without one. Raises `SvgError` for one without an area."""
    found = numbers(node.get("viewBox"))
    if found is None or len(found) != 4:
        return None
    if found[2] <= 0 or found[3] <= 0:
        raise SvgError(f"the viewBox of {node.called} has no area", "give it a width and a height", node.line)
    return found


def _stated(text: str) -> SvgLength | None:
    """A length that is one: no percentage, and of a known unit."""
    found = length(text)
    return None if found is None or found.unit == "%" or found.px(0.0) is None else found
