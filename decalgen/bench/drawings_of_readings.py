"""The drawings of the measuring card on the page: what is asked for in the accent, all else quiet. Pure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache
from typing import Any

from decalgen.bench.pictures import UNIT, path_data, ring_data
from decalgen.commands.card import card_blocks
from decalgen.core import style
from decalgen.core.document import Contour, Fill, Item, Line, Use
from decalgen.core.geometry import region, transform
from decalgen.pages.composer import Sheaf
from decalgen.pages.kind_drawings import AROUND, DRAWINGS, WIDE, draw_kind
from decalgen.pages.measuring_card import CardPart
from decalgen.pages.obstacle_drawings import OBSTACLES, draw_obstacle
from decalgen.panels.registry import find


def reading_drawings(text: str) -> dict[str, list[dict[str, Any]]]:
    """By panel, or lettering, the drawings of its readings: the letters they show, the drawing, and each letter's own
    arrows. Raises JobError for a text that cannot be read."""
    return {block.name: [part_data(one) for one in block.parts if one.drawing] for block in card_blocks(text)}


def part_data(part: CardPart) -> dict[str, Any]:
    """One drawing for the page, µm, y up."""
    return _part(part.drawing, part.obstacle, part.letters)


def kind_drawing(name: str, obstacle: bool) -> dict[str, Any]:
    """The drawing of a kind of panel with the words of its readings, or of a kind of obstacle without, for the page."""
    high = (OBSTACLES if obstacle else DRAWINGS)[name][1]
    words = {} if obstacle else {key: key for key in find(name).needs[0]}
    return {"box": _box(high), "items": drawn_items(_items(name, obstacle, words))}


def _box(high: float) -> list[int]:
    return [round(v * UNIT) for v in (-AROUND, -AROUND, WIDE + AROUND, high + AROUND)]


@lru_cache(maxsize=64)
def _part(drawing: str, obstacle: bool, letters: tuple[tuple[str, str], ...]) -> dict[str, Any]:
    high = (OBSTACLES if obstacle else DRAWINGS)[drawing][1]
    bare = _items(drawing, obstacle, {})
    shown = dict(letters)
    lit = {}
    for letter in dict.fromkeys(shown.values()):
        own = _items(drawing, obstacle, {key: one for key, one in letters if one == letter})
        lit[letter] = drawn_items([item for item in own if item not in bare])
    return {"box": _box(high), "letters": list(lit), "base": drawn_items(bare), "lit": lit}


def _items(drawing: str, obstacle: bool, letters: Mapping[str, str]) -> list[Item]:
    sheaf = Sheaf(WIDE, WIDE)
    (draw_obstacle if obstacle else draw_kind)(sheaf, drawing, 0.0, 0.0, letters)
    return sheaf.items


def drawn_items(items: Sequence[Item]) -> list[dict[str, Any]]:
    """Items of a page as path data, µm, y up, each with how it is drawn: ground, ink, shade, edge, thin or dashed."""
    found = []
    for item in items:
        if isinstance(item, Use):
            inside = [one for one in item.symbol.items if isinstance(one, Fill)]
            found += [_fill(Fill(region(transform(one.region, item.matrix)), one.colour)) for one in inside]
        elif isinstance(item, Fill):
            found.append(_fill(item))
        elif isinstance(item, Line | Contour):
            found.append(_line(item))
    return found


def _fill(item: Fill) -> dict[str, Any]:
    # What is paper stays paper on a dark page too; what is written takes the colour of the page's text.
    ground = item.colour in (style.PAPER, style.GROUND)
    shade = not ground and item.colour not in (style.TEXT, style.QUIET, style.ACCENT)
    return {"d": path_data(item.region), "kind": "ground" if ground else "shade" if shade else "ink"}


def _line(item: Line | Contour) -> dict[str, Any]:
    points = item.points if isinstance(item, Line) else item.outline.polygon.exterior.coords
    closed = item.closed if isinstance(item, Line) else True
    kind = "dashed" if item.dash else "edge" if item.width >= style.LINE_PANEL else "thin"
    return {"d": ring_data(points, closed), "kind": kind}
