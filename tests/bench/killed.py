"""A server that kills itself in the midst of keeping a change, for test_killed.py; runs in a process of its own."""

from __future__ import annotations

import os
import signal
import sys
from multiprocessing.connection import Connection
from pathlib import Path
from types import FrameType
from typing import Any

WATCHED = ("bench", "core")
"""The packages whose lines are counted: those that keep a file and tell of it."""


class Fuse:
    """Counts the lines that are run once a change is to be kept, and kills the process before one of them: without
    time to tidy up, as `kill -9` does. ``counted``: shared with the test; ``last``: 0 for none."""

    def __init__(self, counted: Any, last: int) -> None:
        self.counted, self.last = counted, last

    def enter(self, frame: FrameType, event: str, _: object) -> Any:
        """Takes note of a call."""
        return self.line if Path(frame.f_code.co_filename).parent.name in WATCHED else None

    def line(self, frame: FrameType, event: str, _: object) -> Any:
        """Takes note of a line."""
        if event == "line":
            self.counted.value += 1
            if self.counted.value == self.last:
                os.kill(os.getpid(), signal.SIGKILL)
        return self.line


def serve_until(path: str, data: str, counted: Any, last: int, line: Connection) -> None:
    """Serves a job; says its address over ``line``."""
    os.environ["DECALGEN_DATA"] = data
    from decalgen.bench.serve import serve
    from decalgen.bench.workplace import Workplace

    keep = Workplace.keep

    def lit(place: Workplace) -> None:
        sys.settrace(Fuse(counted, last).enter)
        keep(place)

    Workplace.keep = lit
    serve(Path(path), line.send, browser=False, stay=True)
