"""The number of each piece on a sheet and its cutting ticks, where the waste has room. Pure; mm."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from shapely import STRtree
from shapely.geometry import LineString, Polygon, box
from shapely.ops import unary_union

from decalgen.artwork.build import Artwork
from decalgen.core.document import Fill, Line
from decalgen.core.errors import Finding
from decalgen.core.geometry import apply, multiply, polygons, region, transform, translation
from decalgen.core.values import dataclass
from decalgen.sheet.furniture import number_label, ticks
from decalgen.sheet.pieces import Placed

NUMBER_CAPS = (1.6, 1.1)
"""Cap heights of a piece's number, mm: the second where there is no room for the first."""


@dataclass(frozen=True)
class Dressed:
    """Numbers and ticks, and a note for each piece without a number."""

    labels: tuple[Fill, ...]
    ticks: tuple[Line, ...]
    findings: tuple[Finding, ...]


def dress(placed: Sequence[Placed], area: Polygon, gone: Sequence[Polygon], keep_outs: Sequence[Polygon]) -> Dressed:
    """What each piece gets in the waste of ``area``, clear of ``gone`` film and of furniture (``keep_outs``)."""
    outers = [p.outer for p in placed]
    tree = STRtree(outers)
    drawn: list[Line] = []
    lines: list[LineString] = []
    for n, one in enumerate(placed):
        for a, b in ticks(one.piece.artwork.cut_polygon, _straight(one.piece.artwork), one.piece.artwork.bleed):
            start, end = apply(one.matrix, a), apply(one.matrix, b)
            line = LineString([start, end])
            alone = all(i == n for i in tree.query(line.buffer(0.1), predicate="intersects"))
            if alone and area.contains(line) and not any(line.intersects(part) for part in gone):
                drawn.append(Line((start, end), 0.1, "#22262b"))
                lines.append(line)
    taken: list[Polygon] = [*outers, *gone, *keep_outs, *(polygons(line.buffer(0.1))[0] for line in lines)]
    labels: list[Fill] = []
    findings: list[Finding] = []
    for one in placed:
        label = _label(one, taken, area)
        if label is None:
            findings.append(
                Finding(
                    "note",
                    "no-room-for-number",
                    one.piece.artwork.name,
                    f"no room on the film for number {one.piece.number}; the proof shows where it lies",
                )
            )
            continue
        fill, spot = label
        labels.append(fill)
        taken.append(spot)
    return Dressed(tuple(labels), tuple(drawn), tuple(findings))


def _label(one: Placed, taken: Sequence[Polygon], area: Polygon) -> tuple[Fill, Polygon] | None:
    """The number of a piece at the first free spot round it."""
    artwork = one.piece.artwork
    x0, y0, x1, y1 = artwork.outer.bounds
    reach = box(*one.outer.buffer(4).bounds)
    near = [polygon for polygon in taken if polygon.intersects(reach)]
    blocked = unary_union(near) if near else Polygon()
    for cap in NUMBER_CAPS:
        fill, width, height = number_label(one.piece.number, artwork.hand, cap)
        off = 0.25
        spots = [
            *((x, y0 - off - height) for x in _along(x0, x1 - width)),
            *((x0 - off - width, y) for y in _along(y0, y1 - height)),
            *((x, y1 + off) for x in _along(x0, x1 - width)),
            *((x1 + off, y) for y in _along(y0, y1 - height)),
        ]
        for x, y in spots:
            matrix = multiply(one.matrix, translation(x, y))
            spot = polygons(transform(box(-0.15, -0.15, width + 0.15, height + 0.15), matrix))[0]
            if area.contains(spot) and not blocked.intersects(spot):
                return replace(fill, region=region(transform(fill.region, matrix))), spot
    return None


def _along(start: float, end: float) -> list[float]:
    if end <= start:
        return [start]
    steps = min(40, max(1, int((end - start) / 0.8)))
    return [start + (end - start) * i / steps for i in range(steps + 1)]


def _straight(artwork: Artwork) -> bool:
    """Whether the cut line has four sides to cut along with a rule."""
    cut = artwork.cut_polygon
    x0, y0, x1, y1 = cut.bounds
    return bool(cut.area > 0.9 * (x1 - x0) * (y1 - y0))
