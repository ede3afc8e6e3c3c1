"""One block letter drawn: strokes of one thickness on a grid, bends cornered, slants thinned where they would close."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Sequence

import shapely
from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from decalgen.core.geometry import Point, arc_points, circle, leant, polygons, rectangle
from decalgen.core.values import dataclass
from decalgen.lettering.alphabet import DOTS, SLANTS, SMALL, STROKES, TAIL, TAILED, End

OPEN = 0.08
"""What a letter with slanting strokes keeps open where it is widest, as a share of its width."""

OPEN_W = 0.17
"""The same of a W, which has three openings in the width that a V has for one."""

THINNEST = 0.4
"""Slants are never thinner than this share of the stroke."""

_WORD = re.compile(r"(-?[0-9.]+)(\+?)([a-z]'?)(\*?)$")


@dataclass(frozen=True, slots=True)
class Pen:
    """Stroke, corner and ends, mm."""

    stroke: float
    corner: str
    bend: float
    round_ends: bool
    thin_slants: bool


@dataclass(frozen=True, slots=True)
class _Node:
    x: float
    y: float
    bend: bool


class Draft:
    """The drawing of one letter in a box ``width`` by ``height`` mm."""

    def __init__(self, width: float, height: float, pen: Pen) -> None:
        self.width, self.height, self.pen = width, height, pen

    def letter(self, base: str, strokes: str, marks: Sequence[str], lean: float) -> MultiPolygon:
        """The whole letter; ``lean`` is the tangent of its slant."""
        slants = SLANTS.get(base, ())
        dots = DOTS.get(base, ())
        if marks and base in "ij":
            dots = ()
        parts: list[BaseGeometry] = [self._stroke(words.split()) for words in strokes.split(", ") if words]
        thin = self._thinned(base, slants)
        parts += [self._slanting(start, end, thin) for start, end in slants]
        for column, level in dots:
            parts.append(self._dot(self._x(column), self._dot_level(base, level)))
            if base in TAILED and level == "b":
                parts.append(self._tail(self._x(column)))
        top = self.height if base.isupper() or base.isdigit() or base in "bdfhklt" else SMALL * self.height
        for mark in marks:
            parts += MARKS[mark](self, top)
        if base == "\u00b0":
            parts.append(self._small_ring())
        return MultiPolygon(polygons(leant(shapely.union_all(parts), lean)))

    # Places on the grid

    def _x(self, column: float) -> float:
        return self.pen.stroke / 2 + (self.width - self.pen.stroke) * column / 2

    def _y(self, level: str) -> float:
        h, s, low = self.height, self.pen.stroke, SMALL * self.height
        return {
            "t": h - s / 2,
            "b": s / 2,
            "m": h / 2,
            "u": 0.68 * h + s / 2,
            "l": 0.32 * h - s / 2,
            "x": low - s / 2,
            "n": low / 2,
            "i": 0.66 * low + s / 2,
            "j": 0.34 * low - s / 2,
            "d": s / 2 - TAIL * h,
            "k": 0.27 * h,
            "p": 0.27 * h,
            "v": 2.2 * s,
            "w": 0.7 * h + s / 2,
            "f": 0.74 * h - s / 2,
            "g": 0.26 * h + s / 2,
            "f'": h / 2 + max(0.14 * h, 0.9 * s),
            "g'": h / 2 - max(0.14 * h, 0.9 * s),
        }[level]

    # Level and upright strokes

    def _stroke(self, words: Sequence[str]) -> BaseGeometry:
        closed = words[0] == "o"
        nodes = [self._node(word) for word in words if word != "o"]
        pairs = list(zip(nodes, nodes[1:] + nodes[:1] if closed else nodes[1:], strict=False))
        radius = self._radius(pairs)
        half = self.pen.stroke / 2
        solid: list[BaseGeometry] = []
        cut: list[Polygon] = []
        for i, (a, b) in enumerate(pairs):
            first, last = not closed and i == 0, not closed and i == len(pairs) - 1
            solid.append(self._bar(a, b, first and self.pen.round_ends, last and self.pen.round_ends))
        corners = list(zip(pairs, pairs[1:] + pairs[:1] if closed else pairs[1:], strict=False))
        for (a, b), (_, c) in corners:
            size = radius if b.bend else half if self.pen.round_ends else 0.0
            if size <= 0:
                continue
            round_bend = self.pen.corner == "round" or not b.bend
            d1, d2 = _unit(a, b), _unit(b, c)
            outer = (b.x + half * (d1[0] - d2[0]), b.y + half * (d1[1] - d2[1]))
            inner = (b.x - half * (d1[0] - d2[0]), b.y - half * (d1[1] - d2[1]))
            less = self.pen.stroke if round_bend else self.pen.stroke * (2 - math.sqrt(2))
            cut.append(_corner(outer, d1, d2, size, round_bend))
            if size > less:
                solid.append(_corner(inner, d1, d2, size - less, round_bend))
        whole = shapely.union_all(solid)
        return whole.difference(shapely.union_all(cut)) if cut else whole

    def _node(self, word: str) -> _Node:
        match = _WORD.match(word)
        assert match is not None, word
        x = self._x(float(match[1]))
        if match[2]:
            x = min(max(x, 1.5 * self.pen.stroke + 0.12 * self.width), self._x(1.9))
        return _Node(x, self._y(match[3]), bool(match[4]))

    def _radius(self, pairs: Sequence[tuple[_Node, _Node]]) -> float:
        """The bend's size, less where two bends would run into each other."""
        half = self.pen.stroke / 2
        size = self.pen.bend
        for a, b in pairs:
            length = abs(a.x - b.x) + abs(a.y - b.y)
            if a.bend and b.bend:
                size = min(size, length / 2 + half)
            elif a.bend or b.bend:
                size = min(size, length + half)
        return size

    def _bar(self, a: _Node, b: _Node, round_start: bool, round_end: bool) -> BaseGeometry:
        half = self.pen.stroke / 2
        dx, dy = _unit(a, b)
        back, on = (0.0 if round_start else half), (0.0 if round_end else half)
        x0, x1 = sorted((a.x - back * dx, b.x + on * dx))
        y0, y1 = sorted((a.y - back * dy, b.y + on * dy))
        wide = half * abs(dy), half * abs(dx)
        body = rectangle(x0 - wide[0], y0 - wide[1], x1 + wide[0], y1 + wide[1])
        ends = [circle((n.x, n.y), half) for n, is_round in ((a, round_start), (b, round_end)) if is_round]
        return shapely.union_all([body, *ends]) if ends else body

    # Slanting strokes

    def _slanting(self, start: End, end: End, thin: float) -> Polygon:
        across = self._across(start, end, thin)
        (l0, y0), (l1, y1) = self._left(start, across), self._left(end, across)
        return Polygon([(l0, y0), (l0 + across, y0), (l1 + across, y1), (l1, y1)])

    def _left(self, end: End, across: float) -> Point:
        share, own, stems, level = end
        return share * self.width - own * across + stems * self.pen.stroke, level * self.height

    def _across(self, start: End, end: End, thin: float) -> float:
        """The level width of a slanting stroke whose thickness is the (thinned) stroke."""
        across = thin * self.pen.stroke
        for _ in range(60):
            (l0, y0), (l1, y1) = self._left(start, across), self._left(end, across)
            across = thin * self.pen.stroke * math.hypot(l1 - l0, y1 - y0) / abs(y1 - y0)
        return across

    def _thinned(self, base: str, slants: Sequence[tuple[End, End]]) -> float:
        """What share of the stroke the slants may have so that the letter stays open."""
        room = _ROOM.get(base.upper() if base in "vwxz" else base)
        if not slants or room is None or not self.pen.thin_slants:
            return 1.0
        for step in range(61):
            thin = 1.0 - step / 100
            across = max(self._across(start, end, thin) for start, end in slants)
            if room(across / self.width, self.pen.stroke / self.width, self) >= (OPEN_W if base in "Ww" else OPEN):
                return thin
        return THINNEST

    # Dots and marks

    def _dot(self, x: float, y: float) -> Polygon:
        half = self.pen.stroke / 2
        return circle((x, y), half) if self.pen.round_ends else rectangle(x - half, y - half, x + half, y + half)

    def _small_ring(self) -> BaseGeometry:
        outer = min(0.17 * self.height, self.width / 2)
        centre = (self.width / 2, self.height - outer)
        return circle(centre, outer).difference(circle(centre, max(outer - self.mark_pen, 0.35 * outer)))

    def _dot_level(self, base: str, level: str) -> float:
        if level == "t":
            return max(self._y("t"), SMALL * self.height + 1.1 * self.pen.stroke)
        return self._y(level)

    def _tail(self, x: float) -> Polygon:
        s = self.pen.stroke
        return Polygon(
            [(x - 0.1 * s, s / 2), (x + s / 2, s / 2), (x + s / 2, 0.0), (x, -0.8 * s), (x - s / 2, -0.8 * s)]
        )

    def mark_box(self, top: float) -> tuple[float, float, float, float]:
        """Middle, foot, height and half width of an accent above ``top``."""
        height = max(0.17 * self.height, self.pen.stroke * 0.9)
        return self.width / 2, top + max(0.35 * self.pen.stroke, 0.04 * self.height), height, 0.17 * self.height

    @property
    def mark_pen(self) -> float:
        """The thickness of an accent: the stroke, but no more than a small mark can bear."""
        return min(self.pen.stroke, 0.11 * self.height)


Room = Callable[[float, float, Draft], float]


def _a_counter(across: float, stem: float, draft: Draft) -> float:
    # Above the crossbar the inner edges have come nearer by as much as the letter has narrowed.
    at = 0.27 + draft.pen.stroke / 2 / draft.height
    return min(1 - 2 * across, 2 * (0.5 - across - at * (0.5 - across / 2)))


def _four_counter(across: float, stem: float, draft: Draft) -> float:
    at = (draft.pen.stroke / 2 / draft.height + 0.02) / 0.75
    left = across + at * (0.75 + 0.25 * stem - across)
    return 0.75 - 0.75 * stem - left


# What stays open at the widest place of each letter, as a share of its width, from the level width of its
# slants and its
# stem (shares as well).
_ROOM: dict[str, Room] = {
    "A": _a_counter,
    "K": lambda a, s, _: 1 - a - s,
    "M": lambda a, s, _: min(1 - 2 * max(a, s), 0.5 - a / 2 - s),
    "N": lambda a, s, _: 1 - max(a, s) - s,
    "Q": lambda a, s, _: 0.62 - a / 2 - s,
    "V": lambda a, s, _: 1 - 2 * a,
    "W": lambda a, s, _: 0.5 - 1.5 * a,
    "X": lambda a, s, _: 1 - 2 * a,
    "Y": lambda a, s, _: 1 - 2 * a,
    "Z": lambda a, s, _: 0.9 - a,
    "4": _four_counter,
    "k": lambda a, s, _: 0.9 - a - s,
    "\u00d8": lambda a, s, _: 0.75 - 0.7 * a - 1.4 * s,
    "\u00f8": lambda a, s, _: 0.6 - 0.8 * a - 1.2 * s,
}


def _unit(a: _Node, b: _Node) -> Point:
    dx, dy = b.x - a.x, b.y - a.y
    length = math.hypot(dx, dy)
    return dx / length, dy / length


def _corner(at: Point, d1: Point, d2: Point, size: float, is_round: bool) -> Polygon:
    """What lies between a sharp corner and its rounding (or chamfer), the stroke running in along d1 and
    out along d2."""
    a = (at[0] - d1[0] * size, at[1] - d1[1] * size)
    b = (at[0] + d2[0] * size, at[1] + d2[1] * size)
    if not is_round:
        return Polygon([at, b, a])
    centre = (a[0] + d2[0] * size, a[1] + d2[1] * size)
    start = math.atan2(b[1] - centre[1], b[0] - centre[0])
    turn = math.atan2(a[1] - centre[1], a[0] - centre[0]) - start
    turn = (turn + math.pi) % (2 * math.pi) - math.pi
    arc = arc_points(centre, size, start, start + turn)
    return Polygon([at, b, *arc[1:-1], a])


StrokeMaker = Callable[[Draft, float], list[BaseGeometry]]


def _leaning(x0: float, x1: float) -> StrokeMaker:
    """A stroke from foot to head, places in half widths of the accent box."""

    def draw(draft: Draft, top: float) -> list[BaseGeometry]:
        x, y, h, w = draft.mark_box(top)
        pen = draft.mark_pen
        half = pen / 2 * math.hypot((x1 - x0) * w, h) / h
        a, b = x + x0 * w, x + x1 * w
        return [Polygon([(a - half, y), (a + half, y), (b + half, y + h), (b - half, y + h)])]

    return draw


def _both(*marks: StrokeMaker) -> StrokeMaker:
    return lambda draft, top: [part for mark in marks for part in mark(draft, top)]


def _dots(*places: float) -> StrokeMaker:
    def draw(draft: Draft, top: float) -> list[BaseGeometry]:
        x, y, _, w = draft.mark_box(top)
        pen = draft.mark_pen * 1.15
        spread = max(w, 0.85 * pen)
        return [rectangle(x + p * spread - pen / 2, y, x + p * spread + pen / 2, y + pen) for p in places]

    return draw


def _level(draft: Draft, top: float) -> list[BaseGeometry]:
    x, y, _, w = draft.mark_box(top)
    return [rectangle(x - 1.3 * w, y, x + 1.3 * w, y + draft.mark_pen)]


def _wave(draft: Draft, top: float) -> list[BaseGeometry]:
    x, y, _, w = draft.mark_box(top)
    pen = draft.mark_pen
    low, high = [(-1.4, 0), (-0.5, 0.7), (0.5, 0), (1.4, 0.7)], []
    foot = [(x + a * w, y + b * pen) for a, b in low]
    high = [(a, b + pen) for a, b in reversed(foot)]
    return [Polygon(foot + high)]


def _ring(draft: Draft, top: float) -> list[BaseGeometry]:
    x, y, _, _ = draft.mark_box(top)
    pen = draft.mark_pen * 0.8
    centre = (x, y + 1.5 * pen)
    return [circle(centre, 1.5 * pen).difference(circle(centre, 0.6 * pen))]


def _cup(draft: Draft, top: float) -> list[BaseGeometry]:
    x, y, h, w = draft.mark_box(top)
    pen = draft.mark_pen
    outer = rectangle(x - 1.3 * w, y, x + 1.3 * w, y + 0.8 * h)
    return [outer.difference(rectangle(x - 1.3 * w + pen, y + pen, x + 1.3 * w - pen, y + h))]


def _hook(side: float) -> StrokeMaker:
    def draw(draft: Draft, top: float) -> list[BaseGeometry]:
        pen = draft.mark_pen
        x = draft.width / 2 if side < 0 else draft.width - pen / 2
        foot = -0.2 * draft.height
        stem = rectangle(x - pen / 2, foot, x + pen / 2, 0.02 * draft.height)
        reach = sorted((x, x + side * 1.6 * pen))
        return [stem, rectangle(reach[0], foot, reach[1], foot + 0.8 * pen)]

    return draw


MARKS: dict[str, StrokeMaker] = {
    "\u0300": _leaning(0.5, -0.7),
    "\u0301": _leaning(-0.5, 0.7),
    "\u0302": _both(_leaning(-0.9, 0.0), _leaning(0.9, 0.0)),
    "\u0303": _wave,
    "\u0304": _level,
    "\u0306": _cup,
    "\u0307": _dots(0.0),
    "\u0308": _dots(-1.0, 1.0),
    "\u030a": _ring,
    "\u030b": _both(_leaning(-1.0, 0.0), _leaning(0.3, 1.3)),
    "\u030c": _both(_leaning(0.0, -0.9), _leaning(0.0, 0.9)),
    "\u0327": _hook(-1.0),
    "\u0328": _hook(1.0),
}
"""Accents of European languages, by combining character."""

assert all(letter in STROKES for letter in SLANTS)
