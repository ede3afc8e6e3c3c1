"""A job file that is deleted, renamed or read-only while its page is open."""

from __future__ import annotations

import time
from pathlib import Path

from starlette.testclient import TestClient

from tests.bench.first_minute import state, until_kept


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
