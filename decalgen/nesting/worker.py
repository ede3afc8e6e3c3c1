"""An engine in a process of its own: it may crash or hang there without harm, and can be ended at any time.

Talks in lines: one job in, arrangements out, an empty line when done. The process ends when its input is closed,
so none is left behind when the program itself is killed.
"""

from __future__ import annotations

import contextlib
import os
import queue
import subprocess
import sys
import threading

from decalgen.nesting.engine import EngineEntry, Found, Task, load
from decalgen.nesting.model import Request
from decalgen.nesting.wire import pack_found, pack_job, unpack_found, unpack_job

DONE = "done"

LAST_WAIT = 5.0
"""Seconds to wait for an ended process to be gone."""


class Worker:
    """A running engine. Its reports go to a queue shared with the other workers."""

    def __init__(self, entry: EngineEntry, request: Request, task: Task, reports: queue.Queue[Report]) -> None:
        self.entry = entry
        self.reports = reports
        environment = dict(os.environ, PYTHONPATH=os.pathsep.join(p for p in sys.path if p))
        # As on the command line: each engine has one core.
        environment.setdefault("OPENBLAS_NUM_THREADS", "1")
        self.process = subprocess.Popen(
            # -P: no file of the folder worked in may stand in for a module.
            [sys.executable, "-P", "-c", "from decalgen.nesting.worker import main; main()"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            encoding="utf-8",
            env=environment,
            # Ctrl-C is for the program, which then ends its workers and keeps what they found.
            start_new_session=os.name != "nt",
            creationflags=getattr(subprocess, "CREATE_NEW_PROCESS_GROUP", 0),
        )
        job = pack_job(entry.where, request, task) + "\n"
        threading.Thread(target=self._listen, args=(job,), daemon=True).start()

    def _listen(self, job: str) -> None:
        finished = False
        why = ""
        try:
            assert self.process.stdin is not None and self.process.stdout is not None
            self.process.stdin.write(job)
            self.process.stdin.flush()
            for line in self.process.stdout:
                if line.strip() == DONE:
                    finished = True
                    break
                self.reports.put((self, unpack_found(line), ""))
        except (OSError, ValueError) as problem:
            why = f"said something that cannot be read ({type(problem).__name__})"
        finally:
            for stream in (self.process.stdin, self.process.stdout):
                with contextlib.suppress(OSError, ValueError):
                    if stream is not None:
                        stream.close()
        if finished:
            self.reports.put((self, None, ""))
        else:
            self.process.kill()
            code = self.process.wait()
            self.reports.put((self, None, why or f"ended before it was done (exit code {code})"))

    def end(self) -> None:
        """End the process, whatever it is doing; the listener then closes the pipes."""
        if self.process.poll() is None:
            self.process.kill()
        with contextlib.suppress(subprocess.TimeoutExpired):
            self.process.wait(timeout=LAST_WAIT)


Report = tuple[Worker, Found | None, str]
"""The worker; an arrangement, or None when it has ended; and, if it ended badly, how."""


def main() -> None:
    """Work one job from standard input."""
    line = sys.stdin.readline()
    threading.Thread(target=_end_with_input, daemon=True).start()
    out = sys.stdout
    sys.stdout = sys.stderr  # what an engine prints must not mix with the arrangements
    where, request, task = unpack_job(line)
    for found in load(where)(request, task):
        out.write(pack_found(found) + "\n")
        out.flush()
    out.write(DONE + "\n")
    out.flush()
    os._exit(0)  # a library's own threads may still be at work


def _end_with_input() -> None:
    sys.stdin.read()
    os._exit(1)
