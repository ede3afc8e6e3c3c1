"""Templates of the placement guide: a card as large as the panel, cut off along the decal, that the decal is pushed
against. Pure; mm.

A card covers the panel from one edge to the decal. Flush with the panel's own edges it lies in one place only, so its
cut edge is a stop, and two ticks on that edge show where the decal begins and ends. A window round a decal would leave
half a millimetre of paper where a band nearly fills its door; a stop needs one broad strip alone.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import shapely
from shapely.geometry import LineString, Polygon, box
from shapely.geometry.base import BaseGeometry
from shapely.ops import substring

from decalgen.core.geometry import Matrix, Side, polygons, transform, translation
from decalgen.core.values import dataclass
from decalgen.pages.cut_out_names import InsideName, name_inside, name_size
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
IDENTITY = translation(0.0, 0.0)


@dataclass(frozen=True)
class Template:
    """A card in the panel's flat coordinates: ``card`` to cut out, ``stop`` the edge that the decal meets, ``ticks``
    where it ends, ``side`` on which side of the decal the card lies, ``words`` what it bears; ``tab`` folds over a free
    edge along ``fold``; ``tail`` sticks out over an edge and bears the words; ``on``: numbers of the pieces that were
    laid before and on which it lies."""

    card: Polygon
    stop: LineString
    ticks: tuple[LineString, ...]
    side: Side
    words: str
    tab: Polygon | None = None
    fold: LineString | None = None
    tail: Polygon | None = None
    on: tuple[str, ...] = ()

    @property
    def whole(self) -> Polygon:
        """What is cut out, with tab and tail."""
        # Edges that meet but for the last bits of a float would leave two parts.
        more = [part.buffer(1e-4, join_style="mitre") for part in (self.tab, self.tail) if part is not None]
        return max(polygons(shapely.union_all([self.card, *more])), key=lambda part: part.area)

    @property
    def dry(self) -> str:
        """What it says where it lies on other pieces, '' where it lies on none."""
        if not self.on:
            return ""
        return f"lies on {listed(self.on)}: only when {'that is' if len(self.on) == 1 else 'they are'} dry"


def listed(numbers: Sequence[str]) -> str:
    """'1', '1 and 2', '1, 2 and 3'."""
    return " and ".join([", ".join(numbers[:-1]), numbers[-1]] if len(numbers) > 1 else numbers)


def template_of(side: GuideSide, item: GuideItem, under: Sequence[GuideItem] = ()) -> Template | None:
    """The card of a piece: off pieces ``under`` it that were laid before where that can be, then with a tab, then on
    the side with the most room; None where no strip is wide enough or none can bear its name, on a panel curved both
    ways, and where sizes are still open."""
    if side.dome or side.open or item.artwork.backing:
        return None
    found: list[tuple[tuple[bool, bool, float], Template]] = []
    for way in SIDES:
        for others in (under, ()) if under else ((),):
            card = _card(side, item.cut, way, [one.cut for one in others])
            stop = None if card is None else _stop(card, item.cut, way)
            if card is None or stop is None:
                continue
            on = tuple(one.number for one in under if card.intersection(one.cut).area > 1e-3)
            tab, fold = _tab(side, card, way) if way in side.panel.free else (None, None)
            template = Template(card, stop, _ticks(item.cut, way), way, "", tab, fold, None, on)
            if (named := _named(side, item, template)) is not None:
                found.append(((not on, way in side.panel.free, _depth(side, item.cut, way)), named))
                break
    return max(found, key=lambda one: one[0])[1] if found else None


def templates_of(side: GuideSide) -> tuple[Template | None, ...]:
    """The card of each piece of a side, in the order of application; None where it has none."""
    return tuple(template_of(side, item, side.items[:n]) for n, item in enumerate(side.items))


def name_of_card(template: Template, side: GuideSide, place: Matrix, upright: bool) -> InsideName | None:
    """Where the words of a card stand; ``place`` leads from the panel to the page."""
    ticks = [polygons(transform(tick.buffer(0.3), place))[0] for tick in template.ticks]
    bearing = polygons(transform(template.tail or template.card, place))[0]
    return name_inside(bearing, ticks, [template.words], side.nose, upright)


def _named(side: GuideSide, item: GuideItem, template: Template) -> Template | None:
    """The card with the longest words that go on it, on a tail if need be; None where that has no place either."""
    hand = f", {side.hand}" if side.hand else ""
    dry = ("", f", when {' '.join(template.on)} is dry", ", when all are dry")[min(2, len(template.on))]
    full = f"{item.number} {side.panel.name}{hand}{dry}"
    words = [full, f"{item.number}{hand}{dry}"] if side.hand else [full]
    for text in words:
        named = replace(template, words=text)
        if name_of_card(named, side, IDENTITY, False) is not None:
            return named
    for text in words:
        for way in (template.side, *(way for way in SIDES if way != template.side)):
            if template.tab is not None and way == template.side:
                continue
            for tail in _tails(side, template.card, way, text):
                named = replace(template, words=text, tail=tail)
                if name_of_card(named, side, IDENTITY, False) is not None:
                    return named
    return None


def _tails(side: GuideSide, card: Polygon, way: Side, words: str) -> list[Polygon]:
    """What may stick out over an edge of the panel to bear some words: along the edge where that is long enough, else
    square to it; none where the card has no straight part of that edge."""
    edge = _edge(side, card, way)
    if edge is None:
        return []
    long, high = name_size(words, side.nose)
    return [
        _outward(substring(edge, (edge.length - along) / 2 - 0.01, (edge.length + along) / 2 + 0.01), way, out + 0.02)
        for along, out in ((long, high), (high, long))
        if edge.length >= along + 0.02
    ]


def _depth(side: GuideSide, cut: Polygon, way: Side) -> float:
    """How deep the card is, mm."""
    x0, y0, x1, y1 = side.panel.outline.polygon.bounds
    a, b, c, d = cut.bounds
    return float({"left": a - x0, "right": x1 - c, "bottom": b - y0, "top": y1 - d}[way])


def _card(side: GuideSide, cut: Polygon, way: Side, off: Sequence[Polygon]) -> Polygon | None:
    """The part of the panel on one side of a piece, ``off`` others and nowhere narrower than a strip that holds but for
    the frames that are left round obstacles."""
    a, b, c, d = cut.bounds
    beyond = {
        "left": box(-_FAR, -_FAR, a, _FAR),
        "right": box(c, -_FAR, _FAR, _FAR),
        "bottom": box(-_FAR, -_FAR, _FAR, b),
        "top": box(-_FAR, d, _FAR, _FAR),
    }[way]
    area: BaseGeometry = side.panel.outline.polygon.intersection(beyond)
    area = _broad(area.difference(shapely.union_all([one.buffer(CLEAR) for one in off])))
    for obstacle in side.panel.obstacles:
        if not obstacle.gap:
            area = area.difference(keep_off(obstacle).buffer(max(0.0, CLEAR - obstacle.clearance)))
    return max(polygons(area), key=lambda part: part.area, default=None)


def _broad(area: BaseGeometry) -> BaseGeometry:
    """What of an area is nowhere narrower than the least strip."""
    half = LEAST_STRIP / 2 - 1e-6
    inner = area.buffer(-half, join_style="mitre")
    return inner.buffer(half, join_style="mitre", mitre_limit=1.5).intersection(area)


def _stop(card: Polygon, cut: Polygon, way: Side) -> LineString | None:
    """The card's edge against which the decal lies; None where the card has none there over its length."""
    line = _rim(cut, way)
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


def _edge(side: GuideSide, card: Polygon, way: Side) -> LineString | None:
    """The longest straight part of the panel's edge on one side, level or upright, that a card lies along."""
    met = _rim(side.panel.outline.polygon, way).intersection(card.buffer(1e-6))
    parts = [part for part in getattr(met, "geoms", [met]) if isinstance(part, LineString)]
    return max(parts, key=lambda part: part.length, default=None)


def _tab(side: GuideSide, card: Polygon, way: Side) -> tuple[Polygon | None, LineString | None]:
    """What folds over a free edge, where that edge is straight, level or upright, and the line of the fold."""
    edge = _edge(side, card, way)
    if edge is None or edge.length < LEAST_STRIP:
        return None, None
    return _outward(edge, way, TAB), edge


def _rim(area: Polygon, way: Side) -> LineString:
    """One side of the box round an area, from the left to the right or from the bottom to the top."""
    a, b, c, d = area.bounds
    ends = {"left": ((a, b), (a, d)), "right": ((c, b), (c, d)), "bottom": ((a, b), (c, b)), "top": ((a, d), (c, d))}
    return LineString(ends[way])


def _outward(edge: LineString, way: Side, deep: float) -> Polygon:
    """What lies beyond a level or upright edge, so deep."""
    a, b, c, d = edge.bounds
    return {
        "left": box(a - deep, b, a, d),
        "right": box(a, b, a + deep, d),
        "bottom": box(a, b - deep, c, b),
        "top": box(a, b, c, b + deep),
    }[way]
