"""What is told of points that no curve goes through: the point's number and what to do."""

from __future__ import annotations

import math

import pytest

from decalgen.core.curves.course import Course, CurveError, curve_through
from decalgen.core.geometry import Point

BOW: tuple[Point, ...] = ((0.0, 0.0), (4.0, 2.0), (8.0, 2.0), (12.0, 0.0))
LINE: tuple[Point, ...] = ((0.0, 0.0), (4.0, 0.0), (8.0, 0.0), (12.0, 3.0))
HAIRPIN: tuple[Point, ...] = ((0.0, 0.0), (5.0, 0.0), (10.0, 0.0), (5.0, 3.0), (0.0, 3.0))
EIGHT: tuple[Point, ...] = ((0.0, 0.0), (6.0, 4.0), (10.0, 2.0), (6.0, 0.0), (0.0, 4.0), (-4.0, 2.0))

MISTAKES: list[tuple[Course, str, str]] = [
    (Course(BOW[:1]), "a curve needs at least two points", "more points"),
    (Course(BOW[:2], closed=True), "a closed curve needs at least three points", "more points"),
    (Course((BOW[0], BOW[1], BOW[1], BOW[2])), "points 2 and 3 are the same", "remove one"),
    (Course((*BOW, BOW[0]), closed=True), "points 1 and 5 are the same", "remove point 5"),
    (Course(HAIRPIN), "point 3 turns by 149 degrees: is it a corner?", "add 3 to `corners`"),
    (Course(HAIRPIN[2:], closed=True), "turns by", "to `corners`"),
    (Course(BOW, corners=(5,)), "there is no point 5: the curve has 4 points", "use 1 to 4"),
    (Course(BOW, directions=((0, 10.0),)), "there is no point 0", "use 1 to 4"),
    (Course(LINE, arcs=(1,)), "points 1, 2, 3 lie on a line", "move point 2, or name 1 under `straights`"),
    (Course(LINE, arcs=(3,)), "no arc can start at point 3", "start it at point 2 or before"),
    (Course(BOW, straights=(4,)), "no straight can start at point 4", "start it at point 3 or before"),
    (Course(BOW, straights=(2,), arcs=(1,)), "from point 2 to point 3 is named twice", "either straight or part"),
    (Course(BOW, corners=(2,), directions=((2, 0.0),)), "point 2 has a direction and is a corner", "remove one"),
    (Course(BOW, straights=(2,), directions=((2, 5.0),)), "is 5 degrees, but the piece beside it runs at 0", "remove"),
    (Course(BOW, directions=((1, 210.0),)), "point 1, 210 degrees, turns 177 degrees away", "mean 30 degrees?"),
    (
        Course(((0.0, 0.0), (4.0, 0.0)), directions=((1, 132.0), (2, -132.0))),
        "points 1 and 2 the curve strays",
        "another",
    ),
    (Course(EIGHT, closed=True), "crosses or touches itself at (3, 2), between points 1 and 2 and between", "in order"),
]


@pytest.mark.parametrize(("course", "message", "fix"), MISTAKES, ids=[message for _, message, _ in MISTAKES])
def test_a_mistake_is_told_with_its_point_and_a_fix(course: Course, message: str, fix: str) -> None:
    with pytest.raises(CurveError) as error:
        curve_through(course)
    assert message in error.value.message and fix in error.value.fix


def test_a_sharp_turn_that_is_a_corner_is_drawn() -> None:
    curve = curve_through(Course(HAIRPIN, corners=(3,)))
    assert curve.pieces[1].direction + curve.pieces[1].turn == pytest.approx(0.0)
    assert curve.pieces[2].direction != pytest.approx(0.0, abs=1.0)


def test_a_fold_back_onto_itself_is_a_crossing() -> None:
    folded = Course(((0.0, 0.0), (6.0, 0.0), (2.0, 0.0)), corners=(2,), straights=(1, 2))
    with pytest.raises(CurveError, match="crosses or touches itself"):
        curve_through(folded)


def test_an_arc_between_two_straights_goes_through_its_points() -> None:
    """A quarter of 5 mm in a corner of 20 × 20, told by its ends and a point at 45 degrees."""
    c = 5 * math.sqrt(0.5)
    points: tuple[Point, ...] = ((0.0, 0.0), (15.0, 0.0), (15 + c, 5 - c), (20.0, 5.0), (20.0, 20.0))
    curve = curve_through(Course(points, straights=(1, 4), arcs=(2,)))
    assert [round(p.start_curvature, 9) for p in curve.pieces] == [0, 0.2, 0.2, 0]
    assert curve.length == pytest.approx(30 + 5 * math.pi / 2)


def test_a_curve_leaves_a_straight_in_its_direction_unless_at_a_corner() -> None:
    points: tuple[Point, ...] = ((0.0, 0.0), (5.0, 0.0), (10.0, 2.0), (14.0, 7.0))
    smooth = curve_through(Course(points, straights=(1,)))
    assert smooth.pieces[1].direction == pytest.approx(0.0, abs=1e-9)
    assert curve_through(Course(points, straights=(1,), corners=(2,))).pieces[1].direction > 0.1


def test_an_arc_may_run_through_the_first_point_of_a_closed_curve() -> None:
    """A half disc whose list starts in the middle of its arc, and one of more than half a circle, clockwise."""
    curve = curve_through(Course(((5.0, 0.0), (0.0, 5.0), (0.0, -5.0)), closed=True, arcs=(3,), straights=(2,)))
    assert curve.length == pytest.approx(5 * math.pi + 10)
    big = curve_through(Course(((0.0, 5.0), (5.0, 0.0), (-5.0, 0.0)), closed=True, arcs=(1,), straights=(3,)))
    assert big.pieces[0].start_curvature == pytest.approx(-0.2)
    assert big.pieces[0].length + big.pieces[1].length == pytest.approx(5 * 1.5 * math.pi)
