"""The Draw screen without a browser: what is kept, what is marked, what is moved, and where a mistake is."""

from __future__ import annotations

import asyncio
import json
import re
from collections.abc import Iterable, Iterator
from itertools import accumulate
from pathlib import Path
from typing import Any

import pytest
import shapely
from starlette.testclient import TestClient

from decalgen.artwork.build import hands
from decalgen.artwork.drawn import DrawnDecal
from decalgen.bench.desk import Desk, Edit
from decalgen.bench.file_lines import changed_lines
from decalgen.bench.pictures import COARSE_MM
from decalgen.bench.sides import STRIP_MM
from decalgen.bench.workplace import Workplace

VIEW = {"screen": "draw", "panel": "door", "decal": "door roundel"}
AT = ["decals", "door roundel", "at"]


def state(client: TestClient, **view: str) -> dict[str, Any]:
    return dict(client.get("/state", params=VIEW | view).json()["screen"])


def do(client: TestClient, act: str, **asked: object) -> dict[str, Any]:
    answer = client.post(f"/do/draw/{act}", json={"view": VIEW, **asked})
    assert answer.status_code == 200, answer.text
    return dict(answer.json())


def edited(client: TestClient, **edit: object) -> Any:
    return client.post("/edit", json={"base": 1, "label": "x", "edits": [{"do": "set", **edit}], "view": VIEW})


def text_of(client: TestClient) -> str:
    return str(client.app_state["place"].desk.text)


def test_a_comment_line_on_top_draws_nothing_again(inside: TestClient, job: Path) -> None:
    drawings = inside.app_state["place"].drawings
    before = state(inside)
    drawn = drawings.drawn
    read = inside.app_state["place"].desk.job
    assert drawn == sum(len(hands(decal)) for decal in read.decals if decal.panel == "door") + sum(
        1 for decal in read.decals if decal.panel != "door"
    )
    job.write_text("# one line more\n" + job.read_text(encoding="utf-8"), encoding="utf-8")
    inside.app_state["place"].look()
    after = state(inside)
    assert drawings.drawn == drawn
    moved_down = [row | {"line": row["line"] - 1, "new": False} for row in after["lines"]]
    assert moved_down == before["lines"] and after | {"lines": 0} == before | {"lines": 0}


def test_a_move_draws_nothing_again_and_a_size_one_decal_on_each_hand(inside: TestClient) -> None:
    drawings = inside.app_state["place"].drawings
    state(inside)
    drawn = drawings.drawn
    do(inside, "move", decals=["door roundel"], hand="left", dx=0.1, dy=0)
    do(inside, "move", decals=["door band"], hand="left", dx=0, dy=0.1)
    assert drawings.drawn == drawn
    assert edited(inside, at=["decals", "door roundel", "spares"], to="3", was="1").status_code == 200
    assert drawings.drawn == drawn
    assert edited(inside, at=["decals", "door roundel", "height"], to="3.50 mm", was="3.40 mm").status_code == 200
    assert drawings.drawn == drawn + 2


def test_small_drawings_have_fewer_points_in_the_same_places(inside: TestClient) -> None:
    mine = {decal["name"]: decal for decal in state(inside, hand="right")["sides"][0]["decals"]}
    small = {decal["name"]: decal for decal in state(inside, hand="left")["sides"][1]["decals"]}
    assert set(mine) == set(small) and len(mine) > 1
    same_but_coarse(small, mine, round(1000 * COARSE_MM))
    # In the strip the widest panel is a few pixels a millimetre, and a fifth of one of these pixels counts there.
    panels = inside.app_state["place"].desk.job.panels
    most = max(COARSE_MM, COARSE_MM * max(one.width.value for one in panels) / STRIP_MM)
    strip = {one["name"]: one for one in state(inside, panel="door")["strip"]}
    assert "decals" not in strip["door"], "it is drawn from the side that is shown"
    for name in ("cargo side", "tailgate"):
        large = {decal["name"]: decal for decal in state(inside, panel=name)["sides"][0]["decals"]}
        same_but_coarse({decal["name"]: decal for decal in strip[name]["decals"]}, large, round(1000 * most))


def same_but_coarse(small: dict[str, Any], large: dict[str, Any], most: int) -> None:
    """The same outlines with fewer points, none of them farther off than so many micrometres and a bit of rounding
    (Hausdorff distance, by shapely)."""
    for name, decal in large.items():
        one = small[name]
        assert (one["at"], one["size"], one["film"]) == (decal["at"], decal["size"], decal["film"])
        assert [ink["ink"] for ink in one["inks"]] == [ink["ink"] for ink in decal["inks"]]
        for few, many in zip(one["inks"], decal["inks"], strict=True):
            assert len(few["d"]) <= len(many["d"])
            assert points(few["d"]).hausdorff_distance(points(many["d"])) <= most + 2


def test_the_other_hand_is_told_when_it_is_asked_for(inside: TestClient) -> None:
    whole = state(inside, panel="door")
    soon = state(inside, panel="door", other="later")
    assert soon["sides"] == [whole["sides"][0], {"hand": "right"}]
    view = {"panel": "door", "decal": whole["decal"], "hand": "", "other": "later"}
    news = inside.get("/news").json()
    answer = inside.post("/ask/draw/other", json={"view": view}).json()
    assert answer == {"run": news["run"], "version": news["version"], "side": whole["sides"][1]}
    # A panel of one hand has no other, and a request without a view gets none.
    assert "side" not in inside.post("/ask/draw/other", json={"view": {"panel": "bonnet"}}).json()
    assert "side" not in inside.post("/ask/draw/other", json={}).json()


def test_an_edit_draws_the_hand_that_is_shown_first(inside: TestClient) -> None:
    drawings = inside.app_state["place"].drawings
    state(inside)
    drawn = drawings.drawn
    edit = {"do": "set", "at": ["decals", "door roundel", "height"], "to": "3.50 mm", "was": "3.40 mm"}
    view = VIEW | {"other": "later"}
    assert inside.post("/edit", json={"base": 1, "label": "height", "edits": [edit], "view": view}).is_success
    assert drawings.drawn == drawn + 1
    inside.post("/ask/draw/other", json={"view": {"panel": "door"}})
    assert drawings.drawn == drawn + 2


def points(d: str) -> shapely.MultiLineString:
    """The rings of path data in whole micrometres."""
    rings = []
    for part in re.findall(r"M[^M]*", d):
        steps = [tuple(map(int, re.findall(r"-?\d+", step))) for step in re.findall(r"-?\d+ ?-?\d+", part)]
        xs, ys = accumulate(x for x, _ in steps), accumulate(y for _, y in steps)
        ring = list(zip(xs, ys, strict=True))
        rings.append([*ring, ring[0]])
    return shapely.MultiLineString(rings)


def test_the_lines_that_the_last_step_wrote_are_marked(inside: TestClient) -> None:
    assert not any(row["new"] for row in state(inside)["lines"])
    edited(inside, at=["decals", "door roundel", "spares"], to="3", was="1")
    assert [row["text"].strip() for row in state(inside)["lines"] if row["new"]] == ["spares: 3"]
    add = {"do": "add", "at": ["decals", "door roundel", "copies"], "to": "2", "was": None}
    inside.post("/edit", json={"base": 2, "label": "x", "edits": [add]})
    assert [row["text"].strip() for row in state(inside)["lines"] if row["new"]] == ["copies: 2"]
    remove = {"do": "remove", "at": ["decals", "door roundel", "copies"], "was": "2"}
    inside.post("/edit", json={"base": 3, "label": "x", "edits": [remove]})
    assert sum(row["new"] for row in state(inside)["lines"]) <= 1


def test_a_line_added_at_the_end_of_a_file_is_marked_alone(job: Path) -> None:
    text = "job: tug\nbody: navy\npanels:\n  door: {width: 9 mm, height: 9 mm}\ninks:\n  teal: {colour: '#1f7f86'}"
    job.write_text(text, encoding="utf-8")
    desk = Desk(job)
    desk.edit(1, [Edit("add", ("inks", "red"), {"colour": "#a00000"}, None)], "ink")
    lines = desk.text.splitlines()
    assert [lines[number].strip() for number in changed_lines(desk)] == ["red:", 'colour: "#a00000"']


def test_a_decal_of_one_hand_is_on_that_side_alone(inside: TestClient) -> None:
    edited(inside, at=["decals", "door roundel", "hands"], to="right", was="both")
    left, right = state(inside)["sides"]
    assert (left["hand"], [one["name"] for one in left["decals"]]) == ("left", ["door band"])
    assert [one["name"] for one in right["decals"]] == ["door band", "door roundel"]
    assert "fit" not in left and right["fit"]["good"]


@pytest.mark.parametrize(
    ("typed", "spot"),
    [
        # The word that is no name, from its first letter; an unclosed bracket; a unit that is none.
        ("panel.width - 2 * borders", [18, 7]),
        ("dor.width - 2 mm", [0, 9]),
        ("12.4 mn", [5, 2]),
    ],
)
def test_a_mistake_in_an_expression_has_its_place_in_what_was_typed(
    inside: TestClient, typed: str, spot: list[int]
) -> None:
    answer = edited(inside, at=["decals", "door roundel", "width"], to=typed, was="3.40 mm")
    assert answer.status_code == 422 and answer.json()["spot"] == spot, answer.json()
    assert "3.40 mm" in text_of(inside)


def test_a_mistake_elsewhere_has_no_place_in_what_was_typed(inside: TestClient) -> None:
    # The name is used in the layout of a decal: the mistake is not in these words.
    answer = edited(inside, at=["panels", "door", "obstacles", "handle", "clearance"], to="-1 mm", was="0.3 mm")
    assert answer.status_code == 422
    spot = answer.json().get("spot")
    assert spot is None or 0 <= spot[0] < len("-1 mm")


def test_what_it_catches_on_comes_with_the_hand_that_is_worked_on(inside: TestClient) -> None:
    left = state(inside)["sides"]
    assert left[0]["hand"] == "left" and "snaps" in left[0] and "snaps" not in left[1]
    right = state(inside, hand="right")["sides"]
    assert right[0]["hand"] == "right" and "snaps" in right[0]
    # The roundel is 3.40 wide on 22.40: left edge 0, middle 9.5, right edge 19.
    anchors = {one[3]: one[0] for one in left[0]["snaps"]["door roundel"][0] if one[3]}
    assert anchors == {"left": 0, "centre": 9500, "right": 19000}
    words = [one[2] for one in left[0]["snaps"]["door roundel"][0]]
    assert "clear of the handle" in words and "left edge of door band" in words


def test_a_decal_laid_on_the_middle_is_written_so(inside: TestClient) -> None:
    across = next(one for one in state(inside)["sides"][0]["snaps"]["door roundel"][0] if one[3] == "centre")
    dx = (across[0] - 2000) / 1000
    answer = do(inside, "move", decals=["door roundel"], hand="left", dx=dx, dy=0, across="centre", up="")
    assert "at: {anchor: top, offset: [0 mm, -0.5 mm]}" in text_of(inside)
    assert [one["at"][0] for one in answer["screen"]["sides"][0]["decals"] if one["name"] == "door roundel"] == [9500]


def test_what_was_caught_lies_there_however_often_it_is_asked_for(inside: TestClient) -> None:
    for _ in range(2):
        do(inside, "move", decals=["door roundel"], hand="right", dx=-3, dy=0, x=5.0)
        right = state(inside, hand="right")["sides"][0]
        assert next(one["at"][0] for one in right["decals"] if one["name"] == "door roundel") == 5000
    # 3.40 wide on 22.40: 5.00 from the left of the right hand is 14.00 from the left of the left one.
    assert "offset: [14.00 mm, -0.5 mm]" in text_of(inside)


def test_several_decals_go_as_one_step_and_none_takes_the_anchor_of_another(inside: TestClient) -> None:
    before = text_of(inside)
    names = ["door roundel", "door band"]
    answer = do(inside, "move", decals=names, hand="right", dx=0.1, dy=0.2, across="centre", up="top")
    assert answer["undo"] == "place of 2 decals"
    # To the right on the right hand is to the left on the left one, of which the file speaks.
    assert "offset: [1.90 mm, -0.30 mm]" in text_of(
        inside
    ) and "at: {anchor: bottom, offset: [-0.10 mm, 1.00 mm]}" in text_of(inside)
    inside.post("/undo", json={"base": answer["version"], "view": VIEW})
    assert text_of(inside) == before


def test_a_check_gives_way_to_what_is_typed_and_is_done_for_the_last_text(
    job: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    place = Workplace(Desk(job))
    whole = place.while_current
    drawn: list[str] = []

    def typed_meanwhile(version: int, decals: Iterable[DrawnDecal]) -> Iterator[DrawnDecal]:
        for number, one in enumerate(whole(version, decals)):
            drawn.append(one.decal.name)
            if number == 1:
                was = place.desk.values["panels"]["bonnet"]["length"]
                place.desk.edit(version, [Edit("set", ("panels", "bonnet", "length"), "12 mm", was)], "length")
            yield one

    with monkeypatch.context() as patched:
        patched.setattr(place, "while_current", typed_meanwhile)
        asyncio.run(place.examine())
    assert drawn == ["door band", "door band"] and place.findings is None and place.findings_of == 0
    asyncio.run(place.examine())
    assert place.findings_of == place.desk.version and any(one.severity == "error" for one in place.findings or ())


@pytest.mark.parametrize(
    "asked",
    [
        {},
        {"decals": ["door roundel"], "dx": "x", "dy": 0},
        {"decals": ["door roundel"], "dx": 1e6, "dy": 0},
        {"decals": ["door roundel"], "dx": float("nan"), "dy": 0},
        {"decals": [], "dx": 0, "dy": 0},
        {"decals": ["nothing"], "dx": 0, "dy": 0},
        {"decals": 5, "dx": 0, "dy": 0},
        {"decals": ["nothing"], "dx": 0, "dy": 0, "x": 1},
        {"decals": ["door roundel"], "dx": 0, "dy": 0, "x": "left"},
    ],
)
def test_a_move_that_makes_no_sense_is_refused_and_changes_nothing(inside: TestClient, asked: dict[str, Any]) -> None:
    before = text_of(inside)
    body = json.dumps({"view": VIEW, "hand": "left", **asked})
    answer = inside.post("/do/draw/move", content=body, headers={"content-type": "application/json"})
    assert answer.status_code == 422 and text_of(inside) == before


def test_a_move_of_what_another_moved_meanwhile_shows_both_and_either_can_be_kept(inside: TestClient) -> None:
    was = {"door roundel": state(inside)["places"]["door roundel"]}
    do(inside, "move", decals=["door roundel"], hand="left", dx=0.5, dy=0, was=was)
    body = {"view": VIEW, "decals": ["door roundel"], "hand": "left", "dx": 1.0, "dy": 0, "was": was}
    answer = inside.post("/do/draw/move", json=body)
    found = answer.json()
    assert answer.status_code == 409 and found["message"] == "'at' of 'door roundel' was changed meanwhile"
    # 2.0 mm and 1 more, and not what the other added.
    assert found["mine"] == "anchor: top left, offset: 3.00 mm, -0.5 mm"
    assert found["theirs"] == "anchor: top left, offset: 2.50 mm, -0.5 mm" and "[2.50 mm, -0.5 mm]" in text_of(inside)
    kept = inside.post("/edit", json={"base": 2, "label": found["label"], "edits": found["edits"], "view": VIEW})
    assert kept.status_code == 200 and kept.json()["undo"] == "place of door roundel"
    assert kept.json()["screen"]["places"]["door roundel"]["offset"] == ["3.00 mm", "-0.5 mm"]


def test_two_that_lay_a_decal_on_the_same_place_agree(inside: TestClient) -> None:
    was = {"door roundel": state(inside)["places"]["door roundel"]}
    for _ in range(2):
        do(inside, "move", decals=["door roundel"], hand="left", dx=3, dy=0, x=5.0, was=was)
    assert "offset: [5.00 mm, -0.5 mm]" in text_of(inside)


def test_of_several_that_move_together_one_that_another_moved_stops_all(inside: TestClient) -> None:
    was = state(inside)["places"]
    do(inside, "move", decals=["door band"], hand="left", dx=0, dy=0.2, was=was)
    before = text_of(inside)
    body = {"view": VIEW, "decals": ["door roundel", "door band"], "hand": "left", "dx": 0.1, "dy": 0, "was": was}
    found = inside.post("/do/draw/move", json=body)
    assert found.status_code == 409 and found.json()["of"] == "'at' of 'door band'" and text_of(inside) == before
    kept = inside.post("/edit", json={"base": 2, "view": VIEW, **{k: found.json()[k] for k in ("label", "edits")}})
    places = kept.json()["screen"]["places"]
    assert places["door roundel"]["offset"] == ["2.10 mm", "-0.5 mm"]
    # 0.80 above the foot as it was seen, without the other's 0.20.
    assert places["door band"]["offset"][0] == "0.10 mm" and float(places["door band"]["offset"][1][:4]) == 0.8
