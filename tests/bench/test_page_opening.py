"""The first minute in a real browser."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tests.bench.browsing import MARKS, WAIT_MS, kept

if TYPE_CHECKING:
    from playwright import sync_api

pytestmark = MARKS


class FolderPage:
    """The server of a folder's page, in a process of its own."""

    def __init__(self, folder: Path, data: Path) -> None:
        words = [sys.executable, "-m", "decalgen", "bench", "--no-browser", "--stay"]
        environment = dict(os.environ, DECALGEN_DATA=str(data), PYTHONUNBUFFERED="1")
        root = str(Path(__file__).parents[2])
        environment["PYTHONPATH"] = os.pathsep.join([root, environment.get("PYTHONPATH", "")])
        self.process = subprocess.Popen(words, stdout=subprocess.PIPE, encoding="utf-8", env=environment, cwd=folder)
        assert self.process.stdout is not None
        self.address = self.process.stdout.readline().strip()

    def end(self) -> None:
        """Ends it as Ctrl-C does."""
        self.process.send_signal(signal.SIGINT)
        self.process.wait(60)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    made = tmp_path / "models"
    made.mkdir()
    return made


@pytest.fixture
def served(folder: Path, tmp_path: Path) -> Iterator[FolderPage]:
    server = FolderPage(folder, tmp_path / "data")
    yield server
    if server.process.poll() is None:
        server.end()


@pytest.fixture
def first(browser: sync_api.Browser, served: FolderPage) -> Iterator[sync_api.Page]:
    """The page of a folder without jobs, as it opens."""
    context = browser.new_context(viewport={"width": 1280, "height": 800})
    context.set_default_timeout(WAIT_MS)
    made = context.new_page()
    wrong: list[str] = []
    made.on("pageerror", lambda error: wrong.append(str(error)))
    made.goto(served.address)
    made.get_by_text("This is a finished job. Move something.").wait_for()
    yield made
    context.close()
    assert not wrong


def asked(page: sync_api.Page, words: str) -> None:
    page.get_by_role("heading", name=words).wait_for()


def heading(page: sync_api.Page, words: str) -> None:
    page.get_by_role("heading", name=words, exact=True, level=1).wait_for()


def keyed(page: sync_api.Page, key: str) -> sync_api.Locator:
    return page.locator(f"[data-key='{key}']")


def test_the_finished_model_can_be_touched_at_once(first: sync_api.Page, folder: Path, tmp_path: Path) -> None:
    heading(first, "Draw")
    first.get_by_role("button", name="door roundel,").first.focus()
    first.keyboard.press("ArrowRight")
    first.get_by_role("button", name="Undo place of door roundel").wait_for()
    kept(first)
    copy = (tmp_path / "data" / "demo" / "gannet.yaml").read_bytes()
    assert copy != (Path(__file__).parents[2] / "demo" / "gannet.yaml").read_bytes() and not [*folder.iterdir()]


def test_closing_the_tab_loses_nothing_and_one_goes_on_from_the_jobs(
    first: sync_api.Page, folder: Path, browser: sync_api.Browser, tmp_path: Path, served: FolderPage
) -> None:
    keyed(first, "own").click()
    asked(first, "What is the model called")
    first.keyboard.type("<b>Tug</b>\r")
    asked(first, "Its scale")
    first.keyboard.press("Enter")
    asked(first, "Colour of the body")
    kept(first)
    first.context.close()
    served.end()
    again = FolderPage(folder, tmp_path / "data")
    try:
        context = browser.new_context()
        context.set_default_timeout(WAIT_MS)
        page = context.new_page()
        page.goto(again.address)
        heading(page, "Jobs")
        card = page.get_by_role("button", name="<b>Tug</b>")
        card.get_by_text("just begun").wait_for()
        assert page.locator("b b").count() == 0
        card.click()
        asked(page, "Colour of the body")
        keyed(page, "again scale").click()
        asked(page, "Its scale")
        keyed(page, "answer scale").fill("1:76")
        page.keyboard.press("Enter")
        asked(page, "Colour of the body")
        kept(page)
        assert 'scale: "1:76"' in (folder / "b-tug-b.yaml").read_text(encoding="utf-8")
        context.close()
    finally:
        again.end()


def test_a_job_that_vanishes_is_told_and_put_back(first: sync_api.Page, tmp_path: Path) -> None:
    path = tmp_path / "data" / "demo" / "gannet.yaml"
    before = path.read_bytes()
    path.unlink()
    first.get_by_text("is no longer in its folder").wait_for()
    keyed(first, "put back").click()
    first.get_by_text("is no longer in its folder").wait_for(state="detached")
    assert path.read_bytes() == before


def test_another_job_opens_without_a_new_terminal_and_back(first: sync_api.Page) -> None:
    keyed(first, "own").wait_for()
    first.get_by_role("button", name="Jobs", exact=True).click()
    heading(first, "Jobs")
    first.get_by_role("button", name="Ostmerrow").click()
    heading(first, "Draw")
    first.get_by_text("ostmerrow.yaml").first.wait_for()
    first.reload()
    first.get_by_text("ostmerrow.yaml").first.wait_for()


def test_a_browser_without_scripts_is_told_plainly(browser: sync_api.Browser, served: FolderPage) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(served.address)
    page.get_by_text("This page needs a browser of 2022 or later, with JavaScript").wait_for(timeout=WAIT_MS)
    context.close()
