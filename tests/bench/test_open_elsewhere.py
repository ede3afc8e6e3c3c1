"""Readings that are open in files that a job includes: told and counted on Measure, and led to."""

from __future__ import annotations

import time
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from tests.bench.first_minute import browser_of
from tests.bench.test_server import change, state

SHARED = """\
panels:
  roof:
    width: "?"
    height: 9 mm
  boot: {width: 12 mm, height: "?"}
"""
JOB = """\
job: tug
body: navy
include: [shared.yaml]
paints: {navy: {colour: "#1d2b4a"}}
inks: {teal: {colour: "#1f7f86"}}
panels:
  door: {width: 22.4 mm, height: 11.6 mm}
decals:
  plate:
    panel: roof
    width: 5 mm
    height: 2 mm
    artwork:
      - field: {ink: teal}
"""


@pytest.fixture
def client(tmp_path: Path) -> Any:
    """The page of a job with a panel of its own and two of an included file."""
    from decalgen.bench.shelf import JobShelf

    (tmp_path / "shared.yaml").write_text(SHARED, encoding="utf-8")
    (tmp_path / "tug.yaml").write_text(JOB, encoding="utf-8")
    yield from browser_of(JobShelf.of(tmp_path / "tug.yaml"))


def test_they_are_told_with_their_line_and_measure_is_not_done(client: TestClient) -> None:
    found = state(client, "measure")
    assert found["steps"][0] | {"about": ""} == {
        "key": "measure", "name": "Measure", "about": "", "done": False, "words": "2 open",
    }  # fmt: skip
    screen = found["screen"]
    assert screen["elsewhere"] == [
        {
            "name": "roof: width",
            "said": 'shared.yaml, line 3: `width: "?"`',
            "file": "shared.yaml",
            "at": ["panels", "roof", "width"],
            "unit": "mm",
        },
        {
            "name": "boot: height",
            "said": 'shared.yaml, line 5: `boot: {width: 12 mm, height: "?"}`',
            "file": "shared.yaml",
            "at": ["panels", "boot", "height"],
            "unit": "mm",
        },
    ]
    assert screen["opening"] == (
        "2 of 2 readings taken. 2 more open in files that the job includes. 1 reading open holds up 1 decal: plate."
    )
    assert state(client, "proof")["screen"]["leads"][0] == {"screen": "measure", "name": "Measure"}


def test_a_reading_that_the_job_gives_itself_is_not_among_them(client: TestClient, tmp_path: Path) -> None:
    assert change(client, ["panels", "roof", "width"], None, "18 mm", "add").status_code == 200
    screen = state(client, "measure")["screen"]
    assert [one["name"] for one in screen["elsewhere"]] == ["boot: height"]
    (tmp_path / "shared.yaml").write_text(SHARED.replace('"?"', "8 mm"), encoding="utf-8")
    while state(client, "measure")["screen"]["elsewhere"]:
        time.sleep(0.02)
    assert state(client, "measure")["steps"][0]["done"]


def test_one_is_taken_on_measure_and_put_into_its_file(client: TestClient, tmp_path: Path) -> None:
    own, shared = tmp_path / "tug.yaml", tmp_path / "shared.yaml"
    first = state(client, "measure")
    row = first["screen"]["elsewhere"][1]

    def take(to: str) -> Any:
        asked = {"file": row["file"], "at": row["at"], "to": to}
        view = {"screen": "measure", "job": first["job"]}
        return client.post("/do/measure/included", json=asked | {"base": first["version"], "view": view})

    for wrong, said in (
        ("", "no reading is typed"),
        ("?", "no reading is typed"),
        ("abc", "'abc'"),
        ("-3", "out of range"),
    ):
        answer = take(wrong)
        assert answer.status_code == 422 and said in answer.json()["message"], answer.json()
    assert shared.read_text(encoding="utf-8") == SHARED
    assert take("8,25").status_code == 200
    assert shared.read_text(encoding="utf-8") == SHARED.replace('12 mm, height: "?"', "12 mm, height: 8.25 mm")
    assert own.read_text(encoding="utf-8") == JOB
    now = state(client, "measure")
    assert [one["name"] for one in now["screen"]["elsewhere"]] == ["roof: width"]
    assert now["undo"] == "boot: height, in shared.yaml" and now["kept"] == now["version"]
    assert take("8.3").json()["message"] == "that reading is taken already"


def test_check_leads_from_a_decal_that_waits_for_one_to_measure(client: TestClient) -> None:
    while not state(client, "check")["screen"]["waiting"]:
        time.sleep(0.02)
    (row,) = state(client, "check")["screen"]["waiting"]
    assert (row["decal"], row["ask"], row["screen"]) == ("plate", None, "measure")
