"""Starting the page: a server for this machine alone, its address, a browser, and the end of it."""

from __future__ import annotations

import asyncio
import json
import os
import socket
import threading
import webbrowser
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from urllib.error import URLError
from urllib.request import Request, urlopen

from decalgen.bench.guard import Keys
from decalgen.bench.server import page_app
from decalgen.bench.shelf import JobShelf, demo_jobs
from decalgen.core.digests import digest_of
from decalgen.core.errors import DecalgenError
from decalgen.core.files import write_files
from decalgen.core.small_files import read_small
from decalgen.workshop.drawer import data_folder

LEFT_SECONDS = 60.0
"""So long after the last tab was closed the server ends: a page that is loaded anew is back by then."""
STOP_SECONDS = 1
MOST_LOCK = 10_000


class PortError(DecalgenError):
    """A port that cannot be had."""

    exit_code = 4


def serve(path: Path, say: Callable[[str], None], port: int = 0, browser: bool = True, stay: bool = False) -> None:
    """Opens the page of a job, or of the jobs of a folder, and stays until its last tab is closed, or Ctrl-C. ``say``
    prints a line. Raises InputError for a file that cannot be read, PortError for a port that is taken."""
    path = path.resolve()
    lock = lock_file(path)
    known = elsewhere(path)
    if known:
        say(known)
        say("This page is open already; it runs in the other window.")
        _open(known, browser)
        return
    shelf = shelf_of(path)
    listener = _listen(port)
    port = listener.getsockname()[1]
    keys = Keys(port)
    address = f"http://127.0.0.1:{port}/#k={keys.token()}"
    say(address)
    say("This page is on this machine alone. Close its last tab, or press Ctrl-C here, to end it.")
    locks: list[Path] = []

    def note(lock: Path, key: str = "") -> None:
        write_files({lock: json.dumps({"port": port, "door": keys.door, "job": key}).encode("utf-8")})
        locks.append(lock)
        with suppress(OSError):
            lock.chmod(0o600)

    note(lock)
    shelf.noted = lambda job: note(lock_file(job.resolve()), _key_of(shelf, job))
    shelf.elsewhere = elsewhere
    _open(address, browser)
    try:
        asyncio.run(_run(listener, shelf, keys, port, stay))
    finally:
        for one in locks:
            with suppress(OSError):
                one.unlink()


def shelf_of(path: Path) -> JobShelf:
    """The shelf of a folder, or of a job with that open. In a folder without jobs a finished one is open. Raises
    InputError."""
    if not path.is_dir():
        return JobShelf.of(path)
    shelf = JobShelf(path)
    jobs = demo_jobs()
    if jobs and not shelf.found():
        shelf.first = shelf.taken_up(jobs[0].key).key
    return shelf


def _key_of(shelf: JobShelf, job: Path) -> str:
    return next((key for key, place in shelf.places.items() if place.desk.path == job), "")


async def _run(listener: socket.socket, shelf: JobShelf, keys: Keys, port: int, stay: bool) -> None:
    import uvicorn

    ended = asyncio.Event()
    servers: list[uvicorn.Server] = []
    config = uvicorn.Config(
        page_app(shelf, keys, port, ended, lambda: any(one.should_exit for one in servers)),
        lifespan="on",
        log_level="error",
        access_log=False,
        server_header=False,
        proxy_headers=False,
        timeout_graceful_shutdown=STOP_SECONDS,
    )
    server = uvicorn.Server(config)
    servers.append(server)

    async def watch() -> None:
        while True:
            await ended.wait()
            ended.clear()
            await asyncio.sleep(LEFT_SECONDS)
            unkept = any(place.desk.kept != place.desk.version for place in shelf.places.values())
            if not stay and not shelf.tabs and not unkept:
                server.should_exit = True
                return

    watching = asyncio.create_task(watch())
    try:
        await server.serve(sockets=[listener])
    finally:
        watching.cancel()


def lock_file(path: Path) -> Path:
    """Where it is noted that the page of a job, or folder, is open, in the user's own data folder."""
    return data_folder() / f"bench-{digest_of(str(path))[:16]}.json"


def elsewhere(path: Path) -> str:
    """A new address of the page of a job, or folder, that is open already; '' where none is."""
    try:
        found = json.loads(read_small(lock_file(path), MOST_LOCK))
        port, door = int(found["port"]), str(found["door"])
        body = json.dumps({"door": door, "job": str(found.get("job", ""))}).encode()
        headers = {"Content-Type": "application/json", "Origin": f"http://127.0.0.1:{port}"}
        with urlopen(Request(f"http://127.0.0.1:{port}/knock", body, headers), timeout=2) as answer:
            token = json.loads(answer.read(MOST_LOCK))["token"]
    except (DecalgenError, ValueError, KeyError, TypeError, URLError, OSError):
        return ""
    return f"http://127.0.0.1:{port}/#k={token}"


def _listen(port: int) -> socket.socket:
    listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    if os.name != "nt":
        listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listener.bind(("127.0.0.1", port))
        # From here on a browser waits for the answer, however long the server takes to start.
        listener.listen(128)
    except (OSError, OverflowError):
        listener.close()
        raise PortError(f"port {port} is in use", fix=f"leave out --port, or take {_free()}, which is free") from None
    return listener


def _free() -> int:
    """A port that nobody uses just now."""
    with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as one:
        one.bind(("127.0.0.1", 0))
        found: int = one.getsockname()[1]
        return found


def _open(address: str, browser: bool) -> None:
    """Asks for a browser; its answer is not to be believed, so the address is printed anyway."""
    if browser:
        threading.Thread(target=webbrowser.open, args=(address,), daemon=True).start()
