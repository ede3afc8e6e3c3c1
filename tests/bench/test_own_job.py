"""A job begun on the page as `decalgen new` begins it."""

from __future__ import annotations

from pathlib import Path

import pytest
from starlette.testclient import TestClient

from decalgen.bench import serve
from decalgen.colour.palette import PALETTE
from decalgen.commands.interview import finished
from decalgen.commands.new import NewJob
from decalgen.job.loader import load_job
from tests.bench.first_minute import add, answer, begun, browser_of, state, until_kept


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
    assert text == finished(written) and written.startswith("# Unfinished")
    assert text == (
        "# yaml-language-server: $schema=decalgen-job.schema.json\n"
        "# A job for decalgen. Text after # is a note.\n"
        'job: harbour-tug\ntitle: Harbour tug\nscale: "1:43"\nfilm: white\nbody: ferry blue\n\n'
        'panels:\n  door:\n    width: "?"\n    height: "?"\n    hand: left\n'
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
    assert "title: Harbour tug, blue\n" in (folder / job).read_text(encoding="utf-8")
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
