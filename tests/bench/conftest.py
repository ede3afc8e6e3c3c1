"""A job on the bench, and a way to ask its server without a network."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from decalgen.bench.desk import Desk
from decalgen.bench.guard import Keys
from decalgen.bench.server import page_app
from decalgen.bench.workplace import Workplace

ROOT = Path(__file__).parents[2]
PORT = 8123
HOME = f"http://127.0.0.1:{PORT}"


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """A copy of a demo job that may be changed."""
    for name in ("gannet", "common-inks"):
        shutil.copy(ROOT / "demo" / f"{name}.yaml", tmp_path)
    return tmp_path / "gannet.yaml"


@pytest.fixture
def keys() -> Keys:
    return Keys(PORT)


@pytest.fixture
def client(job: Path, keys: Keys) -> Iterator[TestClient]:
    """A browser that nobody let in yet."""
    app = page_app(Workplace(Desk(job)), keys, PORT)
    with TestClient(app, base_url=HOME) as client:
        client.headers.clear()
        client.headers["origin"] = HOME
        yield client


@pytest.fixture
def inside(client: TestClient, keys: Keys) -> TestClient:
    """A browser that was let in."""
    assert client.post("/enter", json={"token": keys.token()}).status_code == 200
    return client
