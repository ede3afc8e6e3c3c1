"""What goes on a sheet: kept across starts of the page, never in the job file, and the same for proof and print."""

from __future__ import annotations

import shutil
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from decalgen.bench.desk import Desk
from decalgen.bench.sheet_choice import SheetChoice, changed, choice_file
from decalgen.bench.workplace import Workplace
from decalgen.commands.options import Options
from decalgen.core.errors import InputError
from decalgen.proofing.files import standard_of
from decalgen.proofing.fingerprint import code_of
from decalgen.sheet.positions import read_positions

ROOT = Path(__file__).parents[2]


@pytest.fixture
def two_jobs(job: Path) -> Path:
    """A second job beside the first."""
    shutil.copy(ROOT / "demo" / "ostmerrow.yaml", job.parent)
    return job


def test_a_choice_outlives_the_page_and_leaves_the_job_file_alone(job: Path) -> None:
    before = job.read_bytes()
    place = Workplace(Desk(job))
    assert place.choice == SheetChoice() and place.options() == Options() and place.sheet_jobs() == [job]
    place.choose({"jobs": ["ostmerrow.yaml", job.name], "films": ["white A4", "drawer"], "gap": 4, "hands": "left"})
    again = Workplace(Desk(job))
    assert again.choice == SheetChoice(("ostmerrow.yaml",), ("white A4", "drawer"), gap=4.0, hands="left")
    assert again.sheet_jobs() == [job, job.with_name("ostmerrow.yaml")]
    assert again.options() == Options(("white A4", "drawer"), gap=4.0, hands="left")
    assert job.read_bytes() == before and choice_file(job).parent == job.parent / "data"


def test_files_of_film_and_printer_are_those_beside_the_job(job: Path) -> None:
    place = Workplace(Desk(job))
    place.choose({"films": ["offcut.yaml", "white 8 1/2 × 11 in"], "printer": "inkjet.yaml", "variant": "pilot"})
    found = place.options()
    assert found.films == (str(job.with_name("offcut.yaml")), "white 8 1/2 × 11 in")
    assert found.printer == str(job.with_name("inkjet.yaml")) and found.variant == "pilot"


@pytest.mark.parametrize(
    "asked",
    [
        {"jobs": ["../other.yaml"]},
        {"films": ["/etc/passwd"]},
        {"printer": "a\\b.yaml"},
        {"jobs": [".hidden.yaml"]},
        {"gap": "wide"},
        {"leave": "everything"},
        {"films": ["white A5"] * 50},
        {"films": "white A5"},
        {"variant": "x" * 1000},
    ],
)
def test_what_cannot_be_chosen_is_refused_and_changes_nothing(job: Path, asked: dict[str, Any]) -> None:
    place = Workplace(Desk(job))
    place.choose({"films": ["white A4"]})
    with pytest.raises(InputError) as refused:
        place.choose(asked)
    assert refused.value.fix and place.choice == SheetChoice(films=("white A4",))
    assert Workplace(Desk(job)).choice == SheetChoice(films=("white A4",))


def test_a_damaged_choice_is_as_none(job: Path) -> None:
    Workplace(Desk(job)).choose({"films": ["white A4"]})
    path = choice_file(job)
    path.write_text(path.read_text(encoding="utf-8").replace("A4", "A3"), encoding="utf-8")
    assert Workplace(Desk(job)).choice == SheetChoice()


def test_a_change_says_what_it_is_now_and_what_it_was() -> None:
    before = SheetChoice(films=("white A5", "clear A5"), gap=4.0)
    assert changed(before, before) == []
    assert changed(before, SheetChoice(jobs=("ostmerrow.yaml",), variant="pilot", hands="left", printer="inkjet")) == [
        "jobs on the sheet: now ostmerrow.yaml, on the proof this job alone",
        "film: now A5 of each kind, on the proof white A5, clear A5",
        "printer: now inkjet, on the proof none",
        "variant: now pilot, on the proof none",
        "hands: now left, on the proof both",
        "gap: now as usual, on the proof 4 mm",
    ]
    assert changed(before, SheetChoice(films=("white A5", "clear A5"), gap=4.0, effort="quick", seed=7)) == []


def test_proof_and_print_use_the_same_choice_as_the_commands_do(two_jobs: Path) -> None:
    place = Workplace(Desk(two_jobs))
    place.choose({"jobs": ["ostmerrow.yaml"], "films": ["white A4", "clear A4"]})
    folder = two_jobs.parent
    client = _client(place)
    with client:
        _do(client, "proof", "make", "gannet-proof.pdf")
        positions = read_positions(folder / "gannet.positions.json")
        assert set(positions.jobs) == {"gannet", "ostmerrow"} and {one.film for one in positions.positions} == {
            "white A4",
            "clear A4",
        }
        body = {"code": code_of(standard_of(positions).fingerprint), "x": "100.0", "y": "100.0"}
        assert client.post("/do/proof/judge", json=body).status_code == 200
        _do(client, "print_film", "make", "gannet-sheet.pdf")
        page = (folder / "gannet-sheet.pdf").read_bytes()
        words = ["gannet.yaml", "ostmerrow.yaml", "--film", "white A4", "--film", "clear A4", "-o", "gannet-sheet.pdf"]
        subprocess.run([sys.executable, "-m", "decalgen", "sheet", *words], check=True, cwd=folder, capture_output=True)
        assert (folder / "gannet-sheet.pdf").read_bytes() == page
        place.choose({"films": ["white A5", "clear A5"]})
        waits = client.get("/state", params={"screen": "print_film"}).json()["screen"]["waits"]
        assert waits == ["a new proof (film: now white A5, clear A5, on the proof white A4, clear A4)"]
    again = Workplace(Desk(two_jobs))
    assert again.changed_since_proof() == ["film: now white A5, clear A5, on the proof white A4, clear A4"]


def _client(place: Workplace) -> TestClient:
    from decalgen.bench.guard import Keys
    from decalgen.bench.server import page_app
    from decalgen.bench.shelf import JobShelf
    from tests.bench.conftest import HOME, PORT

    keys = Keys(PORT)
    shelf = JobShelf(place.desk.path.parent)
    shelf.places[place.key], shelf.first = place, place.key
    client = TestClient(page_app(shelf, keys, PORT), base_url=HOME)
    client.headers["origin"] = HOME
    assert client.post("/enter", json={"token": keys.token()}).status_code == 200
    return client


def _do(client: TestClient, screen: str, act: str, name: str) -> None:
    """Does something that takes its time, and waits for the file it makes."""
    assert client.post(f"/do/{screen}/{act}", json={}).status_code == 200
    while True:
        found = client.get("/state", params={"screen": screen}).json()["screen"]
        if not found["busy"]:
            break
        time.sleep(0.02)
    assert name in found["made"]["files"], found["made"]
