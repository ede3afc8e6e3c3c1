"""The calibration target: a rectangle of known sides to print on the film itself and measure. Pure; mm.

Each span has a letter, in a ring on its line, and boxes for three readings beside it, off its ends. `calibrate read`
asks for the same letters.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import groupby

import shapely
from shapely.geometry import LineString, Point, Polygon, box

from decalgen.core import style
from decalgen.core.document import Document
from decalgen.core.geometry import circle, rectangle, region
from decalgen.core.lengths.units import POINT_MM
from decalgen.core.values import dataclass
from decalgen.lettering.paper import paper, paper_width, wrap
from decalgen.pages.composer import Sheaf
from decalgen.printer.target import DIAGONALS, FOOT, LETTERS, SPANS, Target

ARM = 3.0
"""From the middle of a cross to the end of its arms, mm."""
RING = 2.6
"""Radius of the ring round a letter, mm."""
LONELY = 5.4
"""From the middle of a letter to the boxes of another span, mm, so that none can be taken for the other's."""
OFF = 3.6
"""From a line that is measured to the boxes beside it, mm."""
APART = 1.0
"""From one box to the next, mm."""
FOOT_EDGE = 0.8
"""How thick the lower edge is marked beside its line, mm: it cannot be taken for another."""
FOOT_OFF = 5.0
"""From the foot's line to the outer side of that, mm."""
HEAD = 4.6
"""Room over the boxes for the length, mm."""
STEP = style.LEADING * style.TYPE_REST * POINT_MM
HOW = (
    "Print at 100 %, nothing fitted or scaled. Turn the thick edge towards you. Measure each span three times between "
    "the middles of its crosses, g to g and h to h, lifting the caliper between; never from the edges of the paper. "
    "Measure in the room that you print in. Then: decalgen calibrate read."
)
SHORT = (
    "Print at 100 %. Turn the thick edge towards you. Measure each span three times between the middles of its "
    "crosses, then: decalgen calibrate read."
)
"""Where there is no room for all of that."""
FEED = "feed: this edge into the printer first, this side up"
TURNED = "towards you when you measure"


SMALLER = ((16.0, 7.0), (14.0, 6.5))
"""Widths and heights of boxes, mm, on film so small that not every span has room for those of other paper."""


@dataclass(frozen=True)
class _Form:
    """How boxes look: their width and height, and whether their length stands over them."""

    box: tuple[float, float]
    headed: bool


@dataclass(frozen=True)
class _Block:
    """Three boxes for readings: the area of all, the lower left corners, their width and height, and where the length
    stands, if it does."""

    area: Polygon
    boxes: tuple[tuple[float, float], ...]
    size: tuple[float, float]
    head: tuple[float, float] | None


def target_page(
    asked: Target, width: float, height: float, area: tuple[float, float, float, float], name: str
) -> Document:
    """The target in the middle of the printable ``area`` (x0, y0, x1, y1) of a sheet of ``width`` × ``height`` mm.

    On a small sheet the lengths stand together instead of over the boxes, the boxes are smaller, and the text is
    shorter or left out.
    """
    sheaf = Sheaf(width, height)
    ends = span_ends(asked, area)
    (x0, y0), _ = ends["across foot"]
    for span in SPANS[:6]:
        sheaf.line(ends[span], style.LINE_MARK)
    closed = _crosses(sheaf, ends)
    room = box(*area)
    closed += _edges(sheaf, (x0, y0, x0 + asked.width, y0 + asked.height), room)
    rings = _corner_letters(sheaf, asked, ends)
    headed, spots = _spots(ends, closed, rings, room)
    for span, (block, spot) in spots.items():
        rings.append(_ring(sheaf, *spot, LETTERS[span]))
        if block is None:
            continue
        closed.append(block.area.buffer(1.2))
        for x, y in block.boxes:
            sheaf.box(x, y, *block.size)
        if block.head:
            sheaf.text(*block.head, f"{asked.asked(span):.2f} mm", style.TYPE_BODY)
    closed += [ring.buffer(RING + 0.6) for ring in rings]
    closed += [LineString(ends[span]).buffer(0.6) for span in SPANS[:6]]
    lengths = "" if headed else _lengths(asked)
    _instructions(sheaf, name, lengths, closed, room)
    return Document((sheaf.page(),), title=f"Calibration target: {name}", subject="print at 100 %, without fitting")


Pair = tuple[tuple[float, float], tuple[float, float]]


def span_ends(asked: Target, area: tuple[float, float, float, float]) -> dict[str, Pair]:
    """Where each span begins and ends, in the middle of a printable area."""
    x0, y0 = (area[0] + area[2] - asked.width) / 2, (area[1] + area[3] - asked.height) / 2
    x1, y1 = x0 + asked.width, y0 + asked.height
    xm, ym = (x0 + x1) / 2, (y0 + y1) / 2
    wide, high = asked.diagonal
    left, right, low, top = xm - wide / 2, xm + wide / 2, ym - high / 2, ym + high / 2
    found = (
        ((x0, y0), (x1, y0)), ((x0, ym), (x1, ym)), ((x0, y1), (x1, y1)),
        ((x0, y0), (x0, y1)), ((xm, y0), (xm, y1)), ((x1, y0), (x1, y1)),
        ((left, low), (right, top)), ((left, top), (right, low)),
    )  # fmt: skip
    return dict(zip(SPANS, found, strict=True))


def _crosses(sheaf: Sheaf, ends: dict[str, Pair]) -> list[Polygon]:
    """A plain cross at the end of every span, and in the middle; what they take up."""
    for x, y in dict.fromkeys(point for span in SPANS for point in ends[span]):
        sheaf.line(((x - ARM, y), (x + ARM, y)), style.LINE_MARK)
        sheaf.line(((x, y - ARM), (x, y + ARM)), style.LINE_MARK)
    return [Point(point).buffer(ARM + 0.6) for span in SPANS for point in ends[span]]


def _edges(sheaf: Sheaf, sides: tuple[float, float, float, float], room: Polygon) -> list[Polygon]:
    """The edge that goes into the printer first, with an arrow, and the thick one that lies towards the reader."""
    x0, y0, x1, y1 = sides
    xm = (x0 + x1) / 2
    most = room.bounds[2] - room.bounds[0]
    # A bar beside the line, so that the target cannot be read turned.
    long = (x1 - x0) / 3
    sheaf.fill(region(rectangle(xm - long / 2, y0 - FOOT_OFF, xm + long / 2, y0 - FOOT_OFF + FOOT_EDGE)), style.TEXT)
    foot = f"{FOOT}, {TURNED}" if paper_width(f"{FOOT}, {TURNED}", style.TYPE_REST) < most - 8 else FOOT
    sheaf.text(xm, y0 - 7.8, foot, style.TYPE_REST, align="centre")
    words = FEED if paper_width(FEED, style.TYPE_REST) < most - 16 else "feed, this side up"
    wide = paper_width(words, style.TYPE_REST)
    left = xm - (wide + 7.0) / 2
    tip = y1 + 8.0
    sheaf.line(((left + 1.5, y1 + ARM + 0.6), (left + 1.5, tip - 1.0)), style.LINE_CUT)
    arrow = Polygon([(left, tip - 2.6), (left + 3.0, tip - 2.6), (left + 1.5, tip)])
    sheaf.fill(region(arrow), style.TEXT)
    sheaf.text(left + 7.0, y1 + ARM + 1.0, words, style.TYPE_REST)
    wide_foot = max(long, paper_width(foot, style.TYPE_REST)) / 2
    return [
        box(xm - wide_foot - 1, y0 - 8.6, xm + wide_foot + 1, y0 - 3.4),
        box(left - 1, y1 + 3.3, left + 8.0 + wide, y1 + 8.2),
    ]


def _corner_letters(sheaf: Sheaf, asked: Target, ends: dict[str, Pair]) -> list[Point]:
    """The letter of a diagonal beside both of its crosses, towards the middle of the target."""
    found = []
    for span in DIAGONALS:
        (ax, ay), (bx, by) = ends[span]
        for (x, y), (ox, oy) in (((ax, ay), (bx, by)), ((bx, by), (ax, ay))):
            way = 1.0 if oy > y else -1.0
            side = 1.0 if ox > x else -1.0
            # Where the diagonal ends in the target's own corner, off both lines; else over or under the cross.
            dx, dy = (ARM + RING + 0.8, ARM + RING + 0.8) if asked.inner is None else (0.0, ARM + RING + 0.9)
            found.append(_ring(sheaf, x + side * dx, y + way * dy, LETTERS[span]))
    return found


def _ring(sheaf: Sheaf, x: float, y: float, letter: str) -> Point:
    """A letter in a ring, on paper white that parts the line under it; gives its middle."""
    ring = circle((x, y), RING)
    sheaf.fill(region(ring), style.PAPER)
    sheaf.line([(px, py) for px, py in ring.exterior.coords[:-1]], style.LINE_DIMENSION, closed=True)
    # The middle of small letters, not of capitals, so that a b c … stand alike in their rings.
    low = paper("x", style.TYPE_FIND, True).region.bounds[3] / 2
    sheaf.text(x, y - low, letter, style.TYPE_FIND, bold=True, align="centre")
    return Point(x, y)


Spot = tuple[float, float]


def _spots(
    ends: dict[str, Pair], closed: Sequence[Polygon], corners: Sequence[Point], room: Polygon
) -> tuple[bool, dict[str, tuple[_Block | None, Spot]]]:
    """Where the boxes and the letter of each span stand, and whether with lengths over the boxes: as many boxes as
    have room, as large as that allows, with lengths if that costs none. A side without boxes keeps its letter."""
    tried = []
    for form in (_Form(size, headed) for size in (style.READING_BOX, *SMALLER) for headed in (True, False)):
        taken, rings = list(closed), list(corners)
        found: dict[str, tuple[_Block | None, Spot]] = {}
        for span in SPANS:
            place = next(_free_places(span, ends, form, (taken, rings), room), None)
            if place is None:
                continue
            found[span] = place
            rings.append(Point(place[1]))
            if place[0] is not None:
                taken.append(place[0].area.buffer(1.2))
        tried.append((form.headed, found))
        if sum(block is not None for block, _ in found.values()) == len(SPANS):
            break
    return max(tried, key=lambda one: sum(block is not None for block, _ in one[1].values()))


def _free_places(
    span: str,
    ends: dict[str, Pair],
    form: _Form,
    taken: tuple[Sequence[Polygon], Sequence[Point]],
    room: Polygon,
) -> Iterator[tuple[_Block | None, Spot]]:
    """The places of a span's boxes and letter that are free of the areas and letters that are there, the best first;
    the last ones have a letter alone."""
    own = LineString(ends[span])
    lines = shapely.union_all([LineString(ends[name]).buffer(0.6) for name in SPANS[:6]])
    others = shapely.union_all([LineString(ends[name]).buffer(0.6) for name in SPANS[:6] if name != span])
    areas, letters = shapely.union_all(list(taken[0])), shapely.MultiPoint(list(taken[1]))
    whole = shapely.union_all([areas, lines, letters.buffer(LONELY)])
    beside = shapely.union_all([areas, others, letters.buffer(RING + 0.6)])
    shapely.prepare([whole, beside])
    free = _clear(_places(span, ends, form), whole, beside, room)
    if span in DIAGONALS:
        yield from _well_away(free, whole)
        return
    for block, spot, _ in free:
        yield block, spot
    for share in sorted((n / 50 for n in range(3, 48)), key=lambda share: min(abs(share - 0.25), abs(share - 0.75))):
        middle = own.interpolate(share, normalized=True)
        if not beside.intersects(middle.buffer(RING + 0.6)):
            yield None, (middle.x, middle.y)


def _clear(
    places: Iterator[tuple[_Block, Spot]], whole: shapely.Geometry, beside: shapely.Geometry, room: Polygon
) -> Iterator[tuple[_Block, Spot, Polygon]]:
    """The places inside the room with boxes clear of ``whole`` and a letter clear of ``beside``, and the letter's own
    area; what costs least is looked at first, as there are thousands."""
    x0, y0, x1, y1 = room.bounds
    for block, spot in places:
        left, foot, right, top = block.area.bounds
        if x0 <= left and right <= x1 and y0 <= foot and top <= y1 and not whole.intersects(block.area):
            ring = Point(spot).buffer(RING + 0.6)
            if not beside.intersects(ring):
                yield block, spot, ring


def _well_away(
    places: Iterator[tuple[_Block, Spot, Polygon]], whole: shapely.Geometry
) -> Iterator[tuple[_Block, Spot]]:
    """Boxes of a diagonal may stand anywhere; first come those well away from those of other spans."""
    left: list[tuple[_Block, Spot, Polygon]] = []
    for away in (6.0, 3.0, 0.0):
        for block, spot, ring in list(left) if left else places:
            # Under the length of another span's boxes its letter would be taken for theirs, too.
            if not whole.intersects(block.area.buffer(away)) and not whole.intersects(ring.buffer(away)):
                yield block, spot
            if away == 6.0:
                left.append((block, spot, ring))


def _places(span: str, ends: dict[str, Pair], form: _Form) -> Iterator[tuple[_Block, Spot]]:
    """Places for the boxes of a span, the best first, each with that of its letter: beside the line, off its ends. The
    letter of a side is on its line; that of a diagonal, which has no line, is left of its boxes, near its upper cross.
    """
    (ax, ay), (bx, by) = ends[span]
    if span in DIAGONALS:
        (x0, y0), (x1, y1) = ends["across foot"][0], ends["across head"][1]
        cross = max(ends[span], key=lambda point: point[1])
        grid = [(x0 + 2.0 * n, y0 + 2.0 * m) for n in range(int((x1 - x0) / 2)) for m in range(int((y1 - y0) / 2))]
        for middle in sorted(grid, key=lambda point: (round(math.dist(point, cross)), point)):
            block = _block(*middle, True, form)
            yield block, (block.boxes[0][0] - RING - 1.0, block.boxes[0][1] + form.box[1] / 2)
        return
    level = span.startswith("across")
    length = bx - ax + by - ay
    # Four quarters with two spans each: a d, e f, b h, c g; the boxes of g stand at the right of those of c.
    near = (0.65 if span == "across head" else 0.25) if level else 0.38
    shares = sorted((n / 100 for n in range(8, 93, 2)), key=lambda share: (abs(share - near), share))
    inwards = (-1, 1) if span in ("across head", "up right") else (1, -1)
    for tall in (True, False):
        for side in inwards:
            for share in shares:
                spot = (ax + length * share, ay) if level else (ax, ay + length * share)
                wide, high = _size(tall, form)
                off = OFF + (high if level else wide) / 2
                middle = (spot[0], spot[1] + side * off) if level else (spot[0] + side * off, spot[1])
                yield _block(*middle, tall, form, level and side < 0), spot


def _size(tall: bool, form: _Form) -> tuple[float, float]:
    wide, high = form.box
    across, up = (wide, 3 * high + 2 * APART) if tall else (3 * wide + 2 * APART, high)
    return across, up + (HEAD if form.headed else 0.0)


def _block(x: float, y: float, tall: bool, form: _Form, under: bool = False) -> _Block:
    """Three boxes round a middle, on top of each other or side by side; ``under``: their length stands below them."""
    wide, high = _size(tall, form)
    left, foot = x - wide / 2, y - high / 2
    across, up = form.box
    low = foot + (HEAD if form.headed and under else 0.0)
    corners = [(left, low + n * (up + APART)) if tall else (left + n * (across + APART), low) for n in range(3)]
    head = (left, foot + 0.9 if under else foot + high - HEAD + 1.3) if form.headed else None
    whole = box(left, foot, left + wide, foot + high)
    return _Block(whole, tuple(corners[::-1] if tall else corners), form.box, head)


def _instructions(sheaf: Sheaf, name: str, lengths: str, taken: Sequence[Polygon], room: Polygon) -> None:
    """Name, lengths and instructions where there is room: in one place, over the target before inside it, else in
    several; what has no room on a small sheet is left out, the instructions first."""
    closed = shapely.union_all(taken)
    tried: list[tuple[tuple[str, str], ...]] = [((name, lengths + HOW),)]
    tried += [ways for how in (HOW, SHORT) for ways in (((name, how), ("", lengths)), (("", how), (name, lengths)))]
    tried += [((name, lengths),), ((name, ""), ("", lengths)), ((name, ""),)]
    for blocks in tried:
        wanted = [block for block in blocks if any(block)]
        spots: list[tuple[float, float, float]] = []
        there = closed
        for head, text in wanted:
            spot = _roomy(there, room, head, text)
            if spot is None:
                break
            x, y, wide = spot
            there = there.union(box(x - 1.0, y - 1.0, x + wide + 1.0, y + _high(head, text, wide) + 1.0))
            spots.append(spot)
        if len(spots) == len(wanted):
            for (head, text), (x, y, wide) in zip(wanted, spots, strict=True):
                _write(sheaf, head, text, (x, y + _high(head, text, wide), wide))
            return


def _high(head: str, text: str, wide: float) -> float:
    """How high a bold head and a text are in a column of a width, mm."""
    rows = len(wrap(text, style.TYPE_REST, wide)) if text else 0
    return 4.4 * (len(wrap(head, style.TYPE_BODY, wide, True)) if head else 0) + STEP * rows + 1.0


def _lengths(asked: Target) -> str:
    """What each span should measure, by their letters, those of one length together."""
    groups = groupby(SPANS, key=lambda span: f"{asked.asked(span):.2f}")
    return "; ".join(f"{', '.join(LETTERS[span] for span in spans)} {long}" for long, spans in groups) + " mm. "


def _roomy(closed: shapely.Geometry, room: Polygon, head: str, text: str) -> tuple[float, float, float] | None:
    """Lower left corner and width of the widest column that is free for a head and a text; None: there is none."""
    most = room.bounds[2] - room.bounds[0] - 4.0
    for wide in (most, 110.0, 90.0, 75.0, 60.0, 52.0, 45.0, 38.0, 32.0, 28.0, 26.0):
        if wide > most:
            continue
        spot = _free(closed, room, wide, _high(head, text, wide))
        if spot is not None:
            return *spot, wide
    return None


def _write(sheaf: Sheaf, head: str, text: str, at: tuple[float, float, float]) -> None:
    """A bold head and a text down from a top left corner, in a column: ``at``, its x, top and width, mm."""
    x, y, wide = at
    for row in wrap(head, style.TYPE_BODY, wide, True) if head else ():
        sheaf.text(x, y - 3.2, row, style.TYPE_BODY, bold=True)
        y -= 4.4
    if text:
        sheaf.paragraph(x, y - 3.2, wide, text, style.TYPE_REST)


def _free(closed: shapely.Geometry, room: Polygon, wide: float, high: float) -> tuple[float, float] | None:
    """The highest place, then the one furthest to the left, where so large a box is free."""
    shapely.prepare(closed)
    x0, y0, x1, y1 = room.bounds
    ups = [y1 - 1.0 - high - 2.0 * n for n in range(int((y1 - y0 - high - 1.0) // 2.0) + 1)]
    acrosses = [x0 + 2.0 + 0.5 * n for n in range(int((x1 - x0 - wide - 2.0) // 0.5) + 1)]
    for y in ups:
        boxes = shapely.box([x - 1.0 for x in acrosses], y - 0.6, [x + wide + 1.0 for x in acrosses], y + high + 0.6)
        free = ~shapely.intersects(closed, boxes) if acrosses else []
        for x, ok in zip(acrosses, free, strict=True):
            if ok:
                return x, y
    return None
