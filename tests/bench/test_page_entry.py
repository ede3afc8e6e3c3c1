"""The way from the program that is started as a browser into the page: no token in the list of processes."""

from __future__ import annotations

import os
import stat
import subprocess
import sys
from pathlib import Path
from urllib.parse import unquote, urlsplit

import pytest

from tests.bench.browsing import MARKS, WAIT_MS

sync_api = pytest.importorskip("playwright.sync_api")

pytestmark = MARKS
STARTED = """#!/bin/sh
printf '%s\\n' "$@" > '{words}.part' && mv '{words}.part' '{words}'
"""
"""A browser that only notes what it was started with."""


def test_the_program_that_is_started_gets_a_file_that_leads_in(
    browser: sync_api.Browser, job: Path, tmp_path: Path
) -> None:
    script, words = tmp_path / "note-it", tmp_path / "started-with.txt"
    script.write_text(STARTED.format(words=words), encoding="utf-8")
    script.chmod(script.stat().st_mode | stat.S_IXUSR)
    environment = dict(os.environ, DECALGEN_DATA=str(tmp_path / "data"), PYTHONUNBUFFERED="1", BROWSER=f"{script} %s")
    command = [sys.executable, "-m", "decalgen", "bench", str(job), "--stay"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, encoding="utf-8", env=environment) as process:
        try:
            assert process.stdout is not None
            address = process.stdout.readline().strip()
            process.stdout.readline()
            page = browser.new_page()
            page.set_default_timeout(WAIT_MS)
            while not words.exists():
                page.wait_for_timeout(50)
                assert process.poll() is None
            started = words.read_text(encoding="utf-8").strip()
            token = urlsplit(address).fragment.removeprefix("k=")
            file = Path(unquote(urlsplit(started).path))
            assert len(token) == 64 and token not in started and file.stat().st_mode & 0o077 == 0
            page.goto(started)
            page.get_by_role("heading", name="Measure", level=1).wait_for()
            assert page.url.startswith("http://127.0.0.1:") and token not in page.url and not file.exists()
            page.close()
        finally:
            process.terminate()
