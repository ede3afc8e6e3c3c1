"""A process that has the whole program in memory already: servers, and commands in a terminal, are forked from it.

Reading the program and drawing a first screen takes a second and a half of processor time, far more than most tests of
the page; reading it for one question takes ten times what the question does. A forked process has its own memory,
environment, folder and output as one that was started has. Where there is no fork, each is started anew; some tests do
so everywhere."""

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
    """A process that was forked for a test, used as one of `subprocess` is. ``stdout``: where to read what it prints;
    ``ends``: that end and the other, of a pipe or, for all three of its streams, of a ``terminal``."""

    def __init__(
        self,
        ready: ReadyProcess,
        words: list[str],
        env: Mapping[str, str],
        folder: Path,
        ends: tuple[int, int],
        terminal: bool = False,
    ) -> None:
        self._ready = ready
        self._code: int | None = None
        here, there = ends
        asked = {"words": words, "env": dict(env), "folder": str(folder), "terminal": terminal}
        self.pid: int = ready.ask(asked, [there])["pid"]
        os.close(there)
        self.stdout: IO[str] = os.fdopen(here, encoding="utf-8")

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
        return Forked(_the_ready(), words, env, folder, os.pipe())
    started = [sys.executable, "-m", "decalgen", *words]
    path = os.pathsep.join(one for one in (str(ROOT), env.get("PYTHONPATH", "")) if one)
    environment = {**env, "PYTHONUNBUFFERED": "1", "PYTHONPATH": path}
    return subprocess.Popen(started, stdout=subprocess.PIPE, encoding="utf-8", env=environment, cwd=folder)


def start_in_terminal(words: list[str], env: Mapping[str, str], folder: Path) -> Forked:
    """The same in a terminal of its own, 24 lines of 2000 columns, whose other end is ``stdout``. Only if ``FORKS``."""
    import fcntl
    import pty
    import struct
    import termios

    ends = pty.openpty()
    fcntl.ioctl(ends[1], termios.TIOCSWINSZ, struct.pack("HHHH", 24, 2000, 0, 0))
    return Forked(_the_ready(), words, env, folder, ends, terminal=True)


def _the_ready() -> ReadyProcess:
    if not _ready:
        _ready.append(ReadyProcess())
    return _ready[0]


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


def _take_terminal(terminal: int) -> None:
    """Makes it the one that this process is run from, as for the first process of a window."""
    import fcntl
    import termios

    os.setsid()
    fcntl.ioctl(terminal, termios.TIOCSCTTY, 0)
    for stream in (0, 1, 2):
        os.dup2(terminal, stream)
    sys.stdin = os.fdopen(0, encoding="utf-8", closefd=False)
    sys.stderr = os.fdopen(2, "w", buffering=1, encoding="utf-8", closefd=False)


def _run(asked: Mapping[str, Any], output: int) -> NoReturn:
    code = 1
    try:
        from decalgen.__main__ import main

        if asked["terminal"]:
            _take_terminal(output)
        else:
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
