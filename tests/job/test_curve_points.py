"""A point that comes or goes: what other keys say of points still says it of the same ones, and all else stays."""

from __future__ import annotations

import pytest

from decalgen.job.curve_points import with_point, without_point
from decalgen.job.edits import EditError, values

AT = ("curve", "points")
FIVE = "[[0, 0], [2, 1], [4, 0], [6, 1], [8, 0]]"
NEW = ("1.00 mm", "0.50 mm")


def text_of(keys: str = "", points: str = FIVE) -> str:
    return f"curve:\n  points: {points}   # off the remains\n{keys}  ink: teal\n"


def keys_of(text: str) -> dict[str, object]:
    found = dict(values(text)["curve"])
    assert found.pop("ink") == "teal" and "# off the remains" in text
    found.pop("points")
    return found


@pytest.mark.parametrize(
    ("place", "closed", "keys", "now"),
    [
        (1, False, "corners: [1, 2, 5]", {"corners": ["1", "3", "6"]}),
        (0, False, "corners: [1, 5]", {"corners": ["2", "6"]}),
        (5, False, "corners: [1, 5]", {"corners": ["1", "5"]}),
        (2, False, "directions: [[1, 90], [3, -20]]", {"directions": [["1", "90"], ["4", "-20"]]}),
        # A straight with a point on it is two.
        (2, False, "straights: [2, 4]", {"straights": ["2", "5", "3"]}),
        (2, False, "straights: 2", {"straights": ["2", "3"]}),
        # Beyond the end of the last straight nothing is straight.
        (5, False, "straights: [4]", {"straights": ["4"]}),
        (0, False, "straights: [1]", {"straights": ["2"]}),
        (5, True, "straights: [5]", {"straights": ["5", "6"]}),
        (1, False, "arcs: [2]", {"arcs": ["3"]}),
        (4, False, "arcs: [2]", {"arcs": ["2"]}),
    ],
)
def test_a_new_point_moves_the_numbers_after_it(place: int, closed: bool, keys: str, now: object) -> None:
    text = with_point(text_of(f"  {keys}\n"), AT, place, NEW, closed)
    points = values(text)["curve"]["points"]
    assert (
        points[place] == list(NEW) and [*points[:place], *points[place + 1 :]] == values(text_of())["curve"]["points"]
    )
    assert keys_of(text) == now


@pytest.mark.parametrize(
    ("place", "closed", "keys", "now"),
    [
        (1, False, "corners: [1, 2, 5]", {"corners": ["1", "4"]}),
        (1, False, "corners: [2]", {}),
        (0, False, "directions: [[1, 90], [3, -20]]", {"directions": [["2", "-20"]]}),
        # Two straights become one; a straight and a curve, a curve.
        (2, False, "straights: [2, 3]", {"straights": ["2"]}),
        (2, False, "straights: [2]", {}),
        (2, False, "straights: [3, 4]", {"straights": ["3"]}),
        (0, True, "straights: [5, 1, 2]", {"straights": ["4", "1"]}),
        (0, False, "arcs: [2]", {"arcs": ["1"]}),
        (4, False, "arcs: [2]", {"arcs": ["2"]}),
    ],
)
def test_a_point_that_goes_takes_what_is_said_of_it(place: int, closed: bool, keys: str, now: object) -> None:
    text = without_point(text_of(f"  {keys}\n"), AT, place, closed)
    points = values(text_of())["curve"]["points"]
    del points[place]
    assert values(text)["curve"]["points"] == points and keys_of(text) == now


@pytest.mark.parametrize(
    ("place", "closed", "arcs"), [(2, False, "[2]"), (3, False, "[2]"), (1, True, "[5]"), (5, True, "[5]")]
)
def test_no_point_goes_into_an_arc(place: int, closed: bool, arcs: str) -> None:
    with pytest.raises(EditError, match="arc through three points") as told:
        with_point(text_of(f"  arcs: {arcs}\n"), AT, place, NEW, closed)
    assert told.value.fix == f"take {arcs.strip('[]')} out of `arcs` first"


@pytest.mark.parametrize(
    ("place", "closed", "arcs"), [(1, False, "[2]"), (2, False, "[2]"), (3, False, "[2]"), (0, True, "[4]")]
)
def test_no_point_goes_out_of_an_arc(place: int, closed: bool, arcs: str) -> None:
    with pytest.raises(EditError, match="one of the three of an arc") as told:
        without_point(text_of(f"  arcs: {arcs}\n"), AT, place, closed)
    assert told.value.fix == f"take {arcs.strip('[]')} out of `arcs` first"


@pytest.mark.parametrize("keys", ["corners: [which]", "directions: <ways>", "straights: [1 + 1]"])
def test_numbers_that_are_none_are_left_to_an_editor(keys: str) -> None:
    for change in (lambda text: with_point(text, AT, 1, NEW, False), lambda text: without_point(text, AT, 1, False)):
        with pytest.raises(EditError, match="names points by more than their numbers"):
            change(text_of(f"  {keys}\n"))


def test_a_curve_keeps_two_points() -> None:
    with pytest.raises(EditError, match="two points at least"):
        without_point(text_of(points="[[0, 0], [1, 1]]"), AT, 0, False)


LONG = """curve:
  points:
    # the hinge
    - [0, 0]     # first
    - [2, 1]
    # the lamp
    - [4, 0]     # last
  ink: teal
"""


@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_points_on_lines_of_their_own_keep_their_comments(end: str) -> None:
    long = LONG.replace("\n", end)
    new = "    - [1.00 mm, 0.50 mm]\n".replace("\n", end)
    for place, mark in ((0, "    # the hinge"), (1, "    - [2, 1]"), (2, "    # the lamp"), (3, "  ink")):
        assert with_point(long, AT, place, NEW, False) == long.replace(mark, new + mark)
    gone = without_point(long, AT, 2, False)
    assert gone == long.replace(f"    # the lamp{end}    - [4, 0]     # last{end}", "")
