"""Outlines as they are painted: rings with their curves flattened, areas as each operator fills them, and pieces."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from shapely import make_valid
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry
from shapely.ops import unary_union
from shapely.strtree import STRtree

Ring = Sequence[tuple[float, float]]

STEPS = 32
"""Chords of a curve: one over a quarter of a circle is off by 3 in 10 000 of the radius."""
SLACK = 0.1
"""Points: what an outline may lie beside another that is meant to be the same."""
SPECK = 0.01
"""Square points: less than this is no ink but rounding."""
SHARPEST = 6.0
"""A corner's bleed reaches so many times the bleed from it; all that is sharper is taken to be cut short."""


def curve(start: tuple[float, float], handles: Ring) -> list[tuple[float, float]]:
    """A Bézier curve of two handles and an end, without its start (ISO 32000-1, 8.5.2.2)."""
    first, second, end = handles
    found = []
    for n in range(1, STEPS + 1):
        t = n / STEPS
        shares = ((1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3)
        near = list(zip(shares, (start, first, second, end), strict=True))
        found.append((sum(share * x for share, (x, _) in near), sum(share * y for share, (_, y) in near)))
    return found


def filled(rings: Sequence[Ring], even_odd: bool) -> BaseGeometry:
    """What a fill covers: by the even-odd rule, or by the other, where a ring the other way round is a hole."""
    areas = [Polygon(ring) for ring in rings if len(ring) > 2]
    # Where a ring crosses itself each lobe is kept.
    whole = [(area.exterior.is_ccw, make_valid(area)) for area in areas]
    if not even_odd:
        ways = [unary_union([area for ccw, area in whole if ccw is way]) for way in (True, False)]
        return ways[0].symmetric_difference(ways[1])
    result: BaseGeometry = Polygon()
    for _, area in whole:
        result = result.symmetric_difference(area)
    return result


def drawn(rings: Sequence[Ring], width: float) -> BaseGeometry:
    """What a line covers."""
    return unary_union([LineString(ring).buffer(width / 2) for ring in rings if len(ring) > 1])


def pieces(cuts: Sequence[Ring]) -> list[Polygon]:
    """What falls out where all closed cut lines are cut: a line inside another cuts an opening."""
    found = sorted((Polygon(ring) for ring in cuts if len(ring) > 2), key=lambda one: -one.area)
    depths: list[int] = []
    for n, one in enumerate(found):
        spot = one.representative_point()
        depths.append(sum(other.contains(spot) for other in found[:n]))
    outer = [one for one, depth in zip(found, depths, strict=True) if depth % 2 == 0]
    holes = [one for one, depth in zip(found, depths, strict=True) if depth % 2]
    return [piece.difference(unary_union([hole for hole in holes if piece.contains(hole)])) for piece in outer]


def tangled(cuts: Sequence[Ring]) -> Iterator[str]:
    """What is wrong with closed cut lines taken together: each has an area, and lies inside another or beside it."""
    found = [Polygon(ring) for ring in cuts]
    if any(outline.area < SPECK for outline in found):
        yield "a closed cut line has nothing inside"
    tree = STRtree(found)
    for one, outline in enumerate(found):
        for other in (found[n] for n in map(int, tree.query(outline)) if n > one):
            shared = outline.intersection(other).area
            only = (outline.area - shared, other.area - shared)
            if max(only) < SPECK < shared:
                yield "a cut line is there twice"
            elif min(*only, shared) > SPECK:
                yield "two cut lines cross"


def beyond(fallen: Sequence[BaseGeometry], inks: Sequence[tuple[str, BaseGeometry]], bleed: float) -> Iterator[str]:
    """Layers with ink that lies farther from every one piece than the bleed: cut away, or beside all pieces.

    A notch or an opening narrower than two bleeds may be filled with bleed alone, and is not told from a fault.
    """
    grown = [one.buffer(bleed + SLACK, join_style="mitre", mitre_limit=SHARPEST) for one in fallen]
    tree = STRtree(grown)
    for layer, ink in inks:
        near = [int(n) for n in tree.query(ink)]
        if ink.area < SPECK:
            continue  # told as a fill without an area
        if not any(ink.difference(grown[n]).area < SPECK for n in near):
            yield layer


def loose(fallen: Sequence[BaseGeometry], slits: Sequence[Ring]) -> bool:
    """Whether an open cut line leads out of its piece: it would cut film that is kept, or a neighbour."""
    lines = [LineString(ring) for ring in slits if len(ring) > 1]
    return any(not any(one.buffer(SLACK).covers(line) for one in fallen) for line in lines)
