"""The first minute: jobs of a folder, finished ones to try, and a job begun on the page as `decalgen new` begins it."""

from __future__ import annotations

import asyncio
import json
import os
import shutil
import socket
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from decalgen.bench import serve
from decalgen.bench.guard import Keys
from decalgen.bench.panel_acts import kinds_of_obstacle, panel_kinds
from decalgen.bench.server import page_app
from decalgen.bench.shelf import DEMO_JOBS, DEMO_SHARED, JobShelf, demo_copy
from decalgen.cli.main import cli
from decalgen.colour.palette import PALETTE
from decalgen.commands.new import NewJob
from decalgen.core.errors import DecalgenError
from decalgen.job.edits import values
from decalgen.job.loader import load_job
from decalgen.panels.registry import kinds, obstacle_kinds
from tests.bench.conftest import HOME, PORT, ROOT

ELSEWHERE = ["../tug.yaml", "/etc/passwd", "..", ".hidden.yaml", "sub/tug.yaml", "C:tug.yaml", "demo/../tug.yaml"]
ELSEWHERE += ["demo/printer.yaml", "demo/run.py", "link.yaml", "notes.txt", "none.yaml", "tug.yaml\x00", "", "demo/"]


@pytest.fixture(autouse=True)
def data(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("DECALGEN_DATA", str(tmp_path / "data"))
    return tmp_path / "data"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder without a job in it."""
    made = tmp_path / "models"
    made.mkdir()
    return made


def browser_of(shelf: JobShelf) -> Iterator[TestClient]:
    keys = Keys(PORT)
    with TestClient(page_app(shelf, keys, PORT), base_url=HOME) as client:
        client.headers.clear()
        client.headers["origin"] = HOME
        assert client.post("/enter", json={"token": keys.token()}).status_code == 200
        yield client


@pytest.fixture
def empty(folder: Path) -> Iterator[TestClient]:
    """The page of a folder without jobs."""
    yield from browser_of(serve.shelf_of(folder))


@pytest.fixture
def filled(folder: Path) -> Iterator[TestClient]:
    """The page of a folder with two jobs and what else lies beside jobs."""
    for name in ("gannet", "ostmerrow", "common-inks", "printer"):
        shutil.copy(ROOT / "demo" / f"{name}.yaml", folder)
    os.utime(folder / "gannet.yaml", (2, 2))
    os.utime(folder / "ostmerrow.yaml", (1, 1))
    yield from browser_of(serve.shelf_of(folder))


def state(client: TestClient, screen: str = "", **view: str) -> dict[str, Any]:
    found: dict[str, Any] = client.get("/state", params={"screen": screen, "tab": "1", **view}).json()
    return found


def until_kept(client: TestClient, job: str) -> None:
    while True:
        found = state(client, job=job)
        if found["kept"] == found["version"] or found["trouble"]:
            return
        time.sleep(0.01)


def answer(client: TestClient, job: str, at: str, typed: str) -> dict[str, Any]:
    made = client.post("/answer", json={"at": [at], "typed": typed, "view": {"job": job}})
    assert made.status_code == 200, made.text
    found: dict[str, Any] = made.json()
    return found


def begun(client: TestClient, title: str = "Harbour tug") -> str:
    job: str = client.post("/new", json={"title": title}).json()["job"]
    for at, typed in (("scale", "43"), ("body", "ferry blue"), ("film", "white")):
        answer(client, job, at, typed)
    return job


def act(client: TestClient, job: str, act_: str, **asked: Any) -> Any:
    return client.post(f"/do/measure/{act_}", json={**asked, "view": {"job": job}})


def add(client: TestClient, job: str, act_: str, **asked: Any) -> None:
    made = act(client, job, act_, **asked)
    assert made.status_code == 200, made.text
    until_kept(client, job)


# ----------------------------------------------------------------------------------------------------- what is shown
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


# ------------------------------------------------------------------------------------------------------ only these jobs
@pytest.mark.parametrize("name", ELSEWHERE)
def test_no_name_leads_out_of_the_folder(filled: TestClient, folder: Path, tmp_path: Path, name: str) -> None:
    text = "job: tug\nbody: grey\n"
    (folder / "sub").mkdir()
    for path in (tmp_path / "tug.yaml", folder / "sub" / "tug.yaml", folder / ".hidden.yaml", folder / "notes.txt"):
        path.write_text(text, encoding="utf-8")
    (folder / "link.yaml").symlink_to(tmp_path / "tug.yaml")
    assert filled.post("/open", json={"job": name}).status_code == 422
    assert filled.get("/jobs/glance", params={"job": name}).status_code == 404
    assert state(filled, "measure", job=name)["job"] == ""


@pytest.mark.parametrize("path", ["/open", "/new", "/answer", "/restore", "/jobs/glance"])
def test_every_route_of_the_first_minute_is_guarded(filled: TestClient, path: str) -> None:
    """As the other routes are (tests/bench/test_guard.py)."""
    body = b"{}"
    sent = {"content-type": "application/json"}
    if path == "/jobs/glance":
        assert filled.get(path, headers={"sec-fetch-site": "cross-site"}).status_code == 403
        filled.cookies.clear()
        assert filled.get(path).status_code == 401
        return
    assert filled.post(path, content=body, headers=sent | {"origin": "http://evil.example"}).status_code == 403
    assert filled.post(path, content=body, headers={"content-type": "text/plain"}).status_code == 415
    assert filled.post(path, content=iter([body]), headers=sent).status_code == 413
    assert filled.post(path, json={}).status_code == 422
    filled.cookies.clear()
    assert filled.post(path, content=body, headers=sent).status_code == 401


def test_two_jobs_are_open_at_once_and_each_change_goes_into_its_own(filled: TestClient, folder: Path) -> None:
    before = (folder / "ostmerrow.yaml").read_bytes()
    for name in ("gannet.yaml", "ostmerrow.yaml"):
        assert filled.post("/open", json={"job": name}).json() == {"job": name}
    edits = [{"do": "reading", "at": ["panels", "door", "width"], "was": "22.40 mm ± 0.05", "to": "22.5"}]
    body = {"base": 1, "label": "width", "edits": edits, "view": {"job": "gannet.yaml", "screen": "measure"}}
    assert filled.post("/edit", json=body).json()["undo"] == "width"
    until_kept(filled, "gannet.yaml")
    assert "width: 22.5 mm" in (folder / "gannet.yaml").read_text(encoding="utf-8")
    assert (folder / "ostmerrow.yaml").read_bytes() == before
    assert state(filled, job="ostmerrow.yaml")["undo"] == "" and state(filled, job="gannet.yaml")["undo"] == "width"


def test_what_happens_is_told_with_the_job_it_happened_to(filled: TestClient, folder: Path) -> None:
    shelf = serve.shelf_of(folder)
    queue: asyncio.Queue[dict[str, Any]] = asyncio.Queue()
    shelf.listeners.add(queue)
    for name in ("gannet.yaml", "ostmerrow.yaml"):
        shelf.taken_up(name).tell(kept=1)
    assert [queue.get_nowait()["job"] for _ in range(2)] == ["gannet.yaml", "ostmerrow.yaml"]


def test_a_job_that_is_open_elsewhere_is_shown_there(folder: Path) -> None:
    shutil.copy(ROOT / "demo" / "gannet.yaml", folder)
    shelf = serve.shelf_of(folder)
    shelf.elsewhere = lambda path: f"http://127.0.0.1:1/#k={path.name}"
    for client in browser_of(shelf):
        assert client.post("/open", json={"job": "gannet.yaml"}).json() == {
            "address": "http://127.0.0.1:1/#k=gannet.yaml"
        }


def test_a_second_start_is_led_to_the_job_it_named(folder: Path) -> None:
    shutil.copy(ROOT / "demo" / "gannet.yaml", folder)
    keys = Keys(PORT)
    shelf = serve.shelf_of(folder)
    with TestClient(page_app(shelf, keys, PORT), base_url=HOME) as client:
        client.headers["origin"] = HOME
        for job, led in (("gannet.yaml", "gannet.yaml"), ("none.yaml", "")):
            if led:
                shelf.taken_up(led)
            token = client.post("/knock", json={"door": keys.door, "job": job}).json()["token"]
            assert client.post("/enter", json={"token": token}).json() == {"job": led}


# ------------------------------------------------------------------------------------------------------- one's own job
def test_a_job_begun_on_the_page_is_the_one_that_the_command_makes(empty: TestClient, folder: Path) -> None:
    job = begun(empty)
    add(empty, job, "add_panel", name="door", kind="flat", hand="left")
    until_kept(empty, job)
    text = (folder / job).read_text(encoding="utf-8")
    other = NewJob(folder / "sub" / "harbour-tug.yaml")
    for typed in ("Harbour tug", "43", "ferry blue", "white", "door, flat, left"):
        question = other.question()
        assert question is not None
        other.answer(question, typed)
    written = (folder / "sub" / "harbour-tug.yaml").read_text(encoding="utf-8")
    assert text == written.partition("\n")[2] and written.startswith("# Unfinished")
    assert text == (
        "# yaml-language-server: $schema=decalgen-job.schema.json\n"
        "# A job for decalgen. Text after # is a note.\n"
        'job: harbour-tug\ntitle: "Harbour tug"\nscale: "1:43"\nfilm: white\nbody: ferry blue\n'
        'panels:\n  door:\n    kind: flat\n    width: "?"\n    height: "?"\n    hand: left\n'
    )
    assert (folder / "decalgen-job.schema.json").is_file()


def test_each_answer_is_in_the_file_at_once_and_one_goes_on_at_the_first_open_question(
    empty: TestClient, folder: Path
) -> None:
    job = empty.post("/new", json={"title": "Harbour tug"}).json()["job"]
    assert job == "harbour-tug.yaml" and (folder / job).is_file()
    answer(empty, job, "scale", "1/64")
    until_kept(empty, job)
    assert 'scale: "1:64"' in (folder / job).read_text(encoding="utf-8")
    for client in browser_of(serve.shelf_of(folder)):
        assert [one["name"] for one in state(client)["screen"]["jobs"]] == [job]
        assert client.get("/jobs/glance", params={"job": job}).json()["words"] == "just begun"
        found = state(client, "print_film", job=job)
        assert found["shown"] == "begin" and found["screen"]["question"]["at"] == ["body"]
        assert [one["shown"] for one in found["screen"]["so_far"]] == ["Harbour tug", "1:64"]


def test_an_answer_can_be_changed_and_what_was_reached_goes_on(empty: TestClient, folder: Path) -> None:
    job = empty.post("/new", json={"title": "Harbour tug"}).json()["job"]
    answer(empty, job, "scale", "1:43")
    again = state(empty, job=job, asking="title")["screen"]["question"]
    assert again["at"] == ["title"] and again["default"] == "Harbour tug"
    assert answer(empty, job, "title", "Harbour tug, blue")["screen"]["question"]["at"] == ["body"]
    until_kept(empty, job)
    assert 'title: "Harbour tug, blue"' in (folder / job).read_text(encoding="utf-8")
    base = state(empty, job=job)["version"]
    assert empty.post("/undo", json={"base": base, "view": {"job": job}}).json()["title"] == "Harbour tug"


def test_the_body_is_chosen_from_the_colours_that_have_a_name(empty: TestClient) -> None:
    job = empty.post("/new", json={"title": "Tug"}).json()["job"]
    answer(empty, job, "scale", "")
    question = state(empty, job=job)["screen"]["question"]
    assert question["patches"] == [[name, code] for name, code in PALETTE.items()]


@pytest.mark.parametrize(("at", "typed"), [("body", "blurple"), ("film", "paper"), ("scale", "back"), ("panels", "x")])
def test_a_wrong_answer_is_refused_with_its_fix_and_costs_nothing(
    empty: TestClient, folder: Path, at: str, typed: str
) -> None:
    job = empty.post("/new", json={"title": "Tug"}).json()["job"]
    before = (folder / job).read_bytes()
    refused = empty.post("/answer", json={"at": [at], "typed": typed, "view": {"job": job}})
    assert refused.status_code == 422 and refused.json()["message"] and refused.json()["fix"]
    until_kept(empty, job)
    assert (folder / job).read_bytes() == before


@pytest.mark.parametrize(
    ("title", "name"),
    [
        ("<script>alert(1)</script>", "script-alert-1-script.yaml"),
        ("../../etc/passwd", "etc-passwd.yaml"),
        ("!!!", "job.yaml"),
        ('a "b" \\ c: #d', "a-b-c-d.yaml"),
    ],
)
def test_any_title_makes_a_plain_file_name_and_stays_text(
    empty: TestClient, folder: Path, title: str, name: str
) -> None:
    made = empty.post("/new", json={"title": title})
    assert made.json()["job"] == name and sorted(one.name for one in folder.glob("*.yaml")) == [name]
    assert load_job(folder / name).title == title
    assert state(empty, job=name)["title"] == title
    assert empty.post("/new", json={"title": title}).json()["job"] == name.replace(".yaml", "-2.yaml")


def test_a_title_of_nothing_is_asked_for_again(empty: TestClient, folder: Path) -> None:
    refused = empty.post("/new", json={"title": "  "})
    assert refused.status_code == 422 and refused.json()["fix"] == "type what the model is called"
    assert not [*folder.iterdir()]


# ------------------------------------------------------------------------------------------------ panels and obstacles
def test_each_kind_of_panel_is_drawn_and_makes_what_the_command_makes(empty: TestClient, folder: Path) -> None:
    """Every kind of the registry; the command's answers are those of `decalgen new`."""
    assert [one["name"] for one in panel_kinds()] == list(kinds())
    job = begun(empty)
    for number, kind in enumerate(panel_kinds()):
        assert kind["drawing"]["items"] and kind["about"]
        full = {"full width": "1.62 m", "full height": "0.9 m"} if kind["full"] else {}
        add(empty, job, "add_panel", name=f"panel {number + 10}", kind=kind["name"], **full)
    found = load_job(folder / job)
    assert [panel.kind for panel in found.panels] == list(kinds())
    assert len(state(empty, "measure", job=job)["screen"]["names"]) == len(kinds())


def test_a_kind_can_be_measured_another_way_and_an_outline_has_its_corners(empty: TestClient, folder: Path) -> None:
    job = begun(empty)
    ways = next(one for one in panel_kinds() if one["name"] == "cylinder")["ways"]
    assert len(ways) > 1
    add(empty, job, "add_panel", name="roof", kind="cylinder", way=ways[-1])
    add(empty, job, "add_panel", name="flank", kind="outline", points="6")
    panels = values((folder / job).read_text(encoding="utf-8"))["panels"]
    assert (
        ", ".join(key for key in panels["roof"] if key != "kind") == ways[-1] and len(panels["flank"]["outline"]) == 6
    )


def test_every_kind_of_obstacle_is_drawn_and_can_be_added(empty: TestClient, folder: Path) -> None:
    assert [one["name"] for one in kinds_of_obstacle()] == list(obstacle_kinds())
    job = begun(empty)
    add(empty, job, "add_panel", name="door", kind="flat")
    for one in kinds_of_obstacle():
        assert one["drawing"]["items"]
        add(empty, job, "add_obstacle", panel="door", name=one["name"], kind=one["name"], clearance="0.4")
    there = values((folder / job).read_text(encoding="utf-8"))["panels"]["door"]["obstacles"]
    assert list(there) == list(obstacle_kinds()) and there["circle"]["clearance"] == "0.4 mm"
    assert [len(there[key][key]) for key in ("line", "outline")] == [2, 4]


def test_a_panel_that_a_decal_lies_on_cannot_be_deleted_and_others_can(filled: TestClient, folder: Path) -> None:
    filled.post("/open", json={"job": "gannet.yaml"})
    refused = act(filled, "gannet.yaml", "remove", at=["panels", "door"])
    assert refused.status_code == 422 and "door band" in refused.json()["message"]
    add(filled, "gannet.yaml", "remove", at=["panels", "door", "obstacles", "handle"])
    assert not load_job(folder / "gannet.yaml").panels[0].obstacles
    add(filled, "gannet.yaml", "add_panel", name="roof", kind="flat")
    add(filled, "gannet.yaml", "remove", at=["panels", "roof"])
    assert "roof" not in (folder / "gannet.yaml").read_text(encoding="utf-8")


def test_panels_and_obstacles_are_renamed_with_their_comments_and_decals(filled: TestClient, folder: Path) -> None:
    filled.post("/open", json={"job": "gannet.yaml"})
    before = (folder / "gannet.yaml").read_text(encoding="utf-8")
    add(filled, "gannet.yaml", "rename", at=["panels", "bonnet"], name="bonnet lid")
    after = (folder / "gannet.yaml").read_text(encoding="utf-8")
    changed = [(a, b) for a, b in zip(before.splitlines(), after.splitlines(), strict=True) if a != b]
    assert [b.split("#")[0].strip() for _, b in changed] == ["bonnet lid:", "panel: bonnet lid"]
    assert load_job(folder / "gannet.yaml").panels[1].name == "bonnet lid"
    add(filled, "gannet.yaml", "rename", at=["panels", "door", "obstacles", "handle"], name="grip")
    assert load_job(folder / "gannet.yaml").panels[0].obstacles[0].name == "grip"


def test_a_name_is_changed_in_expressions_too(empty: TestClient, folder: Path) -> None:
    job = folder / "tug.yaml"
    text = (
        "job: tug\nbody: navy\npanels:\n  door: {width: 20 mm, height: 10 mm}\n  roof: {width: 20 mm, height: 10 mm}\n"
        "decals:\n  band: {panel: roof, width: panels.door.width / 2, height: 2 mm, artwork: [{field: {ink: black}}]}\n"
    )
    job.write_text(text, encoding="utf-8")
    assert load_job(job).decals[0].width.value == 10
    add(empty, "tug.yaml", "rename", at=["panels", "door"], name="gate")
    assert job.read_text(encoding="utf-8") == text.replace("door", "gate")


@pytest.mark.parametrize(
    ("name", "asked"),
    [
        ("add_panel", {"name": "", "kind": "flat"}),
        ("add_panel", {"name": "door, flat", "kind": "flat"}),
        ("add_panel", {"name": "<b>", "kind": "flat"}),
        ("add_panel", {"name": "door", "kind": "round"}),
        ("add_panel", {"name": "door", "kind": "outline", "points": "1000000"}),
        ("add_panel", {"name": "door", "kind": "cylinder", "way": "luck"}),
        ("add_obstacle", {"panel": "none", "name": "handle"}),
        ("rename", {"at": ["job"], "name": "x"}),
        ("rename", {"at": [["panels"]], "name": "x"}),
        ("remove", {"at": ["panels", "none"]}),
        ("remove", {}),
    ],
)
def test_what_cannot_be_added_is_refused_with_its_fix(
    empty: TestClient, folder: Path, name: str, asked: dict[str, Any]
) -> None:
    job = begun(empty)
    until_kept(empty, job)
    before = (folder / job).read_bytes()
    refused = act(empty, job, name, **asked)
    assert refused.status_code == 422 and refused.json()["message"] and refused.json()["fix"]
    assert (folder / job).read_bytes() == before


# --------------------------------------------------------------------------------------------------------- a file gone
def test_a_job_deleted_under_the_page_is_put_back(filled: TestClient, folder: Path) -> None:
    filled.post("/open", json={"job": "gannet.yaml"})
    before = (folder / "gannet.yaml").read_bytes()
    (folder / "gannet.yaml").unlink()
    found = state(filled, job="gannet.yaml")
    assert found["restore"]["kind"] == "gone" and "deleted or renamed" in found["restore"]["words"]
    assert filled.post("/restore", json={"do": "back", "view": {"job": "gannet.yaml"}}).json() == {"job": "gannet.yaml"}
    assert (folder / "gannet.yaml").read_bytes() == before
    found = state(filled, job="gannet.yaml")
    assert found["restore"]["kind"] == "" and not found["trouble"]
    assert filled.post("/restore", json={"do": "back", "view": {"job": "gannet.yaml"}}).status_code == 422


def test_what_is_here_of_a_renamed_job_is_kept_under_a_name_of_ones_own(filled: TestClient, folder: Path) -> None:
    filled.post("/open", json={"job": "gannet.yaml"})
    before = (folder / "gannet.yaml").read_bytes()
    (folder / "gannet.yaml").rename(folder / "moved.yaml")
    for name in ("moved.yaml", "../x.yaml", ".x", "", "a/b"):
        body = {"do": "as", "name": name, "view": {"job": "gannet.yaml"}}
        assert filled.post("/restore", json=body).status_code == 422
    body = {"do": "as", "name": "gannet two", "view": {"job": "gannet.yaml"}}
    assert filled.post("/restore", json=body).json() == {"job": "gannet two.yaml"}
    assert (folder / "gannet two.yaml").read_bytes() == before and not (folder / "gannet.yaml").exists()
    assert state(filled, job="gannet two.yaml")["restore"]["kind"] == ""


def test_a_read_only_job_is_read_never_written_and_can_be_copied(filled: TestClient, folder: Path) -> None:
    path = folder / "gannet.yaml"
    before = path.read_bytes()
    path.chmod(0o444)
    filled.post("/open", json={"job": "gannet.yaml"})
    assert state(filled, job="gannet.yaml")["restore"]["kind"] == "locked"
    edits = [{"do": "reading", "at": ["panels", "door", "width"], "was": "22.40 mm ± 0.05", "to": "22.5"}]
    view = {"job": "gannet.yaml"}
    filled.post("/edit", json={"base": 1, "label": "width", "edits": edits, "view": view})
    until_kept(filled, "gannet.yaml")
    assert "read-only" in state(filled, job="gannet.yaml")["trouble"] and path.read_bytes() == before
    made = filled.post("/restore", json={"do": "as", "name": "mine", "view": view}).json()
    assert made == {"job": "mine.yaml"} and "width: 22.5 mm" in (folder / "mine.yaml").read_text(encoding="utf-8")
    assert path.read_bytes() == before


def test_trouble_is_over_once_the_file_is_back(filled: TestClient, folder: Path) -> None:
    filled.post("/open", json={"job": "gannet.yaml"})
    (folder / "gannet.yaml").rename(folder / "away")
    while not state(filled, job="gannet.yaml")["trouble"]:
        time.sleep(0.01)
    (folder / "away").rename(folder / "gannet.yaml")
    while state(filled, job="gannet.yaml")["trouble"]:
        time.sleep(0.01)
    assert not state(filled, job="gannet.yaml")["restore"]["kind"]


# ------------------------------------------------------------------------------------------------------------ the start
def test_a_port_in_use_is_told_with_one_that_is_free(folder: Path) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        said: list[str] = []
        with pytest.raises(DecalgenError, match=f"port {port} is in use") as caught:
            serve.serve(folder, said.append, port, browser=False)
    free = int(caught.value.fix.split("take ")[1].split(",")[0])
    assert free != port and not said
    with socket.socket() as other:
        other.bind(("127.0.0.1", free))


def test_a_missing_part_of_the_page_is_told_with_the_fix(monkeypatch: pytest.MonkeyPatch, folder: Path) -> None:
    for name in [name for name in sys.modules if name.startswith("decalgen.bench.serve")]:
        monkeypatch.delitem(sys.modules, name)
    monkeypatch.delattr("decalgen.bench.serve")
    monkeypatch.setitem(sys.modules, "starlette.applications", None)
    with pytest.raises(DecalgenError, match="needs the package starlette") as caught:
        cli.main(["bench", str(folder)], standalone_mode=False)
    assert "pip install" in caught.value.fix


def test_the_lock_of_a_folder_and_of_each_job_lead_to_the_same_page(folder: Path, data: Path) -> None:
    """What a second start reads; only the owner may, where the system knows owners."""
    shutil.copy(ROOT / "demo" / "gannet.yaml", folder)
    shelf = serve.shelf_of(folder)
    noted: list[Path] = []
    shelf.noted = noted.append
    shelf.taken_up("gannet.yaml")
    shelf.taken_up("gannet.yaml")
    assert noted == [folder / "gannet.yaml"]
    assert serve.lock_file(folder) != serve.lock_file(folder / "gannet.yaml")
    lock = serve.lock_file(folder / "gannet.yaml")
    lock.parent.mkdir(parents=True, exist_ok=True)
    lock.write_text(json.dumps({"port": 1, "door": "x", "job": "gannet.yaml"}), encoding="utf-8")
    assert serve.elsewhere(folder / "gannet.yaml") == ""
