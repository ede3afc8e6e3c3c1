"""Registration marks: in film that is printed anyway, in line, far apart, and off the largest piece left blank."""

from __future__ import annotations

import itertools
import math
from functools import cache
from types import SimpleNamespace

import numpy as np
import pytest
from shapely.geometry import Point, Polygon, box

from decalgen.nesting.bound import film_area
from decalgen.nesting.frame import frame_of
from decalgen.nesting.model import QUICK
from decalgen.sheet import marks
from decalgen.sheet.arrange import Arrangement, Sheet, arrange
from decalgen.sheet.marks import (
    LEAST,
    MarkGround,
    alignment_error,
    cross_lengths,
    ground_of,
    least_span,
    place_marks,
    reserved,
    spans,
)
from decalgen.sheet.nest_request import asked
from decalgen.sheet.positions import Saved
from tests.helpers.mixed_jobs import mixed
from tests.helpers.printed_film import blank, printed

AREA = box(5.0, 10.0, 143.0, 205.0)
"""What an inkjet with margins of 5 mm, 10 mm at the foot, prints of an A5."""


def ground(*pieces: Polygon, gone: tuple[Polygon, ...] = (), side: str = "bottom") -> MarkGround:
    return ground_of(pieces, AREA, gone, side)


def rows(high: float, gap: float = 7.0) -> list[Polygon]:
    """Pieces in rows over the whole width, up to a height."""
    found, y = [], 10.0
    while y + 10.0 <= 10.0 + high:
        found += [box(x, y, x + 16.0, y + 10.0) for x in (5.0, 28.0, 51.0, 74.0, 97.0, 120.0)]
        y += 10.0 + gap
    return found


@pytest.mark.parametrize("gone", [(), (box(0.0, 150.0, 148.0, 210.0),), (box(90.0, 120.0, 148.0, 210.0),)])
def test_three_marks_stand_in_line_in_the_gaps_and_off_what_stays_blank(gone: tuple[Polygon, ...]) -> None:
    pieces = rows(70.0)
    found = ground(*pieces, gone=gone)
    marks = place_marks(found)
    first, across, up = marks.spots
    assert first[1] == across[1] and first[0] == up[0] and marks.wide
    assert found.rest is not None and marks.rest == found.rest
    for x, y in marks.spots:
        mark = box(x - 2.05, y - 2.05, x + 2.05, y + 2.05)
        assert AREA.contains(mark.buffer(0.29, join_style="mitre"))
        assert all(mark.distance(piece) >= 0.29 for piece in (*pieces, *gone))
        assert mark.distance(box(*found.rest)) >= 0.99
    assert min(spans(marks.spots)) >= least_span()


def test_marks_stand_half_as_far_apart_as_the_pieces_reach_though_nearer_ones_had_more_room() -> None:
    """A cutter that is aligned by near marks errs by more the farther a piece is. Roomy gaps 45 mm apart, enough for a
    caliper, and tight ones near the corners of pieces that reach over 138 by 140 mm."""
    plate = box(5.0, 10.0, 143.0, 150.0)
    for x, y, half in ((25.0, 30.0, 7.0), (70.0, 30.0, 7.0), (25.0, 75.0, 7.0),
                       (10.0, 16.0, 2.6), (137.0, 16.0, 2.6), (10.0, 143.0, 2.6)):  # fmt: skip
        plate = plate.difference(box(x - half, y - half, x + half, y + half))
    marks = place_marks(ground(plate))
    wide, high = spans(marks.spots)
    assert marks.wide and wide >= 138.0 / 2 and high >= 140.0 / 2
    assert alignment_error(marks.spots, plate.bounds) <= 0.2


@pytest.mark.parametrize("seed", range(24))
def test_no_three_free_places_in_line_are_farther_apart_than_those_that_are_taken(seed: int) -> None:
    """Every three of a small raster tried; the lowest, leftmost first one of those that are as far apart."""
    chance = np.random.default_rng(seed)
    free = chance.random((9, 11)) < (0.08, 0.15, 0.3, 0.6)[seed % 4]
    xs, ys = np.arange(11) * 13.0, np.arange(9) * 17.0
    longest = (60.0, 60.0)

    def worth(row: int, column: int, other: int, above: int) -> float:
        wide, high = abs(xs[other] - xs[column]), abs(ys[above] - ys[row])
        if not LEAST <= wide <= longest[0] or not LEAST <= high <= longest[1]:
            return -math.inf
        far = sum(4 * min(span, least_span()) + span for span in (wide, high))
        return far - 1e-3 * float(xs[column] + ys[row])

    tried = [
        worth(row, column, other, above)
        for row, column in itertools.product(range(9), range(11))
        if free[row, column]
        for other in np.flatnonzero(free[row])
        for above in np.flatnonzero(free[:, column])
    ]
    found = marks._best(free, SimpleNamespace(xs=xs, ys=ys), longest)  # type: ignore[arg-type]
    assert bool(found) == (max(tried, default=-math.inf) > -math.inf)
    if found:
        (x, y), (other, across), (up, above) = found
        assert (across, up) == (y, x)
        row, column, right, head = (int(v) for v in (y / 17, x / 13, other / 13, above / 17))
        assert free[row, column] and free[row, right] and free[head, column]
        assert worth(row, column, right, head) == pytest.approx(max(tried), abs=1e-9)


def test_a_span_that_proves_is_twice_what_a_caliper_leaves_in_doubt() -> None:
    """U (k = 2) of three readings by JCGM 100: 2 √((0.02/√3)² + 0.041²/3) = 0.0527 mm; 2 U / 0.3 % = 35 mm, and 70 mm
    for 0.15 %."""
    doubt = 2 * math.sqrt((0.02 / math.sqrt(3)) ** 2 + 0.041**2 / 3)
    for share, wanted in ((0.003, 40.0), (0.0015, 80.0)):
        assert least_span(share) == wanted
        assert wanted - 10.0 < 2 * doubt / share <= wanted


def test_a_low_band_says_that_its_height_cannot_be_proven() -> None:
    marks = place_marks(ground(*rows(10.0)))
    across, up = cross_lengths(marks.spots)
    assert across.proves and across.which == "lower two" and across.length == pytest.approx(spans(marks.spots)[0])
    assert not up.proves and up.which in ("left two", "right two")
    marks = place_marks(ground(*rows(30.0)))
    _, up = cross_lengths(marks.spots)
    assert 20.0 <= up.length < 40.0 and up.measured and not up.proves


def test_a_single_small_decal_still_has_three_marks() -> None:
    found = ground(box(5.0, 10.0, 11.0, 14.0))
    marks = place_marks(found)
    assert len(marks.spots) == 3 and min(spans(marks.spots)) >= LEAST
    assert found.rest is not None and marks.rest is not None
    left, whole = ((r[2] - r[0]) * (r[3] - r[1]) for r in (marks.rest, found.rest))
    assert 0.95 * whole < left < whole


def test_no_room_is_no_mark() -> None:
    assert place_marks(ground(AREA.buffer(-0.5, join_style="mitre"))).spots == ()
    assert cross_lengths(()) == ()


def test_what_is_reserved_is_as_far_apart_as_the_band_and_off_pinned_pieces() -> None:
    found = ground(*rows(60.0, gap=3.0))
    boxes = reserved(found)
    assert len(boxes) == 3
    assert max(one.centroid.x for one in boxes) - min(one.centroid.x for one in boxes) > 130.0
    pinned = box(5.0, 10.0, 40.0, 30.0)
    assert all(not one.intersects(pinned) for one in reserved(found, [pinned]))


def test_other_film_to_reserve_is_by_the_blank_piece_and_no_wider_than_is_wanted() -> None:
    found = ground(*rows(60.0, gap=3.0))
    assert found.rest is not None
    one, *rest = reserved(found, other=True)
    assert abs(one.bounds[3] - (found.rest[1] - 0.7)) < 0.51 and len(rest) == 2
    across, up = (abs(far.centroid.coords[0][k] - one.centroid.coords[0][k]) for k, far in enumerate(rest))
    # By hand: half of the 131 mm that the pieces reach over, to a step of the raster; the third at the foot.
    assert 131.0 / 2 <= across <= 131.0 / 2 + 1.0 and up > 40.0
    pinned = box(5.0, 50.0, 40.0, 80.0)
    assert not any(one.intersects(pinned) for one in reserved(found, [pinned], other=True))


def test_the_error_of_alignment_grows_with_the_distance_over_the_span() -> None:
    spots = ((10.0, 10.0), (110.0, 10.0), (10.0, 30.0))
    # The far corner lies 60 mm up, three times as far as the upper mark: 3 × 0.1 mm.
    assert alignment_error(spots, (5.0, 12.0, 100.0, 70.0)) == pytest.approx(0.3)
    assert alignment_error(spots, (12.0, 12.0, 100.0, 29.0), 0.2) == pytest.approx(0.2)


# ------------------------------------------------------------------------------------------------------ whole sheets
@cache
def laid(seed: int, used: bool) -> Arrangement:
    case = mixed(seed, "A5", used=used)
    return arrange(case.jobs, case.plan(QUICK))


@pytest.fixture(scope="module", params=[(0, False), (3, True), (4, False)])
def sheet(request: pytest.FixtureRequest) -> Sheet:
    (found,) = laid(*request.param).sheets
    return found


def test_furniture_numbers_and_ticks_leave_97_percent_of_the_blank_piece(sheet: Sheet) -> None:
    """Searched by brute force, 1 mm round all that is printed, against the same pieces with nothing beside them."""
    assert blank(sheet, printed(sheet)) >= 0.97 * blank(sheet, printed(sheet, furniture=False))


def test_what_is_said_to_stay_blank_does(sheet: Sheet) -> None:
    assert sheet.rest is not None
    rest = box(*sheet.rest)
    assert all(thing.distance(rest) >= 0.99 for thing in printed(sheet))
    assert rest.area >= 0.98 * blank(sheet, printed(sheet))


def test_no_bar_is_on_the_film_and_all_are_over_blank_film_on_the_proof(sheet: Sheet) -> None:
    assert sheet.furniture.bars == ()
    assert sheet.rest is not None
    if sheet.bars.own_page:
        # Neither way round would bars, boxes and words go over what stays blank.
        wide, high = sheet.rest[2] - sheet.rest[0], sheet.rest[3] - sheet.rest[1]
        assert (wide < 80.0 or high < 86.0) and (wide < 120.0 or high < 70.0)
        return
    for bar in sheet.bars.bars:
        end = (bar.x + bar.length, bar.y + 3.0) if bar.axis == "x" else (bar.x + 3.0, bar.y + bar.length)
        assert box(*sheet.rest).contains(box(bar.x, bar.y, *end))


def test_the_marks_span_enough_for_a_caliper_and_a_cutter(sheet: Sheet) -> None:
    assert sheet.wide
    x0, y0, x1, y1 = zip(*(one.cut.bounds for one in sheet.placed), strict=True)
    reach = (max(x1) - min(x0), max(y1) - min(y0))
    for span, far in zip(spans(sheet.furniture.registration), reach, strict=True):
        assert span >= min(40.0, 0.8 * far) and span >= 0.45 * far
        assert span <= max(140.0, far / 2)


def test_the_same_positions_have_the_same_marks() -> None:
    """Whether the nest has just found them, or they were kept and are looked for anew."""
    case, one = mixed(3, "A5", used=True), laid(3, True)
    two = arrange(case.jobs, case.plan(QUICK), saved=Saved(one.digest, one.positions, "kept"))
    assert [(s.furniture, s.rest, s.wide, s.labels) for s in one.sheets] == [
        (s.furniture, s.rest, s.wide, s.labels) for s in two.sheets
    ]
    assert all(Point(0, 0).distance(Point(spot)) > 0 for s in one.sheets for spot in s.furniture.registration)


def test_film_that_marks_take_is_counted_as_used() -> None:
    """As if they were pieces: a nest counts with all the film there is, whether some of it was reserved or not."""
    found = laid(4, False)
    everything = [one.piece for sheet in found.sheets for one in sheet.placed]
    whole = asked(everything, found.films, mixed(4, "A5", used=False).plan(QUICK))
    assert [use.free_area for nest in found.nests for use in nest.used] == [
        pytest.approx(film_area(frame_of(whole.regions[0], 0)))
    ]
