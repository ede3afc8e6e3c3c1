"""Outlines and films for the nesting tests: invented, in millimetres."""

from __future__ import annotations

import math

from hypothesis import strategies as st
from shapely.geometry import Polygon, box

from decalgen.nesting import NestItem, NestRegion


def disc(radius: float, points: int = 24) -> Polygon:
    """A disc as a polygon."""
    angles = [2 * math.pi * i / points for i in range(points)]
    return Polygon([(radius * math.cos(a), radius * math.sin(a)) for a in angles])


def cross(size: float) -> Polygon:
    """A cross: not convex."""
    a, b, c = size / 3, 2 * size / 3, size
    corners = [(a, 0), (b, 0), (b, a), (c, a), (c, b), (b, b), (b, c), (a, c), (a, b), (0, b), (0, a), (a, a)]
    return Polygon(corners)


def slanted(width: float, height: float, lean: float) -> Polygon:
    """A stripe with slanted ends, away from the origin."""
    return Polygon([(3, 2), (3 + width, 2), (3 + width + lean, 2 + height), (3 + lean, 2 + height)])


sizes = st.floats(1.0, 40.0).map(lambda v: round(v, 2))
outlines = st.one_of(
    st.builds(lambda w, h: box(0, 0, w, h), sizes, sizes),
    st.builds(disc, st.floats(1.0, 12.0)),
    st.builds(cross, st.floats(4.0, 25.0)),
    st.builds(slanted, sizes, st.floats(1.5, 12.0), st.floats(-8.0, 8.0)),
)
turn_sets = st.sampled_from([(0,), (0, 180), (0, 90, 180, 270), (90,), (0, 45, 90)])


@st.composite
def items(draw: st.DrawFn, most: int = 6) -> tuple[NestItem, ...]:
    """Up to ``most`` items of up to five copies."""
    count = draw(st.integers(1, most))
    return tuple(
        NestItem(
            f"decal {i}",
            draw(outlines),
            turns=draw(turn_sets),
            priority=draw(st.integers(0, 2)),
            quantity=draw(st.integers(0, 5)),
        )
        for i in range(count)
    )


@st.composite
def films(draw: st.DrawFn) -> NestRegion:
    """An A6 or A5 film, whole, part used or with a cut corner."""
    width, height = draw(st.sampled_from([(148.0, 105.0), (105.0, 148.0), (210.0, 148.0)]))
    usable = box(5, 5, width - 5, height - 5)
    if draw(st.booleans()):
        cut = draw(st.floats(5.0, 60.0))
        usable = Polygon(
            [(5, 5), (width - 5, 5), (width - 5, height - 5), (5 + cut, height - 5), (5, height - 5 - cut)]
        )
    keep_outs = []
    for _ in range(draw(st.integers(0, 2))):
        x, y = draw(st.floats(0.0, width)), draw(st.floats(0.0, height))
        centre = draw(st.sampled_from([disc(9.0), box(-12, -4, 12, 4), cross(20.0)]))
        keep_outs.append(Polygon([(px + x, py + y) for px, py in centre.exterior.coords]))
    return NestRegion(
        "film",
        width,
        height,
        usable,
        tuple(keep_outs),
        keep_out_clearance=draw(st.sampled_from([0.0, 0.5, 3.0])),
        repeat=draw(st.booleans()),
        fill=draw(st.sampled_from([None, "left", "right", "top", "bottom"])),
    )
