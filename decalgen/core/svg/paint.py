"""Paints: a flat colour, or why it is not one."""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Any

from decalgen.core.svg.style import Cascade, Style, computed
from decalgen.core.svg.tree import SvgNode, SvgTree
from decalgen.core.values import dataclass

_LINK = re.compile(r"""url\(\s*["']?([^"')]*)["']?\s*\)\s*(.*)""", re.DOTALL)
MOST_LINKS = 20


@dataclass(frozen=True)
class FlatPaint:
    """What an area is painted with. ``colour`` '#rrggbb', '' for nothing; ``why``: what it is instead, in words."""

    colour: str = ""
    why: str = ""


def link(text: str) -> tuple[str, str] | None:
    """What a url() refers to, and what stands behind it; None where there is none."""
    found = _LINK.fullmatch(text.strip())
    return (found[1].strip(), found[2].strip()) if found else None


@lru_cache(maxsize=4096)
def colour_of(text: str) -> tuple[str, float] | None:
    """'#rrggbb' and opacity of a colour; None where the text is not one. 'currentcolor' stays as it is."""
    import tinycss2.color4

    # What a drawing says for colour management stands behind the same colour in sRGB.
    found: Any = tinycss2.color4.parse_color(text.partition("icc-color(")[0].strip())
    if found is None or isinstance(found, str):
        return ("currentcolor", 1.0) if found else None
    if found.space not in ("srgb", "hsl", "hwb"):
        return None
    r, g, b = (round(255 * min(1.0, max(0.0, one))) for one in found.to("srgb").coordinates)
    return f"#{r:02x}{g:02x}{b:02x}", float(found.alpha)


def opacity(text: str) -> float:
    """A share from 0 to 1; 1 where the text is not one."""
    share = text.endswith("%")
    try:
        value = float(text.removesuffix("%")) / (100 if share else 1)
    except ValueError:
        return 1.0
    return min(1.0, max(0.0, value)) if value == value else 1.0


class Paints:
    """The paints of one drawing."""

    def __init__(self, tree: SvgTree, cascade: Cascade) -> None:
        self.tree = tree
        self.cascade = cascade

    def of(self, style: Style, what: str) -> FlatPaint:
        """The paint of a ``fill`` or ``stroke``."""
        text, share = style[what], opacity(style[f"{what}-opacity"])
        if text == "none" or share == 0:
            return FlatPaint()
        found = self._of(text, style["color"], 0)
        if found.colour and share < 1:
            return FlatPaint(why="partial opacity")
        return found

    def _of(self, text: str, current: str, depth: int) -> FlatPaint:
        if text.startswith(("context-fill", "context-stroke")):
            return FlatPaint(why="a paint of what it is a marker of")
        linked = link(text)
        if linked is None:
            return _flat(text, current)
        target, instead = linked
        node = self.tree.linked(target)
        if node is not None and node.tag in ("linearGradient", "radialGradient"):
            return self._gradient(node, current)
        if node is not None and node.tag == "pattern":
            return FlatPaint(why="a pattern")
        if instead and depth < 1:
            return FlatPaint() if instead == "none" else self._of(instead, current, depth + 1)
        return FlatPaint(why="a paint that is not in the drawing")

    def _gradient(self, node: SvgNode, current: str) -> FlatPaint:
        """A gradient of one colour is that colour, as programs keep swatches in this way."""
        one: SvgNode | None = node
        for _ in range(MOST_LINKS):
            if one is None:
                return FlatPaint()
            stops = [child for child in one.children if child.tag == "stop"]
            if stops:
                paints = {self._stop(stop, current) for stop in stops}
                return paints.pop() if len(paints) == 1 else FlatPaint(why="a gradient")
            one = self.tree.linked(one.get("href"))
        return FlatPaint(why="a gradient")

    def _stop(self, stop: SvgNode, current: str) -> FlatPaint:
        style = computed(self.cascade.declared(stop)[0], None)
        share = opacity(style["stop-opacity"])
        found = _flat(style["stop-color"], current)
        return FlatPaint(why="a gradient") if found.colour and share < 1 else found


def _flat(text: str, current: str) -> FlatPaint:
    found = colour_of(text)
    if found is not None and found[0] == "currentcolor":
        found = colour_of(current)
    if found is None or found[0] == "currentcolor":
        return FlatPaint(why=f"an unknown colour, '{text[:40]}'")
    colour, share = found
    if share == 0:
        return FlatPaint()
    return FlatPaint(colour) if share == 1 else FlatPaint(why="partial opacity")
