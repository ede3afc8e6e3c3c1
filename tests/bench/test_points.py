"""Points of a curve on Draw without a browser: moved, added and deleted in the file, every other byte as it was."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from shapely.geometry import LineString
from shapely.geometry import Point as _Spot
from starlette.testclient import TestClient

from decalgen.artwork.build import build_all
from decalgen.bench.traced import traced_shapes
from decalgen.job.edits import values
from decalgen.job.loader import load_job
from decalgen.shapes.coursed import curve_of
from tests.bench.curved_job import CURVED, FOOT, SWEEP

VIEW = {"screen": "draw", "panel": "door", "decal": "sweep"}


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """The job that the client opens."""
    path = tmp_path / "tug.yaml"
    path.write_text(CURVED, encoding="utf-8")
    return path


@pytest.fixture
def curved(inside: TestClient) -> TestClient:
    return inside


def state(client: TestClient, **view: str) -> dict[str, Any]:
    return dict(client.get("/state", params=VIEW | view).json()["screen"])


def ask(client: TestClient, act: str, **asked: object) -> Any:
    return client.post(f"/do/draw/{act}", json={"view": VIEW, "at": list(SWEEP), "hand": "left", **asked})


def done(client: TestClient, act: str, **asked: object) -> str:
    """What the file is after it, and the label by which it can be undone."""
    answer = ask(client, act, **asked)
    assert answer.status_code == 200, answer.text
    return str(answer.json()["undo"])


def text_of(client: TestClient) -> str:
    return str(client.app_state["place"].desk.text)


def changed(before: str, after: str) -> list[tuple[str, str]]:
    """The lines that are others; there are as many as before."""
    pairs = list(zip(before.splitlines(), after.splitlines(), strict=True))
    return [(one.strip(), other.strip()) for one, other in pairs if one != other]


def undone(client: TestClient) -> str:
    assert client.post("/undo", json={"base": client.app_state["place"].desk.version}).status_code == 200
    return text_of(client)


def test_a_point_moved_in_one_way_keeps_the_other_as_it_is_written(curved: TestClient) -> None:
    label = done(curved, "move_point", number=2, dx=0, dy=0.256, was=["0.5 * long", "4 mm"])
    assert label == "point 3 of sweep"
    assert changed(CURVED, text_of(curved)) == [("- [0.5 * long, 4 mm]", "- [0.5 * long, 4.26 mm]")]
    assert undone(curved) == CURVED


def test_a_point_is_moved_as_it_is_seen_on_the_right_hand(curved: TestClient) -> None:
    done(curved, "move_point", number=0, hand="right", dx=-0.5, dy=0.1)
    assert changed(CURVED, text_of(curved)) == [
        ("- [1 mm, 1 mm]      # by the hinge", "- [1.50 mm, 1.10 mm]      # by the hinge")
    ]


def test_steps_one_after_another_are_one_step_of_undo(curved: TestClient) -> None:
    for _ in range(3):
        done(curved, "move_point", number=1, dx=0.1, dy=0, key="point 1")
    assert values(text_of(curved))["decals"]["sweep"]["artwork"][0]["curve"]["points"][1] == ["5.80 mm", "2 mm"]
    assert undone(curved) == CURVED


def test_a_point_that_another_moved_meanwhile_is_told_with_both(curved: TestClient) -> None:
    done(curved, "move_point", number=1, dx=1, dy=0)
    answer = ask(curved, "move_point", number=1, dx=0.1, dy=0, was=["5.5 mm", "2 mm"])
    assert answer.status_code == 409
    assert (answer.json()["theirs"], answer.json()["mine"]) == ("6.50 mm", "6.60 mm")
    # Another point, or the other number, is no hindrance.
    done(curved, "move_point", number=0, dx=1, dy=0, was=["1 mm", "1 mm"])


def test_a_move_that_nobody_can_read_is_refused(curved: TestClient) -> None:
    for asked in ({"number": 9}, {"number": True}, {"number": 0, "dx": "far"}, {"number": 0, "dx": 1e9}):
        answer = ask(curved, "move_point", **({"dx": 0, "dy": 0} | asked))
        assert answer.status_code == 422 and answer.json()["fix"], asked
    for at in (["decals", "sweep"], ["decals"], [], ["decals", {}], ["decals", "sweep", ["artwork"]], "decals", None):
        assert ask(curved, "move_point", at=at, number=0, dx=1, dy=0).status_code == 422
        assert ask(curved, "follow_side", at=at, side="top").status_code == 422
    assert text_of(curved) == CURVED


@pytest.mark.parametrize(
    ("spot", "where"),
    # On the panel; the decal lies 1.2 and 1.8 mm from its corner.
    [((4.0, 3.4), 1), ((8.6, 4.8), 2), ((0.5, 2.0), 0), ((20.5, 9.5), 4)],
)
def test_a_click_adds_a_point_between_its_neighbours_or_at_an_end(
    curved: TestClient, spot: tuple[float, float], where: int
) -> None:
    before = values(CURVED)["decals"]["sweep"]["artwork"][0]["curve"]
    label = done(curved, "add_point", x=spot[0], y=spot[1], was=before["points"])
    assert label == f"new point {where + 1} of sweep"
    after = values(text_of(curved))["decals"]["sweep"]["artwork"][0]["curve"]
    new = [f"{spot[0] - 1.2:.2f} mm", f"{spot[1] - 1.8:.2f} mm"]
    assert after["points"] == [*before["points"][:where], new, *before["points"][where:]]
    # The corner is still the same point.
    assert after["corners"] == ["4" if where < 3 else "3"]
    assert {"# by the hinge", "# the foot of the window"} <= {
        f"#{line.partition('#')[2]}" for line in text_of(curved).splitlines()
    }
    assert undone(curved) == CURVED


def test_a_point_added_after_another_lies_on_the_curve(curved: TestClient) -> None:
    place = curved.app_state["place"]
    job, group = place.desk.job, place.desk.values["decals"]["sweep"]
    (row,) = traced_shapes(job, job.decals[0], group, "left")
    line = LineString(curve_of(row.course).points())
    done(curved, "add_point", after=0)
    x, y = (float(one.removesuffix(" mm")) for one in _points(curved)[1])
    # Each number is rounded to 0.01 mm.
    assert line.distance(_Spot(x, y)) < 0.0075
    done(curved, "add_point", after=4)
    assert _points(curved)[5] == ["22.50 mm", "8.50 mm"]


def _points(client: TestClient) -> list[list[str]]:
    return list(values(text_of(client))["decals"]["sweep"]["artwork"][0]["curve"]["points"])


def test_a_deleted_point_takes_its_line_and_what_is_said_of_it(curved: TestClient) -> None:
    assert done(curved, "delete_point", number=2) == "point 3 of sweep deleted"
    gone = "            - [0.5 * long, 4 mm]\n", "          corners: [3]\n"
    assert text_of(curved) == CURVED.replace(gone[0], "").replace(gone[1], "")
    assert undone(curved) == CURVED
    answer = ask(curved, "delete_point", number=0, was=[["0 mm", "0 mm"]])
    assert answer.status_code == 422 and "changed meanwhile" in answer.json()["message"]


def test_points_are_seen_where_the_artwork_is_printed(curved: TestClient) -> None:
    """Each end of the line is within half its width of the ink, on both hands, wherever the shape lies."""
    job = curved.app_state["place"].desk.job
    for at in ("", "at: top left", "at: right - 2 mm"):
        text = CURVED.replace("          in place: yes\n", f"          {at}\n" if at else "")
        curved.app_state["place"].desk.rewrite(text, "at")
        job = curved.app_state["place"].desk.job
        for hand in ("left", "right"):
            (row,) = state(curved, hand=hand)["traced"]
            (side,) = [one for one in state(curved, hand=hand)["sides"] if one["hand"] == hand]
            (decal,) = [one for one in side["decals"] if one["name"] == "sweep"]
            ink = build_all(job, job.decals[0], hand)[0].shown[0].region
            for x, y in row["spots"]:
                spot = _Spot((x - decal["at"][0]) / 1000, (y - decal["at"][1]) / 1000)
                assert ink.distance(spot) < 0.002, (at, hand, x, y)


def test_a_shape_laid_by_its_size_can_be_laid_by_its_points(curved: TestClient) -> None:
    desk = curved.app_state["place"].desk
    desk.rewrite(CURVED.replace("          in place: yes\n", "          at: top left\n"), "at")
    (before,) = state(curved)["traced"]
    assert before["by_size"]
    assert done(curved, "lay_by_points") == "curve of sweep laid by its points"
    (after,) = state(curved)["traced"]
    assert not after["by_size"]
    for one, other in zip(before["spots"], after["spots"], strict=True):
        assert max(abs(a - b) for a, b in zip(one, other, strict=True)) <= 6
    assert _points(curved)[3][0].startswith("long - ")
    done(curved, "move_point", number=0, dx=-0.5, dy=0)
    assert state(curved)["traced"][0]["spots"][1:] == after["spots"][1:]


def test_what_is_no_curve_is_refused_and_nothing_is_written(curved: TestClient) -> None:
    # The first point on the second.
    answer = ask(curved, "move_point", number=0, dx=4.5, dy=1)
    assert answer.status_code == 422 and answer.json()["message"] and answer.json()["fix"]
    assert text_of(curved) == CURVED
    for _ in range(2):
        done(curved, "delete_point", number=0)
    answer = ask(curved, "delete_point", number=0)
    assert answer.status_code == 422 and "two points at least" in answer.json()["message"]


def test_sides_of_the_panel_are_clicked(curved: TestClient) -> None:
    (row,) = state(curved, decal="foot")["edged"]
    assert [(one["name"], one["on"]) for one in row["sides"]] == [
        ("bottom", True),
        ("right", False),
        ("top", False),
        ("left", False),
    ]

    def click(side: str, **more: object) -> Any:
        return ask(curved, "follow_side", at=list(FOOT), side=side, **more)

    assert click("left", seen=["bottom"]).json()["undo"] == "edge of foot"
    assert text_of(curved) == CURVED.replace("edge: [bottom]", "edge: [bottom, left]")
    assert click("bottom").status_code == 200
    assert text_of(curved) == CURVED.replace("edge: [bottom]", "edge: [left]")
    answer = click("left")
    assert answer.status_code == 422 and "alone" in answer.json()["message"]
    assert click("bottom", seen=["bottom"]).status_code == 422
    assert click("roof").status_code == 422
    assert undone(curved) == CURVED.replace("edge: [bottom]", "edge: [bottom, left]")
    assert undone(curved) == CURVED


def test_all_sides_but_one(curved: TestClient) -> None:
    desk = curved.app_state["place"].desk
    desk.rewrite(CURVED.replace("edge: [bottom]", "edge: all"), "all")
    assert ask(curved, "follow_side", at=list(FOOT), side="top").status_code == 200
    assert "edge: [bottom, right, left]" in text_of(curved)


def test_a_band_through_points_can_follow_the_edge_instead(curved: TestClient) -> None:
    desk = curved.app_state["place"].desk
    through = "points: [[0 mm, 1 mm], [9 mm, 2 mm], [20 mm, 1 mm]], corners: [2]"
    desk.rewrite(CURVED.replace("edge: [bottom]", through), "points")
    assert state(curved, decal="foot")["edged"][0]["points"]
    assert ask(curved, "follow_side", at=list(FOOT), side="top").status_code == 200
    band = values(text_of(curved))["decals"]["foot"]["artwork"][0]["band"]
    assert band["edge"] == ["top"] and not {"points", "corners"} & set(band)


def test_lettering_along_points_is_held_by_them(curved: TestClient) -> None:
    points = "[[1 mm, 2 mm], [8 mm, 3 mm], [16 mm, 2 mm]]"
    words = f"lettering: {{text: TUG, ink: teal, cap height: 1 mm, along: {{points: {points}}}}}"
    head, _, tail = CURVED.partition("      - curve:\n")
    desk = curved.app_state["place"].desk
    desk.rewrite(f"{head}      - {words}\n{tail[tail.index('  foot:') :]}", "letters")
    at = ["decals", "sweep", "artwork", 0, "lettering", "along", "points"]
    for hand, x in (("left", 8 + 1.2), ("right", 22.4 - 8 - 1.2)):
        (row,) = state(curved, hand=hand)["traced"]
        assert row["at"] == at and row["spots"][1] == [round(x * 1000), 4800]
    done(curved, "move_point", at=at, hand="right", number=1, dx=1, dy=0)
    assert "[7.00 mm, 3 mm]" in text_of(curved)


def test_the_file_reads_after_each(curved: TestClient, tmp_path: Path) -> None:
    for act, more in (
        ("add_point", {"after": 1}),
        ("delete_point", {"number": 0}),
        ("move_point", {"number": 0, "dx": 0.3, "dy": 0.1}),
    ):
        done(curved, act, **more)
        (tmp_path / "one.yaml").write_text(text_of(curved), encoding="utf-8")
        load_job(tmp_path / "one.yaml")
