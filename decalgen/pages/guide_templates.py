"""Templates of the placement guide: a card as large as the panel, cut off along the decal, that the decal is pushed
against. Pure; mm.

A card covers the panel from one edge to the decal. Flush with the panel's own edges it lies in one place only, so its
cut edge is a stop, and two ticks on that edge show where the decal begins and ends. A window round a decal would leave
half a millimetre of paper where a band nearly fills its door; a stop needs one broad strip alone.
"""

from __future__ import annotations

from collections.abc import Sequence

from shapely.geometry import LineString, Polygon, box
from shapely.geometry.base import BaseGeometry

from decalgen.core.geometry import Side, polygons
from decalgen.core.values import dataclass
from decalgen.pages.guide_sides import GuideItem, GuideSide
from decalgen.panels.edge_distance import SIDES
from decalgen.panels.sections import keep_off

LEAST_STRIP = 3.0
"""A strip of card narrower than this bends, mm (common practice, no source)."""
TAB = 7.0
"""How far a tab reaches over a free edge, mm."""
TICK = 2.2
"""Length of the ticks at a stop, mm."""
CLEAR = 0.4
"""Bare round an obstacle that stands up through the card, mm, where the job asks for less."""
_FAR = 1e4


@dataclass(frozen=True)
class Template:
    """A card in the panel's flat coordinates: ``card`` to cut out, ``stop`` the edge that the decal meets, ``ticks``
    where it ends, ``side`` on which side of the decal the card lies; ``tab`` folds over a free edge along ``fold``."""

    card: Polygon
    stop: LineString
    ticks: tuple[LineString, ...]
    side: Side
    tab: Polygon | None = None
    fold: LineString | None = None


def template_of(side: GuideSide, item: GuideItem, under: Sequence[Polygon] = ()) -> Template | None:
    """The card of a piece: on the side with the most room, off pieces ``under`` it that were laid before where that can
    be; None where no strip is wide enough, on a panel curved both ways, and where sizes are still open."""
    if side.dome or side.open or item.artwork.backing:
        return None
    found = []
    for way in SIDES:
        card = _card(side, item.cut, way)
        if card is not None and (stop := _stop(card, item.cut, way)) is not None:
            lies_on = any(card.intersection(other).area > 1e-3 for other in under)
            found.append((way in side.panel.free, not lies_on, _depth(side, item.cut, way), card, stop, way))
    if not found:
        return None
    free, _, _, card, stop, way = max(found, key=lambda one: (one[1], one[0], one[2]))
    ticks = _ticks(item.cut, way)
    tab, fold = _tab(side, way) if free else (None, None)
    return Template(card, stop, ticks, way, tab, fold)


def templates_of(side: GuideSide) -> tuple[Template | None, ...]:
    """The card of each piece of a side, in the order of application; None where it has none."""
    laid: list[Polygon] = []
    found = []
    for item in side.items:
        found.append(template_of(side, item, laid))
        laid.append(item.cut)
    return tuple(found)


def _depth(side: GuideSide, cut: Polygon, way: Side) -> float:
    """How deep the card is, mm."""
    x0, y0, x1, y1 = side.panel.outline.polygon.bounds
    a, b, c, d = cut.bounds
    return float({"left": a - x0, "right": x1 - c, "bottom": b - y0, "top": y1 - d}[way])


def _card(side: GuideSide, cut: Polygon, way: Side) -> Polygon | None:
    if _depth(side, cut, way) < LEAST_STRIP:
        return None
    a, b, c, d = cut.bounds
    beyond = {
        "left": box(-_FAR, -_FAR, a, _FAR),
        "right": box(c, -_FAR, _FAR, _FAR),
        "bottom": box(-_FAR, -_FAR, _FAR, b),
        "top": box(-_FAR, d, _FAR, _FAR),
    }[way]
    area: BaseGeometry = side.panel.outline.polygon.intersection(beyond)
    for obstacle in side.panel.obstacles:
        if not obstacle.gap:
            area = area.difference(keep_off(obstacle).buffer(max(0.0, CLEAR - obstacle.clearance)))
    parts = polygons(area)
    card = max(parts, key=lambda part: part.area, default=None)
    if card is None or min(card.bounds[2] - card.bounds[0], card.bounds[3] - card.bounds[1]) < LEAST_STRIP:
        return None
    return card


def _stop(card: Polygon, cut: Polygon, way: Side) -> LineString | None:
    """The card's edge against which the decal lies; None where the card has none there over its length."""
    a, b, c, d = cut.bounds
    line = {
        "left": LineString([(a, b), (a, d)]),
        "right": LineString([(c, b), (c, d)]),
        "bottom": LineString([(a, b), (c, b)]),
        "top": LineString([(a, d), (c, d)]),
    }[way]
    met = line.intersection(card.buffer(1e-6))
    return line if met.length >= 0.9 * line.length else None


def _ticks(cut: Polygon, way: Side) -> tuple[LineString, ...]:
    """Short lines in the card where the decal begins and ends, their middles off its corners."""
    a, b, c, d = cut.bounds
    if way in ("bottom", "top"):
        y, out = (b, -TICK) if way == "bottom" else (d, TICK)
        return tuple(LineString([(x, y), (x, y + out)]) for x in (a, c))
    x, out = (a, -TICK) if way == "left" else (c, TICK)
    return tuple(LineString([(x, y), (x + out, y)]) for y in (b, d))


def _tab(side: GuideSide, way: Side) -> tuple[Polygon | None, LineString | None]:
    """What folds over a free edge, where that edge is straight, level or upright, and the line of the fold."""
    x0, y0, x1, y1 = side.panel.outline.polygon.bounds
    ring = side.panel.outline.polygon.exterior
    edge = ring.intersection(
        {
            "left": LineString([(x0, y0), (x0, y1)]),
            "right": LineString([(x1, y0), (x1, y1)]),
            "bottom": LineString([(x0, y0), (x1, y0)]),
            "top": LineString([(x0, y1), (x1, y1)]),
        }[way].buffer(1e-6)
    )
    if edge.length < LEAST_STRIP:
        return None, None
    a, b, c, d = edge.bounds
    tab = {
        "left": box(x0 - TAB, b, x0, d),
        "right": box(x1, b, x1 + TAB, d),
        "bottom": box(a, y0 - TAB, c, y0),
        "top": box(a, y1, c, y1 + TAB),
    }[way]
    lines = {
        "left": [(x0, b), (x0, d)],
        "right": [(x1, b), (x1, d)],
        "bottom": [(a, y0), (c, y0)],
        "top": [(a, y1), (c, y1)],
    }
    return tab, LineString(lines[way])
