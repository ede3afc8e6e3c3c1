"""Elements put into a box: each at its place, in either hand, running on over the sides on the box's edge."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from decalgen.errors import DecalgenError
from decalgen.geometry import mirror_x, rectangle, region, transform, translation
from decalgen.shapes.base import Box, Element, Inked, Mirrors
from decalgen.shapes.pieces import EDGE


def place(elements: Sequence[Element], box: Box, run_on: float = 0.0, mirrored: bool = False) -> tuple[Inked, ...]:
    """The areas of all elements in painting order, in the box's coordinates, mm.

    ``run_on``: what meets an edge of the box runs on beyond it by so much (what lies beyond the box is not cut away).
    ``mirrored``: the other hand. Shapes are mirrored about the box's upright middle line; lettering, and elements
    marked ``never_mirror``, keep their reading and only move to the mirrored spot.
    Raises `ShapeError` and other `DecalgenError`, with the element's place in the file.
    """
    areas: list[Inked] = []
    for element in elements:
        try:
            areas += _placed(element, box, run_on, mirrored)
        except DecalgenError as error:
            error.place = error.place or element.place
            raise
    return tuple(areas)


def _placed(element: Element, box: Box, run_on: float, mirrored: bool) -> tuple[Inked, ...]:
    shape = element.shape
    extent = shape.extent(box)
    corner = element.at.corner(extent, box)
    turned = mirrored and not (element.never_mirror or shape.reads)
    if mirrored:
        corner = (box.width - corner[0] - extent.width, corner[1])
    sides = edge_sides(extent, corner, box)
    if turned and isinstance(shape, Mirrors):
        shape, turned = shape.mirrored(), False
    areas = shape.draw(extent, run_on if run_on > 0 and any(sides) else 0.0)
    if turned:
        areas = tuple(replace(a, region=transform(a.region, mirror_x(extent.width))) for a in areas)
    if run_on > 0 and any(sides):
        areas = kept_on_edge(areas, extent, sides, run_on)
    shift = translation(*corner)
    return tuple(replace(a, region=transform(a.region, shift)) for a in areas)


Sides = tuple[bool, bool, bool, bool]
"""Left, bottom, right, top."""


def edge_sides(extent: Box, corner: tuple[float, float], box: Box) -> Sides:
    """Which sides of an extent lie on the box's edge, or beyond it."""
    x, y = corner
    return (
        x <= EDGE,
        y <= EDGE,
        x + extent.width >= box.width - EDGE,
        y + extent.height >= box.height - EDGE,
    )


def kept_on_edge(areas: tuple[Inked, ...], extent: Box, sides: Sides, run_on: float) -> tuple[Inked, ...]:
    """The areas without what ran on over a side that is not on the edge. Lettering is never cut."""
    if all(sides):
        return areas
    left, bottom, right, top = (run_on if side else 0.0 for side in sides)
    window = rectangle(-left, -bottom, extent.width + right, extent.height + top)
    kept = (a if a.lettering else replace(a, region=region(a.region.intersection(window))) for a in areas)
    return tuple(a for a in kept if not a.region.is_empty)
