"""A process that has the whole program in memory already: servers for tests are forked from it.

Reading the program and drawing a first screen takes a second and a half of processor time, far more than most tests of
the page. A forked process has its own memory, environment, folder and output as one that was started has. Where there
is no fork, each is started anew; some tests do so everywhere."""

from __future__ import annotations

import json
import os
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
import threading
import traceback
from collections.abc import Mapping
from pathlib import Path
from typing import IO, Any, NoReturn

ROOT = Path(__file__).parents[2]
FORKS = hasattr(os, "fork") and hasattr(socket, "send_fds")
MOST_BYTES = 1 << 20


class Forked:
    """A process that was forked for a test, used as one of `subprocess` is."""

    def __init__(self, ready: ReadyProcess, words: list[str], env: Mapping[str, str], folder: Path) -> None:
        self._ready = ready
        self._code: int | None = None
        out, into = os.pipe()
        asked = {"words": words, "env": dict(env), "folder": str(folder)}
        self.pid: int = ready.ask(asked, [into])["pid"]
        os.close(into)
        self.stdout: IO[str] = os.fdopen(out, encoding="utf-8")

    def send_signal(self, number: int) -> None:
        if self._code is None:
            os.kill(self.pid, number)

    def kill(self) -> None:
        self.send_signal(signal.SIGKILL)

    def wait(self, timeout: float | None = None) -> int:
        if self._code is None:
            self._code = self._ready.ask({"wait": self.pid}, [], timeout)["code"]
        return self._code


class ReadyProcess:
    """The process, for as long as this one lives: it ends where nothing can be asked of it any more."""

    def __init__(self) -> None:
        self._line, its = socket.socketpair(socket.AF_UNIX, socket.SOCK_SEQPACKET)
        environment = dict(os.environ, PYTHONUNBUFFERED="1", PYTHONUTF8="1", PYTHONPATH=str(ROOT))
        words = [sys.executable, "-m", "tests.bench.ready_process", str(its.fileno())]
        self._process = subprocess.Popen(words, cwd=ROOT, env=environment, pass_fds=[its.fileno()])
        its.close()

    def ask(self, asked: Mapping[str, Any], handed: list[int], timeout: float | None = None) -> dict[str, Any]:
        """What is answered; raises TimeoutError."""
        self._line.settimeout(timeout)
        socket.send_fds(self._line, [json.dumps(asked).encode()], handed)
        answer: dict[str, Any] = json.loads(self._line.recv(MOST_BYTES))
        return answer


_ready: list[ReadyProcess] = []


def start(words: list[str], env: Mapping[str, str], folder: Path, anew: bool = False) -> Forked | subprocess.Popen[str]:
    """`decalgen` with these words, in a process of its own; ``anew``: as its user starts it."""
    if FORKS and not anew:
        if not _ready:
            _ready.append(ReadyProcess())
        return Forked(_ready[0], words, env, folder)
    started = [sys.executable, "-m", "decalgen", *words]
    path = os.pathsep.join(one for one in (str(ROOT), env.get("PYTHONPATH", "")) if one)
    environment = {**env, "PYTHONUNBUFFERED": "1", "PYTHONPATH": path}
    return subprocess.Popen(started, stdout=subprocess.PIPE, encoding="utf-8", env=environment, cwd=folder)


# ------------------------------------------------------------------------------------------------ the other process
def _read_all() -> None:
    """Reads the program, and draws a job once, as its first screens show it."""
    from decalgen.bench import serve
    from decalgen.bench.page_state import page_state
    from decalgen.cli import main  # noqa: F401

    with tempfile.TemporaryDirectory() as folder:
        os.environ["DECALGEN_DATA"] = str(Path(folder) / "data")
        for name in ("gannet", "common-inks"):
            shutil.copy(ROOT / "demo" / f"{name}.yaml", folder)
        shelf = serve.shelf_of(Path(folder) / "gannet.yaml")
        place = shelf.places[shelf.first]
        for screen in ("measure", "draw", "body", "check"):
            page_state(place, screen, {})
    # What another thread holds at a fork is held for good in the process that is forked.
    assert threading.active_count() == 1, threading.enumerate()


def _run(asked: Mapping[str, Any], output: int) -> NoReturn:
    code = 1
    try:
        from decalgen.__main__ import main

        os.dup2(output, 1)
        os.close(output)
        # What was written to before may have been of another kind, which can be gone back in.
        sys.stdout = os.fdopen(1, "w", buffering=1, encoding="utf-8", closefd=False)
        os.environ.clear()
        os.environ.update(asked["env"])
        os.chdir(asked["folder"])
        sys.argv = ["decalgen", *asked["words"]]
        signal.signal(signal.SIGINT, signal.default_int_handler)
        main()
        code = 0
    except SystemExit as ended:
        code = ended.code if isinstance(ended.code, int) else 0 if ended.code is None else 1
    except BaseException:
        traceback.print_exc()
    finally:
        sys.stdout.flush()
        sys.stderr.flush()
        os._exit(code)


def _serve(line: socket.socket) -> None:
    # Ctrl-C is for whoever runs the tests.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    _read_all()
    while True:
        text, handed, _, _ = socket.recv_fds(line, MOST_BYTES, 1)
        if not text:
            return
        asked = json.loads(text)
        if "wait" in asked:
            code = os.waitstatus_to_exitcode(os.waitpid(asked["wait"], 0)[1])
            line.sendall(json.dumps({"code": code}).encode())
            continue
        pid = os.fork()
        if pid == 0:
            line.close()
            _run(asked, handed[0])
        os.close(handed[0])
        line.sendall(json.dumps({"pid": pid}).encode())


if __name__ == "__main__":
    _serve(socket.socket(fileno=int(sys.argv[1])))
