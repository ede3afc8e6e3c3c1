"""The page's server in a process of its own, and what tests do on the page again and again."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from playwright import sync_api

WAIT_MS = 20_000
"""So long a busy machine may take for what shows at once on a quiet one."""
MARKS = [pytest.mark.browser, pytest.mark.needs("chromium"), pytest.mark.slow]
"""Of every module of tests that opens a browser."""


class Opened:
    """A server of its own process, with its address."""

    def __init__(self, job: Path, data: Path) -> None:
        words = [sys.executable, "-m", "decalgen", "bench", str(job), "--no-browser", "--stay"]
        environment = dict(os.environ, DECALGEN_DATA=str(data), PYTHONUNBUFFERED="1")
        self.process = subprocess.Popen(words, stdout=subprocess.PIPE, encoding="utf-8", env=environment)
        assert self.process.stdout is not None
        self.address = self.process.stdout.readline().strip()

    def end(self) -> int:
        """Ends it as Ctrl-C does; gives its exit code."""
        self.process.send_signal(signal.SIGINT)
        return self.process.wait(60)


def kept(page: sync_api.Page) -> None:
    page.get_by_text("all kept").wait_for()


def settled(page: sync_api.Page) -> None:
    """Waits until no answer is on its way: one would draw the screen anew."""
    page.locator("html[data-awaited='0']").wait_for(state="attached")


def go(page: sync_api.Page, step: str) -> None:
    page.get_by_role("button", name=step).first.click()
    page.get_by_role("heading", name=step, level=1).wait_for()


def live(page: sync_api.Page, typed: str) -> str:
    """What is said of a reading while it is typed, once it is said of those words: boxes parted by two spaces."""
    page.locator(f".live[data-of='{typed}']").wait_for(state="attached")
    return page.locator(".live").inner_text()
