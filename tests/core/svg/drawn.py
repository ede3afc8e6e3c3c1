"""Drawings in a few words, and what is drawn of them."""

from __future__ import annotations

from decalgen.core.geometry import TOLERANCE
from decalgen.core.svg.draw import SvgDrawn, draw_tree
from decalgen.core.svg.layers import seen
from decalgen.core.svg.numbers import PX_MM
from decalgen.core.svg.tree import read_tree

NAMESPACES = 'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'


def whole(body: str, width: float = 40.0, height: float = 40.0, more: str = "") -> str:
    """A drawing of so many millimetres, a unit each."""
    return f'<svg {NAMESPACES} width="{width}mm" height="{height}mm" viewBox="0 0 {width} {height}" {more}>{body}</svg>'


def drawn(body: str, **more: float) -> SvgDrawn:
    """What is drawn of elements, a unit a millimetre."""
    return draw_tree(read_tree(whole(body, **more)), PX_MM)


def area(body: str) -> float:
    """The area of all that is seen, mm²; nothing may be left out."""
    return sum(areas(body).values())


def near(body: str) -> float:
    """How much its area may be off, mm²: a micrometre along all of its edges."""
    return 1e-6 + TOLERANCE * sum(one.area.length for one in drawn(body).areas)


def areas(body: str) -> dict[str, float]:
    """The same by colour."""
    found = drawn(body)
    assert found.left_out == ()
    return {ink: float(left.area) for ink, left in seen([(one.colour, one.area) for one in found.areas]).items()}


def left_out(body: str) -> dict[str, tuple[str, ...]]:
    """What is left out, and where."""
    return {one.what: one.where for one in drawn(body).left_out}
