"""What is done on Sheet and Draw to a value that an editor or another tab changed meanwhile is asked about, not written
over."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from decalgen.bench.guard import Keys
from decalgen.job.edits import values
from tests.bench import test_letterings, test_remedies
from tests.bench.sheeting import ask, carry, look, nested, tug

VIEW = {"screen": "draw", "panel": "door", "decal": "band"}


@pytest.fixture
def place(client: TestClient, keys: Keys) -> Any:
    """The workplace, of a browser that is let in."""
    assert client.post("/enter", json={"token": keys.token()}).status_code == 200
    return client.app_state["place"]


def written(place: Any, text: str) -> None:
    """An editor writes the job anew, and it is taken over."""
    place.desk.path.write_text(text, encoding="utf-8")
    place.look()
    assert place.desk.text == text


def edited(place: Any, before: str, after: str) -> None:
    assert before in place.desk.text
    written(place, place.desk.text.replace(before, after, 1))


def both(answer: Any, mine: str, theirs: str) -> dict[str, Any]:
    """What both made of it, as it is asked about; and what makes it so all the same, which is possible."""
    assert answer.status_code == 409, answer.text
    found: dict[str, Any] = answer.json()
    assert (found["mine"], found["theirs"]) == (mine, theirs)
    return found


def test_copies_and_spares_of_the_job_are_asked_about(client: TestClient, place: Any, tmp_path: Path) -> None:
    written(place, tug(tmp_path).read_text(encoding="utf-8"))
    edited(place, "spares: 1", "spares: 7")
    asked = {"file": "gannet.yaml", "decal": "band", "key": "spares", "to": "2", "was": "1"}
    found = both(ask(client, "count", **asked), "2", "7")
    assert "spares: 7" in place.desk.text
    # Kept all the same, it is a change of the value that was shown.
    change = {"base": place.desk.version, "label": found["label"], "edits": found["edits"]}
    assert client.post("/edit", json=change).status_code == 200 and "spares: 2" in place.desk.text
    assert ask(client, "count", **(asked | {"to": "3", "was": "2"})).status_code == 200
    # What the other made of it already needs no question.
    assert ask(client, "count", **(asked | {"to": "3", "was": "2"})).status_code == 200


def test_those_of_another_job_are_told(client: TestClient, place: Any, tmp_path: Path) -> None:
    other = tug(tmp_path)
    look(client)
    other.write_text(other.read_text(encoding="utf-8").replace("spares: 1", "spares: 7"), encoding="utf-8")
    asked = {"file": "tug.yaml", "decal": "band", "key": "spares", "to": "2", "was": "1"}
    found = both(ask(client, "count", **asked), "2", "7")
    assert "edits" not in found and found["fix"] == "tug.yaml says 7 by now; type yours again if that is to go"
    assert "spares: 7" in other.read_text(encoding="utf-8")
    assert ask(client, "count", **(asked | {"was": "7"})).status_code == 200
    assert "spares: 2" in other.read_text(encoding="utf-8")


def test_a_pin_that_an_editor_moved_is_not_moved_back(client: TestClient, place: Any, tmp_path: Path) -> None:
    written(place, tug(tmp_path).read_text(encoding="utf-8"))
    place.choose({"films": ["white A5"]})
    nested(client)
    assert ask(client, "pin", piece="tug/square/|0").status_code == 200
    # One's own steps are no others', however quick.
    look(client)
    for _ in range(2):
        assert ask(client, "move", piece="tug/square/|0", dx=0.1, dy=0.0, key="k").status_code in (200, 422)
    look(client)
    x = values(place.desk.text)["decals"]["square"]["pin"]["at"][0]
    edited(place, x, "100 mm")
    before = place.desk.text
    for act, more in (("move", {"dx": 0.1, "dy": 0.0}), ("unpin", {}), ("less", {})):
        answer = ask(client, act, piece="tug/square/|0", **more)
        assert answer.status_code == 422, act
        if act != "move":
            assert answer.json()["message"] == "the pins of 'square' were changed meanwhile"
    assert place.desk.text == before
    look(client)
    assert ask(client, "unpin", piece="tug/square/|0").status_code == 200
    carry(client, "tug/square/|0", 30, 30)


def offered(client: TestClient, kind: str) -> dict[str, Any]:
    """The way out of that kind, as the page sends it."""
    screen = client.get("/state", params=VIEW).json()["screen"]
    labels = [one["label"] for one in screen["sides"][0]["fit"]["remedies"]]
    label = next(one for one in labels if one.startswith(kind))
    return {"decal": "band", "hand": "left", "label": label, "view": VIEW, "was": screen["seen"]}


@pytest.mark.parametrize(
    ("kind", "at", "size", "change"),
    [
        ("Make", "bottom", (24, 2), ("width: 24 mm", "width: 25 mm")),
        ("Move", "[1 mm, 8 mm]", (4, 2.4), ("at: [1 mm, 8 mm]", "at: [2 mm, 8 mm]")),
    ],
    ids=["a size", "a place"],
)
def test_a_way_out_of_a_bad_fit_is(
    client: TestClient, place: Any, kind: str, at: str, size: tuple[float, float], change: tuple[str, str]
) -> None:
    width, height = size
    text = test_remedies.JOB.format(at=at, width=width, height=height, film="white", u=" ± 0.05", hands="both")
    written(place, text)
    asked = offered(client, kind)
    edited(place, *change)
    before = place.desk.text
    answer = client.post("/do/draw/remedy", json=asked)
    assert answer.status_code == 409, answer.text
    found = answer.json()
    assert place.desk.text == before and found["mine"] != found["theirs"]
    made = client.post("/edit", json={"base": place.desk.version, "label": "fit", "edits": found["edits"]})
    assert made.status_code == 200 and place.desk.text != before
    client.post("/undo", json={"base": place.desk.version})
    # What was seen is what is there: no question.
    assert client.post("/do/draw/remedy", json=offered(client, kind)).status_code == 200


def test_a_face_is(client: TestClient, place: Any) -> None:
    written(place, test_letterings.JOB)
    edited(place, "face: Roboto Flex", "face: Oswald")
    asked = {"decal": "name", "number": 1, "face": "Archivo", "was": "Roboto Flex"}
    found = both(client.post("/do/draw/choose", json=asked), "Archivo", "Oswald")
    change = {"base": place.desk.version, "label": found["label"], "edits": found["edits"]}
    assert "face: Oswald" in place.desk.text
    assert client.post("/edit", json=change).status_code == 200 and "face: Archivo" in place.desk.text
    assert client.post("/do/draw/choose", json=asked | {"face": "Oswald", "was": "Archivo"}).status_code == 200
