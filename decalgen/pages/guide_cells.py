"""What of a placement guide is drawn at true size: the panel with its decals, and each card to push a decal against.
Pure; mm."""

from __future__ import annotations

from collections.abc import Sequence

from shapely.geometry import Polygon

from decalgen.core import style
from decalgen.core.document import Contour, Line
from decalgen.core.geometry import Matrix, Outline, apply, multiply, polygons, rotation, transform, translation
from decalgen.core.values import dataclass
from decalgen.lettering.paper import paper_width, wrap
from decalgen.pages.composer import Sheaf, hatch
from decalgen.pages.cut_out_names import put_name
from decalgen.pages.guide_drawing import drawn_side
from decalgen.pages.guide_sides import GuideItem, GuideSide
from decalgen.pages.guide_templates import Template, name_of_card

CAPTION = 4.2
"""From line to line of a caption, mm."""
DASH_SHORT = (0.8, 0.6)
"""What of the panel the card leaves open."""
DASH_FOLD = (3.0, 1.2)
NARROWEST = 24.0
"""A caption has so much room at least, mm."""


@dataclass(frozen=True)
class TrueSizeCell:
    """A drawing at true size with its caption: of the whole panel, or of one card. ``place`` leads from the panel to
    the cell, whose lower left corner, over the caption, is the origin."""

    caption: tuple[str, ...]
    width: float
    height: float
    place: Matrix
    upright: bool
    template: Template | None = None
    item: GuideItem | None = None


def cells_of(
    side: GuideSide, templates: Sequence[Template | None], room: tuple[float, float], drawn: bool
) -> list[TrueSizeCell]:
    """The cells of a side, as far as they go on a page with that ``room`` (width, height): the panel itself if
    ``drawn``, then the cards, ``templates``, in the order of application."""
    found = []
    if drawn:
        x0, y0, x1, y1 = side.bounds
        words = "true size, assumed" if side.open else "true size"
        found.append(_cell((x0, y0, x1, y1), words, room))
    for item, template in zip(side.items, templates, strict=True):
        if template is None:
            continue
        x0, y0, x1, y1 = side.panel.outline.polygon.union(item.cut).bounds
        a, b, c, d = template.whole.bounds
        x0, y0, x1, y1 = min(x0, a), min(y0, b), max(x1, c), max(y1, d)
        hand = f", {side.hand}" if side.hand else ""
        dry = f", {template.dry}" if template.dry else ""
        found.append(_cell((x0, y0, x1, y1), f"card {item.number}{hand}{dry}", room, template, item))
    return [cell for cell in found if cell is not None]


def _cell(
    bounds: tuple[float, float, float, float],
    words: str,
    room: tuple[float, float],
    template: Template | None = None,
    item: GuideItem | None = None,
) -> TrueSizeCell | None:
    """None where it is larger than the page, on end too."""
    x0, y0, x1, y1 = bounds
    wide, high = x1 - x0, y1 - y0
    upright = wide > room[0]
    if upright:
        wide, high = high, wide
    width = max(wide, min(NARROWEST, room[0]))
    lines = tuple(wrap(words, style.TYPE_REST, max(width, paper_width(words.split(" ")[0], style.TYPE_REST))))
    height = high + 1.4 + CAPTION * len(lines)
    if wide > room[0] or height > room[1]:
        return None
    place = translation(-x0, -y0)
    if upright:
        # Turned to the left: what was the foot is at the right.
        place = multiply(translation(wide, 0.0), multiply(rotation(90), place))
    return TrueSizeCell(lines, width, height, place, upright, template, item)


def deep_of(cell: TrueSizeCell) -> float:
    """How high the caption of a cell is, mm."""
    return 1.4 + CAPTION * len(cell.caption)


def put_cell(sheaf: Sheaf, side: GuideSide, cell: TrueSizeCell, x: float, top: float) -> None:
    """The cell, its upper left corner at x, ``top``."""
    deep = deep_of(cell)
    foot = top - cell.height + deep
    place = multiply(translation(x, foot), cell.place)
    if cell.template is None or cell.item is None:
        sheaf.items += drawn_side(side, place)
    else:
        _card(sheaf, side, cell.item, cell.template, place, cell.upright)
    for n, text in enumerate(cell.caption):
        sheaf.text(x, foot - 1.4 - 2.9 - n * CAPTION, text, style.TYPE_REST)


def _card(sheaf: Sheaf, side: GuideSide, item: GuideItem, template: Template, place: Matrix, upright: bool) -> None:
    """The card with its thick edge, the rest of the panel dashed, the decal hatched where it will lie."""
    panel = Outline.from_polygon(side.panel.outline.polygon)
    sheaf.items.append(Contour(panel.moved(place), style.LINE_DIMENSION, style.TEXT, DASH_SHORT))
    film = polygons(transform(item.cut, place))[0]
    for line in hatch(film):
        sheaf.line(line, style.LINE_HATCH, style.HATCH)
    sheaf.items.append(Contour(Outline.from_polygon(film), style.LINE_TRIM, style.TEXT))
    whole = template.whole
    for ring in (whole.exterior, *whole.interiors):
        sheaf.items.append(Contour(Outline.from_polygon(Polygon(ring)).moved(place), style.LINE_CUT, style.TEXT))
    for tick in template.ticks:
        sheaf.items.append(
            Line(tuple(apply(place, (float(a), float(b))) for a, b in tick.coords), style.LINE_PANEL, style.TEXT)
        )
    if template.fold is not None:
        points = tuple(apply(place, (float(a), float(b))) for a, b in template.fold.coords)
        sheaf.items.append(Line(points, style.LINE_DIMENSION, style.TEXT, dash=DASH_FOLD))
    inside = name_of_card(template, side, place, upright)
    if inside is not None:
        put_name(sheaf, inside, 0.0, 0.0)
