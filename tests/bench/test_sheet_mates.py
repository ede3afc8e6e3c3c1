"""What the other jobs on the sheet hold up."""

from __future__ import annotations

import time
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from tests.bench.sheeting import ask, tug
from tests.bench.test_server import state

OPEN = ("width: 30 mm ± 0.05", "width: ?")
TOO_WIDE = ("width: 20 mm", "width: 40 mm")


def waits(client: TestClient, screen: str = "proof") -> list[str]:
    found: list[str] = state(client, screen)["screen"]["waits"]
    return found


def put_on(client: TestClient, job: Path, change: tuple[str, str] | None) -> Path:
    """Another job on the sheet, with something changed in it."""
    path = tug(job.parent)
    if change:
        text = path.read_text(encoding="utf-8")
        assert change[0] in text
        path.write_text(text.replace(*change, 1), encoding="utf-8")
    state(client, "sheet")
    assert ask(client, "put_job", file="tug.yaml", on=True).status_code == 200
    return path


def until(client: TestClient, wanted: list[str]) -> None:
    """What is checked beside the typing is waited for as long as it takes."""
    while waits(client) != wanted:
        time.sleep(0.02)


def test_open_readings_of_another_job_hold_up_proof_and_print(inside: TestClient, job: Path) -> None:
    put_on(inside, job, OPEN)
    assert "1 reading in 'tug.yaml'" in waits(inside)
    found = state(inside, "print_film")
    assert "1 reading in 'tug.yaml'" in found["screen"]["waits"] and "tug.yaml" in found["screen"]["opening"]
    cards: dict[str, Any] = {one["key"]: one["words"] for one in found["steps"]}
    assert "1 reading in 'tug.yaml'" in cards["proof"]


def test_errors_of_another_job_hold_it_up_until_they_are_mended(inside: TestClient, job: Path) -> None:
    path = put_on(inside, job, TOO_WIDE)
    while not any("error" in one and "'tug.yaml'" in one for one in waits(inside)):
        time.sleep(0.02)
    tug(path.parent)
    until(inside, [])


@pytest.mark.parametrize(("harm", "said"), [("delete", "which is gone"), ("break", "which cannot be read")])
def test_a_job_that_is_gone_or_wrong_is_told(inside: TestClient, job: Path, harm: str, said: str) -> None:
    path = put_on(inside, job, None)
    if harm == "delete":
        path.unlink()
    else:
        path.write_text("job: [", encoding="utf-8")
    assert f"'tug.yaml', {said}" in waits(inside)


def test_a_job_in_order_holds_nothing_up_nor_does_one_that_is_not_on_the_sheet(inside: TestClient, job: Path) -> None:
    path = put_on(inside, job, None)
    until(inside, [])
    path.write_text(path.read_text(encoding="utf-8").replace(*OPEN), encoding="utf-8")
    assert waits(inside)
    assert ask(inside, "put_job", file="tug.yaml", on=False).status_code == 200
    until(inside, [])


def test_what_is_waited_for_is_said_once_with_the_way_there(inside: TestClient, job: Path) -> None:
    found = state(inside, "print_film")["screen"]
    assert found["opening"] == "It waits for Proof." and found["leads"] == [{"screen": "proof", "name": "Proof"}]
