"""A job on the bench, a way to ask its server without a network, and its page in a real browser."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from starlette.testclient import TestClient

from decalgen.bench import serve
from decalgen.bench.desk import Desk
from decalgen.bench.guard import Keys
from decalgen.bench.server import page_app
from decalgen.bench.shelf import JobShelf
from tests.bench.browsing import FolderPage, Opened, browser_program, page_at
from tests.bench.first_minute import HOME, PORT, ROOT, browser_of
from tests.bench.small_job import JOB

if TYPE_CHECKING:
    from playwright import sync_api

DESK = {"width": 1280, "height": 800}
"""How large a page on a desk is, in pixels."""


@pytest.fixture(autouse=True)
def data(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The drawer and the profiles of whoever sits at the bench."""
    monkeypatch.setenv("DECALGEN_DATA", str(tmp_path / "data"))
    return tmp_path / "data"


@pytest.fixture
def job(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A copy of a demo job that may be changed, and a data folder of its own."""
    monkeypatch.setenv("DECALGEN_DATA", str(tmp_path / "data"))
    for name in ("gannet", "common-inks"):
        shutil.copy(ROOT / "demo" / f"{name}.yaml", tmp_path)
    return tmp_path / "gannet.yaml"


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    """A small job on the bench."""
    path = tmp_path / "tug.yaml"
    path.write_text(JOB, encoding="utf-8")
    return Desk(path)


@pytest.fixture
def keys() -> Keys:
    return Keys(PORT)


@pytest.fixture
def client(job: Path, keys: Keys) -> Iterator[TestClient]:
    """A browser that nobody let in yet."""
    shelf = JobShelf.of(job)
    place = shelf.places[shelf.first]
    app = page_app(shelf, keys, PORT)
    with TestClient(app, base_url=HOME) as client:
        client.headers.clear()
        client.app_state["place"] = place
        client.headers["origin"] = HOME
        yield client


@pytest.fixture
def inside(client: TestClient, keys: Keys) -> TestClient:
    """A browser that was let in."""
    assert client.post("/enter", json={"token": keys.token()}).status_code == 200
    return client


@pytest.fixture
def opened(job: Path, tmp_path: Path) -> Iterator[Opened]:
    """The server of a job's page."""
    server = Opened(job, tmp_path / "data")
    yield server
    server.end()


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder without a job in it."""
    made = tmp_path / "models"
    made.mkdir()
    return made


@pytest.fixture
def empty(folder: Path) -> Iterator[TestClient]:
    """The page of a folder without jobs."""
    yield from browser_of(serve.shelf_of(folder))


@pytest.fixture
def filled(folder: Path) -> Iterator[TestClient]:
    """The page of a folder with two jobs and what else lies beside jobs."""
    for name in ("gannet", "ostmerrow", "common-inks", "printer"):
        shutil.copy(ROOT / "demo" / f"{name}.yaml", folder)
    os.utime(folder / "gannet.yaml", (2, 2))
    os.utime(folder / "ostmerrow.yaml", (1, 1))
    yield from browser_of(serve.shelf_of(folder))


@pytest.fixture(scope="module")
def browser() -> Iterator[sync_api.Browser]:
    """One browser for all tests of a module; its event loop would be in the way of others."""
    sync_api = pytest.importorskip("playwright.sync_api")
    with sync_api.sync_playwright() as play:
        options = ["--no-sandbox", "--disable-background-networking"]
        found = play.chromium.launch(executable_path=browser_program(), args=options)
        yield found
        found.close()


@pytest.fixture
def page(browser: sync_api.Browser, opened: Opened) -> Iterator[sync_api.Page]:
    """The page, at its first screen; a mistake in a script fails the test."""
    with page_at(browser, opened.address, console=True, viewport=DESK) as made:
        made.get_by_role("heading", name="Measure", level=1).wait_for()
        yield made


@pytest.fixture
def served(folder: Path, tmp_path: Path) -> Iterator[FolderPage]:
    server = FolderPage(folder, tmp_path / "data")
    yield server
    server.end()


@pytest.fixture
def first(browser: sync_api.Browser, served: FolderPage) -> Iterator[sync_api.Page]:
    """The page of a folder without jobs, as it opens."""
    with page_at(browser, served.address, viewport=DESK) as made:
        made.get_by_text("This is a finished job. Move something.").wait_for()
        yield made
