"""Numbers and ticks on dense sheets, by a judge of their own (`tests/helpers/waste_rules.py`)."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from shapely.affinity import rotate, translate
from shapely.geometry import LineString, Polygon, box

from decalgen.artwork.drawn import artworks
from decalgen.core.document import Fill
from decalgen.job.model import Cut
from decalgen.sheet.film_area import printable
from decalgen.sheet.numbers_and_ticks import Dressed, dress
from decalgen.sheet.pieces import Piece, Placed
from tests.helpers import jobs
from tests.helpers.dense_sheets import DenseSheet, dense_sheet, renumbered
from tests.helpers.waste_rules import Judge

AREA = printable(jobs.film(), jobs.PRINTER)


def dressed(sheet: DenseSheet) -> Dressed:
    texts = [str(one.piece.number) for one in sheet.placed]
    return dress(sheet.placed, texts, sheet.area, sheet.gone, sheet.furniture.keep_outs)


def judged(sheet: DenseSheet, done: Dressed) -> dict[str, int]:
    texts = [str(one.piece.number) for one in sheet.placed]
    closed = [*sheet.gone, *sheet.furniture.keep_outs]
    return dict(Judge(sheet.placed, texts, sheet.area, closed, done).judge())


def row(
    *sizes: tuple[float, float], gap: float = 3.0, first: int = 1, hand: str | None = None, cut: Cut | None = None
) -> tuple[Placed, ...]:
    """Pieces beside one another in the middle of an A5 sheet, at a gap between cut lines."""
    found, x = [], 20.0
    for n, (width, height) in enumerate(sizes):
        more = {"hands": hand or "one", "cut": cut or Cut()}
        (drawn,) = artworks(jobs.job(jobs.decal("d", width, height, jobs.element("field", ink="navy"), **more)), False)
        found.append(Placed(Piece(first + n, drawn, "Title", 0, False), x, 100.0, 0))
        x += width + gap
    return tuple(found)


def texts_of(placed: tuple[Placed, ...]) -> list[str]:
    return [str(one.piece.number) for one in placed]


@pytest.mark.parametrize("seed", range(12))
def test_every_rule_holds_on_dense_sheets(seed: int) -> None:
    sheet = dense_sheet(seed, ("A5", "A4", "A6")[seed % 3], (1, 10, 100, 1000)[seed % 4], used=seed % 3 == 0)
    assert len(sheet.placed) > 50
    assert judged(sheet, dressed(sheet)) == {}


@pytest.mark.parametrize(("seed", "first"), [(31, 1), (32, 100)])
def test_every_rule_holds_with_the_letters_of_jobs(seed: int, first: int) -> None:
    """A letter may stand over its number where both in line have no room."""
    sheet = dense_sheet(seed, "A6", first)
    lettered = [replace(one, piece=replace(one.piece, letter="AFY"[n % 3])) for n, one in enumerate(sheet.placed)]
    texts = [one.piece.label for one in lettered]
    closed = [*sheet.gone, *sheet.furniture.keep_outs]
    done = dress(lettered, texts, sheet.area, sheet.gone, sheet.furniture.keep_outs)
    assert dict(Judge(lettered, texts, sheet.area, closed, done).judge()) == {}


@pytest.mark.parametrize("first", [1, 10, 100, 1000])
def test_numbers_of_any_length_keep_off_the_next_piece(first: int) -> None:
    """A label that is wider than the room looked at was printed on the next piece."""
    sheet = renumbered(dense_sheet(20, "A5", first), first)
    assert {one.piece.artwork.hand for one in sheet.placed} == {None, "left", "right"}
    done = dressed(sheet)
    for label in done.labels:
        assert not any(label.region.intersects(one.outer) for one in sheet.placed)
    assert judged(sheet, done) == {}


def test_the_judge_notices_each_fault() -> None:
    sheet = dense_sheet(2, "A6", 100)
    done = dressed(sheet)
    assert judged(sheet, done) == {}

    def moved(dx: float, dy: float) -> tuple[Fill, ...]:
        return (replace(done.labels[0], region=translate(done.labels[0].region, dx, dy)), *done.labels[1:])

    assert "without a number" in judged(sheet, replace(done, labels=done.labels[1:], bare=(0,)))
    assert judged(sheet, replace(done, labels=moved(6.0, 0.0)))
    assert judged(sheet, replace(done, ticks=done.ticks[1:])) == {"ticks left out unsaid": 1}
    assert done.leaders
    assert "leader from nowhere" in judged(sheet, replace(done, leaders=(done.leaders[0], *done.leaders)))
    assert judged(sheet, replace(done, leaders=()))
    turned = replace(done.labels[0], region=rotate(done.labels[0].region, 180))
    assert "not upright" in judged(sheet, replace(done, labels=(turned, *done.labels[1:])))


def test_the_same_sheet_is_dressed_the_same() -> None:
    sheet = dense_sheet(4, "A6", 1)
    assert dressed(sheet) == dressed(sheet)


def test_a_number_alone_is_of_the_largest_size_and_needs_no_leader() -> None:
    for cut in (Cut(), Cut("round"), Cut(corner_radius=1.0)):
        placed = row((12.0, 8.0), first=5, cut=cut)
        done = dress(placed, ["5"], AREA, (), ())
        _, y0, _, y1 = done.labels[0].region.bounds
        assert y1 - y0 == pytest.approx(1.6, rel=0.05)
        assert not done.leaders and not done.findings
        # An upright tick close beside the number would be read as a 1.
        beside = box(*done.labels[0].region.bounds).buffer(0.35, join_style="mitre")
        upright = [one for one in done.ticks if one.points[0][0] == one.points[1][0]]
        assert upright and not any(beside.intersects(LineString(one.points)) for one in upright)


def test_a_turned_piece_keeps_its_number_upright() -> None:
    (one,) = row((12.0, 8.0), first=7, hand="left")
    sizes = {}
    for turn in (0, 90, 180, 270):
        placed = (replace(one, x=70.0, turn=turn),)
        done = dress(placed, ["7"], AREA, (), ())
        assert dict(Judge(placed, ["7"], AREA, [], done).judge()) == {}
        seven = max(done.labels[0].region.geoms, key=lambda part: len(part.exterior.coords))
        sizes[turn] = (seven.bounds[2] - seven.bounds[0], seven.bounds[3] - seven.bounds[1])
    assert all(size == pytest.approx(sizes[0], rel=1e-3) for size in sizes.values())


def test_a_text_is_given_from_outside() -> None:
    placed = row((12.0, 8.0), (12.0, 8.0), hand="right")
    done = dress(placed, ["A12", "A19"], AREA, (), ())
    plain = dress(placed, ["12", "19"], AREA, (), ())
    for lettered, digits in zip(done.labels, plain.labels, strict=True):
        assert len(lettered.region.geoms) == len(digits.region.geoms) + 1


# ------------------------------------------------------------------------------------------------------------- ticks


def test_a_piece_with_room_has_all_its_ticks_at_full_length() -> None:
    for cut, count in ((Cut(), 8), (Cut("round"), 4)):
        done = dress(row((12.0, 8.0), cut=cut), ["1"], AREA, (), ())
        assert [LineString(one.points).length for one in done.ticks] == pytest.approx([0.9] * count)


def test_a_tick_beside_a_close_piece_is_shorter_and_stays() -> None:
    """Of two pieces at 2 mm between cut lines 1 mm of waste is left, and 0.3 mm of it belongs to no tick."""
    placed = row((12.0, 8.0), (12.0, 8.4), gap=2.0)
    done = dress(placed, texts_of(placed), AREA, (), ())
    lengths = sorted(round(LineString(one.points).length, 2) for one in done.ticks)
    assert lengths == [0.5] * 4 + [0.9] * 12
    assert not done.findings


def test_a_tick_without_room_is_told_with_its_number() -> None:
    placed = row((12.0, 8.0), (12.0, 8.4), gap=1.2, first=31)
    done = dress(placed, texts_of(placed), AREA, (), ())
    assert len(done.ticks) == 12
    said = [finding.message for finding in done.findings]
    assert said == [f"no room on the film for 2 of 8 cutting ticks of number {n}" for n in (31, 32)]
    assert {finding.code for finding in done.findings} == {"tick-left-out"}


def test_ticks_begin_beyond_the_bleed_however_far_it_reaches() -> None:
    """The mitred bleed at the tip of a flat ellipse reaches farther than the bleed's width."""
    placed = row((30.0, 3.0), cut=Cut("round"))
    done = dress(placed, ["1"], AREA, (), ())
    assert len(done.ticks) == 4
    for one in done.ticks:
        assert LineString(one.points).distance(placed[0].outer) >= 0.299


def test_ticks_keep_off_furniture_and_used_film() -> None:
    placed = row((12.0, 8.0))
    x0, y0, x1, y1 = placed[0].outer.bounds
    beside, above = box(x0 - 9, y0, x0 - 0.9, y1), box(x0 - 5, y1 + 0.7, x1 + 5, y1 + 9)
    done = dress(placed, ["1"], AREA, (above,), (beside,))
    assert dict(Judge(placed, ["1"], AREA, [above, beside], done).judge()) == {}
    assert len(done.ticks) == 4


def test_a_piece_against_the_printable_edge_keeps_the_ticks_that_run_along_it() -> None:
    placed = row((12.0, 8.0))
    x0, y0, x1, y1 = placed[0].cut.bounds
    done = dress(placed, ["1"], box(x0, y0 - 20.0, x1 + 20.0, y1 + 20.0), (), ())
    along = [one for one in done.ticks if one.points[0][0] == one.points[1][0] == pytest.approx(x0)]
    assert len(along) == 2 and len(done.ticks) == 6
    assert [finding.message for finding in done.findings] == [
        "no room on the film for 2 of 8 cutting ticks of number 1"
    ]


def test_numbers_beside_one_another_are_not_read_as_one() -> None:
    """1 close before 32 on one line reads as 132."""
    placed = row(*[(2.6, 8.0)] * 12, first=101)
    done = dress(placed, texts_of(placed), AREA, (), ())
    assert dict(Judge(placed, texts_of(placed), AREA, [], done).judge()) == {}
    boxes = [one.region.bounds for one in done.labels]
    level = [(a, b) for a in boxes for b in boxes if a[0] < b[0] and min(a[3], b[3]) - max(a[1], b[1]) > 0.3]
    assert level and all(b[0] - a[2] >= 0.8 - 1e-6 for a, b in level)


@pytest.mark.parametrize("side", [-1, 1])
def test_numbers_are_not_read_on_into_words_or_marks_beside_them(side: int) -> None:
    """A number close behind the words of the film reads as a part of them."""
    placed = row((12.0, 8.0), first=5)
    (alone,) = dress(placed, ["5"], AREA, (), ()).labels
    x0, y0, x1, y1 = alone.region.bounds
    near, far = (x1 + 0.35, x1 + 15.0) if side > 0 else (x0 - 15.0, x0 - 0.35)
    words = box(near, y0 - 1.0, far, y1)
    assert not words.intersects(placed[0].outer)
    (label,) = dress(placed, ["5"], AREA, (), [words]).labels
    a, low, b, high = label.region.bounds
    assert words.distance(box(a, low, b, high)) >= 0.8 - 1e-6 or low > words.bounds[3] or high < words.bounds[1]


def test_ticks_of_neighbours_do_not_run_into_one_another() -> None:
    placed = row((12.0, 8.0), (12.0, 8.4))
    done = dress(placed, texts_of(placed), AREA, (), ())
    ink = [LineString(one.points).buffer(one.width / 2, cap_style="flat") for one in done.ticks]
    level = [(a, b) for n, a in enumerate(ink) for b in ink[:n] if a.distance(b) < 0.05]
    for a, b in level:
        assert abs(a.centroid.y - b.centroid.y) < 0.02 or abs(a.centroid.x - b.centroid.x) < 0.02


# ---------------------------------------------------------------------------------------------------------- no room


def test_a_piece_that_others_enclose_has_its_number_at_the_end_of_a_long_leader() -> None:
    """Large pieces at 2 mm between cut lines leave 1 mm of waste, in which no number stands; the free film begins
    60 mm away."""
    (one,) = row((58.0, 38.0))
    placed = tuple(
        replace(one, piece=replace(one.piece, number=1 + n), x=5.5 + 60.0 * (n % 2), y=10.5 + 40.0 * (n // 2))
        for n in range(6)
    )
    done = dress(placed, texts_of(placed), AREA, (), ())
    assert dict(Judge(placed, texts_of(placed), AREA, [], done).judge()) == {}
    assert max(LineString(one.points).length for one in done.leaders) > 50.0


def test_a_piece_that_leaves_no_waste_is_told() -> None:
    placed = row((12.0, 8.0), first=9)
    area: Polygon = box(*placed[0].outer.buffer(0.2, join_style="mitre").bounds)
    done = dress(placed, ["9"], area, (), ())
    assert (done.labels, done.ticks, done.bare) == ((), (), (0,))
    number, tick = done.findings
    assert (number.severity, number.code, number.subject) == ("error", "no-room-for-number", "d")
    assert number.message == "no room on the film for its number 9, neither beside it nor with a line to it"
    assert "--gap" in number.fix and "--film" in number.fix
    assert re.search("8 of 8 cutting ticks of number 9", tick.message)


def test_copies_that_have_no_room_for_their_number_are_told_once() -> None:
    (one,) = row((12.0, 8.0), first=9)
    placed = tuple(replace(one, x=5.5 + 13.2 * n, y=10.5) for n in range(3))
    other = replace(one, piece=replace(one.piece, number=10), x=5.5 + 13.2 * 3, y=10.5)
    area: Polygon = box(5.0 - 0.2, 10.0 - 0.2, 5.5 + 13.2 * 3 + 12.7, 19.2)
    done = dress((*placed, other), ["9", "9", "9", "10"], area, (), ())
    assert done.bare == (0, 1, 2, 3)
    nine, ten = (found.message for found in done.findings if found.code == "no-room-for-number")
    assert nine == "no room on the film for its number 9 on 3 of 3 pieces, neither beside it nor with a line to it"
    assert ten == "no room on the film for its number 10, neither beside it nor with a line to it"


def test_ticks_give_way_to_a_number_before_it_is_left_out() -> None:
    """A strip of waste along one side, full of ticks: the number is worth more than one of them."""
    placed = row((3.0, 3.0), first=1888)
    x0, y0, x1, y1 = placed[0].outer.bounds
    area = box(x0 - 0.2, y0 - 0.2, x1 + 0.2, y1 + 2.0)
    done = dress(placed, ["8"], area, (), ())
    assert len(done.labels) == 1 and not done.bare
    assert dict(Judge(placed, ["8"], area, [], done).judge()) == {}
