"""The server is killed between a change and the word that it is kept: what was told as kept is in the file, and the
file is always whole. The moments are lines of the program, not times, so that every run of the test meets the same."""

from __future__ import annotations

import json
import multiprocessing
import sys
from contextlib import suppress
from http.client import HTTPConnection, HTTPException
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest

from decalgen.core.unfinished import PREFIX, settle
from tests.bench.killed import serve_until
from tests.bench.test_two_hands import JOB

MOMENTS = 50
AFTER = JOB.replace("22.40 mm", "23 mm")

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(sys.platform == "win32", reason="nothing is killed like that on Windows"),
]


class Round:
    """One server, one change, and what was told of it until the server was killed or had kept it."""

    def __init__(self, processes: Any, path: Path, counted: Any, last: int) -> None:
        path.write_text(JOB, encoding="utf-8")
        counted.value = 0
        ours, its = processes.Pipe(duplex=False)
        self.server = processes.Process(
            target=serve_until, args=(str(path), str(path.parent / "data"), counted, last, its)
        )
        self.server.start()
        its.close()
        self.home = urlsplit(ours.recv())
        self.kept = False
        # It may be killed in the midst of an answer.
        with suppress(OSError, HTTPException):
            self._change()
        self.lines = int(counted.value)
        self.server.kill()
        self.server.join()

    def _change(self) -> None:
        cookie = self._ask("/enter", {"token": self.home.fragment.removeprefix("k=")}, "")
        stream = HTTPConnection(self.home.netloc.partition(":")[0], self.home.port or 0, timeout=60)
        stream.request("GET", "/events", headers={"Cookie": cookie})
        events = stream.getresponse()
        edit = {"do": "set", "at": ["panels", "door", "width"], "was": "22.40 mm", "to": "23 mm"}
        try:
            self._ask("/edit", {"base": 1, "label": "width", "edits": [edit]}, cookie)
        finally:
            while line := events.readline():
                if line.startswith(b"data: ") and json.loads(line[6:]).get("kept", 0) > 1:
                    self.kept = True
                    break

    def _ask(self, path: str, body: dict[str, Any], cookie: str) -> str:
        line = HTTPConnection(self.home.netloc.partition(":")[0], self.home.port or 0, timeout=60)
        headers = {"Origin": f"http://{self.home.netloc}", "Content-Type": "application/json", "Cookie": cookie}
        line.request("POST", path, json.dumps(body), headers)
        answer = line.getresponse()
        answer.read()
        assert answer.status == 200
        return (answer.headers.get("set-cookie") or "").partition(";")[0]


def test_whatever_moment_it_is_killed_at_nothing_that_was_kept_is_lost(tmp_path: Path) -> None:
    processes = multiprocessing.get_context("forkserver")
    processes.set_forkserver_preload(
        ["decalgen.bench.serve", "decalgen.bench.registry", "uvicorn", "tests.bench.killed"]
    )
    counted = processes.Value("i", 0, lock=False)
    path = tmp_path / "tug.yaml"
    whole = Round(processes, path, counted, 0)
    assert whole.kept and whole.lines > 100 and path.read_text(encoding="utf-8") == AFTER
    found = []
    for number in range(MOMENTS):
        one = Round(processes, path, counted, 1 + number * whole.lines // MOMENTS)
        text = path.read_text(encoding="utf-8")
        assert text in (JOB, AFTER), f"half written at line {one.lines}"
        assert text == AFTER or not one.kept, f"told as kept and lost at line {one.lines}"
        found.append((text == AFTER, one.kept))
        # What it left is swept away, so that every server runs the same lines.
        settle(tmp_path)
    # Before it is written, and after; and some were told.
    assert (False, False) in found and (True, False) in found
    assert not list(tmp_path.glob(f"{PREFIX}*"))
