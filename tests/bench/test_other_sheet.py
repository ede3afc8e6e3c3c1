"""A piece carried to another sheet of film: where it is put, where it finds room, and where it cannot go."""

from __future__ import annotations

from typing import Any

import pytest
from starlette.testclient import TestClient

from decalgen.job.loader import load_job
from tests.bench.sheeting import ask, look, lying, nested, tug


@pytest.fixture
def job(tmp_path: Any) -> Any:
    """A job of few pieces, which go on an offcut and on what that leaves over."""
    return tug(tmp_path)


@pytest.fixture
def two(inside: TestClient) -> TestClient:
    """Its pieces on two sheets: the offcut is full."""
    look(inside)
    for film in ("offcut.yaml", "white A5"):
        assert ask(inside, "add_film", film=film).status_code == 200
    assert ask(inside, "count", file="tug.yaml", decal="band", key="spares", to="12").status_code == 200
    found = nested(inside)
    assert [sheet["film"] for sheet in found["sheets"]] == ["offcut", "white A5"]
    return inside


def on(client: TestClient, sheet: int) -> dict[str, Any]:
    """What lies on one of the sheets."""
    (found,) = [one for one in look(client)["screen"]["sheets"] if one["index"] == sheet]
    return {f"{one['key']}|{one['copy']}": one for one in found["pieces"]}


def test_a_piece_finds_room_on_the_other_sheet_and_comes_back(two: TestClient) -> None:
    before = look(two)["screen"]
    name = next(one for one in on(two, 1) if "/band/" in one)
    piece = look(two, piece=name)["screen"]["piece"]
    assert piece["sheets"] == [2] and "lies on sheet 1" in piece["sentence"]
    answer = ask(two, "to_sheet", piece=name, sheet=2)
    # It is drawn there at once, before what lies there is judged again.
    assert answer.status_code == 200 and name in lying(answer.json()["screen"])
    assert name in on(two, 2) and name not in on(two, 1)
    found = look(two)["screen"]
    # Nothing is wrong with it there, and the sheets are printed as they lie.
    assert not any(one["wrong"] for one in lying(found).values())
    assert found["moved"].endswith("to sheet 2") and found["sheets"][1]["rest"]
    assert ask(two, "back").status_code == 200
    assert lying(look(two)["screen"]) == lying(before)


def test_a_piece_is_laid_just_where_it_is_dragged(two: TestClient) -> None:
    name = next(one for one in on(two, 1) if "/band/" in one)
    at = on(two, 1)[name]["at"]
    free = {"piece": name, "sheet": 2, "dx": 40 - at[0] / 1000, "dy": 150 - at[1] / 1000}
    asked = two.post("/ask/sheet/lies", json={"view": {}, **free}).json()
    assert asked["wrong"] == [] and asked["at"].startswith("sheet 2, ")
    assert ask(two, "move", **free).status_code == 200
    assert on(two, 2)[name]["at"] == [40000, 150000]


def test_where_it_cannot_lie_is_said_and_nothing_moves(two: TestClient) -> None:
    name = next(one for one in on(two, 1) if "/band/" in one)
    at, taken = on(two, 1)[name]["at"], next(iter(on(two, 2).values()))["at"]
    before = lying(look(two)["screen"])
    onto = {"piece": name, "sheet": 2, "dx": (taken[0] - at[0]) / 1000, "dy": (taken[1] - at[1]) / 1000}
    (wrong,) = two.post("/ask/sheet/lies", json={"view": {}, **onto}).json()["wrong"][:1]
    refused = ask(two, "move", **onto)
    assert refused.status_code == 422 and wrong.endswith(refused.json()["message"].partition(" ")[2].split(" ", 1)[1])
    for sheet, words in ((3, "there is no sheet 3"), ("2", "cannot be read"), (0, "there is no sheet 0")):
        answer = ask(two, "to_sheet", piece=name, sheet=sheet)
        assert answer.status_code == 422 and words in answer.json()["message"]
    # The offcut is full: it takes nothing more.
    other = next(one for one in on(two, 2) if "/band/" in one)
    answer = ask(two, "to_sheet", piece=other, sheet=1)
    assert answer.status_code == 422 and "there is no room" in answer.json()["message"]
    assert lying(look(two)["screen"]) == before


def test_a_pinned_piece_stays_on_its_sheet(two: TestClient, job: Any) -> None:
    name = next(one for one in on(two, 1) if "/square/" in one or "/band/" in one)
    assert ask(two, "pin", piece=name).status_code == 200
    found = look(two)["screen"]
    assert sum(pin is not None for decal in load_job(job).decals for pin in decal.pins) == 1
    pinned = next(key for key, one in lying(found).items() if one["pinned"])
    assert look(two, piece=pinned)["screen"]["piece"]["sheets"] == []
    answer = ask(two, "to_sheet", piece=pinned, sheet=2)
    assert answer.status_code == 422 and "is pinned to its sheet" in answer.json()["message"]


def test_what_is_kept_together_stays_together(two: TestClient, job: Any) -> None:
    text = job.read_text(encoding="utf-8").replace("    copies: 2\n", "    copies: 2\n    keep together: yes\n")
    place = two.app_state["place"]
    place.desk.rewrite(text, "keep together")
    nested(two)
    for sheet in (1, 2):
        for name in (one for one in on(two, sheet) if "/square/" in one):
            answer = ask(two, "to_sheet", piece=name, sheet=3 - sheet)
            assert answer.status_code == 422 and "kept together" in answer.json()["message"]
            return
    raise AssertionError("no square lies anywhere")


def test_a_sheet_that_its_last_piece_leaves_is_gone(inside: TestClient) -> None:
    look(inside)
    for film in ("offcut.yaml", "white A5"):
        ask(inside, "add_film", film=film)
    assert ask(inside, "settle", key="gap", to="15 mm").status_code == 200
    assert len(nested(inside)["sheets"]) == 2
    for name in list(on(inside, 1)):
        assert ask(inside, "to_sheet", piece=name, sheet=2).status_code == 200
        if len(look(inside)["screen"]["sheets"]) == 1:
            break
    (left,) = look(inside)["screen"]["sheets"]
    assert left["film"] == "white A5" and len(left["pieces"]) == 6
    assert not any(one["wrong"] for one in left["pieces"]) and left["rest"]
