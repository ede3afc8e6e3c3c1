"""What the page is told, and what its changes do to the file."""

from __future__ import annotations

import random
import time
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from decalgen.bench.guard import Keys
from decalgen.bench.server import page_app
from decalgen.bench.shelf import JobShelf
from decalgen.job.loader import load_job
from tests.bench.conftest import HOME, PORT
from tests.bench.test_two_hands import JOB

WIDTH = ["panels", "door", "width"]


def state(client: TestClient, screen: str, **view: str) -> dict[str, Any]:
    found: dict[str, Any] = client.get("/state", params={"screen": screen, "tab": "1", **view}).json()
    return found


def step_of(found: dict[str, Any], key: str) -> dict[str, Any]:
    """A step of the card, as the page is told of it."""
    (one,) = (step for step in found["steps"] if step["key"] == key)
    assert isinstance(one, dict)
    return one


def change(client: TestClient, at: list[Any], was: Any, to: str, do: str = "set", base: int | None = None) -> Any:
    base = base if base is not None else state(client, "measure")["version"]
    edits = [{"do": do, "at": at, "was": was, "to": to}]
    return client.post("/edit", json={"base": base, "label": "a change", "edits": edits, "view": {"screen": "draw"}})


def until_kept(client: TestClient) -> None:
    """The file follows the answer; it is waited for as long as it takes."""
    while True:
        found = state(client, "measure")
        if found["kept"] == found["version"] or found["trouble"]:
            return
        time.sleep(0.01)


def test_the_card_says_where_each_step_stands(inside: TestClient) -> None:
    found = state(inside, "measure")
    assert [one["key"] for one in found["steps"]] == [
        "measure",
        "originals",
        "draw",
        "body",
        "check",
        "sheet",
        "proof",
        "print_film",
        "apply",
    ]
    assert found["steps"][0]["words"] == "14 readings taken" and found["steps"][0]["done"]
    assert found["title"] == "Pellerby Gannet, harbour stores" and found["file"] == "gannet.yaml"


def test_a_reading_is_read_as_the_command_reads_it_and_kept(inside: TestClient, job: Path) -> None:
    before = job.read_text(encoding="utf-8")
    answer = change(inside, WIDTH, "22.40 mm ± 0.05", "22,5 22,5 22,6", "reading")
    assert answer.status_code == 200 and answer.json()["undo"] == "a change"
    until_kept(inside)
    after = job.read_text(encoding="utf-8")
    rows = "".join(f"\n      - {reading} mm" for reading in ("22.5", "22.5", "22.6"))
    assert after == before.replace(" 22.40 mm ± 0.05", rows, 1)
    assert inside.post("/undo", json={"base": answer.json()["version"]}).json()["redo"] == "a change"
    until_kept(inside)
    assert job.read_text(encoding="utf-8") == before


def test_a_wrong_value_is_refused_with_words_and_its_fix(inside: TestClient, job: Path) -> None:
    before = job.read_bytes()
    answer = change(inside, WIDTH, "22.40 mm ± 0.05", "1e6", "reading")
    assert answer.status_code == 422 and answer.json()["message"] and job.read_bytes() == before
    for body in ({}, {"base": 1}, {"base": 1, "label": "", "edits": [{"do": "set", "at": "x", "to": "1"}]}, [1]):
        assert inside.post("/edit", json=body).status_code == 422


def test_a_value_changed_in_two_tabs_is_told_with_both(inside: TestClient) -> None:
    first = state(inside, "measure")["version"]
    assert change(inside, WIDTH, "22.40 mm ± 0.05", "23 mm", base=first).status_code == 200
    answer = change(inside, WIDTH, "22.40 mm ± 0.05", "24 mm", base=first)
    assert answer.status_code == 409 and answer.json()["theirs"] == "23 mm" and answer.json()["mine"] == "24 mm"


def test_the_drawing_of_a_panel_has_both_hands_and_the_sentence(inside: TestClient) -> None:
    screen = state(inside, "draw", panel="door")["screen"]
    assert [one["hand"] for one in screen["sides"]] == ["left", "right"] and screen["decal"] == "door band"
    words = "".join(
        one if isinstance(one, str) else f"[{one['shown'] or one['default']}]" for one in screen["sentence"]
    )
    assert words == (
        "Door band is drawn from the layout door-band. It goes on the [door], [both] hands, [21.40 mm] wide and "
        "[6.37 mm] high, at [bottom + 0.80 mm]. Print [1] and [1] spare of each hand on [white] film."
    )
    assert {one["ink"] for one in screen["sides"][0]["decals"][0]["inks"]} and screen["lines"][0][
        "text"
    ].strip() == "door band:"


def test_a_decal_that_is_moved_keeps_its_anchor_and_moves_both_hands(inside: TestClient, job: Path) -> None:
    before = load_job(job).decals[0].at
    body = {"base": 1, "decals": ["door band"], "hand": "left", "dx": 0.1004, "dy": 0.2, "view": {"screen": "draw"}}
    assert inside.post("/do/draw/move", json=body).status_code == 200
    until_kept(inside)
    after = load_job(job).decals[0].at
    assert (after.anchor, round(after.dx - before.dx, 9), round(after.dy - before.dy, 9)) == ("bottom", 0.1, 0.2)
    body |= {"hand": "right", "dx": 0.1, "dy": -0.2, "base": state(inside, "draw")["version"]}
    assert inside.post("/do/draw/move", json=body).status_code == 200
    until_kept(inside)
    assert load_job(job).decals[0].at.dx == pytest.approx(0) and load_job(job).decals[0].at.dy == before.dy


def test_findings_follow_the_last_change_and_say_of_what_they_are(inside: TestClient) -> None:
    change(inside, ["panels", "bonnet", "length"], "19.50 mm ± 0.05", "12 mm", "reading")
    while True:
        found = state(inside, "check")
        if found["screen"]["of"] == found["version"]:
            break
        time.sleep(0.01)
    errors = [one for one in found["screen"]["findings"] if one["severity"] == "error"]
    assert errors and errors[0]["decal"] == "bonnet chevrons" and errors[0]["panel"] == "bonnet"
    check = step_of(found, "check")
    assert not check["done"] and check["words"].endswith("to correct")


def test_what_an_editor_writes_shows_by_itself(inside: TestClient, job: Path) -> None:
    version = state(inside, "measure")["version"]
    job.write_text(job.read_text(encoding="utf-8").replace("22.40", "22.90", 1), encoding="utf-8")
    while state(inside, "measure")["version"] == version:
        time.sleep(0.01)
    found = state(inside, "measure")
    assert (
        found["screen"]["panels"][0]["slots"][0]["shown"] == "22.90 ± 0.05"
        and found["undo"] == "what your editor changed"
    )
    job.write_text("job: x\nbody: [navy\n", encoding="utf-8")
    while not state(inside, "measure")["problems"]:
        time.sleep(0.01)
    wrong = state(inside, "draw")
    assert wrong["problems"][0]["line"] == 2 and len(wrong["screen"]["strip"]) == 4
    for line in ("2", None, "²"):
        answer = inside.post("/line", json={"line": line, "was": "body: [navy", "to": "body: navy"})
        assert answer.status_code == 422 and answer.json()["fix"]
    body = {"line": 2, "was": "body: [navy", "to": "body: navy"}
    assert inside.post("/line", json=body).status_code == 200


def test_markup_in_a_title_is_only_ever_text(inside: TestClient, job: Path) -> None:
    text = job.read_text(encoding="utf-8").replace("title: Pellerby", "title: <script>alert(1)</script> Pellerby", 1)
    assert "<script>" in text
    job.write_text(text, encoding="utf-8")
    while "<script>" not in state(inside, "measure")["title"]:
        time.sleep(0.01)
    assert inside.get("/state").headers["content-type"] == "application/json"


def test_every_variant_stands_beside_the_livery_as_it_is(inside: TestClient) -> None:
    liveries = state(inside, "body")["screen"]["liveries"]
    assert [one["name"] for one in liveries] == ["as it is", "pilot"] and not any(one.get("wrong") for one in liveries)
    names = [(one["hand"], one["panel"]["name"]) for one in liveries[0]["panels"]]
    assert names[:3] == [("left", "door"), ("right", "door"), ("", "bonnet")] and len(names) == 6
    looks = [[ink["colour"] for ink in one["panels"][0]["decals"][0]["inks"]] for one in liveries]
    assert looks[0] != looks[1]


def test_of_many_variants_those_that_are_not_drawn_are_told_and_can_be_asked_for(inside: TestClient, job: Path) -> None:
    more = "".join(f"  v{n}:\n    values: {{word: BERTH {n}}}\n" for n in range(2, 9))
    job.write_text(f"{job.read_text(encoding='utf-8').rstrip()}\n{more}", encoding="utf-8")
    inside.app_state["place"].look()

    def shown(**view: str) -> tuple[list[str], str, list[str]]:
        screen = state(inside, "body", **view)["screen"]
        return [one["name"] for one in screen["liveries"]], screen["opening"], screen["also"]

    names, opening, also = shown()
    assert names == ["as it is", "pilot", "v2", "v3", "v4", "v5", "v6"] and also == []
    assert opening.endswith(" 2 variants are not drawn yet: v7, v8.")
    names, opening, also = shown(also="v8\nno such")
    assert names[-1] == "v8" and opening.endswith(" 1 variant is not drawn yet: v7.") and also == ["v8"]
    names, opening, also = shown(also="v7\nv8")
    assert names[-2:] == ["v7", "v8"] and "not drawn" not in opening
    assert state(inside, "body")["screen"]["more"] == ["v7", "v8"]


def step(client: TestClient, way: str, base: int) -> Any:
    return client.post(f"/{way}", json={"base": base, "view": {"screen": "proof"}})


def test_five_hundred_changes_taken_back_and_done_again_are_the_same_bytes(tmp_path: Path, keys: Keys) -> None:
    """As the page asks for them, readings and moves, over the server's own routes; a small job, as each is read."""
    path = tmp_path / "tug.yaml"
    path.write_bytes(JOB.replace("\n", "\r\n").encode("utf-8"))
    first = path.read_bytes()
    with TestClient(page_app(JobShelf.of(path), keys, PORT), base_url=HOME, headers={"origin": HOME}) as inside:
        inside.post("/enter", json={"token": keys.token()})
        version = changed_at_random(inside, 500)
        until_kept(inside)
        last = path.read_bytes()
        for way, there in (("undo", first), ("redo", last)):
            steps = 0
            while (answer := step(inside, way, version)).json()[way]:
                version, steps = answer.json()["version"], steps + 1
            version = answer.json()["version"]
            until_kept(inside)
            assert path.read_bytes() == there and steps > 400


def changed_at_random(inside: TestClient, count: int) -> int:
    """Makes so many changes, nearly all of which are good; gives the version after them."""
    chance = random.Random(500)
    version = 1
    seen = {("width",): "22.40 mm", ("height",): "11.60 mm"}
    view = {"screen": "proof"}
    refused = 0
    for number in range(count):
        if number % 2:
            key = chance.choice([*seen])
            to = f"{float(seen[key].split()[0]) * chance.choice([0.99, 1.01]):.2f}"
            edit = {"do": "reading", "at": ["panels", "door", *key], "was": seen[key], "to": to}
            body = {"base": version, "label": "a reading", "edits": [edit], "view": view}
            answer = inside.post("/edit", json=body)
            seen[key] = f"{to} mm"
        else:
            dx, dy = (chance.choice([-0.1, -0.01, 0.01, 0.1]) for _ in range(2))
            body = {"base": version, "decals": ["band"], "hand": "left", "dx": dx, "dy": dy, "view": view}
            answer = inside.post("/do/draw/move", json=body)
        assert answer.status_code in (200, 422), answer.json()
        refused += answer.status_code != 200
        version = answer.json()["version"]
    assert refused < count / 10
    return version


def test_only_the_step_that_was_shown_is_taken_back(inside: TestClient) -> None:
    """Another tab changes something between the look at the button and the press on it."""
    seen = change(inside, WIDTH, "22.40 mm ± 0.05", "23 mm").json()["version"]
    later = change(inside, WIDTH, "23 mm", "24 mm").json()["version"]
    answer = inside.post("/undo", json={"base": seen})
    assert answer.status_code == 422 and "meanwhile" in answer.json()["message"]
    assert state(inside, "measure")["version"] == later
    assert inside.post("/redo", json={}).status_code == 422 and inside.post("/undo", json={"base": later}).is_success


def test_a_clash_with_an_editor_is_shown_and_settled(inside: TestClient, job: Path) -> None:
    text = job.read_text(encoding="utf-8")
    job.unlink()
    change(inside, WIDTH, "22.40 mm ± 0.05", "23 mm")
    job.write_text(text.replace("22.40 mm ± 0.05", "24 mm", 1), encoding="utf-8")
    while (found := state(inside, "draw"))["clash"] is None:
        time.sleep(0.01)
    (place,) = found["clash"]["places"]
    assert (place["mine"], place["theirs"]) == ("23 mm", "24 mm") and found["trouble"]
    assert inside.post("/settle", json={"keep": "both", "of": found["clash"]["of"]}).status_code == 422
    assert inside.post("/settle", json={"keep": "mine", "of": "x"}).status_code == 422
    assert inside.post("/settle", json={"keep": "mine", "of": found["clash"]["of"]}).status_code == 200
    until_kept(inside)
    found = state(inside, "draw")
    assert found["clash"] is None and not found["trouble"]
    assert job.read_text(encoding="utf-8") == text.replace("22.40 mm ± 0.05", "23 mm", 1)


def test_a_browser_without_a_stream_asks_whether_anything_happened(inside: TestClient, job: Path) -> None:
    before = inside.get("/news?tab=1").json()
    while inside.get("/news?tab=1").json() != before:
        before = inside.get("/news?tab=1").json()
    change(inside, WIDTH, "22.40 mm ± 0.05", "23 mm")
    until_kept(inside)
    after = inside.get("/news?tab=1").json()
    assert after["told"] > before["told"] and after["version"] == after["kept"] == before["version"] + 1
    assert after["run"] == before["run"]


def test_a_file_that_a_link_was_put_in_place_of_is_not_handed_out(inside: TestClient, job: Path) -> None:
    secret = job.parent.parent / "secret.txt"
    secret.write_text("root:", encoding="utf-8")
    inside.post("/do/proof/make", json={"films": "", "view": {"screen": "proof"}})
    while not (made := state(inside, "proof")["screen"]["made"]):
        time.sleep(0.05)
    name = made["files"][0]
    assert inside.get(f"/file/{name}").status_code == 200
    (job.parent / name).unlink()
    (job.parent / name).symlink_to(secret)
    assert inside.get(f"/file/{name}").status_code == 404
