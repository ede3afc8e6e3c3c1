"""A side of a model as the placement guide draws it: enlarged, its decals pale, the distances that place them with
letters, obstacles, and over it where the nose is, which side this is and which way is up. Pure; mm."""

from __future__ import annotations

from shapely.geometry import LineString, Polygon, box

from decalgen.artwork.cutting_lines import cased_slits
from decalgen.core import style
from decalgen.core.document import Contour, Fill, Item
from decalgen.core.geometry import Matrix, apply, multiply, polygons, region, transform, translation
from decalgen.core.values import dataclass
from decalgen.pages.clearance_marks import CASING, SLIT, Shown, draw_clearances
from decalgen.pages.composer import Sheaf
from decalgen.pages.cut_out_names import nose_triangle
from decalgen.pages.decal_and_panel import obstacle_outlines, position_on_panel
from decalgen.pages.guide_sides import GuideItem, GuideSide, View
from decalgen.pages.pale_artwork import pale_artwork
from decalgen.panels.edge_distance import EdgeDistance

AROUND = 9.0
"""Room round a panel for the letters of its distances, mm."""
HEAD = 5.0
"""Room over that for the nose, the side and the way up, mm."""
SCALES = (5.0, 4.0, 3.0, 2.5, 2.0, 1.5, 1.0, 1 / 2, 1 / 3, 1 / 4, 1 / 5, 1 / 10, 1 / 20, 1 / 50, 1 / 1000)
"""Scales that one can reckon with, the largest first."""
ENDS: dict[View, tuple[str, str, str]] = {
    "left": ("<nose", "left side", "up^"),
    "right": ("up^", "right side", "nose>"),
    "front": ("left, as you face it", "up^", "right, as you face it"),
    "rear": ("left, as you face it", "up^", "right, as you face it"),
    "bonnet": ("left side", "nose^", "right side"),
    "roof": ("left side", "nose^", "right side"),
    "boot": ("left side", "nose^", "right side"),
    "": ("", "up^", ""),
}
"""What stands over a drawing at its left, in the middle and at its right; <, > and ^ are triangles."""
WAYS = {"<": 180.0, ">": 0.0, "^": 90.0}


@dataclass(frozen=True)
class SideLayout:
    """How large a side is drawn and the room that takes, mm."""

    scale: float
    width: float
    height: float

    @property
    def words(self) -> str:
        """'drawn 4 : 1'; true size is called that."""
        if self.scale == 1.0:
            return "drawn at true size"
        return f"drawn {self.scale:g} : 1" if self.scale > 1 else f"drawn 1 : {1 / self.scale:g}"


def lay_out_side(side: GuideSide, width: float, height: float) -> SideLayout:
    """The largest scale at which a side with all round it goes into ``width`` × ``height``."""
    x0, y0, x1, y1 = side.bounds
    scale = next(
        (s for s in SCALES if (x1 - x0) * s + 2 * AROUND <= width and (y1 - y0) * s + 2 * AROUND + HEAD <= height),
        SCALES[-1],
    )
    return SideLayout(scale, max((x1 - x0) * scale + 2 * AROUND, 80.0), (y1 - y0) * scale + 2 * AROUND + HEAD)


def draw_side(sheaf: Sheaf, side: GuideSide, laid: SideLayout, x: float, top: float) -> None:
    """The drawing, its upper left corner at x, ``top``."""
    x0, y0, x1, _ = side.bounds
    scale, foot = laid.scale, top - laid.height
    left = x + (laid.width - (x1 - x0) * scale) / 2
    place = multiply(translation(left - x0 * scale, foot + AROUND - y0 * scale), (scale, 0.0, 0.0, scale, 0.0, 0.0))
    sheaf.items += drawn_side(side, place)
    put_ends(sheaf, side.view, x, x + laid.width, top)
    rows = [
        Shown(row.letter, item.number, "", "", "fits", _line(row.distance, place))
        for item in side.items
        for row in item.rows
    ]
    cuts = [part for item in side.items for part in polygons(transform(item.cut, place))]
    room = box(x, foot, x + laid.width, top - HEAD)
    draw_clearances(sheaf, rows, room, (), [*cuts, *_steel(side, place)])


def drawn_side(side: GuideSide, place: Matrix) -> list[Item]:
    """The panel with its decals as they are applied; ``place`` leads from the panel to the page."""
    items: list[Item] = []
    for item in side.items:
        items += drawn_item(side, item, place)
    for obstacle in side.panel.obstacles:
        for part in obstacle_outlines(obstacle, side.panel):
            items.append(Fill(region(transform(part.polygon, place)), style.OBSTACLE))
            items.append(Contour(part.moved(place), style.LINE_DIMENSION, style.TEXT))
    dash = style.DASH_TRIM if side.open else ()
    items.append(Contour(side.panel.outline.moved(place), style.LINE_PANEL, style.TEXT, dash))
    return items


def drawn_item(side: GuideSide, item: GuideItem, place: Matrix) -> list[Item]:
    """A piece of film on its panel, pale; white film hides what it lies on."""
    art = item.artwork
    on = multiply(place, position_on_panel(art, side.job.panel(art.decal.panel)))
    items: list[Item] = []
    if art.film == "white":
        items.append(Fill(region(transform(art.cut_polygon, on)), style.PAPER))
    items += pale_artwork(art, on)
    return items + cased_slits(art, on, SLIT, CASING, (style.ERROR, style.PAPER))


def put_ends(sheaf: Sheaf, view: View, left: float, right: float, top: float) -> None:
    """Where the nose is, which side this is and which way is up, in a row over a drawing."""
    y = top - 3.6
    for text, x, align in zip(ENDS[view], (left, (left + right) / 2, right), ("left", "centre", "right"), strict=True):
        sign = next((one for one in WAYS if one in text), "")
        words = text.strip("<>^")
        if not words:
            continue
        bold = bool(sign) or "side" in words or "face" in words
        if not sign:
            sheaf.text(x, y, words, style.TYPE_REST, bold=bold, align=align)
            continue
        line = sheaf.text(x + {"left": 3.4, "centre": -1.7, "right": -3.4}[align], y, words, style.TYPE_REST,
                          bold=bold, align=align)  # fmt: skip
        at = {"left": x + 1.2, "centre": x + line.width / 2 + 0.6, "right": x - 1.2}[align]
        sheaf.fill(region(nose_triangle(at, y + 1.0, WAYS[sign])), style.TEXT)


def _line(distance: EdgeDistance, place: Matrix) -> LineString:
    return LineString([apply(place, distance.edge), apply(place, distance.decal)])


def _steel(side: GuideSide, place: Matrix) -> list[Polygon]:
    return [
        polygons(transform(part.polygon, place))[0]
        for obstacle in side.panel.obstacles
        for part in obstacle_outlines(obstacle, side.panel)
    ]
