"""Elements put into a box: each at its place, in either hand, running on over the sides on the box's edge."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from decalgen.core.errors import DecalgenError
from decalgen.core.geometry import mirror_x, rectangle, region, translation
from decalgen.shapes.base import Box, Element, Inked, Sides, holds, in_place, moved
from decalgen.shapes.pieces import EDGE

ALL: Sides = (True, True, True, True)


def place(
    elements: Sequence[Element], box: Box, run_on: float = 0.0, mirrored: bool = False, sides: Sides = ALL
) -> tuple[Inked, ...]:
    """The areas of all elements in painting order, in the box's coordinates, mm.

    ``run_on``: what meets an edge of the box runs on beyond it by so much, on those of its ``sides`` (left, bottom,
    right, top) that are told; nothing else is cut away, so an element larger than the box reaches out of it.
    ``mirrored``: the other hand. Shapes are mirrored about the box's upright middle line; lettering, and elements
    marked ``never_mirror``, keep their reading and only move to the mirrored spot.
    Raises `ShapeError` and other `DecalgenError`, with the element's place in the file.
    """
    areas: list[Inked] = []
    for element in elements:
        try:
            areas += _placed(element, box, run_on, mirrored, sides)
        except DecalgenError as error:
            error.place = error.place or element.place
            raise
    return tuple(areas)


def _placed(element: Element, box: Box, run_on: float, mirrored: bool, real: Sides) -> tuple[Inked, ...]:
    shape = element.shape
    extent = shape.extent(box)
    x, y = element.at.corner(extent, box)
    turned = mirrored and not (element.never_mirror or shape.reads)
    if mirrored and not element.never_mirror and in_place(shape):
        shape = shape.other_hand(extent)
    if mirrored:
        x = box.width - x - extent.width
    sides = edge_sides(extent, (x, y), box, real)
    run_on = run_on if any(sides) else 0.0
    if holds(shape):
        held = shape.mirrored() if turned else shape
        assert holds(held)
        areas = held.draw_on(extent, run_on, sides)
    else:
        areas = shape.draw(extent, run_on)
        if turned:
            areas = tuple(moved(a, mirror_x(extent.width)) for a in areas)
        if run_on > 0 and not all(sides):
            areas = _kept(areas, extent, sides, run_on)
    shift = translation(x, y)
    return tuple(replace(moved(a, shift), place=a.place or (element.place if a.words else None)) for a in areas)


def edge_sides(extent: Box, corner: tuple[float, float], box: Box, real: Sides = ALL) -> Sides:
    """Which sides of an extent lie on the box's edge, or beyond it, where that side of the box is a ``real`` edge."""
    x, y = corner
    left, bottom, right, top = real
    return (
        left and x <= EDGE,
        bottom and y <= EDGE,
        right and x + extent.width >= box.width - EDGE,
        top and y + extent.height >= box.height - EDGE,
    )


def window(extent: Box, sides: Sides, run_on: float) -> tuple[float, float, float, float]:
    """The extent, wider by ``run_on`` on those sides: x0, y0, x1, y1."""
    left, bottom, right, top = (run_on if side else 0.0 for side in sides)
    return (-left, -bottom, extent.width + right, extent.height + top)


def _kept(areas: tuple[Inked, ...], extent: Box, sides: Sides, run_on: float) -> tuple[Inked, ...]:
    """The areas without what ran on over a side that is not on the edge. Lettering does not run on."""
    view = rectangle(*window(extent, sides, run_on))
    return tuple(a if a.lettering else replace(a, region=region(a.region.intersection(view))) for a in areas)
