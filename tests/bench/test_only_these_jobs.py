"""The page opens the jobs of its folder and nothing else, several at once."""

from __future__ import annotations

import asyncio
import shutil
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from decalgen.bench import serve
from decalgen.bench.guard import Keys
from decalgen.bench.server import page_app
from tests.bench.first_minute import HOME, PORT, ROOT, browser_of, state, until_kept

ELSEWHERE = ["../tug.yaml", "/etc/passwd", "..", ".hidden.yaml", "sub/tug.yaml", "C:tug.yaml", "demo/../tug.yaml"]
ELSEWHERE += ["demo/printer.yaml", "demo/run.py", "link.yaml", "notes.txt", "none.yaml", "tug.yaml\x00", "", "demo/"]


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
