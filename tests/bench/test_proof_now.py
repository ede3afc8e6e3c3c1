"""A proof holds for just what it shows: what changed since is said, and what the disk knows is known after a start."""

from __future__ import annotations

import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from decalgen.bench.desk import Desk
from decalgen.bench.guard import Keys
from decalgen.bench.print_files import positions_path, proof_path, sheet_path
from decalgen.bench.server import page_app
from decalgen.bench.shelf import JobShelf
from decalgen.bench.workplace import Workplace
from decalgen.proofing.files import standard_of
from decalgen.proofing.fingerprint import code_of
from decalgen.sheet.positions import read_positions
from tests.bench.conftest import HOME, PORT
from tests.bench.sheeting import tug


@contextmanager
def bench(path: Path) -> Iterator[TestClient]:
    """The page of a job, as it is after a start."""
    keys, shelf = Keys(PORT), JobShelf(path.parent)
    place = Workplace(Desk(path))
    shelf.places[place.key], shelf.first = place, place.key
    with TestClient(page_app(shelf, keys, PORT), base_url=HOME) as client:
        client.headers["origin"] = HOME
        assert client.post("/enter", json={"token": keys.token()}).status_code == 200
        yield client


def steady(client: TestClient, screen: str) -> tuple[dict[str, Any], dict[str, str]]:
    """A screen and the card's words, once all is made, kept and compared."""
    while True:
        found = client.get("/state", params={"screen": screen}).json()
        card = {one["key"]: one["words"] for one in found["steps"]}
        looking = "looking" in card["proof"] or "a look at" in card["print_film"]
        if found["kept"] == found["version"] and not found["screen"]["busy"] and not looking:
            return found["screen"], card
        time.sleep(0.02)


def made(client: TestClient, screen: str) -> dict[str, Any]:
    assert client.post(f"/do/{screen}/make", json={}).status_code == 200
    return steady(client, screen)[0]


def passed(client: TestClient, path: Path, **more: str) -> None:
    code = code_of(standard_of(read_positions(positions_path(path))).fingerprint)
    # Bars of just the size they should be: 100 mm, or as long as the sheet leaves room for.
    bars = standard_of(read_positions(positions_path(path))).bars
    length = {bar.axis: f"{bar.length:g}" for bar in bars}
    answer = client.post("/do/proof/judge", json={"code": code, "x": length["x"], "y": length["y"], **more})
    assert answer.status_code == 200, answer.json()


@pytest.mark.parametrize("sheet", ["two", "²", "1.5", "-1"])
def test_what_is_no_number_of_a_sheet_is_refused(tmp_path: Path, sheet: str) -> None:
    with bench(tug(tmp_path)) as client:
        answer = client.post("/do/proof/judge", json={"code": "", "x": "100", "y": "100", "sheet": sheet})
        assert answer.status_code == 422
        assert answer.json()["message"] == f"Sheet: '{sheet}' is not a whole number" and answer.json()["fix"]


def change(client: TestClient, at: list[str], was: str, to: str) -> None:
    base = client.get("/state", params={"screen": "draw"}).json()["version"]
    edits = [{"do": "set", "at": at, "was": was, "to": to}]
    answer = client.post("/edit", json={"base": base, "label": "a change", "edits": edits})
    assert answer.status_code == 200, answer.json()


def test_a_height_that_is_changed_ends_a_passed_proof_and_its_sheet_until_it_is_taken_back(tmp_path: Path) -> None:
    path = tug(tmp_path)
    with bench(path) as client:
        made(client, "proof")
        passed(client, path)
        assert "tug-sheet.pdf" in made(client, "print_film")["made"]["files"]
        assert steady(client, "print_film")[1]["print_film"] == "made"
        change(client, ["decals", "band", "height"], "5 mm", "4 mm")
        screen, card = steady(client, "print_film")
        why = "the decals are no longer as on the proof: 'band'"
        assert card["proof"] == "no longer holds: make it again"
        assert card["print_film"] == "waits for a new proof"
        assert screen["made"] == {} and screen["waits"] == [f"a new proof ({why})"]
        assert "'tug-sheet.pdf'" in screen["past"]
        screen, _ = steady(client, "proof")
        assert (screen["changed"], screen["made"], screen["verdict"]) == ([why], {}, {})
        base = client.get("/state", params={"screen": "draw"}).json()["version"]
        assert client.post("/undo", json={"base": base}).status_code == 200
        screen, card = steady(client, "print_film")
        assert (card["proof"], card["print_film"], screen["past"]) == ("passed", "made", "")
        assert "tug-sheet.pdf" in screen["made"]["files"]


def test_a_sheet_of_the_proof_before_is_not_the_sheet_of_a_new_one(tmp_path: Path) -> None:
    path = tug(tmp_path)
    with bench(path) as client:
        made(client, "proof")
        passed(client, path)
        made(client, "print_film")
        change(client, ["decals", "band", "height"], "5 mm", "4 mm")
        # The film is nested anew: the places of before are of other pieces.
        steady(client, "proof")
        assert client.post("/do/sheet/nest", json={}).status_code == 200
        steady(client, "sheet")
        screen = made(client, "proof")
        assert screen["changed"] == [] and screen["verdict"] == {}
        assert steady(client, "proof")[1]["proof"] == "print it and measure its bars"
        passed(client, path)
        screen, card = steady(client, "print_film")
        assert card["print_film"] == "ready to make" and screen["made"] == {} and "do not print it" in screen["past"]


def test_an_ink_of_another_colour_ends_it_although_no_piece_lies_elsewhere(tmp_path: Path) -> None:
    path = tug(tmp_path)
    with bench(path) as client:
        made(client, "proof")
        passed(client, path)
        change(client, ["inks", "teal", "colour"], "#1f7f86", "#a03020")
        screen, card = steady(client, "proof")
        assert screen["changed"] == ["the decals changed: 'band', 'square'"] and card["proof"].startswith(
            "no longer holds"
        )
        # The command says the same of it.
        words = [sys.executable, "-m", "decalgen", "sheet", "tug.yaml", "-o", "tug-sheet.pdf"]
        told = subprocess.run(words, cwd=tmp_path, capture_output=True, text=True, check=False)
        assert told.returncode and "no longer holds: the decals changed since" in " ".join(told.stderr.split())


def test_what_changes_nothing_printed_leaves_the_proof_as_it_is(tmp_path: Path) -> None:
    path = tug(tmp_path)
    with bench(path) as client:
        made(client, "proof")
        passed(client, path)
        change(client, ["panels", "side", "height"], "12 mm ± 0.05", "12.2 mm ± 0.05")
        assert steady(client, "proof")[1]["proof"] == "passed"


def test_all_is_known_again_after_a_start(tmp_path: Path) -> None:
    path = tug(tmp_path)
    with bench(path) as client:
        made(client, "proof")
        passed(client, path)
        assert client.post("/do/print_film/make", json={"cut": True}).status_code == 200
        before = steady(client, "print_film")[0]["made"]
    with bench(path) as client:
        screen, card = steady(client, "print_film")
        assert (card["proof"], card["print_film"]) == ("passed", "made")
        groups = {one["what"]: one["files"] for one in screen["made"]["groups"]}
        assert groups == {one["what"]: one["files"] for one in before["groups"]}
        assert groups["print on film at 100 %"] == ["tug-sheet.pdf"]
        assert len(groups) == 3 and all(groups.values())
        for name in screen["made"]["files"]:
            assert client.get(f"/file/{name}").content == (tmp_path / name).read_bytes()
        screen, _ = steady(client, "proof")
        assert screen["verdict"]["word"] == "passed" and screen["verdict"]["lines"]
        assert screen["made"]["files"] == ["tug-proof.pdf", "tug.positions.json"]
        assert client.get("/file/tug.yaml").status_code == 404


def test_a_change_made_while_the_page_was_closed_is_found_at_the_next_start(tmp_path: Path) -> None:
    path = tug(tmp_path)
    with bench(path) as client:
        made(client, "proof")
        passed(client, path)
        made(client, "print_film")
    path.write_text(path.read_text(encoding="utf-8").replace("height: 5 mm", "height: 4 mm"), encoding="utf-8")
    with bench(path) as client:
        screen, card = steady(client, "print_film")
        assert card["proof"].startswith("no longer holds") and screen["made"] == {} and screen["past"]
        # How each decal was drawn then is not known any more.
        assert screen["waits"] == ["a new proof (the decals are no longer as on the proof)"]


def test_a_file_that_was_written_over_is_not_offered(tmp_path: Path) -> None:
    path = tug(tmp_path)
    with bench(path) as client:
        made(client, "proof")
        passed(client, path)
        made(client, "print_film")
        (tmp_path / "tug-sheet.pdf").write_bytes(b"another")
        screen, card = steady(client, "print_film")
        assert screen["made"] == {} and card["print_film"] == "ready to make" and screen["past"]


def test_no_group_is_told_that_has_no_file(tmp_path: Path) -> None:
    path = tug(tmp_path)
    with bench(path) as client:
        made(client, "proof")
        passed(client, path)
        groups = made(client, "print_film")["made"]["groups"]
        assert [one["what"] for one in groups] == ["print on film at 100 %", "record, to print it again"]


def test_words_that_are_no_reading_cost_nothing_and_the_code_is_where_the_paper_has_it(tmp_path: Path) -> None:
    path = tug(tmp_path)
    with bench(path) as client:
        made(client, "proof")
        told = client.post("/do/proof/judge", json={"code": "", "x": "abc", "y": "100"}).json()
        assert "--" not in f"{told['message']} {told['fix']}"
        told = client.post("/do/proof/judge", json={"code": "", "x": "100", "y": "100"}).json()
        assert told["fix"] == "read it off the sheet that you measured: five letters, printed large"
        passed(client, path)
        code = code_of(standard_of(read_positions(positions_path(path))).fingerprint)
        told = client.post("/do/proof/judge", json={"code": code, "x": "abc", "y": "abc"})
        assert told.status_code == 422
        screen, card = steady(client, "proof")
        assert card["proof"] == "passed" and "was not judged" in screen["verdict"]["before"]


def test_readings_are_judged_by_the_instrument_that_took_them(tmp_path: Path) -> None:
    from decalgen.proofing.files import proven_file, read_proven

    path = tug(tmp_path)
    with bench(path) as client:
        made(client, "proof")
        assert "steel rule" in steady(client, "proof")[0]["tools"]
        passed(client, path, tool="steel rule")
        found = read_proven(proven_file(positions_path(path)))
        assert found is not None and [one.tool for one in found.measured] == ["steel rule"]
        # A steel rule is too coarse to tell a few tenths of a percent: the command's own judgement, not the caliper's.
        assert steady(client, "proof")[0]["verdict"]["word"] in ("passed", "cannot tell")


@pytest.mark.parametrize("name", ["tug-proof", "tug-sheet", "tug-press", "tug-proof-sheet"])
def test_a_job_may_be_called_like_its_files(tmp_path: Path, name: str) -> None:
    path = tug(tmp_path)
    path = path.rename(path.with_name(f"{name}.yaml"))
    with bench(path) as client:
        assert made(client, "proof")["there"]
        passed(client, path)
        found, card = steady(client, "print_film")
        assert found["waits"] == [] and card["proof"] == "passed"
        assert made(client, "print_film")["made"].get("wrong", {}) == {}
    assert proof_path(path).is_file() and sheet_path(path).is_file()
