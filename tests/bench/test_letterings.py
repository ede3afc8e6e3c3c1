"""Lettering drawn to measures on the Draw screen: the same figures as a check, and every face in the very words."""

from __future__ import annotations

import asyncio
import re
import shutil
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from decalgen.bench.guard import Keys
from decalgen.bench.letterings import in_every_face
from decalgen.bench.workplace import Workplace
from decalgen.commands.inputs import printer_of
from decalgen.commands.options import Options
from decalgen.job.loader import load_job
from decalgen.lettering.faces import faces
from decalgen.preflight import examine
from decalgen.shapes.lettering import Lettering

JOB = """job: tug
body: navy
film: white
panels:
  door: {width: 22.40 mm, height: 11.60 mm}
decals:
  name:
    panel: door
    width: 18 mm
    height: 4 mm
    artwork:
      - field: {ink: navy blue}
      - lettering:
          text: STORES
          ink: black
          face: Roboto Flex
          match: {cap height: 2.50 mm ± 0.02, length: 14.20 mm, stem: 0.46 mm, crossbar: "?"}
inks:
  navy blue: {colour: "#1d2b4a"}
"""
VIEW = {"screen": "draw", "panel": "door", "decal": "name"}
MATCH = ["decals", "name", "artwork", 1, "lettering", "match"]


@pytest.fixture
def named(client: TestClient, keys: Keys, job: Path) -> TestClient:
    job.write_text(JOB, encoding="utf-8")
    client.app_state["place"].look()
    assert client.post("/enter", json={"token": keys.token()}).status_code == 200
    return client


async def finished(place: Workplace) -> None:
    await asyncio.gather(*place.tasks)


def shown(client: TestClient) -> dict[str, Any]:
    (found,) = client.get("/state", params=VIEW).json()["screen"]["letterings"]
    return dict(found)


def test_each_measure_is_a_blank_with_what_the_drawing_has_of_it(named: TestClient) -> None:
    found = shown(named)
    assert found["number"] == 1 and found["words"] == "STORES"
    rows = {row["blank"]["label"]: row for row in found["measures"]}
    assert list(rows) == ["cap height", "length", "stem", "crossbar"]
    assert rows["length"]["drawn"] == "14.20 of 14.20 mm" and rows["stem"]["drawn"] == "0.46 of 0.46 mm"
    assert rows["crossbar"]["drawn"] == "" and rows["crossbar"]["blank"]["shown"] == "?"


def test_it_says_what_a_check_says(named: TestClient, job: Path) -> None:
    said = shown(named)["said"]
    findings = examine((load_job(job),), printer_of(Options())).findings
    assert said in {one.message for one in findings if one.code == "matched-lettering"}
    forced = {one.message.removeprefix("'STORES': ") for one in findings if one.code == "forced-lettering"}
    assert set(shown(named)["forced"]) == forced


def test_a_measure_is_typed_as_at_the_bench_and_shows_at_once(named: TestClient) -> None:
    asked = {"at": [*MATCH, "crossbar"], "to": "0,38 ± 0.02", "was": "?", "view": VIEW}
    answer = named.post("/do/draw/measure", json=asked).json()
    (found,) = answer["screen"]["letterings"]
    row = next(row for row in found["measures"] if row["blank"]["label"] == "crossbar")
    assert row["blank"]["shown"] == "0.38 mm ± 0.02" and row["drawn"] == "0.38 of 0.38 mm"
    assert answer["undo"] == "crossbar of name"


def test_a_measure_that_is_not_there_yet_is_added(named: TestClient, job: Path) -> None:
    job.write_text(JOB.replace(', crossbar: "?"', ""), encoding="utf-8")
    named.app_state["place"].look()
    asked = {"at": [*MATCH, "crossbar"], "to": "0.38", "was": None, "view": VIEW}
    assert named.post("/do/draw/measure", json=asked).status_code == 200
    assert "crossbar: 0.38 mm}" in named.app_state["place"].desk.text


def test_readings_that_cannot_belong_together_are_told_and_change_nothing(named: TestClient) -> None:
    before = named.app_state["place"].desk.text
    answer = named.post(
        "/do/draw/measure", json={"at": [*MATCH, "stem"], "to": "a lot", "was": "0.46 mm", "view": VIEW}
    )
    assert answer.status_code == 422 and named.app_state["place"].desk.text == before


@pytest.mark.parametrize(
    "at", [["panels", "door", "width"], ["decals", "name", "width"], "x", 3, [*MATCH, "stem", "x"]]
)
def test_only_measures_of_lettering_are_filled_in_this_way(named: TestClient, at: object) -> None:
    answer = named.post("/do/draw/measure", json={"at": at, "to": "5", "was": None})
    assert answer.status_code == 422 and named.app_state["place"].desk.version == 2


def test_the_words_are_drawn_in_every_face_to_the_same_measures() -> None:
    named = Lettering(text=("STORES",), ink="black", cap_height=2.5)
    found = in_every_face(named)
    assert [one["face"] for one in found] == [face.name for face in faces()]
    # The letters S and O reach beyond cap line and baseline by a little; no face's capitals are far from 2.5 mm,
    # but for those of a script, which are drawn freely.
    free = {face.name for face in faces() if face.category == "script"}
    assert all(2400 < one["box"][1] < (2800 if one["face"] in free else 2750) for one in found)
    assert all(re.fullmatch(r"[MlLz0-9 .-]+", one["d"]) for one in found)


def test_a_face_is_chosen_and_settings_of_the_old_one_go_with_it(named: TestClient, job: Path) -> None:
    text = JOB.replace("          match: {", "          axes: [wght 700]\n          cap height: 2 mm # {")
    job.write_text(text, encoding="utf-8")
    named.app_state["place"].look()
    asked = {"decal": "name", "number": 1, "face": "Oswald", "view": VIEW}
    answer = named.post("/do/draw/choose", json=asked)
    assert answer.status_code == 200, answer.text
    desk = named.app_state["place"].desk
    assert "face: Oswald" in desk.text and "axes" not in desk.text
    assert answer.json()["screen"]["letterings"][0]["face"] == "Oswald"
    assert desk.undo() == "face of name" and desk.text == text


def test_the_faces_of_the_job_are_offered_first_and_chosen(named: TestClient, job: Path) -> None:
    shutil.copy(Path(__file__).parents[1] / "lettering" / "targets" / "fjalla-one.ttf", job.parent / "old.ttf")
    job.write_text(JOB.replace("inks:\n", "faces: {my letterer: old.ttf}\ninks:\n"), encoding="utf-8")
    place = named.app_state["place"]
    place.look()
    named.post("/do/draw/faces", json={"decal": "name", "number": 1, "view": VIEW})
    assert named.portal is not None
    named.portal.call(finished, place)
    assert "my letterer" in [one["face"] for one in shown(named)["faces"]]
    drawn = place.results["faces"]["faces"]
    mine, flex = (next(one for one in drawn if one["face"] == face) for face in ("my letterer", "Roboto Flex"))
    assert mine["d"] and mine["d"] != flex["d"]
    for face, was in (("my letterer", "Roboto Flex"), ("Oswald", "my letterer")):
        asked = {"decal": "name", "number": 1, "face": face, "was": was, "view": VIEW}
        answer = named.post("/do/draw/choose", json=asked)
        assert answer.status_code == 200, answer.text
        assert f"face: {face}\n" in place.desk.text
        assert answer.json()["screen"]["letterings"][0]["face"] == face
    # Another font under that name is seen.
    shutil.copy(Path(__file__).parents[1] / "lettering" / "targets" / "dosis-700.ttf", job.parent / "old.ttf")
    before = place.desk.job.faces
    place.look()
    assert place.desk.job.faces != before


def test_a_lettering_that_is_gone_is_told(named: TestClient) -> None:
    for number in (0, 7, "1", None):
        answer = named.post("/do/draw/choose", json={"decal": "name", "number": number, "face": "Oswald"})
        assert answer.status_code == 422 and "not there any more" in answer.json()["message"]


def test_faces_that_were_drawn_are_shown_for_that_lettering_alone(named: TestClient) -> None:
    named.post("/do/draw/faces", json={"decal": "name", "number": 1, "view": VIEW})
    assert named.portal is not None
    named.portal.call(finished, named.app_state["place"])
    found = shown(named)
    assert {one["face"] for one in found["faces"]} >= {"Roboto Flex", "Oswald"}
    named.post("/do/draw/measure", json={"at": [*MATCH, "stem"], "to": "0.5", "was": "0.46 mm"})
    assert "faces" not in shown(named)
