"""Readings from the boxes of the page: the instrument chosen beside them, and what is said while one types."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from starlette.testclient import TestClient

from decalgen.bench.desk import Desk
from decalgen.bench.readings import instrument_words, tool_names
from decalgen.cli.main import cli
from decalgen.commands.questions import all_slots
from decalgen.core.instruments import instruments

DOOR = ["panels", "door", "width"]


def send(inside: TestClient, to: Any, by: str = "", at: list[Any] = DOOR, was: Any = "22.40 mm ± 0.05") -> Any:
    edits = [{"do": "reading", "at": at, "to": to, "by": by, "was": was}]
    return inside.post("/edit", json={"base": 1, "label": "a reading", "edits": edits, "view": {"screen": "measure"}})


def ask(inside: TestClient, **asked: Any) -> dict[str, Any]:
    answer = inside.post("/ask/measure/reading", json={"at": DOOR, **asked})
    assert answer.status_code == 200
    found: dict[str, Any] = answer.json()
    return found


def slot_in(state: dict[str, Any], at: list[Any]) -> dict[str, Any]:
    found: dict[str, Any] = next(one for p in state["screen"]["panels"] for one in p["slots"] if one["at"] == at)
    return found


def words(text: str, path: Path, key: str) -> dict[str, Any]:
    path.write_text(text, encoding="utf-8")
    desk = Desk(path)
    return instrument_words(desk, next(one for one in all_slots(desk.values) if one.key == key))


def test_the_file_holds_what_the_command_would_have_put_there(inside: TestClient, job: Path) -> None:
    before = job.read_text(encoding="utf-8")
    state = send(inside, ["22,45", "22.47", "22.46"], "steel rule").json()
    page = inside.app_state["place"].desk.text
    job.write_text(before.replace("width: 22.40 mm ± 0.05", "width: ?", 1), encoding="utf-8")
    done = CliRunner().invoke(cli, ["measure", str(job)], input="22,45 22.47 22.46 by steel rule\n")
    assert done.exit_code == 0, done.output
    assert job.read_text(encoding="utf-8") == page != before
    slot = slot_in(state, DOOR)
    assert (slot["by"], slot["readings"]) == ("steel rule", ["22.45", "22.47", "22.46"])
    # A steel rule of three readings: its scale 0.1 mm/√3 or its halves of a division, k = 2, from the one table.
    rule = next(one for one in instruments() if one.name == "steel rule")
    (door,) = (one for one in state["screen"]["panels"] if one["name"] == "door")
    assert door["sizes"][0] == f"width 22.46 ± {2 * rule.u(22.46, 3):.2f} mm"


def test_an_instrument_alone_is_put_beside_the_reading_that_is_there(inside: TestClient) -> None:
    state = send(inside, ["22.40 ± 0.05"], "vernier").json()
    assert slot_in(state, DOOR)["raw"] == "22.40 mm ± 0.05 by vernier"


def test_an_instrument_that_is_none_is_refused_with_those_there_are(inside: TestClient) -> None:
    answer = send(inside, ["22.4"], "hammer")
    assert answer.status_code == 422 and "there is no instrument 'hammer'" in answer.json()["message"]
    assert "steel rule" in answer.json()["fix"] and inside.app_state["place"].desk.version == 1


def test_only_what_is_not_usual_is_sent(tmp_path: Path) -> None:
    job = "job: t\ntitle: T\nscale: '1:43'\nfilm: white\nbody: white\npanels:\n  door:\n"
    path = tmp_path / "t.yaml"
    assert words(f"{job}    width: 3 mm\n    height: 2 mm\n", path, "width") == {"readings": ["3"]}
    assert words(f"{job}    width: 3 mm by tape\n    height: 2 mm\n", path, "width") == {
        "readings": ["3"],
        "by": "tape",
    }
    found = words(f"{job}    instrument: steel rule\n    width: 3 mm\n    height: 2 mm\n", path, "width")
    assert found == {"readings": ["3"], "else": "steel rule"}
    two = f"{job}    width: [3 mm by tape, 3.1 mm by vernier]\n    height: 2 mm\n"
    assert words(two, path, "width") == {"readings": ["3 by tape", "3.1 by vernier"]}
    leaning = f"{job}    width: 30 mm\n    height: 12 mm\n    lean: 20°\n"
    assert words(leaning, path, "lean") == {"readings": ["20°"], "kind": "angle"}


def test_lengths_are_offered_all_instruments_but_those_of_angles() -> None:
    assert tool_names()["length"] == [one.name for one in instruments() if not one.angle]
    assert tool_names()["angle"] == ["protractor"]


def test_readings_of_two_instruments_go_back_as_they_came(inside: TestClient) -> None:
    state = send(inside, ["22.4 by tape", "22.45 by vernier"], "").json()
    assert slot_in(state, DOOR)["raw"] == ["22.4 mm by tape", "22.45 mm by vernier"]
    assert slot_in(state, DOOR)["readings"] == ["22.4 by tape", "22.45 by vernier"] and "by" not in slot_in(state, DOOR)


def test_asking_changes_nothing(inside: TestClient, job: Path) -> None:
    before, place = job.read_bytes(), inside.app_state["place"]
    assert ask(inside, to=["22.41", "22.43"], by="vernier", writing=1)["made"].startswith("22.42 ± 0.0")
    assert "out of range" in ask(inside, to=["1000000"])["wrong"]
    assert place.desk.version == 1 and not place.desk.history.done and job.read_bytes() == before


@pytest.mark.parametrize(
    "asked",
    [
        {"at": None}, {"at": "x"},
        {"at": ["panels"]}, {"at": [["a"]]}, {"at": [{"a": 1}]}, {"to": None}, {"to": [None]},
        {"to": [[1]]}, {"to": ["1" * 1000] * 100}, {"to": ["22.4"], "writing": "x"}, {"to": ["22.4"], "writing": 99},
        {"to": ["22.4"], "writing": -9}, {"to": ["22.4"], "by": ["x"]}, {"to": ["\n- x: y"]}, {"to": ["&a *b"]},
    ],
)  # fmt: skip
def test_whatever_is_asked_is_answered(inside: TestClient, asked: dict[str, Any]) -> None:
    ask(inside, **asked)


def test_what_the_command_refuses_is_refused_on_enter_too(inside: TestClient) -> None:
    """A handle and its clearance that cover the whole panel: read by the file's readers, and an error of the panel."""
    place = inside.app_state["place"]
    for n, (to, was) in enumerate((("0.1", "16.5 mm"), ("0.1", "8.2 mm"))):
        at = ["panels", "door", "obstacles", "handle", "at", n]
        edits = [{"do": "reading", "at": at, "to": to, "was": was}]
        assert inside.post("/edit", json={"base": place.desk.version, "label": "x", "edits": edits}).status_code == 200
    at = ["panels", "door", "obstacles", "handle", "rectangle", 1]
    edits = [{"do": "reading", "at": at, "to": "60", "was": "0.8 mm"}]
    assert inside.post("/edit", json={"base": place.desk.version, "label": "x", "edits": edits}).status_code == 200
    at[-1] = 0
    said = ask(inside, at=at, to=["60"])
    edits = [{"do": "reading", "at": at, "to": "60", "was": "3.0 mm"}]
    answer = inside.post("/edit", json={"base": place.desk.version, "label": "x", "edits": edits})
    assert answer.status_code == 422 and "cover the whole panel" in answer.json()["message"]
    assert said["wrong"] == f"{answer.json()['message']}: {answer.json()['fix']}"
