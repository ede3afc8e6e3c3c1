"""Panels of any outline and bands along their edges, made up by hypothesis."""

from __future__ import annotations

import math

from hypothesis import strategies as st

from decalgen.core.errors import DecalgenError
from decalgen.panels.base import Panel
from decalgen.panels.free import FreeOutline
from decalgen.shapes.band import DrawnBand
from tests.shapes.values import maybe, mm

STRIPES = ("orange", "navy", "green")
"""Inks that white film does not stand for."""


@st.composite
def free_panels(draw: st.DrawFn) -> Panel | None:
    """Points in order round a middle, with straight sides, arcs, round corners or smooth sides; None where such an
    outline cannot be (two radii that do not fit a side, a smooth side that crosses another)."""
    n = draw(st.integers(3, 7))
    wide = draw(mm(1, 2.5))
    points = []
    for i in range(n):
        at, away = 2 * math.pi * (i + draw(mm(-0.3, 0.3))) / n, draw(mm(6, 12))
        points.append((wide * away * math.cos(at), away * math.sin(at)))
    kind = draw(st.sampled_from(["plain", "arcs", "round", "smooth"]))
    more: dict[str, object] = {}
    if kind == "arcs":
        more["arc_rises"] = tuple(draw(st.just(0.0) | mm(-1.5, 1.5)) for _ in points)
    elif kind == "round":
        more["corner_radii"] = tuple(draw(st.just(0.0) | mm(0.1, 1.5)) for _ in points)
    elif kind == "smooth":
        more["curves"] = tuple(sorted(draw(st.sets(st.integers(1, n), min_size=1, max_size=3))))
    try:
        return FreeOutline(outline=tuple(points), **more).build("door")  # type: ignore[arg-type]
    except DecalgenError:
        return None


@st.composite
def edge_bands(draw: st.DrawFn, panel: Panel) -> DrawnBand:
    """One or several stripes along sides that follow each other, along any sides, or all round, on the edge or at a
    distance, with ends of every kind."""
    sides = list(dict.fromkeys(panel.sides))
    first, count = draw(st.integers(0, len(sides) - 1)), draw(st.integers(1, len(sides)))
    row = tuple(sides[(first + i) % len(sides)] for i in range(count))
    edge = draw(st.just(row) | st.sets(st.sampled_from(sides), min_size=1).map(lambda some: tuple(sorted(some))))
    stripes = draw(st.integers(1, 3))
    given: dict[str, object] = {"edge": edge, "distance": draw(maybe(mm(0, 1.5)))}
    given |= {"inks": STRIPES[:stripes]} if stripes > 1 else {"ink": STRIPES[0]}
    around = set(edge) == set(sides)
    if draw(st.booleans()) or around:
        given |= {"stripe_width": (draw(mm(0.2, 1.2)),), "gap": (draw(mm(0, 0.4)),) if stripes > 1 else ()}
    else:
        given |= {"widths": ((0.0, draw(mm(0.2, 2))), (draw(mm(1, 4)), draw(mm(0.2, 2))))}
        given["smooth"] = draw(st.booleans())
        if stripes > 1 and draw(st.booleans()):
            given |= {"gap": (0.05,), "even_gaps": True}
    ends = draw(st.sampled_from(["square", "slanted", "pointed", "part"]))
    if ends == "slanted" and not around:
        given |= {"start_slant": draw(mm(-45, 45)), "end_slant": draw(mm(-45, 45))}
    elif ends == "pointed" and not around:
        given |= {"ends": "pointed", "point_length": draw(mm(0.5, 2))}
    elif ends == "part":
        given["part"] = (1.0, draw(mm(5, 6)))
    return DrawnBand(**given)  # type: ignore[arg-type]
