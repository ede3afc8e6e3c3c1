"""What an element of a drawing outlines: the basic shapes and paths (SVG 1.1, 8 and 9). Pure."""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import partial

from decalgen.core.svg import paths
from decalgen.core.svg.numbers import length, numbers
from decalgen.core.svg.paths import Subpath
from decalgen.core.svg.tree import SvgNode
from decalgen.core.values import dataclass

SHAPES = ("path", "rect", "circle", "ellipse", "line", "polyline", "polygon")
Notes = Callable[[str, SvgNode], None]


@dataclass(frozen=True)
class Viewport:
    """What percentages are of, in the units of the element."""

    width: float
    height: float

    @property
    def diagonal(self) -> float:
        """100 % of a length that runs neither across nor up (SVG 1.1, 7.10)."""
        return math.hypot(self.width, self.height) / math.sqrt(2)

    def across(self, node: SvgNode, notes: Notes, name: str, without: float = 0.0) -> float:
        """A length across."""
        return self.size(node.get(name), self.width, node, notes, without)

    def up(self, node: SvgNode, notes: Notes, name: str, without: float = 0.0) -> float:
        """A length up."""
        return self.size(node.get(name), self.height, node, notes, without)

    def size(self, text: str, whole: float, node: SvgNode, notes: Notes, without: float = 0.0) -> float:
        """A length in pixels; ``without`` for a text that is not one, which is noted unless it is empty or auto."""
        found = length(text)
        value = None if found is None else found.px(whole)
        if value is None:
            if text and text != "auto":
                notes(f"a size that is not known here, '{text[:20]}'", node)
            return without
        return value


def outline_of(node: SvgNode, view: Viewport, notes: Notes) -> tuple[Subpath, ...]:
    """The subpaths of an element, none for one that is not drawn. Raises `SvgError` for too many points."""
    across, up = partial(view.across, node, notes), partial(view.up, node, notes)
    tag = node.tag
    if tag == "path":
        read = paths.path(node.get("d")) if node.get("d").strip() not in ("", "none") else paths.PathRead(())
        if read.broken:
            notes("the rest of a path after a mistake in it", node)
        return read.subpaths
    if tag == "rect":
        width, height = across("width"), up("height")
        if width <= 0 or height <= 0:
            return ()
        rx, ry = _radii(across("rx", -1.0), up("ry", -1.0))
        return (paths.box(across("x"), up("y"), width, height, max(rx, 0.0), max(ry, 0.0)),)
    if tag == "circle":
        radius = view.size(node.get("r"), view.diagonal, node, notes)
        return (paths.ellipse(across("cx"), up("cy"), radius, radius),) if radius > 0 else ()
    if tag == "ellipse":
        rx, ry = _radii(across("rx", -1.0), up("ry", -1.0))
        return (paths.ellipse(across("cx"), up("cy"), rx, ry),) if rx > 0 and ry > 0 else ()
    if tag == "line":
        ends = (across("x1"), up("y1"), across("x2"), up("y2"))
        return tuple(one for one in [paths.polygon(ends, False)] if one)
    return _through_points(node, notes)


def _radii(rx: float, ry: float) -> tuple[float, float]:
    """Both radii, where one that is negative was not given and is as the other (as in SVG 1.1, 9.2)."""
    return (ry if rx < 0 else rx), (rx if ry < 0 else ry)


def _through_points(node: SvgNode, notes: Notes) -> tuple[Subpath, ...]:
    """The outline of a polyline or polygon."""
    given = numbers(node.get("points"))
    if given is None:
        notes("points that cannot be read", node)
        return ()
    found = paths.polygon(given, node.tag == "polygon")
    return (found,) if found else ()
