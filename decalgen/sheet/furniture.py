"""What is printed in the waste of a sheet of film whatever lies on it: three registration marks and a few words, both
where film is printed anyway, so that they cost none. All else that a print is judged by stands on its proof.

Everything has a keep-out for numbers and ticks. Nothing here is printed on a decal. Pure; mm, sheet coordinates (origin
at the sheet's lower left corner). "Furniture" is the printer's word for what fills the waste round the work.
"""

from __future__ import annotations

from shapely.geometry import Polygon, box

from decalgen.core import style
from decalgen.core.document import Fill, Item, Line
from decalgen.core.geometry import Bounds, circle, region, rotation, transform, translation
from decalgen.core.values import dataclass
from decalgen.lettering.paper import paper
from decalgen.sheet.check_bars import CheckBar
from decalgen.sheet.free_places import NONE, FreePlaces
from decalgen.sheet.marks import CLEAR, OFF_REST, SIZE, MarkGround, MarkSpots

WORDS_PT = (style.TYPE_SMALL, 7.0)
"""Type sizes of the words, pt: the smaller where there is no room."""


@dataclass(frozen=True)
class Furniture:
    """The furniture of one sheet: what to draw, what numbers and ticks keep out of, and where to align and measure.

    ``registration``: the middles of three marks, the second in line across with the first, the third in line up with
    it; ``bars``: check bars on the film itself, which earlier versions printed; ``words``: what is written there."""

    items: tuple[Item, ...]
    keep_outs: tuple[Polygon, ...]
    registration: MarkSpots
    bars: tuple[CheckBar, ...] = ()
    words: str = ""


def furniture(ground: MarkGround, spots: MarkSpots, rest: Bounds | None, words: str) -> Furniture:
    """Marks at their ``spots`` and the words in a gap, off ``rest``, which stays blank; none where no room is."""
    items: list[Item] = []
    half = SIZE / 2
    keep_outs = [box(x - half, y - half, x + half, y + half) for x, y in spots]
    for spot in spots:
        items += registration_mark(spot)
    written = _words(ground, keep_outs, rest, words)
    if written is not None:
        items.append(written)
        x0, y0, x1, y1 = written.region.bounds
        keep_outs.append(box(x0 - CLEAR, y0 - CLEAR, x1 + CLEAR, y1 + CLEAR))
    return Furniture(tuple(items), tuple(keep_outs), spots, (), words if written is not None else "")


def _words(ground: MarkGround, taken: list[Polygon], rest: Bounds | None, words: str) -> Fill | None:
    """The words in the gap with the most room, the lowest and leftmost of several: along the sheet or up it."""
    for size in WORDS_PT:
        ink = paper(words, size).region
        for turn in (0, 90):
            turned = transform(ink, rotation(turn))
            x0, y0, x1, y1 = turned.bounds
            room = (x1 - x0 + 2 * CLEAR, y1 - y0 + 2 * CLEAR)
            places = FreePlaces(ground.area, room, [*ground.outers, *ground.gone, *taken])
            grades = places.outside(ground.kept(rest), OFF_REST - CLEAR)
            if not grades.size or grades.min() == NONE:
                continue
            row, column = divmod(int(grades.argmin()), grades.shape[1])
            at = (float(places.xs[column]) - (x0 + x1) / 2, float(places.ys[row]) - (y0 + y1) / 2)
            return Fill(region(transform(turned, translation(*at))), style.TEXT)
    return None


def registration_mark(
    centre: tuple[float, float],
    colour: str = style.TEXT,
    cross: float = style.REGISTRATION_CROSS,
    circle_across: float = style.REGISTRATION_CIRCLE,
) -> list[Item]:
    """A circle with a cross through it, in mm."""
    cx, cy = centre
    half = cross / 2
    ring = tuple((float(x), float(y)) for x, y in circle(centre, circle_across / 2).exterior.coords[:-1])
    width = style.LINE_MARK
    return [
        Line(ring, width, colour, closed=True),
        Line(((cx - half, cy), (cx + half, cy)), width, colour),
        Line(((cx, cy - half), (cx, cy + half)), width, colour),
    ]


def earlier_mark(x: float, y: float, number: int) -> list[Item]:
    """A registration mark of an earlier print on the same film, as a proof repeats it: in a box, with which print."""
    # The box leaves room for a figure in its corner, and stays within the distance that pieces keep from used film.
    half = style.REGISTRATION_CROSS / 2 + 0.9
    corners = ((x - half, y - half), (x + half, y - half), (x + half, y + half), (x - half, y + half))
    line = paper(str(number), style.TYPE_SMALL)
    moved = transform(line.region, translation(x + half - line.width - 0.3, y + half - line.cap_height - 0.3))
    return [
        *registration_mark((x, y), style.ACCENT),
        Line(corners, style.LINE_DIMENSION, style.ACCENT, closed=True),
        Fill(region(moved), style.ACCENT),
    ]
