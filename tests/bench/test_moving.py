"""What is written of a decal that was laid elsewhere: the anchor stays, and so does what is said of the other way."""

from __future__ import annotations

from pathlib import Path

import pytest

from decalgen.bench.desk import Desk
from decalgen.bench.moving import HandMove, moved
from decalgen.job.edits import EditError, values
from decalgen.job.loader import load_job

JOB = """job: tug
body: navy
values: {{gap: 0.4 mm}}
panels:
  door: {{width: 22.40 mm, height: 11.60 mm}}
decals:
  band:
    panel: door
    hands: both{at}
    width: 10 mm
    height: 2 mm
    artwork:
      - field: {{ink: black}}
  star:
    panel: door
    width: 1 mm
    height: 1 mm
    artwork:
      - field: {{ink: black}}
"""


def desk_of(folder: Path, at: str) -> Desk:
    path = folder / "tug.yaml"
    path.write_text(JOB.format(at=f"\n    at: {at}" if at else ""), encoding="utf-8")
    return Desk(path)


def written(folder: Path, at: str, move: HandMove) -> object:
    """What stands under `at` after a move; the file still reads, and nothing but `at` is another."""
    desk = desk_of(folder, at)
    before = values(desk.text)
    desk.edit(1, moved(desk, ["band"], move), "place")
    desk.keep()
    load_job(desk.path)
    after = values(desk.text)
    found = after["decals"]["band"].pop("at")
    before["decals"]["band"].pop("at", None)
    assert after == before
    return found


LONG = "{anchor: top left, offset: [2.0 mm, -0.5 mm]}"


@pytest.mark.parametrize(
    ("at", "move", "to"),
    [
        ("", HandMove("left", 0.1, 0), {"anchor": "centre", "offset": ["0.10 mm", "0 mm"]}),
        ("bottom", HandMove("left", 0, 0.8), "bottom + 0.80 mm"),
        ("bottom + 0.8 mm", HandMove("left", 0, -1), "bottom - 0.20 mm"),
        ("bottom + 0.8 mm", HandMove("left", 0, -0.8), "bottom"),
        ("bottom + 0.8 mm", HandMove("left", 0, 0.004), "bottom + 0.80 mm"),
        ("left + 1 mm", HandMove("left", 0.255, 0), "left + 1.25 mm"),
        ("[2 mm, 3 mm]", HandMove("left", 0.1, 0), ["2.10 mm", "3 mm"]),
        (LONG, HandMove("left", 0.1, 0), {"anchor": "top left", "offset": ["2.10 mm", "-0.5 mm"]}),
        (LONG, HandMove("left", -2, 0.5), "top left"),
        # As seen on the right hand, which is mirrored, to the right is to the left.
        (LONG, HandMove("right", 0.1, 0), {"anchor": "top left", "offset": ["1.90 mm", "-0.5 mm"]}),
    ],
)
def test_the_anchor_stays_and_steps_are_hundredths(tmp_path: Path, at: str, move: HandMove, to: object) -> None:
    assert written(tmp_path, at, move) == to


@pytest.mark.parametrize(
    ("at", "move", "to"),
    [
        ("bottom + gap", HandMove("left", 1, 0), {"anchor": "bottom", "offset": ["1.00 mm", "gap"]}),
        ("bottom - 2 * gap", HandMove("left", 1, 0), {"anchor": "bottom", "offset": ["1.00 mm", "-2 * gap"]}),
        ("[gap, 3 mm]", HandMove("left", 0, 1), ["gap", "4.00 mm"]),
        ("bottom + gap", HandMove("left", 3, 0, across="centre"), "bottom + gap"),
    ],
)
def test_an_expression_stays_where_a_decal_is_not_moved(tmp_path: Path, at: str, move: HandMove, to: object) -> None:
    found = written(tmp_path, at, move)
    assert str(found).replace("- 2", "-2") == str(to).replace("- 2", "-2")


@pytest.mark.parametrize(
    ("at", "move", "to"),
    [
        (LONG, HandMove("left", 4, -4, "centre", "centre"), "centre"),
        (LONG, HandMove("left", 4, -9, "", "bottom"), {"anchor": "bottom left", "offset": ["6.00 mm", "0 mm"]}),
        (
            "bottom + 0.8 mm",
            HandMove("left", 3, 0, "right"),
            {"anchor": "bottom right", "offset": ["0 mm", "0.8 mm"]},
        ),
        ("bottom + 0.8 mm", HandMove("left", 3, 5, "right", "top"), "top right"),
        ("", HandMove("left", 0.2, 3, "", "top"), {"anchor": "top", "offset": ["0.20 mm", "0 mm"]}),
        ("", HandMove("left", 0, 3, "", "top"), "top"),
        # The left edge of the right door is the right one of the left.
        ("", HandMove("right", -6, 0, "left"), "right"),
        ("[2 mm, 3 mm]", HandMove("left", 3, 3, "centre", "centre"), "centre"),
    ],
)
def test_an_anchor_that_it_was_laid_on_is_written_as_its_word(
    tmp_path: Path, at: str, move: HandMove, to: object
) -> None:
    assert written(tmp_path, at, move) == to


def test_a_comment_inside_a_place_is_kept(tmp_path: Path) -> None:
    at = "\n      anchor: top left   # by the hinge\n      offset: [2.0 mm, -0.5 mm]"
    desk = desk_of(tmp_path, at)
    desk.edit(1, moved(desk, ["band"], HandMove("left", -2, 0.5)), "place")
    assert "anchor: top left   # by the hinge" in desk.text and "offset: [0 mm, 0 mm]\n" in desk.text


def test_a_place_is_written_in_one_line(tmp_path: Path) -> None:
    desk = desk_of(tmp_path, "bottom")
    desk.edit(1, moved(desk, ["band"], HandMove("left", 1, 0.5)), "place")
    assert "    at: {anchor: bottom, offset: [1.00 mm, 0.50 mm]}\n" in desk.text
    desk = desk_of(tmp_path, "")
    desk.edit(1, moved(desk, ["band"], HandMove("left", 1, 0.5)), "place")
    assert "    at: {anchor: centre, offset: [1.00 mm, 0.50 mm]}\n" in desk.text


def test_a_place_in_a_file_without_brackets_is_written_without_them(tmp_path: Path) -> None:
    desk = desk_of(tmp_path, "")
    long = desk.text.replace("field: {ink: black}", "field:\n          ink: black")
    long = long.replace("values: {gap: 0.4 mm}\n", "")
    desk.path.write_text(long.replace("{width: 22.40 mm, height: 11.60 mm}", "\n    width: 22 mm\n    height: 11 mm"))
    desk = Desk(desk.path)
    desk.edit(1, moved(desk, ["band"], HandMove("left", 1, 0)), "place")
    lines = "    at:\n      anchor: centre\n      offset: [1.00 mm, 0 mm]\n"
    assert f"    panel: door\n    hands: both\n{lines}    width: 10 mm\n" in desk.text


def test_several_decals_are_moved_as_one_step(tmp_path: Path) -> None:
    desk = desk_of(tmp_path, "bottom")
    before = desk.text
    desk.edit(1, moved(desk, ["band", "star"], HandMove("left", 0, 0.5)), "place of 2 decals")
    assert values(desk.text)["decals"]["band"]["at"] == "bottom + 0.50 mm"
    assert values(desk.text)["decals"]["star"]["at"]["offset"] == ["0 mm", "0.50 mm"]
    assert desk.undo() == "place of 2 decals" and desk.text == before


def test_a_decal_of_an_included_file_is_moved_in_this_job_alone(tmp_path: Path) -> None:
    desk = desk_of(tmp_path, "bottom")
    (tmp_path / "more.yaml").write_text(desk.text[desk.text.index("decals:") :], encoding="utf-8")
    desk.path.write_text(desk.text[: desk.text.index("decals:")] + "include: more.yaml\n", encoding="utf-8")
    theirs = (tmp_path / "more.yaml").read_bytes()
    here = Desk(desk.path)
    here.edit(1, moved(here, ["band", "star"], HandMove("left", 0, 0.5)), "place of 2 decals")
    found = here.values["decals"]
    assert list(found["band"]) == list(found["star"]) == ["at"]
    assert here.job is not None and [one.at.dy for one in here.job.decals if one.name in found] == [0.5, 0.5]
    assert (tmp_path / "more.yaml").read_bytes() == theirs


def test_a_decal_that_is_gone_is_told(tmp_path: Path) -> None:
    with pytest.raises(EditError, match="no decal 'flag'"):
        moved(desk_of(tmp_path, ""), ["band", "flag"], HandMove("left", 1, 0))


def test_words_that_are_no_anchor_are_refused(tmp_path: Path) -> None:
    with pytest.raises(EditError, match="'nowhere' is not an anchor"):
        moved(desk_of(tmp_path, ""), ["band"], HandMove("left", 1, 0, "nowhere"))
