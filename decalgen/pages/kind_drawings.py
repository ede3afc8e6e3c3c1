"""One small drawing for each kind of panel: what to measure as arrows, with the words of the job file."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from decalgen.core import style
from decalgen.core.document import Document
from decalgen.core.geometry import Point, arc_points
from decalgen.core.values import dataclass
from decalgen.pages.composer import Sheaf

WIDE, HIGH = 40.0, 20.0
"""The room of a drawing, mm; its arrows lie outside it."""
CELL = (80.0, 66.0)
EDGE = 10.0
COLUMNS = 3


@dataclass(frozen=True)
class KindFrame:
    """Where on a page a drawing goes: its lower left corner."""

    sheaf: Sheaf
    x: float
    y: float

    def line(self, points: Sequence[Point], closed: bool = False, dash: tuple[float, ...] = ()) -> None:
        """A line of the panel, in the drawing's own coordinates."""
        self.sheaf.line(
            [self.at(one) for one in points], style.LINE_PANEL if not dash else 0.15, closed=closed, dash=dash
        )

    def size(self, a: Point, b: Point, offset: float, label: str) -> None:
        """An arrow from a to b with its word."""
        self.sheaf.dimension(self.at(a), self.at(b), offset, label)

    def word(self, spot: Point, text: str) -> None:
        """A word beside the drawing."""
        x, y = self.at(spot)
        self.sheaf.text(x, y, text, style.TYPE_SMALL)

    def at(self, spot: Point) -> Point:
        """A spot of the drawing on the page."""
        return self.x + spot[0], self.y + spot[1]


def bow(a: Point, b: Point, rise: float) -> list[Point]:
    """An arc from a to b, level, ``rise`` above them."""
    wide = b[0] - a[0]
    radius = wide * wide / (8 * rise) + rise / 2
    half = math.asin(min(1.0, wide / 2 / radius))
    centre = ((a[0] + b[0]) / 2, a[1] + rise - radius)
    return list(arc_points(centre, radius, math.pi / 2 + half, math.pi / 2 - half, 0.02))


def _flat(f: KindFrame) -> None:
    f.line([(0, 0), (WIDE, 0), (WIDE, HIGH), (0, HIGH)], closed=True)
    f.size((0, 0), (WIDE, 0), -4, "width")
    f.size((0, 0), (0, HIGH), 4, "height")


def _tapered(f: KindFrame) -> None:
    f.line([(0, 0), (WIDE, 0), (WIDE - 8, HIGH), (5, HIGH)], closed=True)
    f.size((0, 0), (WIDE, 0), -4, "bottom width")
    f.size((5, HIGH), (WIDE - 8, HIGH), 4, "top width")
    f.size((0, 0), (0, HIGH), 4, "height")
    f.word((WIDE - 7, HIGH + 1), "right inset")
    f.word((-9, HIGH + 1), "left inset")


def _outline(f: KindFrame) -> None:
    corners = [(0.0, 0.0), (WIDE, 0.0), (WIDE, 9.0), (27.0, HIGH), (0.0, HIGH)]
    f.line(corners, closed=True)
    f.word((0, -4), "outline: x and y of each point, from the lower left")
    for number, (x, y) in enumerate(corners, 1):
        f.word((x + 0.8, y + 0.8), str(number))


def _cylinder(f: KindFrame) -> None:
    f.line(bow((0, 4), (WIDE, 4), 9))
    f.line([(0, 4), (WIDE, 4)], dash=style.DASH_TRIM)
    f.size((0, 4), (WIDE, 4), -4, "chord")
    f.size((WIDE / 2, 4), (WIDE / 2, 13), -1, "rise")
    f.word((0, 15.5), "tape: along the bend")
    f.word((0, 19), "length: along the straight way")


def _cone(f: KindFrame) -> None:
    f.line(bow((0, 0), (WIDE, 0), 4))
    f.line(bow((8, 18), (WIDE - 8, 18), 3))
    f.line([(0, 0), (8, 18)])
    f.line([(WIDE, 0), (WIDE - 8, 18)])
    f.line([(8, 18), (WIDE - 8, 18)], dash=style.DASH_TRIM)
    f.line([(0, 0), (WIDE, 0)], dash=style.DASH_TRIM)
    f.size((0, 0), (WIDE, 0), -4, "bottom chord")
    f.size((8, 18), (WIDE - 8, 18), 7, "top chord")
    f.size((WIDE / 2, 4), (WIDE / 2, 21), 1, "slant length")
    f.word((WIDE / 2 + 2, 1), "bottom rise")
    f.word((WIDE / 2 + 2, 18.4), "top rise")


def _edge(f: KindFrame) -> None:
    corner = arc_points((26, 14), 4, 0.0, math.pi / 2, 0.02)
    f.line([(30, 0), (30, 14), *corner, (26, 18), (6, 18)])
    f.size((30, 0), (30, 18), -4, "first face")
    f.size((6, 18), (30, 18), 4, "second face")
    f.word((10, 12), "edge radius")
    f.word((0, 4), "length: along the edge")


def _leaning(f: KindFrame) -> None:
    f.line([(12, 0), (26, HIGH)])
    f.line([(12, 0), (12, HIGH)], dash=style.DASH_TRIM)
    f.size((12, 0), (12, HIGH), 4, "height")
    f.size((12, HIGH), (26, HIGH), 3, "run")
    f.word((14.5, 12), "lean")
    f.word((24, 2), "width: as in a front view")


def _dome(f: KindFrame) -> None:
    f.line(bow((0, 9), (WIDE, 9), 6))
    f.line([(0, 9), (WIDE, 9)], dash=style.DASH_TRIM)
    f.size((0, 9), (WIDE, 9), -4, "width")
    f.line([(WIDE / 2, 9), (WIDE / 2, 15)])
    f.word((WIDE / 2 + 1, 10.5), "rise across")
    f.word((0, 19), "radius across: of this bend")
    f.word((0, 0), "height, rise up, radius up: the same the other way")


def _prototype(f: KindFrame) -> None:
    f.line([(0, 0), (WIDE, 0), (WIDE, HIGH), (0, HIGH)], closed=True, dash=style.DASH_TRIM)
    f.word((4, HIGH / 2), "prototype: full-size sizes")


DRAWINGS: dict[str, Callable[[KindFrame], None]] = {
    "flat": _flat,
    "tapered": _tapered,
    "outline": _outline,
    "cylinder": _cylinder,
    "cone": _cone,
    "edge wrap": _edge,
    "leaning": _leaning,
    "dome": _dome,
    "prototype": _prototype,
}
"""By the kind's name."""


def draw_kind(sheaf: Sheaf, kind: str, x: float, y: float) -> None:
    """The drawing of a kind, its lower left corner at x and y. Raises KeyError for a kind without one."""
    DRAWINGS[kind](KindFrame(sheaf, x, y))


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
        sheaf.paragraph(x, top - 4.5, wide - 6, about, style.TYPE_SMALL, colour=style.QUIET)
        draw_kind(sheaf, name, x + 16, top - 43)
    from dataclasses import replace

    return Document((replace(sheaf.page(), ground=style.GROUND),), title="Kinds of panel")
