"""One drawing for each kind of obstacle on the lower left corner of its panel, and one of lettering, for the measuring
card: what to measure as arrows, with letters in rings. A drawing is not to scale."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

from decalgen.core.geometry import Point, arc_points, polygons, rectangle, region, rounded, transform, translation
from decalgen.pages.composer import Sheaf
from decalgen.pages.kind_drawings import WIDE, KindFrame

SHADE = "#d3d7d9"
"""What an obstacle and lettering are filled with: light enough for arrows, dark enough in a grey print."""
ARCH = "wheel arch"
"""The drawing of a circle whose middle lies below the foot of the panel."""
LETTERING = "lettering"


def _corner(f: KindFrame, high: float = 26.0) -> None:
    """The lower left corner of a panel."""
    f.line([(0, high), (0, 0), (WIDE, 0)])
    f.word((-1.5, -4.2), "lower left corner", "left")


def _shaded(f: KindFrame, points: list[Point]) -> None:
    from shapely.geometry import Polygon

    f.sheaf.fill(region(Polygon([f.at(one) for one in points])), SHADE)
    f.line(points, closed=True)


def _place(f: KindFrame, spot: Point) -> None:
    """How far a spot is from the left edge and from the foot."""
    f.size("at x", (0, spot[1]), spot, 0.01)
    f.size("at y", (spot[0], 0), spot, -0.01)


def _box(f: KindFrame, soft: float) -> None:
    _corner(f)
    x, y, w, h = 17.0, 11.0, 20.0, 10.0
    shape = rounded(w, h, (soft,) * 4, x, y)
    _shaded(f, list(shape.polygon.exterior.coords)[:-1])
    f.size("width", (x, y + h), (x + w, y + h), 4)
    f.size("height", (x + w, y), (x + w, y + h), -4)
    _place(f, (x, y))


def _rectangle(f: KindFrame) -> None:
    _box(f, 0.0)


def _slot(f: KindFrame) -> None:
    _box(f, 5.0)


def _round(f: KindFrame) -> None:
    _corner(f)
    middle, r = (26.0, 14.0), 7.0
    _shaded(f, list(arc_points(middle, r, 0.0, 2 * math.pi, 0.02)))
    f.size("circle", (middle[0] - r, middle[1]), (middle[0] + r, middle[1]), 11)
    _place(f, middle)


def _arch(f: KindFrame) -> None:
    middle, r = (27.0, 4.0), 13.0
    half = math.asin((8.0 - middle[1]) / r)
    _shaded(f, list(arc_points(middle, r, math.pi - half, half, 0.02)))
    f.line([(0, 28), (0, 8), (WIDE, 8)])
    f.line([(middle[0] - 2, middle[1]), (middle[0] + 2, middle[1])])
    f.line([(middle[0], middle[1] - 2), (middle[0], middle[1] + 2)])
    f.size("circle", (middle[0] - r, middle[1]), (middle[0] + r, middle[1]), 19)
    f.size("at x", (0, 0), (middle[0], 0), -3)
    f.points_at("at y", (WIDE, 6), (WIDE + 4, 6))
    f.sheaf.dimension(f.at((WIDE - 2, middle[1])), f.at((WIDE - 2, 8)), 0.01, "")


def _line(f: KindFrame) -> None:
    _corner(f, 28)
    count = max(2, sum(key.startswith("line ") for key in f.letters))
    spots = [(22.0 + 5.0 * (n % 2) * (count > 2), 2.0 + 24.0 * n / (count - 1)) for n in range(count)]
    for side in (-0.6, 0.6):
        f.line([(x + side, y) for x, y in spots])
    for n, (x, y) in enumerate(spots, 1):
        if f"line {n}" in f.letters:
            f.ring((x + 5.0 + 5.4 * (n % 2 == 0) * (count > 5), y), f.letters[f"line {n}"])
    f.points_at("width", (spots[0][0] - 0.6, 9.0), (12.0, 9.0))


def _outline(f: KindFrame) -> None:
    _corner(f, 30)
    count = max(3, sum(key.startswith("outline ") for key in f.letters))
    turns = [2 * math.pi * n / count + 1.25 * math.pi for n in range(count)]
    _shaded(f, [(25.0 + 12.0 * math.cos(t), 16.0 + 8.5 * math.sin(t)) for t in turns])
    for n, t in enumerate(turns, 1):
        if f"outline {n}" in f.letters:
            f.ring((25.0 + 16.6 * math.cos(t), 16.0 + 12.4 * math.sin(t)), f.letters[f"outline {n}"])


def _lettering(f: KindFrame) -> None:
    """An H and an E."""
    stem, bar, high = 4.4, 3.6, 22.0
    shapes = [rectangle(x, 0, x + stem, high) for x in (0.0, 14.0, 28.0)]
    shapes.append(rectangle(0, (high - bar) / 2, 16, (high + bar) / 2))
    shapes += [rectangle(28, y, 44, y + bar) for y in (0.0, (high - bar) / 2, high - bar)]
    from shapely import union_all

    for part in polygons(union_all(shapes)):
        f.sheaf.fill(region(transform(part, translation(f.x, f.y))), SHADE)
    f.size("cap height", (0, 0), (0, high), 5)
    f.size("length", (0, 0), (44, 0), -5)
    f.size("stem", (14, high), (14 + stem, high), 4)
    f.size("crossbar", (9, (high - bar) / 2), (9, (high + bar) / 2), 0.01)


OBSTACLES: dict[str, tuple[Callable[[KindFrame], None], float]] = {
    "rectangle": (_rectangle, 27.0),
    "circle": (_round, 28.0),
    "slot": (_slot, 27.0),
    "line": (_line, 29.0),
    "outline": (_outline, 31.0),
    ARCH: (_arch, 27.0),
    LETTERING: (_lettering, 27.0),
}
"""By the kind's name, with its height in mm."""


def draw_obstacle(sheaf: Sheaf, kind: str, x: float, y: float, letters: Mapping[str, str]) -> None:
    """The drawing of a kind of obstacle, or of lettering, its lower left corner at x and y."""
    OBSTACLES[kind][0](KindFrame(sheaf, x, y, letters))
