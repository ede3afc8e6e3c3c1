"""A job that is printed and marked as used on the film drawer is done: nothing on the card looks broken."""

from __future__ import annotations

import time
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from decalgen.bench.printed import printed_standing, printed_words
from decalgen.commands.film_drawer import add, back, use
from decalgen.proofing.files import positions_file, standard_of
from decalgen.proofing.fingerprint import code_of
from decalgen.sheet.positions import read_positions
from decalgen.workshop.drawer_for_jobs import PrintedError
from tests.bench.sheeting import ask, look, tug


@pytest.fixture
def job(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Six small pieces, and a drawer with a sheet for them and another one."""
    monkeypatch.setenv("DECALGEN_DATA", str(tmp_path / "data"))
    add("white A5", None, 2, "", "top", "")
    return tug(tmp_path)


def done(client: TestClient, screen: str, act: str, **asked: Any) -> None:
    answer = client.post(f"/do/{screen}/{act}", json={"view": {"screen": screen}, **asked})
    assert answer.status_code == 200, answer.json()


def card(client: TestClient, **words: str) -> dict[str, dict[str, Any]]:
    """The steps of the card, once these say so."""
    for _ in range(600):
        steps = {one["key"]: one for one in client.get("/state", params={"screen": "sheet"}).json()["steps"]}
        if all(said in steps[key]["words"] for key, said in words.items()):
            return steps
        time.sleep(0.05)
    raise AssertionError({key: steps[key]["words"] for key in words})


def state(client: TestClient, screen: str) -> dict[str, Any]:
    found: dict[str, Any] = client.get("/state", params={"screen": screen}).json()["screen"]
    return found


def printed(client: TestClient, job: Path) -> None:
    """Nested on the drawer, proven, made, printed and marked as used."""
    look(client)
    assert ask(client, "add_film", film="drawer").status_code == 200
    assert ask(client, "nest").status_code == 200
    look(client)
    done(client, "proof", "make")
    look(client)
    needed = standard_of(read_positions(positions_file(job)))
    length = {bar.axis: f"{bar.length:g}" for bar in needed.bars}
    code = code_of(needed.fingerprint)
    done(client, "proof", "judge", code=code, x=length["x"], y=length["y"], tool="vernier")
    card(client, sheet="6 pieces on", proof="passed")
    done(client, "print_film", "make")
    card(client, print_film="made")
    use("white A5 1", positions_file(job))


def test_a_job_marked_as_used_reads_as_done(inside: TestClient, job: Path) -> None:
    printed(inside, job)
    steps = card(inside, sheet="printed on 'white A5 1'", proof="passed", print_film="printed on 'white A5 1'")
    assert all(steps[one]["done"] for one in ("sheet", "proof", "print_film"))
    sheet = state(inside, "sheet")
    assert sheet["wrong"] == {} and "taken off 'white A5 1'" in sheet["opening"] and "Nest again" in sheet["opening"]
    proof = state(inside, "proof")
    assert proof["changed"] == [] and proof["verdict"]["word"] == "passed"
    film = state(inside, "print_film")
    (record,) = job.parent.glob("*.record.json")
    assert film["waits"] == [] and f"decalgen sheet --again {record.name}" in film["opening"]


def test_another_nest_is_another_go_and_undoing_brings_the_proof_back(inside: TestClient, job: Path) -> None:
    printed(inside, job)
    card(inside, sheet="printed on", print_film="printed on")
    back("white A5 1")
    card(inside, sheet="6 pieces on", proof="passed", print_film="made")
    use("white A5 1", positions_file(job))
    card(inside, sheet="printed on", print_film="printed on")
    assert ask(inside, "nest").status_code == 200
    look(inside)
    card(inside, sheet="6 pieces on", proof="no longer holds")


def test_what_is_marked_on_one_sheet_of_two_is_not_done_yet() -> None:
    half = PrintedError(("white A5 1",), ("clear A5 1",), fix="")
    assert not printed_standing(half).done
    assert printed_standing(half).words == "printed in part: 'clear A5 1' to mark on Film"
    assert "Not marked as used yet: 'clear A5 1'; that is done on Film." in printed_words(half)
