"""What tests of the first minute on the page share: a browser that was let in, and what it asks for."""

from __future__ import annotations

import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from starlette.testclient import TestClient

from decalgen.bench.guard import Keys
from decalgen.bench.server import page_app
from decalgen.bench.shelf import JobShelf

ROOT = Path(__file__).parents[2]
PORT = 8123
HOME = f"http://127.0.0.1:{PORT}"


def browser_of(shelf: JobShelf) -> Iterator[TestClient]:
    keys = Keys(PORT)
    with TestClient(page_app(shelf, keys, PORT), base_url=HOME) as client:
        client.headers.clear()
        client.headers["origin"] = HOME
        assert client.post("/enter", json={"token": keys.token()}).status_code == 200
        yield client


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
