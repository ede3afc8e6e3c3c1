"""A panel of the key: at true size with its decals pale, to cut out and hold to the model; its caption and, where it
has three decals or more, their numbers beside it, each with a hairline to its decal. Pure; mm.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import shapely
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry
from shapely.ops import nearest_points

from decalgen.artwork.build import Artwork
from decalgen.core import style
from decalgen.core.document import Contour, Fill, Item, Line, Picture
from decalgen.core.geometry import Matrix, circle, multiply, polygons, region, rotation, transform, translation
from decalgen.core.values import dataclass
from decalgen.job.model import Hand, Job
from decalgen.lettering.paper import paper_width, wrap
from decalgen.pages.composer import Sheaf
from decalgen.pages.cut_out_names import NOSE, InsideName, name_inside, nose_triangle, nose_way, put_name
from decalgen.pages.decal_and_panel import is_mirrored, obstacle_outlines, position_on_panel
from decalgen.pages.pale_artwork import pale_artwork
from decalgen.panels.base import Panel
from decalgen.panels.hands import mirrored as mirrored_panel

MANY = 3
"""From so many decals on, a panel's drawing bears their numbers."""
CAPTION = 4.4
"""From line to line of a caption, mm."""
NUMBER = 4.4
"""Room for a row of numbers over or under a panel, mm."""
HAIR = 0.1
APART = 1.6
"""Between two numbers of a row, mm."""
ASIDE = 2.5
"""Between a panel and a caption at its right, mm."""


@dataclass(frozen=True)
class Callout:
    """The number of a decal on a drawing: the middle of its foot, and the end of its hairline at the decal."""

    label: str
    x: float
    above: bool
    end: tuple[float, float]


@dataclass(frozen=True)
class PanelDrawing:
    """One hand of a panel with its decals. ``place`` leads from the panel's flat coordinates to the drawing's, whose
    lower left corner is the origin; ``width`` and ``height`` are of all that is drawn, without the caption.

    ``scale``: 1 is true size; less where the panel is larger than the paper."""

    name: str
    hand: Hand | None
    items: tuple[Item, ...]
    width: float
    height: float
    callouts: tuple[Callout, ...]
    numbers: tuple[str, ...]
    span: tuple[float, float]
    """Foot and top of the panel itself in the drawing."""
    scale: float = 1.0
    upright: bool = False
    """Whether it stands on end, turned to the left."""
    inside: InsideName | None = None
    """What stands in the panel and is cut out with it."""
    narrow: bool = False
    """Whether its caption is kept as narrow as it can be."""
    aside: bool = False
    """Whether its caption stands at its right instead of under it."""

    @property
    def caption(self) -> str:
        """What stands under it: the panel and its hand."""
        words = f"{self.name}, {self.hand}" if self.hand else self.name
        return f"{words} (drawn 1 : {1 / self.scale:.2g}, not to cut out)" if self.scale < 1 else words

    @property
    def told(self) -> str:
        """The numbers in the caption: of all its decals, where they are not in the drawing."""
        return "" if self.callouts else ", ".join(self.numbers)

    @property
    def least(self) -> float:
        """The room that it takes with its caption, mm: in a line where that is little more than the drawing."""
        name, numbers = self._widths()
        whole = name + (2.0 + numbers if numbers else 0.0)
        if self.aside:
            return self.width + ASIDE + whole
        if whole <= max(self.width, 0.0 if self.narrow else 34.0):
            return max(self.width, whole)
        return max(self.width, min(max(name, numbers) + 0.01, 40.0))

    def _widths(self) -> tuple[float, float]:
        nose = NOSE + 1.0 if self.hand else 0.0
        return paper_width(self.caption, style.TYPE_BODY) + nose, paper_width(self.told, style.TYPE_BODY, True)

    def caption_lines(self) -> list[tuple[str, str]]:
        """The lines of the caption: words, and the numbers that stand bold behind them."""
        if self.aside:
            return [(self.caption, self.told)]
        name, numbers = self._widths()
        words = wrap(self.caption, style.TYPE_BODY, self.least - (NOSE + 1.0 if self.hand else 0.0))
        if not self.told:
            return [(row, "") for row in words]
        if len(words) == 1 and name + 2.0 + numbers <= self.least + 1e-6:
            return [(words[0], self.told)]
        more = wrap(self.told, style.TYPE_BODY, self.least, True)
        return [*((row, "") for row in words), *(("", row) for row in more)]

    @property
    def deep(self) -> float:
        """Height with the caption, mm."""
        if self.aside:
            return max(self.height, CAPTION) + 2.0
        return self.height + 1.4 + CAPTION * len(self.caption_lines())


def draw_panel(
    job: Job,
    side: tuple[str, Hand | None],
    arts: Sequence[Artwork],
    labels: Mapping[int, str],
    room: tuple[float, float],
) -> PanelDrawing:
    """One side of a model: a panel's name and hand.

    ``arts``: what of it is printed, as it is applied; ``labels``: their numbers, by position in ``arts``; ``room``:
    width and height inside a page. A panel too wide for it stands on end.
    """
    name, hand = side
    panel = job.panel(name)
    mirrored = any(is_mirrored(art, panel) for art in arts) or (hand == "right" and panel.hand != "right")
    seen = mirrored_panel(panel) if mirrored else panel
    cuts = [polygons(transform(art.cut_polygon, position_on_panel(art, panel)))[0] for art in arts]
    x0, y0, x1, y1 = shapely.union_all([seen.outline.polygon, *cuts]).bounds
    numbered = len(set(labels.values())) >= MANY
    margin = 2 * NUMBER + 4.0 if numbered else 0.0
    upright = x1 - x0 > room[0]
    wide, high = (y1 - y0, x1 - x0) if upright else (x1 - x0, y1 - y0)
    scale = min(1.0, room[0] / wide, (room[1] - margin - 3 * CAPTION) / high)
    if scale < 1:
        scale = 1 / _whole(1 / scale)
    place = multiply((scale, 0.0, 0.0, scale, 0.0, 0.0), rotation(90) if upright else translation(0.0, 0.0))
    laid = [polygons(transform(cut, place))[0] for cut in cuts]
    outline = transform(seen.outline.polygon, place)
    bounds = shapely.union_all([outline, *laid]).bounds
    callouts = _callouts(laid, labels, bounds, room[0]) if numbered else ()
    spread = [*(c.x - paper_width(c.label, style.TYPE_SMALL, True) / 2 for c in callouts), bounds[0]]
    reach = [*(c.x + paper_width(c.label, style.TYPE_SMALL, True) / 2 for c in callouts), bounds[2]]
    below = NUMBER + 1.0 if any(not c.above for c in callouts) else 0.0
    above = NUMBER + 1.0 if any(c.above for c in callouts) else 0.0
    dx, dy = -min(spread), below - bounds[1]
    place = multiply(translation(dx, dy), place)
    items = _drawn(arts, panel, place)
    for obstacle in seen.obstacles:
        for part in obstacle_outlines(obstacle, seen):
            items.append(Contour(part.moved(place), style.LINE_DIMENSION, style.TEXT))
    thick = style.LINE_CUT if scale == 1.0 else style.LINE_DIMENSION
    items.append(Contour(seen.outline.moved(place), thick, style.TEXT))
    moved = tuple(Callout(c.label, c.x + dx, c.above, (c.end[0] + dx, c.end[1] + dy)) for c in callouts)
    taken = _taken([transform(cut, translation(dx, dy)) for cut in laid], items[:-1], moved)
    return PanelDrawing(
        name,
        hand,
        tuple(items),
        max(reach) - min(spread),
        bounds[3] - bounds[1] + below + above,
        moved,
        tuple(dict.fromkeys(labels.values())),
        (outline.bounds[1] + dy, outline.bounds[3] + dy),
        scale,
        upright,
        _inside(seen.outline.moved(place).polygon, taken, side, labels, upright) if scale == 1.0 else None,
    )


def _drawn(arts: Sequence[Artwork], panel: Panel, place: Matrix) -> list[Item]:
    """Decals on a panel, pale, as they are applied."""
    items: list[Item] = []
    for art in arts:
        on = multiply(place, position_on_panel(art, panel))
        if art.film == "white":
            # It hides what it lies on.
            items.append(Fill(region(transform(art.cut_polygon, on)), style.PAPER))
        items += pale_artwork(art, on)
    return items


def _taken(cuts: Sequence[BaseGeometry], items: Sequence[Item], callouts: Sequence[Callout]) -> list[Polygon]:
    """What a panel's name keeps off: decals, obstacles, hairlines."""
    taken = [polygons(cut)[0] for cut in cuts]
    taken += [Polygon(item.outline.polygon.exterior) for item in items if isinstance(item, Contour)]
    return [*taken, *(LineString([(c.x, 1e3 if c.above else -1e3), c.end]).buffer(0.3) for c in callouts)]


def _inside(
    panel: Polygon, taken: Sequence[Polygon], side: tuple[str, Hand | None], labels: Mapping[int, str], upright: bool
) -> InsideName | None:
    """What stands in a panel, off all that is ``taken``: its name with the letter of its job, or, where that has no
    room, without the hand, which the triangle tells; at last the triangle and the letter alone."""
    name, hand = side
    letter = next(iter(labels.values()), "").rstrip("0123456789")
    words = [f"{letter} {name}".lstrip()]
    if hand:
        words = [f"{words[0]}, {hand}", *words, letter]
    return name_inside(panel, taken, words, hand, upright)


def _whole(times: float) -> float:
    """The next reduction that one can reckon with."""
    return next(float(n) for n in (2, 3, 4, 5, 10, 20, 50, 100, 1000) if n >= times - 1e-9)


def _callouts(
    cuts: Sequence[Polygon], labels: Mapping[int, str], bounds: tuple[float, ...], room: float
) -> tuple[Callout, ...]:
    """Numbers in a row over the panel and in one under it, each on the side from which its hairline crosses fewer
    other decals, then on the nearer one; none over another. None at all where a row is wider than ``room``."""
    first: dict[str, int] = {}
    for n, label in labels.items():
        first.setdefault(label, n)
    _, low, _, top = bounds
    rows: dict[bool, list[tuple[float, str, Polygon]]] = {True: [], False: []}
    for label, n in first.items():
        cut = cuts[n]
        x, y = cut.centroid.x, cut.centroid.y
        others = [other for k, other in enumerate(cuts) if k != n and labels.get(k) != label]

        def crossed(above: bool, x: float = x, y: float = y, others: list[Polygon] = others) -> int:
            return sum(other.intersects(LineString([(x, y), (x, top if above else low)])) for other in others)

        above = min((True, False), key=lambda up: (crossed(up), (top - y) if up else (y - low)))
        rows[above].append((x, label, cut))
    found = []
    for above, row in rows.items():
        row.sort(key=lambda one: (one[0], one[1]))
        widths = [paper_width(label, style.TYPE_SMALL, True) for _, label, _ in row]
        if sum(widths) + APART * (len(widths) - 1) > room:
            return ()
        middle = (bounds[0] + bounds[2]) / 2
        spots = _spread([x for x, _, _ in row], widths, (middle - room / 2, middle + room / 2))
        for (_, label, cut), x in zip(row, spots, strict=True):
            start = (x, top + 1.0 if above else low - 1.0)
            point = nearest_points(cut, shapely.Point(start))[0]
            found.append(Callout(label, x, above, (point.x, point.y)))
    return tuple(found)


def _spread(wanted: Sequence[float], widths: Sequence[float], room: tuple[float, float]) -> list[float]:
    """Middles as near to the wanted ones as widths allow, in their order, inside ``room``."""
    found: list[float] = []
    for n, x in enumerate(wanted):
        least = found[-1] + (widths[n - 1] + widths[n]) / 2 + APART if found else x
        found.append(max(x, least))
    if found:
        # Shared out: what was pushed to the right goes back by half of the mean.
        back = sum(x - w for x, w in zip(found, wanted, strict=True)) / len(found)
        back = max(back, found[-1] + widths[-1] / 2 - room[1])
        back = min(back, found[0] - widths[0] / 2 - room[0])
        found = [x - back for x in found]
    return found


def put_panel(sheaf: Sheaf, drawing: PanelDrawing, x: float, top: float) -> None:
    """The drawing with its caption, its upper left corner at x, ``top``."""
    foot = top - drawing.height
    move = translation(x, foot)
    sheaf.items += [_moved(item, move) for item in drawing.items]
    for one in drawing.callouts:
        at = drawing.height - NUMBER + 1.4 if one.above else NUMBER - 2.6 - 0.6
        start = (x + one.x, foot + (at - 0.7 if one.above else at + 2.5))
        end = (x + one.end[0], foot + one.end[1])
        sheaf.line((start, end), 3 * HAIR, style.PAPER)
        sheaf.line((start, end), HAIR)
        sheaf.fill(region(circle(end, 0.3)), style.TEXT)
        sheaf.text(x + one.x, foot + at, one.label, style.TYPE_SMALL, bold=True, align="centre")
    if drawing.inside:
        put_name(sheaf, drawing.inside, x, foot)
    y = foot - 1.4 - 2.9
    if drawing.aside:
        x, y = x + drawing.width + ASIDE, foot + sum(drawing.span) / 2 - 1.1
    for n, (words, numbers) in enumerate(drawing.caption_lines()):
        after = x + (NOSE + 1.0 if drawing.hand == "left" and words and n == 0 else 0.0)
        after += sheaf.text(after, y, words, style.TYPE_BODY).width if words else 0.0
        if n == 0 and drawing.hand:
            middle = (x if drawing.hand == "left" else after + 1.0) + NOSE / 2
            way = nose_way(drawing.hand, drawing.upright)
            sheaf.fill(region(nose_triangle(middle, y + 1.1, way)), style.TEXT)
            after += NOSE + 1.0 if drawing.hand == "right" else 0.0
        if numbers:
            sheaf.text(after + (2.0 if words else 0.0), y, numbers, style.TYPE_BODY, bold=True)
        y -= CAPTION


def _moved(item: Item, move: Matrix) -> Item:
    if isinstance(item, Contour):
        return Contour(item.outline.moved(move), item.width, item.colour, item.dash)
    if isinstance(item, Line):
        points = tuple((x + move[4], y + move[5]) for x, y in item.points)
        return Line(points, item.width, item.colour, item.closed, item.dash)
    if isinstance(item, Fill):
        return Fill(region(transform(item.region, move)), item.colour, item.ink, item.opacity)
    if isinstance(item, Picture):
        return Picture(item.pixels, multiply(move, item.matrix), region(transform(item.region, move)), item.ink)
    raise TypeError(f"a drawing holds no {type(item).__name__}")
