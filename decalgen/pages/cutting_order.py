"""The order and the start points in which a knife follows cut lines, so that it travels little between them. Pure; mm.

What lies inside is cut before what is round it, and a slit before the openings beside it: once a part is free, it may
move. Every closed line runs anticlockwise and begins at one of its corners (a circle anywhere). Among the orders that
are left, the way with the knife up is made short: always on to the nearest line, then lines and stretches of lines
moved or turned round wherever that shortens the way.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon
from shapely.geometry import Point as Spot

from decalgen.core.arrays import FloatArray
from decalgen.core.document import Contour, Line
from decalgen.core.geometry import Outline, Point, Segment

Stroke = Line | Contour
HOME: Point = (0.0, 0.0)
"""Where the knife waits: the page's lower left corner."""
STARTS_ROUND = 16
"""Points a circle may begin at."""
REACH = 60
"""Lines are moved by at most so many places, which bounds the work on large sheets."""
MOST_ROUNDS = 12
TOGETHER = 3
"""So many neighbours are moved together at most."""
HAIR = 1e-9


def in_order(strokes: Sequence[Stroke], home: Point = HOME) -> list[Stroke]:
    """The strokes in the order they are cut in, each closed one anticlockwise from where it is begun."""
    turned = [_anticlockwise(stroke) for stroke in strokes]
    if not turned:
        return []
    tour = _Tour(turned, home)
    tour.nearest_first()
    for _ in range(MOST_ROUNDS):
        # One after the other, not the first that helps: each opens the way for the next.
        if not any([tour.move(), tour.turn_round(), tour.begin_anew()]):
            break
    return [_begun(turned[i], tour.starts[i][tour.chosen[i]]) for i in tour.order]


def travel(strokes: Sequence[Stroke], home: Point = HOME) -> float:
    """The way with the knife up, mm: from home to the first line and from each line's end to the next one's start."""
    way, here = 0.0, home
    for stroke in strokes:
        first, last = ends(stroke)
        way += math.dist(here, first)
        here = last
    return way


def ends(stroke: Stroke) -> tuple[Point, Point]:
    """Where the knife goes down and comes up."""
    if isinstance(stroke, Contour):
        return stroke.outline.segments[0].start, stroke.outline.segments[0].start
    return stroke.points[0], stroke.points[0] if stroke.closed else stroke.points[-1]


def _anticlockwise(stroke: Stroke) -> Stroke:
    if isinstance(stroke, Line) or stroke.outline.polygon.exterior.is_ccw:
        return stroke
    back = [Segment(s.end, s.start, s.centre, not s.anticlockwise) for s in reversed(stroke.outline.segments)]
    return replace(stroke, outline=Outline(tuple(back)))


def _circle(outline: Outline) -> Point | None:
    """The middle of an outline that is one circle."""
    first = outline.segments[0]
    if first.centre is None or not all(s.anticlockwise for s in outline.segments):
        return None
    radius = math.dist(first.start, first.centre)
    for one in outline.segments:
        if one.centre is None or math.dist(one.centre, first.centre) > 1e-6:
            return None
        if abs(math.dist(one.start, one.centre) - radius) > 1e-6:
            return None
    return first.centre


def _starts(stroke: Stroke) -> list[Point]:
    """Where a stroke may begin. A slit is cut from the edge inward."""
    if isinstance(stroke, Line):
        return [stroke.points[0]]
    middle = _circle(stroke.outline)
    corners = [segment.start for segment in stroke.outline.segments]
    if middle is None:
        return corners
    radius, first = math.dist(corners[0], middle), math.atan2(corners[0][1] - middle[1], corners[0][0] - middle[0])
    angles = [first + 2 * math.pi * n / STARTS_ROUND for n in range(1, STARTS_ROUND)]
    return [corners[0], *((middle[0] + radius * math.cos(a), middle[1] + radius * math.sin(a)) for a in angles)]


def _begun(stroke: Stroke, start: Point) -> Stroke:
    """A closed stroke begun at one of its starts."""
    if isinstance(stroke, Line):
        return stroke
    segments = stroke.outline.segments
    at = next((n for n, segment in enumerate(segments) if segment.start == start), None)
    if at is None:
        middle = _circle(stroke.outline)
        assert middle is not None  # Every other start is a corner.
        across = (2 * middle[0] - start[0], 2 * middle[1] - start[1])
        return replace(stroke, outline=Outline((Segment(start, across, middle), Segment(across, start, middle))))
    return replace(stroke, outline=Outline((*segments[at:], *segments[:at])))


def _before(strokes: Sequence[Stroke]) -> list[set[int]]:
    """For each stroke, those that come before it: all inside it, and the slits beside it."""
    areas = [stroke.outline.polygon if isinstance(stroke, Contour) else Polygon() for stroke in strokes]
    tree = shapely.STRtree(areas)
    inside: list[set[int]] = []
    for number, stroke in enumerate(strokes):
        if isinstance(stroke, Contour):
            spot = Spot(ends(stroke)[0])
        else:
            # The middle of a slit: its ends lie on lines.
            spot = shapely.line_interpolate_point(LineString(stroke.points), 0.5, normalized=True)
        inside.append({int(n) for n in tree.query(spot, predicate="within") if n != number})
    found: list[set[int]] = [set() for _ in strokes]
    for number, outers in enumerate(inside):
        for outer in outers:
            found[outer].add(number)
    for slit, stroke in enumerate(strokes):
        if isinstance(stroke, Line):
            for other, one in enumerate(strokes):
                if isinstance(one, Contour) and inside[other] == inside[slit]:
                    found[other].add(slit)
    return found


class _Tour:
    """Strokes in an order, each with the start that was chosen for it."""

    def __init__(self, strokes: Sequence[Stroke], home: Point) -> None:
        self.strokes, self.home = strokes, home
        self.starts = [_starts(stroke) for stroke in self.strokes]
        self.chosen = [0] * len(self.strokes)
        self.entry = [starts[0] for starts in self.starts]
        self.leave = list(self.entry)
        for stroke in range(len(self.strokes)):
            self.choose(stroke, 0)
        self.before = _before(self.strokes)
        self.after: list[set[int]] = [set() for _ in self.strokes]
        for outer, inner in enumerate(self.before):
            for one in inner:
                self.after[one].add(outer)
        self.order: list[int] = []

    def choose(self, stroke: int, start: int) -> None:
        """Begins a stroke at one of its starts; a slit ends at its own end, all else where it began."""
        self.chosen[stroke] = start
        self.entry[stroke] = self.starts[stroke][start]
        one = self.strokes[stroke]
        self.leave[stroke] = one.points[-1] if isinstance(one, Line) and not one.closed else self.entry[stroke]

    def _joint(self, one: int | None, other: int | None) -> float:
        """From one stroke to the next; None is home at the beginning, and nowhere at the end."""
        if other is None:
            return 0.0
        return math.dist(self.home if one is None else self.leave[one], self.entry[other])

    def _at(self, place: int) -> int | None:
        return self.order[place] if 0 <= place < len(self.order) else None

    def nearest_first(self) -> None:
        """Always on to the nearest start of a line that may be cut now."""
        spots: FloatArray = np.array([spot for starts in self.starts for spot in starts])
        owner = np.repeat(np.arange(len(self.strokes)), [len(starts) for starts in self.starts])
        first = np.concatenate(([0], np.cumsum([len(starts) for starts in self.starts])))
        waiting = [len(before) for before in self.before]
        may = np.array([not count for count in waiting])[owner]
        here = self.home
        for _ in self.strokes:
            away = np.hypot(spots[:, 0] - here[0], spots[:, 1] - here[1])
            nearest = int(np.argmin(np.where(may, away, np.inf)))
            stroke = int(owner[nearest])
            self.choose(stroke, nearest - int(first[stroke]))
            self.order.append(stroke)
            may[owner == stroke] = False
            for outer in self.after[stroke]:
                waiting[outer] -= 1
                if not waiting[outer]:
                    may[owner == outer] = True
            here = self.leave[stroke]

    def _put(self, low: int, new: Sequence[int]) -> bool:
        """Puts a stretch that begins at ``low`` in another order, if nothing comes before what lies inside it."""
        here, seen = set(new), set[int]()
        for stroke in new:
            if self.before[stroke] & here - seen:
                return False
            seen.add(stroke)
        self.order[low : low + len(new)] = new
        return True

    def move(self) -> bool:
        """Moves up to `TOGETHER` neighbours to another place, wherever that is shorter."""
        better = False
        for size in range(1, TOGETHER + 1):
            for at in range(len(self.order) - size + 1):
                better |= self._moved(at, size)
        return better

    def _moved(self, at: int, size: int) -> bool:
        first, last = self.order[at], self.order[at + size - 1]
        before, behind = self._at(at - 1), self._at(at + size)
        saved = self._joint(before, first) + self._joint(last, behind) - self._joint(before, behind)
        low, high = max(0, at - REACH), min(len(self.order), at + size + REACH)
        for to in [*range(low, at), *range(at + size + 1, high + 1)]:
            left, right = self._at(to - 1), self._at(to)
            if self._joint(left, first) + self._joint(last, right) - self._joint(left, right) >= saved - HAIR:
                continue
            block = self.order[at : at + size]
            new = [*block, *self.order[to:at]] if to < at else [*self.order[at + size : to], *block]
            if self._put(min(at, to), new):
                return True
        return False

    def turn_round(self) -> bool:
        """Cuts a stretch without slits the other way round, wherever that is shorter."""
        better = False
        slit = [out != into for out, into in zip(self.leave, self.entry, strict=True)]
        for low in range(len(self.order) - 1):
            for high in range(low + 2, min(len(self.order), low + REACH) + 1):
                if slit[self.order[high - 1]]:
                    break
                first, last, left, right = self.order[low], self.order[high - 1], self._at(low - 1), self._at(high)
                old = self._joint(left, first) + self._joint(last, right)
                if not slit[first] and self._joint(left, last) + self._joint(first, right) < old - HAIR:
                    better |= self._put(low, self.order[low:high][::-1])
        return better

    def begin_anew(self) -> bool:
        """Begins each line where the way to it and on from it is shortest."""
        better = False
        for at, stroke in enumerate(self.order):
            left = self.order[at - 1] if at else None
            right = self.order[at + 1] if at + 1 < len(self.order) else None
            kept = self.chosen[stroke]
            ways = []
            for n in range(len(self.starts[stroke])):
                self.choose(stroke, n)
                ways.append(self._joint(left, stroke) + self._joint(stroke, right))
            best = min(range(len(ways)), key=ways.__getitem__)
            self.choose(stroke, best if ways[best] < ways[kept] - HAIR else kept)
            better |= self.chosen[stroke] != kept
        return better
