"""Clip paths to areas (SVG 1.1, 14.3), and the box round an element that they may be told in."""

from __future__ import annotations

from typing import Protocol

import numpy as np
from shapely.geometry import MultiPolygon

from decalgen.core.arrays import FloatArray
from decalgen.core.geometry import IDENTITY, Matrix, multiply, region, translation, union
from decalgen.core.svg.crossings import CrossingCount
from decalgen.core.svg.fills import filled
from decalgen.core.svg.flatten import PointCount, flatten
from decalgen.core.svg.numbers import transform_of
from decalgen.core.svg.paint import link
from decalgen.core.svg.shapes import SHAPES, Viewport, outline_of
from decalgen.core.svg.style import Cascade, Style, computed
from decalgen.core.svg.tree import SvgNode, SvgTree

DEEPEST_CLIPS = 10
"""Clip paths that clip each other more often than this go round in a ring."""


class Draws(Protocol):
    """What clips ask of the drawing they are part of."""

    tree: SvgTree
    cascade: Cascade
    count: PointCount
    crossings: CrossingCount
    fine: float

    def visit(self, node: SvgNode) -> None: ...
    def leave_out(self, what: str, node: SvgNode) -> None: ...


class Clips:
    """The clip paths of one drawing."""

    def __init__(self, drawing: Draws) -> None:
        self.drawing = drawing
        self._known: dict[tuple[SvgNode, Matrix], MultiPolygon] = {}

    def of(
        self, style: Style, node: SvgNode, matrix: Matrix, view: Viewport, within: MultiPolygon | None
    ) -> MultiPolygon | None:
        """What may show of an element, mm, inside what may show of all it stands in; None: everything."""
        found = self._linked(style, node, matrix, view, 0)
        if found is None or within is None:
            return within if found is None else found
        return region(found.intersection(within))

    def _linked(self, style: Style, node: SvgNode, matrix: Matrix, view: Viewport, depth: int) -> MultiPolygon | None:
        text = style["clip-path"]
        if text == "none":
            return None
        linked = link(text)
        target = self.drawing.tree.linked(linked[0]) if linked else None
        if target is None or target.tag != "clipPath":
            self.drawing.leave_out("a clip path that is not in the drawing", node)
            return None
        if depth > DEEPEST_CLIPS:
            self.drawing.leave_out("a clip path that clips itself", node)
            return None
        return self._area(target, node, matrix, view, depth)

    def _area(self, clip: SvgNode, node: SvgNode, matrix: Matrix, view: Viewport, depth: int) -> MultiPolygon:
        own = transform_of(clip.get("transform")) or IDENTITY
        inner = multiply(matrix, own)
        if clip.get("clipPathUnits") == "objectBoundingBox":
            bounds = self._bounds(node, view)
            if bounds is None:
                return MultiPolygon()
            x0, y0, x1, y1 = bounds
            inner, view = multiply(inner, (x1 - x0, 0.0, 0.0, y1 - y0, x0, y0)), Viewport(1.0, 1.0)
        if (clip, inner) in self._known:
            return self._known[clip, inner]
        above = computed(self.drawing.cascade.declared(clip)[0], None)
        parts = [self._child(child, above, inner, view, depth) for child in clip.children]
        found = union(parts)
        around = self._linked(above, clip, matrix, view, depth + 1)
        if around is not None:
            found = region(found.intersection(around))
        self._known[clip, inner] = found
        return found

    def _child(self, node: SvgNode, above: Style, matrix: Matrix, view: Viewport, depth: int) -> MultiPolygon:
        """What one element of a clip path lets through."""
        self.drawing.visit(node)
        style = computed(self.drawing.cascade.declared(node)[0], above)
        if style["display"] == "none":
            return MultiPolygon()
        matrix = multiply(matrix, transform_of(node.get("transform")) or IDENTITY)
        if node.tag == "use":
            target = self.drawing.tree.linked(node.get("href"))
            if target is None or target.tag not in SHAPES:
                self.drawing.leave_out("what a clip path refers to", node)
                return MultiPolygon()
            x, y = (view.across(node, self.drawing.leave_out, "x"), view.up(node, self.drawing.leave_out, "y"))
            found = self._child(target, style, multiply(matrix, translation(x, y)), view, depth)
        elif node.tag in SHAPES:
            if style["visibility"] != "visible":
                return MultiPolygon()
            lines = [flatten(one, self.drawing.count, self.drawing.fine, matrix).points
                     for one in outline_of(node, view, self.drawing.leave_out)]  # fmt: skip
            self.drawing.crossings.take(lines, node.line)
            found = filled(lines, style["clip-rule"] == "evenodd")
        else:
            if node.tag == "text":
                self.drawing.leave_out("text in a clip path", node)
            return MultiPolygon()
        around = self._linked(style, node, matrix, view, depth + 1)
        return found if around is None else region(found.intersection(around))

    def _bounds(self, node: SvgNode, view: Viewport) -> tuple[float, float, float, float] | None:
        """The box round an element without its strokes, in its own units; None round nothing."""
        points = self._outlines(node, IDENTITY, view, 0)
        if not points:
            return None
        every = np.vstack(points)
        (x0, y0), (x1, y1) = every.min(axis=0), every.max(axis=0)
        return float(x0), float(y0), float(x1), float(y1)

    def _outlines(self, node: SvgNode, matrix: Matrix, view: Viewport, depth: int) -> list[FloatArray]:
        self.drawing.visit(node)
        found = []
        if node.tag in SHAPES:
            for one in outline_of(node, view, lambda *_: None):
                found.append(flatten(one, self.drawing.count, self.drawing.fine, matrix).points)
        children = list(node.children) if node.tag in ("g", "a", "svg", "symbol") else []
        if node.tag == "use" and depth < DEEPEST_CLIPS:
            target = self.drawing.tree.linked(node.get("href"))
            children = [target] if target is not None else []
            x, y = view.across(node, self.drawing.leave_out, "x"), view.up(node, self.drawing.leave_out, "y")
            matrix = multiply(matrix, translation(x, y))
        for child in children:
            own = transform_of(child.get("transform")) or IDENTITY
            found += self._outlines(child, multiply(matrix, own), view, depth + 1)
        return found
