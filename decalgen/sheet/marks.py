"""Where the registration marks of a sheet stand: three crosses in the film that is printed anyway, off the largest
piece that stays blank. Cross to cross is a length to measure, so two stand in line across the sheet and two in line up.

They are looked for in the gaps between the pieces, as far apart as these allow. A caliper's reading has U (k = 2); a
span shows whether a print is right to a share t only where it is at least 2 U / t long (`least_span`): a shorter one
can show that a print is wrong, not that it is right. Pure; mm.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from functools import cache

import numpy as np
import shapely
from shapely.geometry import Polygon, box
from shapely.geometry.base import BaseGeometry

from decalgen.core import style
from decalgen.core.arrays import FloatArray
from decalgen.core.geometry import Bounds
from decalgen.core.instruments import CALIPER
from decalgen.core.values import dataclass
from decalgen.nesting.remnant import largest_rectangle
from decalgen.printer.history import TOLERANCE
from decalgen.sheet.free_places import NONE, ROOMS, STEP, FreePlaces
from decalgen.sheet.waste import BoolArray, IntArray

HALF = style.REGISTRATION_CROSS / 2 + style.LINE_MARK / 2
CLEAR = 0.3
"""Bare film round a mark, mm."""
SIZE = 2 * (HALF + CLEAR)
OFF_REST = 1.0
"""Bare film between what is printed and the piece that stays blank, mm."""
READINGS = 3
"""So often a span is measured."""
LONGEST = 140.0
"""No span is longer, mm, as a caliper of 150 mm has to reach it; but half of what a cutter reaches over is spanned."""
NEARLY = 0.85
"""So much of what the film has room for is as far apart as is wanted."""
LEAST = 6.0
"""No two marks stand nearer, mm."""
READING = 0.1
"""How closely a cutting machine, or whoever aligns it, reads the middle of a cross, mm (common practice, no source)."""
REFUSING = 20.0
"""The shortest span, mm, that still shows prints that are wrong by 1 % or more."""
PARTS = (0.01, 0.02, 0.03, 0.04, 0.05, 0.08, 0.13, 0.2, 0.35, 0.6)
"""Parts of the blank piece that marks take, the least that does, where they find no place outside it."""
WORTH = 0.01
"""So much of it, at most, for longer spans alone."""

MarkSpot = tuple[float, float]
MarkSpots = tuple[MarkSpot, ...]


def least_span(share: float = TOLERANCE) -> float:
    """The shortest span, mm, in whole centimetres, that shows whether a print is right to a ``share``: 2 U / t, with U
    (k = 2) of three readings with a caliper."""
    return math.ceil(4 * CALIPER.u_lines(100.0, READINGS) / share / 10 - 1e-9) * 10.0


def spans(spots: MarkSpots) -> tuple[float, float]:
    """How far apart three marks stand, across and up, mm."""
    (x, y), (across, _), (_, up) = spots
    return abs(across - x), abs(up - y)


@dataclass(frozen=True)
class CrossLength:
    """The distance of two marks, from the middle of one cross to the next, mm. ``axis``: 'x' across the sheet, 'y' up
    it; ``which``: the two that are meant."""

    axis: str
    which: str
    length: float

    @property
    def measured(self) -> bool:
        """Whether it is long enough to be worth measuring at all."""
        return self.length >= REFUSING

    @property
    def proves(self) -> bool:
        """Whether it is long enough to show that a print is right, and not only that it is wrong."""
        return self.length >= least_span() - 1e-6


def cross_lengths(spots: MarkSpots) -> tuple[CrossLength, ...]:
    """What can be measured of three marks, across and up; nothing where there are none."""
    if not spots:
        return ()
    (x, y), (across, _), (_, up) = spots
    wide, high = spans(spots)
    return (
        CrossLength("x", "lower two" if up > y else "upper two", round(wide, 2)),
        CrossLength("y", "left two" if across > x else "right two", round(high, 2)),
    )


def alignment_error(spots: MarkSpots, reached: Bounds, reading: float = READING) -> float:
    """How far a cutting machine that is aligned by three marks may cut beside a piece in ``reached``, mm: each mark is
    read to within ``reading``, and what lies beyond a mark moves by that times its distance, over the span."""
    (x, y), _, _ = spots
    wide, high = spans(spots)
    x0, y0, x1, y1 = reached
    far = (max(abs(x0 - x), abs(x1 - x)) / wide, max(abs(y0 - y), abs(y1 - y)) / high)
    return reading * max(1.0, *far)


@dataclass(frozen=True)
class MarkGround:
    """A sheet to put marks on. ``area``: what can be printed of it; ``outers``: its pieces with their bleed; ``gone``:
    used film; ``rest``: the largest rectangle that stays blank; ``beyond``: the strip behind the last piece."""

    area: Bounds
    outers: tuple[Polygon, ...]
    gone: tuple[Polygon, ...]
    rest: Bounds | None
    beyond: Bounds | None

    @property
    def reach(self) -> tuple[float, float]:
        """How wide and how high the pieces reach, mm."""
        x0, y0, x1, y1 = _round(self.outers)
        return x1 - x0, y1 - y0

    def kept(self, rest: Bounds | None) -> list[Bounds]:
        """What marks keep off, if ``rest`` is what stays blank."""
        if rest is None or self.beyond is None:
            return [] if rest is None else [rest]
        x0, y0, x1, y1 = self.beyond
        # What is taken of the one is taken of the other.
        if self.rest is not None and y0 > self.area[1] and rest[1] > self.rest[1]:
            y0 = max(y0, rest[1])
        elif self.rest is not None and x0 > self.area[0] and rest[0] > self.rest[0]:
            x0 = max(x0, rest[0])
        return [rest, (x0, y0, x1, y1)]


@dataclass(frozen=True)
class MarkPlaces:
    """``spots``: the middles of three marks, the second in line across with the first, the third in line up with it;
    none where there is no room. ``rest``: what stays blank beside them. ``wide``: whether they stand as far apart as
    is wanted."""

    spots: MarkSpots
    rest: Bounds | None
    wide: bool


def ground_of(outers: Sequence[Polygon], area: Polygon, gone: Sequence[Polygon], side: str) -> MarkGround:
    """The ground of a sheet with pieces on it, by their outlines with bleed; ``side``: where they gather, 'left' or
    'bottom'."""
    x0, y0, x1, y1 = area.bounds
    _, _, right, high = _round(outers)
    behind = (right + OFF_REST, y0, x1, y1) if side == "left" else (x0, high + OFF_REST, x1, y1)
    there = behind[2] > behind[0] and behind[3] > behind[1]
    rest = blank_beside((x0, y0, x1, y1), [*outers, *gone])
    return MarkGround((x0, y0, x1, y1), tuple(outers), tuple(gone), rest, behind if there else None)


def blank_beside(area: Bounds, things: Sequence[BaseGeometry]) -> Bounds | None:
    """The largest rectangle of an area that keeps off all ``things``; None where nothing is left."""
    taken = shapely.buffer(np.array(things, dtype=object), OFF_REST, join_style="mitre", mitre_limit=1.0)
    return largest_rectangle(area, taken)


def place_marks(ground: MarkGround) -> MarkPlaces:
    """The best places for the marks: outside the blank piece as far apart as wanted; else nearer together; else taking
    a part of it."""
    places = FreePlaces(ground.area, (SIZE, SIZE), [*ground.outers, *ground.gone])
    ideal = _ideal(ground, ())
    wanted = _wanted(ground, ideal)

    @cache
    def within(rest: Bounds | None) -> tuple[MarkSpots, bool]:
        return _within(ground, places, rest, wanted)

    for rest, only_wide in _tries(ground.rest):
        spots, wide = within(rest)
        if spots and (wide or not only_wide):
            return MarkPlaces(spots, _beside(ground, rest, spots), wide)
    return MarkPlaces((), ground.rest, False)


def reserved(
    ground: MarkGround, pinned: Sequence[Polygon] = (), clear: float = 0.0, other: bool = False
) -> tuple[Polygon, ...]:
    """Boxes of film for three marks, as far apart as the film outside the blank piece allows, whatever lies there but
    ``pinned`` pieces and used film: for a nest whose pieces, with their bleed, keep ``clear`` of them.

    ``other``: two beside the blank piece instead, no farther apart than is wanted, and one far from it; which of the
    two takes less film depends on the pieces."""
    half = SIZE / 2 - clear
    spots = _ideal(ground, pinned)
    if other and spots:
        across, up = _longest(ground)
        # A step of the raster more: no less than is wanted.
        near = _wanted(ground, spots)[0] + STEP
        places = FreePlaces(ground.area, (SIZE, SIZE), [*ground.gone, *pinned])
        free = places.outside(ground.kept(ground.rest), OFF_REST - CLEAR) < NONE
        spots = _best(free, places, (min(across, near), up), top=True)
    return tuple(box(x - half, y - half, x + half, y + half) for x, y in spots)


def _tries(rest: Bounds | None) -> Iterator[tuple[Bounds | None, bool]]:
    """What is to stay blank, the best first, and whether that is for marks as far apart as wanted alone."""
    yield rest, True
    if rest is not None:
        yield from ((one, True) for part in PARTS if part <= WORTH for one in _smaller(rest, part))
    yield rest, False
    if rest is not None:
        yield from ((one, False) for part in PARTS for one in _smaller(rest, part))
        yield None, False


def _smaller(rest: Bounds, part: float) -> list[Bounds]:
    """A rectangle with a part of it taken off at each side."""
    x0, y0, x1, y1 = rest
    wide, high = part * (x1 - x0), part * (y1 - y0)
    return [(x0, y0 + high, x1, y1), (x0 + wide, y0, x1, y1), (x0, y0, x1 - wide, y1), (x0, y0, x1, y1 - high)]


def _wanted(ground: MarkGround, ideal: MarkSpots) -> tuple[float, float]:
    """How long the spans should be, across and up: enough to show a print right and to align a cutter by, half of what
    the pieces reach over; less where the film outside the blank piece has no room for that."""
    if not ideal:
        return 0.0, 0.0
    least = least_span()
    across, up = (
        max(least if best >= least else NEARLY * best, min(reach / 2, NEARLY * best))
        for reach, best in zip(ground.reach, spans(ideal), strict=True)
    )
    return across, up


def _ideal(ground: MarkGround, pinned: Sequence[Polygon]) -> MarkSpots:
    places = FreePlaces(ground.area, (SIZE, SIZE), [*ground.gone, *pinned])
    return _best(places.outside(ground.kept(ground.rest), OFF_REST - CLEAR) < NONE, places, _longest(ground))


def _within(
    ground: MarkGround, places: FreePlaces, rest: Bounds | None, wanted: tuple[float, float]
) -> tuple[MarkSpots, bool]:
    """Three marks outside what is to stay blank, and whether they are as far apart as ``wanted``: of those that are,
    the ones with the most room."""
    grades = places.outside(ground.kept(rest), OFF_REST - CLEAR)
    farthest = _best(grades < NONE, places, _longest(ground))
    if not farthest or not _far(farthest, wanted):
        return farthest, False
    for grade in range(len(ROOMS) - 1):
        roomy = _best(grades <= grade, places, _longest(ground))
        if roomy and _far(roomy, wanted):
            return roomy, True
    return farthest, True


def _far(spots: MarkSpots, wanted: tuple[float, float]) -> bool:
    return all(span >= least - 1e-6 for span, least in zip(spans(spots), wanted, strict=True))


def _longest(ground: MarkGround) -> tuple[float, float]:
    across, up = (max(LONGEST, reach / 2) for reach in ground.reach)
    return across, up


def _beside(ground: MarkGround, rest: Bounds | None, spots: MarkSpots) -> Bounds | None:
    """What stays blank: what was kept, or the largest rectangle beside pieces and marks."""
    if rest == ground.rest and rest is not None:
        return rest
    marks = [box(x - HALF, y - HALF, x + HALF, y + HALF) for x, y in spots]
    return blank_beside(ground.area, [*ground.outers, *ground.gone, *marks])


def _best(free: BoolArray, places: FreePlaces, longest: tuple[float, float], top: bool = False) -> MarkSpots:
    """Of the free places, three in line across and up that are farthest apart, no span longer than asked for; of
    several the lowest, leftmost first one, or the highest if ``top`` is set. Empty where there are none."""
    rows, columns = np.nonzero(free)
    across = _reaching(rows, columns, places.xs, longest[0])
    by_column = np.argsort(columns, kind="stable")
    up = np.empty(len(rows))
    up[by_column] = _reaching(columns[by_column], rows[by_column], places.ys, longest[1])
    least = least_span()
    worth = np.zeros(len(rows))
    for span in (np.abs(across), np.abs(up)):
        worth += np.where(span < LEAST, -np.inf, 4 * np.minimum(span, least) + span)
    rising = -places.ys if top else places.ys - places.ys[:1].sum()
    worth -= 1e-3 * (rising[rows] + places.xs[columns] - places.xs[:1].sum())
    if not worth.size or np.isneginf(worth.max()):
        return ()
    best = int(np.argmax(worth))
    x, y = places.xs[columns[best]], places.ys[rows[best]]
    # Exactly in line, whatever the sum rounds to.
    other = places.xs[int(np.argmin(np.abs(places.xs - x - across[best])))]
    above = places.ys[int(np.argmin(np.abs(places.ys - y - up[best])))]
    # What is measured is what is said: to 0.01 mm, which the bare film round a mark has room for.
    x, y, other, above = (round(float(one), 2) for one in (x, y, other, above))
    return (x, y), (other, y), (x, above)


def _reaching(lines: IntArray, spots: IntArray, at: FloatArray, longest: float) -> FloatArray:
    """For each free place the way to the farthest free one in its line, mm, negative to the left: no farther than asked
    for. The places are in order of the ``lines``, each a row or a column, and of the ``spots`` along them, which lie
    ``at`` so many mm."""
    # Every place of every line by one number: the nearest free one before or after another is searched for in all.
    start = lines * len(at)
    free = start + spots
    last = np.searchsorted(at, at + longest + 1e-9, side="right") - 1
    first = np.searchsorted(at, at - longest - 1e-9)
    here = at[spots]
    right = at[spots[np.searchsorted(free, start + last[spots], side="right") - 1]] - here
    left = at[spots[np.searchsorted(free, start + first[spots])]] - here
    found: FloatArray = np.where(right >= -left, right, left)
    return found


def _round(areas: Sequence[Polygon]) -> Bounds:
    x0s, y0s, x1s, y1s = zip(*(one.bounds for one in areas), strict=True)
    return min(x0s), min(y0s), max(x1s), max(y1s)
