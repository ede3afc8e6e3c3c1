"""One drawing for each kind of panel: what to measure as arrows, with the words of the job file in the picture of all
kinds, with letters in rings on the measuring card. A drawing is not to scale."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence

from decalgen.core import style
from decalgen.core.document import Document
from decalgen.core.geometry import Point, arc_points, circle, region, rounded, segment_radius
from decalgen.core.values import dataclass
from decalgen.pages.composer import Sheaf
from decalgen.panels.registry import find

WIDE = 46.0
"""The width of a drawing, mm; arrows and rings lie up to `AROUND` outside it."""
AROUND = 9.0
RING = 2.3
"""Radius of the ring round a letter, mm."""
WIDE_RING = 2.8
"""Of that round two letters."""
CELL = (88.0, 66.0)
EDGE = 10.0
COLUMNS = 3


@dataclass(frozen=True)
class KindFrame:
    """Where on a page a drawing goes: its lower left corner; and which readings it shows, each with its letter, or with
    its own word where that is the same."""

    sheaf: Sheaf
    x: float
    y: float
    letters: Mapping[str, str]

    def line(self, points: Sequence[Point], closed: bool = False, dash: tuple[float, ...] = ()) -> None:
        """A line of the panel, in the drawing's own coordinates."""
        width = style.LINE_DIMENSION if dash else style.LINE_PANEL
        self.sheaf.line([self.at(one) for one in points], width, closed=closed, dash=dash)

    def size(self, key: str, a: Point, b: Point, offset: float = 0.0) -> None:
        """An arrow from a to b for a reading, ``offset`` mm to the left of that direction."""
        if key not in self.letters:
            return
        self.sheaf.dimension(self.at(a), self.at(b), offset, "")
        length = math.dist(a, b)
        ux, uy = (b[0] - a[0]) / length, (b[1] - a[1]) / length
        if self.letters[key] == key:
            # Words have tails below their line, which figures have not.
            lift = offset + 1.2
            x, y = self.at(((a[0] + b[0]) / 2 - uy * lift, (a[1] + b[1]) / 2 + ux * lift))
            turn = math.degrees(math.atan2(uy, ux))
            self.sheaf.text(x, y, key, style.TYPE_SMALL, align="centre", turn=turn)
        else:
            # A short one has its ring beyond its end, where its arrows come from.
            along = length / 2 if length > 4 * RING else length + 3.0 + RING
            self.ring((a[0] + ux * along - uy * offset, a[1] + uy * along + ux * offset), self.letters[key])

    def points_at(self, key: str, spot: Point, ring: Point, word: Point | None = None) -> None:
        """A thin line from a reading's ring to what it is about; ``word``: where its word begins, if that is shown."""
        if self.letters.get(key) == key:
            x, y = word or ring
            self.sheaf.line((self.at(spot), self.at((x, y))))
            left = x < spot[0]
            self.word((x + (-0.6 if left else 0.6), y - 1.0), key, "right" if left else "left")
        elif key in self.letters:
            self.sheaf.line((self.at(spot), self.at(ring)))
            self.ring(ring, self.letters[key])

    def ring(self, spot: Point, letter: str) -> None:
        """A letter in a ring."""
        draw_ring(self.sheaf, *self.at(spot), letter)

    def word(self, spot: Point, text: str, align: str = "left") -> None:
        """A word beside the drawing."""
        self.sheaf.text(*self.at(spot), text, style.TYPE_SMALL, align=align)

    def at(self, spot: Point) -> Point:
        """A spot of the drawing on the page."""
        return self.x + spot[0], self.y + spot[1]


def draw_ring(sheaf: Sheaf, x: float, y: float, letter: str) -> None:
    """A letter in a ring about x and y, on a ground that hides what runs through it."""
    r = RING if len(letter) == 1 else WIDE_RING
    sheaf.fill(region(circle((x, y), r)), style.PAPER)
    sheaf.outline(rounded(2 * r, 2 * r, (r,) * 4, x - r, y - r), style.LINE_DIMENSION)
    sheaf.text(x, y - 1.05, letter, style.TYPE_REST, bold=True, align="centre")


def bow(a: Point, b: Point, rise: float) -> list[Point]:
    """An arc from a to b, level, ``rise`` above them."""
    wide = b[0] - a[0]
    radius = segment_radius(wide, rise)
    half = math.asin(min(1.0, wide / 2 / radius))
    centre = ((a[0] + b[0]) / 2, a[1] + rise - radius)
    return list(arc_points(centre, radius, math.pi / 2 + half, math.pi / 2 - half, 0.02))


def _flat(f: KindFrame) -> None:
    f.line([(0, 0), (WIDE, 0), (WIDE, 22), (0, 22)], closed=True)
    f.size("width", (0, 0), (WIDE, 0), -5)
    f.size("height", (0, 0), (0, 22), 5)


def _tapered(f: KindFrame) -> None:
    f.line([(0, 0), (WIDE, 0), (WIDE - 10, 20), (7, 20)], closed=True)
    f.size("bottom width", (0, 0), (WIDE, 0), -5)
    f.size("height", (0, 0), (0, 20), 6 if "left inset" in f.letters else 5)
    f.size("top width", (7, 20), (WIDE - 10, 20), 4)
    for key, a, b in (("left inset", (0.0, 20.0), (7.0, 20.0)), ("right inset", (WIDE - 10, 20.0), (WIDE, 20.0))):
        if key in f.letters:
            x = a[0] if key == "left inset" else b[0]
            f.line([(x, 0), (x, 20)], dash=style.DASH_TRIM)
        f.size(key, a, b, 4)


def _outline(f: KindFrame) -> None:
    count = sum(key.startswith("outline ") for key in f.letters) or 5
    _corners(f, count, (WIDE / 2, 13.0), (18.0, 12.0), "outline")
    f.line([(-5, -2), (-5, 6)])
    f.line([(-5, -2), (3, -2)])
    f.word((4, -3), "x")
    f.word((-5.5, 7), "y")
    if "outline" in f.letters:
        f.word((0, -7), "outline: x and y of each corner")


def _corners(f: KindFrame, count: int, middle: Point, half: Point, key: str) -> None:
    """A figure of so many corners, once round from the lower left, each with its letter or number."""
    turns = [2 * math.pi * n / max(count, 1) + 1.25 * math.pi for n in range(count)]
    corners = [(middle[0] + half[0] * math.cos(t), middle[1] + half[1] * math.sin(t)) for t in turns]
    f.line(corners, closed=True)
    for n, t in enumerate(turns, 1):
        spot = (middle[0] + (half[0] + 4.2) * math.cos(t), middle[1] + (half[1] + 3.6) * math.sin(t))
        if key in f.letters:
            f.word((spot[0], spot[1] - 1), str(n), "centre")
        elif f"{key} {n}" in f.letters:
            f.ring(spot, f.letters[f"{key} {n}"])
    for name in ("arcs", "arc rises"):
        for n, t in enumerate(turns, 1):
            if f"{name} {n}" in f.letters:
                m = t + math.pi / max(count, 1)
                f.ring((middle[0] + half[0] * 0.55 * math.cos(m), middle[1] + half[1] * 0.55 * math.sin(m)),
                       f.letters[f"{name} {n}"])  # fmt: skip


def _cylinder(f: KindFrame) -> None:
    f.line(bow((0, 19), (WIDE, 19), 10))
    f.line([(0, 19), (WIDE, 19)], dash=style.DASH_TRIM)
    f.size("chord", (0, 19), (WIDE, 19), -4)
    f.size("rise", (WIDE / 2, 19), (WIDE / 2, 29), 0.01)
    for key, spot, ring in (
        ("radius", (WIDE * 0.78, 25.6), (WIDE * 0.62, 22.5)),
        ("angle", (WIDE * 0.22, 25.6), (WIDE * 0.38, 22.5)),
        ("tape", (WIDE * 0.3, 27.6), (WIDE * 0.2, 30.0)),
    ):
        f.points_at(key, spot, ring)
    f.line([(0, 0), (WIDE, 0), (WIDE, 10), (0, 10)], closed=True)
    keys = ("length", "height", "width")
    f.size(next((key for key in keys if key in f.letters), "length"), (0, 0), (0, 10), 5)
    f.word((WIDE / 2, 4), "from above", "centre")


def _cone(f: KindFrame) -> None:
    f.line(bow((0, 0), (WIDE, 0), 5))
    f.line(bow((9, 25), (WIDE - 9, 25), 4))
    f.line([(0, 0), (9, 25)])
    f.line([(WIDE, 0), (WIDE - 9, 25)])
    f.line([(9, 25), (WIDE - 9, 25)], dash=style.DASH_TRIM)
    f.line([(0, 0), (WIDE, 0)], dash=style.DASH_TRIM)
    f.size("bottom chord", (0, 0), (WIDE, 0), -5)
    f.size("top chord", (9, 25), (WIDE - 9, 25), 9)
    f.size("slant length", (WIDE / 2 + 12, 3.6), (WIDE / 2 + 12, 26.1), 0.01)
    f.points_at("bottom rise", (13.0, 2.2), (WIDE / 2 - 9, 11.0), (14.5, 11.0))
    f.points_at("top rise", (WIDE / 2 - 4, 27), (WIDE / 2 - 9, 20.6), (20.5, 20.4))


def _edge(f: KindFrame) -> None:
    corner = arc_points((18, 17), 4, 0.0, math.pi / 2, 0.02)
    f.line([(22, 0), (22, 17), *corner, (18, 21), (0, 21)])
    f.size("first face", (22, 0), (22, 21), -4)
    f.size("second face", (0, 21), (22, 21), 4)
    f.points_at("edge radius", (20.9, 19.9), (14.0, 14.5), (17.0, 14.0))
    f.points_at("turn", (19.5, 17.0), (8.0, 8.0))
    f.line([(30, 0), (WIDE, 0), (WIDE, 17), (30, 17)], closed=True)
    f.size("length", (30, 0), (WIDE, 0), -5)
    f.word((11, -4), "from the side", "centre")


def _leaning(f: KindFrame) -> None:
    f.line([(4, 0), (16, 21)])
    f.line([(4, 0), (4, 21)], dash=style.DASH_TRIM)
    f.size("height", (4, 0), (4, 21), 6)
    f.size("run", (4, 21), (16, 21), 3)
    f.points_at("lean", (6.2, 8.5), (8.0, 15.5), (12.5, 5.0))
    f.size("rise", (16, 0), (16, 21), -3)
    f.line([(25, 0), (WIDE, 0), (WIDE, 21), (25, 21)], closed=True)
    f.size("width", (25, 0), (WIDE, 0), -5)
    f.word((8, -4), "side", "centre")
    f.word((35.5, 10), "front", "centre")


def _dome(f: KindFrame) -> None:
    for up, word, foot in (("width", "across", 20.0), ("height", "up", 0.0)):
        f.line(bow((0, foot), (WIDE, foot), 8))
        f.line([(0, foot), (WIDE, foot)], dash=style.DASH_TRIM)
        f.size(up, (0, foot), (WIDE, foot), -5)
        f.points_at(f"rise {word}", (WIDE * 0.45, foot + 4.0), (WIDE * 0.3, foot + 3.2))
        if f"rise {word}" in f.letters:
            f.sheaf.dimension(f.at((WIDE * 0.45, foot)), f.at((WIDE * 0.45, foot + 7.9)), 0.01, "")
        f.points_at(f"radius {word}", (WIDE * 0.8, foot + 5.0), (WIDE * 0.66, foot + 3.0), (WIDE * 0.92, foot + 8.0))
        f.points_at(f"chord {word}", (WIDE * 0.88, foot), (WIDE * 0.97, foot + 6.0))
        f.word((-8, foot + 5), word)


def _prototype(f: KindFrame) -> None:
    f.line([(0, 0), (WIDE, 0), (WIDE, 14), (0, 14)], closed=True, dash=style.DASH_TRIM)
    f.word((WIDE / 2, 7.8), "prototype: sizes of", "centre")
    f.word((WIDE / 2, 4.2), "the full-size vehicle", "centre")


DRAWINGS: dict[str, tuple[Callable[[KindFrame], None], float]] = {
    "flat": (_flat, 22.0),
    "tapered": (_tapered, 24.0),
    "outline": (_outline, 26.0),
    "cylinder": (_cylinder, 30.0),
    "cone": (_cone, 35.0),
    "edge wrap": (_edge, 25.0),
    "leaning": (_leaning, 24.0),
    "dome": (_dome, 28.0),
    "prototype": (_prototype, 14.0),
}
"""By the kind's name, with its height in mm."""


HIGH = max(high for _, high in DRAWINGS.values())
"""The height of the highest drawing, mm."""


def draw_kind(sheaf: Sheaf, kind: str, x: float, y: float, letters: Mapping[str, str] | None = None) -> None:
    """The drawing of a kind, its lower left corner at x and y; ``letters``: of each reading by its key. Without them
    the words of the readings that are asked for first. Raises KeyError for a kind without a drawing."""
    words = {key: key for key in find(kind).needs[0]} if letters is None else letters
    DRAWINGS[kind][0](KindFrame(sheaf, x, y, words))


def kinds_picture(known: Sequence[tuple[str, str]]) -> Document:
    """All kinds on one page, numbered as they are asked for: ``known`` are their names with a line on each."""
    rows = -(-len(known) // COLUMNS)
    wide, high = CELL
    sheaf = Sheaf(COLUMNS * wide + 2 * EDGE, rows * high + 2 * EDGE + 8)
    sheaf.text(EDGE, sheaf.height - EDGE - 3, "Kinds of panel", style.TYPE_TITLE, bold=True)
    for n, (name, about) in enumerate(known):
        x = EDGE + n % COLUMNS * wide
        top = sheaf.height - EDGE - 14 - n // COLUMNS * high
        sheaf.text(x, top, f"{n + 1}  {name}", style.TYPE_BODY, bold=True, colour=style.ACCENT)
        foot = sheaf.paragraph(x, top - 4.5, wide - 6, about, style.TYPE_SMALL, colour=style.QUIET)
        draw_kind(sheaf, name, x + 16, foot - AROUND - DRAWINGS[name][1])
    from dataclasses import replace

    return Document((replace(sheaf.page(), ground=style.GROUND),), title="Kinds of panel")
