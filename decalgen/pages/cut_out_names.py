"""The name of a panel inside its drawing, so that a panel that was cut out still says what it is: in a free place off
decals, obstacles and hairlines. Pure; mm."""

from __future__ import annotations

from collections.abc import Sequence

from shapely.geometry import Polygon, box

from decalgen.core import style
from decalgen.core.geometry import apply, multiply, polygons, region, rotation, transform, translation
from decalgen.core.values import dataclass
from decalgen.job.model import Hand
from decalgen.lettering.paper import paper, paper_width
from decalgen.pages.composer import Sheaf
from decalgen.sheet.free_places import NONE, FreePlaces

SIZE = style.TYPE_SMALL
NOSE = 2.0
"""Length of the triangle that points to the nose of the model, mm."""
NOSE_HALF = 1.1
"""Half the length of its back, mm."""
ASIDE = 1.0
"""Between the triangle and the words, mm."""
ROOM = 0.5
"""Bare paper round all, mm."""


@dataclass(frozen=True)
class InsideName:
    """What stands in a panel: the words, the middle of all, how far they are turned, and, of a handed panel, the side
    that it is and where the nose is, in degrees from the right."""

    words: str
    x: float
    y: float
    turn: float
    hand: Hand | None
    nose: float = 0.0


def nose_way(hand: Hand, upright: bool) -> float:
    """Where the nose is seen from a panel, in degrees from the right: a panel that stands ``upright`` was turned to the
    left."""
    return (180.0 if hand == "left" else 0.0) + (90.0 if upright else 0.0)


def name_inside(
    panel: Polygon, taken: Sequence[Polygon], words: Sequence[str], hand: Hand | None, upright: bool
) -> InsideName | None:
    """The first of the ``words`` that has room in a panel off all that is ``taken``: along it, else up it; None where
    none has. A panel that stands ``upright`` has them turned with it."""
    area = panel.bounds
    things = [*polygons(box(*area).difference(panel)), *taken]
    for text in words:
        long, high = name_size(text, hand)
        for turn in (90.0, 0.0) if upright else (0.0, 90.0):
            size = (long, high) if turn == 0.0 else (high, long)
            if size[0] > area[2] - area[0] or size[1] > area[3] - area[1]:
                continue
            places = FreePlaces(area, size, things)
            if places.grades.size and places.grades.min() < NONE:
                row, column = divmod(int(places.grades.argmin()), places.grades.shape[1])
                way = nose_way(hand, upright) if hand else 0.0
                return InsideName(text, float(places.xs[column]), float(places.ys[row]), turn, hand, way)
    return None


def name_size(words: str, hand: Hand | None) -> tuple[float, float]:
    """The length and height of the room that a name takes, mm."""
    return _length(words, hand) + 2 * ROOM, _cap() + 0.9 + 2 * ROOM


def put_name(sheaf: Sheaf, name: InsideName, dx: float, dy: float) -> None:
    """Writes it onto a page."""
    lead = NOSE + ASIDE if name.words else NOSE
    begin = -_length(name.words, name.hand) / 2
    # The triangle stands before the words on the left side and behind them on the right.
    text, arrow = (begin + lead, begin + NOSE / 2) if name.hand == "left" else (begin, -begin - NOSE / 2)
    place = multiply(translation(name.x + dx, name.y + dy), rotation(name.turn))
    x, y = apply(place, (text, -_cap() / 2))
    if name.words:
        sheaf.text(x, y, name.words, SIZE, turn=name.turn)
    if name.hand:
        sheaf.fill(region(nose_triangle(*apply(place, (arrow, 0.0)), name.nose)), style.TEXT)


def nose_triangle(x: float, y: float, way: float) -> Polygon:
    """A triangle round a point that points that way."""
    tip = Polygon([(NOSE / 2, 0.0), (-NOSE / 2, NOSE_HALF), (-NOSE / 2, -NOSE_HALF)])
    return polygons(transform(tip, multiply(translation(x, y), rotation(way))))[0]


def _length(words: str, hand: Hand | None) -> float:
    beside = NOSE + (ASIDE if words else 0.0) if hand else 0.0
    return (paper_width(words, SIZE) if words else 0.0) + beside


def _cap() -> float:
    return paper("0", SIZE).cap_height
