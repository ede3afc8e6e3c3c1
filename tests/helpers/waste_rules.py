"""Judges what stands in the waste of a sheet by distances between true outlines. It knows nothing of how places were
looked for: whose a label is follows from the row of pieces, all else from what is printed.

Rules: every piece has a number; upright; a line under what reads as another number upside down; the triangle points to
the nose; nearer to its own piece than to any other, or a leader; clear of all; ticks of a least length, none left out
unsaid.
"""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Sequence

import shapely
from shapely.affinity import translate
from shapely.geometry import LineString, MultiPolygon, Polygon, box

from decalgen.core.geometry import apply
from decalgen.lettering.paper import paper
from decalgen.sheet.numbers_and_ticks import Dressed
from decalgen.sheet.pieces import Placed

CAPS = (1.6, 1.3, 1.1)
EXACT = 1e-6
UNDERLINED = frozenset((6, 9, 16, 18, 19, 61, 66, 68, 81, 86, 89, 91, 98, 99))
"""All below 100, worked out by hand."""


class Judge:
    """Counts each rule's violations on a sheet."""

    def __init__(
        self, placed: Sequence[Placed], texts: Sequence[str], area: Polygon, closed: Sequence[Polygon], done: Dressed
    ) -> None:
        self.placed, self.texts, self.area, self.closed, self.done = placed, texts, area, closed, done
        self.outers = [one.outer for one in placed]
        self.owners = [n for n in range(len(placed)) if n not in done.bare]
        self.boxes = [box(*label.region.bounds) for label in done.labels]
        self.ticks = [LineString(one.points).buffer(one.width / 2, cap_style="flat") for one in done.ticks]
        self.lines = [LineString(one.points) for one in done.leaders]
        self.leaders = [line.buffer(0.05, cap_style="flat") for line in self.lines]
        self.wrong: Counter[str] = Counter()

    def judge(self) -> Counter[str]:
        """Violations by rule; empty where there are none."""
        self.wrong["without a number"] += len(self.placed) - len(self.done.labels)
        self.wrong["labels and owners differ"] += len(self.owners) != len(self.done.labels)
        led = self._led()
        for owner, label, spot in zip(self.owners, self.done.labels, self.boxes, strict=True):
            self._drawing(owner, label.region)
            self._nearness(owner, spot, owner in led)
            self._clear("label", spot, 0.15, [*self.outers, *self.closed, *self.ticks])
            self._clear("label", spot, 0.1, self.leaders)
            self.wrong["label off the film"] += not self.area.contains(spot.buffer(0.15 - EXACT, join_style="mitre"))
        for n, spot in enumerate(self.boxes):
            self._clear("label and label", spot, 0.2, self.boxes[:n])
            x0, y0, x1, y1 = spot.bounds
            self._clear("read as one", box(x0 - 0.6, y0, x1 + 0.6, y1), 0.2, self.boxes[:n])
        self._leaders(led)
        self._ticks()
        return +self.wrong

    def _clear(self, what: str, thing: Polygon, least: float, others: Sequence[Polygon]) -> None:
        if others:
            near = shapely.distance(thing, others) < least - EXACT
            self.wrong[f"{what} too near"] += int(near.sum())

    def _nearness(self, owner: int, spot: Polygon, led: bool) -> None:
        if led:
            return
        apart = shapely.distance(spot, self.outers)
        mine, others = float(apart[owner]), [float(d) for n, d in enumerate(apart) if n != owner]
        self.wrong["too far from its own"] += mine >= 0.8
        if others:
            nearest = min(others)
            self.wrong["nearer to another"] += nearest < mine
            self.wrong["about as near to another"] += nearest < max(mine + 0.2, 1.5 * mine) - EXACT

    def _drawing(self, owner: int, drawn: MultiPolygon) -> None:
        text, hand = self.texts[owner], self.placed[owner].piece.artwork.hand
        rest = next((left for left in (_without_text(drawn, text, cap) for cap in CAPS) if left is not None), None)
        if rest is None:
            self.wrong["not upright"] += 1
            return
        arrows = [part for part in rest if len(part.simplify(1e-4).exterior.coords) == 4]
        lines = [part for part in rest if part not in arrows]
        under = [p for p in lines if abs(p.bounds[3] - p.bounds[1] - 0.12) < EXACT]
        self.wrong["line under it"] += len(under) != _needs_line(text) or len(lines) != len(under)
        self.wrong["triangle"] += len(arrows) != (hand is not None)
        if hand and arrows:
            start = apply(self.placed[owner].matrix, (0.0, 0.0))
            end = apply(self.placed[owner].matrix, (-1.0 if hand == "left" else 1.0, 0.0))
            nose = math.atan2(end[1] - start[1], end[0] - start[0])
            self.wrong["triangle's way"] += math.cos(_way(arrows[0]) - nose) < 0.999

    def _led(self) -> dict[int, int]:
        """Which leader belongs to the label of which piece: it begins at that piece and ends at that label."""
        found = {}
        for n, line in enumerate(self.lines):
            start, end = shapely.Point(line.coords[0]), shapely.Point(line.coords[-1])
            for owner, spot in zip(self.owners, self.boxes, strict=True):
                # The outlines that are searched may lie 0.005 mm from the true ones.
                if spot.distance(end) < 0.2 and self.outers[owner].distance(start) < 0.006:
                    found[owner] = n
        return found

    def _leaders(self, led: dict[int, int]) -> None:
        self.wrong["leader from nowhere"] += len(self.leaders) != len(led)
        for owner, n in led.items():
            line, ink = self.lines[n], self.leaders[n]
            self.wrong["leader too short"] += line.length < 0.8 - EXACT
            tail = LineString([line.interpolate(0.3), line.coords[-1]])
            self.wrong["leader along its own piece"] += tail.distance(self.outers[owner]) < 0.09
            others = [other for k, other in enumerate(self.outers) if k != owner]
            others += [*self.closed, *self.ticks, *self.leaders[:n]]
            self._clear("leader", ink, 0.1, others)
            self._clear("leader", ink, 0.1, [b for o, b in zip(self.owners, self.boxes, strict=True) if o != owner])
            self.wrong["leader off the film"] += not self.area.contains(ink)

    def _ticks(self) -> None:
        wanted = 0
        for one in self.placed:
            x0, y0, x1, y1 = one.piece.artwork.cut_polygon.bounds
            whole = Polygon(one.piece.artwork.cut_polygon.exterior).area
            wanted += 8 if whole > 0.9 * (x1 - x0) * (y1 - y0) else 4
        said = [re.search(r"for (\d+) of", f.message) for f in self.done.findings if f.code == "tick-left-out"]
        self.wrong["ticks left out unsaid"] += wanted - len(self.ticks) != sum(int(m[1]) for m in said if m)
        for line, ink in zip(self.done.ticks, self.ticks, strict=True):
            self.wrong["tick too short"] += LineString(line.points).length < 0.5 - EXACT
            self._clear("tick", ink, 0.1, [*self.outers, *self.closed])
            on_edge = self.area.buffer(1e-6 + line.width / 2, join_style="mitre")
            self.wrong["tick off the film"] += not on_edge.contains(ink)


def _without_text(drawn: MultiPolygon, text: str, cap: float) -> list[Polygon] | None:
    """The same for a text whose letters may stand over its digits."""
    whole = _without(drawn, text, cap)
    digits = text.lstrip("ACEFJKPRTY")
    if whole is not None or digits == text:
        return whole
    rest = _without(drawn, digits, cap)
    return None if rest is None else _without(MultiPolygon(rest), text[: -len(digits)], cap)


def _without(drawn: MultiPolygon, text: str, cap: float) -> list[Polygon] | None:
    """What is left of a label without its number of a cap height, upright; None where that is not in it."""
    size = cap / paper("0", 10.0).cap_height * 10.0
    number = paper(text, size).region
    parts = list(drawn.geoms)
    for first in parts:
        # The number's first part lies where one of the label's does.
        mine = number.geoms[0].bounds
        moved = translate(number, first.bounds[0] - mine[0], first.bounds[1] - mine[1])
        if moved.difference(drawn).area < 1e-6:
            rest = drawn.difference(moved.buffer(1e-4))
            return [p for p in getattr(rest, "geoms", [rest]) if p.area > 1e-3]
    return None


def _needs_line(text: str) -> bool:
    """The letters of a job stand before the digits, and the line is of these."""
    text = text.lstrip("ACEFJKPRTY")
    if int(text) < 100:
        return int(text) in UNDERLINED
    if not set(text) <= set("01689"):
        return False
    back = "".join({"6": "9", "9": "6"}.get(c, c) for c in reversed(text))
    return back[0] != "0" and back != text


def _way(triangle: Polygon) -> float:
    """Where a triangle points: from the middle of its longest side to the corner opposite."""
    a, b, c = list(triangle.simplify(1e-4).exterior.coords)[:3]
    rows = [(math.dist(p, q), p, q, r) for p, q, r in ((a, b, c), (b, c, a), (c, a, b))]
    _, p, q, r = max(rows)
    return math.atan2(r[1] - (p[1] + q[1]) / 2, r[0] - (p[0] + q[0]) / 2)
