"""The first minute: the jobs of a folder, and finished ones to try."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from decalgen.bench import serve
from decalgen.bench.shelf import DEMO_JOBS, DEMO_SHARED, demo_copy
from decalgen.job.edits import values
from tests.bench.first_minute import ROOT, browser_of, state, until_kept


def test_the_very_first_start_shows_a_finished_model_that_can_be_touched(empty: TestClient, folder: Path) -> None:
    found = state(empty)
    assert found["shown"] == "draw" and found["screen"]["decal"] == "door band" and found["screen"]["sides"]
    assert found["demo"] == [
        "This is a finished job. Move something.",
        "It is a copy: nothing you do to it touches a file of yours.",
    ]
    assert not [*folder.iterdir()]


def test_a_finished_job_is_opened_as_a_copy_that_stays_as_it_was_left(empty: TestClient, data: Path) -> None:
    before = (ROOT / "demo" / "gannet.yaml").read_bytes()
    view = {"job": "demo/gannet.yaml", "screen": "draw"}
    body = {"decals": ["door band"], "hand": "left", "dx": 0.1, "dy": 0.1, "view": view}
    assert empty.post("/do/draw/move", json=body).status_code == 200
    until_kept(empty, "demo/gannet.yaml")
    assert (ROOT / "demo" / "gannet.yaml").read_bytes() == before
    changed = (data / "demo" / "gannet.yaml").read_bytes()
    assert changed != before and demo_copy() == data / "demo"
    assert (data / "demo" / "gannet.yaml").read_bytes() == changed


def test_a_finished_job_can_be_put_back_as_it_came_and_that_be_undone(empty: TestClient, data: Path) -> None:
    view = {"job": "demo/gannet.yaml", "screen": "draw"}
    assert not state(empty)["spoilt"]
    body = {"base": 1, "decals": ["door band"], "hand": "left", "dx": 0.1, "dy": 0.1, "view": view}
    moved = empty.post("/do/draw/move", json=body)
    assert moved.status_code == 200 and moved.json()["spoilt"], moved.text
    until_kept(empty, "demo/gannet.yaml")
    mine = (data / "demo" / "gannet.yaml").read_bytes()
    made = empty.post("/restore", json={"do": "original", "view": view}).json()
    assert not made["spoilt"] and made["undo"] == "as it came"
    until_kept(empty, "demo/gannet.yaml")
    assert (data / "demo" / "gannet.yaml").read_bytes() == (ROOT / "demo" / "gannet.yaml").read_bytes()
    assert empty.post("/undo", json={"base": made["version"], "view": view}).json()["spoilt"]
    until_kept(empty, "demo/gannet.yaml")
    assert (data / "demo" / "gannet.yaml").read_bytes() == mine


def test_a_job_of_ones_own_is_never_put_back(filled: TestClient) -> None:
    filled.post("/open", json={"job": "gannet.yaml"})
    assert not state(filled, job="gannet.yaml")["spoilt"]
    body = {"do": "original", "view": {"job": "gannet.yaml"}}
    assert filled.post("/restore", json=body).status_code == 422


@pytest.mark.parametrize("name", DEMO_JOBS)
def test_every_finished_job_can_be_opened_and_has_no_error(empty: TestClient, name: str) -> None:
    assert empty.post("/open", json={"job": f"demo/{name}.yaml"}).json() == {"job": f"demo/{name}.yaml"}
    found = state(empty, "draw", job=f"demo/{name}.yaml")
    assert found["file"] == f"{name}.yaml" and not found["problems"] and found["screen"]["strip"]


def test_the_finished_jobs_are_those_of_the_demo_with_all_they_include() -> None:
    """The demo itself lists its jobs in demo/main_job.py; the wheel holds the files (tests/house/test_wheel.py)."""
    text = (ROOT / "demo" / "main_job.py").read_text(encoding="utf-8")
    assert f"for name in {DEMO_JOBS!r})".replace("'", '"') in text
    for name in DEMO_JOBS:
        include = values((ROOT / "demo" / f"{name}.yaml").read_text(encoding="utf-8")).get("include")
        assert include in DEMO_SHARED


def test_the_jobs_of_a_folder_are_shown_and_nothing_that_is_none(filled: TestClient) -> None:
    found = state(filled)
    assert found["shown"] == "jobs" and found["job"] == "" and not found["steps"]
    names = [one["name"] for one in found["screen"]["jobs"]]
    assert names == ["gannet.yaml", "ostmerrow.yaml"]
    assert found["screen"]["jobs"][0]["title"] == "Pellerby Gannet, harbour stores"
    assert found["screen"]["opening"] == "2 jobs in the folder 'models'."
    assert [one["job"] for one in found["screen"]["demo"]] == [f"demo/{name}.yaml" for name in DEMO_JOBS]
    only = state(filled, "jobs", like="HILL climb")["screen"]
    assert [one["name"] for one in only["jobs"]] == ["ostmerrow.yaml"] and only["total"] == 2


def test_a_new_tab_opens_the_only_job_of_ones_own_and_not_the_finished_one(empty: TestClient, folder: Path) -> None:
    assert state(empty)["job"] == "demo/gannet.yaml"
    for name, shown in (("tug", (False, "tug.yaml")), ("van", (True, ""))):
        (folder / f"{name}.yaml").write_bytes((ROOT / "demo" / "gannet.yaml").read_bytes())
        found = state(empty)
        assert (found["shown"] == "jobs", found["job"]) == shown
    # A tab that shows the finished job goes on showing it.
    assert state(empty, job="demo/gannet.yaml")["job"] == "demo/gannet.yaml"


def test_a_glance_at_a_job_is_its_drawing_and_how_far_it_is(filled: TestClient, folder: Path) -> None:
    found = filled.get("/jobs/glance", params={"job": "gannet.yaml"}).json()
    assert found["words"] == "Sheet: not nested yet" and found["paint"] == "#1d2b4a"
    assert [one["name"] for one in found["panels"]] == ["door", "bonnet", "cargo side"]
    assert found["panels"][0]["decals"][0]["inks"]
    text = (folder / "gannet.yaml").read_text(encoding="utf-8")
    (folder / "gannet.yaml").write_text(text.replace("width: 22.40 mm ± 0.05", 'width: "?"', 1), encoding="utf-8")
    assert filled.get("/jobs/glance", params={"job": "gannet.yaml"}).json()["words"] == "Measure: 1 open"
    (folder / "gannet.yaml").write_text("job: x\nbody: [", encoding="utf-8")
    assert "mistake" in filled.get("/jobs/glance", params={"job": "gannet.yaml"}).json()["words"]


def test_a_folder_of_five_hundred_jobs_shows_the_latest_and_finds_the_rest(folder: Path) -> None:
    for number in range(500):
        path = folder / f"model-{number:03}.yaml"
        path.write_text(f"job: model-{number:03}\ntitle: Van {number}\nbody: grey\n", encoding="utf-8")
        os.utime(path, (number, number))
    for client in browser_of(serve.shelf_of(folder)):
        found = state(client)["screen"]
        assert found["total"] == 500 and len(found["jobs"]) == 24 and found["jobs"][0]["name"] == "model-499.yaml"
        assert found["opening"].endswith("Shown are the 24 that were changed last.")
        assert [one["name"] for one in state(client, "jobs", like="van 123")["screen"]["jobs"]] == ["model-123.yaml"]


def test_a_long_title_is_no_reason_to_refuse_a_job(empty: TestClient, folder: Path) -> None:
    """Its file and its short name are cut, wherever that falls between words."""
    for number in range(56, 66):
        title = f"{'x' * number} {'gull van ' * 24}"
        made = empty.post("/new", json={"title": title})
        assert made.status_code == 200, made.text
        read = values((folder / made.json()["job"]).read_text(encoding="utf-8"))
        assert read["title"] == title.strip() and len(read["job"]) <= 60
