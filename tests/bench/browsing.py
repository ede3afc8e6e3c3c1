"""The page's server in a process of its own, and what tests do on the page again and again."""

from __future__ import annotations

import os
import shutil
import signal
from collections.abc import Iterator
from contextlib import contextmanager
from importlib import resources
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from decalgen.proofing.files import standard_of
from decalgen.proofing.fingerprint import code_of
from decalgen.sheet.positions import read_positions
from tests.bench.ready_process import start

if TYPE_CHECKING:
    from playwright import sync_api

WAIT_MS = 60_000
"""So long a busy machine may take for what shows at once on a quiet one."""
LONG_MS = 120_000
"""So long it may take to nest and draw a whole sheet."""
BROWSERS = ("chromium-headless-shell", "chromium")
"""Programs that serve, the one that takes the least first."""
MARKS = [pytest.mark.browser, pytest.mark.needs_one(*BROWSERS), pytest.mark.slow]
"""Of every module of tests that opens a browser."""


def browser_program() -> str | None:
    """Where the browser for tests is."""
    return next((found for one in BROWSERS if (found := shutil.which(one))), None)


class Opened:
    """The server of a job's page in a process of its own, with its address; ``anew``: one that is started as its user
    starts it, and not forked."""

    def __init__(self, job: Path | None, data: Path, folder: Path | None = None, anew: bool = False) -> None:
        words = ["bench", *([str(job)] if job else []), "--no-browser", "--stay"]
        self.process = start(words, {**os.environ, "DECALGEN_DATA": str(data)}, folder or Path.cwd(), anew)
        assert self.process.stdout is not None
        self.address = self.process.stdout.readline().strip()

    def end(self) -> int:
        """Ends it as Ctrl-C does, unless it has ended; gives its exit code."""
        # To a process that has ended, no signal is sent.
        self.process.send_signal(signal.SIGINT)
        code = self.process.wait(60)
        assert self.process.stdout is not None
        self.process.stdout.close()
        return code


class FolderPage(Opened):
    """The server of a folder's page."""

    def __init__(self, folder: Path, data: Path) -> None:
        super().__init__(None, data, folder)


def load_axe(page: sync_api.Page) -> None:
    pytest.importorskip("axe_playwright_python", reason="axe-playwright-python comes with the extra `test`")
    if page.evaluate("() => typeof axe") == "undefined":
        page.evaluate((resources.files("axe_playwright_python") / "axe.min.js").read_text(encoding="utf-8"))


def barriers(page: sync_api.Page) -> list[dict[str, Any]]:
    """What axe-core finds that is serious (WCAG 2)."""
    judged = page.evaluate("() => axe.run(document, {resultTypes: ['violations']})")
    return [one for one in judged["violations"] if one["impact"] in ("serious", "critical")]


def seen_by_all(page: sync_api.Page, where: str) -> None:
    """axe-core finds nothing serious on the page as it is, in either theme."""
    load_axe(page)
    for theme in ("dark", "light"):
        page.emulate_media(color_scheme=theme)  # type: ignore[arg-type]
        grave = barriers(page)
        assert not grave, (where, theme, [(one["id"], one["nodes"][0]["html"]) for one in grave])


def kept(page: sync_api.Page) -> None:
    page.get_by_text("all kept").wait_for()


def seen_last(page: sync_api.Page) -> str:
    """What stood on the page at the end: told where a test fails."""
    return "" if page.is_closed() else page.evaluate("() => `${location.hash}\n${document.body.innerText}`")


@contextmanager
def page_at(
    browser: sync_api.Browser, address: str, script: str = "", console: bool = False, **options: Any
) -> Iterator[sync_api.Page]:
    """A page of its own, at an address; ``script`` is run before any of the page's. A mistake in a script fails the
    test, with ``console`` one that is told there too; what stood on the page at the end is told where a test fails."""
    context = browser.new_context(**options)
    context.set_default_timeout(WAIT_MS)
    if script:
        context.add_init_script(script)
    made = context.new_page()
    wrong: list[str] = []
    made.on("pageerror", lambda error: wrong.append(str(error)))
    if console:
        made.on("console", lambda said: wrong.append(said.text) if said.type == "error" else None)
    made.goto(address)
    yield made
    print(seen_last(made))
    context.close()
    assert not [one for one in wrong if not (console and one.startswith("Failed to load resource"))]


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


def asked(page: sync_api.Page, words: str) -> None:
    page.get_by_role("heading", name=words).wait_for()


def heading(page: sync_api.Page, words: str) -> None:
    page.get_by_role("heading", name=words, exact=True, level=1).wait_for()


def keyed(page: sync_api.Page, key: str) -> sync_api.Locator:
    return page.locator(f"[data-key='{key}']")


def code_on(positions: Path) -> str:
    """The code that stands on the paper of a proof."""
    return code_of(standard_of(read_positions(positions)).fingerprint)


def judge(page: sync_api.Page, code: str, x: str, y: str, verdict: str) -> None:
    """Types what the check bars of a proof measure, and waits for that verdict."""
    for key, text in (("code", code), ("x", x), ("y", y)):
        keyed(page, key).fill(text)
    keyed(page, "judge").click()
    page.get_by_role("region", name="Verdict").get_by_role("heading", name=verdict).wait_for(timeout=LONG_MS)
